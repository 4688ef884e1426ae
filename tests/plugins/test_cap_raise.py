"""cap-raise: what it must show."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.fitting.garments import notched
from tests.fitting.sleeves import Shape, sleeve, straight_cap
from tests.shapes.garments import garment

from .running import INCH, refused_line, run_steps, value

FIVE_INCHES = Shape(height=5 * INCH)


def test_height_is_reached_and_the_same_by_amount() -> None:
    by_height = run_steps((sleeve(FIVE_INCHES),), 'cap-raise height="6 in"')
    assert value(by_height, "cap height", before=True) == pytest.approx(5 * INCH, abs=1e-9)
    assert value(by_height, "cap height") == pytest.approx(6 * INCH, abs=0.001 * INCH)
    by_amount = run_steps((sleeve(FIVE_INCHES),), 'cap-raise amount="1 in"')
    for one, other in zip(by_height.after, by_amount.after, strict=True):
        assert np.allclose(one.edge("cap").curve.segments, other.edge("cap").curve.segments, atol=1e-9, rtol=0)
    assert by_height.steps[0].got["cap height"] == pytest.approx(6 * INCH, abs=0.001 * INCH)


def test_underarm_points_and_the_cap_below_the_notches_stay() -> None:
    run = run_steps((sleeve(FIVE_INCHES),), 'cap-raise height="6 in"')
    (before,), (after,) = run.before, run.after
    for name in ("underarm front", "underarm back"):
        assert abs(before.landmark(name) - after.landmark(name)) < 1e-6
    old, new = before.edge("cap").curve, after.edge("cap").curve
    notches = [mark.at for mark in before.notches("cap") if mark.at is not None]
    front = max(notches, key=lambda at: at.real)
    back = max((at for at in notches if at.real < 0), key=lambda at: -at.imag)
    lower_front = old.subcurve(0, old.nearest(front)[0])
    lower_back = old.subcurve(old.nearest(back)[0], len(old))
    for stretch in (lower_front, lower_back):
        for point in stretch.points(np.linspace(0, len(stretch), 50)):
            assert new.nearest(complex(point))[1] < 1e-6


def test_straight_sided_cap_stays_straight_and_gains_less_than_twice_the_raise() -> None:
    """Half width 7 in, height 6 in: arithmetic of right-angled triangles, common practice, no source."""
    h = 0.5 * INCH
    before = sleeve(Shape(), cap=straight_cap(7 * INCH, 6 * INCH), notches=False)
    run = run_steps((before,), 'cap-raise amount="1/2 in" at="2 in"')
    (piece,) = run.after
    length = piece.edge("cap").curve.length()
    old = 2 * math.hypot(7, 6) * INCH
    assert value(run, "cap length", before=True) == pytest.approx(old, abs=1e-6)
    assert length == pytest.approx(2 * math.hypot(7 * INCH, 6 * INCH + h), abs=1e-6)
    assert length < old + 2 * h
    assert sum(opening.gain for opening in run.openings) == pytest.approx(length - old, abs=1e-6)


def test_lowering_overlaps_and_is_measured() -> None:
    run = run_steps((sleeve(Shape()),), 'cap-raise amount="-3/8 in"')
    assert value(run, "cap height") == pytest.approx(140 - 0.375 * INCH, abs=1e-9)
    assert all(opening.width == pytest.approx(-0.375 * INCH) for opening in run.openings)
    assert value(run, "cap length") < value(run, "cap length", before=True)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        ('cap-raise amount="1 in" at="7 in"', "runs outside the cap"),
        ('cap-raise amount="1 in" at="-1 in"', "runs outside the cap"),
        ('cap-raise amount="-4 in"', "below its higher notch"),
        ('cap-raise amount="-2 in" at="4 1/2 in"', "larger than the part above the slash"),
        ('cap-raise amount="-1 in" at="2 1/4 in"', "reach over a notch"),
        ('cap-raise height="30 in"', "more than any arm"),
        ('cap-raise amount="20 in"', "more than any arm"),
        ('cap-raise height="1 in"', "below its higher notch"),
        ("cap-raise", "amount or height"),
        ('cap-raise amount="1 in" height="6 in"', "exclude each other"),
        ('cap-raise amount="1"', "unit"),
        ('cap-raise amount="1 in" hight="6 in"', "height"),
        ('cap-rise amount="1 in"', "cap-raise"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str) -> None:
    assert what in refused_line((sleeve(Shape()),), step)


def test_a_raise_of_nothing_says_so() -> None:
    run = run_steps((sleeve(Shape()),), 'cap-raise amount="0 in"')
    assert run.after == run.before
    assert any("already" in warning for warning in run.warnings)


@pytest.mark.parametrize("amount", ["1/4 in", "-1/4 in", "1/2 in"])
def test_notches_right_under_the_cap_top_do_not_squeeze_the_slash(amount: str) -> None:
    """As in a nest drawn on one layer, where the ticks of every size stand on the one sleeve."""
    one = garment(0)
    top = one.sleeve.edge("cap").from_front().nearest(one.sleeve.landmark("cap top"))[0]
    along = one.sleeve.edge("cap").from_front().length_between(0.0, top)
    crowded = notched(one.sleeve, "cap", along - 2.0, along - 1.5, along + 3.0)
    plain, run = (run_steps((piece,), f"cap-raise amount='{amount}'") for piece in (one.sleeve, crowded))
    assert not run.warnings
    new, usual = (each.after[0].edge("cap").curve for each in (run, plain))
    assert new.length() == pytest.approx(usual.length(), abs=0.5)
    assert [opening.at for opening in run.openings] == pytest.approx([one.at for one in plain.openings], abs=0.1)
