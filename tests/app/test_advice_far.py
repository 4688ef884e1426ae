"""Body against pattern where they lie far apart, and what advice remarks on beside its findings."""

from __future__ import annotations

import re

import pytest

from svgfit.app.advice.advise import advise, check_choices, set_up
from svgfit.app.advice.context import State, Tried
from svgfit.app.advice.plan_writer import plan_text
from svgfit.app.advice.ways import edge_moves
from svgfit.app.run_plan import run_plan
from svgfit.geometry.affine import Affine
from svgfit.model.advice import CANT, PASS, Advice, Finding, Goal
from svgfit.model.body import AS_DRAWN, Person
from svgfit.model.operation import replace
from svgfit.model.refusal import Refusal
from svgfit.render.text.advice import advice_text

from .advising import FITS, IN, loaded, of, write

# -- a body far from the pattern: nothing that can't be had may vanish -------------------------------------------------

BO = {
    "upper arm girth": 480.0,
    "shoulder tip to bicep line": 130.0,
    "armhole depth": 270.0,
    "shoulder length": 160.0,
    "armscye girth": 600.0,
}
"""An invented person, far larger than the smock."""
AS_LEFT = ("armhole depth: lowered", "shoulder: left as it is")


@pytest.fixture(scope="module")
def bo(session):
    def advise_bo(*choices, **wishes):
        person = Person("Big Bo", measures=BO, style="smock", unit="cm", **wishes)
        return advise(
            *set_up(
                person,
                session.pieces,
                session.seams,
                session.registry,
                session.convention,
                choices=(*AS_LEFT, *choices),
            )
        )

    return advise_bo


@pytest.fixture(scope="module")
def bos(bo):
    return bo()


def ways_of(advice, topic):
    return {way.name: way for way in of(advice, topic).ways}


@pytest.mark.slow
def test_the_ways_show_what_they_give_up_before_one_is_picked(take, session):
    loaded(session, "cap-redraw", "bicep-widen")
    advice = take(cap_ease=(1.25 * IN, 1.5 * IN))
    ways = ways_of(advice, "cap ease")
    assert ways["cap higher"].gives_up == ("cap height",)
    assert ways["redrawn further"].gives_up == ()
    text = advice_text(advice, verbose=True)
    assert "This gives up the cap height settled above." in text.split('"cap ease: cap higher"')[1].split("--choose")[0]
    assert "# This gives up the cap height settled above." in plan_text(advice)


@pytest.mark.slow
def test_what_an_earlier_finding_needs_is_not_undone_for_ease(bos):
    ways = ways_of(bos, "cap ease")
    assert "less deep than was settled above, and cut into the arm" in ways["armhole raised"].reason
    assert "higher than the arm asks for" in ways["cap higher"].reason


@pytest.mark.slow
def test_a_cap_far_too_short_for_its_armhole_cant_be_left(bos, take):
    assert "can't be sewn in as it is" in ways_of(bos, "cap ease")["left as it is"].reason
    little = ways_of(take(cap_ease=(1.25 * IN, 1.5 * IN)), "cap ease")["left as it is"]
    assert little.reason == ""


@pytest.mark.slow
def test_a_redrawn_cap_shows_how_far_its_edge_moves_and_what_changes(take):
    way = ways_of(take(cap_ease=(0.625 * IN, 0.75 * IN)), "cap ease")["redrawn"]
    assert "cap length" not in {cost.name for cost in way.costs}  # it is the aim
    moved = re.search(r"edge moves outwards by up to ([\d/ ]+) in", way.does)
    assert moved
    assert way.moves > 3.0  # a quarter of an inch more edge between the same points can't lie near the old one


def test_a_cap_that_moves_by_much_is_told_to_be_another_one(session):
    sleeve = next(piece for piece in session.pieces if piece.kind == "sleeve")
    person = Person("Ines", measures=FITS, style="smock")
    context, pieces = set_up(person, session.pieces, session.seams, session.registry, session.convention)
    lower = [
        replace(edge, curve=edge.curve.transform(Affine.scale(1.0, 0.6))) if edge.name == "cap" else edge
        for edge in sleeve.edges
    ]
    moved = tuple(replace(one, edges=tuple(lower)) if one is sleeve else one for one in pieces)
    says, furthest = edge_moves(context, State(pieces, {}), Tried(moved, {}, outwards=0.0))
    assert furthest > 38.1
    assert "another cap, no correction" in says


@pytest.mark.slow
def test_an_armhole_lowered_by_much_is_told_as_out_of_the_ordinary_and_spoken_of_at_the_cap(bos, take):
    assert any("another size" in text for text in of(bos, "armhole depth").says)
    assert any("armhole was lowered by 8.20 cm" in text for text in of(bos, "cap height").says)
    little = take({"armhole depth": 201.3 - 6.0}, choices=["armhole depth: lowered"])
    assert not any("another size" in text for text in of(little, "armhole depth").says)
    assert not any("was lowered" in text for text in of(little, "cap height").says)


