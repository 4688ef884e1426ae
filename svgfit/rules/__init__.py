"""The rules of the trade: each value once, with its unit and its source, one file a subject.

A rule is a constant. Its annotation carries the unit and the source, its docstring says what it decides::

    WIDEST_USUAL: Annotated[Mm, JUDGEMENT] = 2 * MM_PER_INCH
    \"\"\"A seam allowance wider than this is more than usual.\"\"\"

At run time it is a plain number or tuple. docs/rules.md is made from these files (docs/make_docs.py), and a test holds
that no rule stands elsewhere. The tables of records, STYLES in ``ease``, MEASURES in ``body_measures`` and COMPLAINTS
in ``complaints``, have pages of their own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from msgspec import Struct

from svgfit.lazy_names import Fetch, lazy_names
from svgfit.model.vocabulary import MeasureUnit

if TYPE_CHECKING:
    from svgfit.rules import (
        allowances,
        armholes,
        body_measures,
        caps,
        complaints,
        darts,
        drawing_habits,
        ease,
        interchange,
        lettering,
        matching,
        notches,
        paper,
        piece_names,
        plausible,
        scale,
        smoothness,
        trade_words,
        truing,
        widths,
    )

SUBJECTS = (
    "matching",
    "ease",
    "notches",
    "allowances",
    "caps",
    "armholes",
    "darts",
    "smoothness",
    "truing",
    "widths",
    "body_measures",
    "complaints",
    "piece_names",
    "plausible",
    "trade_words",
    "drawing_habits",
    "scale",
    "interchange",
    "paper",
    "lettering",
)
"""The files of rules, in the order of docs/rules.md."""

__all__ = [
    "JUDGEMENT",
    "MEMORY",
    "PRACTICE",
    "SUBJECTS",
    "TRIALS",
    "Count",
    "Mm",
    "MmRange",
    "Points",
    "Radians",
    "Share",
    "ShareRange",
    "Source",
    "Times",
    "Words",
    "allowances",
    "armholes",
    "body_measures",
    "caps",
    "complaints",
    "darts",
    "drawing_habits",
    "ease",
    "interchange",
    "lettering",
    "matching",
    "notches",
    "paper",
    "piece_names",
    "plausible",
    "scale",
    "smoothness",
    "trade_words",
    "truing",
    "widths",
]


class Source(Struct, frozen=True):
    """Where a rule comes from, in words for docs/rules.md."""

    words: str


PRACTICE = Source("common practice, no source")
"""What pattern cutters do, as we know it; no published table was looked up."""
MEMORY = Source("from memory")
"""Read once, not looked up again."""
JUDGEMENT = Source("judgement, no source")
"""Set by us, to be doubted first."""
TRIALS = Source("trials on sleeves of many shapes, no source")
"""Set by us after trying it out; the tests hold what it gives."""

Mm = Annotated[float, MeasureUnit.MM]
MmRange = Annotated[tuple[float, float], MeasureUnit.MM]
"""Least and most."""
Radians = Annotated[float, "rad"]
Share = Annotated[float, MeasureUnit.SHARE]
"""A part of something: 0 to 1."""
ShareRange = Annotated[tuple[float, float], MeasureUnit.SHARE]
"""Least and most."""
Times = Annotated[float, "times"]
"""A multiple of something."""
Count = Annotated[int, "count"]
Points = Annotated[float, "pt"]
"""1/72 in, as letters on paper are measured."""
Words = Annotated[tuple[str, ...], "words"]

__getattr__: Fetch = lazy_names(__name__, {}, modules={subject: f"{__name__}.{subject}" for subject in SUBJECTS})[0]
