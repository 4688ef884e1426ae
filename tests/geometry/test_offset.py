"""Parallels and fits: how near, how few nodes, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from svgfit.geometry.bezier import from_line, position
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic, fit_cubic_with_error
from svgfit.geometry.intersect import (
    extend_curved,
    extend_straight,
    extend_to_intersection,
    intersections,
    own_crossings,
    self_crossing,
    trim_end,
    trim_start,
)
from svgfit.geometry.offset import OffsetFolds, Widths, join_offsets, offset_curve
from svgfit.geometry.polygon import distances

from .curves import calm, circle, points

many = settings(max_examples=80, deadline=None)


def tightest(curve: Curve) -> float:
    return max(abs(curve.curvature(float(t))) for t in np.linspace(0, len(curve), 60 * len(curve) + 1))


def beside(curve: Curve, distance: float) -> np.ndarray:
    """Points of the true parallel."""
    t = np.linspace(0, len(curve), 40 * len(curve) + 1)
    ways = curve.tangents(t)
    ways[-1] = curve.tangent(float(len(curve)), before=True)
    return curve.points(t) + distance * 1j * ways


# -- parallels -------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(calm, st.floats(-30, 30), st.sampled_from([0.05, 0.01]))
@many
def test_a_parallel_lies_within_its_accuracy_with_few_nodes(curve: Curve, distance: float, accuracy: float) -> None:
    assume(abs(distance) > 0.1)
    assume(tightest(curve) * abs(distance) < 0.8)
    found = offset_curve(curve, distance, accuracy)
    if _alone(curve, distance):
        assert max(found.nearest(complex(p))[1] for p in beside(curve, distance)) < accuracy
    assert max(
        abs(curve.nearest(complex(p))[1] - abs(distance)) for p in found.points(np.linspace(0, len(found), 99))
    ) < (accuracy if _alone(curve, distance) else math.inf)
    assert len(found) <= (4 if accuracy == 0.05 else 8) * len(curve)
    assert abs(found.start - beside(curve, distance)[0]) < 1e-9
    assert abs(found.end - beside(curve, distance)[-1]) < 1e-9
    assert abs(np.angle(found.tangent(0.0) / curve.tangent(0.0))) < 1e-6


def _alone(curve: Curve, distance: float) -> bool:
    """Whether the parallel keeps its distance from every other stretch of the curve."""
    return all(curve.nearest(complex(p))[1] > abs(distance) - 1e-6 for p in beside(curve, distance))


def test_a_straight_line_and_a_circle() -> None:
    line = Curve.polyline([0j, 100 + 0j])
    assert np.allclose(offset_curve(line, 10).segments, line.segments + 10j)
    assert np.allclose(offset_curve(line, -10).segments, line.segments - 10j)
    assert offset_curve(line, 0) is line
    for distance in (-40.0, 40.0):
        # Right of travel is inside: circle() runs clockwise on a page.
        around = offset_curve(circle(60), distance)
        assert around.length() == pytest.approx(2 * math.pi * (60 - distance), rel=2e-3)


def test_a_fold_is_refused_with_its_place_and_radius() -> None:
    with pytest.raises(OffsetFolds) as caught:
        offset_curve(circle(60), 65)
    assert caught.value.radius == pytest.approx(60, rel=0.02)
    assert abs(caught.value.at) == pytest.approx(60, abs=0.1)
    assert len(offset_curve(circle(60), -200)) >= 4


def test_kinks_stay_kinks() -> None:
    """A square corner: outside the parts are lengthened to meet, inside trimmed."""
    bent = Curve.polyline([0j, 100 + 0j, 100 + 100j])
    inside, outside = offset_curve(bent, 10), offset_curve(bent, -10)
    assert inside.segments[:, 3] == pytest.approx([90 + 10j, 90 + 100j])
    assert outside.segments[:, 3] == pytest.approx([110 - 10j, 110 + 100j])
    straight = join_offsets(Curve.polyline([0j, 10 + 0j]), Curve.polyline([20 + 5j, 30 + 5j]))
    assert straight.segments[:, 3] == pytest.approx([10, 20 + 5j, 30 + 5j])


KINKED = Curve(
    np.array(
        [
            [364.785 - 81.5j, 403.0 - 81.5j, 430.0 - 118.0j, 459.0 - 148.0j],
            [459.0 - 148.0j, 464.6 - 154.6j, 470.0 - 161.7j, 475.3 - 168.7j],
            [475.3 - 168.7j, 475.65 - 169.18j, 475.99 - 169.65j, 476.35 - 170.1j],
            [476.35 - 170.1j, 491.2 - 189.5j, 508.3 - 206.0j, 533.2 - 206.0j],
            [533.2 - 206.0j, 579.4 - 206.0j, 590.2 - 167.8j, 619.2 - 137.7j],
        ]
    )
)
"""A drawn cap with a kink of about 1° beside a node that is half a millimetre from the next."""


def finely(curve: Curve, places: int = 200) -> np.ndarray:
    return curve.points(np.linspace(0, len(curve), places * len(curve) + 1))


def waves(seed: int) -> tuple[Curve, float]:
    """A wavy line as few cubics, as many chords, or as chords drawn with a shaky hand; and an allowance's width."""
    luck = np.random.default_rng(seed)
    if seed % 3 == 0:
        x = np.linspace(0, 350, int(luck.integers(5, 14)))
        nodes = x + 1j * luck.uniform(-40, 40, len(x))
        ways = np.gradient(nodes) / 3
        ends = zip(nodes[:-1], nodes[1:], ways[:-1], ways[1:], strict=True)
        curve = Curve(np.array([[a, a + one, b - two, b] for a, b, one, two in ends]))
    else:
        x = np.linspace(0, 350, int(luck.integers(60, 200)))
        shaky = luck.normal(0, 0.15, len(x)) if seed % 3 == 1 else np.zeros(len(x))
        curve = Curve.polyline(list(x + 1j * (60 * np.cos(x / luck.uniform(40, 90)) + shaky)))
    return curve, float(luck.choice([-1, 1]) * luck.choice([6, 9.5, 15.875, 25.4, 38]))


