"""The grid's cells against Shapely: what points, boxes and closed lines take."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from svgfit.geometry.raster import Grid

GRID = Grid(-10 - 5j, 0.5, (140, 180))
TWICE = np.array([0, 50, 50 + 50j, 12 + 50j, 12 + 12j, 70 + 12j, 70 + 40j, 0 + 40j])
"""A closed line that runs round a part of the plane twice."""


def _dense(ring: np.ndarray) -> np.ndarray:
    ends = np.append(ring, ring[0])
    return np.concatenate([np.linspace(a, b, 400)[:-1] for a, b in itertools.pairwise(ends)] + [ring[:1]])


def _centres() -> np.ndarray:
    rows, columns = np.indices(GRID.shape)
    return GRID.origin + (columns + 0.5 + 1j * (rows + 0.5)) * GRID.cell


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("at", [0, 0.5])
@pytest.mark.parametrize("way", [1, -1])
def test_windings_count_how_often_a_line_runs_round(at, way):
    around = _dense(TWICE)[::way]
    levels = np.floor((around.imag - GRID.origin.imag) / GRID.cell + 1 - at).astype(np.intp)
    got = GRID.windings(levels, GRID.columns_of(around.real))
    # Shapely's polygons don't cross themselves: the two loops apart.
    loops = [
        [0, 50, 50 + 12j, 50 + 40j, 40j],
        [12 + 12j, 70 + 12j, 70 + 40j, 12 + 40j],
        [12 + 40j, 50 + 40j, 50 + 50j, 12 + 50j],
    ]
    shapes = [shapely.Polygon([(z.real, z.imag) for z in map(complex, loop)]) for loop in loops]
    centres = _centres()
    expected = sum(shapely.contains_xy(shape, centres.real, centres.imag).astype(int) for shape in shapes)
    edge = shapely.LineString([(z.real, z.imag) for z in around])
    clear = shapely.distance(edge, shapely.points(centres.real, centres.imag)) > 2 * GRID.cell
    assert clear.sum() > 10_000
    assert set(np.abs(got[clear]).tolist()) == {0, 1, 2}
    assert (np.abs(got) == expected)[clear].all()


def test_points_and_boxes_take_the_cells_they_lie_in():
    points = np.array([-10 - 5j, -9.6 - 4.6j, 79.9 + 64.9j, 80 + 0j, 0 + 65j, -10.1 + 0j])
    marked = GRID.cells_at(points)
    assert np.argwhere(marked).tolist() == [[0, 0], [139, 179]]
    assert GRID.span_of((-9.4, -4.9, -8.1, 100.0)) == (slice(0, 140), slice(1, 4))
    assert GRID.span_of((90.0, 70.0, 95.0, 75.0)) == (slice(140, 140), slice(180, 180))
