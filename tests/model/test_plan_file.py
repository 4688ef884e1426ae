"""Plans that take in others, name values, speak of measurements and carry notes: read, and refused with their lines."""

from __future__ import annotations

import pytest

from svgfit.model.plan import Condition, FromMeasure, Plan
from svgfit.model.plan_file import MOST_FILES, files_of
from svgfit.model.refusal import Refusal


@pytest.fixture
def plans(tmp_path):
    """Write files by name and read one of them."""

    def write(text, name="plan.toml"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


STEP = '[[step]]\ndo = "cap-raise"\n'


def test_several_pieces_in_one_step_are_a_step_each(plans):
    plan = Plan.read(plans('[[step]]\ndo = "seam-allowance"\npiece = ["Front", "Back"]\nwidth = "1/2 in"\n'))
    assert [(step.piece, step.asked) for step in plan.steps] == [
        ("Front", (("width", "1/2 in"),)),
        ("Back", (("width", "1/2 in"),)),
    ]
    assert {step.where for step in plan.steps} == {plan.where + " step 1"}


def test_values_stand_for_what_they_say_wherever_one_is_asked(plans):
    plan = Plan.read(
        plans(
            '[values]\nup = "1/4 in"\nsized = { 10 = "1/8 in", other = "3/8 in" }\nboth = ["Front", "Back"]\n'
            'half = 0.5\nlimit = "1 in"\n'
            + STEP
            + 'amount = { value = "up" }\nat = { value = "half" }\n'
            + 'when = { measure = "cap ease", over = { value = "limit" } }\n'
            + STEP
            + 'amount = { value = "sized" }\n'
            + STEP
            + 'amount = { 12 = { value = "up" } }\npiece = { value = "both" }\n'
            '[[ends]]\n"cap ease" = { value = "up" }\n'
        )
    )
    first, second, third, fourth = plan.steps
    assert first.asked == (("amount", "1/4 in"), ("at", "0.5"))
    assert first.when == Condition("cap ease", over="1 in")
    assert second.by_size == (("amount", (("10", "1/8 in"), ("other", "3/8 in"))),)
    assert (third.piece, fourth.piece) == ("Front", "Back")
    assert third.by_size == (("amount", (("12", "1/4 in"),)),)
    assert plan.ends[0].asked == (("cap ease", "1/4 in"),)


def test_a_value_from_a_measurement_and_a_condition(plans):
    plan = Plan.read(
        plans(
            STEP
            + 'amount = { of = "Sleeve", measure = "cap ease", times = 0.5 }\n'
            + 'when = { of = "Sleeve", measure = "underarm corner", over = "175 deg", under = "185°" }\n'
            + 'note = "why\\n  so"\n'
        )
    )
    (step,) = plan.steps
    assert step.measured == (("amount", FromMeasure("cap ease", "Sleeve", 0.5)),)
    assert step.when == Condition("underarm corner", "Sleeve", "175 deg", "185°")
    assert (step.asked, step.note) == ((), "why so")


def test_a_plan_takes_others_in_before_its_own_steps_or_among_them(plans):
    plans('[values]\nup = "1/8 in"\n', "more/values.toml")
    plans('include = "values.toml"\n' + STEP + 'amount = { value = "up" }\n', "more/raise.toml")
    plans('[[step]]\ndo = "notch-match"\n[[ends]]\n"cap ease" = "1 in"\n', "notches.toml")
    path = plans(
        'note = "for Puck"\ninclude = ["more/raise.toml"]\n'
        + STEP
        + 'amount = "1/4 in"\n[[step]]\ninclude = "notches.toml"\n'
        + STEP
    )
    plan = Plan.read(path)
    assert [step.do for step in plan.steps] == ["cap-raise", "cap-raise", "notch-match", "cap-raise"]
    assert [dict(step.asked).get("amount") for step in plan.steps] == ["1/8 in", "1/4 in", None, None]
    assert plan.steps[0].where.endswith("raise.toml step 1")
    assert len(plan.ends) == 1
    assert plan.note == "for Puck"
    folder = path.removesuffix("plan.toml")
    assert set(plan.files) == {
        path,
        f"{folder}more/raise.toml",
        f"{folder}more/values.toml",
        f"{folder}notches.toml",
    }
    assert set(files_of(path)) == set(plan.files)


def test_a_file_taken_in_twice_is_done_twice_and_listed_once(plans):
    plans(STEP, "one.toml")
    plan = Plan.read(plans('include = ["one.toml", "./one.toml"]\n'))
    assert len(plan.steps) == 2
    assert len(plan.included) == 1


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ('nte = "x"\n' + STEP, 1, "did you mean 'note'"),
        ("note = 3\n" + STEP, 1, "should be a text in quotes"),
        (STEP + "note = 3\n", 3, "should be a text in quotes"),
        (STEP + "piece = []\n", 3, "names no piece"),
        (STEP + 'piece = ["Front", "front"]\n', 3, "names front twice"),
        (STEP + 'piece = ["Front", 3]\n', 3, "should be a text"),
        (STEP + 'amount = { value = "up" }\n', 3, "there is no value 'up' in [values]; write at the top [values]"),
        ('[values]\nup = "1 in"\n' + STEP + 'amount = { value = "upp" }\n', 5, "did you mean up? The values are up"),
        ('[values]\nup = "1 in"\n' + STEP + 'amount = { value = "up", times = 2 }\n', 5, "no key 'times' here"),
        ("[values]\nup = 1979-05-27\n" + STEP + 'amount = { value = "up" }\n', 2, "is not a text, a number"),
        ('[values]\nup = { of = "Sleeve", measure = "cap ease" }\n' + STEP, 2, "write that table at the step itself"),
        ('values = "x"\n' + STEP, 1, "should be a table"),
        (STEP + 'amount = { of = "Sleeve" }\n', 3, "names no measurement"),
        (STEP + 'amount = { measure = "cap ease", time = 2 }\n', 3, "did you mean 'times'"),
        (STEP + 'amount = { measure = "cap ease", times = "half" }\n', 3, "should be"),
        (STEP + 'amount = { measure = "cap ease", times = nan }\n', 3, "is no number to multiply by"),
        (STEP + 'when = { measure = "cap ease" }\n', 3, "compares the measurement with nothing"),
        (STEP + 'when = { over = "1 in" }\n', 3, "names no measurement"),
        (STEP + 'when = { measure = "cap ease", above = "1 in" }\n', 3, "there is no key 'above' here"),
        (STEP + 'when = { measure = "cap ease", over = 1 }\n', 3, "1 has no unit"),
        (STEP + 'when = { measure = "cap ease", over = "much" }\n', 3, "is not a length"),
        (STEP + 'when = { measure = "cap ease", over = "1 in", under = "1/2 in" }\n', 3, "nothing is both over"),
        ('[[ends]]\n"cap ease" = { measure = "cap ease" }\n', 2, "a measurement is only taken at a step"),
        ('[[ends]]\nwhen = { measure = "cap ease", over = "1 in" }\n', 2, "has no condition"),
        ('include = "none.toml"\n', 1, "there is no file"),
        ('include = ""\n', 1, "is no file's name"),
        ("include = 3\n", 1, "is no file's name"),
        ('[[step]]\ninclude = "none.toml"\nnote = "x"\n', 3, "stands in one step with an include"),
        ("[[step]]\ninclude = 3\n", 2, "should be a text"),
    ],
)
def test_what_is_wrong_is_refused_with_its_line(plans, text, line, what):
    with pytest.raises(Refusal) as refused:
        Plan.read(plans(text))
    assert f"plan.toml line {line}" in refused.value.line()
    assert what in refused.value.line()


