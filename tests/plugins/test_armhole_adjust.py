"""armhole-adjust: what it must show."""

from __future__ import annotations

import cmath
import math
import re

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.sewn import sewn_distance, sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from tests.fitting.sleeves import Shape, sleeve
from tests.pattern.bodices import Bodice
from tests.pattern.bodices import bodice as shaped
from tests.pattern.test_darts import cut_in

from .running import CAP_SEAM, INCH, bodice, run_steps, straight_yoke, value

Pair = tuple[Piece, Piece]

shape_pairs = st.builds(
    lambda across, shoulder, drop, armhole, scoop, flare, unlike: (
        shaped(Bodice("front", across, shoulder, drop, armhole=armhole, scoop=scoop, flare=flare)),
        shaped(Bodice("back", across + unlike, shoulder, drop, armhole=armhole + 8, scoop=scoop, flare=flare)),
    ),
    across=st.floats(40, 75),
    shoulder=st.floats(85, 135),
    drop=st.floats(25, 55),
    armhole=st.floats(170, 240),
    scoop=st.floats(0.7, 1.1),
    flare=st.floats(-15, 25),
    unlike=st.floats(-4, 4),
)


def pair() -> Pair:
    return shaped(Bodice("front")), shaped(Bodice("back", armhole=218.0))


def up(piece: Piece) -> Curve:
    return piece.edge("armhole").from_front()


def corner(piece: Piece) -> float:
    return abs(cmath.phase(up(piece).tangent(0.0) / piece.edge("side seam").from_front().tangent(0.0)))


def kinks(curve: Curve) -> float:
    nodes = np.arange(1, len(curve), dtype=np.float64)
    return float(np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True))).max(initial=0.0))


def from_shoulder(piece: Piece) -> list[float]:
    """Each notch's length from the shoulder tip; it must stand on the armhole, square to it."""
    curve = up(piece)
    found: list[float] = []
    for mark in piece.notches("armhole"):
        assert mark.at is not None
        t, away = curve.nearest(mark.at)
        assert away < 1e-6
        assert abs(mark.curves[0].start - mark.at) < 1e-6
        assert abs(cmath.phase(mark.curves[0].tangent(0.0) / curve.tangent(t))) == pytest.approx(math.pi / 2, abs=2e-3)
        found.append(curve.length_between(t, float(len(curve))))
    return found


def keeps_its_promises(before: Piece, after: Piece) -> None:
    """What holds of every change."""
    old, new = up(before), up(after)
    assert new.end == old.end, "the shoulder tip"
    assert kinks(new) < 1e-3
    assert new.inflections() <= old.inflections()
    assert self_crossing(after.outline()) is None
    assert corner(after) == pytest.approx(corner(before), abs=1e-6)
    assert from_shoulder(after) == pytest.approx(from_shoulder(before), abs=1e-5)
    assert abs(after.landmark("underarm") - new.start) < 1e-9
    # The upper third of the armhole is as it was.
    for t in old.at_lengths(np.linspace(0.67, 1, 20) * old.length()):
        assert new.nearest(old.point(t))[1] < 1e-6
    for edge in ("shoulder", "neckline", "hem"):
        assert np.allclose(after.edge(edge).curve.segments, before.edge(edge).curve.segments, atol=1e-9, rtol=0)


@given(shape_pairs, st.floats(-18, 45))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_lowered_by_as_much_along_both_side_seams(pieces: Pair, by: float) -> None:
    assume(abs(by) > 0.5)
    run = run_steps(pieces, f"armhole-adjust lower='{by:.9f} mm'")
    for before, after in zip(run.before, run.after, strict=True):
        keeps_its_promises(before, after)
        seam, was = (piece.edge("side seam").from_front() for piece in (after, before))
        assert seam.length() == pytest.approx(was.length() - by, abs=1e-6)
        assert abs(seam.end - was.end) < 1e-9
        assert abs(cmath.phase((seam.end - seam.start) / (was.end - was.start))) < 1e-6
    difference = [value(run, "side seam", name) - value(run, "side seam", name, before=True) for name in NAMES]
    assert difference[0] == pytest.approx(difference[1], abs=1e-6)
    assert [check.name for check in run.checks] == ["side seams", "armhole at the underarm"]
    assert run.checks[0].status == "pass"


NAMES = ("Front", "Back")


@pytest.mark.slow
@given(shape_pairs, st.floats(-5, 9))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_scooped_by_the_amount_at_its_deepest(pieces: Pair, by: float) -> None:
    assume(abs(by) > 0.5)
    run = run_steps(pieces, f"armhole-adjust scoop='{by:.9f} mm'")
    for before, after in zip(run.before, run.after, strict=True):
        keeps_its_promises(before, after)
        old, new = up(before), up(after)
        assert abs(new.start - old.start) < 1e-9
        assert abs(cmath.phase(new.tangent(0.0) / old.tangent(0.0))) < 1e-6
        places = [new.point(t) for t in new.at_lengths(np.linspace(0, 1, 150) * new.length())]
        away = max(places, key=lambda point: old.nearest(point)[1])
        assert old.nearest(away)[1] == pytest.approx(abs(by), abs=0.02)
        # Hollowed means into the piece: its area grows smaller.
        lost = abs(before.outline().area()) - abs(after.outline().area())
        assert math.copysign(1, lost) == math.copysign(1, by)
        assert value(run, "side seam", after.name) == value(run, "side seam", after.name, before=True)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("by", ["lower", "scoop"])
