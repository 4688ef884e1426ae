"""What an operation says that it can do is what svgfit uses it for: a person's own as the stock ones."""

from __future__ import annotations

import pytest

from svgfit.app.run_plan import run_plan
from svgfit.model.instructions import StepFacts
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.report import StepRow
from svgfit.plugin.abilities import gap_closer, none_loaded, notch_matcher, way_in_manner, ways_to
from svgfit.plugin.registry import open_registry
from tests.fitting.sleeves import Shape, sleeve

TALLER = """
from svgfit.plugin import Affine, Operation, Outcome, Parameter, Reach, hookimpl, replace, sleeves, swap


def run(job):
    up = job.values["height"] / sleeves.cap_height(job.piece)
    piece = job.piece.with_edges(
        tuple(replace(edge, curve=edge.curve.transform(Affine.scale(1.0, up))) for edge in job.piece.edges)
    )
    marks = tuple(replace(mark, at=complex(mark.at.real, mark.at.imag * up)) for mark in piece.landmarks)
    return Outcome(swap(job.pieces, replace(piece, landmarks=marks, marks=())))


@hookimpl
def svgfit_operations():
    return [
        Operation(
            "make-taller", "Stretches.", (Parameter("height", "length", "the height"),), run, kinds=("sleeve",),
            reaches=(Reach("cap height", "height", rank=5),),
        )
    ]
"""
ENDS = '[[ends]]\npiece = "Sleeve"\n"cap height" = "150 mm"\n'


def test_an_end_is_reached_by_whatever_declares_that_it_reaches_it(folder):
    made = folder(make_taller=TALLER)
    piece = sleeve(Shape())
    without = open_registry([made], without=["cap-raise"])
    run = run_plan((piece,), (), Plan.from_toml(ENDS), without)
    assert [step.do for step in run.steps] == ["make-taller"]
    assert [check.status for check in run.checks] == ["pass"]
    both = run_plan((piece,), (), Plan.from_toml(ENDS), open_registry([made]))
    assert [step.do for step in both.steps] == ["cap-raise"]  # its rank is lower: it changes less


def test_where_nothing_reaches_an_end_it_is_told_with_what_is_switched_off():
    run = run_plan((sleeve(Shape()),), (), Plan.from_toml(ENDS), open_registry(without=["cap-raise"]))
    (check,) = run.checks
    assert check.status == "fail"
    assert "no operation that does it is loaded; switched off: cap-raise" in check.message


def test_ways_come_by_rank_then_those_that_a_person_picks():
    registry = open_registry()
    assert [way.reach.manner for way in ways_to(registry, "cap ease")] == [
        "redrawn",
        "whole cap redrawn",
        "corners turned",
    ]
    assert ways_to(registry, "bicep width")[0].reach.manner == "height kept"
    assert way_in_manner(registry, "bicep width", "slash to the hem").reach.given == (("how", "hem"),)
    assert way_in_manner(registry, "bicep width", "by magic") is None


def test_what_is_switched_off_is_not_found():
    assert notch_matcher(open_registry()) == "notch-match"
    assert notch_matcher(open_registry(without=["notch-match"])) is None
    assert gap_closer(open_registry(), "cap") == "edge-blend edge='cap'"
    assert gap_closer(open_registry(without=["edge-blend"]), "cap") is None
    assert none_loaded(open_registry()) == "no operation that does it is loaded"


def test_a_step_leaves_out_what_is_done_anyway_where_it_is_to_be_brief():
    (way, *_) = ways_to(open_registry(), "cap ease")
    assert way.step("Sleeve", "1 in").asked == (("ease", "1 in"), ("within", "notches"))
    assert way.step("Sleeve", "1 in", [("share-back", "0.5")], brief=True).asked == (
        ("ease", "1 in"),
        ("share-back", "0.5"),
    )


@pytest.mark.parametrize(
    ("says", "why"),
    [
        ("reaches=(Reach('cap height', 'hight'),)", "names 'hight', which is not a parameter"),
        ("reaches=(Reach('cap height'),)", "how cap height is asked for is missing"),
        ("reaches=('cap height',)", "not a Reach record"),
        ("closes_gaps='edge'", "names 'edge', which is not a parameter"),
        ("compares=Comparison(first='a', second='b', least='c', most='d')", "names 'a', which is not a parameter"),
        ("instructions='fold it'", "not an Instructions record"),
    ],
)
def test_what_it_says_that_cannot_be_is_a_fault(folder, operation_text, empty_stock, says, why):
    text = "from svgfit.plugin import Reach\nfrom svgfit.plugin.sewing import Comparison\n" + operation_text(
        "cap-tuck", more=f", {says}"
    )
    (plugin,) = open_registry([folder(cap_tuck=text)], stock=empty_stock).all()
    assert plugin.status.startswith("failed")
    assert why in plugin.status


def test_a_fault_in_an_operation_that_is_not_needed_is_a_warning(folder, empty_stock):
    registry = open_registry([folder(cap_tuck="1 / 0")], stock=empty_stock)
    assert ways_to(registry, "cap height") == ()
    (warning,) = registry.warnings
    assert "cap_tuck.py" in warning
    with pytest.raises(Refusal):
        registry.operation("cap-tuck")


@pytest.mark.parametrize("words", ["1 / 0", "'fold it'"])
def test_teaching_words_that_break_give_way_to_general_ones_with_a_warning(folder, operation_text, empty_stock, words):
    text = operation_text("cap-tuck", more=f", instructions=Instructions(words=lambda facts: {words})")
    registry = open_registry([folder(cap_tuck="from svgfit.plugin import Instructions\n" + text)], stock=empty_stock)
    facts = StepFacts(StepRow("cap-tuck", "Sleeve", {}, {}, ()), (), "", False, "in", "Does nothing.")
    made = registry.operation("cap-tuck").instructions.words(facts)
    assert (made.title, made.note) == ("Cap tuck", "Does nothing.")
    (warning,) = registry.warnings
    assert "cap_tuck.py" in warning
