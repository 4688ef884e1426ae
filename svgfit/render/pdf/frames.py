"""What stands round the drawing on a true-to-size page: its name, a check line, edge marks, where to trim.

Every page with a neighbour on its right or below is trimmed there and laid on that neighbour, up to the dashed line;
the halves of the edge marks then make whole diamonds. Lines are broken where the drawing's words are, and marks move
along; the words are set by ``templates/frame.typ``. All in mm from the page's upper left corner, y down.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.box import Box
from svgfit.model.length import MM_PER_INCH, Units
from svgfit.model.vocabulary import Unit
from svgfit.render.pdf.avoid_words import place, stretches
from svgfit.render.pdf.tiling import Layout, Tile, Tiling, row_name

MARK = 4.0
"""How far half an edge mark reaches from the line, mm."""
MARKS_AT = (0.25, 0.75)
"""Where the edge marks stand along an edge, as parts of it."""
_CORNER = 5.0

Point = tuple[float, float]
Line = tuple[float, float, float, float]
"""From x, y to x, y."""


class CheckLine(Struct, frozen=True):
    """The small line to measure on every page."""

    length: float
    name: str


class Frame(Struct, frozen=True):
    """One page's lines and words."""

    paper: tuple[float, float]
    margin: float
    shows: Box
    """The part of the page that shows the drawing."""
    name: str
    title: str
    trim: str
    check: CheckLine
    corners: tuple[Line, ...]
    trimmed: tuple[Line, ...]
    """Where to cut."""
    laid_on: tuple[Line, ...]
    """How far a neighbour lies on this page."""
    marks: tuple[tuple[Point, ...], ...]
    """Halves of edge marks."""
    after: str | None
    """Name of the page on which the right edge is laid."""
    below: str | None
    before: str | None
    """Name of the page that is laid on the left edge."""


def frame(tiling: Tiling, tile: Tile, title: str, units: Units, words: Sequence[Box] = ()) -> Frame:
    """Frame one page; ``words``: boxes round the drawing's own words and figures, in its page mm."""
    layout = tiling.layout
    after, below = tiling.at(tile.row, tile.column + 1), tiling.at(tile.row + 1, tile.column)
    before, above = tiling.at(tile.row, tile.column - 1), tiling.at(tile.row - 1, tile.column)
    here = _shown(layout, tile, words)
    left, top, right, bottom = shows = _shows(layout)
    cuts = [(right, top, right, bottom)] * (after is not None) + [(left, bottom, right, bottom)] * (below is not None)
    dashed: list[Line] = [(left + layout.overlap, top, left + layout.overlap, bottom)] * (before is not None)
    dashed += [(left, top + layout.overlap, right, top + layout.overlap)] * (above is not None)
    marks = [_half(shows, share, line, -1, here) for line in cuts for share in MARKS_AT]
    marks += [_half(shows, share, line, 1, here) for line in dashed for share in MARKS_AT]
    sides = ["right"] * (after is not None) + ["lower"] * (below is not None)
    at = f"row {row_name(tile.row)} of {row_name(tiling.rows - 1)}, column {tile.column + 1} of {tiling.columns}"
    return Frame(
        (layout.paper.width, layout.paper.height),
        layout.margin,
        shows,
        tile.name,
        f"{title}: {at}" if title else at,
        f"Trim the {' and the '.join(sides)} edge." if sides else "Trim nothing.",
        check_line(layout.width, units),
        _broken(_corners(shows), here),
        _broken(cuts, here),
        _broken(dashed, here),
        tuple(marks),
        *(None if one is None else one.name for one in (after, below, before)),
    )


def check_line(width: float, units: Units) -> CheckLine:
    """Choose the check line of a page that shows so much across, mm."""
    sizes = ((110, 50.0, "50 mm"), (75, 20.0, "20 mm"), (0, 10.0, "10 mm"))
    if units.unit == Unit.IN:
        sizes = ((110, 2 * MM_PER_INCH, "2 in"), (75, MM_PER_INCH, "1 in"), (0, MM_PER_INCH / 2, "1/2 in"))
    return next(CheckLine(length, name) for least, length, name in sizes if width >= least)


def _shown(layout: Layout, tile: Tile, words: Sequence[Box]) -> list[Box]:
    """Find the boxes on and about the page, from its own upper left corner."""
    x, y = layout.margin - tile.left, layout.top - tile.top
    boxes = [(left + x, top + y, right + x, bottom + y) for left, top, right, bottom in words]
    wide, high, air = layout.paper.width, layout.paper.height, 2 * MARK
    return [box for box in boxes if -air < box[2] and box[0] < wide + air and -air < box[3] and box[1] < high + air]


def _shows(layout: Layout) -> Box:
    return layout.margin, layout.top, layout.margin + layout.width, layout.top + layout.height


def _corners(shows: Box) -> list[Line]:
    """Draw short angles at the corners of what the page shows."""
    left, top, right, bottom = shows
    return [
        (x, y, *end)
        for x, inwards in ((left, 1), (right, -1))
        for y, down in ((top, 1), (bottom, -1))
        for end in ((x + inwards * _CORNER, y), (x, y + down * _CORNER))
    ]


def _broken(lines: Sequence[Line], words: Sequence[Box]) -> tuple[Line, ...]:
    """Break level and upright lines where words are."""
    return tuple((*start, *end) for x, y, to_x, to_y in lines for start, end in stretches((x, y), (to_x, to_y), words))


def _half(shows: Box, share: float, line: Line, way: int, words: Sequence[Box]) -> tuple[Point, ...]:
    """Draw half a diamond, its base on a line across the page or down it; its other half is on the neighbour."""
    level = line[1] == line[3]
    left, top, right, bottom = shows
    start, size, base = (left, right - left, line[1]) if level else (top, bottom - top, line[0])
    middle = place(start, size, share, base, MARK, words, level)
    along, across = (middle - MARK, middle, middle + MARK), (base, base + way * MARK, base)
    return tuple(zip(*((along, across) if level else (across, along)), strict=True))
