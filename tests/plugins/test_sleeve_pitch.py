"""sleeve-pitch: match points turned along the cap, no line changed, the turn kept and known to walks.

What must hold (the outline to the last digit, walks with the new match points) is common practice, from memory, no
source.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.fitting.sewn import sewn_distance
from svgfit.model.cap_turn import CapTurn
from svgfit.model.refusal import Refusal
from tests.plugins.running import INCH, value
from tests.plugins.shoulders import garment, named, run


@pytest.mark.parametrize("amount", [INCH / 2, -INCH / 2])
@pytest.mark.parametrize("which", ["all", "upper"])
def test_match_points_turn_and_no_line_does(amount, which):
    before = garment()
    done = run(f"sleeve-pitch amount='{amount} mm' which={which}", before)
    old, new = before[0], named(done, "Sleeve")
    assert new.edges == old.edges
    assert done.after[1:] == before[1:]
    for was, mark in zip(old.marks, new.marks, strict=True):
        if was.edge == "cap":
            gone = sewn_distance(old, "cap", was.at) - sewn_distance(new, "cap", mark.at)
            assert gone == pytest.approx(amount, abs=1e-6)
        else:
            assert mark == was
    kept = CapTurn.of(new)
    assert (kept.shoulder, kept.notches) == pytest.approx((amount, amount), abs=1e-6)
    assert kept.underarm == pytest.approx(amount if which == "all" else 0, abs=1e-6)


def test_a_sleeve_turned_as_a_whole_walks_as_before():
    done = run("sleeve-pitch amount='1/2 in'")
    for name in ("cap ease", "cap ease front", "cap ease back"):
        assert value(done, name) == pytest.approx(value(done, name, before=True), abs=1e-6)
    assert not any("move the notches" in text for text in done.warnings), "what was meant is no fault"
    assert any("take it as meant" in text for text in done.warnings)


def test_turned_above_only_each_half_of_the_ease_changes_by_so_much():
    done = run("sleeve-pitch amount='6 mm' which=upper")
    for name, by in (("cap ease", 0), ("cap ease front", -6), ("cap ease back", 6)):
        assert value(done, name) == pytest.approx(value(done, name, before=True) + by, abs=1e-6)


def test_to_counts_what_earlier_steps_did():
    once = run("sleeve-pitch amount='8 mm'")
    twice = run("sleeve-pitch to='5 mm'", once.after)
    assert CapTurn.of(named(twice, "Sleeve")).underarm == pytest.approx(5, abs=1e-6)
    back = run("sleeve-pitch to='0 mm'", twice.after)
    sleeve = named(back, "Sleeve")
    assert not CapTurn.of(sleeve)
    places = [mark.at for mark in sleeve.marks if mark.at is not None]
    assert places == pytest.approx([mark.at for mark in garment()[0].marks if mark.at is not None], abs=1e-6)


def test_refusals_say_the_range():
    sleeve, *others = garment()
    bare = replace(sleeve, marks=())
    apart = CapTurn(shoulder=9.0).kept_on(sleeve)
    for pieces, step, says in (
        ((sleeve, *others), "sleeve-pitch amount='9 in'", "85.0 mm"),
        ((bare, *others), "sleeve-pitch amount='5 mm'", "no notch"),
        ((apart, *others), "sleeve-pitch amount='5 mm'", "turned apart"),
    ):
        with pytest.raises(Refusal) as refused:
            run(step, pieces)
        assert says in refused.value.line()
