"""underarm-lift: points where they were asked to lie, nothing above the notches moved."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.testing.assertions import assert_on_edge, assert_smooth, assert_unchanged
from svgfit.testing.garments import Garment as Ready
from svgfit.testing.garments import garment, smock
from tests.fitting.garments import SEAMS
from tests.shapes.garments import Garment, garments

from .running import INCH, refused_line, run_steps

GARMENTS = garments(40)
OUTWARD = {"side seam": {"Front": -1, "Back": 1}, "underarm front": {"Sleeve": 1}, "underarm back": {"Sleeve": -1}}


def done(pieces: tuple[Piece, ...], step: str) -> dict[str, Piece]:
    return {piece.name: piece for piece in run_steps(pieces, step, seams=SEAMS).after}


@pytest.mark.parametrize("one", GARMENTS, ids=lambda one: str(one.number))
def test_points_go_up_and_out_and_straight_seams_run_to_them(one: Garment) -> None:
    """Pythagoras on a straight seam; up by a, out by a/2, bicep + a (common practice, no source)."""
    lift = 0.5 * INCH
    after = done(one.pieces, "underarm-lift amount='1/2 in'")
    for old in one.pieces:
        new = after[old.name]
        for name in (edge.name for edge in old.edges if edge.name in OUTWARD):
            seam = old.edge(name).from_front()
            corner = seam.start + complex(OUTWARD[name][old.name] * lift / 2, -lift)
            assert sewn_length(new, name) == pytest.approx(abs(seam.end - corner), abs=1e-6)
            assert new.edge(name).curve.is_straight(1e-9)
            assert new.edge(name).from_front().start == pytest.approx(corner, abs=1e-9)
        upper = "cap" if old.kind == "sleeve" else "armhole"
        assert_unchanged(old, new, *(edge.name for edge in old.edges if edge.name not in (*OUTWARD, upper)))
        curve = old.edge(upper).from_front()
        places = sorted(curve.nearest(mark.at or 0j)[0] for mark in old.notches(upper))
        for t in np.linspace(places[0], places[-1] if upper == "cap" else len(curve), 9):
            assert new.edge(upper).curve.nearest(curve.point(float(t)))[1] < 1e-6
        for mark in new.notches(upper):
            assert_on_edge(new, mark, upper, within=1e-6)
    wide = [
        piece.landmark("underarm front") - piece.landmark("underarm back") for piece in (one.sleeve, after["Sleeve"])
    ]
    assert (wide[1] - wide[0]).real == pytest.approx(lift, abs=1e-9)


@pytest.mark.parametrize(("one", "alike"), [(smock(), True), (garment(), False)], ids=["smock", "plain curves"])
def test_what_cap_and_armhole_change_by_is_told_where_it_is_not_alike(one: Ready, alike: bool) -> None:
    run = run_steps(one.pieces, "underarm-lift amount='1/2 in'", seams=one.seams)
    before, after = ({piece.name: piece for piece in pieces} for pieces in (run.before, run.after))
    edges = ("Sleeve", "cap"), ("Front", "armhole"), ("Back", "armhole")
    cap, *armhole = (sewn_length(after[name], edge) - sewn_length(before[name], edge) for name, edge in edges)
    assert (abs(cap - sum(armhole)) <= 1.0) is alike
    assert any("the armhole changed by" in warning for warning in run.warnings) is not alike
    angles = [
        {each.name: each.value for each in found["Sleeve"]}["underarm corner"]
        for found in (run.measured_before, run.measured_after)
    ]
    assert angles[1] == pytest.approx(angles[0], abs=0.01)
    for name, edge in edges:
        assert_smooth(after[name], edge, turn=0.1)


def test_the_seam_to_end_with() -> None:
    pieces = smock().pieces
    (old,) = (piece for piece in pieces if piece.kind == "sleeve")
    wanted = sewn_length(old, "underarm front") + 15.0
    new = done(pieces, f"underarm-lift length='{wanted} mm'")["Sleeve"]
    assert sewn_length(new, "underarm front") == pytest.approx(wanted, abs=1e-4)


def test_running_out_below_it_the_seam_stays() -> None:
    one = GARMENTS[0]
    after = done(one.pieces, "underarm-lift amount='1/2 in' out='1/2 in' taper='3 in'")
    for old in one.pieces:
        for name in (edge.name for edge in old.edges if edge.name in OUTWARD):
            seam, new = old.edge(name).from_front(), after[old.name].edge(name).from_front()
            for t in np.linspace(seam.at_length(3 * INCH), len(seam), 5):
                assert new.nearest(seam.point(float(t)))[1] < 1e-6
            assert_smooth(after[old.name], name, turn=0.1)


def test_a_drawn_bicep_line_rises_with_the_points() -> None:
    sleeve, *others = GARMENTS[0].pieces
    ends = [sleeve.landmark(f"underarm {side}") + beyond for side, beyond in (("front", 5), ("back", -5))]
    line = Mark("bicep line", (Curve.polyline(ends),))
    new = done((replace(sleeve, marks=(*sleeve.marks, line)), *others), "underarm-lift amount='1/2 in'")["Sleeve"]
    (moved,) = (mark.curves[0] for mark in new.marks if mark.kind == "bicep line")
    assert moved.start == pytest.approx(new.landmark("underarm front") + 5, abs=1e-9)
    assert math.isclose(moved.end.imag, new.landmark("underarm back").imag, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("underarm-lift amount='6 in'", "can move by"),
        ("underarm-lift amount='1/2 in' taper='90 in'", "give less"),
    ],
)
def test_what_can_not_be_done_is_refused(step: str, words: str) -> None:
    pieces, seams = smock().pieces, smock().seams
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step, seams=seams)
    assert words in refused.value.line()


def test_without_its_armhole_it_is_refused() -> None:
    assert "armhole" in refused_line((GARMENTS[0].sleeve,), "underarm-lift amount='1/2 in'")
