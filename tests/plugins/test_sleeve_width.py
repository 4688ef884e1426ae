"""sleeve-width: each level by what was asked, straight seams straight, bicep and cap as drawn."""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.piece import Piece
from svgfit.testing.assertions import assert_smooth, assert_unchanged
from svgfit.testing.garments import sleeve
from tests.shapes.garments import Garment, garments

from .running import INCH, refused_line, run_steps

GARMENTS = garments(40)


def done(piece: Piece, step: str) -> Piece:
    return run_steps((piece,), step).after[0]


def across(piece: Piece, level: float) -> float:
    """Between the seams at a level, from many points of them."""
    sides: list[float] = []
    for name in ("underarm front", "underarm back"):
        curve = piece.edge(name).from_front()
        points = curve.points(np.linspace(0, len(curve), 3001))
        sides.append(float(np.interp(level, points.imag, points.real)))
    return sides[0] - sides[1]


@pytest.mark.parametrize("one", GARMENTS, ids=lambda one: str(one.number))
@pytest.mark.parametrize("amount", [1.0, -1.5])
def test_the_hem_by_half_at_each_seam(one: Garment, amount: float) -> None:
    """amount/2 at each underarm seam (common practice, no source); a straight seam stays one straight line."""
    old, new = one.sleeve, done(one.sleeve, f"sleeve-width amount='{amount} in'")
    assert_unchanged(old, new, "cap")
    for mark in ("cap top", "underarm front", "underarm back"):
        assert new.landmark(mark) == old.landmark(mark)
    corners = [old.edge("hem").curve.start, old.edge("hem").curve.end]
    wide = abs(corners[0].real - corners[1].real)
    assert abs(new.edge("hem").curve.start.real - new.edge("hem").curve.end.real) == pytest.approx(
        wide + amount * INCH, abs=1e-9
    )
    for name, way in (("underarm front", 1), ("underarm back", -1)):
        seam = old.edge(name).from_front()
        assert sewn_length(new, name) == pytest.approx(abs(seam.end + way * amount * INCH / 2 - seam.start), abs=1e-6)
        assert new.edge(name).curve.is_straight(1e-9)


def test_levels_are_reached_exactly_and_smoothly_between() -> None:
    old = sleeve()
    new = done(old, "sleeve-width elbow='1 in' forearm='-1/2 in' hem='-1 in' elbow-at='8 in' forearm-at='12 in'")
    seam = old.edge("underarm front").from_front()
    for at, by in ((8, 1.0), (12, -0.5)):
        level = seam.point(seam.at_length(at * INCH)).imag
        assert across(new, level) - across(old, level) == pytest.approx(by * INCH, abs=0.01)
    assert_unchanged(old, new, "cap")
    for name in ("underarm front", "underarm back"):
        assert_smooth(new, name, turn=0.1)
    assert sewn_length(new, "underarm front") == pytest.approx(sewn_length(new, "underarm back"), abs=1e-6)


def test_the_width_to_end_with() -> None:
    new = done(sleeve(), "sleeve-width width='10 in' at=elbow elbow-at='8 in'")
    seam = sleeve().edge("underarm front").from_front()
    assert across(new, seam.point(seam.at_length(8 * INCH)).imag) == pytest.approx(10 * INCH, abs=0.01)
    assert_unchanged(sleeve(), new, "cap", "hem")


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("sleeve-width", "nothing is asked"),
        ("sleeve-width amount='1 in' hem='1 in'", "amount= and values a level"),
        ("sleeve-width elbow='1 in'", "where the elbow lies is not drawn"),
        ("sleeve-width elbow='1 in' elbow-at='60 in'", "down the underarm"),
        ("sleeve-width elbow='1 in' forearm='1 in' elbow-at='5 in' forearm-at='5 in'", "name only one"),
        ("sleeve-width amount='-8 in'", "taken in by less than"),
        ("sleeve-width amount='20 in'", "can move by"),
    ],
)
def test_what_can_not_be_done_is_refused(step: str, words: str) -> None:
    assert words in refused_line((sleeve(),), step)
