"""Where the page is taken: a grid of cells under everything drawn, the boxes of what was placed, and lines between.

Everything in page millimetres. A box is (left, top, right, bottom); many boxes are an array (n, 4).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.geometry.raster import Grid, sample, sample_batches

_MOST_CELLS = 520
"""Along the longer side of the grid."""
_TO_BEYOND: NDArray[np.intp] = np.array((0, 1), dtype=np.intp)
"""From a box's first and last cell to its first and to the one behind its last."""


class Field(Struct, frozen=True):
    """The page as far as placing needs it."""

    page: Box
    origin: complex
    cell: float
    taken: NDArray[np.bool_]
    """One cell each, row by row."""
    sums: NDArray[np.int32]
    """Summed areas of ``taken``, with a row and a column of zeros before: any box is counted with four look-ups."""
    boxes: tuple[Box, ...] = ()
    """Labels and blocks placed so far."""
    lines: tuple[tuple[complex, complex], ...] = ()
    """Dimension, extension and leader lines drawn so far."""

    @property
    def grid(self) -> Grid:
        """The cells without what takes them."""
        rows, columns = self.taken.shape
        return Grid(self.origin, self.cell, (rows, columns))

    def with_box(self, box: Box) -> Field:
        """Place one more box."""
        return replace(self, boxes=(*self.boxes, box))

    def with_lines(self, lines: Iterable[tuple[complex, complex]]) -> Field:
        """Draw more lines."""
        return replace(self, lines=(*self.lines, *lines))

    def counts(self, boxes: Real) -> NDArray[np.int64]:
        """Count the taken cells that each box touches."""
        rows, columns = self.taken.shape
        grid = self.grid
        across, down = grid.columns_of(boxes[:, ::2]) + _TO_BEYOND, grid.rows_of(boxes[:, 1::2]) + _TO_BEYOND
        left, right = np.minimum(np.maximum(across, 0), columns).T
        top, bottom = np.minimum(np.maximum(down, 0), rows).T
        s = self.sums
        return (s[bottom, right] - s[top, right] - s[bottom, left] + s[top, left]).astype(np.int64)

    def at(self, points: Complex) -> NDArray[np.bool_]:
        """Test whether each point lies in a taken cell."""
        rows, columns = self.taken.shape
        x, y = self.grid.columns_of(points.real), self.grid.rows_of(points.imag)
        held = np.minimum(np.maximum(y, 0), rows - 1), np.minimum(np.maximum(x, 0), columns - 1)
        return self.grid.holds(y, x) & self.taken[held]

    def _taken_cells(self) -> NDArray[np.bool_]:
        taken = self.taken.copy()
        for box in self.boxes:
            taken[self.grid.span_of(box)] = True
        if self.lines:
            steps = [max(2, int(abs(last - first) / self.cell) + 2) for first, last in self.lines]
            points = [
                np.linspace(*ends, count, dtype=np.complex128) for ends, count in zip(self.lines, steps, strict=True)
            ]
            taken |= self.grid.cells_at(np.concatenate(points))
        return taken

    def coarse(self, factor: int = 2) -> Field:
        """Settle boxes and lines, for tables, in cells ``factor`` times as large."""
        fine = self._taken_cells()
        rows, columns = (-(-n // factor) for n in fine.shape)
        padded = np.zeros((rows * factor, columns * factor), bool)
        padded[: fine.shape[0], : fine.shape[1]] = fine
        level: NDArray[np.bool_] = np.logical_or.reduce([padded[k::factor] for k in range(factor)])
        taken: NDArray[np.bool_] = np.logical_or.reduce([level[:, k::factor] for k in range(factor)])
        return replace(self, cell=self.cell * factor, taken=taken, sums=_summed(taken), boxes=(), lines=())

    def filled(self, box: Box) -> Field:
        """Take the cells of a box: quickly, where they all were free."""
        rows, columns = span = self.grid.span_of(box)
        taken = self.taken.copy()
        taken[span] = True
        if self.taken[span].any():
            return replace(self, taken=taken, sums=_summed(taken))
        sums = self.sums.copy()
        beyond = sums[rows.start + 1 :, columns.start + 1 :]
        down = np.minimum(np.arange(1, beyond.shape[0] + 1, dtype=np.int32), np.int32(rows.stop - rows.start))
        across = np.minimum(np.arange(1, beyond.shape[1] + 1, dtype=np.int32), np.int32(columns.stop - columns.start))
        beyond += down[:, None] * across
        return replace(self, taken=taken, sums=sums)

    def without(self, mask: NDArray[np.bool_]) -> Field:
        """Take the cells of ``mask`` too."""
        taken = self.taken | mask
        return replace(self, taken=taken, sums=_summed(taken))

    def within(self, curves: Iterable[Curve]) -> NDArray[np.bool_]:
        """Find the cells inside closed curves."""
        mask = np.zeros(self.taken.shape, bool)
        for curve in curves:
            around = sample(curve.segments, self.cell * 0.6)
            levels = np.floor((around.imag - self.origin.imag) / self.cell + 0.5).astype(np.intp)
            columns = self.grid.columns_of(around.real)
            top, left = max(0, int(levels.min())), max(0, int(columns.min()))
            part = mask[top : max(0, int(levels.max())), left:]
            if part.size:  # only there can cells lie within
                grid = Grid(self.origin, self.cell, part.shape)
                part |= (grid.windings(levels - top, columns - left) & 1).astype(np.bool_)
        return mask

    def centres(self) -> Complex:
        """Give the middle of every cell, in the shape of ``taken``."""
        rows, columns = self.taken.shape
        x, y = np.arange(columns, dtype=np.float64) + 0.5, np.arange(rows, dtype=np.float64) + 0.5
        return self.origin + (x[None, :] + 1j * y[:, None]) * self.cell

    def find_room(self, width: float, height: float, margin: float) -> complex | None:
        """Find the top left corner of a free box of that size within the page, ``margin`` from its edges, or None.

        Of all free places the one nearest to the page's lower right corner, where drawings carry their title block.
        """
        rows, columns = self.taken.shape
        high, wide = int(np.ceil(height / self.cell)), int(np.ceil(width / self.cell))
        left, top = self._first(self.page[0] + margin, "real"), self._first(self.page[1] + margin, "imag")
        right = min(columns, self._cell(self.page[2] - margin - self.origin.real))
        bottom = min(rows, self._cell(self.page[3] - margin - self.origin.imag))
        if right - left < wide or bottom - top < high:
            return None
        s = self.sums[top : bottom + 1, left : right + 1]
        down = s[high:] - s[:-high]
        free = down[:, wide:] == down[:, :-wide]
        has_room = np.logical_or.reduce(free, axis=1)
        if not np.count_nonzero(has_room):
            return None
        last = free.shape[1] - 1 - free[:, ::-1].argmax(axis=1)
        reach = np.where(has_room, np.arange(len(free)) + last, -1)
        y = int(reach.argmax())
        return self.origin + complex(left + int(last[y]), top + y) * self.cell

    def _cell(self, distance: float) -> int:
        return int(np.floor(distance / self.cell))

    def _first(self, edge: float, part: str) -> int:
        return max(0, self._cell(edge - getattr(self.origin, part)) + 1)


def make_field(
    page: Box | None, curves: Sequence[Curve], others: Sequence[Curve], boxes: Sequence[Box], reach: float
) -> Field:
    """Make a field over the page and ``curves``, ``reach`` mm wider on each side; ``others`` count where in it.

    Without a page, the box of the curves is taken for one.
    """
    core = _joined(curves)
    around = [*(curve.control_box() for curve in curves), *([page] if page else [])]
    extent = box_around(around) if around else (0.0, 0.0, 0.0, 0.0)
    page = page or extent
    left, top, right, bottom = extent[0] - reach, extent[1] - reach, extent[2] + reach, extent[3] + reach
    cell = max(1.0, (max(right - left, bottom - top)) / _MOST_CELLS)
    shape = (int((bottom - top) / cell) + 1, int((right - left) / cell) + 1)
    field = Field(page, complex(left, top), cell, np.zeros(shape, bool), np.zeros((1, 1), np.int32))
    taken = np.zeros(shape, bool)
    for points in sample_batches(np.concatenate([core, _joined(others)]), cell * 0.7):
        field.grid.mark(points, taken)
    for box in boxes:
        taken[field.grid.span_of(box)] = True
    return replace(field, taken=taken, sums=_summed(taken))


def _joined(curves: Sequence[Curve]) -> Complex:
    return np.concatenate([curve.segments for curve in curves]) if curves else np.zeros((0, 4), np.complex128)


def _summed(taken: NDArray[np.bool_]) -> NDArray[np.int32]:
    rows, columns = taken.shape
    sums = np.zeros((rows + 1, columns + 1), np.int32)
    inner = sums[1:, 1:]
    np.add.accumulate(taken, axis=1, dtype=np.int32, out=inner)
    np.add.accumulate(inner, axis=0, out=inner)
    return sums