@pytest.mark.slow_after(6)
@pytest.mark.parametrize("seed", range(60))
def test_a_parallel_never_comes_too_near_nor_runs_straight_across(seed: int) -> None:
    """Hollows tighter than the distance, many kinks: cut off where they cross, nothing else left out."""
    curve, distance = waves(seed)
    found = offset_curve(curve, distance)
    fine = finely(curve, 200 if len(curve) < 40 else 10)
    assert distances(finely(found, 60), fine).min() > abs(distance) - 0.15
    meant = beside(curve, distance)
    # At its ends a curve's last points may stand alone, with nothing beside them that keeps its distance.
    ends = np.minimum(np.abs(meant - meant[0]), np.abs(meant - meant[-1])) < 2.5 * abs(distance)
    seen = meant[(distances(meant, fine) > abs(distance) - 1e-3) & ~ends]
    assert distances(seen, finely(found, 60)).max() < 0.2
    assert own_crossings(found) == []


@pytest.mark.parametrize("distance", [4.3, 9.5, 12.7, 15.875, 19.05, 25.4, 40.7])
@pytest.mark.parametrize("side", [-1, 1])
def test_a_slight_kink_beside_a_short_node_leaves_no_chord(distance: float, side: int) -> None:
    found = offset_curve(KINKED, side * distance)
    away = distances(finely(found), finely(KINKED))
    assert away.min() > distance - 0.06
    assert away.max() < distance + 0.06


def test_a_distance_that_varies() -> None:
    """On a straight line the parallel is straight; on a curve each point lies at the distance of its place."""
    line = Curve.polyline([0j, 100 + 0j])
    slanted = offset_curve(line, Widths(np.array([0.0, 1.0]), np.array([10.0, 20.0])))
    assert slanted.is_straight(1e-6)
    assert slanted.start == pytest.approx(10j)
    assert slanted.end == pytest.approx(100 + 20j)
    bent = circle(80, 6)
    wide = Widths(np.array([0.0, 2.0, 4.0, 6.0]), np.array([-10.0, -25.0, -25.0, -10.0]))
    found = offset_curve(bent, wide)
    for t in np.linspace(0.3, 5.7, 40):
        meant = bent.point(t) + wide.at(np.array([t]))[0] * 1j * bent.tangent(t)
        assert found.nearest(complex(meant))[1] < 0.06


