"""The grid under a page, each look-up held against the plain way to do it, cell by cell."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from svgfit.geometry.curve import Curve
from svgfit.render.annotate.placement.occupancy import Field, sample

CELL, ROWS, COLUMNS = 2.0, 9, 13
PAGE = (0.0, 0.0, COLUMNS * CELL, ROWS * CELL)

taken = arrays(np.bool_, (ROWS, COLUMNS), elements=st.sampled_from([False, False, False, True]))
sides = st.floats(0.5, 14.0)
corners = st.tuples(st.integers(-3, COLUMNS + 3), st.integers(-3, ROWS + 3)).map(lambda at: complex(*at) * CELL + 0.7)


def field_of(cells: np.ndarray) -> Field:
    empty = Field(PAGE, 0j, CELL, np.zeros((ROWS, COLUMNS), bool), np.zeros((ROWS + 1, COLUMNS + 1), np.int32))
    return empty.without(cells)


@given(taken, sides, sides, st.sampled_from([0.0, 1.0, 3.0]))
def test_room_is_the_free_box_nearest_to_the_lower_right(
    cells: np.ndarray, width: float, height: float, margin: float
) -> None:
    high, wide = int(np.ceil(height / CELL)), int(np.ceil(width / CELL))
    first = int(margin / CELL) + 1
    rows, columns = int((PAGE[3] - margin) / CELL), int((PAGE[2] - margin) / CELL)
    free = [
        (y, x)
        for y, x in product(range(first, rows - high + 1), range(first, columns - wide + 1))
        if not cells[y : y + high, x : x + wide].any()
    ]
    best = min(free, key=lambda place: (-place[0] - place[1], place[0]), default=None)
    assert field_of(cells).find_room(width, height, margin) == (best and complex(best[1], best[0]) * CELL)


@given(st.lists(st.lists(corners, min_size=3, max_size=6), min_size=1, max_size=3))
def test_cells_within_shapes(shapes: list[list[complex]]) -> None:
    curves = [Curve.polyline([*points, points[0]]) for points in shapes]
    field = field_of(np.zeros((ROWS, COLUMNS), bool))
    mask = np.zeros((ROWS, COLUMNS), bool)
    for curve in curves:  # on the whole grid, not only about the shape
        around = sample(curve.segments, CELL * 0.6)
        levels = np.floor(around.imag / CELL + 0.5).astype(np.intp)
        mask |= field.grid.windings(levels, field.grid.columns_of(around.real)) % 2 == 1
    assert np.array_equal(field.within(curves), mask)


@given(taken, st.integers(2, 3))
def test_coarse_cells_are_taken_where_one_of_theirs_is(cells: np.ndarray, factor: int) -> None:
    coarse = field_of(cells).coarse(factor)
    rows, columns = coarse.taken.shape
    for y, x in product(range(rows), range(columns)):
        part = cells[y * factor : (y + 1) * factor, x * factor : (x + 1) * factor]
        assert coarse.taken[y, x] == part.any()
    assert coarse.sums[-1, -1] == coarse.taken.sum()
