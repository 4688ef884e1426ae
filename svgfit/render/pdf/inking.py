"""Where ink lies: a raster of what is drawn, so that no page is printed for nothing and none is missing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.box import Box, box_around, longer_side, widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.raster import Grid, sample_batches
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
    left, top, right, bottom = _around(seen, boxes)
    cell = max(cell, math.sqrt((right - left) * (bottom - top) / _MOST_CELLS))
    shape = math.ceil((bottom - top) / cell) + 4, math.ceil((right - left) / cell) + 4
    grid = Grid(complex(left, top) - 2 * cell * (1 + 1j), cell, shape)
    ink: Ink = np.zeros(shape, np.bool_)
    reaches = [max(1, math.ceil(one.radius / cell)) for one in seen]
    for reach in sorted(set(reaches)):
        curves = [curve for one, its in zip(seen, reaches, strict=True) if its == reach for curve in one.curves]
        fresh: Ink = np.zeros(shape, np.bool_)
        for points in sample_batches(np.concatenate([curve.segments for curve in curves]), cell / 2):
            grid.mark(points, fresh)
        for curve in curves:
            grid.mark(np.array([curve.end]), fresh)
        ink |= _wider(_wider(fresh, reach, 0), reach, 1)
    filled = [(one.curves, box_around(curve.control_box() for curve in one.curves)) for one in seen if one.filled]
    for curves, box in filled:
        if longer_side(box) > _SMALL:
            ink |= _inside(grid, curves)
    for box in (*boxes, *(box for _, box in filled if longer_side(box) <= _SMALL)):
        ink[grid.span_of(box)] = True
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    if not len(rows):
        return None
    corner = grid.origin + complex(columns[0], rows[0]) * cell
    return Inked(corner.real, corner.imag, cell, ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1])


def _around(drawn: Iterable[Inking], boxes: Iterable[Box]) -> Box:
    inked = [widen_box(box_around(curve.control_box() for curve in one.curves), one.radius) for one in drawn]
    return box_around([*inked, *boxes])


def _inside(grid: Grid, curves: Sequence[Curve]) -> Ink:
    """Find the cells that closed curves enclose (every one taken as closed)."""
    windings = np.zeros(grid.shape, np.int32)
    for curve in curves:
        closing = curve.end + (curve.start - curve.end) * np.array([[0.0, 1 / 3, 2 / 3, 1.0]])
        windings += grid.windings_of(np.concatenate([curve.segments, closing]), grid.cell / 4)
    return windings != 0


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
