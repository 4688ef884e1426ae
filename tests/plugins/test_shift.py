"""shift: what moves moves by so much, it runs out where it is said to, and nothing else moves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
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
    with_dart,
)
from tests.plugins.running import refused_line


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("shift piece=Panel amount=20mm", "at or edge must be given"),
        ("shift piece=Panel at='hem middle'", "amount must be given"),
        ("shift piece=Panel at='hem middle' edge=hem amount=20mm", "exclude each other"),
        ("shift piece=Panel at='point 0 mm, 0 mm' amount=20mm", "off the stitch line"),
        ("shift piece=Panel at='hem 50 mm' to='left 250 mm' amount=20mm", "runs over a corner"),
        ("shift piece=Panel edge=hem amount=-450mm", "other side of the piece"),
        ("shift piece=Panel at='hem middle' amount=20mm runs-out='top middle'", "does not run out at top middle"),
        ("shift piece=Panel at='hem middle' amount=20mm runs-out='hem 20 mm + hem 40 mm'", "one on each side"),
        ("shift piece=Panel at='hem middle' amount=20mm runs-out='point 0 mm, 0 mm'", "off the stitch line"),
        ("shift piece=Panel at='hem right' amount=20mm", "corner of right and hem"),
        ("shift piece=Panel at='hem right' amount=20mm way=along", "way=up"),
    ],
)
def test_what_can_not_be_moved_is_refused(step: str, says: str) -> None:
    assert says in refused_line((panel(),), step)


WAYS = {"up": -1j, "down": 1j, "left": -1, "right": 1}


@given(amount=st.floats(-80, 80).filter(lambda one: abs(one) > 0.1), way=st.sampled_from(sorted(WAYS)))
@settings(max_examples=25, deadline=None)
def test_a_corner_between_straight_edges_moves_and_they_stay_straight(amount: float, way: str) -> None:
    """Pythagoras on a rectangle."""
    new = of(altered([panel()], f"shift piece=Panel at='hem right' amount='{amount} mm' way={way}"), "Panel")
    corner = 150 + 200j + amount * WAYS[way]
    assert abs(new.landmark("hem right") - corner) < 1e-6
    assert long(new, "hem") == pytest.approx(abs(corner - (-150 + 200j)), abs=1e-3)
    assert long(new, "right") == pytest.approx(abs(corner - (150 - 200j)), abs=1e-3)
    assert new.edge("hem").curve.is_straight(1e-3)
    stays(panel(), new, "top", "left")


@given(amount=st.floats(-60, 90).filter(lambda one: abs(one) > 0.1))
@settings(max_examples=15, deadline=None)
def test_a_whole_edge_moves_as_it_is(amount: float) -> None:
    run = altered(GARMENT, f"shift piece=Front edge=hem amount='{amount} mm' way=down")
    new = of(run, "Front")
    assert long(new, "fold") == pytest.approx(long(FRONT, "fold") + amount, abs=1e-6)
    assert long(new, "side seam") == pytest.approx(long(FRONT, "side seam") + amount, abs=1e-6)
    assert long(new, "hem") == pytest.approx(long(FRONT, "hem"), abs=1e-6)
    stays(FRONT, new, "armhole", "shoulder", "neckline")
    assert run.steps[0].got["side seam length"] == pytest.approx(long(new, "side seam"), abs=1e-6)


@given(at=st.floats(60, 240), amount=st.floats(-15, 15).filter(lambda one: abs(one) > 0.1))
@settings(max_examples=15, deadline=None)
def test_a_place_of_an_edge_moves_by_exactly_the_amount_and_runs_out_smoothly(at: float, amount: float) -> None:
    step = f"shift piece=Front at='side seam {at} mm' amount='{amount} mm' runs-out='side seam {at - 50} mm'"
    new = of(altered(GARMENT, step), "Front")
    assert new.edge("side seam").curve.nearest(complex(-amount, at))[1] < 2e-3
    assert kink(new, FRONT) < 0.1
    above, far = new.edge("side seam").curve, FRONT.edge("side seam").curve
    for y in np.linspace(0, at - 50.01, 9).tolist():
        assert above.nearest(complex(0, y))[1] < 1e-6
    assert above.start == far.start
    stays(FRONT, new, "armhole", "shoulder", "neckline", "fold", "hem")


def test_out_is_outward_on_every_edge() -> None:
    for name, way in (("top", -1j), ("right", 1), ("hem", 1j), ("left", -1)):
        new = of(altered([panel()], f"shift piece=Panel edge={name} amount=10mm"), "Panel")
        moved = new.edge(name).curve.point(0.5) - panel().edge(name).curve.point(0.5)
        assert abs(moved - 10 * way) < 1e-6


def test_along_goes_on_beyond_the_end_of_the_edge_that_was_named() -> None:
    new = of(altered([panel()], "shift piece=Panel at='hem 0 mm' amount=10mm way=along"), "Panel")
    assert abs(new.landmark("hem left") - (-160 + 200j)) < 1e-6
    new = of(altered([panel()], "shift piece=Panel at='left 400 mm' amount=10mm way=along"), "Panel")
    assert min(abs(mark.at - corner) for mark in new.landmarks for corner in (-150 + 210j, -150 - 210j)) < 1e-6


def test_a_dart_in_a_moved_edge_moves_as_one() -> None:
    piece = with_dart(FRONT, "side seam", 80.0, 20.0, 120 + 70j)
    new = of(altered([SLEEVE, piece, BACK], "shift piece=Front edge='side seam' amount=8mm way=left"), "Front")
    (old,), (dart,) = piece.darts, new.darts
    for name in ("start", "apex", "end"):
        assert abs(getattr(dart, name) - getattr(old, name) + 8) < 1e-6


def test_what_is_sewn_to_a_moved_edge_is_told() -> None:
    run = altered(GARMENT, "shift piece=Front edge=hem amount=1in way=down")
    assert also(run) == [
        "also change Back: its side seam was as long as the side seam of Front and is now 1 in shorter"
    ]


def test_a_fold_moved_off_the_grain_is_told() -> None:
    run = altered(GARMENT, "shift piece=Front at='neck centre' amount=10mm way=right")
    slant = math.degrees(math.atan2(10, long(FRONT, "fold")))
    assert any(f"now lies {slant:.1f}° off it" in text for text in run.warnings)
    assert not altered(GARMENT, "shift piece=Front edge=fold amount=10mm").warnings


@pytest.mark.parametrize(
    "step",
    [
        "shift piece=Front at='side seam 120 mm' amount=10mm runs-out='side seam 40 mm + side seam 200 mm'",
        "shift piece=Back at='shoulder tip' amount=10mm way=up",
        "shift piece=Back at='side seam 0 mm' amount=10mm",
        "shift piece=Sleeve at='cap top' amount=-8mm way=up",
    ],
)
def test_turned_and_mirrored_it_does_the_same(step: str) -> None:
    lies_alike(step, accuracy=1e-6)


def test_left_is_left_as_it_lies_with_the_grain_upright() -> None:
    mirrored = replace(BACK, placement=Affine(-1, 0, 0, 1, 1800, 0))
    left = of(altered([mirrored], "shift piece=Back at=underarm amount=10mm way=left"), "Back")
    right = of(altered([BACK], "shift piece=Back at=underarm amount=10mm way=right"), "Back")
    assert left.landmark("underarm") == right.landmark("underarm") == 10
