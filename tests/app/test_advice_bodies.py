"""Bodies as a fitter meets them: broad in a shirt, tall, round in the back, full in the bust, slim in the arm.

Each garment is drawn to measure, so that what is wrong with it for the body is known; the advice has to say that,
recommend one way, and tell nothing that would spoil cloth.
"""

from __future__ import annotations

import math
import re

import pytest

from svgfit.app.advice.plan_writer import plan_text
from svgfit.app.run_plan import run_plan
from svgfit.app.session import open_drawings
from svgfit.model.advice import CHOSEN, DO, OPEN, PASS, UNKNOWN, Advice
from svgfit.model.body import Person
from svgfit.render.text.advice import advice_text, to_json

from .advising import IN, of, statuses, write
from .bodies import Cut, drawing

SHIRT = Cut(
    shoulder=6.25,
    depth=10.5,
    back_width=18.5,
    chest=48,
    bicep=19.25,
    cap=5.0,
    sleeve=21.5,
    ease=0.5,
    yoke=4.0,
    cuff=True,
)
BROAD = {
    "shoulder length": 5.75,
    "armhole depth": 9.25,
    "upper arm girth": 15.75,
    "shoulder tip to bicep line": 6.0,
    "arm length": 24.5,
    "across back": 17.0,
    "chest girth": 43.0,
}
USUAL = {
    "shoulder length": 5.0,
    "armhole depth": 7.25,
    "upper arm girth": 12.0,
    "shoulder tip to bicep line": 5.125,
    "arm length": 22.75,
}
"""A body that ``Cut()`` fits, in inches."""


@pytest.fixture
def advised(tmp_path):
    """Advice on a garment drawn to measure, for a body in inches."""

    def take(cut: Cut, body: dict[str, float], style: str = "fitted woven", *choices: str, **wishes) -> Advice:
        path = tmp_path / "garment.svg"
        path.write_text(drawing(cut), encoding="utf-8")
        session = open_drawings(str(path), without=("ease-spread",))
        measures = {name: inches * IN for name, inches in body.items()}
        person = Person("Ada Thorn", measures=measures, style=style, unit="in", **wishes)
        advice = session.advise(person, choices=choices)
        take.session = session
        return advice

    return take


def brief(advice: Advice) -> str:
    return " ".join(advice_text(advice).split())


# -- a shirt is cut for lifting the arm -------------------------------------------------------------------------------


def test_a_broad_body_in_a_shirt_with_a_yoke_is_told_to_change_nothing(advised):
    advice = advised(SHIRT, BROAD, "shirt")
    assert {finding.status for finding in advice.findings if finding.topic != "sleeve length"} == {PASS}
    assert advice.steps == ()
    assert not advice.open
    assert "%" in brief(advice)
    assert "With Cuff finished 2 1/2 to 3 1/4 in deep it fits the arm." in brief(advice)


ONLY_THE_CAP = {"bicep_ease": (0.0, 200.0), "depth_ease": (0.0, 100.0), "cap_ease": (0.0, 60.0)}


def low(cap: float, shoulder: float = 5.0) -> Cut:
    """A garment with a cap so high, and as wide as its armhole then asks for."""
    return Cut(shoulder=shoulder, cap=cap, bicep=2 * math.sqrt(8.35**2 - cap**2), ease=0.75)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("cap", [3.6, 4.0, 4.75])
def test_a_low_cap_is_no_fault_of_a_shirt_but_is_one_of_a_fitted_sleeve(advised, cap):
    assert of(advised(low(cap), USUAL, "shirt", **ONLY_THE_CAP), "cap height").status == PASS
    fitted = of(advised(low(cap), USUAL, **ONLY_THE_CAP), "cap height")
    assert (fitted.status, fitted.ways[0].name) == (DO, "raised")


@pytest.mark.slow
def test_the_further_the_seam_hangs_off_the_shoulder_the_lower_the_cap_may_be(advised):
    """By as much as it hangs off; of a shirt's seam it is no fault, up to 1 1/2 in."""
    wanted = {}
    for shoulder in (5.0, 5.75, 6.25):
        advice = advised(low(4.0, shoulder), USUAL, "shirt", **ONLY_THE_CAP)
        assert of(advice, "shoulder").status == PASS
        wanted[shoulder] = of(advice, "cap height").wanted
    for shoulder in (5.75, 6.25):
        for end in (0, 1):
            assert wanted[5.0][end] - wanted[shoulder][end] == pytest.approx((shoulder - 5.0) * IN, abs=0.1)


