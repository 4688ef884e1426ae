"""What a trued edge promises, on many sleeves."""

from __future__ import annotations

import cmath
import itertools
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import spread
from svgfit.fitting.truing import stops_on, true
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening

from .sleeves import Shape, shapes, sleeve

many = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])


def level_slash(piece: Piece, at: float) -> Slash:
    return Slash((1000 - 1j * at, -1000 - 1j * at), moves=piece.landmark("cap top"))


def raised(shape: Shape, at: float, amount: float) -> tuple[Piece, Piece, tuple[Opening, ...]]:
    before = sleeve(shape)
    height = at * shape.height
    cap = before.edge("cap")
    stops = [cap.curve.point(t) for t in stops_on(before, cap)]
    # A slash on a notch is refused (tested below), and so is an overlap that swallows one.
    assume(all(abs(-stop.imag - height) > 2 + max(0.0, -amount) for stop in stops))
    assume(-amount < (1 - at) * shape.height * 0.6)
    after, openings = true(spread(before, level_slash(before, height), Affine.shift(-1j * amount)))
    return before, after, openings


def angle_between(first: complex, second: complex) -> float:
    return abs(math.degrees(cmath.phase(second / first)))


def place_of(curve: Curve, stretch: Curve) -> int:
    found = [
        k
        for k in range(len(curve) - len(stretch) + 1)
        if np.allclose(curve.segments[k : k + len(stretch)], stretch.segments, atol=1e-9)
    ]
    assert len(found) == 1
    return found[0]


@pytest.mark.slow
@given(shapes, st.floats(0.46, 0.8), st.floats(-15, 30))
@many
def test_tangent_on_both_sides_through_the_middle_and_few_nodes(shape: Shape, at: float, amount: float) -> None:
    assume(abs(amount) > 0.5)
    before, after, openings = raised(shape, at, amount)
    cap = after.edge("cap").curve
    assert len(openings) == 2
    for opening in openings:
        k = place_of(cap, opening.trued)
        ends = k + len(opening.trued)
        if k > 0:
            assert angle_between(cap.tangent(k, before=True), cap.tangent(k)) < 0.1
        if ends < len(cap):
            assert angle_between(cap.tangent(ends, before=True), cap.tangent(ends)) < 0.1
        middle = (opening.first + opening.second) / 2
        assert opening.trued.nearest(middle)[1] < 0.05
        assert abs(abs(opening.width) - abs(amount)) < 1e-9
    assert len(cap) - len(before.edge("cap").curve) <= 9 * len(openings)


@pytest.mark.slow
@given(shapes, st.floats(0.46, 0.8), st.floats(-15, 30))
@many
def test_the_rest_is_the_original_moved_and_marks_stay_out_of_the_trued_stretch(
    shape: Shape, at: float, amount: float
) -> None:
    assume(abs(amount) > 0.5)
    before, after, openings = raised(shape, at, amount)
    old, cap = before.edge("cap").curve, after.edge("cap").curve
    height = at * shape.height
    for k, segment in enumerate(cap.segments):
        if any(k0 <= k < k0 + len(o.trued) for o in openings for k0 in [place_of(cap, o.trued)]):
            continue
        for point in Curve(segment[None, :]).points(np.linspace(0, 1, 7)):
            # Moved or not, a point off the trued stretches lies on the old edge.
            still = old.nearest(complex(point))[1]
            moved = old.nearest(complex(point) + 1j * amount)[1]
            assert min(still, moved) < 1e-6
    for mark, was in zip(after.marks, before.marks, strict=True):
        if mark.at is None:
            continue
        assert after.edge("cap").curve.nearest(mark.at)[1] < 1e-6
        assert was.at is not None
        step = 1j * amount if -was.at.imag > height else 0j
        assert abs(mark.at - (was.at - step)) < 1e-9
        # A notch stays square to its seam: the stretch beyond it was not redrawn.
        way = mark.curves[0].tangent(0.0)
        seam = cap.tangent(cap.nearest(mark.at)[0])
        assert abs((way * seam.conjugate()).real) < 2e-3


@given(shapes, st.floats(0.46, 0.8), st.floats(1, 25))
@many
def test_no_loop_no_cusp_and_no_new_inflection_unless_said(shape: Shape, at: float, amount: float) -> None:
    before, after, openings = raised(shape, at, amount)
    cap = after.edge("cap").curve
    assert self_crossing(cap, 40) is None
    for opening in openings:
        speed = np.abs(np.diff(opening.trued.points(np.linspace(0, 2, 201))))
        assert speed.min() > 1e-3 * speed.mean()
    if not any(opening.unkept for opening in openings):
        assert cap.inflections() <= before.edge("cap").curve.inflections()


