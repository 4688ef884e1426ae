"""shoulder-slope: the tip higher or lower, the neck kept, the armhole moved along or redrawn.

Closed forms are common practice (a tracing slid along the grain, a seam turned about the neck), from memory, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_length
from svgfit.model.refusal import Refusal
from tests.plugins.running import INCH, value
from tests.plugins.shoulders import assert_still, garment, kink, length, named, run

SIDES = ("Front", "Back")


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2])
def test_the_armhole_moves_along_in_its_shape(amount):
    before = garment()
    done = run(f"shoulder-slope amount='{amount} mm'", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        moved = new.edge("armhole").curve.segments - old.edge("armhole").curve.segments
        assert abs(moved + 1j * amount).max() < 1e-9, "every point alike, straight up or down"
        # 110 mm across and 40 down before: Pythagoras.
        assert length(new.edge("shoulder")) == pytest.approx(math.hypot(110, 40 - amount), abs=1e-6)
        assert length(new.edge("side seam")) == pytest.approx(300 + amount, abs=1e-6)
        assert_still(old, new, "armhole", "shoulder", "side seam")
        assert new.landmark("neck point") == old.landmark("neck point")
        assert new.landmark("underarm") == pytest.approx(old.landmark("underarm") - 1j * amount)
        notch, was = new.notches("armhole")[0], old.notches("armhole")[0]
        assert notch.at == pytest.approx(was.at - 1j * amount)
    for name in ("cap ease", "cap ease front", "cap ease back"):
        assert value(done, name) == pytest.approx(value(done, name, before=True), abs=1e-6)


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2])
@pytest.mark.parametrize("armhole", ["moved", "redrawn"])
@pytest.mark.parametrize("dart", [False, True])
def test_the_seam_turns_about_the_neck(amount, armhole, dart):
    before = garment(dart=dart)
    done = run(f"shoulder-slope amount='{amount} mm' shoulder=kept armhole={armhole}", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        assert sewn_length(new, "shoulder") == pytest.approx(sewn_length(old, "shoulder"), abs=1e-6)
        rise = old.landmark("shoulder tip").imag - new.landmark("shoulder tip").imag
        assert rise == pytest.approx(amount, abs=1e-9)
        assert new.edge("armhole").curve.end == new.edge("shoulder").curve.start


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2])
def test_the_armhole_redrawn_stays_below_its_notch(amount):
    before = garment()
    done = run(f"shoulder-slope amount='{amount} mm' armhole=redrawn shoulder=redrawn", before)
    for old, name in zip(before[1:], SIDES, strict=True):
        new = named(done, name)
        assert_still(old, new, "armhole", "shoulder")
        assert new.notches("armhole") == old.notches("armhole")
        below = old.edge("armhole").curve.nearest(old.notches("armhole")[0].at)[0]
        places = np.linspace(0, below, 20)
        away = [new.edge("armhole").curve.nearest(at)[1] for at in old.edge("armhole").curve.points(places).tolist()]
        assert max(away) < 1e-6
        # Above the notch the armhole runs along the grain, as the tip moves: it gains just that.
        assert length(new.edge("armhole")) == pytest.approx(length(old.edge("armhole")) + amount, abs=0.05)
        assert kink(new.edge("armhole").curve) < 0.1
    assert value(done, "cap ease") == pytest.approx(value(done, "cap ease", before=True) - 2 * amount, abs=0.1)


def test_the_drop_to_end_with_and_one_piece_alone():
    before = garment()
    done = run("shoulder-slope drop='25 mm' pieces=Front", before)
    front = named(done, "Front")
    assert front.landmark("shoulder tip").imag - front.landmark("neck point").imag == pytest.approx(25)
    assert done.steps[0].got["shoulder drop"] == pytest.approx(25)
    assert named(done, "Back") is before[2]


def test_raised_and_lowered_again_it_is_where_it_was():
    before = garment(dart=True)
    there = run("shoulder-slope amount='9 mm'", before)
    back = run("shoulder-slope amount='-9 mm'", there.after)
    for old, new in zip(before, back.after, strict=True):
        for a, b in zip(old.edges, new.edges, strict=True):
            assert abs(a.curve.segments - b.curve.segments).max() < 1e-6


@pytest.mark.parametrize(
    ("step", "count", "says"),
    [
        ("shoulder-slope amount='8 in' shoulder=kept", 3, "raise the tip by less than"),
        ("shoulder-slope amount='5 mm'", 1, "none of the pieces"),
    ],
)
def test_refusals_say_the_range(step, count, says):
    with pytest.raises(Refusal) as refused:
        run(step, garment()[:count])
    assert says in refused.value.line()
