"""What is on the page to print first: squares and bars to measure, what to do when they don't measure, what failed.

On a paper too small for the squares of 100 mm and 4 in there are smaller ones, on as many pages as they need. Where
it all stands is said in ``templates/first.typ``.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, sixteenths
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import Layout
from svgfit.render.text_metrics import text_width
from svgfit.rules.lettering import HANDOUT_SMALL

MOST = 3
"""More failed checks than these are counted, not listed."""
WRONG_PIXEL = 90 / 96
"""An old drawing in pixels of 1/90 in, read at 96 to the inch (CSS 2.1 changed from one to the other)."""
_METRIC, _INCHES = (100, 50, 20, 10), (4, 2, 1, 0.5)
_HEAD, _GAP, _ROW, _COLUMN, _INSIDE = 15.0, 4.5, 9.5, 11.0, 4.0
"""As in the template: of the title, between squares, of a level bar, of an upright one, from a square to its words."""
_NARROW = 90.0
"""On less than this, mm, the table has fewer columns."""
_NO_TABLE = 45.0
"""On less than this, mm, it is a list."""
_HAIR = 0.01
_POINT = 25.4 / 72
_NAME = 11.0
"""Size of a square's name in it, points, as in the template."""


class Square(Struct, frozen=True):
    """A square to measure; lengths in mm."""

    side: float
    name: str
    inside: bool
    """Whether its name has room in it."""

    @property
    def height(self) -> float:
        """Height with its name, where that stands beneath."""
        return self.side if self.inside else self.side + _INSIDE + 0.75 * HANDOUT_SMALL * _POINT


class Bar(Struct, frozen=True):
    """A bar to measure, with a tick at each step; lengths in mm."""

    length: float
    name: str
    step: float


class Failures(Struct, frozen=True):
    """Checks that failed."""

    heading: str
    lines: tuple[str, ...]


class FirstPage(Struct, frozen=True):
    """All that the page says and shows; lengths in mm."""

    paper: tuple[float, float]
    margin: float
    title: str
    small: bool
    """Whether words, squares and bars need pages of their own."""
    squares: tuple[Square, ...]
    across: tuple[Bar, ...]
    down: tuple[Bar, ...]
    missing: tuple[str, ...]
    """Names of the squares and bars that have no room."""
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    """Of the table, its head first; of one cell each where it is a list."""
    more: tuple[str, ...]
    failed: Failures | None