@given(pieces=shape_pairs, more=st.floats(-0.03, 0.06))
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_length_is_reached_within_a_hundredth_or_the_range_is_said(by: str, pieces: Pair, more: float) -> None:
    whole = sum(up(piece).length() for piece in pieces)
    target = whole * (1 + more)
    refused = ""
    run: SizeRun | None = None
    try:
        run = run_steps(pieces, f"armhole-adjust length='{target:.9f} mm' by={by}")
    except Refusal as refusal:
        refused = refusal.line()
    if run is None:
        # What it says it can't reach lies outside the range that it says it can.
        least, most = map(float, re.findall(r"reaches ([\d.]+) mm [^t]*to ([\d.]+) mm", refused)[0])
        assert not least + 0.06 < target < most - 0.06
        assert by == "scoop", "lowering and raising reach far"
        return
    assert sum(value(run, "armhole length", name) for name in NAMES) == pytest.approx(target, abs=0.01)
    assert run.steps[0].got["armhole length"] == pytest.approx(target, abs=0.01)
    (end,) = [check for check in run.checks if check.name.startswith("end")]
    assert end.status == "pass"
    for before, after in zip(run.before, run.after, strict=True):
        keeps_its_promises(before, after)


@pytest.mark.slow_after(7)
@pytest.mark.parametrize("by", ["lower", "scoop"])
@pytest.mark.parametrize("change", [-0.5, -0.05, -0.005, -0.0005, 0.0005, 0.005, 0.05, 0.5])
def test_a_very_small_change_of_length_is_reached_too(by: str, change: float) -> None:
    pieces = pair()
    target = sum(up(piece).length() for piece in pieces) + change
    run = run_steps(pieces, f"armhole-adjust length='{target:.9f} mm' by={by}")
    assert run.steps[0].got["armhole length"] == pytest.approx(target, abs=0.01)


def test_a_straight_armhole_along_a_straight_side_seam_grows_by_the_amount() -> None:
    """Two straight lines in one: each side grows by what its side seam loses. Arithmetic, worked by hand."""
    run = run_steps((bodice("front", 225), bodice("back", 232)), 'armhole-adjust lower="3/4 in"')
    assert run.steps[0].got["armhole length"] == pytest.approx(225 + 232 + 1.5 * INCH, abs=1e-6)


def test_the_sleeves_ease_is_told() -> None:
    run = run_steps((sleeve(Shape()), *pair()), "armhole-adjust lower='10 mm'", seams=(CAP_SEAM,))
    got = run.steps[0].got
    grown = got["armhole length"] - sum(up(piece).length() for piece in run.before[1:])
    assert got["Sleeve cap ease"] == pytest.approx(value(run, "cap ease", before=True) - grown, abs=1e-6)
    assert got["Front armhole length"] == pytest.approx(value(run, "armhole length", "Front"), abs=1e-9)
    assert got["Back armhole length"] == pytest.approx(value(run, "armhole length", "Back"), abs=1e-9)
    assert run.after[0] == run.before[0]


def test_front_and_back_that_mirror_one_another_still_do() -> None:
    front = shaped(Bodice("front"))
    back = replace(mirrored(front), name="Back", kind="back")
    for step in ("lower='1 in'", "lower='-1/2 in'", "scoop='1/4 in'", "length='480 mm'"):
        one, two = run_steps((front, back), f"armhole-adjust {step}").after
        for edge in ("armhole", "side seam"):
            first, second = one.edge(edge).curve.segments, mirrored(two).edge(edge).curve.segments
            assert np.allclose(first, second, atol=1e-6, rtol=0)


def mirrored(piece: Piece) -> Piece:
    flip = Affine.scale(-1, 1)
    return replace(
        piece,
        edges=tuple(replace(edge, curve=edge.curve.transform(flip)) for edge in piece.edges),
        marks=tuple(
            replace(
                mark,
                curves=tuple(curve.transform(flip) for curve in mark.curves),
                at=None if mark.at is None else flip.apply(mark.at),
            )
            for mark in piece.marks
        ),
        landmarks=tuple(replace(mark, at=flip.apply(mark.at)) for mark in piece.landmarks),
    )


def test_an_armhole_whose_outline_runs_the_other_way_round_is_changed_alike() -> None:
    plain = pair()
    turned = tuple(
        replace(
            piece,
            edges=tuple(
                replace(edge, curve=edge.curve.reverse(), backwards=not edge.backwards) for edge in piece.edges[::-1]
            ),
        )
        for piece in plain
    )
    for step in ("lower='1 in'", "scoop='1/4 in'"):
        first, second = (run_steps(pieces, f"armhole-adjust {step}").after for pieces in (plain, turned))
        for one, two in zip(first, second, strict=True):
            assert np.allclose(up(one).segments, up(two).segments, atol=1e-6, rtol=0)


