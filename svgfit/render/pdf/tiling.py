"""Tiling: which pages a drawing needs, and what of it each of them shows. Pure; all in mm, y down.

The pages lie in a grid. Each shows as much as its paper has room for within the margins; what two neighbours both show
is the overlap. A page is left out where all that is drawn on its part of the grid shows on others that are printed.
Where the grid has room to spare, it is shifted so that few words lie where pages are joined.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.box import Box
from svgfit.model.length import both_ways
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.papers import Paper

WORDS = 11.0
"""The least distance of the drawing from the upper end of the paper, mm: there stand the page's words."""
_LEAST = 20.0
"""The least that a page must add to the one before it, mm."""
_MOST_PAGES = 20_000
_SHIFT = 1.0
"""By so much, mm, the grid is shifted at a time to find where it cuts fewest words."""
_JOIN = 1.0
"""A word nearer than this to where pages are joined, mm, counts as cut there."""

Ink = NDArray[np.bool_]


class Inked(Struct, frozen=True):
    """Where something is drawn: a raster of cells, true where a cell holds ink."""

    left: float
    top: float
    cell: float
    """Side of a cell, mm."""
    cells: Ink
    """(rows, columns); its own box is the box of all ink."""

    @property
    def width(self) -> float:
        """Of all ink."""
        return self.cells.shape[1] * self.cell

    @property
    def height(self) -> float:
        """Of all ink."""
        return self.cells.shape[0] * self.cell


class PrintArea(Struct, frozen=True):
    """A paper turned one way, and what of it shows the drawing."""

    paper: Paper
    margin: float
    overlap: float
    foot: float = 0.0
    """Kept free above the lower margin, mm: for a scale bar."""

    @property
    def orientation(self) -> str:
        """``portrait`` or ``landscape``; a square paper is portrait."""
        return "landscape" if self.paper.width > self.paper.height else "portrait"

    @property
    def top(self) -> float:
        """Where the drawing begins below the upper end of the paper: the margin, more where words need it."""
        return max(self.margin, WORDS)

    @property
    def width(self) -> float:
        """Of what a page shows."""
        return self.paper.width - 2 * self.margin

    @property
    def height(self) -> float:
        """Of what a page shows."""
        return self.paper.height - self.top - self.margin - self.foot

    @property
    def shows(self) -> Box:
        """The part of the paper that shows the drawing."""
        return self.margin, self.top, self.margin + self.width, self.top + self.height


class Tile(Struct, frozen=True):
    """One page: its place in the grid and the box of the drawing that it shows, in page mm of the drawing."""

    row: int
    column: int
    left: float
    top: float
    width: float
    height: float

    @property
    def name(self) -> str:
        """Row and column, such as ``B3``.

        >>> Tile(27, 2, 0.0, 0.0, 1.0, 1.0).name
        'AB3'
        """
        return f"{row_name(self.row)}{self.column + 1}"

    @property
    def box(self) -> Box:
        """What it shows of the drawing."""
        return self.left, self.top, self.left + self.width, self.top + self.height


class Tiling(Struct, frozen=True):
    """A drawing's pages."""

    area: PrintArea
    rows: int
    columns: int
    left: float
    """Where the grid begins in the drawing."""
    top: float
    tiles: tuple[Tile, ...]
    """Row by row; only those that are printed."""

    @property
    def blank(self) -> int:
        """How many pages of the grid are left out."""
        return self.rows * self.columns - len(self.tiles)

    def at(self, row: int, column: int) -> Tile | None:
        """Find the page at a place of the grid; None where none is printed."""
        return next((tile for tile in self.tiles if (tile.row, tile.column) == (row, column)), None)


def row_name(row: int) -> str:
    """Spell a row: A to Z, then AA, AB and so on."""
    name = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        name = chr(65 + rest) + name
    return name


def print_areas(
    paper: Paper, orientation: str | None, margin: float, overlap: float, foot: float = 0.0
) -> tuple[PrintArea, ...]:
    """List the ways to turn the paper that are to be tried. Raises Refusal where none has room within its margins."""
    for name, value in (("--margin", margin), ("--overlap", overlap)):
        if not 0 <= value < math.inf:
            raise Refusal(name, f"{both_ways(value)} is not possible", "give a length of 0 or more, such as 1/2 in")
    turned = {"portrait": (paper.portrait,), "landscape": (paper.landscape,)}
    ways = turned.get(orientation or "", (paper.portrait, paper.landscape))
    if ways[0] == ways[-1]:
        ways = ways[:1]
    found = tuple(PrintArea(way, margin, overlap, foot) for way in ways)
    for one in found:
        if min(one.width, one.height) < overlap + _LEAST:
            room = max(0.0, min(one.width, one.height))
            what = f"{one.paper.described()} is too small: within margins of {both_ways(margin)}, {both_ways(room)} is "
            what += f"left, of which pages overlap by {both_ways(overlap)}"
            raise Refusal("--paper", what, "take a larger paper, or a smaller --margin or --overlap")
    return found