# -- meeting ---------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(calm, st.floats(0.1, 0.9), st.floats(0.3, 2.8))
@many
def test_a_line_through_a_curve_meets_it_there(curve: Curve, share: float, angle: float) -> None:
    t = share * len(curve)
    point, way = curve.point(t), curve.tangent(t) * np.exp(1j * angle)
    line = Curve.polyline([point - 20 * way, point + 20 * way])
    found = intersections(curve, line)
    assert any(abs(curve.point(a) - point) < 1e-6 and abs(line.point(b) - point) < 1e-6 for a, b in found)
    for a, b in found:
        assert abs(curve.point(a) - line.point(b)) < 1e-6


def nearly_in_line(seed: int) -> tuple[Curve, Curve]:
    """A long calm curve, and one that leaves near its end at a degree or so with a short piece; run on straight."""
    luck = np.random.default_rng(seed)
    size, turn = luck.uniform(20, 120), luck.uniform(-0.5, 0.5)
    kink = luck.choice([-1, 1]) * luck.uniform(0.003, 0.05)

    def cubic(start: complex, first: float, last: float, size: float) -> Curve:
        end = start + size * np.exp(1j * (first + last) / 2)
        ways = size / 3 * np.exp(1j * first), size / 3 * np.exp(1j * last)
        return Curve(np.array([[start, start + ways[0], end - ways[1], end]]))

    one = cubic(0j, 0, turn, size)
    short = luck.uniform(0.3, 3)
    gap = luck.uniform(0.02, 0.5) * np.exp(1j * (turn + luck.choice([-1, 1]) * np.pi / 2 + luck.uniform(-1, 1)))
    two = cubic(one.end + gap, turn + kink, turn + kink + 0.02, short)
    two = Curve.chain([two, cubic(two.end, turn + kink + 0.02, turn + kink + 0.4, 60)])
    reach = 3 * abs(gap) + 1
    return extend_straight(one, reach), extend_straight(two, reach, at_start=True)


@pytest.mark.parametrize("seed", [1481, 593, 2021, 4920, 3614, 778, 3699, 4921, 4161, 969, *range(20)])
def test_what_meets_has_one_point(seed: int) -> None:
    one, two = nearly_in_line(seed)
    for t, u in intersections(one, two):
        assert abs(one.point(t) - two.point(u)) < 1e-6


@given(calm, st.floats(1, 50), st.booleans())
@many
def test_lengthened_straight(curve: Curve, by: float, at_start: bool) -> None:
    longer = extend_straight(curve, by, at_start=at_start)
    assert longer.length() == pytest.approx(curve.length() + by, abs=1e-6)
    new = Curve(longer.segments[:1] if at_start else longer.segments[-1:])
    assert new.is_straight(1e-9)
    joint = 1.0 if at_start else float(len(curve))
    assert abs(longer.tangent(joint, before=True) - longer.tangent(joint)) < 1e-9


@pytest.mark.slow
@given(calm, st.floats(1, 20))
@many
def test_run_on_keeps_the_curve_and_its_bend(curve: Curve, by: float) -> None:
    longer = extend_curved(curve, by)
    n = float(len(curve))
    old = curve.points(np.linspace(0, n, 99))
    assert max(longer.nearest(complex(p))[1] for p in old) < 1e-6
    joint, _ = longer.nearest(curve.end)
    assert longer.length_between(joint, float(len(longer))) == pytest.approx(by, rel=0.6)
    assert abs(np.angle(longer.tangent(float(len(longer)), before=True) / curve.tangent(n, before=True))) < 0.5
    if by * abs(curve.curvature(n, before=True)) < 0.4:
        assert longer.curvature(joint) == pytest.approx(curve.curvature(n, before=True), abs=5e-3)


def test_run_on_a_circle_stays_on_it() -> None:
    quarter = circle(80, 8).subcurve(0, 2)
    longer = extend_curved(quarter, 20)
    assert np.abs(np.abs(longer.points(np.linspace(0, len(longer), 99))) - 80).max() < 0.05
    assert longer.length() == pytest.approx(quarter.length() + 20, abs=1.0)


@pytest.mark.slow
@given(calm, st.floats(0.05, 0.95))
@many
def test_head_and_tail_make_the_whole_and_leave_no_specks(curve: Curve, share: float) -> None:
    t = share * len(curve)
    one, other = trim_end(curve, t), trim_start(curve, t)
    assert one.end == pytest.approx(curve.point(t), abs=1e-9)
    assert other.start == pytest.approx(curve.point(t), abs=1e-9)
    for part in (one, other):
        assert part.segment_lengths().min() > 0.019
        assert max(curve.nearest(complex(p))[1] for p in part.points(np.linspace(0, len(part), 40))) < 0.03
    near = trim_end(curve, len(curve) - 1e-9)
    assert len(near) == len(curve)
    if len(curve) > 1:
        assert len(trim_end(curve, 1 + 1e-7)) == 1


