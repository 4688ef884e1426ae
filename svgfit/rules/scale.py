"""Scale and test squares: the usual sizes, the usual units, and what a person is warned of."""

from __future__ import annotations

from typing import Annotated

from svgfit.model.label_size import plain_label, stated_size
from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import MeasureUnit
from svgfit.model.wording import fold, spellings
from svgfit.rules import JUDGEMENT, MEMORY, PRACTICE, Mm, MmRange, Share, Source, Words
from svgfit.rules.trade_words import LANGUAGES

SIDES: Annotated[tuple[float, ...], MeasureUnit.MM, PRACTICE] = (
    50.0,
    100.0,
    MM_PER_INCH,
    2 * MM_PER_INCH,
    4 * MM_PER_INCH,
)
"""Sides of test squares: 50 mm, 100 mm, 1, 2 and 4 in. The first is preferred."""
UNITS_PER_INCH: Annotated[tuple[float, ...], "units of the drawing in an inch", PRACTICE] = (
    72.0,
    90.0,
    96.0,
    300.0,
    25.4,
    254.0,
    2540.0,
)
"""What programs write; the last three are millimetres, tenths and hundredths."""
LIKELY_UNITS: Annotated[tuple[float, ...], "units of the drawing in an inch", PRACTICE] = (96.0, 72.0)
"""The first two that a person is offered: a pixel of the web and a PDF's point."""
SLIPS: Annotated[tuple[float, ...], "times", PRACTICE] = (
    1.0,
    90 / 96,
    96 / 90,
    72 / 96,
    96 / 72,
    72 / 90,
    90 / 72,
    0.5,
    2.0,
)
"""By what a drawing gets too small or too large on its way: one resolution taken for another, a PDF's UserUnit lost."""
SLEEVE_EXTENT: Annotated[MmRange, JUDGEMENT] = (150.0, 1100.0)
"""The larger of a sleeve's width and height: a baby's short one, a long wide one."""
BODICE_EXTENT: Annotated[MmRange, JUDGEMENT] = (200.0, 1900.0)
"""That of a front or back: a baby's, one to the floor."""
PIECES_EXTENT: Annotated[MmRange, JUDGEMENT] = (100.0, 3000.0)
"""That of the largest piece where none is known by its name."""
LONGEST_SLEEVE: Annotated[Mm, JUDGEMENT] = 740.0
"""A sleeve larger than this is longer than an arm, which is told: it may be a very wide or very full one."""
SMALL_CHILD_SLEEVE: Annotated[Mm, JUDGEMENT] = 330.0
"""A sleeve no larger than this, with a front or back that is small too, is for a small child, which is told …"""
SMALL_CHILD_BODICE: Annotated[Mm, JUDGEMENT] = 380.0
"""… and a front or back no larger than this."""
ILLUSTRATOR_PER_INCH: Annotated[float, "units of the drawing in an inch", PRACTICE] = 72.0
"""What Adobe Illustrator means by a pixel: one point."""
POINTS_PER_INCH: Annotated[float, "units of the drawing in an inch", Source("ISO 32000-1, 8.3.2.3, from memory")] = 72.0
"""What a PDF is drawn in, where its page has no unit of its own."""
INKSCAPE_PER_INCH: Annotated[
    float,
    "units of the drawing in an inch",
    Source('CSS Values and Units 3, and Inkscape\'s release notes of 0.92, "Important changes", from memory'),
] = 96.0
"""What Inkscape means by a pixel since version 0.92 …"""
INKSCAPE_BEFORE_PER_INCH: Annotated[
    float,
    "units of the drawing in an inch",
    Source(
        "https://wiki.inkscape.org/wiki/Release_notes/0.92, from memory",
    ),
] = 90.0
"""… and what it meant before."""
SQUARE_WORDS: Annotated[Words, MEMORY] = (
    "square",
    "quadrat",
    "kästchen",
    "carré",
    "carre ",
    "cuadrado",
    "cuadro",
    "正方形",
    "スクエア",
)
"""A text with such a word, or one for a test square (``trade_words``), beside a square speaks of it: it is a test
square if its size stands there, or …"""
TEST_WORDS: Annotated[Words, MEMORY] = (
    "test",
    "scale",
    "check",
    "calibr",
    "control",
    "contrôle",
    "kontroll",
    "prüf",
    "maß",
    "témoin",
    "échelle",
    "prueba",
    "prova",
    "テスト",
    "確認",
)
"""… such a word."""
_NAMES = tuple(
    fold(spelt)
    for each in LANGUAGES
    for name in each.words["test square"].split(",")
    for spelt in spellings(name.strip())
)


def names_square(text: str) -> bool:
    """Tell whether a text speaks of a square or names a test square, in any of the languages.

    >>> names_square("Cuadro 5 cm"), names_square("寸法確認 5 cm"), names_square("hem 1 in")
    (True, True, False)
    """
    plain = f"{plain_label(text).casefold()} "
    return any(word in plain for word in SQUARE_WORDS) or any(name in fold(plain) for name in _NAMES)


def names_test_square(text: str) -> bool:
    """Tell whether a text at a square says that it is one to check a size by: by its word, or by one size with it.

    >>> names_test_square("Carre temoin"), names_test_square("square, 2 in"), names_test_square("square neckline")
    (True, True, False)
    """
    return names_square(text) and (names_test(text) or stated_size([text]) is not None)


def names_test(text: str) -> bool:
    """Tell whether a text speaks of checking something, in any of the languages."""
    plain = fold(plain_label(text))
    return any(fold(word) in plain for word in TEST_WORDS)


LABEL_WITHIN: Annotated[Share, JUDGEMENT] = 0.6
"""A text names a square where it lies in it or no farther from it than this part of its side."""
FITS: Annotated[Share, JUDGEMENT] = 0.002
"""A square has a usual size at some resolution where it differs from it by no more than this."""
DISAGREE: Annotated[Share, JUDGEMENT] = 0.002
"""From this difference of the stated page size and the test square on a person is warned."""
NOT_SQUARE: Annotated[Share, JUDGEMENT] = 0.005
"""Sides and diagonals of a test square may differ by this."""