def test_two_files_that_set_a_value_otherwise_are_refused_with_both_places(plans):
    plans('\n[values]\nup = "1/8 in"\n', "house.toml")
    with pytest.raises(
        Refusal, match=r"house\.toml line 3: values\.up: up is set to something else already in .*plan\.toml line 3"
    ):
        Plan.read(plans('include = "house.toml"\n[values]\nup = "1/4 in"\n' + STEP))
    assert Plan.read(plans('include = "house.toml"\n[values]\nup = "1/8 in"\n' + STEP)).steps


def test_plans_that_go_round_are_refused_by_name(plans):
    plans('include = "plan.toml"\n', "other.toml")
    path = plans('include = "other.toml"\n')
    with pytest.raises(
        Refusal,
        match=r"other\.toml line 1: .*loop: .*plan\.toml includes .*other\.toml, which includes .*plan\.toml again",
    ):
        Plan.read(path)
    with pytest.raises(Refusal, match="includes itself"):
        Plan.read(plans('include = "./plan.toml"\n'))


def test_plans_without_end_are_refused_and_soon(plans):
    for number in range(12):
        plans(f'include = ["n{number + 1}.toml", "n{number + 1}.toml"]\n', f"n{number}.toml")
    plans(STEP, "n12.toml")
    with pytest.raises(Refusal, match=f"more than {MOST_FILES}"):
        Plan.read(plans('include = "n0.toml"\n'))


def test_included_plans_are_no_larger_than_a_plan_may_be(plans):
    for name in ("a", "b"):
        plans(STEP + "#" * (5 << 19), f"{name}.toml")
    with pytest.raises(Refusal, match="larger than 4 MB in all"):
        Plan.read(plans('include = ["a.toml", "b.toml"]\n'))


def test_a_text_has_no_folder_to_include_from():
    with pytest.raises(Refusal, match="save the plan as a file"):
        Plan.from_toml('include = "a.toml"\n')


def test_what_is_wrong_in_an_included_plan_names_that_plan(plans):
    plans("\n[[step]]\ndo = 3\n", "other.toml")
    with pytest.raises(Refusal, match=r"other\.toml line 3"):
        Plan.read(plans('include = "other.toml"\n'))


def test_files_of_a_broken_plan_are_those_that_came_to_light(plans):
    path = plans('include = "not-yet.toml"\n')
    assert files_of(path) == (path, path.replace("plan.toml", "not-yet.toml"))
    assert files_of(plans("this is no TOML")) == (path,)


def test_words_of_do_carry_a_note_and_several_pieces():
    (step,) = Plan.from_steps("cap-raise piece=Front+Back note='for Puck' amount=3mm").steps
    assert (step.piece, step.note, step.asked) == ("Front+Back", "for Puck", (("amount", "3mm"),))
    with pytest.raises(Refusal, match=r"when is a table, which only a plan can hold"):
        Plan.from_steps("cap-raise when={measure=x}")