def first_page(layout: Layout, title: str, load: str, failed: Sequence[str] = ()) -> FirstPage:
    """Choose what the page shows on a paper; ``load`` says which paper to put in, ``failed`` which checks failed."""
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    squares, across, down = _squares(min(wide, high)), _bars(wide - 2 * _COLUMN - 2), _longest(high)
    stacked = _HEAD + sum(one.side + _GAP for one in squares) + len(across) * _ROW
    abreast = sum(one.side for one in squares) + _GAP + 2 * _COLUMN + 2
    small = squares[0].side < 100 or (abreast > wide and stacked > high)
    missing: tuple[str, ...] = ()
    longest = down[0]
    shown = squares
    if small:
        squares, across = _squares_with_names(wide, high), _bars(wide)
        shown = tuple(one for one in squares if one.side <= wide + _HAIR and one.height <= high + _HAIR)
        missing = _missing(shown, squares, across, down, wide)
        across = tuple(bar for bar in across if bar.length <= wide + _HAIR)
        down = tuple(bar for bar in down if 0 < bar.length <= high + _HAIR)
    rows, more = _table(longest, squares, wide)
    return FirstPage(
        (layout.paper.width, layout.paper.height),
        layout.margin,
        title,
        small,
        shown,
        across,
        down,
        missing,
        _steps(load, "the pages with words, squares and bars" if small else "this page"),
        (CAUTIONS[0], CAUTIONS[2]),
        rows,
        more,
        Failures(heading(failed), cut_short(failed)) if failed else None,
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


def _by_size() -> tuple[list[Square], list[Square]]:
    """List the squares there may be, the largest first: in mm and in inches."""
    named = (
        [(float(side), f"{side:g} mm square") for side in _METRIC],
        [(side * MM_PER_INCH, f"{side:g} in square") for side in _INCHES],
    )

    def made(side: float, name: str) -> Square:
        return Square(side, name, text_width(name, _NAME * _POINT, bold=True) + 2 * _INSIDE <= side)

    return [made(*one) for one in named[0]], [made(*one) for one in named[1]]


def _squares(room: float) -> tuple[Square, ...]:
    """Choose the largest that have room, or the smallest there are."""
    return tuple(next((one for one in every if one.side <= room + _HAIR), every[-1]) for every in _by_size())


def _squares_with_names(wide: float, high: float) -> tuple[Square, ...]:
    """Choose as ``_squares``, where also their names have room; the smallest even where not."""

    def fits(one: Square) -> bool:
        return (
            max(one.side, text_width(one.name, HANDOUT_SMALL * _POINT)) <= wide + _HAIR and one.height <= high + _HAIR
        )

    return tuple(next(filter(fits, every), every[-1]) for every in _by_size())


def _bars(room: float) -> tuple[Bar, ...]:
    metric = next((side for side in (150, 100, 50) if side <= room + _HAIR), 20)
    inches = next((side for side in (6, 4, 2) if side * MM_PER_INCH <= room + _HAIR), 1)
    return Bar(metric, f"{metric:g} mm", 10), Bar(inches * MM_PER_INCH, f"{inches:g} in", MM_PER_INCH)


def _longest(room: float) -> tuple[Bar, ...]:
    """Make the longest bars of whole centimetres and of whole inches."""
    metric, inches = int((room + _HAIR) // 10) * 10, int((room + _HAIR) // MM_PER_INCH)
    return Bar(metric, f"{metric} mm", 10), Bar(inches * MM_PER_INCH, f"{inches} in", MM_PER_INCH)


def _missing(
    shown: Sequence[Square], squares: Sequence[Square], across: Sequence[Bar], down: Sequence[Bar], wide: float
) -> tuple[str, ...]:
    """Name what does not fit whole on the paper."""
    missing = [one.name for one in squares if one not in shown]
    missing += [f"{bar.name} across" for bar in across if bar.length > wide + _HAIR]
    kinds = zip(("centimetres", "inches"), down, strict=True)
    return (*missing, *(f"the bar of {kind} down" for kind, bar in kinds if bar.length <= 0))


def _steps(load: str, alone: str) -> tuple[str, ...]:
    """Say what to do with the page, in order."""
    return (
        f"Load {load}. In the print dialog choose “actual size” or 100\u00a0%: not “fit”, not “shrink to printable "
        "area”.",
        f"Print {alone} alone and measure the squares both ways, and the bars, with the ruler you sew by.",
        "Everything right? Then print the rest in the same way.",
        f"Something wrong? Find it in the table, mend it, and print {alone} again first.",
    )


def _table(longest: Bar, squares: Sequence[Square], wide: float) -> tuple[tuple[tuple[str, ...], ...], tuple[str, ...]]:
    """Table what squares and bar measure on a print gone wrong, in the room of ``wide`` mm; and what is said below."""
    square, inches = (one.side for one in squares)
    times = "" if square == 100 else f", {100 / square:g} times,"
    more = (
        f"For any other figure: what the {square:g} mm square measures in mm{times} is the percentage.",
        "Are squares and bars right, but a line of known length in the pattern itself measures "
        f"{100 * WRONG_PIXEL:.2f} %? Then the drawing is an old one, made at 90 pixels to the inch and read at 96: "
        "run svgfit again with --scale 90.",
    )
    parts = (*reductions(), (WRONG_PIXEL, "see below"))
    if wide < _NO_TABLE:
        return (("The print is at",), *((f"{100 * part:.2f} %: {why}",) for part, why in parts)), more
    head = (f"{square:g} mm is", f"{inches / MM_PER_INCH:g} in is", f"{longest.name} is", "print is at", "most likely")
    rows = [
        (
            f"{square * part:.1f} mm",
            f"{sixteenths(inches * part)} in",
            f"{longest.length * part:.1f} mm",
            f"{100 * part:.2f} %",
            why,
        )
        for part, why in parts
    ]
    kept = (0, 3, 4) if wide < _NARROW else range(len(head))
    return tuple(tuple(row[k] for k in kept) for row in (head, *rows)), more
