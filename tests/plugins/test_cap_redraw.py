"""cap-redraw: what it must show."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from tests.fitting.sleeves import Shape, shapes, sleeve

from .running import CAP_SEAM, INCH, bodice, refused_line, run_steps, value


def with_armholes(ease: float, shape: Shape | None = None) -> tuple[Piece, Piece, Piece]:
    """A sleeve and straight armholes that leave half that ease (mm) on each side."""
    piece = sleeve(shape or Shape())
    cap = piece.edge("cap").curve
    front, back = (half.length() - ease / 2 for half in cap.split(len(cap) / 2))
    return piece, bodice("front", front), bodice("back", back)


def redraw(ease: float, step: str, shape: Shape | None = None) -> SizeRun:
    return run_steps(with_armholes(ease, shape), f"cap-redraw {step}", seams=(CAP_SEAM,))


def kept(run: SizeRun) -> None:
    for name in ("cap height", "bicep width", "underarm corner"):
        assert value(run, name) == pytest.approx(value(run, name, before=True), abs=1e-6)


def test_a_cap_three_quarters_short_lengthened_by_one_and_a_half() -> None:
    """Ease 3/4, 3/8 a side: a sum, common practice, no source."""
    run = redraw(-0.75 * INCH, "amount='1 1/2 in' within=whole")
    assert value(run, "cap ease", before=True) == pytest.approx(-0.75 * INCH, abs=1e-4)
    assert value(run, "cap ease") == pytest.approx(0.75 * INCH, abs=1e-3)
    for side in ("front", "back"):
        assert value(run, f"cap ease {side}") == pytest.approx(0.375 * INCH, abs=1e-3)
    kept(run)


def test_the_back_gets_its_part_of_the_ease() -> None:
    run = redraw(10.0, "ease='16 mm' share-back=0.6")
    assert value(run, "cap ease back") == pytest.approx(0.6 * 16, abs=1e-3)
    assert value(run, "cap ease front") == pytest.approx(0.4 * 16, abs=1e-3)
    assert run.steps[0].got["cap ease"] == pytest.approx(16, abs=1e-3)
    kept(run)
    assert [check.status for check in run.checks] == ["pass"]


def test_the_back_gets_its_part_of_the_change() -> None:
    run = redraw(10.0, "amount='6 mm' share-back=0.6")
    assert value(run, "cap length back") - value(run, "cap length back", before=True) == pytest.approx(3.6, abs=1e-3)
    assert value(run, "cap length front") - value(run, "cap length front", before=True) == pytest.approx(2.4, abs=1e-3)


def test_with_a_yoke_between_the_ease_is_shared_where_the_shoulder_notch_meets_it() -> None:
    piece, front, back = with_armholes(5.0)
    yoke = replace(bodice("front", 40), name="Yoke", kind="other")
    row = (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))
    seams = (Seam((("Sleeve", "cap"),), row),)
    run = run_steps((piece, front, yoke, back), "cap-redraw ease='-30 mm' share-back=0.6", seams=seams)
    assert value(run, "cap ease") == pytest.approx(-30, abs=1e-3)
    assert value(run, "cap ease back") == pytest.approx(-18, abs=1e-3)


def test_where_front_and_back_of_the_armhole_are_not_known_the_change_is_shared_and_that_is_said() -> None:
    piece, front, back = with_armholes(5.0)
    pieces = (piece, replace(front, kind="other"), replace(back, kind="other"))
    run = run_steps(pieces, "cap-redraw ease='8 mm'", seams=(CAP_SEAM,))
    assert value(run, "cap ease") == pytest.approx(8, abs=1e-3)
    assert value(run, "cap length front") - value(run, "cap length front", before=True) == pytest.approx(1.5, abs=1e-3)
    assert any("the change is shared" in warning for warning in run.warnings)


@pytest.mark.slow
@given(shapes, st.floats(-0.01, 0.1))
@settings(max_examples=25, deadline=None)
def test_a_cap_length_is_met_within_a_hundredth_or_the_range_is_said(shape: Shape, share: float) -> None:
    piece = sleeve(shape)
    target = piece.edge("cap").curve.length() * (1 + share)
    try:
        run = run_steps((piece,), f"cap-redraw cap-length='{target:.6f} mm' within=whole")
    except Refusal as refusal:
        refused = refusal.line()
    else:
        refused = ""
    event("refused" if refused else "reached")
    if refused:
        found = re.search(r"reaches ([\d.]+) mm .*? to ([\d.]+) mm", refused)
        assert found, refused
        assert not float(found[1]) + 0.06 < target < float(found[2]) - 0.06
        return
    assert value(run, "cap length") == pytest.approx(target, abs=0.01)
    kept(run)


def test_a_quarter_of_an_inch_outwards_is_simply_done() -> None:
    run = redraw(0.0, "ease='8 mm'")
    assert 0 < run.steps[0].got["furthest outwards"] < 6.35
    assert run.warnings == ()
    assert {note.kind for note in run.annotations} == {"old edge"}


def test_beyond_it_is_done_with_a_warning_and_the_slash_shown_beside_it() -> None:
    run = redraw(0.0, "ease='14 mm'")
    assert 6.35 < run.steps[0].got["furthest outwards"] < 11.1125
    (warning,) = run.warnings
    for words in ("outwards, more than 1/4 in", "hinge at the hem", "cost the bicep"):
        assert words in warning
    kinds = [note.kind for note in run.annotations]
    assert kinds == ["old edge", "slash", "hinge", "construction"]
    slash = run.annotations[1]
    assert slash.length == pytest.approx(14, abs=0.7)
    (piece,) = [piece for piece in run.after if piece.kind == "sleeve"]
    assert slash.curve is not None
    assert abs(slash.curve.end - complex(0, piece.edge("hem").curve.start.imag)) < 1e-6
    kept(run)


def test_seven_sixteenths_is_where_an_ease_is_refused_with_the_choices() -> None:
    with pytest.raises(Refusal) as refused:
        redraw(0.0, "ease='1 in'")
    line = refused.value.line()
    assert "\n" not in line
    assert len(line) < 700
    for words in ("(7/16 in)", "raise the cap by", "widen the bicep by", "hem, opened", "costs the bicep", "outwards"):
        assert words in line
    figures = [float(figure) for figure in re.findall(r"([\d.]+) mm \(", line)]
    assert all(figure > 0 for figure in figures)


def test_what_the_choices_say_is_so() -> None:
    with pytest.raises(Refusal) as refused:
        redraw(0.0, "ease='1 in'")
    line = refused.value.line()
    up = re.search(r"raise the cap by ([\d.]+) mm", line)
    assert up
    run = run_steps(with_armholes(0.0), f"cap-raise amount='{up[1]} mm' at='97 mm'", seams=(CAP_SEAM,))
    assert value(run, "cap ease") == pytest.approx(INCH, abs=1.5)


def test_whoever_says_how_far_gets_no_warning_and_no_more() -> None:
    run = redraw(0.0, "ease='1 in' outwards='1 in'")
    assert value(run, "cap ease") == pytest.approx(INCH, abs=1e-3)
    assert run.warnings == ()
    with pytest.raises(Refusal, match=r"more than 3.0 mm"):
        redraw(0.0, "amount='10 mm' outwards='3 mm'")


def test_a_length_or_amount_is_done_however_far_it_goes() -> None:
    run = redraw(0.0, "amount='1 in'")
    assert run.steps[0].got["furthest outwards"] > 11.2
    assert "hinge at the hem" in run.warnings[0]


def test_shortening_needs_no_slash() -> None:
    run = redraw(12.0, "ease='9 mm'")
    assert value(run, "cap ease") == pytest.approx(9, abs=1e-3)
    assert run.warnings == ()


def test_an_edge_that_moves_far_inwards_is_told_or_refused_just_as_outwards() -> None:
    run = redraw(12.0, "ease='6 mm'")
    assert 4.7625 < run.steps[0].got["furthest inwards"] < 9.525
    (warning,) = run.warnings
    assert "inwards, more than 3/16 in" in warning
    assert redraw(12.0, "ease='6 mm' inwards='1/4 in'").warnings == ()
    with pytest.raises(Refusal, match=r"mm \(.*\) inwards, more than 4.0 mm .*redraw the whole cap, .* inwards"):
        redraw(12.0, "ease='6 mm' inwards='4 mm'")
    with pytest.raises(Refusal, match=r"inwards, more than 9.5 mm \(3/8 in\); lower the cap"):
        redraw(12.0, "ease='1.5 mm'")


def test_width_lost_half_way_up_is_told() -> None:
    run = redraw(12.0, "amount='-14 mm' within=whole")
    assert any("inwards, more than" in warning for warning in run.warnings)


def test_the_lower_cap_is_untouched_unless_the_whole_is_asked_for() -> None:
    before = sleeve(Shape())
    cap = before.edge("cap").curve
    notches = sorted((mark.at for mark in before.notches("cap") if mark.at is not None), key=lambda at: at.real)
    for step, far in (("amount='8 mm'", False), ("amount='8 mm' within=whole", True)):
        (after,) = run_steps((before,), f"cap-redraw {step}").after
        new = after.edge("cap").curve
        below = [cap.point(t) for t in (0.1, 0.5 * cap.nearest(notches[-1])[0], len(cap) - 0.2)]
        assert (max(new.nearest(point)[1] for point in below) > 0.1) == far
        there = sorted((mark.at for mark in after.notches("cap") if mark.at is not None), key=lambda at: at.real)
        unmoved = [abs(a - b) < 1e-9 for a, b in zip(notches, there, strict=True)]
        assert unmoved == ([True, False, True] if not far else [False, False, False])


def test_grain_texts_and_details_stay() -> None:
    before = sleeve(Shape())
    (after,) = run_steps((before,), "cap-redraw amount='8 mm'").after
    assert [mark for mark in after.marks if mark.edge is None] == [mark for mark in before.marks if mark.edge is None]
    for one, other in zip(before.edges[1:], after.edges[1:], strict=True):
        assert np.allclose(one.curve.segments, other.curve.segments, atol=1e-9)


def test_two_redraws_after_each_other_hold() -> None:
    run = run_steps(
        with_armholes(0.0),
        "cap-raise amount='1/4 in'",
        "cap-redraw ease='1 in' within=whole outwards='1 in'",
        "cap-redraw ease='3/4 in'",
        seams=(CAP_SEAM,),
    )
    assert value(run, "cap ease") == pytest.approx(0.75 * INCH, abs=1e-3)
    assert value(run, "cap height") == pytest.approx(140 + INCH / 4, abs=1e-6)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        ("cap-redraw cap-length='900 mm'", "out of reach: redrawing the cap between its notches reaches"),
        ("cap-redraw cap-length='20 mm' within=whole", "out of reach: redrawing the whole cap reaches"),
        ("cap-redraw ease='1 in'", "needs the armholes"),
        ("cap-redraw amount='1/4 in' within=middle", "'middle' is none of what it may be; give notches or whole"),
        ("cap-redraw amount='1/4 in' share-back=2", "share-back"),
        ("cap-redraw", "amount"),
        ("cap-redraw amount='1/4 in' ease='1 in'", "amount"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str) -> None:
    assert what in refused_line((sleeve(Shape()),), step)


def test_a_sleeve_without_notches_is_told_what_to_do() -> None:
    with pytest.raises(Refusal, match="mark the notches, or redraw the whole cap"):
        run_steps((sleeve(Shape(), notches=False),), "cap-redraw amount='1/4 in'")
    run_steps((sleeve(Shape(), notches=False),), "cap-redraw amount='1/4 in' within=whole")
