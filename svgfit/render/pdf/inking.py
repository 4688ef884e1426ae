"""Where ink lies: a raster of what is drawn, so that no page is printed for nothing and none is missing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.box import Box, box_around, longer_side, widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.raster import Grid
from svgfit.render.pdf.tiling import Ink, Inked

_MOST_CELLS = 8e6
_SMALL = 6.0
"""A filled shape not larger than this, mm, counts as its box."""


class Inking(Struct, frozen=True):
    """Something drawn, page mm: its lines, how far their ink reaches, and whether what they enclose is filled."""

    curves: tuple[Curve, ...]
    radius: float
    stroked: bool
    filled: bool


def ink_of(drawn: Sequence[Inking], boxes: Sequence[Box], cell: float = 1.0) -> Inked | None:
    """Rasterise what is drawn; ``boxes`` (left, top, right, bottom) are ink all over. None where there is no ink.

    Rather more than less: a cell next to ink may count as ink.
    """
    seen = [one for one in drawn if (one.stroked or one.filled) and one.curves]
    if not seen and not boxes:
        return None
    cells = _Cells(_around(seen, boxes), cell)
    radii = sorted({cells.steps(one.radius) for one in seen})
    for steps in radii:
        segments = [curve.segments for one in seen if cells.steps(one.radius) == steps for curve in one.curves]
        cells.lines(np.concatenate(segments), steps)
    for one in seen:
        if one.filled:
            cells.inside(one.curves)
    for box in boxes:
        cells.box(box)
    return cells.inked()


def _around(drawn: Iterable[Inking], boxes: Iterable[Box]) -> Box:
    inked = [widen_box(box_around(curve.control_box() for curve in one.curves), one.radius) for one in drawn]
    return box_around([*inked, *boxes])


class _Cells:
    """The raster while it is being filled."""

    def __init__(self, around: Box, cell: float) -> None:
        left, top, right, bottom = around
        self._cell = max(cell, math.sqrt((right - left) * (bottom - top) / _MOST_CELLS))
        self._left, self._top = left - 2 * self._cell, top - 2 * self._cell
        columns = math.ceil((right - self._left) / self._cell) + 2
        rows = math.ceil((bottom - self._top) / self._cell) + 2
        self._grid = Grid(complex(self._left, self._top), self._cell, (rows, columns))
        self._ink: Ink = np.zeros((rows, columns), np.bool_)

    def steps(self, radius: float) -> int:
        """Count the cells that ink of this radius reaches beyond the cell of its line."""
        return max(1, math.ceil(radius / self._cell))

    def lines(self, segments: NDArray[np.complex128], steps: int) -> None:
        """Mark the cells of cubics (n, 4) and ``steps`` cells around."""
        fresh = self._grid.cells_at(self._sampled(segments, 0.5))
        for axis in (0, 1):
            fresh = _wider(fresh, steps, axis)
        self._ink |= fresh

    def _sampled(self, segments: NDArray[np.complex128], step: float) -> NDArray[np.complex128]:
        """Sample points along every cubic, ``step`` cells apart on average and never three times as far."""
        hull = np.abs(np.diff(segments, axis=1)).sum(axis=1)
        counts = 2 ** np.ceil(np.log2(np.maximum(hull / (step * self._cell), 1.0))).astype(np.intp)
        found: list[NDArray[np.complex128]] = []
        for count in np.unique(counts):
            some = segments[counts == count]
            for part in np.array_split(some, max(1, len(some) * int(count) // 2_000_000)):
                found.append(_points(part, int(count) + 1).ravel())
        return np.concatenate(found)

    def inside(self, curves: Sequence[Curve]) -> None:
        """Mark what closed curves enclose (every one taken as closed)."""
        box = box_around(curve.control_box() for curve in curves)
        if longer_side(box) <= _SMALL:
            self.box(box)
            return
        windings = np.zeros(self._ink.shape, np.int32)
        for curve in curves:
            closing = curve.end + (curve.start - curve.end) * np.array([0.0, 1 / 3, 2 / 3, 1.0])
            chain = [self._sampled(segment[None, :], 0.25) for segment in (*curve.segments, closing)]
            points = np.concatenate(chain)
            # A row counts as enclosed by what is enclosed at its top.
            windings += self._grid.windings(self._grid.rows_of(points.imag) + 1, self._grid.columns_of(points.real))
        self._ink |= windings != 0

    def box(self, box: Box) -> None:
        """Mark a whole box."""
        self._ink[self._grid.span_of(box)] = True

    def inked(self) -> Inked | None:
        """Cut the raster to where there is ink."""
        rows, columns = np.flatnonzero(self._ink.any(axis=1)), np.flatnonzero(self._ink.any(axis=0))
        if not len(rows):
            return None
        top, left = int(rows[0]), int(columns[0])
        cells = self._ink[top : int(rows[-1]) + 1, left : int(columns[-1]) + 1]
        return Inked(self._left + left * self._cell, self._top + top * self._cell, self._cell, cells)


def _points(segments: NDArray[np.complex128], count: int) -> NDArray[np.complex128]:
    """Sample so many points of each cubic, ends included."""
    t = np.linspace(0.0, 1.0, count)
    u = 1 - t
    weights = np.stack([u**3, 3 * u**2 * t, 3 * u * t**2, t**3])
    return segments @ weights


def _wider(cells: Ink, steps: int, axis: int) -> Ink:
    """Mark also the cells within ``steps`` of a marked one along an axis."""
    found = cells.copy()
    for step in range(1, steps + 1):
        ahead = [slice(None), slice(None)]
        behind = [slice(None), slice(None)]
        ahead[axis], behind[axis] = slice(step, None), slice(None, -step)
        found[tuple(ahead)] |= cells[tuple(behind)]
        found[tuple(behind)] |= cells[tuple(ahead)]
    return found