def test_ends_that_meet_beyond_themselves() -> None:
    one, two = Curve.polyline([0j, 80 + 0j]), Curve.polyline([100 + 15j, 100 + 100j])
    found = extend_to_intersection(one, two)
    assert found is not None
    assert found[0].end == pytest.approx(100)
    assert found[1].start == pytest.approx(100)
    assert extend_to_intersection(one, Curve.polyline([100 + 15j, 200 + 15j])) is None


# -- fits ------------------------------------------------------------------------------------------------------------


@given(calm)
@many
def test_a_cubic_is_found_again_from_its_points_nearly(curve: Curve) -> None:
    cubic = Curve(curve.segments[:1])
    places = cubic.points(np.linspace(0, 1, 21))
    found, error = fit_cubic_with_error(places, cubic.tangent(0.0), cubic.tangent(1.0, before=True), rounds=12)
    assert error < max(0.05, 0.01 * cubic.length())  # of 6,000, 4 were off by more than 0.05 mm, at most 0.3 %
    again = Curve(found[None, :])
    assert max(again.nearest(complex(p))[1] for p in places) == pytest.approx(error, abs=5e-3)


def test_a_fit_stops_when_it_is_good_enough_and_keeps_ends_and_tangents() -> None:
    quarter = circle(100).subcurve(0, 1)
    places = quarter.points(np.linspace(0, 1, 17))
    rough, worse = fit_cubic_with_error(places, 1j, -1 + 0j, enough=1.0)
    fine, better = fit_cubic_with_error(places, 1j, -1 + 0j)
    assert better <= worse
    for cubic in (rough, fine, fit_cubic(places, 1j, -1 + 0j)):
        assert (cubic[0], cubic[3]) == (places[0], places[-1])
        assert (cubic[1] - cubic[0]).real == pytest.approx(0, abs=1e-9)
        assert (cubic[3] - cubic[2]).imag == pytest.approx(0, abs=1e-9)


def test_two_points_and_straight_rows() -> None:
    found = fit_cubic(np.array([0j, 90 + 0j]), 1 + 0j, 1 + 0j)
    assert np.allclose(position(found[None, :], np.array([0.5])), 45)
    row = np.linspace(0, 90, 9).astype(complex)
    assert np.abs(fit_cubic(row, 1 + 0j, 1 + 0j).imag).max() < 1e-12


# -- crossing and straight -------------------------------------------------------------------------------------------


def test_self_crossing() -> None:
    loop = Curve(np.array([[0j, 150 + 100j, -50 + 100j, 100 + 0j]]))
    at = self_crossing(loop)
    assert at is not None
    assert at.real == pytest.approx(50, abs=0.1)
    assert self_crossing(circle(30)) is None
    eight = Curve.polyline([0j, 100 + 100j, 100 + 0j, 100j, 0j])
    assert self_crossing(eight) == pytest.approx(50 + 50j)
    node_on_node = Curve.polyline([0j, 50 + 50j, 100 + 100j, 100 + 0j, 50 + 50j, 100j])
    assert self_crossing(node_on_node) == pytest.approx(50 + 50j)
    touching = Curve.polyline([0j, 50 + 50j, 100 + 0j, 100 + 100j, 50 + 50j, 100j])
    assert self_crossing(touching) is None
    assert self_crossing(Curve.polyline([50 + 0j, 50 + 50j, 0j, 100 + 0j])) is None
    assert self_crossing(Curve.polyline([0j, 10 + 0j, 10 + 10j])) is None


@given(points, points)
def test_straight_lines_are_straight(start: complex, end: complex) -> None:
    line = Curve(from_line(start, end)[None, :])
    assert line.is_straight() == (start != end)
    assume(abs(end - start) > 10)
    way = (end - start) / abs(end - start)
    bowed = Curve(line.segments + np.array([0, 1, 1, 0]) * 1j * way * 0.03)
    assert not bowed.is_straight()
    assert bowed.is_straight(0.1)
