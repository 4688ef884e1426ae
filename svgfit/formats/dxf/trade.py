"""What the trade's interchange standard, ASTM D6673 (once AAMA-292), says by layer numbers and texts.

All of it from memory of the standard: layers are numbers, a block holds one piece in one size, texts "Key: value"
inside a block speak of the piece, those outside of the whole style; METRIC means millimetres, ENGLISH inches.
"""

from __future__ import annotations

import re

from svgfit.model.length import MM_PER_INCH

BOUNDARY, TURN_POINTS, CURVE_POINTS, NOTCHES = "1", "2", "3", "4"
MIRROR_LINE, GRAIN_LINE, INTERNAL_LINES, CUTOUTS = "6", "7", "8", "11"
DRILL_HOLES, SEW_LINE, ANNOTATION = "13", "14", "15"
NOTCH_LAYERS = (NOTCHES, "80", "81", "82", "83")
"""Notches of no stated form, and T, castle, check and U notches."""
QUALITY_CURVES = ("84", "85", "86", "87")
"""Outline, internal lines, cutouts and sew lines once more, finer, to prove another program's curves by."""
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
