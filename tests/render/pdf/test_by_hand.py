"""What a person reads who does the steps with paper: parts moved as they were moved, and all that has to be told."""

from __future__ import annotations

import re
from functools import lru_cache

import pytest

from svgfit.app.session import open_drawings
from svgfit.app.teaching import lesson_of, mini_pdf, teaching_pdf
from svgfit.model.instructions import Instructions
from svgfit.model.length import Units, format_length
from svgfit.model.plan import Plan
from svgfit.model.report import Check, StepRow
from svgfit.plugin.registry import open_registry
from svgfit.render.pdf.lesson import changed_pieces
from svgfit.render.pdf.mini import mini_picture, minis_of, read_mini
from svgfit.render.pdf.papers import for_hands, read_paper
from svgfit.render.pdf.routes import begins
from svgfit.render.pdf.step_geometry import change_of
from svgfit.render.pdf.step_sentences import asked_text, edges_text, plain, todo_of
from svgfit.render.pdf.steps import show_step
from tests.render.pdf.reading import collisions, opened
from tests.render.pdf.test_redrawn_steps import run_of
from tests.render.pdf.test_teaching import A4, DEMOS, mini, sheet, text_of
from tests.render.pdf.test_teaching import run_of as smock


@lru_cache
def the_registry():
    return open_registry()


def changes(do: str):
    (run,) = run_of(do).sizes
    for old, new in changed_pieces(run):
        for stage in run.stages:
            yield change_of(old, new, stage, Units(), the_registry().operation(stage.row.do).instructions)


# -- parts as they were moved -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amount", "mm"), [("3/8", 9.525), ("3/4", 19.05), ("1", 25.4), ("1 1/2", 38.1), ("-1/2", -12.7)]
)
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


# -- minis to practise on ---------------------------------------------------------------------------------------------


@lru_cache
def minis(do: str, scale: str = "1/4"):
    return opened(mini_pdf(run_of(do), A4, Units(), scale))


def the_minis(done):
    return minis_of(lesson_of(done, Units()), done.sizes[0])


def test_a_mini_to_practise_on_is_the_piece_before_with_the_lines_of_the_step_and_the_one_after_has_none():
    done = smock("smock")
    first, second, last = the_minis(done)
    assert [one.title for one in (first, second, last)] == [
        "Sleeve, before step 1",
        "Sleeve, before step 2",
        "Sleeve, after all steps",
    ]
    for mini_, pieces in (
        (first, done.sizes[0].before),
        (second, done.sizes[0].stages[0].pieces),
        (last, done.sizes[0].after),
    ):
        assert any(mini_.new is piece for piece in pieces)
    pens = [set(mini_picture(one, Units(), read_mini("1/4"), (20.0, 10.0)).used) for one in (first, second, last)]
    assert ["slash" in used for used in pens] == [True, True, False]
    assert ["hinge" in used for used in pens] == [False, True, False]  # only step 2 turns something
    assert ["old" in used for used in pens] == [False, False, True]
    told = text_of(mini("smock", "1/4"))
    assert "Do step 1 on it: raise the cap." in told
    assert "To compare with: nothing is cut here." in told


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("how", ["height", "cap-length", "underarm"])
def test_where_nothing_is_cut_or_turned_a_mini_has_no_hinge_and_no_line_to_cut(how):
    done = run_of(f"bicep-widen piece=Sleeve amount=1in how={how}")
    for one in the_minis(done):
        assert not {"slash", "hinge"} & set(mini_picture(one, Units(), read_mini("1/4"), (20.0, 10.0)).used)
    told = text_of(minis(f"bicep-widen piece=Sleeve amount=1in how={how}"))
    assert "hinge" not in told
    assert "cut along" not in told.replace("Cut it out along", "")


