"""seam-blend: an edge trued across a seam as sewn, front and back together."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.app.session import open_drawings
from svgfit.fitting.seam_truing import SeamJoint, laid_together, seam_joints, true_joint
from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Mark, Piece
from svgfit.model.plan import Plan, Seam
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from tests.fitting.garments import SEAMS, bodice_of, svg_of
from tests.fitting.sleeves import Shape, sleeve
from tests.pattern.test_darts import cut_in

from .running import INCH, refused_line, run_steps


def body(kind: str, underarm: float, hem: float, shoulder: float = 0.0, *, flare: float = 0.0) -> Piece:
    """A front or back whose armhole leaves the side seam ``underarm`` degrees above level, its hem ``hem`` below level.

    The side seam runs straight down, ``flare`` degrees out; degrees beyond square make a peak, less than nothing a dip.
    """
    sign = 1 if kind == "front" else -1
    way = np.exp(1j * np.radians(-underarm))
    way = complex(sign * way.real, way.imag)
    tip = complex(sign * 45.0, -210.0)
    up = complex(sign * math.sin(math.radians(shoulder)), -math.cos(math.radians(shoulder)))
    armhole = Curve(np.array([[0j, 35 * way, tip - 120 * up, tip]]))
    piece = bodice_of(kind, armhole)
    edges = {edge.name: edge for edge in piece.edges}
    side = 300j + 300 * math.tan(math.radians(flare)) * -sign
    centre = edges["hem"].curve.start
    start = complex(centre.real, side.imag + abs(centre.real - side.real) * math.tan(math.radians(hem)))
    new = {
        "fold": Curve.polyline([edges["fold"].curve.start, start]),
        "hem": Curve.polyline([start, side]),
        "side seam": Curve.polyline([side, 0j]),
    }
    return replace(
        piece,
        edges=tuple(replace(edge, curve=new.get(edge.name, edge.curve)) for edge in piece.edges),
        landmarks=tuple(
            replace(one, at={"hem centre": start, "hem side": side}.get(one.name, one.at)) for one in piece.landmarks
        ),
    )


def garment(front: float, back: float, hems: tuple[float, float] = (0.0, 0.0)) -> tuple[Piece, ...]:
    return sleeve(Shape()), body("front", front, hems[0]), body("back", back, hems[1])


def joint(pieces: tuple[Piece, ...], name: str, seams: tuple[Seam, ...] = SEAMS) -> SeamJoint:
    return next(one for one in seam_joints(pieces, seams) if one.name == name)


def as_sewn(place: SeamJoint) -> tuple[float, float, float]:
    """The pieces laid together where the seam now begins: gap (mm), bend (degrees) and how the seams differ."""
    laid = laid_together(place)
    one, other = place.one.along(), place.other.along().transform(laid)
    bend = abs(float(np.angle(other.tangent(0.0) / -one.tangent(0.0))))
    rows = sewn_length(place.one.piece, place.one.seam), sewn_length(place.other.piece, place.other.seam)
    return abs(one.start - other.start), math.degrees(bend), rows[0] - rows[1]


UNDERARM = "armhole across the side seam"


@pytest.mark.parametrize("front", [-8.0, 0.0, 6.0, 14.0])
@pytest.mark.parametrize("back", [-6.0, 0.0, 9.0])
def test_the_armhole_runs_on_smoothly_at_the_underarm(front: float, back: float) -> None:
    """The corners together: 180° less what both rise above level, by construction."""
    before = garment(front, back)
    assert math.degrees(joint(before, UNDERARM).off()) == pytest.approx(front + back, abs=1e-6)
    if abs(front + back) < 1.01:
        assert "nothing needs truing" in refused_line_with(before, "seam-blend edge=armhole seam='side seam'")
        return
    run = run_steps(before, "seam-blend edge=armhole seam='side seam'", seams=SEAMS)
    gap, bend, apart = as_sewn(joint(run.after, UNDERARM))
    assert gap < 1e-9
    assert bend < 0.02
    assert apart == pytest.approx(as_sewn(joint(before, UNDERARM))[2], abs=1e-6)
    keeps_the_rest(run)
    (check,) = run.checks
    assert (check.status, round(check.values["together"], 1)) == ("pass", 180.0)


def refused_line_with(pieces: tuple[Piece, ...], step: str) -> str:
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step, seams=SEAMS)
    return refused.value.line()


def keeps_the_rest(run: SizeRun) -> None:
    """Edges that do not meet the seam are as they were; the armhole's upper half too; nothing crosses."""
    for old, new in zip(run.before, run.after, strict=True):
        assert self_crossing(new.outline()) is None
        for edge in ("shoulder", "neckline", "fold"):
            if old.has_edge(edge):
                assert np.array_equal(old.edge(edge).curve.segments, new.edge(edge).curve.segments)
        if new is not old and old.has_edge("armhole"):
            was, now = old.edge("armhole").from_front(), new.edge("armhole").from_front()
            for t in was.at_lengths(np.linspace(0.5, 1.0, 12) * was.length()):
                assert now.nearest(was.point(t))[1] < 1e-6
            assert abs(new.landmark("underarm") - now.start) < 1e-9
    got = run.steps[0].got
    for piece in run.after[1:]:
        if f"{piece.name} armhole length" in got:
            assert got[f"{piece.name} armhole length"] == pytest.approx(sewn_length(piece, "armhole"), abs=1e-9)


