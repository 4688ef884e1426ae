"""Layer names → what they mean: patterns with ``*``, ``{piece}`` and ``{size}``.

Case and the form of letters (ü or u + ¨, 12 or １２) do not count; runs of spaces, hyphens and underscores count as one
space. ``*`` and ``{piece}`` stand for any text (also none), ``{size}`` for one word, none of them across ``/``. A
pattern without ``/`` is matched to a layer's own name, one with it to the end of the layer's path.
"""

from __future__ import annotations

import re
from functools import lru_cache

from msgspec import Struct

from svgfit.model.wording import name_key, single_spaced

_TOKEN = re.compile(r"\*|\{[^{}]*\}")
PLACES = ("{piece}", "{size}")


def is_number(pattern: str) -> bool:
    """Say whether a pattern is a bare number, as files have them whose layers are numbers."""
    return pattern.isascii() and pattern.isdigit()


class Match(Struct, frozen=True):
    """What a pattern found in a name; None for a place that is empty or not in the pattern."""

    piece: str | None
    size: str | None


def unknown_place(pattern: str) -> str | None:
    """Find the first ``{…}`` in a pattern that means nothing, or None."""
    return next((token for token in _TOKEN.findall(pattern) if token != "*" and token.casefold() not in PLACES), None)


@lru_cache(maxsize=4096)  # a layer's path is asked for again by each who looks at its layer
def match_pattern(pattern: str, path: tuple[str, ...]) -> Match | None:
    """Match a pattern to the end of a layer's path (of single-spaced names); None where it does not fit.

    >>> match_pattern("{piece} stitch line*", ("Smock", "Left sleeve stitch line 2"))
    Match(piece='Left sleeve', size=None)
    >>> match_pattern("size {size}/{piece}_cut*", ("Size 12", "Front cut line"))
    Match(piece='Front', size='12')
    """
    literals, across = _literals(pattern)
    text = "/".join(path) if across else path[-1]
    folded = text.casefold()  # the path's names are single-spaced already
    if not all(literal in folded for literal in literals):
        return None  # spares compiling the expression: most patterns fit no layer of a drawing
    found = _expression(pattern).fullmatch(text)
    if not found:
        return None
    groups = found.groupdict()
    return Match(groups.get("piece") or None, groups.get("size") or None)


@lru_cache(maxsize=512)
def _literals(pattern: str) -> tuple[tuple[str, ...], bool]:
    parts = (name_key(part) for part in re.split(r"\*|\{[^{}]*\}|/", pattern))
    return tuple(part for part in parts if part), "/" in pattern


@lru_cache(maxsize=512)
def _expression(pattern: str) -> re.Pattern[str]:
    """Compile a pattern; a space beside ``*`` or ``{piece}`` may go with it when it is empty, as in ``notches``."""
    tidied = re.sub(r" ?/ ?", "/", single_spaced(pattern))
    seen: set[str] = set()
    built = ""
    at = 0
    for found in _TOKEN.finditer(tidied):
        before = tidied[at : found.start()]
        after = tidied[found.end() : found.end() + 1]
        at = found.end()
        part = _part(found[0].casefold(), seen)
        if found[0].casefold() != "{size}" and before.endswith(" "):
            built += f"{_literal(before[:-1])}(?: {part})?"
        elif found[0].casefold() != "{size}" and after == " " and (not before or before.endswith("/")):
            built += f"{_literal(before)}(?:{part} )?"
            at += 1
        else:
            built += _literal(before) + part
    built += _literal(tidied[at:])
    return re.compile(f"(?:.*/)?{built}" if "/" in tidied else built, re.IGNORECASE | re.DOTALL)


def _literal(text: str) -> str:
    """Escape a text between places; ``IGNORECASE`` folds letter by letter, so that ß, which is ss, is spelt out."""
    return re.sub("ß|ẞ|[Ss]{2}", "(?:ß|ss)", re.escape(text))


def _part(token: str, seen: set[str]) -> str:
    if token == "*":
        return "[^/]*"
    name = token.strip("{}")
    if name in seen:
        return f"(?P={name})"
    seen.add(name)
    return "(?P<piece>[^/]*?)" if name == "piece" else "(?P<size>[^/ ]+)"