def test_two_minis_stand_abreast_where_the_paper_has_room():
    (page,) = minis("bicep-widen piece=Sleeve amount=1in", "1/8")
    assert collisions(page) == []
    before, after = page.search_for("before the step")[0], page.search_for("after the step")[0]
    assert abs(before.y0 - after.y0) < 1
    assert after.x0 - before.x0 > 150


# -- what has to be told ----------------------------------------------------------------------------------------------


@lru_cache
def told(do: str) -> str:
    return text_of(opened(teaching_pdf(run_of(do), A4, Units())))


@lru_cache
def step(do: str):
    """The step's changes, each with its pictures."""
    return [(change, show_step(change, "", 78.0, 50.0)) for change in changes(do)]


@pytest.mark.slow
def test_the_seam_allowance_comes_off_before_the_steps_and_on_again_after_them():
    made = told("cap-raise piece=Sleeve amount='1/2 in'")
    first, last = (
        made.index("Trace each piece on its stitch line, without seam allowance"),
        made.index("After the last step: add the seam allowance again"),
    )
    assert first < made.index("Step 1 of 1") < last
    assert "5/8 in at the cap, underarm back and underarm front; 1 in at the hem" in made
    made = told("armhole-adjust lower='1/2 in'")
    assert "Front: 5/8 in at the armhole, shoulder, neckline and side seam; none at the fold; 1 in at the hem" in made


def test_where_only_an_allowance_changes_none_is_taken_off():
    assert "without seam allowance" not in told("seam-allowance piece=Sleeve width='2 in' edge=hem")


@pytest.mark.parametrize(
    "do",
    [
        "cap-raise piece=Sleeve amount='1in'",
        "bicep-widen piece=Sleeve amount=1in",
        "bicep-widen piece=Sleeve amount=1in how=hem",
        "ease-spread piece=Sleeve amount='1/2 in'",
        "cap-redraw piece=Sleeve ease='1/2 in'",
    ],
)
def test_every_step_figure_names_front_and_back_on_their_sides_and_close_ups_stand_in_that_order(do):
    ((change, shown),) = step(do)
    front, back = (change.before.landmark(f"underarm {side}") for side in ("front", "back"))
    close = [each for each in shown.shown if "full size" in each.caption]
    for each in shown.shown:
        if each not in close:
            spots = {label.lines[0]: label.anchor.real for label in each.picture.labels if len(label.lines) == 1}
            right = each.picture.view.apply(front).real > each.picture.view.apply(back).real
            assert (spots["front"] > spots["back"]) == right
    sides = [each.caption.split(",")[0] for each in close]
    assert sides in ([], ["Back", "Front"], ["At the shoulder notch"])  # the demo's front lies to the right


def test_front_and_back_change_places_where_the_drawing_has_the_front_to_the_left():
    file = str(DEMOS / "teaching-sleeve.svg")
    (run,) = open_drawings(file).run(Plan.from_steps("ease-spread amount='1/2 in'")).sizes
    ((old, new),) = changed_pieces(run)
    (stage,) = run.stages
    shown = show_step(
        change_of(old, new, stage, Units(), the_registry().operation(stage.row.do).instructions), "", 78.0, 50.0
    ).shown
    spots = {label.lines[0]: label.anchor.real for label in shown[0].picture.labels}
    assert spots["front"] < spots["back"]
    assert [each.caption.split(",")[0] for each in shown[-2:]] == ["Front", "Back"]


def test_a_sleeve_that_is_shown_whole_is_as_large_as_its_column_allows():
    ((change, shown),) = step("bicep-widen piece=Sleeve amount=1in")
    for each in shown.shown[:2]:
        left, _, right, _ = change.after.outline().bounds()
        assert (right - left) * each.picture.factor > 0.7 * 78.0
    told_all = told("bicep-widen piece=Sleeve amount=1in")
    assert "walk the cap along the armhole and mark them again" in told_all
    assert "where it kinks redraw it" in told_all
    assert "Redraw the hem as well" in told("bicep-widen piece=Sleeve amount=1in how=hem")


