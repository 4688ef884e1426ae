"""Points in polygons and distances from polylines, against Shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, enclosed, encloses

STAR = np.array([0, 40 + 10j, 70 - 20j, 60 + 30j, 100 + 45j, 55 + 50j, 50 + 90j, 35 + 52j, -5 + 60j, 20 + 30j], complex)
POINTS = np.random.default_rng(7).uniform(-20, 110, (2000, 2)) @ np.array([1, 1j])


def _pairs(points: np.ndarray) -> np.ndarray:
    return np.stack([points.real, points.imag], axis=1)


@pytest.mark.parametrize("ring", [STAR, STAR[::-1], np.append(STAR, STAR[0])])
def test_enclosed_agrees_with_shapely(ring):
    polygon = shapely.Polygon(_pairs(ring))
    got = enclosed(POINTS, ring)
    assert 300 < got.sum() < 1700
    assert (got == shapely.contains_xy(polygon, POINTS.real, POINTS.imag)).all()


def test_a_ring_through_itself_is_hollow_where_it_covers_twice():
    twice = np.array([0, 20, 20 + 20j, 5 + 20j, 5 + 5j, 30 + 5j, 30 + 15j, 0 + 15j])
    assert enclosed(np.array([2 + 2j, 10 + 10j]), twice).tolist() == [True, False]


def test_encloses_follows_the_curve_not_its_nodes():
    bulge = Curve.chain([Curve(np.array([[0, 0 - 40j, 60 - 40j, 60]])), Curve.polyline([60, 0])])
    assert encloses(bulge, 30 - 20j)
    assert not encloses(bulge, 30 - 31j)
    assert not encloses(bulge, 30 + 1j)


def test_distances_agree_with_shapely():
    line = shapely.LineString(_pairs(STAR))
    expected = shapely.distance(line, shapely.points(_pairs(POINTS)))
    assert distances(POINTS, STAR) == pytest.approx(expected, abs=1e-9)


def test_a_chord_without_length_counts_as_its_point():
    assert distances(np.array([3 + 4j]), np.array([0j, 0j])).tolist() == [5.0]
