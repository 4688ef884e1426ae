from __future__ import annotations

import pytest

from svgfit.model.plan import Plan, parse_do
from svgfit.model.refusal import Refusal


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ('cap-raise amount=3/8"', (("amount", '3/8"'),)),
        ("cap-raise amount='1 1/8 in'", (("amount", "1 1/8 in"),)),
        ('cap-raise amount="1 1/8 in" at=0.8', (("amount", "1 1/8 in"), ("at", "0.8"))),
        ("""cap-raise amount='1 1/8"' reach=2cm""", (("amount", '1 1/8"'), ("reach", "2cm"))),
        ("  cap-raise   amount=-1/4in  ", (("amount", "-1/4in"),)),
        (
            "seam-check a=Sleeve/cap b=Front/armhole+Back/armhole",
            (("a", "Sleeve/cap"), ("b", "Front/armhole+Back/armhole")),
        ),
        ("cap-raise text=it's", (("text", "it's"),)),
        ("cap-raise text=''", (("text", ""),)),
        ("edge-blend", ()),
    ],
)
def test_steps_as_people_type_them(text, asked):
    step = parse_do(text)
    assert step.do == text.split()[0]
    assert step.asked == asked


def test_piece_is_taken_out_of_the_values():
    step = parse_do("cap-raise piece='Left sleeve' amount=3mm", 2)
    assert (step.piece, step.asked, step.where) == ("Left sleeve", (("amount", "3mm"),), "--do 2")


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "is empty"),
        ("amount=3mm", "begins with 'amount=3mm', not with an operation"),
        ("cap-raise amount", "'amount' is not key=value"),
        ("cap-raise cap height=1in", "'cap height' is not one word; join its parts with hyphens"),
        ("cap-raise cap height = 1in", "cap-height='1 1/8 in'"),
        ("cap-raise amount=1 1/8 in", "'1/8' is not key=value"),
        ("cap-raise amount='1 1/8 in", "the quote after amount= is not closed"),
        ("cap-raise amount='1 in'x", "the quote after amount= is not closed"),
        ("cap-raise =3mm", "'=3mm' has no name before ="),
        ("cap-raise amount=3mm amount=4mm", "amount is given twice"),
    ],
)
def test_what_can_not_be_read_names_the_step(text, what):
    with pytest.raises(Refusal) as refused:
        parse_do(text, 3)
    assert refused.value.line().startswith("--do 3")
    assert what in refused.value.line()
    assert refused.value.todo or text == ""


def test_several_steps_are_numbered():
    assert [step.where for step in Plan.from_steps("a", "b").steps] == ["--do 1", "--do 2"]


@pytest.fixture
def plan_file(tmp_path):
    def write(text):
        path = tmp_path / "plan.toml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_a_plan_keeps_what_was_written_as_text(plan_file):
    plan = Plan.read(
        plan_file(
            '# fitting\n[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\nheight = "6 in"\nat = 0.8\n\n'
            '[[step]]\ndo = "seam-check"\na = "Sleeve/cap"\nb = ["Front/armhole", "Back/armhole"]\n'
        )
    )
    first, second = plan.steps
    assert (first.do, first.piece, first.asked) == ("cap-raise", "Sleeve", (("height", "6 in"), ("at", "0.8")))
    assert second.asked == (("a", "Sleeve/cap"), ("b", "Front/armhole+Back/armhole"))
    assert first.where.endswith("plan.toml step 1")


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("", None, "has no steps"),
        ("step = []", None, "has no steps"),
        ('[step]\ndo = "cap-raise"', 1, "is not a list of steps"),
        ('[[steps]]\ndo = "cap-raise"', None, "did you mean 'step'"),
        ('[[step]]\ndo = "a"\n\n[[step]]\npiece = "Sleeve"', 4, "has no operation"),
        ("[[step]]\ndo = 3", 2, "should be a text in quotes"),
        ('[[step]]\ndo = "a"\npiece = 1', 3, "should be a text in quotes"),
        ('[[step]]\ndo = "a"\nheight = { x = 1979-05-27 }', 3, "is not a text, a number or a list of edges"),
        ('[[step]]\ndo = "a"\nheight = {}', 3, "a table without a size"),
        ('[[step]]\ndo = "a"\nheight = 6 in', 3, "is not TOML"),
        ("step = 3", 1, "should be a list"),
    ],
)
def test_a_broken_plan_is_refused_with_its_line(plan_file, text, line, what):
    with pytest.raises(Refusal) as refused:
        Plan.read(plan_file(text))
    said = refused.value.line()
    assert what in said
    assert "plan.toml" in said
    if line:
        assert f"line {line}" in said


def test_a_missing_plan(tmp_path):
    with pytest.raises(Refusal, match="can't be read"):
        Plan.read(str(tmp_path / "none.toml"))
