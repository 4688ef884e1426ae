"""Complaints found whatever their wording, their causes in order, and the operations that answer them."""

from __future__ import annotations

import pytest

from svgfit.app.complaints import answering, find_complaints, stems, with_operations
from svgfit.model.operation import Job, Operation, Outcome
from svgfit.plugin.registry import open_registry
from svgfit.rules.complaints import COMPLAINTS


def done(job: Job) -> Outcome:
    return Outcome(job.pieces)


def answers(name: str, *said: str) -> Operation:
    return Operation(name, "Does.", (), done, answers=said)


FORWARD = answers("seam-forward", "the shoulder seam pulls to the back")
ROUND = answers("back-round", "drags from the neck to the armhole over the shoulder blades")
SILENT = answers("silent")


@pytest.mark.parametrize(
    "text",
    [
        "shoulder seam pulls back",
        "pulls back: shoulder seam",
        "Shoulder seams are pulling backwards",
        "SHOULDER SEAM DRAGS BACK",
    ],
)
def test_a_complaint_is_found_whatever_its_wording(text: str) -> None:
    (found,) = find_complaints([FORWARD, ROUND, SILENT], text)
    assert found.complaint.complaint == "the shoulder seam pulls to the back"
    assert [names for _, names in found.causes] == [("seam-forward",), ("back-round",)]


def test_words_with_nothing_in_common_find_nothing() -> None:
    assert find_complaints([FORWARD], "the buttonholes fray") == ()
    assert answering([FORWARD, SILENT], "the buttonholes fray") == ()
    assert answering([SILENT], "shoulder seam pulls back") == ()
    assert find_complaints([FORWARD], "") == ()


def test_operations_are_found_by_their_own_answers_the_best_first() -> None:
    far = answers("far", "the seam puckers at the hem")
    assert answering([far, FORWARD], "seam pulls back at the shoulder") == ("seam-forward",)
    assert answering([far, FORWARD], "seam puckers") == ("far",) or "far" in answering([far, FORWARD], "seam puckers")


def test_every_complaint_finds_itself() -> None:
    for one in COMPLAINTS:
        found = find_complaints([], one.complaint)
        assert one in [each.complaint for each in found]
        assert all(cause.measure and cause.asks for cause in one.causes)


def test_the_stock_operations_answer_what_they_are_for() -> None:
    registry = open_registry()
    known = [registry.operation(name) for name in registry.operation_names()]
    by = {
        one.complaint: {name for _, names in with_operations(one, known).causes for name in names} for one in COMPLAINTS
    }
    assert "round-back" in by["the hem rises at the back"]
    assert "sway-back" in by["folds across the back above the seat"]
    assert "back-width" in by["strain across the shoulder blades"]
    assert "back-width" in by["strain across the chest between the armholes"]
    assert "lengthen" in by["the hem, waist or elbow sits in the wrong place"]
    assert "sway-back" not in by["the hem rises at the front"]


def test_stems_leave_the_little_words_out() -> None:
    assert stems("The seams of the shoulders") == stems("shoulder seam")
    assert stems("gaping") == stems("gapes")
