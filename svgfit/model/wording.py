"""Small pieces of wording that many need: names that count as one, lists, the nearest known name, lines that fit."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Sequence

_SEPARATORS = re.compile(r"[\s_\-]+")


def single_spaced(name: str) -> str:
    """Make a name's separators single spaces and its letters one form (NFKC); the case stays.

    NFKC: https://www.unicode.org/reports/tr15/. It makes one of ü and u + ¨, of 12 and １２.

    >>> single_spaced(" Left_sleeve--stitch  line"), single_spaced("Ru\u0308cken １２")
    ('Left sleeve stitch line', 'Rücken 12')
    """
    plain = name if name.isascii() else unicodedata.normalize("NFKC", name)
    return _SEPARATORS.sub(" ", plain).strip()


def name_key(name: str) -> str:
    """Reduce a name to what names that count as one have in common: any case, any form of letters and separators.

    >>> name_key("GRÖSSE_１２") == name_key("Größe-12")
    True
    """
    return single_spaced(name).casefold()


def fold(word: str) -> str:
    """Reduce a word to lower case without accents; what Japanese writes above its letters stays.

    >>> fold("Größe"), fold("LÍNEA"), fold("ガ")
    ('grosse', 'linea', 'ガ')
    """
    folded = word.casefold()
    if folded.isascii():
        return folded
    return "".join(
        unicodedata.normalize("NFD", letter)[0] if letter < "\u0250" else letter
        for letter in unicodedata.normalize("NFKC", folded)
    )


_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


def spellings(word: str) -> tuple[str, ...]:
    """Return a word in lower case, and as it is written without umlauts where it has any.

    >>> spellings("Ärmel"), spellings("hem")
    (('ärmel', 'aermel'), ('hem',))
    """
    plain = word.casefold()
    return tuple(dict.fromkeys((plain, plain.translate(_UMLAUTS))))


def listed(words: Sequence[str], last: str = "and") -> str:
    """Join words as a sentence lists them, ``last`` before the last one; "" for none.

    >>> listed(["cap", "hem", "fold"]), listed(["cap", "hem"], "or"), listed(["cap"])
    ('cap, hem and fold', 'cap or hem', 'cap')
    """
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


_ENDINGS = (".svg.gz", ".svgz", ".svg", ".pdf", ".dxf")


def drawing_stem(file: str) -> str:
    """Name a drawing for people: without its folder and its ending.

    >>> drawing_stem("patterns/Smock.SVG"), drawing_stem("smock.v2")
    ('Smock', 'smock.v2')
    """
    name = file.replace("\\", "/").rpartition("/")[2]
    ending = next((ending for ending in _ENDINGS if name.casefold().endswith(ending)), "")
    return name[: len(name) - len(ending)]


def across_sizes(texts: Iterable[str], sizes: Sequence[str]) -> list[str]:
    """Join texts that say the same of several sizes of a nest, in the order of the first of each.

    >>> across_sizes(["Front (10): no cut line", "Front (12): no cut line", "done"], ["10", "12"])
    ['Front (10, 12): no cut line', 'done']
    """
    found: dict[str, list[str]] = {}
    for text in texts:
        named = [size for size in sizes if f"({size})" in text or f"(size {size})" in text]
        if len(named) != 1:
            found.setdefault(text, [])
            continue
        key = text.replace(f"(size {named[0]})", "\1").replace(f"({named[0]})", "\2")
        found.setdefault(key, []).append(named[0])
    return [_with_sizes(key, names) if names else key for key, names in found.items()]


def _with_sizes(text: str, sizes: Sequence[str]) -> str:
    every = ", ".join(dict.fromkeys(sizes))
    return text.replace("\1", f"({'sizes' if len(sizes) > 1 else 'size'} {every})").replace("\2", f"({every})")


def closest(text: str, names: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the one of names that is most like a misspelt text, None where none is.

    ``cutoff`` is the least likeness, 0 to 1, as difflib counts it. Names with the same spelling but for case count as
    different: fold them first where case is nothing.

    >>> closest("sleve", ["sleeve", "hem"]), closest("collar", ["sleeve", "hem"])
    ('sleeve', None)
    """
    near = [name for name in names if _may_be_like(text, name, cutoff)]
    if not near:
        return None
    from difflib import get_close_matches  # here because only a slip of the pen needs it

    return next(iter(get_close_matches(text, near, n=1, cutoff=cutoff)), None)


def _may_be_like(text: str, name: str, cutoff: float) -> bool:
    """Return whether two names share letters enough: the bound from above that difflib looks at first."""
    there = Counter(name)
    shared = sum(min(count, there[letter]) for letter, count in Counter(text).items())
    whole = len(text) + len(name)
    return not whole or 2.0 * shared / whole >= cutoff


def closest_name(text: str, names: Iterable[str], cutoff: float = 0.5) -> str | None:
    """Return the name a person most likely meant, case ignored, None where none comes near.

    The words of a hyphened one may stand in any order.

    >>> closest_name("SLEVE", ["Front", "Sleeve"]), closest_name("b-a", ["a-b", "b-c"])
    ('Sleeve', 'a-b')
    """
    known = {name.casefold(): name for name in names}
    said = sorted(text.casefold().split("-"))
    turned = next((name for low, name in known.items() if "-" in low and sorted(low.split("-")) == said), None)
    if turned is not None:
        return turned
    near = closest(text.casefold(), known, cutoff)
    return None if near is None else known[near]


def suggestion(near: str | None, otherwise: str) -> str:
    """Ask whether the nearest name was meant, then say what there is.

    >>> suggestion("hem", "the edges are cap, hem"), suggestion(None, "the edges are cap, hem")
    ('did you mean hem? The edges are cap, hem', 'the edges are cap, hem')
    """
    return f"did you mean {near}? {otherwise[0].upper()}{otherwise[1:]}" if near else otherwise


def fill_lines(text: str, fits: Callable[[str], bool], *, break_words: bool = False) -> list[str]:
    """Break a text at its spaces into lines that fit.

    A word that is too long for any line stands alone, or is cut with ``break_words`` (after one letter at least).

    >>> fill_lines("true the hem", lambda line: len(line) <= 8)
    ['true the', 'hem']
    """
    lines: list[str] = []
    for word in text.split():
        if lines and fits(f"{lines[-1]} {word}"):
            lines[-1] += f" {word}"
        else:
            lines += _parts(word, fits) if break_words else [word]
    return lines


def _parts(word: str, fits: Callable[[str], bool]) -> list[str]:
    parts: list[str] = []
    while word:
        count = len(word)
        while count > 1 and not fits(word[:count]):
            count -= 1
        parts.append(word[:count])
        word = word[count:]
    return parts


_TURNS = (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
"""What turns the direction of writing (https://www.unicode.org/reports/tr9/#Directional_Formatting_Characters)."""
_CONTROLS = {code: f"\\u{code:04x}" for code in (*range(0x20), *range(0x7F, 0xA0), *_TURNS) if chr(code) not in "\n\t"}
"""C0 and C1 (ECMA-48), which command terminals, and what turns writing; but for line ends and tabs."""


def harmless(text: str) -> str:
    r"""Spell out every sign that commands a terminal or turns the direction of writing, as JSON would.

    >>> print(harmless("Sleeve\x1b[2J"))
    Sleeve\u001b[2J
    """
    return text if text.isascii() and text.isprintable() else text.translate(_CONTROLS)
