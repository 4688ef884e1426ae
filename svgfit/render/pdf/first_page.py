"""The page to print first: squares and bars to measure, and what to do when they don't measure.

Everything stands within the margins, so that any printer prints all of it. On a paper too small for the squares of
100 mm and 4 in there are smaller ones, on as many pages as they need.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, sixteenths
from svgfit.render.annotate.tables import CAUTIONS
from svgfit.render.pdf import marks
from svgfit.render.pdf.failures import failure_box, placed_box
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import Layout
from svgfit.render.pdf.typesetting import millimetres, quoted
from svgfit.rules.lettering import HANDOUT_SQUARE

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
_NO_TABLE = 45.0
"""On less than this, mm, it is a list."""
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


def first_page(layout: Layout, title: str, about: str, failed: Sequence[str] = ()) -> str:
    """The markup of the page, or of several on a small paper; ``about`` says which paper to load.

    ``failed``: checks that failed, which stand in a black frame; on a page before this one where it has no room.
    """
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    squares = _squares(min(wide, high))
    uprights = _longest(high)
    column = _COLUMN * len(uprights) + 2
    across = _bars(wide - column)
    side_by_side = sum(square.side for square in squares) + _GAP + column
    stacked = _HEAD + sum(square.side + _GAP for square in squares) + len(across) * _ROW
    if squares[0].side < 100 or (side_by_side > wide and stacked > high):
        return small_first_pages(layout, uprights, about, title, failed)
    texts = _texts(uprights[0], about, squares, wide=wide)
    left, top = layout.margin, layout.margin + _HEAD
    places = [(left, top)]
    if side_by_side <= wide:
        places.append((left + squares[0].side + _GAP, top))
        below = top + max(square.side for square in squares) + _GAP
        beside = left + side_by_side - column + _GAP
    else:
        places.append((left, top + squares[0].side + _GAP))
        below = places[1][1] + squares[1].side + _GAP
        beside = left + max(square.side for square in squares) + _GAP
    parts = [marks.page(layout.paper.width, layout.paper.height), _head(layout, title, wide - column)]
    for square, (x, y), text, size in zip(squares, places, texts, (HANDOUT_SQUARE, marks.SMALL), strict=True):
        parts.append(_square(square, x, y, text, size))
    for number, bar in enumerate(across):
        parts.append(_level(bar, left, below + number * _ROW))
    for number, bar in enumerate(uprights):
        parts.append(_upright(bar, left + wide - 2.5 - number * _COLUMN, layout.margin + (high - bar.length) / 2))
    if not failed:
        return "".join(parts)
    under = below + len(across) * _ROW
    box = placed_box(
        failed,
        [
            (left, under, wide - column, layout.margin + high - under),
            (beside, top, left + wide - column - beside, below - _GAP - top),
        ],
    )
    if box is not None:
        return "".join((*parts, box))
    before = marks.page(layout.paper.width, layout.paper.height)
    return "".join((before, failure_box(failed, min(wide, 180.0)).drawn(left, layout.margin), *parts))


_METRIC, _INCHES = (100, 50, 20, 10), (4, 2, 1, 0.5)


def _squares(room: float) -> tuple[Square, Square]:
    """The largest that have room, or the smallest there are."""
    metric, inches = _by_size()
    return (
        next((one for one in metric if one.side <= room + _HAIR), metric[-1]),
        next((one for one in inches if one.side <= room + _HAIR), inches[-1]),
    )


def _by_size() -> tuple[list[Square], list[Square]]:
    return (
        [Square(side, f"{side:g} mm square") for side in _METRIC],
        [Square(side * MM_PER_INCH, f"{side:g} in square") for side in _INCHES],
    )


def _squares_with_names(wide: float, high: float) -> tuple[Square, Square]:
    """As ``_squares``, where also their names have room; the smallest even where not."""

    def fits(one: Square) -> bool:
        return max(one.side, _named(one)) <= wide + _HAIR and _tall(one) <= high + _HAIR

    metric, inches = _by_size()
    return next(filter(fits, metric), metric[-1]), next(filter(fits, inches), inches[-1])


def _bars(room: float) -> tuple[Bar, Bar]:
    metric = next((side for side in (150, 100, 50) if side <= room + _HAIR), 20)
    inches = next((side for side in (6, 4, 2) if side * MM_PER_INCH <= room + _HAIR), 1)
    return Bar(metric, f"{metric:g} mm", 10), Bar(inches * MM_PER_INCH, f"{inches:g} in", MM_PER_INCH)


def _longest(room: float) -> tuple[Bar, Bar]:
    """The longest bars of whole centimetres and of whole inches."""
    metric, inches = int((room + _HAIR) // 10) * 10, int((room + _HAIR) // MM_PER_INCH)
    return Bar(metric, f"{metric} mm", 10), Bar(inches * MM_PER_INCH, f"{inches} in", MM_PER_INCH)


# -- what is written -----------------------------------------------------------------------------------------------


def _texts(
    longest: Bar, about: str, squares: Sequence[Square], *, wide: float, alone: str = "this page"
) -> tuple[str, str]:
    """Markup inside the two squares: what to do, and the table of what they and the bar measure."""
    steps = (
        f"Load {about}. In the print dialog choose “actual size” or 100\u00a0%: not “fit”, not “shrink to printable "
        "area”.",
        f"Print {alone} alone and measure the squares both ways, and the bars, with the ruler you sew by.",
        "Everything right? Then print the rest in the same way.",
        f"Something wrong? Find it in the table, mend it, and print {alone} again first.",
    )
    listed = "".join(f"+ #{quoted(step)}\n" for step in steps)
    cautions = "".join(f"#{quoted(line)} " for line in (CAUTIONS[0], CAUTIONS[2]))
    return f"{listed}\n{cautions}", _table(longest, squares, wide=wide)


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


def _table(longest: Bar, squares: Sequence[Square], *, wide: float) -> str:
    square, inches = (one.side for one in squares)
    head = (f"{square:g} mm is", f"{inches / MM_PER_INCH:g} in is", f"{longest.name} is", "print is at", "most likely")
    kept = (0, 3, 4) if wide < _NARROW else range(len(head))
    cells = [f"[*#{quoted(head[k])}*]" for k in kept]
    for part, why in (*reductions(), (WRONG_PIXEL, "see below")):
        texts = (
            f"{square * part:.1f} mm",
            f"{sixteenths(inches * part)} in",
            f"{longest.length * part:.1f} mm",
            f"{100 * part:.2f} %",
            why,
        )
        cells += [f"[#{quoted(texts[k])}]" for k in kept]
    times = "" if square == 100 else f", {100 / square:g} times,"
    more = (
        f"For any other figure: what the {square:g} mm square measures in mm{times} is the percentage.",
        "Are squares and bars right, but a line of known length in the pattern itself measures "
        f"{100 * WRONG_PIXEL:.2f} %? Then the drawing is an old one, made at 90 pixels to the inch and read at 96: "
        "run svgfit again with --scale 90.",
    )
    if wide < _NO_TABLE:
        rows = [f"{100 * part:.2f} %: {why}" for part, why in (*reductions(), (WRONG_PIXEL, "see below"))]
        return "\n\n".join(f"#{quoted(line)}" for line in ("The print is at", *rows, *more))
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
    if not _holds_name(square):
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


# -- a small paper -------------------------------------------------------------------------------------------------


def small_first_pages(layout: Layout, uprights: Sequence[Bar], about: str, title: str, failed: Sequence[str]) -> str:
    """The words first, on as many pages as they take, then the squares and bars, as many on a page as it holds whole.

    What does not fit whole on the paper is left out, and said to be.
    """
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    squares = _squares_with_names(wide, high)
    drawn = [square for square in squares if square.side <= wide + _HAIR and _tall(square) <= high + _HAIR]
    across = [bar for bar in _bars(wide) if bar.length <= wide + _HAIR]
    down = [bar for bar in uprights if 0 < bar.length <= high + _HAIR]
    missing = [one.name for one in squares if one not in drawn]
    missing += [f"{one.name} across" for one in _bars(wide) if one not in across]
    missing += [f"the bar of {'inches' if number else 'centimetres'} down" for number in (0, 1) if len(down) <= number]
    return "".join(
        (
            marks.page(layout.paper.width, layout.paper.height, layout.margin),
            *_small_words(layout, squares, uprights, about, title, failed, missing),
            *_packed(layout, drawn, across, down),
        )
    )


def _small_words(
    layout: Layout,
    squares: Sequence[Square],
    uprights: Sequence[Bar],
    about: str,
    title: str,
    failed: Sequence[str],
    missing: Sequence[str],
) -> Iterable[str]:
    wide = layout.paper.width - 2 * layout.margin
    alone = "the pages with words, squares and bars"
    if failed:
        box = failure_box(failed, wide - 2, marks.SMALL)
        yield f"#block(width: {millimetres(box.width)}, height: {millimetres(box.height + 2)})[\n{box.drawn(1, 1)}]\n"
    yield f"#set text(size: {marks.SMALL:g}pt)\n*#{quoted(title)}*\n\n"
    yield "\n\n".join(_texts(uprights[0], about, squares, wide=wide, alone=alone)) + "\n\n"
    smaller = "Larger squares have no room within these margins."
    left_out = f" Left out, since there is no room for them: {', '.join(missing)}." if missing else ""
    yield f"#{quoted(f'The squares and bars are on the next page, or pages. {smaller}{left_out}')}\n"


def _packed(layout: Layout, squares: Sequence[Square], across: Sequence[Bar], down: Sequence[Bar]) -> Iterable[str]:
    """Squares and level bars one below the other; the upright bars beside the last of them, else on a page more."""
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    new = marks.page(layout.paper.width, layout.paper.height)
    left, top = layout.margin, layout.margin
    y, widest = high + top, 0.0  # so that the first of them begins a page
    for one in (*squares, *across):
        tall, width = (_ROW, one.length) if isinstance(one, Bar) else (_tall(one), one.side)
        if y + tall > top + high + _HAIR:
            yield new
            y, widest = top, 0.0
        yield _level(one, left, y) if isinstance(one, Bar) else _square(one, left, y, "")
        y, widest = y + tall + (0.0 if isinstance(one, Bar) else _GAP), max(widest, width, _named(one))
    if widest > wide - _COLUMN * len(down) - 2 or not (squares or across):
        yield new
    for number, bar in enumerate(down):
        yield _upright(bar, left + wide - 2.5 - number * _COLUMN, top + (high - bar.length) / 2)


def _tall(square: Square) -> float:
    """Height of a square, with its name where that stands beneath."""
    return square.side + (0.0 if _holds_name(square) else _INSIDE + marks.SMALL * marks.CAPITALS * marks.POINT)


def _named(one: Square | Bar) -> float:
    """Width of the name."""
    return marks.width_of(f"{one.name} across" if isinstance(one, Bar) else one.name)


def _holds_name(square: Square) -> bool:
    return marks.width_of(square.name, 11, bold=True) + 2 * _INSIDE <= square.side
