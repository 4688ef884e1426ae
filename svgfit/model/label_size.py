"""Sizes as people write them beside a test square, in several languages: "2 in", "5 x 5 cm", "1½ pulgadas". mm."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from svgfit.model.length import parse_length

SAME_SIZE = 0.004
"""Relative difference of two sizes, such as 4 in and 10.16 cm, that say the same square."""
_SIZE = (
    r"(?:\d+[ -]+)?\d+(?:[.,/]\d+)?\s*(?:mm|cm|inches|inch|in\b|[\"″”]|zoll|"
    r"pouces?|pulgadas?|pollic[ei]|インチ|センチ|ミリ)"
)
_ALONE = re.compile(rf"\W*(?:\d[\d.,/ ]*\s*[x×*]\s*)?{_SIZE}(?:\s*[x×*]\s*{_SIZE})?\W*", re.IGNORECASE)
_UNITS = (
    (r"zoll|pouces?|pulgadas?|pollic[ei]|インチ", "in"),
    ("センチ", "cm"),
    ("ミリ", "mm"),
)
"""Units in other languages than English, and how they are read; from memory."""


def plain_label(text: str) -> str:
    """Write a label's signs and units in the one form that sizes are read in.

    >>> plain_label("1½ pulgadas"), plain_label("２″"), plain_label("5 センチ")
    ('1 1/2 in', '2"', '5 cm')
    """
    text = re.sub("([¼½¾⅛⅜⅝⅞])", r" \1", text.replace("″", '"'))
    text = unicodedata.normalize("NFKC", text).replace("⁄", "/")
    for pattern, unit in _UNITS:
        text = re.sub(pattern, unit, text, flags=re.IGNORECASE)
    return text


def is_size(text: str) -> bool:
    """Tell whether a text is a size and nothing else.

    >>> is_size("5 x 5 cm"), is_size("(2 in)"), is_size("hem 1 in"), is_size("2")
    (True, True, False, False)
    """
    return _ALONE.fullmatch(plain_label(text)) is not None


def stated_sizes(text: str) -> list[float]:
    """Find the sizes, mm, that are written in a text's first 200 letters, in their order.

    >>> stated_sizes("4 in (10 cm)"), stated_sizes("size 12")
    ([101.6, 100.0], [])
    """
    found: list[float] = []
    for size in re.findall(_SIZE, plain_label(text[:200]), flags=re.IGNORECASE):
        try:
            found.append(round(parse_length(size), 6))
        except ValueError:
            continue
    return found


def stated_size(words: Iterable[str]) -> float | None:
    """Read the one size, mm, that texts such as "test square 2 in" say; None where it is not just one."""
    found = [size for word in words for size in stated_sizes(word)]
    one = min(found) if found and max(found) <= min(found) * (1 + SAME_SIZE) else None
    return one if one is not None and 5 <= one <= 1000 else None
