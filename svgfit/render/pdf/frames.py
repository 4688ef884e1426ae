"""What stands round the drawing on a true-to-size page: its name, a check line, edge marks, where to trim.

Every page with a neighbour on its right or below is trimmed there and laid on that neighbour, up to the dashed line;
the halves of the edge marks then make whole diamonds. Marks lie within what any printer prints; words stand in the
margin, where nothing of the drawing is. Lines are broken where the drawing's words are, and marks move along.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.box import Box
from svgfit.model.length import MM_PER_INCH
from svgfit.render.pdf import marks
from svgfit.render.pdf.avoid_words import place, stretches
from svgfit.render.pdf.tiling import Layout, Tile, Tiling, row_name

MARK = 4.0
"""How far half an edge mark reaches from the line, mm."""
MARKS_AT = (0.25, 0.75)
"""Where the edge marks stand along an edge, as parts of it."""
_WORDS = 4.3
"""Distance from the drawing up to the tops of the words over it, mm."""
_AWAY = 1.6
"""Distance of words from a line, mm."""
_ROOM = 6.3
"""A margin narrower than this, mm, has no room for words beside an edge."""
_CORNER = 5.0


def frame(tiling: Tiling, tile: Tile, title: str, unit: str, words: Sequence[Box] = ()) -> str:
    """The markup of one page; ``words``: boxes round the drawing's own words and figures, in its page mm."""
    layout = tiling.layout
    after = [tiling.at(tile.row, tile.column + 1), tiling.at(tile.row + 1, tile.column)]
    before = [tiling.at(tile.row, tile.column - 1), tiling.at(tile.row - 1, tile.column)]
    here = _shown(layout, tile, words)
    parts = [marks.page(layout.paper.width, layout.paper.height)]
    parts += _corners(layout, here)
    for turned, other in enumerate(after):
        if other is not None:
            parts += _trimmed(layout, other, bool(turned), here)
    for turned, other in enumerate(before):
        if other is not None:
            parts += _laid_on(layout, other, bool(turned), here)
    parts += _head(tiling, tile, title, unit, [other for other in after if other is not None])
    return "".join(parts)


def _shown(layout: Layout, tile: Tile, words: Sequence[Box]) -> list[Box]:
    """The boxes on and about the page, from its own upper left corner."""
    x, y = layout.margin - tile.left, layout.top - tile.top
    boxes = [(left + x, top + y, right + x, bottom + y) for left, top, right, bottom in words]
    wide, high, air = layout.paper.width, layout.paper.height, 2 * MARK
    return [box for box in boxes if -air < box[2] and box[0] < wide + air and -air < box[3] and box[1] < high + air]


def check_length(width: float, unit: str) -> tuple[float, str]:
    """The small check line of every page: its length in mm and what it is called."""
    sizes = ((110, 50.0, "50 mm"), (75, 20.0, "20 mm"), (0, 10.0, "10 mm"))
    if unit == "in":
        sizes = ((110, 2 * MM_PER_INCH, "2 in"), (75, MM_PER_INCH, "1 in"), (0, MM_PER_INCH / 2, "1/2 in"))
    return next((length, name) for least, length, name in sizes if width >= least)


def check_line(x: float, y: float, length: float, name: str) -> Iterable[str]:
    """A level line that ends at ``x`` on the right, with ticks at its ends, its name on the left of it."""
    yield marks.line((x - length, y), (x, y), marks.MEDIUM)
    for end in (x - length, x):
        yield marks.line((end, y - 1.3), (end, y + 1.3), marks.MEDIUM)
    height = marks.SMALL * marks.CAPITALS * marks.POINT
    yield marks.words(x - length - _AWAY, y - height / 2, name, anchor="end")


