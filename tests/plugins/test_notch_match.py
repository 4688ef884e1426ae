"""notch-match: what it must show."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.notch_moves import armhole_notches, cap_notches
from svgfit.fitting.sewn import sewn_row, shoulder_at
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from tests.fitting.sleeves import Shape, shapes, sleeve
from tests.pattern.bodices import Bodice
from tests.pattern.bodices import bodice as shaped

from .running import CAP_SEAM, bodice, run_steps, straight_yoke, value


def notched(piece: Piece, *ups: float) -> Piece:
    """With notches on the armhole at lengths from the underarm point, square to it."""
    curve = piece.edge("armhole").from_front()
    marks = tuple(mark for mark in piece.marks if mark.kind != "notch")
    for up in ups:
        t = curve.at_length(up)
        point = curve.point(t)
        marks += (Mark("notch", (Curve.polyline([point, point + 6j * curve.tangent(t)]),), "armhole", point),)
    return replace(piece, marks=marks)


def scene(shape: Shape | None = None, front: float = 80.0, back: tuple[float, ...] = (85.0, 98.0)) -> tuple[Piece, ...]:
    """A sleeve, and a front and back with armholes of ordinary shape."""
    return (sleeve(shape or Shape()), notched(shaped(Bodice("front")), front), notched(shaped(Bodice("back")), *back))


def ups(pieces: tuple[Piece, ...]) -> dict[str, list[float]]:
    """Every notch's length from its own underarm point, found here from the curves themselves."""
    found: dict[str, list[float]] = {}
    for piece in pieces:
        edge = "cap" if piece.kind == "sleeve" else "armhole"
        curve = piece.edge(edge).from_front()
        for mark in piece.notches(edge):
            assert mark.at is not None
            t, away = curve.nearest(mark.at)
            assert away < 1e-6, "a notch stands on the stitch line"
            way = mark.curves[0].tangent(0.0) / curve.tangent(t)
            assert abs(cmath.phase(way)) == pytest.approx(math.pi / 2, abs=2e-3), "and square to it"
            assert abs(mark.curves[0].start - mark.at) < 1e-6
            at = curve.length_between(0.0, t)
            if edge == "armhole":
                found.setdefault(f"{piece.kind} armhole", []).append(at)
            elif at < curve.length() / 2:
                found.setdefault("front cap", []).append(at)
            else:
                found.setdefault("back cap", []).append(curve.length() - at)
    return {name: sorted(places) for name, places in found.items()}


@given(shapes, st.floats(50, 105), st.floats(50, 95))
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_below_the_notches_both_seams_are_equally_long(shape: Shape, front: float, back: float) -> None:
    pieces = scene(shape, front, (back, back + 12.7))
    run = run_steps(pieces, "notch-match", seams=(CAP_SEAM,))
    was, now = ups(pieces), ups(run.after)
    for side in ("front", "back"):
        assert now[f"{side} cap"][0] == pytest.approx(now[f"{side} armhole"][0], abs=1e-5)
        assert now[f"{side} armhole"] == pytest.approx(was[f"{side} armhole"], abs=1e-9)
    # The pair keeps its distance, and the edges stay as they were.
    assert now["back cap"][1] - now["back cap"][0] == pytest.approx(was["back cap"][1] - was["back cap"][0], abs=1e-5)
    assert all(one.edges == other.edges for one, other in zip(run.before, run.after, strict=True))
    for side in ("front", "back"):
        got = run.steps[0].got
        assert got[f"{side} underarm to notch, cap"] == pytest.approx(got[f"{side} underarm to notch, armhole"])


def test_the_other_way_the_armholes_notches_move() -> None:
    pieces = scene()
    run = run_steps(pieces, "notch-match to=cap", seams=(CAP_SEAM,))
    was, now = ups(pieces), ups(run.after)
    for side in ("front", "back"):
        assert now[f"{side} armhole"][0] == pytest.approx(was[f"{side} cap"][0], abs=1e-5)
        assert now[f"{side} cap"] == pytest.approx(was[f"{side} cap"], abs=1e-9)
    assert np.diff(now["back armhole"])[0] == pytest.approx(np.diff(was["back armhole"])[0], abs=1e-5)


@pytest.mark.parametrize("share", [0.5, 0.55, 0.6])
def test_the_back_has_its_share_of_the_ease(share: float) -> None:
    run = run_steps(scene(), f"notch-match share-back={share}", seams=(CAP_SEAM,))
    assert value(run, "cap ease back") == pytest.approx(share * value(run, "cap ease"), abs=1e-5)
    assert value(run, "cap ease") == pytest.approx(value(run, "cap ease", before=True), abs=1e-9)
    sleeve_after = run.after[0]
    (mark,) = [mark for mark in sleeve_after.marks if mark.kind == "shoulder notch"]
    assert mark.at == pytest.approx(sleeve_after.landmark("shoulder notch"), abs=1e-9)


