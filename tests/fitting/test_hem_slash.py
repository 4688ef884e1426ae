"""What else makes a cap edge longer; and the slash engine on cuts whose outcome is known."""

from __future__ import annotations

import math

import pytest

from svgfit.fitting.hem_slash import hem_slash, raise_needed, widening_needed
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import SpreadPiece, spread
from svgfit.fitting.truing import true
from svgfit.geometry.affine import Affine

from .sleeves import Shape, sleeve, straight_cap

INCH = 25.4


def cap_cut_ends(parted: SpreadPiece) -> tuple[complex, complex]:
    """The cut end that stayed and the one that moved."""
    stays, moves = sorted(parted.fragments[0], key=lambda fragment: fragment.moved)
    ends = [(a, b) for a in (stays.curve.start, stays.curve.end) for b in (moves.curve.start, moves.curve.end)]
    return min(ends, key=lambda pair: abs(pair[0] - pair[1]))


def test_the_centre_cut_of_a_straight_cap_opened_by_half_an_inch_raises_it() -> None:
    """Half width 7, height 6; each half turned 2.333° about its underarm point opens 1/2 in all, and rises 0.280.

    By plain trigonometry: the top lies √85 from each underarm point; turned by 2.333° it moves 0.2500 sideways and
    0.2799 up.
    """
    front, back = (7 * INCH + 0j, -7 * INCH + 0j)
    top = -6j * INCH
    piece = sleeve(
        Shape(front=7 * INCH, back=7 * INCH, height=6 * INCH), straight_cap(7 * INCH, 6 * INCH), notches=False
    )
    angle = math.radians(2.333)
    moved: list[complex] = []
    for hinge, way in ((front, 1), (back, -1)):
        # Down the centre line, then level to the hinge: the half of the cap above the bicep line turns.
        near = hinge + 0.02 * (top - hinge)
        slash = Slash((top - 10j, 0j, hinge), moves=near, hinge=hinge)
        parted = spread(piece, slash, Affine.turn(way * angle, hinge))
        stayed, came = cap_cut_ends(parted)
        assert abs(stayed - top) < 1e-6
        moved.append(came)
    opening = moved[0].real - moved[1].real
    assert opening / INCH == pytest.approx(0.5, abs=5e-4)
    for came in moved:
        assert (-came.imag - 6 * INCH) / INCH == pytest.approx(0.280, abs=5e-4)


def test_the_hem_slash_brings_the_length_and_costs_the_bicep_by_similar_triangles() -> None:
    piece = sleeve(Shape())
    found = hem_slash(piece, 9.0)
    assert found is not None
    assert found.opening == pytest.approx(9.0, abs=0.2)
    # Seen from the hinge the bicep's middle lies at 430 of the 570 mm to the cap top.
    middle = found.opening * 430 / 570
    assert found.bicep == pytest.approx(middle, abs=0.05)
    left, right = sorted(found.sides(), key=lambda point: point.real)
    assert right.real - left.real == pytest.approx(found.opening, abs=1e-6)
    assert abs((left + right) / 2 - found.top) < 0.1


def test_the_slash_engine_really_gives_what_the_hem_slash_says() -> None:
    piece = sleeve(Shape(), notches=False)
    found = hem_slash(piece, 12.0)
    assert found is not None
    from msgspec.structs import replace

    plain = replace(piece, landmarks=tuple(mark for mark in piece.landmarks if mark.name != "cap top"))
    slash = Slash((found.top - 50j, found.hinge), moves=piece.landmark("underarm back"), hinge=found.hinge)
    after, openings = true(spread(plain, slash, Affine.turn(-found.angle, found.hinge)), reach=2 * found.opening)
    assert [opening.width for opening in openings] == pytest.approx([found.opening], abs=1e-6)
    gained = after.edge("cap").curve.length() - piece.edge("cap").curve.length()
    assert gained == pytest.approx(12.0, abs=0.5)


def test_nothing_to_gain_needs_no_slash() -> None:
    assert hem_slash(sleeve(Shape()), 0.0) is None
    assert hem_slash(sleeve(Shape()), -3.0) is None


def test_raising_the_cap_by_what_is_said_brings_the_length() -> None:
    piece = sleeve(Shape())
    up = raise_needed(piece, 10.0)
    assert up is not None
    points = 400 - 96.6j, -400 - 96.6j
    after, _ = true(spread(piece, Slash(points, moves=piece.landmark("cap top")), Affine.shift(-1j * up)))
    assert after.edge("cap").curve.length() - piece.edge("cap").curve.length() == pytest.approx(10.0, abs=0.5)


def test_widening_by_what_is_said_brings_the_length() -> None:
    """On a straight cap by Pythagoras."""
    piece = sleeve(Shape(front=177.8, back=177.8, height=152.4), straight_cap(177.8, 152.4), notches=False)
    by = widening_needed(piece, 10.0)
    assert by is not None
    was, now = math.hypot(177.8, 152.4), math.hypot(177.8 + by / 2, 152.4)
    assert 2 * (now - was) == pytest.approx(10.0, abs=0.06)
