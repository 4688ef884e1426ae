"""The plan in the drawing: written the same each time, read back the same, and no harm done where it is damaged."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.app.open_drawings import ReadingOptions
from svgfit.app.plan_record import Recorded, plan_text, read_recorded, recorded_plan
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.svg.svgfit_layers import SvgfitLayer

PLAN = Plan(
    (
        Step("cap-raise", "Sleeve", (("amount", '3/8"'),), "--do 1"),
        Step("ease-spread", None, (), "--do 2", (("amount", (("10", "1/4 in"), ("other", "3/8 in"))),)),
    ),
    "--do",
    (Step("ends", "Ärmel & <co>", (("cap height", "6 in"),), "--ends 1"),),
)


def bare(plan):
    return [replace(step, where="") for step in (*plan.steps, *plan.ends)]


def layer(text):
    return SvgfitLayer("measurements", "measurements", 0, 1, False, plan=text)


def test_a_plan_comes_back_as_it_was():
    text = plan_text(PLAN, ReadingOptions(size="10", scale=96.0, from_adjusted=True))
    assert text.isascii()
    found = read_recorded(text, "smock.svg")
    assert bare(found.plan) == bare(PLAN)
    assert (found.from_adjusted, found.size, found.scale) == (True, "10", 96.0)
    assert plan_text(found.plan, ReadingOptions(size="10", scale=96.0, from_adjusted=True)) == text
    assert found.plan.steps[1].where == "smock.svg: the plan in it, step 2"


def test_white_space_that_an_editor_adds_does_no_harm():
    text = plan_text(Plan.from_steps("cap-raise amount='3/8 in'"))
    spaced = text.replace(",", " ,\n  ").replace("{", "{ ").replace(":", " : ")
    assert spaced != text
    assert read_recorded(spaced, "a.svg") == read_recorded(text, "a.svg")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no plan",
        "[]",
        '{"svgfit-plan":1}',
        '{"svgfit-plan":7,"steps":[]}',
        '{"svgfit-plan":1,"steps":[{"do":3}]}',
        '{"svgfit-plan":1,"steps":[{"do":"cap-raise","asked":[["amount"]]}]}',
        "[" * 100_000,
        '{"svgfit-plan":1,"steps":[],"before":[' + ",".join(['{"steps":[]}'] * 21) + "]}",
    ],
)
def test_a_damaged_plan_is_left_out_with_a_warning(text):
    found, warnings = recorded_plan([("smock.svg", [layer(text)])])
    assert found is None
    assert bool(warnings) == bool(text)
    assert all("smock.svg" in each and "damaged" in each for each in warnings)


def test_files_of_one_plan_give_it_once_and_of_two_are_refused():
    one, other = (plan_text(Plan.from_steps(f"cap-raise amount='{n}/8 in'")) for n in (1, 3))
    found, warnings = recorded_plan([("a.svg", [layer(None), layer(one)]), ("b.svg", []), ("c.svg", [layer(one)])])
    assert isinstance(found, Recorded)
    assert not warnings
    assert found.plan.steps[0].asked == (("amount", "1/8 in"),)
    with pytest.raises(Refusal, match=r"another plan than a\.svg"):
        recorded_plan([("a.svg", [layer(one)]), ("c.svg", [layer(other)])])