@pytest.mark.slow
def test_a_cap_too_low_even_for_a_shirt_is_asked_and_not_raised_unasked(advised):
    advice = advised(low(2.25), USUAL, "shirt", **ONLY_THE_CAP)
    finding = of(advice, "cap height")
    assert finding.status == OPEN
    assert {"raised", "left as it is"} == {way.name for way in finding.ways}
    assert advice.steps == ()


# -- armhole depth ----------------------------------------------------------------------------------------------------

TALL = {**USUAL, "armhole depth": 8.5, "shoulder tip to bicep line": 6.125, "arm length": 25.5}
ROUND = {**USUAL, "armhole depth": 8.25}


@pytest.mark.slow
def test_a_tall_body_is_given_length_through_the_armhole_by_hand(advised):
    advice = advised(Cut(), TALL)
    depth = of(advice, "armhole depth")
    assert depth.status == OPEN
    assert advice.steps == ()
    first = depth.ways[0]
    assert (first.name, first.steps) == ("through the armhole", ())
    assert "1 in, by hand" in first.does
    assert "ease gets about 11/16 in less" in first.does
    for words in ("half-way down the armhole", "on the cap", "1 in apart", "Walk the cap"):
        assert any(words in text for text in first.by_hand), words
    lowered = next(way for way in depth.ways if way.name == "lowered")
    assert {"cap ease", "armhole"} <= {cost.name for cost in lowered.costs}
    assert "no length" in lowered.does
    height = next(then for then in first.then if then.topic == "cap height")
    assert height.status == PASS  # the cap gets its height by the same cut


def test_a_round_back_is_given_length_in_the_back_alone(advised):
    """The cap is as high as the arm asks for: what lacks, lacks in the back."""
    advice = advised(Cut(), ROUND)
    depth = of(advice, "armhole depth")
    assert (depth.status, depth.recommended.name) == (OPEN, "in the back")
    assert any("centre back" in text for text in depth.recommended.by_hand)
    through = next(way for way in depth.ways if way.name == "through the armhole")
    assert "cap is high enough" in through.reason
    assert advice.steps == ()


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    ("front", "name"), [(9.0, "through the armhole"), (7.75, "in the back"), (8.875, "through the armhole")]
)
def test_the_front_tells_a_long_body_from_a_round_back(advised, front, name):
    body = {**USUAL, "armhole depth": 8.25, "front armhole depth": front}
    del body["shoulder tip to bicep line"]
    assert of(advised(Cut(), body), "armhole depth").recommended.name == name


def test_with_a_yoke_a_round_back_is_given_its_length_at_the_yokes_seam(advised):
    body = {**BROAD, "armhole depth": 10.25, "front armhole depth": 8.0}
    depth = of(advised(SHIRT, body, "shirt"), "armhole depth")
    back = next(way for way in depth.ways if way.name == "in the back")
    assert "seam of back and yoke" in back.by_hand[0]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("clears", "cuts"), [(0.375, False), (0.125, False), (0.0, False), (-0.125, True), (-1.0, True)]
)
def test_it_cuts_into_the_arm_only_where_it_lies_above_it(advised, clears, cuts):
    depth = of(advised(Cut(), {**USUAL, "armhole depth": 8.0 - clears}, depth_ease=(0.75 * IN, IN)), "armhole depth")
    assert any("would cut into the arm" in text for text in depth.says) == cuts
    assert any("does not cut into the arm" in text for text in depth.says) == (not cuts)


@pytest.mark.slow
def test_an_eighth_more_or_less_of_depth_is_close_enough(advised):
    assert of(advised(Cut(), {**USUAL, "armhole depth": 7.6}), "armhole depth").status == PASS
    assert of(advised(Cut(), {**USUAL, "armhole depth": 7.7}), "armhole depth").status == OPEN


@pytest.mark.slow
def test_picked_work_by_hand_is_counted_and_not_run_twice(advised):
    """The cap gets its inch by hand: it is not raised by another one, and the sleeve's length knows it."""
    advice = advised(Cut(), TALL, "fitted woven", "armhole depth: through the armhole")
    assert of(advice, "armhole depth").status == CHOSEN
    assert of(advice, "cap height").status == PASS
    assert of(advice, "cap height").pattern == pytest.approx(6.5 * IN, abs=0.1)
    assert "6 1/2 in with the work by hand" in of(advice, "cap height").says[0]
    assert advice.steps == ()
    ease = of(advice, "cap ease")  # the armhole gains more than the cap, which slopes
    assert ease.pattern == pytest.approx((1.25 - 11 / 16) * IN, abs=0.1)
    assert "with about 11/16 in less by hand" in ease.says[0]
    last = of(advised(Cut(), TALL, "fitted woven", "recommended"), "sleeve length")
    assert last.pattern == pytest.approx(24 * IN, abs=0.1)


