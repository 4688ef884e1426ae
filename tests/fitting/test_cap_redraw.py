"""The cap edge bent anew, on many sleeves; lengths by scipy's quadrature, crossings by shapely."""

from __future__ import annotations

import cmath
import itertools

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.integrate import quad
from shapely.geometry import LinearRing

from svgfit.fitting.cap_shape import displacement, times_tighter
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from tests.plugins.stock import stock

from .sleeves import Shape, cap_curve, notch_mark, shapes, sleeve, straight_cap

REDRAW = stock("operations/cap_redraw", "redraw")
RedrawnCap = REDRAW.RedrawnCap
cap_gains = REDRAW.cap_gains
prepare_cap = REDRAW.prepare_cap
redraw_cap = REDRAW.redraw_cap
redraw_halves = REDRAW.redraw_halves
with_redrawn_cap = REDRAW.with_redrawn_cap

many = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
gains = st.floats(-0.01, 0.10)
MORE_NODES = 16
"""What the fit may add to a cap of two cubics, or four: more would be a burden to who goes on drawing by hand."""


def length_by_quadrature(curve: Curve) -> float:
    """Written from the Bernstein form here, not by way of the code under test."""
    total = 0.0
    for p0, p1, p2, p3 in curve.segments.tolist():

        def speed(t: float, a: complex = p1 - p0, b: complex = p2 - p1, c: complex = p3 - p2) -> float:
            return 3 * abs((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c)

        total += quad(speed, 0, 1, epsabs=1e-9, limit=200)[0]
    return total


def bent(piece: Piece, share: float, *, whole: bool, back: float | None = None) -> tuple[RedrawnCap, float] | None:
    cap = prepare_cap(piece, whole=whole)
    wanted = share * cap.curve.length()
    new = redraw_cap(cap, wanted) if back is None else redraw_halves(cap, wanted * (1 - back), wanted * back)
    return None if new is None else (new, wanted)


def whatever_holds(piece: Piece, new: RedrawnCap, wanted: float) -> None:
    """All that a redrawn cap promises, but for where it was redrawn."""
    old, curve = piece.edge("cap").from_front(), new.curve
    assert length_by_quadrature(curve) == pytest.approx(length_by_quadrature(old) + wanted, abs=1e-3)
    assert abs(curve.start - old.start) < 1e-9
    assert abs(curve.end - old.end) < 1e-9
    assert abs(curve.bounds()[1] - old.bounds()[1]) < 1e-6
    assert abs(cmath.phase(curve.tangent(0.0) / old.tangent(0.0))) < 1e-6
    ends = curve.tangent(float(len(curve)), before=True) / old.tangent(float(len(old)), before=True)
    assert abs(cmath.phase(ends)) < 1e-6
    assert len(curve) <= len(old) + MORE_NODES
    for k in range(1, len(curve)):
        assert abs(cmath.phase(curve.tangent(k) / curve.tangent(k, before=True))) < 1e-6
    after = with_redrawn_cap(prepare_cap(piece, whole=True), new)
    points = after.outline().points(np.linspace(0, len(after.outline()), 60 * len(after.outline())))[:-1]
    assert LinearRing(zip(points.real, points.imag, strict=True)).is_simple


@pytest.mark.slow
@given(shapes, gains)
@many
def test_the_whole_cap_gets_the_length_asked_and_keeps_all_else(shape: Shape, share: float) -> None:
    piece = sleeve(shape)
    done = bent(piece, share, whole=True)
    assume(done is not None)
    assert done is not None
    whatever_holds(piece, *done)


@pytest.mark.slow
@given(shapes, st.floats(-0.01, 0.05))
@many
def test_between_the_notches_the_lower_cap_stays_the_very_same(shape: Shape, share: float) -> None:
    piece = sleeve(shape)
    done = bent(piece, share, whole=False)
    assume(done is not None)
    assert done is not None
    new, wanted = done
    whatever_holds(piece, new, wanted)
    cap = prepare_cap(piece, whole=False)
    below = int(cap.start), len(cap.curve) - int(np.ceil(cap.end))
    if below[0]:
        assert np.array_equal(new.curve.segments[: below[0]], cap.curve.segments[: below[0]])
    if below[1]:
        assert np.array_equal(new.curve.segments[-below[1] :], cap.curve.segments[-below[1] :])
    for t in (0.3 * cap.start, cap.start, cap.end, 0.5 * cap.end + 0.5 * len(cap.curve)):
        assert new.curve.nearest(cap.curve.point(t))[1] < 1e-9


PLAIN = tuple(
    Shape(front=front, back=back, height=height, notch=notch)
    for front, back, height, notch in itertools.product(
        (150.0, 178.0), (150.0, 185.0), (110.0, 140.0, 160.0), (0.25, 0.33)
    )
)


@pytest.mark.slow
@pytest.mark.parametrize(("whole", "most"), [(True, 0.09), (False, 0.05)], ids=["whole", "lower cap kept"])
def test_plain_sleeves_reach_every_length_that_is_asked_of_them(whole: bool, most: float) -> None:
    out_of_reach: list[tuple[Shape, float]] = []
    for shape in PLAIN:
        piece = sleeve(shape)
        for share in (-0.01, 0.01, most / 2, most):
            done = bent(piece, share, whole=whole)
            if done is None:
                out_of_reach.append((shape, share))
            else:
                whatever_holds(piece, *done)
    assert out_of_reach == []


@pytest.mark.slow
@given(shapes, st.floats(0.0, 0.04), st.sampled_from([0.3, 0.5, 0.6]))
@many
def test_front_and_back_get_their_shares(shape: Shape, share: float, back: float) -> None:
    piece = sleeve(shape)
    done = bent(piece, share, whole=True, back=back)
    assume(done is not None)
    assert done is not None
    new, wanted = done
    for side, half in (
        ("front", new.curve.subcurve(0.0, new.top)),
        ("back", new.curve.subcurve(new.top, len(new.curve))),
    ):
        old = prepare_cap(piece, whole=True).halves[side == "back"]
        part = back if side == "back" else 1 - back
        assert length_by_quadrature(half) == pytest.approx(old + part * wanted, abs=1e-3)


def moved(old: Curve, new: Curve) -> float:
    """Mean square of the distance from the old edge, by points looked up one by one."""
    return float(np.mean([old.nearest(complex(p))[1] ** 2 for p in new.points(np.linspace(0, len(new), 200))]))


def by_longer_handles(half: Curve, gain: float) -> Curve:
    """Another fuller half with the same ends, tangents and length: one cubic with both its handles longer."""
    p0, p1, p2, p3 = half.segments[0].tolist()
    low, high = 1.0, 3.0
    for _ in range(60):
        k = (low + high) / 2
        trial = Curve(np.array([[p0, p0 + k * (p1 - p0), p3 + k * (p2 - p3), p3]]))
        low, high = (k, high) if trial.length() < half.length() + gain else (low, k)
    return trial


@pytest.mark.parametrize("gain", [2.0, 6.0, 10.0])
@pytest.mark.parametrize("shape", [Shape(), Shape(front=150, back=165, height=120, scoop=0.45)])
def test_another_edge_of_that_length_lies_no_nearer_to_the_drawn_one(shape: Shape, gain: float) -> None:
    """As near as a single cubic with longer handles, within a fifth: that one has no smoothness to keep."""
    front, back = shape.front + 0j, -shape.back + 0j
    top = -1j * shape.height
    halves = (
        Curve(np.array([[front, front - shape.front * shape.scoop, top + shape.front * shape.crown, top]])),
        Curve(np.array([[top, top - shape.back * shape.crown, back + shape.back * shape.scoop, back]])),
    )
    cap = prepare_cap(sleeve(shape, Curve.chain(halves), notches=False), whole=True)
    new = redraw_halves(cap, gain, gain)
    assert new is not None
    ours = (new.curve.subcurve(0.0, new.top), new.curve.subcurve(new.top, len(new.curve)))
    for half, own in zip(halves, ours, strict=True):
        other = by_longer_handles(half, gain)
        assert other.length() == pytest.approx(own.length(), abs=1e-5)
        assert moved(half, own) < 1.2 * moved(half, other)


def cut_up(curve: Curve, count: int) -> Curve:
    places = sorted({*np.linspace(0, len(curve), count + 1).tolist(), len(curve) / 2})
    return Curve.chain(curve.subcurve(a, b) for a, b in itertools.pairwise(places))


@pytest.mark.parametrize("share", [-0.01, 0.02, 0.05])
@pytest.mark.parametrize("count", [7, 24])
def test_how_many_nodes_the_edge_was_drawn_with_hardly_matters(count: int, share: float) -> None:
    plain = bent(sleeve(Shape()), share, whole=True)
    other = bent(sleeve(Shape(), cut_up(cap_curve(Shape()), count)), share, whole=True)
    assert plain is not None
    assert other is not None
    assert len(other[0].curve) <= max(16, count + MORE_NODES)
    away = max(
        plain[0].curve.nearest(complex(p))[1] for p in other[0].curve.points(np.linspace(0, len(other[0].curve), 60))
    )
    assert away < 0.4


def test_an_edge_of_many_chords_stays_one_of_so_many_pieces() -> None:
    curve = cap_curve(Shape())
    piece = sleeve(Shape(), Curve.polyline(curve.points(np.linspace(0, len(curve), 81)).tolist()))
    done = bent(piece, 0.02, whole=True)
    assert done is not None
    new, wanted = done
    assert length_by_quadrature(new.curve) == pytest.approx(piece.edge("cap").curve.length() + wanted, abs=1e-3)
    assert len(new.curve) <= 80
    assert abs(new.curve.bounds()[1] + 140.0) < 1e-6
    drawn = piece.edge("cap").curve
    for k in range(1, 80):
        turn = cmath.phase(new.curve.tangent(k) / new.curve.tangent(k, before=True))
        assert abs(turn - cmath.phase(drawn.tangent(k) / drawn.tangent(k, before=True))) < 0.03


def test_a_peaked_cap_keeps_its_peak() -> None:
    f = [178 + 0j, 100 + 0j, 60 - 110j, -140j]
    piece = sleeve(Shape(), Curve(np.array([f, [-point.conjugate() for point in f[::-1]]])), notches=False)
    done = bent(piece, 0.02, whole=True)
    assert done is not None
    new, old = done[0], piece.edge("cap").curve
    top = round(new.top)
    for before in (True, False):
        turned = new.curve.tangent(top, before=before) / old.tangent(1, before=before)
        assert abs(cmath.phase(turned)) < 1e-6
    assert abs(new.curve.bounds()[1] + 140.0) < 1e-6


def test_a_straight_cap_whose_squareness_is_to_stay_cannot_be_had_longer() -> None:
    """It would have to bend to and fro."""
    assert bent(sleeve(Shape(), straight_cap(177.8, 152.4), notches=False), 0.02, whole=True) is None


@pytest.mark.slow
@pytest.mark.parametrize("whole", [True, False])
def test_the_edge_moves_little_where_the_length_changes_little(whole: bool) -> None:
    """So that others can search with it: a tenth of a millimetre more on each side moves it by less than a half."""
    cap = prepare_cap(sleeve(Shape()), whole=whole)
    before: Curve | None = None
    for gain in np.arange(-3.0, 6.0, 0.1).tolist():
        new = redraw_cap(cap, 2 * gain)
        assert new is not None
        if before is not None:
            points = new.curve.points(np.linspace(0, len(new.curve), 60))
            assert max(before.nearest(complex(point))[1] for point in points) < 0.5
        before = new.curve


def test_nothing_asked_changes_nothing() -> None:
    cap = prepare_cap(sleeve(Shape()), whole=True)
    for new in (redraw_cap(cap, 0.0), redraw_halves(cap, 0.0, 0.0)):
        assert new is not None
        assert new.curve is cap.curve
        assert displacement(cap.curve, new.curve).outwards == 0.0


def test_the_same_again_to_the_last_bit() -> None:
    first, second = (bent(sleeve(Shape()), 0.03, whole=False) for _ in range(2))
    assert first is not None
    assert second is not None
    assert np.array_equal(first[0].curve.segments, second[0].curve.segments)


@pytest.mark.slow
@given(shapes, st.floats(0.005, 0.04), st.floats(-3, 3), st.booleans())
@settings(max_examples=25, deadline=None, phases=[Phase.generate])
def test_a_piece_drawn_turned_is_redrawn_alike(shape: Shape, share: float, angle: float, whole: bool) -> None:
    """A piece comes in its own frame however it lies on the page, but for rounding; that may not grow."""
    piece = sleeve(shape)
    there = Affine.turn(angle, 900 + 700j)
    rounded = replace(
        piece,
        edges=tuple(
            replace(edge, curve=edge.curve.transform(there).transform(there.inverse())) for edge in piece.edges
        ),
    )
    one, two = (bent(each, share, whole=whole) for each in (piece, rounded))
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        assert np.allclose(one[0].curve.segments, two[0].curve.segments, atol=1e-6, rtol=0)


def shoulder_off_the_top(at: complex) -> Piece:
    piece = sleeve(Shape())
    cap = piece.edge("cap").curve
    t = cap.nearest(at)[0]
    marks = tuple(mark for mark in piece.marks if mark.kind != "shoulder notch")
    return replace(
        piece,
        marks=(*marks, notch_mark(cap, t, "shoulder notch")),
        landmarks=(*piece.landmarks[:3], Landmark("shoulder notch", cap.point(t))),
    )


@pytest.mark.parametrize("at", [15 - 139j, -22 - 138j])
@pytest.mark.parametrize("whole", [True, False])
def test_notches_ride_along(at: complex, whole: bool) -> None:
    piece = shoulder_off_the_top(at)
    cap = prepare_cap(piece, whole=whole)
    new = redraw_halves(cap, *cap_gains(cap, piece.landmark("shoulder notch"), 3.0, 5.0))
    assert new is not None
    after = with_redrawn_cap(cap, new)

    def along(of: Piece, point: complex, *, from_back: bool) -> float:
        curve = of.edge("cap").curve
        curve = curve.reverse() if from_back else curve
        t, away = curve.nearest(point)
        assert away < 1e-6
        return curve.length_between(0.0, t)

    for was, now in zip(piece.marks, after.marks, strict=True):
        if was.kind != "notch":
            continue
        assert was.at is not None
        assert now.at is not None
        back = was.at.real < 0
        assert along(after, now.at, from_back=back) == pytest.approx(along(piece, was.at, from_back=back), abs=1e-5)
        if not whole and was.at in (cap.curve.point(cap.start), cap.curve.point(cap.end)):
            assert now == was
        # The tick stood square to the edge, and still does.
        way = now.curves[0].tangent(0.0)
        seam = after.edge("cap").curve
        assert abs(cmath.phase(way / (1j * seam.tangent(seam.nearest(now.at)[0])))) < 1e-5
    shoulder = after.landmark("shoulder notch")
    mark: Mark = next(mark for mark in after.marks if mark.kind == "shoulder notch")
    assert mark.at is not None
    assert abs(mark.at - shoulder) < 1e-9
    # Its share of the half it stands on, and what front and back were to gain up to it.
    front = at.real > 0
    half = 0 if front else 1
    share = along(piece, piece.landmark("shoulder notch"), from_back=not front) / cap.halves[half]
    assert along(after, shoulder, from_back=not front) / new.halves[half] == pytest.approx(share, abs=1e-7)
    for from_back, gain in ((False, 3.0), (True, 5.0)):
        was_long = along(piece, piece.landmark("shoulder notch"), from_back=from_back)
        assert along(after, shoulder, from_back=from_back) == pytest.approx(was_long + gain, abs=1e-4)
    assert after.landmark("cap top") == piece.landmark("cap top")
    assert [mark for mark in after.marks if mark.edge is None] == [mark for mark in piece.marks if mark.edge is None]


def test_without_notches_only_the_whole_cap_can_be_redrawn() -> None:
    piece = sleeve(Shape(), notches=False)
    with pytest.raises(Refusal, match="no notch below the cap top"):
        prepare_cap(piece, whole=False)
    prepare_cap(piece, whole=True)


def test_a_dart_in_the_cap_is_refused() -> None:
    piece = replace(sleeve(Shape()), darts=(Dart("cap", 60 - 110j, 40 - 60j, 66 - 105j),))
    with pytest.raises(Refusal, match="has a dart"):
        prepare_cap(piece, whole=True)


def test_an_edge_walked_from_the_back_is_redrawn_alike() -> None:
    piece = sleeve(Shape())
    turned = replace(
        piece,
        edges=tuple(
            replace(edge, curve=edge.curve.reverse(), backwards=not edge.backwards) for edge in reversed(piece.edges)
        ),
    )
    one, two = bent(piece, 0.02, whole=False), bent(turned, 0.02, whole=False)
    assert one is not None
    assert two is not None
    assert np.allclose(one[0].curve.segments, two[0].curve.segments, atol=1e-6)
    after = with_redrawn_cap(prepare_cap(turned, whole=False), two[0])
    assert abs(after.edge("cap").curve.start - turned.edge("cap").curve.start) < 1e-9


def test_how_far_outwards_against_points_looked_up_one_by_one() -> None:
    cap = prepare_cap(sleeve(Shape()), whole=False)
    new = redraw_cap(cap, 10.0)
    assert new is not None
    slow = max(cap.curve.nearest(complex(point))[1] for point in new.curve.points(np.linspace(0, len(new.curve), 2000)))
    assert displacement(cap.curve, new.curve).outwards == pytest.approx(slow, abs=0.01)
    shorter = redraw_cap(cap, -6.0)
    assert shorter is not None
    slow = max(
        cap.curve.nearest(complex(point))[1] for point in shorter.curve.points(np.linspace(0, len(shorter.curve), 2000))
    )
    assert displacement(cap.curve, shorter.curve).inwards == pytest.approx(slow, abs=0.01)
    assert displacement(cap.curve, shorter.curve).outwards < 0.1
    assert times_tighter(cap.curve, cap.curve) == pytest.approx(1.0)
