"""What the trade's interchange standard, ASTM D6673 (once AAMA-292), says by layer numbers and texts.

All of it from memory of the standard: layers are numbers, a block holds one piece in one size, texts "Key: value"
inside a block speak of the piece, those outside of the whole style; METRIC means millimetres, ENGLISH inches.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct, field

from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import MarkKind

BOUNDARY, TURN_POINTS, CURVE_POINTS, NOTCHES = "1", "2", "3", "4"
MIRROR_LINE, GRAIN_LINE, INTERNAL_LINES, CUTOUTS = "6", "7", "8", "11"
DRILL_HOLES, SEW_LINE, ANNOTATION = "13", "14", "15"
NOTCH_LAYERS = (NOTCHES, "80", "81", "82", "83")
"""Notches of no stated form, and T, castle, check and U notches."""
QUALITY_CURVES = ("84", "85", "86", "87")
"""Outline, internal lines, cutouts and sew lines once more, finer, to prove another program's curves by."""
STANDARD: Mapping[str, tuple[str, ...]] = {
    "cut line": (BOUNDARY,),
    "stitch line": (SEW_LINE,),
    "notches": NOTCH_LAYERS,
    MarkKind.GRAIN_LINE: (GRAIN_LINE,),
    MarkKind.FOLD_LINE: (MIRROR_LINE,),
    MarkKind.CENTRE_LINE: (MIRROR_LINE,),
    MarkKind.BICEP_LINE: (),
    "drawn details": (INTERNAL_LINES, CUTOUTS, DRILL_HOLES),
    "ignore": (),
}
"""What lies on which layers, by roles in the words of a convention; on a mirror line there may be either line."""
MM_OF_UNITS = {"METRIC": 1.0, "ENGLISH": MM_PER_INCH}
_KEYS = {
    "piece name": "piece",
    "size": "size",
    "sample size": "sample size",
    "style name": "style",
    "units": "units",
    "quantity": "quantity",
}
_SAID = re.compile(r"\s*([A-Za-z][A-Za-z /]*?)\s*:\s*(.*)")
_GRADE_RULE = re.compile(r"#\s*\d+(\s*[,;]\s*#?\s*\d+)*")


class LayerUse(Struct, frozen=True):
    """Which layers hold what: as the standard says, but for what the convention says otherwise."""

    stated: Mapping[str, str] = field(default_factory=dict[str, str])
    """Roles of layers by their numbers, as a convention states them."""

    def numbers(self, role: str) -> tuple[str, ...]:
        """List the layers of a role: those that are stated for it, else the standard's that are stated for nothing."""
        own = tuple(number for number, what in self.stated.items() if what == role)
        return own or tuple(number for number in STANDARD[role] if number not in self.stated)

    def replaced(self) -> Mapping[str, str]:
        """List the standard's layers whose role others have, and that are stated for nothing: roles by number."""
        read = {number for role in STANDARD for number in self.numbers(role)}
        left = {number: role for role, numbers in STANDARD.items() for number in numbers if self.is_free(number)}
        return {number: role for number, role in left.items() if number not in read}

    def is_free(self, number: str) -> bool:
        """Say whether a layer is what the standard says it is."""
        return number not in self.stated


def layer_number(name: str) -> str:
    """Reduce a layer's name to its number as the standard writes it: without zeros before it."""
    return name.lstrip("0") or name


def layer_use(stated: Mapping[str, str]) -> LayerUse:
    """Take from what a convention states the roles that a DXF's layers can have.

    >>> use = layer_use({"014": "cut line", "20": "landmarks"})
    >>> use.numbers("cut line"), use.numbers("stitch line"), use.numbers("grain line")
    (('14',), (), ('7',))
    >>> use.replaced()
    {'1': 'cut line'}
    """
    return LayerUse({layer_number(number): role for number, role in stated.items() if role in STANDARD})


def said(texts: list[str]) -> dict[str, str]:
    """Read what texts "Key: value" say; the first of each key counts.

    >>> said(["Piece Name: FRONT", "Size: 12", "CUT 2"])
    {'piece': 'FRONT', 'size': '12'}
    """
    found: dict[str, str] = {}
    for text in texts:
        match = _SAID.fullmatch(text)
        key = _KEYS.get(" ".join(match[1].casefold().split())) if match else None
        if match and key and match[2].strip():
            found.setdefault(key, match[2].strip())
    return found


def is_grade_rule(text: str) -> bool:
    """Say whether a text is the number of a grade rule, as stands at turn points ("# 12")."""
    return _GRADE_RULE.fullmatch(text.strip()) is not None
