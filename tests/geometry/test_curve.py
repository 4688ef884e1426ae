"""Curves against brute force: dense sampling of their own points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

from .curves import calm, circle, motions, points, wild

many = settings(max_examples=150, deadline=None)
shares = st.floats(0, 1)


def dense(curve: Curve, places: int = 3000) -> np.ndarray:
    return np.linspace(0, len(curve), places * len(curve) + 1)


# -- nearest ---------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(wild, points, shares, st.floats(-3, 3), st.sampled_from(["anywhere", "on it", "beside it"]))
@settings(max_examples=400, deadline=None)
def test_nothing_is_nearer_than_the_nearest(curve: Curve, point: complex, share: float, off: float, where: str) -> None:
    if where != "anywhere":
        point = curve.point(share * len(curve)) + (off * 1j if where == "beside it" else 0)
    at, away = curve.nearest(point)
    assert 0 <= at <= len(curve)
    assert abs(curve.point(at) - point) == pytest.approx(away, abs=1e-9)
    assert away <= np.abs(curve.points(dense(curve)) - point).min() + 1e-9


@pytest.mark.slow
@given(calm, st.floats(0.02, 0.98), st.floats(-15, 15))
@many
def test_the_foot_of_a_perpendicular_is_found_exactly(curve: Curve, share: float, off: float) -> None:
    """On calm curves, whose radius is larger than the distance, the foot is where the perpendicular was put up."""
    t = share * len(curve)
    assume(max(abs(curve.curvature(k / 20)) for k in range(20 * len(curve) + 1)) < 1 / 60)
    point = curve.point(t) + 1j * off * curve.tangent(t)
    at, away = curve.nearest(point)
    assume(np.abs(curve.points(dense(curve, 200)) - point).min() > abs(off) - 0.01)  # no other stretch comes nearer
    assert away == pytest.approx(abs(off), abs=1e-7)
    assert curve.length_between(min(at, t), max(at, t)) < 1e-3


@many
@given(calm | wild, st.lists(points, min_size=1, max_size=70))
def test_nearest_of_many_is_the_nearest_of_each(curve: Curve, places: list[complex]) -> None:
    places += [curve.start, curve.point(len(curve) / 3)]
    assert curve.nearest_each(np.array(places)) == [curve.nearest(point) for point in places]


@given(calm, points, motions)
@many
def test_nearest_moves_with_the_curve(curve: Curve, point: complex, motion: Affine) -> None:
    _, away = curve.nearest(point)
    assert curve.transform(motion).nearest(motion.apply(point))[1] == pytest.approx(away * motion.size, abs=1e-7)
    assert curve.reverse().nearest(point)[1] == pytest.approx(away, abs=1e-9)


def test_nearest_of_a_stuck_step() -> None:
    """From the middle of a circle every place is as near; beside a cusp two feet lie close together."""
    at, away = circle(50).nearest(0j)
    assert away == pytest.approx(50, abs=0.02)
    assert 0 <= at <= 4
    cusp = Curve(np.array([[0j, 100 + 100j, -0.01 + 100j, 100 + 0j]]))
    for point in (50 + 78j, 50 + 74j, 50 + 74.9j, 49.9 + 75.2j):
        assert cusp.nearest(point)[1] <= np.abs(cusp.points(dense(cusp, 50000)) - point).min() + 1e-9


def test_two_feet_in_one_hairpin() -> None:
    """Two feet lie between the same two of the first places looked at; the nearer is found."""
    hairpin = Curve(np.array([[0j, -200 + 0.661j, 67.356 + 0j, 67.356 + 0j]]))
    point = -73.999114507984 - 1.667130317849478j
    best = np.abs(hairpin.points(dense(hairpin, 200000)) - point).min()
    assert hairpin.nearest(point)[1] <= best + 1e-9


# -- crossings -------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(wild, points, points)
@settings(max_examples=300, deadline=None)
def test_crossings_are_all_and_only_the_places_on_the_line(curve: Curve, start: complex, end: complex) -> None:
    assume(abs(end - start) > 1)
    found = curve.crossings(start, end)
    unit = (end - start) / abs(end - start)
    for t in found:
        local = (curve.point(t) - start) / unit
        assert abs(local.imag) < 1e-5
        assert -1e-4 < local.real < abs(end - start) + 1e-4
    assert found == sorted(found)
    t = dense(curve)
    local = (curve.points(t) - start) / unit
    side = np.sign(local.imag)
    changed = np.flatnonzero(side[1:] * side[:-1] < 0)
    for k in changed.tolist():
        if 0.1 < local[k].real < abs(end - start) - 0.1 and 0.1 < local[k + 1].real < abs(end - start) - 0.1:
            assert any(t[k] - 1e-6 <= one <= t[k + 1] + 1e-6 for one in found)


def test_crossings_at_nodes_count_once_and_ends_count() -> None:
    box = Curve.polyline([0j, 100 + 0j, 100 + 100j, 100j, 0j])
    assert box.crossings(-10 + 50j, 110 + 50j) == pytest.approx([1.5, 3.5])
    assert box.crossings(-10 - 10j, 110 + 110j) == pytest.approx([0, 2, 4])
    assert box.crossings(100 + 50j, 150 + 50j) == pytest.approx([1.5])
    assert box.crossings(5 + 5j, 5 + 5j) == []


# -- boxes, areas, level places --------------------------------------------------------------------------------------


@given(wild)
@many
def test_the_box_holds_the_curve_and_is_touched(curve: Curve) -> None:
    left, top, right, bottom = curve.bounds()
    places = curve.points(dense(curve))
    for exact, rough, sign in (
        (left, places.real.min(), -1),
        (top, places.imag.min(), -1),
        (right, places.real.max(), 1),
        (bottom, places.imag.max(), 1),
    ):
        assert sign * (exact - rough) >= -1e-9
        assert abs(exact - rough) < 1e-3


@given(calm, st.floats(-3.14, 3.14))
@many
def test_level_places_hold_the_farthest_point(curve: Curve, angle: float) -> None:
    way = np.exp(1j * angle)
    places = curve.level_places(way)
    assert (np.diff(places) > 0).all()
    far = (curve.points(places) * way.conjugate()).real.max()
    rough = (curve.points(dense(curve)) * way.conjugate()).real.max()
    assert rough <= far + 1e-9
    assert far - rough < 1e-3


@pytest.mark.slow
@given(wild)
@many
def test_area_by_the_shoelace_formula(curve: Curve) -> None:
    """Closed by a straight line; the shoelace formula of a fine polyline."""
    closed = Curve.chain([curve, Curve.polyline([curve.end, curve.start])])
    p = closed.points(dense(closed, 1000))
    shoelace = float((p[:-1].real * p[1:].imag - p[1:].real * p[:-1].imag).sum()) / 2
    assert closed.area() == pytest.approx(shoelace, abs=0.5)
    assert closed.reverse().area() == pytest.approx(-closed.area(), abs=1e-6)


# -- lengths ---------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(wild)
@many
def test_length_of_a_fine_polyline(curve: Curve) -> None:
    polyline = float(np.abs(np.diff(curve.points(dense(curve, 20000)))).sum())
    assert curve.length() == pytest.approx(polyline, abs=1e-4)
    assert curve.length() >= polyline - 1e-6


@pytest.mark.slow_after(2)
@pytest.mark.parametrize("handle", [0.0, 1e-6, 0.169, 3.0])
def test_length_where_a_curve_all_but_stands_still(handle: float) -> None:
    """Out and back, or a short handle against the way: a fine polyline is never longer."""
    for cubic in ([handle, 0, 85.405, -71.75 + 65.801j], [0, 100, -50, 80], [0, 100 + 100j, -0.01 + 100j, 100]):
        curve = Curve(np.array([cubic], dtype=complex))
        fine = np.unique(np.concatenate([np.linspace(0, 1, 400001), np.geomspace(1e-9, 0.01, 20001)]))
        assert curve.length() == pytest.approx(float(np.abs(np.diff(curve.points(fine))).sum()), abs=2e-7)


@pytest.mark.slow
@given(wild, shares)
@many
def test_at_length_undoes_length_between(curve: Curve, share: float) -> None:
    whole = curve.length()
    assume(whole > 1)
    t = curve.at_length(share * whole)
    assert curve.length_between(0.0, t) == pytest.approx(share * whole, abs=1e-6)


@given(calm, shares, shares)
@many
def test_lengths_add_up(curve: Curve, first: float, second: float) -> None:
    a, b = sorted((first * len(curve), second * len(curve)))
    parts = [curve.length_between(0, a), curve.length_between(a, b), curve.length_between(b, len(curve))]
    assert sum(parts) == pytest.approx(curve.length(), abs=1e-6)
    assert curve.length_between(b, a) == 0.0 or a == b
    assert curve.at_length(-1.0) == 0.0
    assert curve.at_length(1e9) == len(curve)


# -- cutting and moving ----------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(wild, shares, shares)
@many
def test_a_stretch_is_the_curve_itself(curve: Curve, first: float, second: float) -> None:
    a, b = sorted((first * len(curve), second * len(curve)))
    assume(b - a > 1e-6)
    part = curve.subcurve(a, b)
    assert abs(part.start - curve.point(a)) < 1e-9
    assert abs(part.end - curve.point(b)) < 1e-9
    assert part.length() == pytest.approx(curve.length_between(a, b), abs=1e-5)
    for k in range(math.ceil(a), math.floor(b)):
        assert any(np.array_equal(curve.segments[k], segment) for segment in part.segments)


@pytest.mark.slow
@given(wild, motions)
@many
def test_moving_moves_every_point(curve: Curve, motion: Affine) -> None:
    t = dense(curve, 20)
    assert np.allclose(curve.transform(motion).points(t), motion.apply(curve.points(t)), atol=1e-8)
    back = curve.transform(motion).transform(motion.inverse())
    assert np.allclose(back.segments, curve.segments, atol=1e-9)
    assert curve.transform(motion).length() == pytest.approx(curve.length() * motion.size, rel=1e-7, abs=1e-6)


@pytest.mark.slow
@given(wild)
def test_nothing_can_be_changed_in_place(curve: Curve) -> None:
    with pytest.raises(ValueError, match="read-only"):
        curve.segments[0, 0] = 1
    assert np.array_equal(curve.reverse().reverse().segments, curve.segments)


@pytest.mark.parametrize("shape", [(4,), (0, 4), (2, 3)])
def test_a_curve_has_rows_of_four(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="shape"):
        Curve(np.zeros(shape, dtype=complex))
    with pytest.raises(ValueError, match="finite"):
        Curve(np.full((1, 4), np.nan + 0j))


# -- directions and bends --------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(wild, shares)
@many
def test_tangents_follow_the_points(curve: Curve, share: float) -> None:
    t = share * len(curve)
    h = 1e-5
    assume(h < t % 1 < 1 - h)
    step = curve.point(t + h) - curve.point(t - h)
    assume(abs(step) > 1e-3)
    assert abs(curve.tangent(t)) == pytest.approx(1)
    assert abs(curve.tangent(t) - step / abs(step)) < 1e-2


def test_tangent_where_a_handle_is_missing() -> None:
    bare = Curve(np.array([[0j, 0j, 100 + 100j, 100 + 0j]]))
    assert bare.tangent(0.0) == pytest.approx((1 + 1j) / math.sqrt(2), abs=1e-3)
    speck = Curve.polyline([5 + 5j, 5 + 5j])
    assert abs(speck.tangent(0.5)) == 0


def test_curvature_of_circles() -> None:
    """1/r, positive clockwise on a page; a quarter's cubic is within a per cent."""
    for radius in (10.0, 80.0):
        loop = circle(radius, 8)
        for t in (0.0, 0.4, 3.0, 7.7):
            assert loop.curvature(t) == pytest.approx(1 / radius, rel=2e-3)
            assert loop.reverse().curvature(t) == pytest.approx(-1 / radius, rel=2e-3)
    assert Curve.polyline([0j, 10j]).curvature(0.3) == 0