def _head(tiling: Tiling, tile: Tile, title: str, unit: str, after: list[Tile]) -> Iterable[str]:
    """The line over the drawing: name, what to trim, title, check line."""
    layout = tiling.layout
    top, right = layout.top - _WORDS, layout.margin + layout.width
    length, called = check_length(layout.width, unit)
    yield from check_line(right - 0.2, top + marks.SMALL * marks.CAPITALS * marks.POINT / 2, length, called)
    x, size = layout.margin, 12.0
    rise = (size - marks.SMALL) * marks.CAPITALS * marks.POINT
    yield marks.words(x, top - rise, tile.name, size, bold=True)
    x += marks.width_of(tile.name, size, bold=True) + 3
    room = right - length - marks.width_of(called) - 2 * _AWAY - 2 - x
    sides = [
        side
        for side, other in (("right", (tile.row, tile.column + 1)), ("lower", (tile.row + 1, tile.column)))
        if other in [(one.row, one.column) for one in after]
    ]
    trim = f"Trim the {' and the '.join(sides)} edge." if sides else "Trim nothing."
    if marks.width_of(trim) <= room:
        yield marks.words(x, top, trim)
        x, room = x + marks.width_of(trim) + 3, room - marks.width_of(trim) - 3
    told = f"row {row_name(tile.row)} of {row_name(tiling.rows - 1)}, column {tile.column + 1} of {tiling.columns}"
    told = f"{title}: {told}" if title else told
    if room > 15:
        yield marks.words(x, top, marks.shortened(told, room))


def _corners(layout: Layout, words: Sequence[Box]) -> Iterable[str]:
    """Short angles at the corners of what the page shows."""
    left, top, right, bottom = _box(layout)
    for x, inwards in ((left, 1), (right, -1)):
        for y, down in ((top, 1), (bottom, -1)):
            for end in ((x + inwards * _CORNER, y), (x, y + down * _CORNER)):
                for first, last in stretches((x, y), end, words):
                    yield marks.line(first, last, marks.THIN)


def _box(layout: Layout) -> tuple[float, float, float, float]:
    return layout.margin, layout.top, layout.margin + layout.width, layout.top + layout.height


def _trimmed(layout: Layout, other: Tile, below: bool, words: Sequence[Box]) -> Iterable[str]:
    """The right edge (or the lower one): a line to cut along, the first halves of the edge marks, what to do."""
    left, top, right, bottom = _box(layout)
    start, end = ((left, bottom), (right, bottom)) if below else ((right, top), (right, bottom))
    for first, last in stretches(start, end, words):
        yield marks.line(first, last, marks.MEDIUM)
    for share in MARKS_AT:
        yield _half(layout, share, below, bottom if below else right, -1, words)
    if layout.margin < _ROOM:
        return
    text = f"Trim here, then lay this edge on {other.name}."
    if below:
        text = marks.shortened(text, layout.width / 2)
        yield marks.words((left + right) / 2, bottom + _AWAY, text, anchor="middle")
    else:
        text = marks.shortened(text, layout.height / 2)
        height = marks.SMALL * marks.CAPITALS * marks.POINT
        yield marks.words(right + _AWAY + height, (top + bottom) / 2, text, anchor="middle", turn=90)


def _laid_on(layout: Layout, other: Tile, above: bool, words: Sequence[Box]) -> Iterable[str]:
    """The left edge (or the upper one): how far the neighbour lies on it, the other halves of the edge marks."""
    left, top, right, bottom = _box(layout)
    start, end = (left, top + layout.overlap), (right, top + layout.overlap)
    if not above:
        start, end = (left + layout.overlap, top), (left + layout.overlap, bottom)
    for first, last in stretches(start, end, words):
        yield marks.line(first, last, marks.THIN, dash="dashed", colour=marks.GREY)
    for share in MARKS_AT:
        yield _half(layout, share, above, (top if above else left) + layout.overlap, 1, words)
    if not above and layout.margin >= _ROOM:
        text = f"{other.name} is laid on this edge, up to the dashed line."
        text = marks.shortened(text, layout.height / 2)
        height = marks.SMALL * marks.CAPITALS * marks.POINT
        yield marks.words(left - _AWAY - height, (top + bottom) / 2, text, anchor="middle", turn=-90)


def _half(layout: Layout, share: float, level: bool, base: float, way: int, words: Sequence[Box]) -> str:
    """Half a diamond, its base on a line across the page (``level``) or down it; its other half is on the neighbour."""
    left, top, right, bottom = _box(layout)
    start, size = (left, right - left) if level else (top, bottom - top)
    middle = place(start, size, share, base, MARK, words, level)
    along, across = (middle - MARK, middle, middle + MARK), (base, base + way * MARK, base)
    return marks.outline(list(zip(*((along, across) if level else (across, along)), strict=True)), marks.MEDIUM)
