"""round-back: the centre longer by the amount, the armhole as it was, the neckline as sewn as it was."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

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

SEAMED = replace(
    BACK,
    edges=tuple(replace(edge, name="centre", fold=False, allowance=10.0) if edge.fold else edge for edge in BACK.edges),
)


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("round-back piece=Back", "amount or length must be given"),
        ("round-back piece=Back amount=10mm length=600mm", "exclude each other"),
        ("round-back piece=Back amount=200mm", "too far; ask for"),
        ("round-back piece=Back amount=-200mm", "too far; ask for"),
        ("round-back piece=Back amount=10mm at=600mm", "does not run from the centre to the armhole"),
        ("round-back piece=Back amount=10mm at=2mm", "does not run from the centre to the armhole"),
        ("round-back piece=Back amount=10mm centre=curved", "a fold stays straight"),
        ("round-back piece=Front amount=10mm", "back"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line(GARMENT, step)


@given(amount=st.floats(2, 30))
@settings(max_examples=15, deadline=None)
def test_a_round_back_is_longer_at_the_fold_and_nowhere_else_as_sewn(amount: float) -> None:
    run = altered(GARMENT, f"round-back piece=Back amount='{amount} mm'")
    new = of(run, "Back")
    assert long(new, "fold") == pytest.approx(long(BACK, "fold") + amount, abs=1e-6)
    assert new.edge("fold").curve.is_straight(1e-9)
    assert new.landmark("neck centre") == pytest.approx(BACK.landmark("neck centre") - 1j * amount, abs=1e-9)
    assert long(new, "armhole") == pytest.approx(long(BACK, "armhole"), abs=0.6)
    assert long(new, "shoulder") == pytest.approx(long(BACK, "shoulder"), abs=1e-6)
    stays(BACK, new, "side seam", "hem")
    # As sewn the neckline is as long as it was: what lies between the dart's legs is folded away.
    (dart,) = new.darts
    legs = abs(dart.start - dart.apex), abs(dart.end - dart.apex)
    assert legs[0] == pytest.approx(legs[1], abs=1e-6)
    assert long(new, "neckline") - sum(legs) == pytest.approx(long(BACK, "neckline"), abs=0.01)
    assert abs(dart.apex - (dart.start + dart.end) / 2) == pytest.approx(76.2, abs=1e-6)
    assert run.steps[0].got["neckline length"] == pytest.approx(long(BACK, "neckline"), abs=0.01)
    curve = new.edge("neckline").curve
    ways = (curve.tangent(0.0), curve.tangent(len(curve), before=True))
    end = min(ways, key=lambda way: abs(abs(math.degrees(cmath.phase(way / 1j))) - 90))
    assert abs(math.degrees(cmath.phase(end / 1j))) == pytest.approx(90, abs=0.1)
    assert unmatched(run) == []
    assert (of(run, "Front"), of(run, "Sleeve")) == (FRONT, SLEEVE)


def test_the_neckline_gets_longer_by_what_the_swing_takes_from_the_centre() -> None:
    """How far the swung neck point lies off the fold: the height over the cut times the sine of the swing."""
    run = altered(GARMENT, "round-back piece=Back amount=15mm into=ease")
    new = of(run, "Back")
    assert not new.darts
    level = (BACK.landmark("shoulder tip").imag + BACK.landmark("underarm").imag) / 2
    curve = BACK.edge("armhole").curve
    hinge = next(curve.point(t) for t in curve.crossings(complex(-300, level), complex(300, level)))
    turn = 2 * math.asin(15 / 2 / abs(hinge.real - BACK.landmark("neck centre").real))
    above = level - BACK.landmark("neck centre").imag
    wide = abs(hinge.real - BACK.landmark("neck centre").real)
    off = above * math.sin(turn) - wide * (1 - math.cos(turn))
    assert long(new, "neckline") - long(BACK, "neckline") == pytest.approx(off, rel=0.2)
    assert any("ease it into what is sewn there" in text for text in run.warnings)


@given(amount=st.floats(-25, -2))
@settings(max_examples=10, deadline=None)
def test_an_erect_back_is_shorter_at_the_fold_and_its_neckline_is_told(amount: float) -> None:
    run = altered(GARMENT, f"round-back piece=Back amount='{amount} mm'")
    new = of(run, "Back")
    assert long(new, "fold") == pytest.approx(long(BACK, "fold") + amount, abs=1e-6)
    assert long(new, "armhole") == pytest.approx(long(BACK, "armhole"), abs=0.6)
    stays(BACK, new, "side seam", "hem")
    assert kink(new, BACK) < 0.1
    if long(BACK, "neckline") - long(new, "neckline") > 0.2:
        assert any("shorter" in text for text in run.warnings)


def test_no_edge_gets_a_kink() -> None:
    for amount in (6, 20):
        new = of(altered(GARMENT, f"round-back piece=Back amount={amount}mm into=ease"), "Back")
        assert kink(new, BACK) < 0.1


def test_a_seam_at_the_centre_may_bend_with_the_back() -> None:
    pieces = (SLEEVE, FRONT, SEAMED)
    run = altered(pieces, "round-back piece=Back amount=15mm centre=curved")
    new = of(run, "Back")
    assert long(new, "neckline") == pytest.approx(long(BACK, "neckline"), abs=1e-6)
    assert long(new, "centre") == pytest.approx(long(BACK, "fold") + 15, abs=1.0)
    assert kink(new, BACK) < 0.1
    stays(SEAMED, new, "side seam", "hem")
    straight = of(altered(pieces, "round-back piece=Back amount=15mm"), "Back")
    assert long(straight, "centre") == pytest.approx(long(BACK, "fold") + 15, abs=1e-6)
    assert "does not say how far" in refused_line(pieces, "round-back piece=Back length=600mm centre=curved")


def test_it_can_be_asked_for_the_centre_s_length() -> None:
    new = of(altered(GARMENT, "round-back piece=Back length=540mm"), "Back")
    assert long(new, "fold") == pytest.approx(540, abs=1e-6)


def test_turned_and_mirrored_it_does_the_same() -> None:
    lies_alike("round-back piece=Back amount=12mm")
    lies_alike("round-back piece=Back amount=-12mm")
