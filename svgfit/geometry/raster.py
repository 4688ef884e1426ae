"""Grids of square cells laid over the plane: which cells points, boxes and closed lines take. Rows run down."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry import bezier
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box

_BATCH = 200_000
"""So many points are sampled at a time."""

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
        self.mark(points, marked)
        return marked

    def mark(self, points: Complex, cells: Flags) -> None:
        """Mark the cells that points lie in among others, in place."""
        rows, columns = self.rows_of(points.imag), self.columns_of(points.real)
        inside = self.holds(rows, columns)
        cells[rows[inside], columns[inside]] = True

    def windings(self, levels: Places, columns: Places) -> NDArray[np.int32]:
        """Count how often a closed row of points runs round each cell, signed; odd where the even-odd rule fills.

        ``levels``: how many rows' scan lines lie above each point (one line a row, at any height of it); ``columns``:
        the points' columns. A step counts for its first point's column (scan conversion of a polygon; from memory).
        """
        crossings = self._no_crossings()
        self._cross(levels, columns, crossings)
        return np.cumsum(crossings[:, :-1], axis=1, dtype=np.int32)

    def windings_of(self, segments: Complex, step: float) -> NDArray[np.int32]:
        """Count likewise for a closed chain of cubics (n, 4), sampled at most ``step`` mm apart.

        A row counts as enclosed by what is enclosed at its top.
        """
        crossings, last = self._no_crossings(), segments[:1, 0]
        for points in sample_batches(segments, step):
            around = np.concatenate([last, points])
            self._cross(self.rows_of(around.imag) + 1, self.columns_of(around.real), crossings)
            last = points[-1:]
        return np.cumsum(crossings[:, :-1], axis=1, dtype=np.int32)

    def _no_crossings(self) -> NDArray[np.int32]:
        return np.zeros((self.shape[0], self.shape[1] + 1), np.int32)

    def _cross(self, levels: Places, columns: Places, crossings: NDArray[np.int32]) -> None:
        """Count the scan lines' crossings in place."""
        rows, wide = self.shape
        steps = np.diff(levels)
        count = np.abs(steps)
        row = np.minimum(levels[:-1], levels[1:]).repeat(count)
        row += np.arange(len(row)) - (count.cumsum() - count).repeat(count)
        column = np.minimum(np.maximum(columns[:-1], 0), wide).repeat(count)
        sign = np.sign(steps).astype(np.int32).repeat(count)
        inside = (row >= 0) & (row < rows)
        np.add.at(crossings, (row[inside], column[inside]), sign[inside])


def _held(first: int, last: int, count: int) -> slice:
    start = min(max(first, 0), count)
    return slice(start, min(max(last + 1, start), count))


def runs(flags: Flags) -> list[tuple[int, int]]:
    """Find where runs of True begin and end (behind the last).

    >>> runs(np.array([True, False, True, True]))
    [(0, 1), (2, 4)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def sample(segments: Complex, step: float) -> Complex:
    """Sample cubics (n, 4) at most about ``step`` mm apart (by the control polygon's length)."""
    found = [*sample_batches(segments, step)]
    return np.concatenate(found) if found else np.zeros(0, np.complex128)


def sample_batches(segments: Complex, step: float) -> Iterator[Complex]:
    """Sample as ``sample`` does, some hundred thousand points at a time: drawings may hold kilometres of line."""
    if not len(segments):
        return
    longest = np.abs(segments[:, 1:] - segments[:, :-1]).sum(axis=1)
    count = np.maximum(np.ceil(longest / step * 1.5).astype(np.intp), 1)
    behind = np.cumsum(count)
    for start in range(0, int(behind[-1]), _BATCH):
        place = np.arange(start, min(start + _BATCH, int(behind[-1])))
        index = np.searchsorted(behind, place, side="right")
        t = (place - (behind - count)[index]) / count[index]
        yield bezier.position(segments[index], t)
    yield segments[-1:, 3]
