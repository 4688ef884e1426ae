"""shoulder-width: the seam longer or shorter, the armhole's length kept by the hinge, or redrawn down to the notch.

Closed forms are common practice (a part swung about a hinge keeps its lengths), from memory, no source.
"""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.refusal import Refusal
from tests.plugins.running import INCH
from tests.plugins.shoulders import assert_still, garment, kink, length, named, run

SIDES = ("Front", "Back")
ROUNDED = 0.1
"""What rounding the hinge's kink may cost the armhole, mm."""


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2, INCH / 8])
@pytest.mark.parametrize("dart", [False, True])
def test_by_the_cut_the_armhole_keeps_its_length(amount, dart):
    before = garment(dart=dart)
    done = run(f"shoulder-width amount='{amount} mm'", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        assert sewn_length(new, "shoulder") == pytest.approx(sewn_length(old, "shoulder") + amount, abs=1e-5)
        assert length(new.edge("armhole")) == pytest.approx(length(old.edge("armhole")), abs=ROUNDED)
        assert done.steps[0].got[f"{name} armhole"] == pytest.approx(length(new.edge("armhole")), abs=1e-6)
        assert_still(old, new, "armhole", "shoulder")
        assert kink(new.edge("armhole").curve) <= kink(old.edge("armhole").curve) + 0.1
        # The tip swings about the hinge, the notch: its distance from there stays.
        hinge = old.notches("armhole")[0].at
        tips = [piece.landmark("shoulder tip") for piece in (old, new)]
        assert abs(tips[1] - hinge) == pytest.approx(abs(tips[0] - hinge), abs=1e-6)
        assert (abs(tips[1].real) < abs(tips[0].real)) == (amount > 0), "away from the centre"
        assert [(dart.apex, dart.end) for dart in new.darts] == [(dart.apex, dart.end) for dart in old.darts]


def test_without_a_dart_the_shoulder_is_one_straight_line():
    new = named(run("shoulder-width amount='1/2 in'"), "Front")
    assert new.edge("shoulder").curve.is_straight(1e-9)


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2])
@pytest.mark.parametrize("dart", [False, True])
def test_redrawn_the_tip_moves_along_the_seam(amount, dart):
    before = garment(dart=dart)
    done = run(f"shoulder-width amount='{amount} mm' how=redraw", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        assert sewn_length(new, "shoulder") == pytest.approx(sewn_length(old, "shoulder") + amount, abs=1e-6)
        assert_still(old, new, "armhole", "shoulder")
        line = old.edge("shoulder").from_front()
        step = new.landmark("shoulder tip") - line.start
        assert step == pytest.approx(-amount * line.tangent(0.0), abs=1e-6)
        below = old.edge("armhole").curve.nearest(old.notches("armhole")[0].at)[0]
        places = old.edge("armhole").curve.points(np.linspace(0, below, 20)).tolist()
        assert max(new.edge("armhole").curve.nearest(at)[1] for at in places) < 1e-6
        assert [one.apex for one in new.darts] == [one.apex for one in old.darts]


def test_the_width_to_end_with_and_there_and_back():
    before = garment()
    done = run("shoulder-width width='125 mm'", before)
    assert length(named(done, "Front").edge("shoulder")) == pytest.approx(125, abs=1e-5)
    back = run(f"shoulder-width width='{length(before[1].edge('shoulder'))} mm'", done.after)
    for old, new in zip(before, back.after, strict=True):
        for a, b in zip(old.edges, new.edges, strict=True):
            assert abs(a.curve.start - b.curve.start) < 0.05


@pytest.mark.parametrize(
    ("step", "count", "says"),
    [
        ("shoulder-width amount='-3 in'", 3, "take off less than"),
        ("shoulder-width amount='5 mm'", 1, "none of the pieces"),
    ],
)
def test_refusals_say_the_range(step, count, says):
    with pytest.raises(Refusal) as refused:
        run(step, garment()[:count])
    assert says in refused.value.line()