@pytest.mark.parametrize(("share", "way"), [("0.4", "1/16 in to the back"), ("0.8", "1/16 in to the front")])
def test_how_far_each_notch_moves_stands_in_a_table(share, way):
    made = told(f"notch-match share-back={share}")
    assert "front notch, on the cap the front underarm 3 5/8 in 3 5/8 in stays" in made
    assert "lower back notch, on the cap the back underarm 3 3/4 in 3 3/4 in stays" in made
    assert way in made
    assert "At the shoulder notch, full size" in made


def test_moves_of_notches_are_measured_along_the_edge():
    ((change, shown),) = step("notch-match share-back=0.8")
    moves = {one.name: one for one in shown.moves}
    got = change.row.got["shoulder notch towards the front"]
    assert moves["shoulder notch"].before - moves["shoulder notch"].after == pytest.approx(got, abs=0.01)
    assert moves["front notch"].after == pytest.approx(change.row.got["front underarm to notch, cap"], abs=0.01)


def test_the_old_and_the_new_allowance_are_dimensioned_and_the_hems_corner_is_explained():
    made = told("seam-allowance piece=Sleeve width='2 in' edge=hem")
    for words in ("was 1 in now 2 in", "square to it; before 1 in", "At the hem's ends fold the paper"):
        assert words in made
    assert "Every figure is as it was." in made


@pytest.mark.parametrize(("do", "pictures"), [("notch-match share-back=0.4", 1), ("notch-match", 1)])
def test_pictures_that_are_alike_are_left_out(do, pictures):
    made = told(do)
    assert made.count("Before.") == 0
    assert "One on the other" not in made
    assert ("only notches move" in made) == ("share" in do)
    assert ("no line of it moves" in made) == ("share" not in do)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("do", ["armhole-adjust lower='1/2 in'", "armhole-adjust scoop='1/4 in'"])
def test_where_a_new_armhole_begins_is_told_and_is_so(do):
    made = told(do)
    assert "First mark where the new curve begins: " in made
    assert "begin here" in made
    for change, shown in step(do):
        found = begins(change.before, change.after, "armhole", Units())
        old, new = (piece.edge("armhole").from_front() for piece in (change.before, change.after))
        start = new.length_between(0.0, new.nearest(found.at)[0])
        above = [new.point(new.at_length(start + part * (new.length() - start))) for part in (0.1, 0.4, 0.7, 1.0)]
        assert max(old.nearest(at)[1] for at in above) < 0.02
        below = new.point(new.at_length(start - 25))
        assert old.nearest(below)[1] > 0.1
        assert f"{format_length(new.length() - start, 'in', decimal=False)} from the shoulder" in shown.shown[0].caption


def test_numbers_of_pictures_go_on_for_the_back():
    page = next(
        page
        for page in opened(teaching_pdf(run_of("armhole-adjust lower='1/2 in'"), A4, Units()))
        if ("Step 1 of 1" in page.get_text())
    )
    bold = [
        span["text"]
        for block in page.get_text("dict")["blocks"]
        for line in block.get("lines", ())
        for span in line["spans"]
        if span["size"] > 11.5 and span["text"].strip().isdigit()
    ]
    assert bold == ["1", "2", "3", "4"]


def test_the_redrawn_caps_close_up_has_the_farthest_distance_as_a_dimension():
    ((change, shown),) = step("cap-redraw piece=Sleeve ease='1/2 in'")
    figures = [label.lines for each in shown.shown for label in each.picture.labels if label.lines[0] == "farthest"]
    got = format_length(change.row.got["furthest outwards"], "in", decimal=False)
    assert figures == [("farthest", got)]