def test_a_peak_comes_off_both_seams_and_a_dip_is_filled() -> None:
    for angles, sign in (((-6.0, -6.0), 1), ((6.0, 6.0), -1)):
        before = garment(*angles)
        run = run_steps(before, "seam-blend edge=armhole seam='side seam'", seams=SEAMS)
        off = next(value for name, value in run.steps[0].got.items() if name.endswith("off the seam"))
        assert math.copysign(1, off) == sign
        for old, new in zip(before[1:], run.after[1:], strict=True):
            assert sewn_length(old, "side seam") - sewn_length(new, "side seam") == pytest.approx(off, abs=1e-6)


def test_the_hem_runs_on_at_the_side_seam_and_the_sleeves_hem_at_its_own() -> None:
    before = (sleeve(Shape(wrist=0.7)), body("front", 0.0, 5.0, flare=3.0), body("back", 0.0, -1.0, flare=3.0))
    run = run_steps(before, "seam-blend edge=hem", seams=SEAMS)
    for name in ("hem across the side seam", "hem across the underarm"):
        gap, bend, apart = as_sewn(joint(run.after, name))
        assert gap < 1e-9
        assert bend < 0.02
        assert apart == pytest.approx(as_sewn(joint(before, name))[2], abs=1e-6)
    assert len(run.checks) == 2


def test_a_sleeves_cap_runs_on_at_its_underarm_and_the_ease_is_told() -> None:
    before = garment(0.0, 0.0)
    was = joint(before, "cap across the underarm")
    assert abs(math.degrees(was.off())) > 5
    run = run_steps(before, "seam-blend edge=cap", seams=SEAMS)
    gap, bend, apart = as_sewn(joint(run.after, "cap across the underarm"))
    assert gap < 1e-9
    assert bend < 0.02
    assert apart == pytest.approx(as_sewn(was)[2], abs=1e-6)
    cap = run.after[0].edge("cap").curve
    assert abs(run.after[0].landmark("underarm front") - cap.start) < 1e-9
    assert abs(run.after[0].landmark("underarm back") - cap.end) < 1e-9
    grown = cap.length() - before[0].edge("cap").curve.length()
    assert run.steps[0].got["Sleeve cap length"] == pytest.approx(cap.length(), abs=1e-9)
    told = [row for row in run.steps[0].also if row.piece == "Front+Back"]
    assert bool(told) is (abs(grown) > INCH / 64)


def test_armhole_and_neckline_run_on_at_the_shoulder() -> None:
    before = (sleeve(Shape()), body("front", 0.0, 0.0, 12.0), body("back", 0.0, 0.0, -4.0))
    run = run_steps(before, "seam-blend edge=armhole seam=shoulder", "seam-blend edge=neckline", seams=SEAMS)
    for edge in ("armhole", "neckline"):
        gap, bend, apart = as_sewn(joint(run.after, f"{edge} across the shoulder"))
        assert gap < 1e-9
        assert bend < 0.03
        assert apart == pytest.approx(as_sewn(joint(before, f"{edge} across the shoulder"))[2], abs=1e-6)


def test_it_is_all_one_to_it_how_the_pieces_lie_and_run() -> None:
    before = garment(9.0, -2.0)
    plain = run_steps(before, "seam-blend edge=armhole seam='side seam'", seams=SEAMS)
    turned = tuple(
        replace(
            piece,
            edges=tuple(
                replace(edge, curve=edge.curve.reverse(), backwards=not edge.backwards) for edge in piece.edges[::-1]
            ),
        )
        for piece in before
    )
    other = run_steps(turned, "seam-blend edge=armhole seam='side seam'", seams=SEAMS)
    swapped = tuple(Seam(seam.b, seam.a) for seam in SEAMS)
    third = run_steps(before, "seam-blend edge=armhole seam='side seam'", seams=swapped)
    for one, two, three in zip(plain.after[1:], other.after[1:], third.after[1:], strict=True):
        for name in ("armhole", "side seam"):
            curve = one.edge(name).from_front()
            for found in (two, three):
                away = [found.edge(name).curve.nearest(curve.point(t))[1] for t in np.linspace(0, len(curve), 40)]
                assert max(away) < 0.02


def test_half_of_a_body_drawn_the_other_side_up_is_laid_on_mirrored() -> None:
    """The back drawn as a front lies: both on one side of their side seams."""
    front, back = body("front", 8.0, 0.0), body("back", 2.0, 0.0)
    flip = Affine.scale(-1, 1)
    other = replace(
        back,
        edges=tuple(replace(edge, curve=edge.curve.transform(flip)) for edge in back.edges),
        marks=tuple(replace(mark, curves=tuple(one.transform(flip) for one in mark.curves)) for mark in back.marks),
        landmarks=tuple(replace(mark, at=flip.apply(mark.at)) for mark in back.landmarks),
    )
    step = "seam-blend edge=armhole seam='side seam'"
    one, two = (run_steps((front, piece), step, seams=SEAMS[1:3]).after for piece in (back, other))
    for name in ("armhole", "side seam"):
        assert np.allclose(
            one[1].edge(name).curve.segments, two[1].edge(name).curve.transform(flip).segments, atol=1e-6, rtol=0
        )