@given(calm)
@many
def test_bends_by_dense_directions(curve: Curve) -> None:
    """By the ups and downs of its direction; a turn of a degree is where a bend begins to count."""
    t = np.concatenate([k + (np.arange(250) + 0.5) / 250 for k in range(len(curve))])
    ways = np.unwrap(np.angle(curve.tangents(t)))
    assert swings(ways, 1.1) <= len(curve.bends()) <= swings(ways, 0.9)
    assert curve.inflections() == max(0, len(curve.bends()) - 1)


def swings(ways: np.ndarray, degrees: float) -> int:
    """The longest row of directions, in order, each at least so much above or below the one before, in turn."""
    turning = [0, *(np.flatnonzero(np.diff(np.sign(np.diff(ways)))) + 1).tolist(), len(ways) - 1]
    heights, least = ways[turning].tolist(), math.radians(degrees)
    best = {side: [0] * len(heights) for side in (1, -1)}
    for k, height in enumerate(heights):
        for before in range(k):
            side = 1 if height > heights[before] else -1
            if abs(height - heights[before]) >= least:
                best[side][k] = max(best[side][k], best[-side][before] + 1)
    return max(max(row) for row in best.values())


def test_ripples_are_no_bends_but_a_hollow_is() -> None:
    """A cap's crown with ripples of 0.02°, and one with a hollow of 13° in it."""
    x = np.linspace(-1, 1, 401)
    angles = -0.8 * x
    rippled = angles + math.radians(0.02) * np.sin(200 * x)
    hollow = angles + math.radians(13) * np.exp(-((x - 0.3) ** 2) / 0.002)
    for ways, bends in ((angles, [-1]), (rippled, [-1]), (hollow, [-1, 1, -1])):
        points = np.concatenate([[0j], np.cumsum(np.exp(1j * ways))])
        smooth = [
            (p, p + np.exp(1j * a) / 3, q - np.exp(1j * b) / 3, q)
            for p, q, a, b in zip(points[:-2], points[1:-1], ways[:-1], ways[1:], strict=True)
        ]
        assert Curve(np.array(smooth)).bends() == bends
        assert Curve.polyline(points.tolist()).bends() == bends


def test_bends_of_an_s() -> None:
    s = Curve(np.array([[0j, 30 + 60j, 60 - 60j, 90 + 0j]]))
    assert s.bends() == [-1, 1]
    assert s.reverse().bends() == [-1, 1]
    assert s.inflections() == 1
    assert Curve.polyline([0j, 10 + 0j, 20 + 5j]).bends() == [1]
