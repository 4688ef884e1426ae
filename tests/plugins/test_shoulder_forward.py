"""shoulder-forward: the wedge that the front loses and the back gains, on shoulders of known shape.

Closed forms are common practice (a wedge of paper cut off and taped on), from memory, no source.
"""

from __future__ import annotations

import math

import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.refusal import Refusal
from tests.plugins.running import INCH, value
from tests.plugins.shoulders import assert_still, garment, kink, length, named, run


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2, INCH / 8])
def test_the_front_loses_what_the_back_gains(amount):
    before = garment(slope=0.0)
    done = run(f"shoulder-forward amount='{amount} mm'", before)
    sleeve, front, back = (named(done, name) for name in ("Sleeve", "Front", "Back"))
    assert length(front.edge("armhole")) == pytest.approx(length(before[1].edge("armhole")) - amount, abs=1e-6)
    assert length(back.edge("armhole")) == pytest.approx(length(before[2].edge("armhole")) + amount, abs=1e-6)
    # The armhole ends in a straight line along the grain: the new seam by Pythagoras, 110 mm across.
    assert length(front.edge("shoulder")) == pytest.approx(math.hypot(110, amount), abs=1e-6)
    assert length(back.edge("shoulder")) == pytest.approx(length(front.edge("shoulder")), abs=1e-6)
    assert kink(front.edge("armhole").curve) < 0.1
    assert kink(back.edge("armhole").curve) < 0.1
    for old, new in zip(before[1:], (front, back), strict=True):
        assert_still(old, new, "armhole", "shoulder")
        assert new.landmark("shoulder tip") == new.edge("shoulder").curve.start
    assert_still(before[0], sleeve, "cap")
    for name in ("cap ease", "cap ease front", "cap ease back", "cap length"):
        assert value(done, name) == pytest.approx(value(done, name, before=True), abs=1e-6)
    assert done.steps[0].got["Back armhole"] == pytest.approx(length(back.edge("armhole")), abs=1e-6)


def test_notches_stay_and_the_shoulder_notch_goes():
    before = garment()
    done = run("shoulder-forward amount='1/2 in'", before)
    for old, new in zip(before, (named(done, name) for name in ("Sleeve", "Front", "Back")), strict=True):
        assert [one.at for one in old.marks if one.kind == "notch"] == [
            one.at for one in new.marks if one.kind == "notch"
        ]
    old, new = (piece.landmark("shoulder notch") for piece in (before[0], named(done, "Sleeve")))
    assert new.real > old.real, "the front of a sleeve is towards +x"
    assert value(done, "cap length front") == pytest.approx(value(done, "cap length front", before=True) - INCH / 2)


def test_the_back_s_dart_keeps_tip_and_angle():
    before = garment(dart=True)
    done = run("shoulder-forward amount='10 mm'", before)
    old, new = before[2], named(done, "Back")
    assert sewn_length(new, "shoulder") == pytest.approx(length(named(done, "Front").edge("shoulder")), abs=0.05)
    (dart,), (was,) = new.darts, old.darts
    assert dart.apex == was.apex
    assert abs(dart.start - dart.apex) == pytest.approx(abs(dart.end - dart.apex), abs=1e-6)
    for a, b in ((dart.start, was.start), (dart.end, was.end)):
        assert abs(((a - was.apex) / (b - was.apex)).imag) < 1e-9, "the legs are drawn on"
    assert new.edge("shoulder").curve.nearest(dart.start)[1] < 1e-6


def test_the_front_armhole_to_end_with():
    before = garment()
    asked = length(before[1].edge("armhole")) - 7
    done = run(f"shoulder-forward front-armhole='{asked} mm'", before)
    assert length(named(done, "Front").edge("armhole")) == pytest.approx(asked, abs=1e-6)


def test_forward_and_back_again_is_where_it_was():
    before = garment()
    there = run("shoulder-forward amount='9 mm'", before)
    back = run("shoulder-forward amount='-9 mm'", there.after)
    for old, new in zip(before, back.after, strict=True):
        assert [length(edge) for edge in new.edges] == pytest.approx([length(edge) for edge in old.edges], abs=1e-5)


def test_at_the_neck_too():
    before = garment()
    done = run("shoulder-forward amount='6 mm' neck='4 mm'", before)
    front, back = named(done, "Front"), named(done, "Back")
    for old, new, by in ((before[1], front, -4), (before[2], back, 4)):
        gained = length(new.edge("neckline")) - length(old.edge("neckline"))
        assert gained == pytest.approx(by, abs=0.02), "to rounding where the neckline is trued at the old seam"
    assert length(front.edge("shoulder")) == pytest.approx(length(back.edge("shoulder")), abs=1e-6)


def test_a_bent_meeting_is_trued_and_a_corner_is_told():
    before = garment(slope=6.0)  # the armholes meet with a bend of twice the seam's slope
    done = run("shoulder-forward amount='1/2 in'", before)
    assert kink(named(done, "Back").edge("armhole").curve) < 0.1
    assert [one.piece for one in done.openings] == ["Back"]
    gained = length(named(done, "Back").edge("armhole")) - length(before[2].edge("armhole"))
    assert gained == pytest.approx(INCH / 2, abs=0.5)
    assert done.openings[0].gain == pytest.approx(gained - INCH / 2, abs=1e-6)
    assert not run("shoulder-forward amount='1/2 in'", garment(slope=0.0)).openings
    assert any(
        "has a corner at the old shoulder seam" in text
        for text in run("shoulder-forward amount='1/2 in'", garment(slope=40.0)).warnings
    )


@pytest.mark.parametrize(
    ("step", "count", "says"),
    [
        ("shoulder-forward amount='6 in'", 3, "ask for less than"),
        ("shoulder-forward amount='-6 in'", 3, "ask for less than"),
        ("shoulder-forward amount='5 mm'", 1, "no front sewn to a back"),
    ],
)
def test_refusals_say_the_range(step, count, says):
    with pytest.raises(Refusal) as refused:
        run(step, garment()[:count])
    assert says in refused.value.line()