def test_shoulder_2_cm_forward_moves_the_shoulder_notch_2_cm_forward() -> None:
    """Both armholes run along the shift: front −2, back +2, total 0, notch +2. Worked by hand."""
    notches: list[float] = []
    totals: list[float] = []
    for forward in (0.0, 20.0):
        pieces = (
            sleeve(Shape()),
            notched(bodice("front", 225 - forward), 70.0),
            notched(bodice("back", 232 + forward), 75.0),
        )
        run = run_steps(pieces, "notch-match share-back=0.55", seams=(CAP_SEAM,))
        totals.append(value(run, "cap ease"))
        cap = run.after[0].edge("cap").from_front()
        notches.append(cap.length_between(0.0, cap.nearest(run.after[0].landmark("shoulder notch"))[0]))
    assert totals[1] == pytest.approx(totals[0], abs=1e-6)
    assert notches[0] - notches[1] == pytest.approx(20, abs=1e-5)


def test_how_far_the_shoulder_notch_went_is_told_towards_the_front() -> None:
    first = run_steps(scene(), "notch-match share-back=0.5", seams=(CAP_SEAM,))
    ease = value(first, "cap ease")
    second = run_steps(first.after, "notch-match share-back=0.6", seams=(CAP_SEAM,))
    # A tenth of the ease more for the back: the notch goes that much towards the front.
    assert second.steps[0].got["shoulder notch towards the front"] == pytest.approx(0.1 * ease, abs=1e-4)


def test_a_sleeve_without_a_shoulder_notch_gets_one() -> None:
    plain = sleeve(Shape(shoulder=False))
    run = run_steps((plain, *scene()[1:]), "notch-match share-back=0.5", seams=(CAP_SEAM,))
    (mark,) = [mark for mark in run.after[0].marks if mark.kind == "shoulder notch"]
    assert mark.edge == "cap"
    assert value(run, "cap ease back") == pytest.approx(0.5 * value(run, "cap ease"), abs=1e-5)


def test_an_armhole_that_runs_over_a_yoke() -> None:
    """Front 150, yoke 60, back 170, all straight: the sums can be checked by hand."""
    front, back = notched(bodice("front", 150), 70.0), notched(bodice("back", 170), 75.0)
    yoke, seams = straight_yoke()
    run = run_steps((sleeve(Shape()), front, yoke, back), "notch-match share-back=0.5", seams=seams)
    now = ups(tuple(piece for piece in run.after if piece.name != "Yoke"))
    assert (now["front cap"][0], now["back cap"][0]) == pytest.approx((70, 75), abs=1e-5)
    # The shoulder notch meets the yoke's middle.
    assert shoulder_at(sewn_row(run.after, seams[0].b, seams))[0] == pytest.approx(180)
    cap = run.after[0].edge("cap").from_front()
    at = cap.length_between(0.0, cap.nearest(run.after[0].landmark("shoulder notch"))[0])
    assert at == pytest.approx(180 + (cap.length() - 380) / 2, abs=1e-5)


def test_of_unlike_numbers_of_notches_the_lowest_are_matched_and_it_is_told() -> None:
    pieces = scene(back=(85.0,))
    run = run_steps(pieces, "notch-match", seams=(CAP_SEAM,))
    assert any("2 back notches on the cap and 1" in warning for warning in run.warnings)
    assert ups(run.after)["back cap"][0] == pytest.approx(85, abs=1e-5)


def test_a_side_without_notches_stays_and_it_is_told() -> None:
    pieces = (scene()[0], notched(scene()[1]), scene()[2])
    run = run_steps(pieces, "notch-match", seams=(CAP_SEAM,))
    assert any("armhole has no front notch" in warning for warning in run.warnings)
    assert ups(run.after)["front cap"] == pytest.approx(ups(pieces)["front cap"], abs=1e-9)


def test_stands_are_those_of_the_curves() -> None:
    pieces = scene()
    row = armhole_row(pieces[0], pieces, (CAP_SEAM,))
    assert row is not None
    found = ups(pieces)
    for side in ("front", "back"):
        assert [notch.from_underarm for notch in cap_notches(pieces[0])[side]] == pytest.approx(
            found[f"{side} cap"], abs=1e-6
        )
        assert [notch.from_underarm for notch in armhole_notches(row)[side]] == pytest.approx(
            found[f"{side} armhole"], abs=1e-6
        )


@pytest.mark.parametrize(
    ("step", "what", "pieces", "seams"),
    [
        ("notch-match", "needs the armhole", (sleeve(Shape()),), ()),
        ("notch-match to=yoke", "none of what it may be; give armhole or cap", scene(), (CAP_SEAM,)),
        ("notch-match share-back=2", "too much", scene(), (CAP_SEAM,)),
        ("notch-match", "shoulder notch", scene(front=190.0, shape=Shape(front=130, height=90)), (CAP_SEAM,)),
        ("notch-match", "no pair of notches", (sleeve(Shape(), notches=False), *scene()[1:]), (CAP_SEAM,)),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(
    step: str, what: str, pieces: tuple[Piece, ...], seams: tuple[Seam, ...]
) -> None:
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step, seams=seams)
    line = refused.value.line()
    assert what in line
    assert "\n" not in line
    assert ";" in line


def test_nothing_to_move_is_no_error() -> None:
    once = run_steps(scene(), "notch-match", seams=(CAP_SEAM,))
    twice = run_steps(once.after, "notch-match", seams=(CAP_SEAM,))
    assert ups(twice.after) == {name: pytest.approx(places, abs=1e-6) for name, places in ups(once.after).items()}
