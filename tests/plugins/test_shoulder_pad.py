"""shoulder-pad: tips up by half the pad, the cap by all of it; what lies below the notches stays.

Closed forms are common practice (half to the front, half to the back), from memory, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.refusal import Refusal
from tests.plugins.running import INCH, value
from tests.plugins.shoulders import CAP, assert_still, garment, kink, length, named, run

SIDES = ("Front", "Back")


@pytest.mark.parametrize("thick", [INCH / 2, INCH / 4, -INCH / 2])
@pytest.mark.parametrize("out", [0.0, 5.0])
def test_tips_and_cap_go_up_together(thick, out):
    before = garment()
    done = run(f"shoulder-pad amount='{thick} mm' out='{out} mm'", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        way = -1 if name == "Front" else 1  # away from the centre
        assert new.landmark("shoulder tip") == pytest.approx(
            old.landmark("shoulder tip") + complex(way * out, -thick / 2)
        )
        # 110 mm across and 40 down before: Pythagoras.
        assert length(new.edge("shoulder")) == pytest.approx(math.hypot(110 + out, 40 - thick / 2), abs=1e-6)
        assert_still(old, new, "armhole", "shoulder")
        assert_below_stays(old, new, "armhole")
        assert kink(new.edge("armhole").curve) < 0.1
    sleeve = named(done, "Sleeve")
    assert value(done, "cap height") == pytest.approx(140 + thick, abs=1e-6)
    assert_still(before[0], sleeve, "cap")
    assert_below_stays(before[0], sleeve, "cap")
    assert kink(sleeve.edge("cap").curve) < 0.1
    assert done.steps[0].got["Sleeve cap ease"] == pytest.approx(
        length(sleeve.edge("cap")) - sum(length(named(done, name).edge("armhole")) for name in SIDES), abs=1e-5
    )


def assert_below_stays(old, new, edge):
    """Hold that what lies below the lowest notches of an edge is where it was."""
    curve = old.edge(edge).curve
    at = sorted(curve.nearest(mark.at)[0] for mark in old.notches(edge))
    ends = [(0.0, at[0])] + ([(at[-1], float(len(curve)))] if edge == "cap" else [])
    for a, b in ends:
        places = curve.points(np.linspace(a, b, 15)).tolist()
        assert max(new.edge(edge).curve.nearest(place)[1] for place in places) < 1e-6


def test_straight_up_the_armhole_gains_half_the_pad():
    before = garment()
    done = run("shoulder-pad amount='1/2 in'", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        # Above the notch the armhole runs along the grain but for the bend at its foot.
        gained = length(named(done, name).edge("armhole")) - length(old.edge("armhole"))
        assert gained == pytest.approx(INCH / 4, abs=0.05)


def test_the_cap_height_to_end_with_and_there_and_back():
    before = garment(dart=True)
    done = run("shoulder-pad height='150 mm'", before)
    assert value(done, "cap height") == pytest.approx(150, abs=1e-6)
    back = run("shoulder-pad height='140 mm'", done.after)
    # The movement is led over the edge by its length, which is not the same on the way back.
    assert length(named(back, "Sleeve").edge("cap")) == pytest.approx(CAP.length(), abs=0.2)
    assert sewn_length(named(back, "Back"), "shoulder") == pytest.approx(sewn_length(before[2], "shoulder"), abs=1e-5)


@pytest.mark.parametrize(
    ("step", "count", "says"),
    [
        ("shoulder-pad amount='-5 in'", 3, "over its notches"),
        ("shoulder-pad amount='5 mm'", 1, "no front or back"),
    ],
)
def test_refusals_say_why(step, count, says):
    with pytest.raises(Refusal) as refused:
        run(step, garment()[:count])
    assert says in refused.value.line()
