"""lengthen: straight seams as their corners move, through the armhole all three pieces, and nothing else."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark
from tests.plugins.altered import (
    BACK,
    FRONT,
    GARMENT,
    SLEEVE,
    also,
    altered,
    kink,
    lies_alike,
    long,
    of,
    panel,
    stays,
    unmatched,
    with_dart,
)
from tests.plugins.running import refused_line


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("lengthen piece=Panel at=100mm", "amount or length must be given"),
        ("lengthen piece=Panel amount=10mm length=500mm", "exclude each other"),
        ("lengthen piece=Panel amount=10mm at=500mm", "beside the piece; cut within 400.0 mm"),
        ("lengthen piece=Panel amount=10mm at=-10mm", "beside the piece"),
        (
            "lengthen piece=Panel amount=-300mm at=100mm",
            "overlap is larger than the part that moves; ask for less than",
        ),
        ("lengthen piece=Panel amount=10mm through=armhole", "armhole"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line((panel(),), step)


def test_through_the_armhole_takes_an_amount_and_no_level() -> None:
    for asked in ("at=10mm amount=10mm", "length=600mm"):
        assert "only an amount" in refused_line(GARMENT, f"lengthen piece=Sleeve through=armhole {asked}")
    line = refused_line((SLEEVE,), "lengthen piece=Sleeve amount=10mm through=armhole")
    assert "armhole" in line


@given(amount=st.floats(-100, 100).filter(lambda one: abs(one) > 0.1), at=st.floats(10, 280))
@settings(max_examples=20, deadline=None)
def test_a_straight_seam_grows_along_the_line_through_its_moved_corners(amount: float, at: float) -> None:
    """From the corners by Pythagoras: a seam 20 mm aside over 400 mm (tests' own drawing)."""
    run = altered(GARMENT, f"lengthen piece=Sleeve at='{at} mm' amount='{amount} mm'")
    new = of(run, "Sleeve")
    for name in ("underarm front", "underarm back"):
        assert long(new, name) == pytest.approx(math.hypot(20, 400 + amount), abs=1e-6)
        assert new.edge(name).curve.is_straight(1e-6)
    assert long(new, "hem") == pytest.approx(long(SLEEVE, "hem"), abs=1e-6)
    stays(SLEEVE, new, "cap")
    assert unmatched(run) == []
    assert (of(run, "Front"), of(run, "Back")) == (FRONT, BACK)


def test_a_seam_at_an_angle_to_the_grain_grows_by_the_amount_times_its_cosine_at_first() -> None:
    """Widths kept, the hem's corner moves along the grain: at first by a · cos φ along the seam, not by a / cos φ."""
    seam = SLEEVE.edge("underarm back").curve
    slant = abs(cmath.phase((seam.end - seam.start) / 1j))
    new = of(altered([SLEEVE], "lengthen piece=Sleeve amount=0.1mm"), "Sleeve")
    assert long(new, "underarm back") - long(SLEEVE, "underarm back") == pytest.approx(0.1 * math.cos(slant), abs=1e-5)


def test_it_can_be_asked_how_long_the_piece_is_to_be_and_says_what_it_got() -> None:
    run = altered([SLEEVE], "lengthen piece=Sleeve length=600mm")
    top, bottom = (of(run, "Sleeve").outline().bounds()[k] for k in (1, 3))
    assert bottom - top == pytest.approx(600, abs=1e-6)
    assert run.steps[0].got["length along the grain"] == pytest.approx(600, abs=1e-6)
    shorter = altered([panel()], "lengthen piece=Panel length=90mm at=50mm")
    assert long(of(shorter, "Panel"), "left") == pytest.approx(90, abs=1e-6)


def test_front_and_back_alike_still_match_and_one_alone_is_told() -> None:
    run = altered(GARMENT, "lengthen piece=Front+Back at=150mm amount=1in")
    assert unmatched(run) == []
    assert long(of(run, "Front"), "fold") == pytest.approx(long(FRONT, "fold") + 25.4, abs=1e-6)
    run = altered(GARMENT, "lengthen piece=Front at=150mm amount=1in")
    assert also(run) == [
        "also change Back: its side seam was as long as the side seam of Front and is now 1 in shorter"
    ]


def test_it_cuts_at_the_drawn_line() -> None:
    line = Mark("detail", (Curve.polyline([20 + 90j, 200 + 90j]),), name="Lengthen or shorten here")
    low = Mark(
        "detail", (Curve.polyline([100 + 80j, 120 + 80j]), Curve.polyline([100 + 100j, 120 + 100j])), name="pair"
    )
    piece = replace(FRONT, marks=(*FRONT.marks, line, low))
    new = of(altered([piece], "lengthen piece=Front amount=10mm"), "Front")
    (pair,) = (mark for mark in new.marks if mark.name == "pair")
    heights = [curve.start.imag for curve in pair.curves]
    assert heights == pytest.approx([80, 110])


@given(amount=st.floats(-30, 40).filter(lambda one: abs(one) > 0.5))
@settings(max_examples=12, deadline=None)
def test_through_the_armhole_every_height_grows_by_the_amount(amount: float) -> None:
    run = altered(GARMENT, f"lengthen piece=Sleeve through=armhole amount='{amount} mm'")
    for old in (FRONT, BACK):
        new = of(run, old.name)
        assert new.landmark("shoulder tip") - old.landmark("shoulder tip") == pytest.approx(-1j * amount, abs=1e-6)
        assert long(new, "fold") == pytest.approx(long(old, "fold") + amount, abs=1e-6)
        assert long(new, "shoulder") == pytest.approx(long(old, "shoulder"), abs=1e-6)
        assert long(new, "neckline") == pytest.approx(long(old, "neckline"), abs=1e-6)
        # The armhole runs upright where it is cut, so that it grows by the amount and by nothing else.
        assert long(new, "armhole") - long(old, "armhole") == pytest.approx(amount, abs=0.25)
        assert kink(new, old) < 0.1
        stays(old, new, "side seam", "hem")
    sleeve = of(run, "Sleeve")
    assert sleeve.landmark("cap top").imag == pytest.approx(SLEEVE.landmark("cap top").imag - amount, abs=1e-6)
    stays(SLEEVE, sleeve, "underarm front", "underarm back", "hem")
    ease = [
        long(pieces[0], "cap") - long(pieces[1], "armhole") - long(pieces[2], "armhole")
        for pieces in (GARMENT, [of(run, name) for name in ("Sleeve", "Front", "Back")])
    ]
    told = [row for step in run.steps for row in step.also if "ease" in row.message]
    if abs(ease[1] - ease[0]) > 2:
        assert told[0].amount == pytest.approx(ease[1] - ease[0], abs=0.02)


def test_through_the_armhole_of_one_side_alone_says_what_no_longer_matches() -> None:
    run = altered(GARMENT, "lengthen piece=Back through=armhole amount=1in")
    assert of(run, "Front") is FRONT
    ((row,),) = (step.also for step in run.steps)
    assert row.piece == "Sleeve"
    assert row.amount == pytest.approx(long(BACK, "armhole") - long(of(run, "Back"), "armhole"), abs=0.01)


def test_a_dart_below_the_cut_rides() -> None:
    piece = with_dart(FRONT, "hem", 120.0, 20.0, 120 + 220j)
    new = of(altered([piece], "lengthen piece=Front at=100mm amount=12mm"), "Front")
    assert abs(new.darts[0].apex - piece.darts[0].apex - 12j) < 1e-9
    assert long(new, "fold") == pytest.approx(long(piece, "fold") + 12, abs=1e-6)


@pytest.mark.parametrize(
    "step",
    [
        "lengthen piece=Sleeve at=200mm amount=25mm",
        "lengthen piece=Front amount=-18mm",
        "lengthen piece=Sleeve through=armhole amount=12mm",
        "lengthen piece=Back through=armhole amount=-12mm",
    ],
)
def test_turned_and_mirrored_it_does_the_same(step: str) -> None:
    lies_alike(step)