def convex_possible(before: Piece, opening: Opening, amount: float) -> bool:
    """Whether two cubics that bend one way can run through the middle at six openings' reach, seen from the drawing.

    From tangent to chord to chord to tangent, every turn must go the same way: a convex curve stays inside the triangle
    of its end tangents.
    """
    cap = before.edge("cap").curve
    reach = 6 * amount
    stops = [0.0, *stops_on(before, before.edge("cap")), float(len(cap))]
    t = cap.at_length(opening.at)
    low = max(cap.length_between(0, stop) for stop in stops if stop < t)
    high = min(cap.length_between(0, stop) for stop in stops if stop > t)
    t0, t1 = cap.at_length(max(opening.at - reach, low)), cap.at_length(min(opening.at + reach, high))
    # The part towards the cap top moved.
    shift = (-1j * amount, 0) if cap.point(t0).imag < cap.point(t1).imag else (0, -1j * amount)
    start, end, middle = cap.point(t0) + shift[0], cap.point(t1) + shift[1], cap.point(t) - 0.5j * amount
    ways = [cap.tangent(t0), middle - start, end - middle, cap.tangent(t1)]
    turns = [cmath.phase(b / a) for a, b in itertools.pairwise(ways)]
    return all(turn > 0.03 for turn in turns) or all(turn < -0.03 for turn in turns)


@pytest.mark.slow
@given(shapes, st.floats(0.5, 0.8), st.floats(2, 12))
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_where_a_bend_to_one_side_is_possible_no_inflection_is_added(shape: Shape, at: float, amount: float) -> None:
    before, _, openings = raised(shape, at, amount)
    possible = [convex_possible(before, opening, amount) for opening in openings]
    assume(any(possible))
    for opening, can in zip(openings, possible, strict=True):
        if can:
            assert opening.unkept == ()


@pytest.mark.slow
@given(shapes, st.floats(0.5, 0.75), st.floats(2, 20), st.floats(-math.pi, math.pi), st.booleans())
@settings(max_examples=25, deadline=None)
def test_a_turned_or_mirrored_piece_gives_the_same_edge_moved(
    shape: Shape, at: float, amount: float, angle: float, mirrored: bool
) -> None:
    """The engine itself knows no up: slash, motion and piece moved together give the result moved."""
    before = sleeve(shape)
    motion = Affine.turn(angle).then(Affine.shift(300 - 120j))
    if mirrored:
        motion = Affine.scale(-1, 1).then(motion)
    slash = level_slash(before, at * shape.height)
    after, _ = true(spread(before, slash, Affine.shift(-1j * amount)))
    elsewhere = moved(before, motion)
    other, _ = true(
        spread(
            elsewhere,
            Slash(tuple(motion.apply(p) for p in slash.points), motion.apply(slash.moves)),
            motion.inverse().then(Affine.shift(-1j * amount)).then(motion),
        )
    )
    assert np.allclose(
        motion.apply(after.edge("cap").curve.segments), other.edge("cap").curve.segments, atol=1e-6, rtol=0
    )


def moved(piece: Piece, motion: Affine) -> Piece:
    from msgspec.structs import replace

    return replace(
        piece,
        edges=tuple(replace(e, curve=e.curve.transform(motion)) for e in piece.edges),
        marks=tuple(
            replace(
                m,
                curves=tuple(c.transform(motion) for c in m.curves),
                at=None if m.at is None else motion.apply(m.at),
            )
            for m in piece.marks
        ),
        landmarks=tuple(replace(m, at=motion.apply(m.at)) for m in piece.landmarks),
    )


def test_a_slash_on_a_notch_is_refused_with_what_to_do() -> None:
    shape = Shape()
    piece = sleeve(shape)
    with pytest.raises(Refusal, match="stands right at what is to be trued"):
        true(spread(piece, level_slash(piece, shape.height * shape.notch + 0.1), Affine.shift(-9j)))


def test_a_slash_outside_the_piece_is_refused() -> None:
    piece = sleeve(Shape())
    with pytest.raises(Refusal, match="nowhere instead of twice"):
        spread(piece, level_slash(piece, 500), Affine.shift(-9j))


def test_a_truing_that_crosses_another_edge_is_refused() -> None:
    """The hem cut and pushed up through the cap."""
    piece = sleeve(Shape(length=60))
    slash = Slash((1000 + 30j, -1000 + 30j), moves=piece.edge("hem").curve.point(0.5))
    with pytest.raises(Refusal, match="cross another edge"):
        true(spread(piece, slash, Affine.shift(-150j)))


def test_a_grain_line_continues_straight_through_the_opening() -> None:
    piece = sleeve(Shape())
    after, _ = true(spread(piece, level_slash(piece, 80), Affine.shift(-10j)))
    old = next(m for m in piece.marks if m.kind == "grain line").curves[0]
    new = next(m for m in after.marks if m.kind == "grain line").curves[0]
    assert new.end == old.end
    assert abs(new.start - (old.start - 10j)) < 1e-9
    assert len(new) == 1
