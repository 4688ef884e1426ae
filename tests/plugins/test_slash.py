"""slash: closed forms on a rectangle, what a hinge keeps, what it refuses, what it says no longer matches."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
)
from tests.plugins.running import refused_line

HINGED = "slash piece=Panel from='hem middle' to='top middle'"
THROUGH = "slash piece=Panel from='left middle' to='right middle' how=through"
UPPER_HALF = "slash piece=Front from='hem middle' to='armhole 60 mm'"


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("slash piece=Panel from='hem middle' amount=20mm", "to must be given"),
        (HINGED, "amount or angle must be given"),
        (f"{HINGED} amount=20mm angle=5deg", "exclude each other"),
        (f"{HINGED} amount=500mm", "wider than the cut is long"),
        (f"{HINGED} amount=-399mm", "cross"),
        ("slash piece=Panel from='hem middle' to='hem middle' amount=20mm", "begins where it ends"),
        ("slash piece=Panel from='hem middle' to='hem 10 mm' amount=20mm", "outside the piece"),
        ("slash piece=Panel from='point 0 mm, 0 mm' to='top middle' amount=20mm", "off the stitch line"),
        ("slash piece=Panel from='hem 900 mm' to='top middle' amount=20mm", "no place on it"),
        ("slash piece=Panel from='hen middle' to='top middle' amount=20mm", "hem"),
        (f"{THROUGH} angle=5deg", "moves by an amount"),
        ("slash piece=Panel from='left middle + left 20 mm' to='right middle' how=through amount=5mm", "is one"),
        (f"{THROUGH} amount=-200mm", "overlap is larger than the part that moves"),
        (f"{THROUGH} amount=-250mm", "overlap is larger than the part that moves"),
    ],
)
def test_what_can_not_be_cut_is_refused(step: str, says: str) -> None:
    assert says in refused_line((panel(),), step)


@given(
    width=st.floats(150, 500),
    height=st.floats(200, 700),
    amount=st.floats(-40, 60).filter(lambda one: abs(one) > 0.5),
)
@settings(max_examples=25, deadline=None)
def test_a_hinge_turns_one_half_by_the_angle_that_opens_so_far(width: float, height: float, amount: float) -> None:
    """Plane trigonometry: half-angle and cosine rule from the hinge, not from the operation."""
    run = altered([panel(width, height)], f"{HINGED} amount='{amount} mm'")
    angle = 2 * math.asin(amount / 2 / height)
    far = math.hypot(width / 2, height)
    between = 2 * math.atan2(width / 2, height) + angle
    new = of(run, "Panel")
    assert long(new, "hem") == pytest.approx(2 * far * math.sin(between / 2), abs=1e-6)
    assert long(new, "top") == pytest.approx(width * math.cos(angle / 2), abs=1e-6)
    assert long(new, "left") == pytest.approx(height, abs=1e-6)
    assert long(new, "right") == pytest.approx(height, abs=1e-6)
    assert run.steps[0].got["hem length"] == pytest.approx(long(new, "hem"), abs=1e-6)
    stays(panel(width, height), new, "left")  # the half with the grain line stays
    assert all(edge.curve.is_straight(1e-6) for edge in new.edges)


@given(amount=st.floats(-150, 150).filter(lambda one: abs(one) > 0.5), lean=st.floats(-60, 60))
@settings(max_examples=25, deadline=None)
def test_a_cut_through_opens_square_to_itself_or_along_the_grain(amount: float, lean: float) -> None:
    """Every edge that is cut grows by the movement; where that runs along it, by exactly so much."""
    start, end = 200 + lean / 2, 200 - lean / 2
    cut = f"slash piece=Panel from='left {start} mm' to='right {end} mm' how=through amount='{amount} mm'"
    grain, square = (of(altered([panel()], f"{cut} along={way}"), "Panel") for way in ("grain", "square"))
    assert long(grain, "left") == pytest.approx(400 + amount, abs=1e-6)
    assert long(grain, "right") == pytest.approx(400 + amount, abs=1e-6)
    assert long(grain, "hem") == pytest.approx(300, abs=1e-6)
    slope = math.atan2(lean, 300)
    down, aside = amount * math.cos(slope), amount * math.sin(slope)
    assert long(square, "left") == pytest.approx(math.hypot(400 + down, aside), abs=1e-6)
    assert long(square, "hem") == pytest.approx(300, abs=1e-6)


def test_several_slashes_to_one_hinge_add_up() -> None:
    run = altered([panel()], "slash piece=Panel from='hem 100 mm + hem 150 mm + hem 200 mm' to='top middle' amount=9mm")
    angles = [2 * math.asin(4.5 / abs(complex(at, 400))) for at in (-50, 0, 50)]
    far, between = math.hypot(150, 400), 2 * math.atan2(150, 400) + sum(angles)
    assert long(of(run, "Panel"), "hem") == pytest.approx(2 * far * math.sin(between / 2), abs=0.35)
    corners = [of(run, "Panel").landmark(name) for name in ("hem left", "hem right")]
    assert abs(corners[0] - corners[1]) == pytest.approx(2 * far * math.sin(between / 2), abs=1e-6)


def test_an_angle_is_the_amount_it_opens_by() -> None:
    amount = 2 * 400 * math.sin(math.radians(2.5))
    by_angle, by_amount = (
        of(altered([panel()], f"{HINGED} {asked}"), "Panel") for asked in ("angle=5deg", f"amount='{amount} mm'")
    )
    for one, two in zip(by_angle.edges, by_amount.edges, strict=True):
        assert np.abs(one.curve.segments - two.curve.segments).max() < 1e-9


def test_the_seam_with_the_hinge_keeps_its_length_nearly_and_has_no_kink() -> None:
    run = altered(GARMENT, f"{UPPER_HALF} amount=15mm")
    new = of(run, "Front")
    assert long(new, "armhole") == pytest.approx(long(FRONT, "armhole"), abs=1.0)
    assert kink(new, FRONT) < 0.1
    stays(FRONT, new, "fold", "neckline", "shoulder")
    assert long(new, "side seam") == pytest.approx(long(FRONT, "side seam"), abs=1e-6)
    assert of(run, "Back") is BACK
    assert of(run, "Sleeve") is SLEEVE
    for mark in new.notches("armhole"):
        assert mark.at is not None
        assert new.edge("armhole").curve.nearest(mark.at)[1] < 1e-6


def test_the_neighbours_are_told_by_how_much_they_no_longer_match() -> None:
    run = altered(
        GARMENT, "slash piece=Front from='side seam 100 mm' to='fold 300 mm' how=through along=grain amount=1in"
    )
    assert also(run) == [
        "also change Back: its side seam was as long as the side seam of Front and is now 1 in shorter"
    ]
    run = altered(GARMENT, "slash piece=Front from='shoulder middle' to='hem middle' amount='1/2 in'")
    grown = long(of(run, "Front"), "shoulder") - long(FRONT, "shoulder")
    assert grown == pytest.approx(12.7, abs=0.5)
    assert also(run) == [
        "also change Back: its shoulder was as long as the shoulder of Front and is now 1/2 in shorter"
    ]
    run = altered(GARMENT, "slash piece=Sleeve from='cap 120 mm' to='hem middle' amount='1/2 in'")
    ((row,),) = (step.also for step in run.steps)
    assert row.message.startswith("also change Front and Back, unless this is the ease you want: Sleeve's cap has ")
    assert row.amount == pytest.approx(long(of(run, "Sleeve"), "cap") - long(SLEEVE, "cap"), abs=0.01)


def test_both_pieces_cut_alike_match_again() -> None:
    steps = [
        f"slash piece={name} from='side seam 100 mm' to='fold {at} mm' how=through along=grain amount=1in"
        for name, at in (("Front", 300), ("Back", 350))
    ]
    run = altered(GARMENT, *steps)
    assert long(of(run, "Front"), "side seam") == pytest.approx(long(of(run, "Back"), "side seam"), abs=1e-6)
    assert also(run)
    assert unmatched(run) == []


def test_a_fold_that_no_longer_runs_along_the_grain_is_told() -> None:
    cut = "slash piece=Front from='side seam 100 mm' to='fold 200 mm' how=through amount=20mm"
    assert any("off it" in text and "fold" in text for text in altered(GARMENT, cut).warnings)
    assert not altered(GARMENT, f"{cut} along=grain").warnings


@pytest.mark.parametrize(
    "step",
    [
        f"{UPPER_HALF} amount=15mm",
        f"{UPPER_HALF} amount=-12mm",
        "slash piece=Back from='side seam 100 mm' to='fold 350 mm' how=through along=grain amount=20mm",
        "slash piece=Sleeve from='hem 80 mm + hem middle' to='cap top' amount=9mm",
    ],
)
def test_turned_and_mirrored_it_does_the_same(step: str) -> None:
    lies_alike(step)
