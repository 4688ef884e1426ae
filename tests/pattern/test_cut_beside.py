"""What is looked at of a cut line beside an edge: exactly only where it counts, and never another answer for it."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from svgfit.geometry import nearest
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.offset import Widths, offset_curve
from svgfit.pattern.cut_beside import Beside, cut_place, find_beside, kept_stretches

ARCH = Curve(np.array([[0j, 60 - 90j, 140 - 90j, 200 + 0j]]))
"""An edge of one cubic, so that its chords lie well off it."""


def beside_of(edge: Curve, widths: Widths | float) -> Beside:
    """Give places along a cut line drawn beside an edge."""
    line = offset_curve(edge, widths)
    t = np.linspace(0.05, 0.95, 60) * len(line)
    return Beside(edge=edge, cuts=t, points=line.points(t))


@pytest.mark.parametrize("width", [5.0, 15.875, 25.4])
def test_an_even_allowance_holds_and_no_other(width: float) -> None:
    beside = beside_of(ARCH, -width)
    assert beside.holds(width, 0.5)
    assert not beside.holds(width + 0.7, 0.5)
    assert not beside.holds(width - 0.7, 0.5)


@pytest.mark.parametrize("swell", np.linspace(0.0, 1.0, 41).tolist())
def test_what_surely_holds_holds_exactly(swell: float) -> None:
    """The quick answer must never be yes where the exact widths say no, however near they come to the bound."""
    beside = beside_of(ARCH, Widths(np.array([0.0, 0.5, 1.0]), np.array([-15.0, -15.0 - swell, -15.0])))
    most = float(np.abs(beside.exact()[1] - 15.0).max())
    assert not beside.holds(15.0, 0.5) or most <= 0.5
    assert beside.holds(15.0, 0.5) or most > 0.4, "left open where it is plain"


def test_single_places_are_those_of_all() -> None:
    beside = beside_of(ARCH, -12.0)
    places, widths = beside.exact()
    assert [beside.place(k) for k in range(len(places))] == places.tolist()
    for k in (0, 17, 59):
        assert beside.width(float(places[k])) == widths[k]
    between = float(places[20] + places[21]) / 2
    assert beside.width(between) == np.interp(between, places, widths)


def loop() -> tuple[Curve, list[Curve]]:
    """Give a closed cut line and the edges that it runs beside."""
    corners = [200 + 0j, 200 + 150j, 150j, 0j]
    edges = [ARCH, *(Curve.polyline([a, b]) for a, b in itertools.pairwise(corners))]
    parts = [offset_curve(edge, -10.0) for edge in edges]
    pairs = zip(parts, [*parts[1:], parts[0]], strict=True)
    joined = [part for one, after in pairs for part in (one, Curve.polyline([one.end, after.start]))]
    segments = Curve.chain(joined).segments.copy()
    segments[0, 0] = segments[-1, 3]
    return Curve(segments), edges


def test_the_ends_of_a_run_are_found_without_what_lies_between(monkeypatch: pytest.MonkeyPatch) -> None:
    line, edges = loop()
    looked_at: list[int] = []
    real = nearest.nearest_each

    def counting(segments: object, points: np.ndarray, accuracy: float) -> list[tuple[float, float]]:
        looked_at.append(len(points))
        return real(segments, points, accuracy)  # type: ignore[arg-type]

    monkeypatch.setattr("svgfit.geometry.curve.nearest_each", counting)
    found = find_beside(line, edges)
    for edge, beside in zip(edges, found, strict=True):
        assert beside is not None
        assert cut_place(line, edge, beside, 0.0) == beside.cuts[0]
        assert cut_place(line, edge, beside, float(len(edge))) == beside.cuts[-1]
        assert beside.holds(10.0, 0.5)
    assert sum(looked_at) <= 2 * len(edges)
    assert find_beside(line, list(edges)) is found, "found again for the same lines"


def test_places_lie_square_beside_each_other() -> None:
    line, edges = loop()
    beside = find_beside(line, edges)[0]
    assert beside is not None
    for place in (0.2, 0.5, 0.77):
        at, way = ARCH.point(place), ARCH.tangent(place)
        cut = line.point(cut_place(line, ARCH, beside, place) % len(line))
        assert abs(((cut - at) * way.conjugate()).real) < 1e-6
        assert abs(abs(cut - at) - 10.0) < 0.05


def test_what_stayed_is_found_beside_what_was_redrawn() -> None:
    first, last = ARCH.split(0.5)
    bent = last.segments.copy()
    bent[0, 2] += 6 + 4j
    new = Curve.chain([first, Curve(bent)])
    (kept,) = kept_stretches(ARCH, new, [])
    assert (kept.start, kept.end) == (0.0, 1.0)
    assert (kept.was_start, kept.was_end) == pytest.approx((0.0, 0.5), abs=1e-6)


def test_what_was_turned_is_found_by_its_motion() -> None:
    motion = Affine.turn(0.05).then(Affine.shift(3 - 2j))
    first, last = ARCH.split(0.4)
    moved = last.transform(motion)
    new = Curve.chain([first, Curve.polyline([first.end, moved.start]), moved])
    kept = kept_stretches(ARCH, new, [motion])
    assert [(one.start, one.end) for one in kept] == [(0.0, 1.0), (2.0, 3.0)]
    assert kept[1].motion == motion
