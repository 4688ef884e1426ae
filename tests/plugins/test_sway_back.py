"""sway-back: the centre shorter as the triangle at the hinge says, straight, upright, square; the side as it was."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from tests.plugins.altered import BACK, FRONT, GARMENT, SLEEVE, altered, kink, lies_alike, long, of, unmatched
from tests.plugins.running import refused_line


def corner(piece: Piece, edge: str, landmark: str) -> float:
    """The angle between an edge and the fold at a landmark, degrees."""
    curve, at = piece.edge(edge).curve, piece.landmark(landmark)
    way = curve.tangent(0.0) if abs(curve.start - at) < 1e-6 else curve.tangent(len(curve), before=True)
    return abs(math.degrees(cmath.phase(way / 1j)))


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("sway-back piece=Back amount=10mm", "how far below the underarm"),
        ("sway-back piece=Back at=150mm", "amount or length must be given"),
        ("sway-back piece=Back at=150mm amount=10mm length=500mm", "exclude each other"),
        ("sway-back piece=Back at=900mm amount=10mm", "does not cross the"),
        ("sway-back piece=Back at=-90mm amount=10mm", "does not cross the"),
        ("sway-back piece=Back at=150mm amount=150mm", "turns the lower part too far; ask for"),
        ("sway-back piece=Back at=150mm length=100mm", "can't be had there"),
        ("sway-back piece=Back at=150mm length=900mm", "can't be had there"),
        ("sway-back piece=Front at=150mm amount=10mm", "back"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line(GARMENT, step)


@given(amount=st.floats(-30, 30).filter(lambda one: abs(one) > 1), at=st.floats(60, 240))
@settings(max_examples=20, deadline=None)
def test_the_centre_is_the_third_side_of_the_triangle_at_the_hinge(amount: float, at: float) -> None:
    """The law of cosines from the hinge on the side seam: no source needed."""
    run = altered(GARMENT, f"sway-back piece=Back at='{at} mm' amount='{amount} mm'")
    new, hinge = of(run, "Back"), 1j * at
    neck, hem = (abs(BACK.landmark(name) - hinge) for name in ("neck centre", "hem centre"))
    between = abs(cmath.phase((BACK.landmark("neck centre") - hinge) / (BACK.landmark("hem centre") - hinge)))
    angle = between - 2 * math.asin(amount / 2 / 260)
    centre = math.sqrt(neck**2 + hem**2 - 2 * neck * hem * math.cos(angle))
    assert long(new, "fold") == pytest.approx(centre, abs=1e-6)
    assert run.steps[0].got["fold length"] == pytest.approx(centre, abs=1e-3)
    assert long(BACK, "fold") - centre == pytest.approx(amount, abs=abs(amount) * 0.04 + 0.2)
    assert new.edge("fold").curve.is_straight(1e-6)
    assert abs((new.landmark("neck centre") - new.landmark("hem centre")).real) < 1e-6, "upright, along the grain"
    for name in ("armhole", "shoulder"):
        assert long(new, name) == pytest.approx(long(BACK, name), abs=1e-6)
    assert long(new, "side seam") == pytest.approx(long(BACK, "side seam"), abs=1.0)
    assert kink(new, BACK) < 0.1
    assert corner(new, "hem", "hem centre") == pytest.approx(90, abs=0.1)
    assert corner(new, "neckline", "neck centre") == pytest.approx(corner(BACK, "neckline", "neck centre"), abs=0.1)
    assert not [text for text in run.warnings if "off it" in text]
    assert (of(run, "Front"), of(run, "Sleeve")) == (FRONT, SLEEVE)
    assert unmatched(run) == []
    grain = next(mark.curves[0] for mark in new.marks if mark.kind == "grain line")
    assert abs((grain.end - grain.start).real) < 1e-9
    fold = next(mark.curves[0] for mark in new.marks if mark.kind == "fold line")
    assert max(new.edge("fold").curve.nearest(end)[1] for end in (fold.start, fold.end)) < 1e-6


def test_it_can_be_asked_for_the_centre_s_length() -> None:
    run = altered(GARMENT, "sway-back piece=Back at=150mm length=500mm")
    assert long(of(run, "Back"), "fold") == pytest.approx(500, abs=1e-6)


def test_the_drawn_waist_is_the_level() -> None:
    waist = Mark("detail", (Curve.polyline([-200 + 120j, -20 + 120j]),), name="Waist")
    piece = replace(BACK, marks=(*BACK.marks, waist))
    drawn = of(altered([SLEEVE, FRONT, piece], "sway-back piece=Back amount=10mm"), "Back")
    asked = of(altered(GARMENT, "sway-back piece=Back amount=10mm at=120mm"), "Back")
    assert long(drawn, "fold") == pytest.approx(long(asked, "fold"), abs=1e-9)


def test_a_longer_side_seam_than_the_front_s_is_told() -> None:
    """At a hinge far from straight a trued seam may change; here it is held to what the walk lets pass."""
    run = altered(GARMENT, "sway-back piece=Back at=150mm amount=1in")
    change = long(of(run, "Back"), "side seam") - long(BACK, "side seam")
    assert abs(change) < 0.5


def test_turned_and_mirrored_it_does_the_same() -> None:
    lies_alike("sway-back piece=Back at=150mm amount=12mm")
    lies_alike("sway-back piece=Back at=150mm amount=-12mm")