@pytest.mark.slow
def test_what_cant_be_had_is_repeated_at_the_end(bos):
    assert [(goal.name, goal.met, goal.why) for goal in bos.unmet] == [("bicep width", False, "can't be had")]
    last = advice_text(bos).split("run as one plan")[1]
    assert "bicep width 53.10 cm: not met, is 34.80 cm (can't be had)" in last


@pytest.mark.slow
@pytest.mark.parametrize("pick", [(), ("cap ease: slash to the hem",)])
def test_the_run_of_a_plan_that_holds_a_cant_be_fails(bo, session, tmp_path, pick):
    advice = bo(*pick)
    assert of(advice, "bicep").status == CANT
    assert advice.failed
    plan = write(tmp_path, plan_text(advice))
    run = run_plan(session.pieces, session.seams, plan, session.registry)
    checks = {check.name: check for check in run.checks}
    assert checks["wanted: bicep width"].status == "fail"
    assert "should be 20 7/8 in" in checks["wanted: bicep width"].message
    assert checks["Sleeve/cap against Front/armhole+Back/armhole"].status == ("pass" if pick else "fail")
    assert run.steps[-1].do == "seam-check"  # what is only wanted is not tried


@pytest.mark.parametrize(
    ("topic", "figure", "text"), [("armhole depth", "armhole depth", "28.3 cm"), ("pitch", "share to the back", "0.55")]
)
def test_also_what_a_run_cant_measure_or_reach_makes_it_fail(session, tmp_path, topic, figure, text):
    goal = Goal(figure.replace("share to the back", "share back"), 1.0, text=text, why="can't be had")
    cant = Finding(topic, CANT, ("Why.",))
    advice = Advice("A", "smock", "Sleeve", None, "in", (cant,), (), (), unmet=(goal,))
    run = run_plan(session.pieces, session.seams, write(tmp_path, plan_text(advice)), session.registry)
    assert [(check.name, check.status) for check in run.checks] == [(f"wanted: {figure}", "fail")]


@pytest.mark.parametrize(
    ("body", "sits"),
    [
        ({"shoulder tip to bicep line": 55.0, "shoulder length": None}, 70.0),
        ({"arm length": 210.0, "shoulder tip to bicep line": 190.0, "shoulder length": None}, -30.0),
    ],
)
@pytest.mark.parametrize("unit", ["in", "cm"])
def test_a_height_that_no_cap_has_makes_the_run_fail(take, session, tmp_path, body, sits, unit):
    advice = take(body, sits=sits, unit=unit)
    assert [goal.name for goal in advice.unmet] == ["cap height"]
    plan = write(tmp_path, plan_text(advice))
    run = run_plan(session.pieces, session.seams, plan, session.registry)
    checks = {check.name: check.status for check in run.checks}
    assert checks["wanted: cap height"] == "fail"
    assert [row.do for row in run.steps] == ["seam-check"]


@pytest.mark.slow
def test_an_ease_that_was_picked_to_stay_is_checked_as_it_is(take):
    advice = take(cap_ease=(1.25 * IN, 1.5 * IN), choices=["cap ease: left as it is"])
    assert {check.status for check in take.run(advice).checks} == {"pass"}
    assert dict(advice.check[0].asked)["max"] == "1/2 in"  # the smock has 0.374 in, and a sixteenth over


# -- what is told beside -----------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_seam_far_inside_the_shoulder_tip_as_drawn_is_remarked_on(take):
    far = of(take({"shoulder length": 160.0}, sits=AS_DRAWN), "shoulder")
    assert far.status == PASS
    assert "far inside" in far.says[1]
    assert len(of(take({"shoulder length": 145.0}, sits=AS_DRAWN), "shoulder").says) == 1


def test_a_share_that_passes_though_its_figure_differs_says_why(take):
    near = of(take(share_back=0.55), "pitch")
    assert near.status == PASS
    assert re.search(r"takes 62 %.* wants 55 %.* less than 1/16 in of ease: close enough", near.says[0])
    assert "close enough" not in of(take(share_back=0.6235), "pitch").says[0]


@pytest.mark.parametrize(("share", "odd"), [(0.0, True), (1.0, True), (0.9, True), (0.5, False), (0.6, False)])
def test_a_share_beyond_practice_is_remarked_on(take, share, odd):
    assert ("practice gives the back 50 to 60 %" in of(take(share_back=share), "pitch").says[0]) == odd


def test_two_picks_for_one_thing_are_refused():
    with pytest.raises(Refusal, match="'bicep: height kept' and 'bicep: slash to the hem' are two ways for one thing"):
        check_choices(["height kept", "bicep: slash to the hem"], "--choose")
    assert check_choices(["height kept", "bicep: height kept"], "--choose") == ("bicep: height kept",) * 2


def test_a_style_that_is_not_there_says_where_own_ones_come_from_if_there_are_none(take, session):
    bare = replace(session.convention, ease=())
    person = Person("Ines", measures=FITS, style="smock")
    with pytest.raises(Refusal) as refusal:
        set_up(person, session.pieces, session.seams, session.registry, bare)
    assert "[ease.NAME] in svgfit.toml beside the drawing" in refusal.value.todo
    with pytest.raises(Refusal) as refusal:
        take(style="toga")
    assert "[ease.NAME]" not in refusal.value.todo
