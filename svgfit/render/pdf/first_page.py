"""The data of the page to print first: squares and bars to measure, what a print gone wrong measures, what failed.

Which squares and bars have room, on how many pages, and all that is said of them stands in ``templates/first.typ``.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, sixteenths
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import PrintArea

MOST = 3
"""More failed checks than these are counted, not listed."""
WRONG_PIXEL = 90 / 96
"""An old drawing in pixels of 1/90 in, read at 96 to the inch (CSS 2.1 changed from one to the other)."""
_METRIC, _INCHES = (100, 50, 20, 10), (4, 2, 1, 0.5)
_BARS_METRIC, _BARS_INCHES = (150, 100, 50, 20), (6, 4, 2, 1)


class Size(Struct, frozen=True):
    """The side of a square or the length of a bar."""

    mm: float
    name: str


class Reduction(Struct, frozen=True):
    """What a print may come out at."""

    part: float
    """Of 1."""
    why: str
    inches: dict[str, str]
    """What each square of inches then measures, by its name."""


class Failures(Struct, frozen=True):
    """Checks that failed."""

    heading: str
    lines: tuple[str, ...]


class FirstPage(Struct, frozen=True):
    """All that the page chooses from; lengths in mm, sizes from the largest to the smallest."""

    paper: tuple[float, float]
    margin: float
    title: str
    load: str
    """Which paper to put in the printer."""
    squares: tuple[tuple[Size, ...], tuple[Size, ...]]
    """In millimetres and in inches."""
    bars: tuple[tuple[Size, ...], tuple[Size, ...]]
    reductions: tuple[Reduction, ...]
    cautions: tuple[str, ...]
    failed: Failures | None


def first_page(area: PrintArea, title: str, load: str, failed: Sequence[str] = ()) -> FirstPage:
    """Collect the page's data for a paper; ``load`` says which paper to put in, ``failed`` which checks failed."""
    squares = _sizes(_METRIC, _INCHES)
    parts = (*reductions(), (WRONG_PIXEL, "see below"))
    return FirstPage(
        area.paper.size,
        area.margin,
        title,
        load,
        squares,
        _sizes(_BARS_METRIC, _BARS_INCHES),
        tuple(
            Reduction(part, why, {one.name: f"{sixteenths(one.mm * part)} in" for one in squares[1]})
            for part, why in parts
        ),
        (CAUTIONS[0], CAUTIONS[2]),
        Failures(heading(failed), cut_short(failed)) if failed else None,
    )


def _sizes(metric: Sequence[float], inches: Sequence[float]) -> tuple[tuple[Size, ...], tuple[Size, ...]]:
    return (
        tuple(Size(mm, f"{mm:g} mm") for mm in metric),
        tuple(Size(many * MM_PER_INCH, f"{many:g} in") for many in inches),
    )


def heading(failed: Sequence[str]) -> str:
    """Say how many checks failed, and what not to do."""
    return f"{'A check' if len(failed) == 1 else f'{len(failed)} checks'} failed; don't cut yet"


def cut_short(failed: Sequence[str]) -> tuple[str, ...]:
    """List the first of them, and how many more there are."""
    more = len(failed) - MOST
    return (*failed[:MOST], *([f"and {more} more"] if more > 0 else []))


def reductions() -> tuple[tuple[float, str], ...]:
    """List what a print comes out at, as a part of 1, and what most likely made it so."""
    a4, letter = read_paper("a4").portrait, read_paper("letter").portrait
    return (
        (1.0, "it is right"),
        (min(a4.width / letter.width, a4.height / letter.height), "made for letter, fitted to A4"),
        (min(letter.width / a4.width, letter.height / a4.height), "made for A4, fitted to letter"),
    )
