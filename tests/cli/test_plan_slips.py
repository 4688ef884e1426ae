"""Slips that new users of plans make: each is told with its place, what is wrong and what to write."""

from __future__ import annotations

from pathlib import Path

import pytest

RAISE = '[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\n'
VALUES = '[values]\nup = "1/4"\n'


@pytest.mark.parametrize(
    ("plan", "line", "words"),
    [
        (VALUES + 'up = "1/2 in"\n' + RAISE, 3, "is not TOML: what this line sets is set above already; leave one of"),
        (
            VALUES + "[values]\n" + RAISE,
            3,
            "is not TOML: what this line begins stands above already; put both together",
        ),
        (VALUES + RAISE + 'amount = { value = "up" }\n', 6, "; the value is set as up in plan.toml line 2"),
        (VALUES + RAISE + 'amount = "up"\n', 6, '; for what [values] sets under that name write { value = "up" }'),
        (VALUES + RAISE + 'amount = { values = "up" }\n', 6, "there is no size 'values'; for a value from elsewhere"),
        (RAISE + 'amount = { measurement = "cap ease" }\n', 4, "there is no size 'measurement'; for a value from"),
        (RAISE + 'amount = { measure = "cap ease", times = "half" }\n', 4, "should be a number, not a text in quotes"),
        (RAISE + "amount = { measure = 5 }\n", 4, "should be a text in quotes, not a number"),
        (
            RAISE + 'amount = "1 in"\nwhen = [{ measure = "cap ease", over = "1 in" }]\n',
            5,
            "is a list, and a step has one",
        ),
        ("include = 5\n" + RAISE, 1, "is no file's name; write for example include = "),
        ('include = "."\n' + RAISE, 1, ". is a folder; write its name as seen from"),
        ('[[step]]\ndo = "seam-allowance"\npieces = "Front"\nwidth = "1 in"\n', 3, "did you mean piece?"),
        (
            '[[step]]\ndo = "seam-allowance"\npiece = "Front and back"\nwidth = "1 in"\n',
            3,
            'several are piece = ["Front", "back"] in a plan, Front+back after --do',
        ),
    ],
)
def test_a_slip_is_told_with_its_line_and_what_to_write(refused, here: Path, plan, line, words):
    (here / "plan.toml").write_text(plan, encoding="utf-8")
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    assert said.startswith(f"svgfit: plan.toml line {line}: ")
    assert words in said
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize("size", ["XS", "petite", "medium", "extra large", "misses 10", "tall", "times square"])
def test_what_may_be_a_sizes_name_is_taken_for_one(svgfit, here: Path, size):
    (here / "plan.toml").write_text(RAISE + f'amount = {{ "{size}" = "1/4 in", other = "1/8 in" }}\n')
    assert svgfit("plan", "check", "plan.toml").status == 0


def test_what_is_included_and_can_not_be_read_names_both_places(refused, here: Path):
    (here / "plan.toml").write_text('include = "smock.svg"\n' + RAISE)
    said = refused("adjust", "smock.svg", "--plan", "plan.toml", "-o", "out.svg")
    words = "is not TOML, but looks like a drawing (included in plan.toml line 1); give the text file that is meant"
    assert said.rstrip() == f"svgfit: smock.svg line 1: {words}"


def test_a_plan_may_include_one_of_another_folder(svgfit, here: Path):
    (here / "season").mkdir()
    (here / "house.toml").write_text(RAISE + 'amount = "1/4 in"\n')
    (here / "season" / "plan.toml").write_text('include = "../house.toml"\n')
    assert svgfit("adjust", "smock.svg", "--plan", "season/plan.toml", "--dry-run").status == 0


def test_what_is_no_plan_command_is_told_what_there_is(refused):
    assert "say what: svgfit plan check PLAN, or svgfit plan show DRAWING" in refused("plan")


def test_how_many_steps_can_be_taken_back_depends_on_what_comes_after(svgfit, refused, here: Path):
    steps = ("--do", "cap-raise piece=Sleeve amount='1/4 in'", "--do", "ease-spread amount='1/8 in'")
    assert svgfit("adjust", "smock.svg", *steps, "-o", "two.svg").status == 0
    back = ("adjust", "two.svg", "--from", "adjusted", "-o", "out.svg", "--undo")
    assert refused(*back, "3").rstrip().endswith("not 3; give --undo 1; svgfit plan show lists the steps")
    again = ("--do", "notch-match")
    assert refused(*back, "3", *again).rstrip().endswith("not 3; give --undo 1 to 2; svgfit plan show lists the steps")
    assert svgfit(*back, "2", *again).status == 0
    assert svgfit("adjust", "smock.svg", *steps[:2], "-o", "one.svg").status == 0
    assert "give --undo" not in refused("adjust", "one.svg", "--from", "adjusted", "-o", "out.svg", "--undo", "2")


def test_a_drawing_is_not_compared_with_itself(refused, here: Path):
    assert "is held against itself; give another" in refused("compare", "smock.svg", "smock.svg")
    assert "is held against itself (smock.svg is the same file)" in refused("compare", "smock.svg", "./smock.svg")