def test_over_a_yoke_only_the_pieces_at_the_underarm_change() -> None:
    front, back = pair()
    yoke, seams = straight_yoke()
    pieces = (sleeve(Shape()), front, yoke, back)
    target = sum(up(piece).length() for piece in (front, yoke, back)) + 20
    run = run_steps(pieces, f"armhole-adjust length='{target:.6f} mm'", seams=seams)
    assert run.after[2] == yoke
    assert sum(up(piece).length() for piece in run.after[1:]) == pytest.approx(target, abs=0.01)
    keeps_its_promises(front, run.after[1])
    keeps_its_promises(back, run.after[3])


def test_side_seams_that_were_not_equal_stay_as_they_were_and_it_is_told() -> None:
    front, back = shaped(Bodice("front", length=410)), shaped(Bodice("back"))
    run = run_steps((front, back), "armhole-adjust lower='1/2 in'")
    assert run.checks[0].status == "warn"
    assert run.checks[0].origin == "before the run"
    apart = value(run, "side seam", "Front") - value(run, "side seam", "Back")
    was = value(run, "side seam", "Front", before=True) - value(run, "side seam", "Back", before=True)
    assert apart == pytest.approx(was, abs=1e-6)


def test_a_notch_on_the_side_seam_is_not_cut_away() -> None:
    front, back = pair()
    at = front.edge("side seam").from_front().point(0.05)
    front = replace(front, marks=(*front.marks, Mark("notch", (Curve.polyline([at, at - 6]),), "side seam", at)))
    with pytest.raises(Refusal, match="side seam lies"):
        run_steps((front, back), "armhole-adjust lower='30 mm'")
    assert run_steps((front, back), "armhole-adjust lower='10 mm'").after[0].marks[-1] == front.marks[-1]


@pytest.mark.parametrize(
    ("step", "what", "pieces"),
    [
        ("armhole-adjust lower='1 in'", "front and the back", pair()[:1]),
        ("armhole-adjust lower='1 in' armhole=Front/armhole", "only one side", pair()),
        ("armhole-adjust lower='20 in'", "more than half of side seam", pair()),
        ("armhole-adjust lower='-8 in'", "leaves no armhole", pair()),
        ("armhole-adjust scoop='3 in'", "has no room", pair()),
        ("armhole-adjust length='3 in'", "reaches", pair()),
        ("armhole-adjust length='0 in'", "too little", pair()),
        ("armhole-adjust length='18 in' by=magic", "none of what it may be; give lower or scoop", pair()),
        ("armhole-adjust lower='1 in' by=scoop", "leave by out", pair()),
        ("armhole-adjust", "lower, scoop or length", pair()),
        ("armhole-adjust lower='1 in' piece=Front", "takes no piece", pair()),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str, pieces: tuple[Piece, ...]) -> None:
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step)
    line = refused.value.line()
    assert what in line
    assert "\n" not in line
    assert ";" in line


def test_nothing_asked_nothing_done() -> None:
    run = run_steps(pair(), "armhole-adjust lower='0 mm'")
    assert run.after == run.before
    assert run.warnings


# -- darts: an edge is as long as it is sewn -------------------------------------------------------------------------


def test_a_bust_dart_in_one_side_seam_leaves_the_two_equal_as_sewn() -> None:
    """By construction: the dart's mouth, 40 mm, is closed when it is sewn; drawn, the seams are so far apart."""
    front, back = shaped(Bodice("front")), shaped(Bodice("back"))
    front = cut_in(front, "side seam", 0.6, 40.0, 80.0)
    assert front.edge("side seam").curve.length() > back.edge("side seam").curve.length() + 39
    run = run_steps((front, back), "armhole-adjust lower='6 mm'")
    seams = run.checks[0]
    assert (seams.name, seams.status) == ("side seams", "pass")
    assert seams.values["a"] == pytest.approx(value(run, "side seam", "Front"), abs=1e-6)
    assert seams.values["b"] == pytest.approx(value(run, "side seam", "Back"), abs=1e-6)


def test_a_notch_above_a_dart_keeps_its_length_from_the_shoulder_as_sewn() -> None:
    front, back = pair()
    at = up(front).point(up(front).at_length(0.28 * up(front).length()))
    mark = Mark("notch", (Curve.polyline([at, at - 6])), "armhole", at)
    front = cut_in(replace(front, marks=(mark,)), "armhole", 0.12, 12.0, 60.0)
    curve = up(front)
    at = curve.point(curve.at_length(0.3 * curve.length()))
    front = replace(front, marks=(replace(mark, curves=(Curve.polyline([at, at - 6]),), at=at),))
    after = run_steps((front, back), "armhole-adjust lower='8 mm'").after[0]

    def left(piece: Piece) -> float:
        place = piece.marks[0].at
        assert place is not None
        return sewn_length(piece, "armhole") - sewn_distance(piece, "armhole", place)

    assert left(after) == pytest.approx(left(front), abs=1e-4)