# -- back and bust ----------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_full_bust_is_told_from_a_broad_body_by_the_back(advised):
    full = {**USUAL, "chest girth": 38.0, "across back": 14.25}
    finding = of(advised(Cut(), full), "bust")
    assert (finding.status, finding.recommended.name) == (OPEN, "full bust")
    assert any("thread of paper" in text for text in finding.recommended.by_hand)
    left = "back width: left as it is"
    broad = of(advised(Cut(), {**full, "across back": 15.5}, "fitted woven", left), "bust")
    assert broad.recommended.name == "side seams let out"
    high = {**USUAL, "chest girth": 38.0, "high bust girth": 34.0}
    assert of(advised(Cut(), high), "bust").recommended.name == "full bust"


def test_back_and_bust_are_looked_at_only_where_they_were_taken(advised):
    assert not {"back width", "bust"} & set(statuses(advised(Cut(), USUAL)))
    narrow = of(advised(Cut(), {**USUAL, "across back": 15.5}), "back width")
    assert (narrow.status, narrow.recommended.name) == (OPEN, "widened by hand")


def test_what_is_guessed_or_gathered_over_a_yoke_is_not_told_as_a_figure(advised):
    cut = Cut(
        shoulder=6.25, depth=10.5, back_width=18.5, chest=48, bicep=19.25, cap=5.0, sleeve=21.5, ease=0.5, yoke=4.0,
        yoke_notch=False, pleat=1.0,
    )  # fmt: skip
    advice = advised(cut, BROAD, "shirt")
    for topic in ("shoulder", "back width", "pitch"):
        finding = of(advice, topic)
        assert finding.status == UNKNOWN, topic
        assert finding.pattern is None, topic
    assert "guessed" in of(advice, "pitch").says[0]
    assert not re.search(r"[1-9]\d\d %", brief(advice))


# -- the sleeve's whole length ----------------------------------------------------------------------------------------


def test_a_higher_cap_makes_the_sleeve_longer_and_it_is_shortened_below(advised):
    body = {**USUAL, "shoulder tip to bicep line": 5.875, "arm length": 22.25}
    advice = advised(Cut(), body, cap_ease=(0.0, 100.0))
    raised = of(advice, "cap height")
    assert raised.status == DO
    length = of(advice, "sleeve length")
    assert "5/8 in more than drawn, from the cap" in length.says[0]
    assert (length.status, length.taken.name) == (DO, "shortened")
    assert "5/8 in" in length.taken.does
    assert any("underarm seams" in text for text in length.taken.by_hand)


def test_without_an_arm_length_a_changed_cap_still_speaks_of_the_sleeve(advised):
    body = {**USUAL, "shoulder tip to bicep line": 5.875}
    del body["arm length"]
    length = of(advised(Cut(), body, cap_ease=(0.0, 100.0)), "sleeve length")
    assert length.status == UNKNOWN
    assert "take it out again below the bicep line" in length.says[1]
    assert "sleeve length" not in statuses(advised(Cut(), {key: USUAL[key] for key in USUAL if key != "arm length"}))


def test_a_short_sleeve_is_left_short(advised):
    finding = of(advised(Cut(sleeve=12.0), USUAL), "sleeve length")
    assert finding.status == PASS
    assert "no full-length sleeve" in finding.says[1]


# -- a slim arm, and what is recommended ------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_slim_arm_is_not_told_to_ruin_its_cap(advised):
    """Narrowing by much leaves a cap shorter than its armhole: width to spare is left, and taken in below."""
    advice = advised(Cut(), {**USUAL, "upper arm girth": 9.75})
    bicep = of(advice, "bicep")
    assert (bicep.status, bicep.ways[0].name) == (OPEN, "left as it is")
    assert "below the bicep" in bicep.ways[0].does
    assert {finding.status for finding in bicep.ways[0].then} == {PASS}
    for way in bicep.ways[1:]:
        assert "apart" not in way.does.split(";")[0] or "towards" in way.does, way.does


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("body", [TALL, ROUND, {**USUAL, "upper arm girth": 9.75}, {**USUAL, "upper arm girth": 13.0}])
def test_one_way_is_recommended_first_and_all_fits_a_screen(advised, body):
    advice = advised(Cut(), body)
    text = advice_text(advice, 100)
    assert len(text.splitlines()) <= 32, text
    first = next(finding for finding in advice.findings if finding.status == OPEN)
    assert first.recommended is first.ways[0]
    assert first.ways[0].because
    assert sum(bool(way.because) for way in first.ways) == 1
    possible = [way for way in first.ways[1:] if not way.reason]
    lines = text.splitlines()
    for way in possible:
        assert sum(line.startswith(f'   or "{way.name}": ') for line in lines) == 1, way.name
    whole = advice_text(advice, 100, verbose=True)
    assert len(whole.splitlines()) > len(lines)
    assert f'--choose "{first.topic}: {first.ways[0].name}"' in whole