def tile(ink: Inked, ways: tuple[PrintArea, ...], words: Sequence[Box] = ()) -> Tiling:
    """Divide what is drawn into pages, on the paper turned the way that needs fewest (the first where equal).

    ``words`` are boxes round what is written: of the ways to lay the grid that need no more pages, the one is taken
    that cuts fewest of them, the most even one of equals.
    """
    return min((_tiled(ink, way, words) for way in ways), key=lambda tiling: len(tiling.tiles))


def _tiled(ink: Inked, area: PrintArea, words: Sequence[Box]) -> Tiling:
    columns, across = _along(ink.left, ink.width, area.width, area.overlap)
    rows, down = _along(ink.top, ink.height, area.height, area.overlap)
    if rows * columns > _MOST_PAGES:
        what = f"it would take a grid of {rows} x {columns} pages of {area.paper.described()}"
        raise Refusal("--paper", what, "take a larger paper, and look with svgfit inspect whether the scale is right")
    lefts = [(box[0], box[2]) for box in words]
    tops = [(box[1], box[3]) for box in words]
    left = _clearest(across, columns, area.width, area.overlap, lefts)
    top = _clearest(down, rows, area.height, area.overlap, tops)
    middle = _grid(ink, area, (rows, columns), (sum(across) / 2, sum(down) / 2))
    shifted = _grid(ink, area, (rows, columns), (left, top))
    return shifted if len(shifted.tiles) <= len(middle.tiles) else middle


def _grid(ink: Inked, area: PrintArea, size: tuple[int, int], start: tuple[float, float]) -> Tiling:
    """Lay a grid of (rows, columns) pages that begins at (left, top), and keep those that are needed."""
    (rows, columns), (left, top) = size, start
    steps = area.width - area.overlap, area.height - area.overlap
    every = [
        Tile(row, column, left + column * steps[0], top + row * steps[1], area.width, area.height)
        for row in range(rows)
        for column in range(columns)
    ]
    return Tiling(area, rows, columns, left, top, tuple(_needed(ink, every, area.overlap)))


def _along(start: float, size: float, shown: float, overlap: float) -> tuple[int, tuple[float, float]]:
    """Count the pages one way, and say between which places the first may begin: there is some room to spare."""
    count = max(1, math.ceil((size - overlap) / (shown - overlap) - 1e-9))
    spare = shown + (count - 1) * (shown - overlap) - size
    return count, (start - spare, start)


def _clearest(
    between: tuple[float, float], count: int, shown: float, overlap: float, words: Sequence[tuple[float, float]]
) -> float:
    """Find where the first of ``count`` pages begins so that fewest words (from, to) lie on a join."""
    middle, half = sum(between) / 2, (between[1] - between[0]) / 2
    if count < 2 or not words or half < _SHIFT:
        return middle
    steps = np.arange(int(half / _SHIFT) + 1) * _SHIFT
    starts = middle + np.stack([steps, -steps], axis=1).ravel()
    first, last = (np.array([word[side] for word in words]) for side in (0, 1))
    cut = np.zeros(len(starts), np.intp)
    for number in range(count - 1):
        joins = starts[:, None] + shown + number * (shown - overlap)
        cut += ((joins > first - _JOIN) & (joins < last + _JOIN)).sum(axis=1)
    return float(starts[int(np.argmin(cut))])


def _needed(ink: Inked, tiles: list[Tile], overlap: float) -> list[Tile]:
    """Keep the pages without which something drawn would be missing; those with least ink are tried first."""
    if overlap < 2 * ink.cell:  # then a cell may lie on two pages by halves, and each of them is needed
        return [each for each in tiles if bool(ink.cells[_cells(ink, each, whole=False)].any())]
    spans = {each.name: _cells(ink, each, whole=True) for each in tiles}
    shown = np.zeros(ink.cells.shape, np.int16)
    for span in spans.values():
        shown[span] += 1
    kept: list[Tile] = []
    for each in sorted(tiles, key=lambda one: int(ink.cells[spans[one.name]].sum())):
        span = spans[each.name]
        if bool(np.any(ink.cells[span] & (shown[span] <= 1))):
            kept.append(each)
        else:
            shown[span] -= 1
    return sorted(kept, key=lambda one: (one.row, one.column))


def _cells(ink: Inked, each: Tile, *, whole: bool) -> tuple[slice, slice]:
    """Find the cells that lie wholly, or also those that lie partly, on a page."""

    def span(start: float, size: float, origin: float, count: int) -> slice:
        first, last = (start - origin) / ink.cell, (start + size - origin) / ink.cell
        first, last = (math.ceil(first - 1e-6), math.floor(last + 1e-6)) if whole else (first // 1, -(-last // 1))
        return slice(int(min(max(first, 0), count)), int(min(max(last, 0), count)))

    rows, columns = ink.cells.shape
    return span(each.top, each.height, ink.top, rows), span(each.left, each.width, ink.left, columns)
