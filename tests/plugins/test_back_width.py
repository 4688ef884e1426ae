"""back-width: across both halves by exactly the amount, the armhole's length kept, the centre untouched."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.model.piece import Piece
from tests.plugins.altered import (
    BACK,
    FRONT,
    GARMENT,
    SLEEVE,
    altered,
    kink,
    lies_alike,
    long,
    of,
    stays,
    unmatched,
)
from tests.plugins.running import refused_line


def across(piece: Piece, level: float) -> float:
    """Twice from the fold to the nearest point of the armhole at a level, by looking at many points of it."""
    curve = piece.edge("armhole").curve
    points = curve.points(np.linspace(0, len(curve), 200001))
    near = points[np.abs(points.imag - level) < 0.01]
    return 2 * float(np.abs(near.real - piece.landmark("neck centre").real).min())


def half_way(piece: Piece) -> float:
    return (piece.landmark("shoulder tip").imag + piece.landmark("underarm").imag) / 2


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("back-width piece=Back", "amount"),
        ("back-width piece=Back amount=10mm each=5mm", "exclude each other"),
        ("back-width piece=Back amount=200mm", "too much for one step; ask for"),
        ("back-width piece=Back width=20mm", "too much for one step; ask for"),
        ("back-width piece=Sleeve amount=10mm", "back"),
        ("back-width piece=Back amount=10mm how=sideways", "sideways"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line(GARMENT, step)


@given(
    amount=st.floats(-24, 30).filter(lambda one: abs(one) > 1),
    name=st.sampled_from(("Back", "Front")),
    how=st.sampled_from(("side", "hem", "through")),
)
@settings(max_examples=24, deadline=None)
def test_it_is_as_much_wider_as_was_asked_and_the_armhole_as_long_as_it_was(amount: float, name: str, how: str) -> None:
    run = altered(GARMENT, f"back-width piece={name} amount='{amount} mm' how={how}")
    old, new = {"Back": BACK, "Front": FRONT}[name], of(run, name)
    level = half_way(old)
    assert across(new, level) - across(old, level) == pytest.approx(amount, abs=0.02)
    assert run.steps[0].got[f"{old.kind} width"] == pytest.approx(across(new, level), abs=0.02)
    assert long(new, "armhole") == pytest.approx(long(old, "armhole"), abs=1e-6)
    if how == "side":
        stays(old, new, "hem")
        # From the corners, by Pythagoras: the underarm point is half the amount further out, the hem's corner stays.
        assert long(new, "side seam") == pytest.approx(math.hypot(300, amount / 2), abs=1e-3)
    else:
        assert long(new, "side seam") == pytest.approx(long(old, "side seam"), abs=1e-6)
    if how == "through":
        assert long(new, "hem") - long(old, "hem") == pytest.approx(amount / 2, abs=1e-3)
    stays(old, new, "fold", "neckline")
    assert kink(new, old) < 0.1
    assert [one for one in run.after if one.name != name] == [one for one in GARMENT if one.name != name]


def test_what_the_shoulder_gets_too_much_goes_into_a_dart_or_is_told() -> None:
    eased = altered(GARMENT, "back-width piece=Back amount=20mm")
    more = long(of(eased, "Back"), "shoulder") - long(BACK, "shoulder")
    assert more > 5
    assert any("ease it into what is sewn to it" in text for text in eased.warnings)
    assert len(unmatched(eased)) == 1
    taken = altered(GARMENT, "back-width piece=Back amount=20mm into=dart")
    (dart,) = of(taken, "Back").darts
    legs = abs(dart.start - dart.apex), abs(dart.end - dart.apex)
    assert legs[0] == pytest.approx(legs[1], abs=1e-6)
    assert abs(dart.end - dart.start) == pytest.approx(more, abs=0.01)
    assert long(of(taken, "Back"), "shoulder") - sum(legs) == pytest.approx(long(BACK, "shoulder"), abs=0.01)
    assert unmatched(taken) == []


def test_it_can_be_asked_for_the_width_or_for_one_half() -> None:
    run = altered(GARMENT, "back-width piece=Back width=440mm")
    assert across(of(run, "Back"), half_way(BACK)) == pytest.approx(440, abs=0.02)
    run = altered(GARMENT, "back-width piece=Back each=6mm")
    assert across(of(run, "Back"), half_way(BACK)) - across(BACK, half_way(BACK)) == pytest.approx(12, abs=0.02)
    assert of(run, "Sleeve") is SLEEVE


@pytest.mark.parametrize("how", ["side", "hem", "through"])
def test_turned_and_mirrored_it_does_the_same(how: str) -> None:
    lies_alike(f"back-width piece=Back amount=16mm how={how}", accuracy=1e-6)
    lies_alike(f"back-width piece=Front amount=-12mm how={how}", accuracy=1e-6)
