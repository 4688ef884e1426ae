"""What a person reads who does the steps with paper: parts moved as they were moved, and all that has to be told."""

from __future__ import annotations

import pytest

from svgfit.output.handout.lesson import changed_pieces
from svgfit.output.handout.steps import change_of
from tests.output.handout.test_redrawn_steps import job_and_runs


def changes(do: str):
    _, (run,) = job_and_runs(do)
    for old, new in changed_pieces(run):
        for stage in run.stages:
            yield change_of(old, new, stage.row, stage.annotations, stage.openings, "in")


# -- parts as they were moved -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("amount", "mm"), [("3/8", 9.525), ("3/4", 19.05), ("1", 25.4), ("1 1/2", 38.1), ("-1/2", -12.7)])
def test_the_top_of_a_cap_only_slides_however_far(amount, mm):
    (change,) = changes(f"cap-raise piece=Sleeve amount='{amount} in'")
    (moved,) = [part for part in change.parts if part.motion is not None]
    assert moved.motion.apply_vector(1 + 0j) == pytest.approx(1)
    assert moved.motion.apply(0j) == pytest.approx(-1j * mm)
    (slit,) = change.slits
    lower = [moved.motion.apply(end).imag for end in slit.points]
    assert lower[0] == pytest.approx(lower[1], abs=1e-9)  # its lower edge is level, as it was cut
    assert max(moved.now.bounds()[3] - level for level in lower) == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize("amount", ["1in", "-1in"])
def test_halves_turned_about_the_hem_meet_at_their_hinge_and_open_as_told(amount):
    (change,) = changes(f"bicep-widen piece=Sleeve amount={amount} how=hem")
    one, other = (part.motion for part in change.parts)
    (slit,), (opening,) = change.slits, change.openings
    assert one.apply(slit.hinge) == pytest.approx(other.apply(slit.hinge), abs=1e-9)
    ends = {one.apply(slit.points[0]), other.apply(slit.points[0])}
    assert min(abs(end - opening.first) for end in ends) < 1e-6
    assert min(abs(end - opening.second) for end in ends) < 1e-6