def test_a_notch_near_by_stays_and_one_on_the_seam_is_not_cut_off() -> None:
    sleeve_, front, back = garment(-9.0, -3.0)
    curve = front.edge("armhole").from_front()
    at = curve.point(curve.at_length(14.0))
    notch = Mark("notch", (Curve.polyline([at, at - 5]),), "armhole", at)
    run = run_steps(
        (sleeve_, replace(front, marks=(*front.marks, notch)), back),
        "seam-blend edge=armhole seam='side seam'",
        seams=SEAMS,
    )
    assert run.after[1].marks[-1] == notch
    assert run.after[1].edge("armhole").curve.nearest(at)[1] < 1e-6
    low = Mark("notch", (Curve.polyline([0.2j, 0.2j - 5]),), "side seam", 0.2j)
    pieces = sleeve_, replace(front, marks=(*front.marks, low)), back
    line = refused_line_with(pieces, "seam-blend edge=armhole seam='side seam'")
    assert "a notch or dart of side seam lies" in line
    assert ";" in line


def test_a_dart_in_the_side_seam_stays_and_the_seams_still_match_as_sewn() -> None:
    front = cut_in(body("front", 7.0, 0.0), "side seam", 0.6, 30.0, 80.0)
    back = body("back", 3.0, 0.0)
    before = (sleeve(Shape()), front, back)
    run = run_steps(before, "seam-blend edge=armhole seam='side seam'", seams=SEAMS)
    assert as_sewn(joint(run.after, UNDERARM))[2] == pytest.approx(as_sewn(joint(before, UNDERARM))[2], abs=1e-6)
    assert run.after[1].darts == front.darts


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("seam-blend edge=colar", "there are: edge='cap' seam='underarm'"),
        ("seam-blend edge=armhole seam=hem", "does not run on across hem"),
        ("seam-blend", "edge"),
        ("seam-blend edge=armhole piece=Front", "takes no piece"),
    ],
)
def test_what_is_not_there_is_refused_with_what_is(step: str, words: str) -> None:
    assert words in refused_line_with(garment(5.0, 5.0), step)


def test_without_a_seam_map_it_says_what_to_state() -> None:
    assert "no edge runs on across a seam here" in refused_line(garment(5.0, 5.0), "seam-blend edge=armhole")


def test_reach_is_kept_to() -> None:
    before = garment(8.0, 4.0)
    run = run_steps(before, "seam-blend edge=armhole seam='side seam' redraw='12 mm'", seams=SEAMS)
    was, now = (pieces[1].edge("armhole").from_front() for pieces in (before, run.after))
    for t in was.at_lengths([12.001, 15.0, 20.0, 60.0]):
        assert now.nearest(was.point(t))[1] < 1e-6
    assert now.nearest(was.point(was.at_length(6.0)))[1] > 0.01


@pytest.mark.slow
def test_what_comes_off_grows_evenly_with_the_peak() -> None:
    """Steps of 0.25°, peaks to dips: nearly the same step of the corner each time, and none the other way."""
    angles = [-10.0 + 0.25 * k for k in range(81)]
    found: list[float] = []
    for angle in angles:
        pieces = garment(angle, 0.0)
        place = joint(pieces, UNDERARM)
        if abs(place.off()) > 1e-9:
            found.append(true_joint(place, 25.4).shorter)
        else:
            found.append(0.0)
    steps = np.diff(found)
    assert np.all(steps < 0)
    assert steps.min() > 1.5 * steps.max()
    # Two straight lines would give h = angle x reach / 6 (plane geometry: the displacement's slope at the corner).
    assert np.diff(found).mean() == pytest.approx(-math.radians(0.25) * 25.4 / 6, rel=0.1)


def test_the_walk_names_the_step_that_trues_a_peak(tmp_path) -> None:
    pieces = garment(8.0, 0.0)
    motions = [Affine.shift(complex(x, 400)) for x in (400, 800, 1600)]
    path = tmp_path / "garment.svg"
    path.write_text(svg_of(pieces, motions), encoding="utf-8")
    session = open_drawings(str(path))
    (walk,) = session.walk().walks
    said = {check.name: check.message for check in walk.verdicts}
    assert said["armhole at the underarm"].endswith("; seam-blend edge=armhole trues it")
    assert said["Sleeve: cap at the underarm"].endswith("; seam-blend edge=cap trues it")
    done = session.run(Plan.from_steps("seam-blend edge=armhole", "seam-blend edge=cap"))
    assert done.walked is not None
    after = {check.name: check for check in done.walked.walks[0].verdicts}
    for name in ("armhole at the underarm", "Sleeve: cap at the underarm"):
        assert after[name].status == "pass"