# -- plain words ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("do", "asked", "words"),
    [
        ("cap-raise", {"amount": "-1/2in"}, "lower the cap by 1/2 in"),
        ("cap-redraw", {"ease": "1/2 in", "within": "whole"}, "draw the cap 1/2 in longer than its armhole, over its "
         "whole length"),
        ("bicep-widen", {"amount": "1in", "how": "hem"}, "widen the bicep by 1 in, with a cut from the cap to the hem"),
        ("ease-spread", {"ease": "7/8 in", "at": "0.83"}, "bring the cap to 7/8 in more than its armhole, cutting down "
         "from 83 % of the way from the underarm point to the centre line"),
        ("notch-match", {}, "move the cap's notches to where the armhole has its own"),
        ("my-own", {"how-far": "3cm"}, "how far 3 cm"),
    ],
)  # fmt: skip
def test_what_is_asked_is_a_sentence(do, asked, words):
    known = do in the_registry().operation_names()
    instructions = the_registry().operation(do).instructions if known else Instructions()
    assert asked_text(StepRow(do, None, asked, {}, ()), instructions) == words


def test_every_parameter_of_every_operation_has_its_words():
    registry = open_drawings(DEMOS / "smock.svg").registry
    for operation in map(registry.operation, registry.operation_names()):
        for one in operation.parameters:
            for text in one.choices or (
                {"length": "1 in", "number": "0.5", "text": "cap", "edges": "A/b+C/b", "angle": "5 deg"}.get(
                    one.kind, "hem middle"
                ),
            ):
                told_one = asked_text(StepRow(operation.name, None, {one.name: text}, {}, ()), operation.instructions)
                assert f"{one.name.replace('-', ' ')} {text}" != told_one, (operation.name, one.name)


def test_edges_are_named_in_words_with_their_pieces_capitals():
    assert edges_text("Sleeve/cap") == "Sleeve's cap"
    assert edges_text("Front/armhole+Back/armhole") == "the armholes of Front and Back"
    names = ["Sleeve/cap", "Front/armhole", "Back/armhole"]
    assert plain("Sleeve/cap against Front/armhole+Back/armhole: 1/2 in", names) == (
        "Sleeve's cap against the armholes of Front and Back: 1/2 in"
    )


def test_a_peak_has_what_to_do_about_it():
    made = text_of(sheet("smock"))
    found = re.search(
        r"a (peak|dip) of [\d.]+°, where 180° is smooth \(2° more or less\); ([^.]*) \(before: 180\.0°\)\. (.{40})",
        made,
    )
    assert found is not None
    assert found[2] == "seam-blend edge=cap trues it; this run did it"
    assert found[3].startswith("So do this: pin the seam, lay it flat")
    assert todo_of(Check("seam", "pass", "180.0°: smooth")) == ""


def test_the_cap_ease_is_looked_for_below_only_where_it_stands_there():
    words = "look at the cap ease below"
    assert words in told("cap-raise piece=Sleeve amount='1in'")
    ((_, shown),) = step("cap-raise piece=Sleeve amount='1in'")
    assert words not in shown.words.note


# -- the paper --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("paper", "name"),
    [("a0", "a4"), ("a2", "a4"), ("a3", "a3"), ("tabloid", "tabloid"), ("arch-e", "letter"), ("24x36in", "letter"),
     ("914mmx1400mm", "a4"), ("letter", "letter")],
)  # fmt: skip
def test_what_is_read_and_cut_up_at_a_desk_stays_on_its_paper(paper, name):
    assert for_hands(read_paper(paper)).name == name


@pytest.mark.slow
def test_a_plotters_handout_has_its_sheet_and_minis_on_a4(handout, fitted):
    made = handout(fitted, "--teaching", "--mini", "1/4", "--paper", "a0")
    sizes_of = {
        tuple(sorted(round(side * 25.4 / 72) for side in (page.rect.width, page.rect.height))): page for page in made
    }
    assert set(sizes_of) == {(841, 1189), (210, 297)}
    for page in made:
        small = min(page.rect.width, page.rect.height) < 600
        assert ("Teaching sheet" in page.get_text() or "Minis 1/4" in page.get_text()) == small
