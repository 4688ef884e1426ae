"""neckline: centre and neck point moved by exactly so much, square at the fold, shoulders alike, nothing else moved."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.geometry.curve import Curve
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
    with_dart,
)
from tests.plugins.running import refused_line


def walked(piece: Piece, edge: str, landmark: str) -> Curve:
    curve, at = piece.edge(edge).curve, piece.landmark(landmark)
    return curve if abs(curve.start - at) < 1e-6 else curve.reverse()


def corner(piece: Piece, landmark: str, other: str) -> float:
    """The angle inside the piece between the neckline and another edge, degrees."""
    ways = (walked(piece, edge, landmark).tangent(0.0) for edge in ("neckline", other))
    return abs(math.degrees(cmath.phase(next(ways) / next(ways))))


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("neckline piece=Front", "amount or depth must be given"),
        ("neckline piece=Front amount=10mm depth=90mm", "exclude each other"),
        ("neckline piece=Front amount=900mm", "can't be there; raise by"),
        ("neckline piece=Front amount=-200mm", "can't be there; raise by"),
        ("neckline piece=Front amount=0mm wider=100mm", "widen by"),
        ("neckline piece=Sleeve amount=10mm", "front"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line(GARMENT, step)


def test_a_dart_in_the_neckline_is_refused() -> None:
    piece = with_dart(BACK, "neckline", 60.0, 12.0, BACK.landmark("neck centre") + 40 + 80j)
    assert "has a dart in its neckline" in refused_line((SLEEVE, FRONT, piece), "neckline piece=Back amount=10mm")


@given(amount=st.floats(-40, 80).filter(lambda one: abs(one) > 0.5))
@settings(max_examples=12, deadline=None)
def test_lower_is_lower_at_the_fold_square_and_nowhere_else(amount: float) -> None:
    run = altered(GARMENT, f"neckline piece=Front amount='{amount} mm'")
    new = of(run, "Front")
    assert new.landmark("neck centre") == pytest.approx(FRONT.landmark("neck centre") + 1j * amount, abs=1e-6)
    assert long(new, "fold") == pytest.approx(long(FRONT, "fold") - amount, abs=1e-6)
    assert corner(new, "neck centre", "fold") == pytest.approx(90, abs=0.1)
    assert corner(new, "neck point", "shoulder") == pytest.approx(corner(FRONT, "neck point", "shoulder"), abs=0.1)
    assert kink(new, FRONT) < 0.1
    stays(FRONT, new, "shoulder", "armhole", "side seam", "hem")
    assert run.steps[0].got["neckline length"] == pytest.approx(long(new, "neckline"), abs=1e-3)
    assert (of(run, "Back"), of(run, "Sleeve")) == (BACK, SLEEVE)


@given(wider=st.floats(-15, 40).filter(lambda one: abs(one) > 0.5))
@settings(max_examples=12, deadline=None)
def test_wider_is_wider_on_both_pieces_and_their_shoulders_still_match(wider: float) -> None:
    run = altered(GARMENT, f"neckline piece=Front amount=0mm wider='{wider} mm'")
    for old in (FRONT, BACK):
        new = of(run, old.name)
        assert long(new, "shoulder") == pytest.approx(long(old, "shoulder") - wider, abs=1e-6)
        assert corner(new, "neck point", "shoulder") == pytest.approx(90, abs=0.1)
        assert corner(new, "neck centre", "fold") == pytest.approx(90, abs=0.1)
        assert kink(new, old) < 0.1
        stays(old, new, "armhole", "side seam", "hem", "fold")
    assert unmatched(run) == []


def test_it_can_be_asked_for_the_depth() -> None:
    new = of(altered(GARMENT, "neckline piece=Front depth=100mm"), "Front")
    assert (new.landmark("neck centre") - new.landmark("neck point")).imag == pytest.approx(100, abs=1e-6)


def test_turned_and_mirrored_it_does_the_same() -> None:
    lies_alike("neckline piece=Front amount=20mm wider=8mm")
