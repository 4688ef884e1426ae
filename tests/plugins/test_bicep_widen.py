"""bicep-widen: what it must show."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from tests.fitting.sleeves import Shape, shapes, sleeve, straight_cap

from .running import CAP_SEAM, INCH, bodice, refused_line, run_steps, value

WAYS = ("height", "cap-length", "underarm", "hem")
MEASURED = ("cap height", "cap length", "cap length front", "cap length back", "bicep width", "underarm corner")


def corner(piece: Piece, side: str) -> float:
    """The angle inside the piece between cap edge and underarm seam, radians."""
    cap = piece.edge("cap").from_front()
    cap = cap if side == "front" else cap.reverse()
    return abs(cmath.phase(cap.tangent(0.0) / piece.edge(f"underarm {side}").from_front().tangent(0.0)))


def kinks(curve: Curve) -> list[float]:
    """How far the curve turns at each of its nodes, radians."""
    nodes = np.arange(1, len(curve), dtype=np.float64)
    return np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True))).tolist()


def test_straight_cap_an_inch_wider_with_its_sides_kept_is_5_362_in_high() -> None:
    """Half width 7, height 6: each side is the root of 85 in long. Worked by hand from Pythagoras."""
    before = sleeve(Shape(), cap=straight_cap(7 * INCH, 6 * INCH), notches=False)
    run = run_steps((before,), 'bicep-widen amount="1 in" how=cap-length')
    assert value(run, "cap height") / INCH == pytest.approx(math.sqrt(85 - 7.5**2), abs=1e-6)
    assert value(run, "cap height") / INCH == pytest.approx(5.362, abs=0.0005)
    assert value(run, "bicep width") / INCH == pytest.approx(15, abs=1e-9)
    assert value(run, "cap length") / INCH == pytest.approx(2 * math.sqrt(85), abs=1e-6)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("how", WAYS)
@given(shape=shapes, share=st.floats(-0.1, 0.15))
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_width_asked_is_the_width_got(how: str, shape: Shape, share: float) -> None:
    assume(abs(share) > 0.005)
    before = sleeve(shape)
    target = (shape.front + shape.back) * (1 + share)
    assume(target > (shape.front + shape.back) * shape.wrist + 1)
    # Short wide sleeves would have to turn far about the hem; that is refused (tested below).
    assume(how != "hem" or abs(target - shape.front - shape.back) < 0.35 * shape.length)
    run = run_steps((before,), f"bicep-widen width='{target:.9f} mm' how={how}")
    (after,) = run.after
    assert value(run, "bicep width") == pytest.approx(target, abs=0.01)
    assert run.steps[0].got["bicep width"] == pytest.approx(target, abs=0.01)
    assert [check.status for check in run.checks] == ["pass"]
    if how in ("height", "underarm"):
        assert value(run, "cap height") == pytest.approx(shape.height, abs=1e-6)
    if how == "cap-length":
        assert value(run, "cap length") == pytest.approx(before.edge("cap").curve.length(), abs=0.01)
    assert self_crossing(after.outline()) is None
    cap = after.edge("cap").curve
    assert max(kinks(cap)) < 0.002
    if not run.openings or not any(opening.unkept for opening in run.openings):
        assert cap.inflections() <= before.edge("cap").curve.inflections()
    # The corners at the underarm stay as square as they were.
    for side in ("front", "back"):
        assert corner(after, side) == pytest.approx(corner(before, side), abs=1e-6)
    # Notches stand on the edge and square to it, as they did.
    for mark in after.marks:
        if mark.at is not None:
            t, away = cap.nearest(mark.at)
            assert away < 1e-6
            assert abs(cmath.phase(mark.curves[0].tangent(0.0) / cap.tangent(t))) == pytest.approx(
                math.pi / 2, abs=1e-3
            )
            assert mark.curves[0].length() == pytest.approx(6, abs=1e-6)


def test_the_hem_and_the_grain_line_stay_and_the_seams_run_down_to_it_straight() -> None:
    before = sleeve(Shape())
    for how in ("height", "cap-length", "underarm"):
        (after,) = run_steps((before,), f"bicep-widen amount='1 in' how={how}").after
        assert np.allclose(after.edge("hem").curve.segments, before.edge("hem").curve.segments, atol=1e-9, rtol=0)
        assert after.marks[0] == before.marks[0]
        for side, sign in (("front", 1), ("back", -1)):
            seam = after.edge(f"underarm {side}").from_front()
            assert seam.start == pytest.approx(before.landmark(f"underarm {side}") + sign * INCH / 2, abs=1e-9)
            assert after.landmark(f"underarm {side}") == pytest.approx(seam.start, abs=1e-12)
            assert seam.length() == pytest.approx(abs(seam.end - seam.start), abs=1e-9)


def test_at_the_underarm_only_the_cap_above_the_notches_stays_as_it_was() -> None:
    before = sleeve(Shape())
    (after,) = run_steps((before,), "bicep-widen amount='1 in' how=underarm taper='100 mm'").after
    old, new = before.edge("cap").curve, after.edge("cap").curve
    notches = sorted(old.nearest(mark.at)[0] for mark in before.notches("cap") if mark.at is not None)
    for point in old.points(np.linspace(notches[0], notches[-1], 60)):
        assert new.nearest(complex(point))[1] < 1e-6
    assert before.marks == after.marks or all(
        abs((one.at or 0) - (other.at or 0)) < 1e-6 for one, other in zip(before.marks, after.marks, strict=True)
    )
    # Below 100 mm down the seams too.
    for side in ("front", "back"):
        seam, was = (piece.edge(f"underarm {side}").from_front() for piece in (after, before))
        for along in (101, 200, 400):
            assert seam.nearest(was.point(was.at_length(along)))[1] < 1e-6
        assert max(kinks(seam)) < 1e-4


def test_slashed_to_the_hem_it_opens_at_the_bicep_by_the_amount_and_says_what_it_came_to() -> None:
    before = sleeve(Shape())
    run = run_steps((before,), "bicep-widen amount='1 in' how=hem")
    (after,) = run.after
    arrows = [note for note in run.annotations if note.kind == "arrow" and note.curve is not None]
    assert sum(abs(note.curve.end - note.curve.start) for note in arrows) == pytest.approx(INCH, abs=0.02)
    # Each underarm point turned about the hinge by half: its distance from the hinge stays (arithmetic).
    angle = math.asin(INCH / 2 / 430)
    assert value(run, "bicep width") == pytest.approx(348 * math.cos(angle) + 2 * 430 * math.sin(angle), abs=1e-6)
    for side in ("front", "back"):
        assert value(run, f"underarm seam {side}") == pytest.approx(
            before.edge(f"underarm {side}").curve.length(), abs=1e-6
        )
    gained = run.steps[0].got["cap length gained"]
    assert gained == pytest.approx(sum(opening.gain for opening in run.openings), abs=1e-6)
    for half in ("front", "back"):
        more = value(run, f"cap length {half}") - value(run, f"cap length {half}", before=True)
        assert more == pytest.approx(gained / 2, abs=0.01)
    assert len(after.edge("hem").curve) == 1
    middle = (after.landmark("underarm front") + after.landmark("underarm back")) / 2
    assert middle.imag == pytest.approx(0, abs=1e-9)


def test_the_ease_is_told_where_the_armholes_are_known() -> None:
    pieces = (sleeve(Shape()), bodice("front", 225), bodice("back", 232))
    run = run_steps(pieces, "bicep-widen amount='1 in' how=cap-length", seams=(CAP_SEAM,))
    assert run.steps[0].got["cap ease"] == pytest.approx(value(run, "cap ease", before=True), abs=0.01)


def test_a_drawn_bicep_line_grows_with_it() -> None:
    plain = sleeve(Shape())
    line = Mark("bicep line", (Curve.polyline([-180 + 0j, 188 + 0j]),))
    before = replace(plain, marks=(*plain.marks, line))
    for how in WAYS:
        (after,) = run_steps((before,), f"bicep-widen width='370 mm' how={how}").after
        (drawn,) = after.marks[-1].curves
        assert drawn.start.real == pytest.approx(after.landmark("underarm back").real - 10, abs=1e-9)
        assert drawn.end.real == pytest.approx(after.landmark("underarm front").real + 10, abs=1e-9)


@pytest.mark.parametrize("how", WAYS)
def test_mirrored_it_is_the_same_mirrored(how: str) -> None:
    """Front and back exchanged: the piece frame has its front at +x, so that turning the page changes nothing."""
    before = sleeve(Shape(front=178, back=170, unlike=1.0))
    other = mirrored(before)
    step = f"bicep-widen width='368 mm' how={how}"
    (one,), (two,) = run_steps((before,), step).after, run_steps((other,), step).after
    again = mirrored(two)
    for edge in ("cap", "hem", "underarm front", "underarm back"):
        first, second = one.edge(edge).curve, again.edge(edge).curve
        for t in np.linspace(0, len(first), 40):
            assert second.nearest(first.point(float(t)))[1] < 1e-6


def mirrored(piece: Piece) -> Piece:
    flip = Affine.scale(-1, 1)
    name = {"front": "back", "back": "front"}

    def swapped(text: str) -> str:
        return " ".join(name.get(word, word) for word in text.split())

    edges = tuple(
        replace(
            edge,
            name=swapped(edge.name),
            curve=edge.curve.transform(flip),
            backwards=edge.backwards != (edge.name == "cap"),
        )
        for edge in piece.edges
    )
    marks = tuple(
        replace(
            mark,
            curves=tuple(curve.transform(flip) for curve in mark.curves),
            at=None if mark.at is None else flip.apply(mark.at),
        )
        for mark in piece.marks
    )
    landmarks = tuple(replace(mark, name=swapped(mark.name), at=flip.apply(mark.at)) for mark in piece.landmarks)
    return replace(piece, edges=edges, marks=marks, landmarks=landmarks)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        ("bicep-widen amount='8 in'", "more than half the bicep"),
        ("bicep-widen amount='-6 in'", "narrower than the hem"),
        ("bicep-widen amount='1 in' how=sideways", "none of what it may be; give height, cap-length"),
        ("bicep-widen amount='1 in' taper='30 in'", "more than the underarm seam"),
        ("bicep-widen amount='1 in' how=hem taper='3 in'", "slash to the hem"),
        ("bicep-widen amount='1 in' redraw='3 in'", "makes none"),
        ("bicep-widen amount='6 1/2 in' how=cap-length", "even a flat cap edge"),
        ("bicep-widen amount='1 in' width='15 in'", "exclude each other"),
        ("bicep-widen", "amount or width"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str) -> None:
    assert what in refused_line((sleeve(Shape()),), step)


def test_a_short_sleeve_is_not_turned_far_about_its_hem() -> None:
    with pytest.raises(Refusal, match="by more than 15°"):
        run_steps((sleeve(Shape(length=60)),), "bicep-widen amount='2 in' how=hem")


def test_a_hem_whose_corners_turn_is_told() -> None:
    run = run_steps((sleeve(Shape(length=120)),), "bicep-widen amount='1 in'")
    assert any("true the hem" in warning for warning in run.warnings)


def test_as_wide_as_it_is_says_so() -> None:
    run = run_steps((sleeve(Shape()),), "bicep-widen width='348 mm'")
    assert run.after == run.before
    assert any("already" in warning for warning in run.warnings)


def test_seams_that_lean_too_far_for_the_cap_to_follow_are_told() -> None:
    run = run_steps((sleeve(Shape(notch=0.26)),), "bicep-widen amount='2 in' taper='45 mm'")
    assert any("corner at the underarm is now" in warning for warning in run.warnings)
    assert value(run, "bicep width") == pytest.approx(348 + 2 * INCH, abs=1e-6)
