"""The data of what stands round the drawing on a true-to-size page: its name, a check line, neighbours, words to avoid.

Every page with a neighbour on its right or below is trimmed there and laid on that neighbour, up to the dashed line;
the halves of the edge marks then make whole diamonds. Lines are broken where the drawing's words are, and marks move
along: that, and where words stand, is said in ``templates/frame.typ``.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.box import Box, boxes_overlap
from svgfit.model.length import Units
from svgfit.model.vocabulary import Unit
from svgfit.render.pdf.tiling import PrintArea, Tile, Tiling, row_name

MARK = 4.0
"""How far half an edge mark reaches from the line, mm."""
MARKS_AT = (0.25, 0.75)
"""Where the edge marks stand along an edge, as parts of it."""


class Frame(Struct, frozen=True):
    """One page's frame; lengths in mm from the page's upper left corner, y down."""

    paper: tuple[float, float]
    margin: float
    shows: Box
    """The part of the page that shows the drawing."""
    overlap: float
    words: tuple[Box, ...]
    """Boxes round the drawing's own words and figures."""
    name: str
    title: str
    unit: Unit
    """Of the check line."""
    after: str | None
    """Name of the page on which the right edge is laid."""
    below: str | None
    before: str | None
    """Name of the page that is laid on the left edge."""
    above: str | None
    mark: float = MARK
    marks_at: tuple[float, ...] = MARKS_AT


def frame(tiling: Tiling, tile: Tile, title: str, units: Units, words: Sequence[Box] = ()) -> Frame:
    """Frame one page; ``words``: boxes round the drawing's own words and figures, in its page mm."""
    area = tiling.area
    row, column = tile.row, tile.column
    at = f"row {row_name(row)} of {row_name(tiling.rows - 1)}, column {column + 1} of {tiling.columns}"
    after, below, before, above = (
        None if (other := tiling.at(*place)) is None else other.name
        for place in ((row, column + 1), (row + 1, column), (row, column - 1), (row - 1, column))
    )
    return Frame(
        area.paper.size,
        area.margin,
        area.shows,
        area.overlap,
        _shown(area, tile, words),
        tile.name,
        f"{title}: {at}" if title else at,
        units.unit,
        after,
        below,
        before,
        above,
    )


def _shown(area: PrintArea, tile: Tile, words: Sequence[Box]) -> tuple[Box, ...]:
    """Find the boxes on and about the page, from its own upper left corner."""
    x, y, air = area.margin - tile.left, area.top - tile.top, 2 * MARK
    page = (-air, -air, area.paper.width + air, area.paper.height + air)
    boxes = ((left + x, top + y, right + x, bottom + y) for left, top, right, bottom in words)
    return tuple(box for box in boxes if boxes_overlap(box, page))