def test_the_order_is_a_fitters(advised):
    topics = [finding.topic for finding in advised(SHIRT, BROAD, "shirt").findings]
    order = [
        "armhole depth",
        "shoulder",
        "back width",
        "bust",
        "bicep",
        "cap height",
        "cap ease",
        "pitch",
        "sleeve length",
    ]
    assert topics == order


@pytest.mark.slow
@pytest.mark.parametrize("body", [TALL, ROUND, {**USUAL, "upper arm girth": 12.75}, {**USUAL, "upper arm girth": 9.75}])
def test_the_plan_runs_open_and_with_every_recommended_way(advised, tmp_path, body):
    for choices in ((), ("recommended",)):
        advice = advised(Cut(), body, "fitted woven", *choices)
        assert advice.open == (not choices)
        session = advised.session
        plan = write(tmp_path, plan_text(advice))
        run = run_plan(session.pieces, session.seams, plan, session.registry)
        assert not [check for check in run.checks if check.status == "fail"], choices


def test_by_hand_and_recommended_stand_in_plan_and_json(advised):
    advice = advised(Cut(), TALL)
    text = plan_text(advice)
    assert "# Recommended, since the cap lacks height as well" in text
    assert "# By hand, on paper; the run does not do it:" in text
    found = to_json([(advice, None)])
    assert '"recommended": "through the armhole"' in found
    assert '"by_hand": [\n' in found


def test_what_the_maker_drew_of_the_eases_share_is_left(advised):
    """30 to the front and 70 to the back: no notch is moved before the sleeve was seen on a body."""
    advice = advised(Cut(back_share=0.7), USUAL)
    assert of(advice, "pitch").status == PASS
    assert "So the maker drew it" in of(advice, "pitch").says[0]
    assert of(advised(Cut(back_share=0.7), USUAL, share_back=0.5), "pitch").status == DO


@pytest.mark.slow
def test_where_only_the_style_wants_more_room_the_armhole_is_lowered(advised):
    """The back is as long as the body's and the cap high enough: it is no round back."""
    body = {**USUAL, "armhole depth": 7.5, "shoulder tip to bicep line": 5.125}
    depth = of(advised(Cut(), body, depth_ease=(1.125 * IN, 1.5 * IN)), "armhole depth")
    assert depth.recommended is not None
    assert depth.recommended.name == "lowered"
    assert "room lacks, not length" in depth.recommended.because


def test_front_and_back_short_unlike_get_both_what_the_front_lacks(advised):
    body = {**USUAL, "armhole depth": 8.5, "front armhole depth": 8.625}
    del body["shoulder tip to bicep line"]
    way = of(advised(Cut(), body), "armhole depth").recommended
    assert way is not None
    assert way.name == "through the armhole"
    assert "The back lacks 5/8 in more: lengthen the centre back alone by that." in way.does
    assert any("thread of paper" in text for text in way.by_hand)
    assert dict(way.adds)["armhole depth"] == pytest.approx(IN)


def test_a_bust_that_lacks_by_far_is_begun_with_a_larger_size(advised):
    bust = of(advised(Cut(), {**USUAL, "chest girth": 41.0}), "bust")
    assert bust.recommended is not None
    assert bust.recommended.name == "a larger size"


@pytest.mark.slow
def test_what_a_recommended_way_settles_is_not_undone_by_the_next_one(advised):
    """A sleeve widened for the arm is not made narrower again for the cap's ease."""
    advice = advised(Cut(), {**USUAL, "upper arm girth": 13.75})
    bicep = of(advice, "bicep")
    assert bicep.recommended is not None
    after = [then for then in bicep.recommended.then if then.topic == "cap ease"]
    for finding in after:
        narrower = [way for way in finding.ways if way.name == "bicep narrower" and not way.reason]
        assert all(way.gives_up == ("bicep width",) and not way.because for way in narrower)


def test_side_seams_let_out_are_counted_at_the_bicep(advised):
    body = {**USUAL, "chest girth": 37.0, "across back": 14.25, "upper arm girth": 12.0}
    advice = advised(Cut(), body, "fitted woven", "bust: side seams let out")
    assert of(advice, "bust").status == CHOSEN
    assert of(advice, "bicep").pattern == pytest.approx((14 + 0.5) * IN, abs=0.1)
