"""Grids of square cells laid over the plane: which cells points, boxes and closed lines take. Rows run down."""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry import bezier
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box

Flags = NDArray[np.bool_]
Places = NDArray[np.intp]


class Grid(Struct, frozen=True):
    """``shape`` (rows, columns) cells of side ``cell``, the first one's top left corner at ``origin``."""

    origin: complex
    cell: float
    shape: tuple[int, int]

    def rows_of(self, y: Real) -> Places:
        """Return the row of each height, be it outside the grid."""
        return np.floor((y - self.origin.imag) / self.cell).astype(np.intp)

    def columns_of(self, x: Real) -> Places:
        """Return the column of each distance from the left, be it outside the grid."""
        return np.floor((x - self.origin.real) / self.cell).astype(np.intp)

    def holds(self, rows: Places, columns: Places) -> Flags:
        """Return which cells the grid has."""
        return (rows >= 0) & (rows < self.shape[0]) & (columns >= 0) & (columns < self.shape[1])

    def span_of(self, box: Box) -> tuple[slice, slice]:
        """Return the rows and columns that a box touches, held to the grid."""
        top, bottom = (math.floor((y - self.origin.imag) / self.cell) for y in box[1::2])
        left, right = (math.floor((x - self.origin.real) / self.cell) for x in box[::2])
        return _held(top, bottom, self.shape[0]), _held(left, right, self.shape[1])

    def cells_at(self, points: Complex) -> Flags:
        """Mark the cells that points lie in; points outside mark none."""
        marked = np.zeros(self.shape, np.bool_)
        rows, columns = self.rows_of(points.imag), self.columns_of(points.real)
        inside = self.holds(rows, columns)
        marked[rows[inside], columns[inside]] = True
        return marked

    def windings(self, levels: Places, columns: Places) -> NDArray[np.int32]:
        """Count how often a closed row of points runs round each cell, signed; odd where the even-odd rule fills.

        ``levels``: how many rows' scan lines lie above each point (one line a row, at any height of it); ``columns``:
        the points' columns. A step counts for its first point's column (scan conversion of a polygon; from memory).
        """
        rows, wide = self.shape
        steps = np.diff(levels)
        count = np.abs(steps)
        row = np.minimum(levels[:-1], levels[1:]).repeat(count)
        row += np.arange(len(row)) - (count.cumsum() - count).repeat(count)
        column = np.minimum(np.maximum(columns[:-1], 0), wide).repeat(count)
        sign = np.sign(steps).astype(np.int32).repeat(count)
        inside = (row >= 0) & (row < rows)
        crossings = np.zeros((rows, wide + 1), np.int32)
        np.add.at(crossings, (row[inside], column[inside]), sign[inside])
        return crossings[:, :wide].cumsum(axis=1, dtype=np.int32)


def _held(first: int, last: int, count: int) -> slice:
    start = min(max(first, 0), count)
    return slice(start, min(max(last + 1, start), count))


def sample(segments: Complex, step: float) -> Complex:
    """Sample cubics (n, 4) at most about ``step`` mm apart (by the control polygon's length)."""
    if not len(segments):
        return np.zeros(0, np.complex128)
    longest = np.abs(segments[:, 1:] - segments[:, :-1]).sum(axis=1)
    count = np.maximum(np.ceil(longest / step * 1.5).astype(np.intp), 1)
    index = np.arange(len(segments)).repeat(count)
    first = count.cumsum() - count
    t = (np.arange(len(index)) - first[index]) / count[index]
    return np.concatenate((bezier.position(segments[index], t), segments[-1:, 3]))
