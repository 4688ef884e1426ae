"""Caps of nine constructions redrawn: continuous, monotone, from the drawn edge; ease parted as drawn; all told."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pytest

from svgfit.app.run_plan import run_plan
from svgfit.fitting.cap_shape import displacement
from svgfit.geometry.curve import Curve
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from svgfit.plugin.registry import open_registry
from tests.plugins.running import value
from tests.plugins.stock import stock
from tests.shapes.garments import COUNT, Garment, garment
from tests.shapes.promises import humps, turned_within_half_an_inch

REDRAW = stock("operations/cap_redraw", "redraw")
CapEdge = REDRAW.CapEdge
prepare_cap = REDRAW.prepare_cap
redraw_cap = REDRAW.redraw_cap
redraw_halves = REDRAW.redraw_halves
with_redrawn_cap = REDRAW.with_redrawn_cap

EVERY = pytest.mark.parametrize(
    "number", [pytest.param(k, marks=() if k == 4 else pytest.mark.slow) for k in range(18)]
)
SPLITS = pytest.mark.parametrize("share_front", [0.3, 0.5, 0.6])


def ended(one: Garment, **wanted: float) -> SizeRun:
    """A run that reaches ends (mm)."""
    asked = tuple((name.replace("_", " "), f"{figure:.6f} mm") for name, figure in wanted.items())
    ends = (Step("", "Sleeve", asked),)
    return run_plan(one.pieces, one.seams, Plan((), "--ends", ends=ends), open_registry())


def stepped(one: Garment, *steps: str) -> SizeRun:
    return run_plan(one.pieces, one.seams, Plan.from_steps(*steps), open_registry())


def cap_of(one: Garment, *, whole: bool = True) -> CapEdge:
    return prepare_cap(one.sleeve, whole=whole)


def apart(one: Curve, other: Curve) -> float:
    """How far the second lies off the first, by points looked up one by one."""
    return max(one.nearest(complex(point))[1] for point in other.points(np.linspace(0, len(other), 120)))


@EVERY
def test_nothing_asked_changes_nothing_and_next_to_nothing_next_to_nothing(number: int) -> None:
    cap = cap_of(garment(number))
    still = redraw_cap(cap, 0.0)
    assert still is not None
    assert np.array_equal(still.curve.segments, cap.curve.segments)
    for gain in (-0.02, 0.02):
        new = redraw_cap(cap, gain)
        assert new is not None
        assert apart(cap.curve, new.curve) < 1.5 * abs(gain) + 0.02


@EVERY
@pytest.mark.parametrize("whole", [True, False], ids=["whole", "notches"])
def test_neighbours_in_amount_are_neighbours_in_shape_and_more_moves_further(number: int, whole: bool) -> None:
    """Half a millimetre apart the whole caps lie at most three quarters apart; each moves further than the last."""
    cap = cap_of(garment(number), whole=whole)
    for sign in (1, -1):
        before, far = cap.curve, 0.0
        for amount in np.arange(0.5, 6.6 if number else 19.1, 0.5 if number < 9 else 2.0).tolist():
            new = redraw_cap(cap, sign * amount)
            if new is None:
                assert sign < 0 or not whole
                break
            step = amount if before is cap.curve else 0.5 if number < 9 else 2.0
            assert apart(before, new.curve) <= (1.5 if whole else 2.5) * step + 0.04
            off = displacement(cap.curve, new.curve)
            assert max(off.inwards, off.outwards) > far - 0.01
            before, far = new.curve, max(off.inwards, off.outwards)


@EVERY
def test_there_and_back_again_ends_within_half_a_millimetre(number: int) -> None:
    cap = cap_of(garment(number))
    there = redraw_cap(cap, 6.35)
    assert there is not None
    back = redraw_cap(prepare_cap(with_redrawn_cap(cap, there), whole=True), -6.35)
    assert back is not None
    assert apart(cap.curve, back.curve) < 0.5
    assert back.curve.length() == pytest.approx(cap.curve.length(), abs=1e-4)


@pytest.mark.parametrize(
    "number", [pytest.param(k, marks=() if k == 4 else pytest.mark.slow) for k in range(0, COUNT, 4)]
)
def test_far_inwards_is_told_and_so_is_every_hollow(number: int) -> None:
    one = garment(number)
    cap = cap_of(one)
    for amount in (-19, -8, -3, 3, 8, 19) if number else (8, 19):
        new = redraw_cap(cap, amount)
        if new is None:
            with pytest.raises(Refusal, match=r"out of reach|cross another edge"):
                stepped(one, f"cap-redraw amount='{amount} mm' within=whole")
            continue
        run = stepped(one, f"cap-redraw amount='{amount} mm' within=whole")
        after = run.after[0].edge("cap").from_front()
        inwards = max(
            away
            for point in after.points(np.linspace(0, len(after), 200))
            for t, away in [cap.curve.nearest(complex(point))]
            if ((point - cap.curve.point(t)).conjugate() * cap.curve.tangent(t)).imag > 0 or away == 0
        )
        assert run.steps[0].got["furthest inwards"] == pytest.approx(inwards, abs=0.3)
        if inwards > 5:
            assert any("inwards, more than" in text for text in run.warnings)
        if humps(after) > humps(cap.curve):
            assert any("a hollow or hump that it did not have" in text for text in run.warnings)


@SPLITS
@pytest.mark.parametrize("number", [0, *(pytest.param(k, marks=pytest.mark.slow) for k in range(1, 9))])
def test_ease_up_and_down_leaves_the_split_as_drawn(number: int, share_front: float) -> None:
    one = garment(number, share_front=share_front, ease=20.0)
    for inches in (0.125, -0.125, 0.25, 0.5, 1.0):
        end = 20.0 + 25.4 * inches
        try:
            run = stepped(one, f"cap-redraw ease='{end} mm' within=whole outwards='1 in' inwards='1 in'")
        except Refusal:
            assert inches in (1.0, -0.125)
            continue
        assert value(run, "cap ease") == pytest.approx(end, abs=0.01)
        assert value(run, "cap ease back") / end == pytest.approx(1 - share_front, abs=0.01)


@SPLITS
@pytest.mark.parametrize("number", [1, *(pytest.param(k, marks=pytest.mark.slow) for k in (2, 3, 5, 7))])
def test_raised_and_lowered_with_its_ease_kept_the_split_is_as_drawn(number: int, share_front: float) -> None:
    one = garment(number, share_front=share_front, ease=20.0)
    height = value(stepped(one), "cap height")
    for up in (6.35, -6.35):
        run = ended(one, cap_height=height + up, cap_ease=20.0)
        if all(check.status == "pass" for check in run.checks):
            assert value(run, "cap ease back") / 20.0 == pytest.approx(1 - share_front, abs=0.01)
            after, before = (pieces[0].edge("cap").from_front() for pieces in (run.after, run.before))
            assert turned_within_half_an_inch(after) < max(30.0, 2.2 * turned_within_half_an_inch(before))


def test_a_cap_split_30_to_70_takes_an_eighth_of_an_inch_more_between_its_notches() -> None:
    """With the ease to be shared half and half it is out of reach, and the refusal says that it is for the share."""
    one = garment(0, share_front=0.3, ease=20.0)
    run = stepped(one, "cap-redraw ease='23.175 mm'")
    assert value(run, "cap ease back") == pytest.approx(0.7 * 23.175, abs=0.01)
    far = stepped(one, "cap-redraw ease='33 mm' within=whole")
    assert 1 < far.steps[0].got["shoulder notch towards the front"] < 5
    with pytest.raises(Refusal) as refused:
        stepped(garment(4, share_front=0.3, ease=30.0), "cap-redraw ease='31 mm' share-back=0.2")
    assert "with 0.2 of it in the back" in refused.value.line()
    assert "leave share-back out and keep the parts as drawn (0.70 of it in the back)" in refused.value.line()


@pytest.mark.parametrize("number", [4, *(pytest.param(k, marks=pytest.mark.slow) for k in (1, 3, 13, 22))])
def test_the_range_told_holds_what_the_cap_has_and_can_be_had(number: int) -> None:
    one = garment(number)
    for end in (-60, 300):
        with pytest.raises(Refusal) as refused:
            stepped(one, f"cap-redraw ease='{end} mm' within=whole")
        line = refused.value.line()
        found = re.search(r"reaches (-?[\d.]+) mm .*? to (-?[\d.]+) mm", line)
        assert found, line
        low, high = float(found[1]), float(found[2])
        assert low <= one.ease <= high
        for there in (low, high):
            run = stepped(one, f"cap-redraw ease='{there} mm' within=whole outwards='5 in' inwards='5 in'")
            assert value(run, "cap ease") == pytest.approx(there, abs=0.01)


def test_what_the_cap_has_is_no_end_to_refuse() -> None:
    one = garment(4, share_front=0.3)
    run = stepped(one, f"cap-redraw ease='{one.ease:.4f} mm'")
    assert value(run, "cap ease") == pytest.approx(one.ease, abs=1e-3)


def test_an_end_met_by_a_cap_that_cannot_be_sewn_is_no_pass() -> None:
    one = garment(3, ease=15.0)
    (check,) = stepped(one, "cap-redraw ease='44 mm' outwards='9 in' inwards='9 in'").checks
    assert check.status == "fail"
    assert "when all steps are done, but by a cap that can't be sewn: it " in check.message


@pytest.mark.parametrize("sides", [(-4.0, 9.0), (0.0, 0.0)])
def test_an_ease_without_parts_to_keep_gives_each_half_of_the_change(sides: Sequence[float]) -> None:
    one = garment(0, share_front=0.5, ease=0.0)
    aside = (sides[1] - sides[0]) / 2
    cap = cap_of(one)
    if aside:  # the armholes' parts stay, the cap's halves change
        new = redraw_halves(cap, sides[0], sides[1])
        assert new is not None
        one = garment(0, share_front=0.5, ease=0.0)
        pieces = (with_redrawn_cap(cap, new), *one.pieces[1:])
    else:
        pieces = one.pieces
    run = run_plan(pieces, one.seams, Plan.from_steps("cap-redraw amount='4 mm' within=whole"), open_registry())
    for side in ("front", "back"):
        now = value(run, f"cap ease {side}") - value(run, f"cap ease {side}", before=True)
        assert now == pytest.approx(2.0, abs=0.01)
    assert any("gives no parts to keep" in text for text in run.warnings) == bool(aside)
