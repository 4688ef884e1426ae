"""An end is met as near as the trade can see: to the rounding of how it is written. Nothing finer fails a run."""

from __future__ import annotations

import pytest

from svgfit.app.run_plan import run_plan
from svgfit.app.session import open_drawings
from svgfit.app.targets import End, end_check, is_met, needs_nothing
from svgfit.fitting.measure import measure_all
from svgfit.model.length import parse_length
from svgfit.model.plan import Plan
from svgfit.model.report import Measurement

from .advising import IN, SMOCK


@pytest.mark.parametrize(
    ("text", "off", "met"),
    [
        ("1 1/4 in", 0.03, True),
        ("1 1/4 in", -0.03, True),
        ("1 1/4 in", IN / 32 - 0.01, True),
        ("1 1/4 in", IN / 32 + 0.01, False),
        ("1 1/4 in", -IN / 16, False),
        ("32 mm", 0.49, True),
        ("32 mm", 0.51, False),
        ("3.2 cm", -0.49, True),
        ("3.2 cm", -0.51, False),
    ],
)
def test_a_length_is_met_to_half_a_sixteenth_or_half_a_millimetre(text, off, met):
    end = End("cap ease", parse_length(text), text, "ends")
    found = [Measurement("cap ease", end.value + off)]
    assert is_met(end, found) is met
    check = end_check("Sleeve", end, found)
    assert check.status == ("pass" if met else "fail")
    assert check.values["got"] == pytest.approx(end.value + off)
    if met:  # what is off is told, though it does no harm
        assert check.message.endswith("as near as can be seen")


def test_what_is_met_only_as_near_as_can_be_seen_is_still_worked_at():
    end = End("cap ease", 31.75, "1 1/4 in", "ends")
    assert needs_nothing(end, [Measurement("cap ease", 31.755)])
    assert not needs_nothing(end, [Measurement("cap ease", 31.78)])


def test_an_end_that_is_off_by_a_third_of_a_tenth_does_not_fail_the_run():
    session = open_drawings(SMOCK)
    height = next(one.value for one in measure_all(session.pieces)["Sleeve"] if one.name == "cap height")
    plan = Plan.from_steps(ends=(f"cap-height={height + 0.03:.4f}mm measure-only=true",))
    run = run_plan(session.pieces, session.seams, plan, session.registry)
    assert [check.status for check in run.checks] == ["pass"]
