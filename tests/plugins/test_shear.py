"""Edges sheared longer and shorter: what the way from the drawn edge promises."""

from __future__ import annotations

import cmath
import itertools

import numpy as np
import pytest

from svgfit.geometry.bezier import Complex
from tests.plugins.stock import stock

SHEAR = stock("operations/cap_redraw", "shear")
ShearFrame = SHEAR.ShearFrame
at_rest = SHEAR.at_rest
follow_shear = SHEAR.follow_shear
shear_frame = SHEAR.shear_frame
shear_rate = SHEAR.shear_rate

ALWAYS = 99.0


def s_shape(height: float = 120.0, width: float = 170.0, count: int = 300) -> Complex:
    """Half a cosine: level at both ends."""
    u = np.linspace(0, 1, count)
    return np.asarray(width * (1 - u) - 1j * height * (1 - np.cos(np.pi * u)) / 2, dtype=np.complex128)


def frame_of(points: Complex) -> ShearFrame:
    return shear_frame(points, cmath.exp(-0.5j), 0.12)


def length(points: Complex) -> float:
    return float(np.abs(np.diff(points)).sum())


def followed(frame: ShearFrame, gain: float, steepest: float = ALWAYS) -> tuple[Complex, float]:
    weights, done = follow_shear([frame], gain, lambda _: True, steepest)
    return frame.moved(weights[0]), done


@pytest.mark.parametrize("gain", [-3.0, -0.01, 0.01, 4.0, 12.0])
def test_the_length_is_the_one_asked_ends_and_their_directions_stay(gain: float) -> None:
    points = s_shape()
    moved, done = followed(frame_of(points), gain)
    assert done == pytest.approx(gain)
    assert length(moved) - length(points) == pytest.approx(gain, abs=2e-3)
    assert np.abs(moved[[0, -1]] - points[[0, -1]]).max() < 1e-12
    for k in (0, -2):
        old, new = points[k + 1] - points[k], moved[k + 1] - moved[k]
        assert abs(cmath.phase(complex(new / old))) < 1e-3 * abs(gain) + 1e-9


def test_nothing_asked_is_nothing_moved() -> None:
    points = s_shape()
    moved, done = followed(frame_of(points), 0.0)
    assert done == 0.0
    assert np.array_equal(moved, points)


def test_longer_is_fuller_above_and_more_hollow_below_and_shorter_the_reverse() -> None:
    points = s_shape()
    out = cmath.exp(-0.5j)
    for sign in (1, -1):
        moved, _ = followed(frame_of(points), 3.0 * sign)
        along = np.real(np.conj(out) * (moved - points)) * sign
        assert along[240] > 0.5
        assert along[60] < -0.2


def test_more_moves_further_and_evenly_so() -> None:
    points = s_shape()
    frame = frame_of(points)
    before = points
    steps: list[float] = []
    for gain in np.arange(0.25, 10, 0.25).tolist():
        moved, _ = followed(frame, gain)
        steps.append(float(np.abs(moved - before).max()))
        before = moved
    assert max(steps) < 2 * 0.25
    assert all(a < 1.1 * b and b < 1.1 * a for a, b in itertools.pairwise(steps))


@pytest.mark.parametrize("gain", [-1.5, 3.0, 8.0])
def test_the_way_back_leads_over_the_same_places(gain: float) -> None:
    points = s_shape()
    moved, _ = followed(frame_of(points), gain)
    back, _ = followed(frame_of(moved), length(points) - length(moved))
    assert np.abs(back - points).max() < 0.02


def test_no_two_points_come_to_lie_on_one_another() -> None:
    """A shear keeps areas, that of any triangle among them."""
    frame = frame_of(s_shape())
    weights, _ = follow_shear([frame], 10.0, lambda _: True, ALWAYS)
    rng = np.random.default_rng(1)
    for _ in range(20):
        a = complex(rng.uniform(20, 150), rng.uniform(-100, -10))
        corners = np.array([a, a + 0.01, a + 0.01j], dtype=np.complex128)
        new = frame.move(corners, weights[0])
        area = float(np.imag(np.conj(new[1] - new[0]) * (new[2] - new[0])))
        assert area == pytest.approx(1e-4, rel=1e-2)


def test_velocities_are_those_of_moved_points() -> None:
    frame = frame_of(s_shape())
    weights, _ = follow_shear([frame], 6.0, lambda _: True, ALWAYS)
    at = np.array([100 - 50j, 60 - 90j], dtype=np.complex128)
    way = np.array([1 + 2j, -2 + 0.5j], dtype=np.complex128)
    step = 1e-5
    by_steps = (frame.move(at + step * way, weights[0]) - frame.move(at - step * way, weights[0])) / (2 * step)
    assert np.allclose(frame.turn(at, way, weights[0]), by_steps, atol=1e-6)


def test_it_ends_where_it_gets_too_steep_or_no_longer_good() -> None:
    frame = frame_of(s_shape())
    _, done = followed(frame, -30.0, 3.0)
    assert -30 < done < -0.1
    weights, _ = follow_shear([frame], done, lambda _: True, ALWAYS)
    assert shear_rate([frame], weights)[1] <= 3.0 + 1e-6
    _, most = follow_shear([frame], 30.0, lambda found: float(np.abs(found[0]).max()) < 5, ALWAYS)
    assert 0 < most < 30


def test_a_straight_edge_can_be_had_no_longer() -> None:
    points = np.linspace(170 + 0j, -120j, 200).astype(np.complex128)
    frame = frame_of(points)
    assert shear_rate([frame], at_rest([frame]))[1] == np.inf
    assert followed(frame, 5.0, 1.5)[1] == 0.0
