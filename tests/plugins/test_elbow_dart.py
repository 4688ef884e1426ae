"""elbow-dart: the wedge by plain trigonometry, both seams as long as they were with the dart closed."""

from __future__ import annotations

import math

import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.piece import Piece
from svgfit.testing.assertions import assert_at_allowance, assert_smooth, assert_unchanged
from svgfit.testing.garments import sleeve, smock
from tests.shapes.garments import Garment, garments

from .running import INCH, refused_line, run_steps

GARMENTS = garments(40)


def done(piece: Piece, step: str) -> Piece:
    return run_steps((piece,), step).after[0]


@pytest.mark.parametrize("one", GARMENTS, ids=lambda one: str(one.number))
def test_a_wedge_of_the_mouth_asked_for(one: Garment) -> None:
    """Chord 2·r·sin(angle/2) at the distance r of the hinge (any table of the circle); the rest: common practice."""
    old, new = one.sleeve, done(one.sleeve, "elbow-dart amount='3/4 in' elbow-at='6 in'")
    (dart,) = new.darts
    assert dart.edge == "underarm back"
    assert abs(dart.end - dart.start) == pytest.approx(0.75 * INCH, abs=1e-9)
    assert abs(dart.start - dart.apex) == pytest.approx(abs(dart.end - dart.apex), abs=1e-9)
    assert dart.apex.real == pytest.approx(
        (old.find_landmark("shoulder notch") or old.landmark("cap top")).real, abs=1e-6
    )
    for seam in ("underarm front", "underarm back"):
        assert sewn_length(new, seam) == pytest.approx(sewn_length(old, seam), abs=1e-6)
        assert_smooth(new, seam, turn=0.1)
    legs = abs(dart.start - dart.apex) + abs(dart.end - dart.apex)
    drawn = new.edge("underarm back").curve.length() - legs
    assert drawn == pytest.approx(sewn_length(old, "underarm back"), abs=1e-6)
    assert_unchanged(old, new, "cap")
    # The seams are straight here: r is how wide the sleeve is at the elbow, and the lower back seam turns by the angle.
    start = old.edge("underarm back").from_front()
    at = start.point(start.at_length(6 * INCH))
    front = old.edge("underarm front").from_front()
    hinge = front.start + (front.end - front.start) * (at.imag - front.start.imag) / (front.end - front.start).imag
    angle = 2 * math.asin(0.75 * INCH / 2 / abs(hinge - at))
    below = new.edge("underarm back").from_front()
    before = old.edge("underarm back").from_front()
    turned = below.tangent(float(len(below)), before=True) / before.tangent(float(len(before)), before=True)
    assert math.atan2(turned.imag, turned.real) == pytest.approx(-angle, abs=1e-9)


def test_how_far_the_hem_swings_can_be_asked() -> None:
    old, new = sleeve(), done(sleeve(), "elbow-dart forward='1 1/4 in' elbow-at='8 in' short='1/2 in'")
    middle = [(piece.landmark("hem front") + piece.landmark("hem back")).real / 2 for piece in (old, new)]
    assert middle[1] - middle[0] == pytest.approx(1.25 * INCH, abs=1e-6)
    (dart,) = new.darts
    mouth = (dart.start + dart.end) / 2
    from_mouth = (dart.apex - mouth) / abs(dart.apex - mouth)
    to_centre = (old.landmark("cap top").real - dart.apex.real) / from_mouth.real
    assert to_centre == pytest.approx(INCH / 2, abs=1e-6)


def test_the_cut_line_lies_at_its_allowance() -> None:
    ran = run_steps(smock().pieces, "elbow-dart amount='1 in' elbow-at='9 in'")
    (piece,) = (one for one in ran.after if one.kind == "sleeve")
    assert_at_allowance(piece)


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("elbow-dart amount='1 in'", "where the elbow lies is not drawn"),
        ("elbow-dart amount='1 in' elbow-at='40 in'", "down the seam"),
        ("elbow-dart amount='6 in' elbow-at='8 in'", "more than 15°"),
        ("elbow-dart forward='6 in' elbow-at='8 in'", "more than 15°"),
    ],
)
def test_what_can_not_be_done_is_refused(step: str, words: str) -> None:
    assert words in refused_line((sleeve(),), step)


def test_a_second_dart_is_refused() -> None:
    new = done(sleeve(), "elbow-dart amount='1 in' elbow-at='8 in'")
    assert "already" in refused_line((new,), "elbow-dart amount='1 in' elbow-at='8 in'")
