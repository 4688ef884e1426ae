"""The page to print first: squares and bars to measure, and what to do when they don't measure.

Everything stands within the margins, so that any printer prints all of it. On a paper too small for the squares of
100 mm and 4 in there are smaller ones, on as many pages as they need.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, sixteenths
from svgfit.output.blocks import CAUTIONS
from svgfit.output.handout import marks
from svgfit.output.handout.papers import read_paper
from svgfit.output.handout.tiling import Layout
from svgfit.output.handout.typesetting import millimetres, quoted

_HEAD = 15.0
"""Height of title and first line."""
_GAP = 4.5
_ROW = 9.5
"""Height of a level bar with its name and ticks, mm."""
_COLUMN = 11.0
"""Width of an upright bar with its name, mm."""
_INSIDE = 4.0
"""Distance of words from the square they stand in."""
_NARROW = 90.0
"""On less than this, mm, the table has fewer columns."""
_HAIR = 0.01


class Square(Struct, frozen=True):
    """A square to measure."""

    side: float
    name: str


class Bar(Struct, frozen=True):
    """A bar to measure, with a tick at each step."""

    length: float
    name: str
    step: float


def first_page(layout: Layout, title: str, about: str) -> str:
    """The markup of the page, or of several on a small paper; ``about`` says which paper to load."""
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    squares = _squares(min(wide, high))
    uprights = _longest(high)
    column = _COLUMN * len(uprights) + 2
    across = _bars(wide - column)
    texts = _texts(uprights[0], about, narrow=wide < _NARROW)
    side_by_side = sum(square.side for square in squares) + _GAP + column
    stacked = _HEAD + sum(square.side + _GAP for square in squares) + len(across) * _ROW
    if squares[0].side < 100 or (side_by_side > wide and stacked > high):
        return _scattered(layout, squares, across, uprights, texts, title)
    places = [(layout.margin, layout.margin + _HEAD)]
    if side_by_side <= wide:
        places.append((places[0][0] + squares[0].side + _GAP, places[0][1]))
        below = places[0][1] + max(square.side for square in squares) + _GAP
    else:
        places.append((places[0][0], places[0][1] + squares[0].side + _GAP))
        below = places[1][1] + squares[1].side + _GAP
    parts = [marks.page(layout.paper.width, layout.paper.height), _head(layout, title, wide - column)]
    for square, (x, y), text, size in zip(squares, places, texts, (10.0, marks.SMALL), strict=True):
        parts.append(_square(square, x, y, text, size))
    for number, bar in enumerate(across):
        parts.append(_level(bar, layout.margin, below + number * _ROW))
    for number, bar in enumerate(uprights):
        x = layout.margin + wide - 2.5 - number * _COLUMN
        parts.append(_upright(bar, x, layout.margin + (high - bar.length) / 2))
    return "".join(parts)


def _squares(room: float) -> tuple[Square, Square]:
    metric = next((side for side in (100, 50, 20) if side <= room + _HAIR), 10)
    inches = next((side for side in (4, 2, 1) if side * MM_PER_INCH <= room + _HAIR), 0.5)
    return Square(metric, f"{metric:g} mm square"), Square(inches * MM_PER_INCH, f"{inches:g} in square")


def _bars(room: float) -> tuple[Bar, Bar]:
    metric = next((side for side in (150, 100, 50) if side <= room + _HAIR), 20)
    inches = next((side for side in (6, 4, 2) if side * MM_PER_INCH <= room + _HAIR), 1)
    return Bar(metric, f"{metric:g} mm", 10), Bar(inches * MM_PER_INCH, f"{inches:g} in", MM_PER_INCH)


def _longest(room: float) -> tuple[Bar, Bar]:
    """The longest bars of whole centimetres and of whole inches."""
    metric, inches = int((room + _HAIR) // 10) * 10, int((room + _HAIR) // MM_PER_INCH)
    return Bar(metric, f"{metric} mm", 10), Bar(inches * MM_PER_INCH, f"{inches} in", MM_PER_INCH)


# -- what is written -----------------------------------------------------------------------------------------------


def _texts(longest: Bar, about: str, *, narrow: bool) -> tuple[str, str]:
    """Markup inside the two squares: what to do, and the table."""
    steps = (
        f"Load {about}. In the print dialog choose “actual size” or 100\u00a0%: not “fit”, not “shrink to printable "
        "area”.",
        "Print this page alone and measure the squares both ways, and the bars, with the ruler you sew by.",
        "Everything right? Then print the rest in the same way.",
        "Something wrong? Find it in the table, mend it, and print this page again first.",
    )
    listed = "".join(f"+ #{quoted(step)}\n" for step in steps)
    cautions = "".join(f"#{quoted(line)} " for line in CAUTIONS)
    return f"{listed}\n{cautions}", _table(longest, narrow=narrow)


def reductions() -> tuple[tuple[float, str], ...]:
    """What a print comes out at, as a part of 1, and what most likely made it so."""
    a4, letter = read_paper("a4").portrait, read_paper("letter").portrait
    return (
        (1.0, "it is right"),
        (min(a4.width / letter.width, a4.height / letter.height), "made for letter, fitted to A4"),
        (min(letter.width / a4.width, letter.height / a4.height), "made for A4, fitted to letter"),
    )


WRONG_PIXEL = 90 / 96
"""An old drawing in pixels of 1/90 in, read at 96 to the inch (CSS 2.1 changed from one to the other)."""


def _table(longest: Bar, *, narrow: bool) -> str:
    head = ("100 mm is", "4 in is", f"{longest.name} is", "print is at", "most likely")
    kept = (0, 3, 4) if narrow else range(len(head))
    cells = [f"[*#{quoted(head[k])}*]" for k in kept]
    for part, why in (*reductions(), (WRONG_PIXEL, "see below")):
        texts = (
            f"{100 * part:.1f} mm",
            f"{sixteenths(4 * MM_PER_INCH * part)} in",
            f"{longest.length * part:.1f} mm",
            f"{100 * part:.2f} %",
            why,
        )
        cells += [f"[#{quoted(texts[k])}]" for k in kept]
    more = (
        "For any other figure: what the 100 mm square measures in mm is the percentage.",
        "Are squares and bars right, but a line of known length in the pattern itself measures "
        f"{100 * WRONG_PIXEL:.2f} %? Then the drawing is an old one, made at 90 pixels to the inch and read at 96: "
        "run svgfit again with --scale 90.",
    )
    table = (
        f"#table(columns: {len(kept)}, inset: (x: 0mm, y: 1mm), column-gutter: 2.5mm, stroke: none, {', '.join(cells)})"
    )
    return table + "\n" + "\n\n".join(f"#{quoted(line)}" for line in more)


# -- where it stands -----------------------------------------------------------------------------------------------


def _head(layout: Layout, title: str, room: float) -> str:
    size = marks.LARGE
    name = marks.shortened(title, room, size, bold=True)
    said = marks.shortened("Print this page first, at actual size, and measure it.", room, marks.PLAIN)
    height = size * marks.CAPITALS * marks.POINT
    return marks.words(layout.margin, layout.margin, name, size, bold=True) + marks.words(
        layout.margin, layout.margin + height + 3.5, said, marks.PLAIN
    )


def _square(square: Square, x: float, y: float, text: str, size: float = marks.SMALL) -> str:
    side = square.side
    drawn = marks.outline([(x, y), (x + side, y), (x + side, y + side), (x, y + side)], marks.MEDIUM)
    if marks.width_of(square.name, 11, bold=True) + 2 * _INSIDE > side:
        return drawn + marks.words(x, y + side + _INSIDE, square.name)
    drawn += marks.words(x + _INSIDE, y + _INSIDE, square.name, 11, bold=True)
    return drawn + (_block(text, x + _INSIDE, y + _INSIDE + 7, side - 2 * _INSIDE, size) if text else "")


def _block(text: str, x: float, y: float, width: float, size: float) -> str:
    return marks.at(x, y, f"block(width: {millimetres(width)})[#set text(size: {size:g}pt)\n{text}]")


def _level(bar: Bar, x: float, y: float) -> str:
    """A bar across, its name over it."""
    drawn = marks.words(x, y, f"{bar.name} across")
    y += _ROW - 4.0
    drawn += marks.line((x, y), (x + bar.length, y), marks.MEDIUM)
    for number, at in enumerate(_steps(bar)):
        half = 2.0 if number == 0 or at == bar.length else 1.0
        drawn += marks.line((x + at, y - half), (x + at, y + half), marks.THIN if half < 2 else marks.MEDIUM)
    return drawn


def _upright(bar: Bar, x: float, y: float) -> str:
    """A bar down the page, its name on its left, read from below."""
    drawn = marks.line((x, y), (x, y + bar.length), marks.MEDIUM)
    for number, at in enumerate(_steps(bar)):
        half = 2.0 if number == 0 or at == bar.length else 1.0
        drawn += marks.line((x - half, y + at), (x + half, y + at), marks.THIN if half < 2 else marks.MEDIUM)
    height = marks.SMALL * marks.CAPITALS * marks.POINT
    return drawn + marks.words(x - 3.2 - height, y + bar.length / 2, f"{bar.name} down", anchor="middle", turn=-90)


def _steps(bar: Bar) -> Sequence[float]:
    count = round(bar.length / bar.step)
    return [bar.length * number / count for number in range(count + 1)] if count else [0.0, bar.length]


def _scattered(
    layout: Layout,
    squares: Sequence[Square],
    across: Sequence[Bar],
    uprights: Sequence[Bar],
    texts: Sequence[str],
    title: str,
) -> str:
    """On a small paper: each square and the bars on pages of their own, the words on others, as many as it takes."""
    new = marks.page(layout.paper.width, layout.paper.height)
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    parts: list[str] = []
    for square in squares:
        parts += [new, _square(square, layout.margin, layout.margin, "")]
    parts.append(new)
    parts += [_level(bar, layout.margin, layout.margin + number * _ROW) for number, bar in enumerate(across)]
    parts.append(new)
    for number, bar in enumerate(uprights):
        x = layout.margin + wide - 2.5 - number * _COLUMN
        parts.append(_upright(bar, x, layout.margin + (high - bar.length) / 2))
    parts.append(marks.page(layout.paper.width, layout.paper.height, layout.margin))
    parts.append(f"#set text(size: {marks.SMALL:g}pt)\n*#{quoted(title)}*\n\n" + "\n\n".join(texts) + "\n")
    return "".join(parts)
