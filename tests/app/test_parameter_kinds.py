"""Every kind of value that a parameter can have: read in plans and after --do, held against the pieces, handed over."""

from __future__ import annotations

import json
import math

import pytest

from svgfit.app.parameter_values import Unfit, read_value
from svgfit.cli import main
from svgfit.model.length import both_ways_text
from svgfit.model.operation import Parameter

ASK = """
import json
from svgfit.plugin import Operation, Outcome, Parameter, hookimpl

KINDS = ("angle", "count", "yes/no", "edge", "landmark", "pieces", "file", "length")

def run(job):
    (__import__("pathlib").Path(__file__).parent.parent / "got.json").write_text(json.dumps(dict(job.values)))
    return Outcome(pieces=job.pieces)

@hookimpl
def svgfit_operations():
    bounds = {"angle": {"minimum": -1.0, "maximum": 1.0}, "count": {"minimum": 2}}
    parameters = tuple(Parameter(kind.replace("/", "-"), kind, "what", **bounds.get(kind, {})) for kind in KINDS)
    return [Operation("ask", "Asks.", parameters, run, kinds=("sleeve",))]
"""


@pytest.fixture
def ask(tmp_path, request, capsys, monkeypatch):
    """Run the operation on the smock and give back what it was handed, or the refusal's line."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "ask.py").write_text(ASK)
    for name in ("smock.svg", "svgfit.toml"):
        (tmp_path / name).write_bytes((request.config.rootpath / "demo_svgs" / name).read_bytes())
    monkeypatch.chdir(tmp_path)

    def run(*words):
        capsys.readouterr()
        (tmp_path / "got.json").unlink(missing_ok=True)
        status = main(["adjust", "smock.svg", "--plugins", "own", *words, "-o", "out.svg", "--force"])
        said = capsys.readouterr()
        assert (status == 2) == (not (tmp_path / "got.json").exists()), said.err
        return said.err.strip() if status == 2 else json.loads((tmp_path / "got.json").read_text())

    return run


@pytest.mark.parametrize(
    ("key", "text", "handed"),
    [
        ("angle", "30 deg", math.radians(30)),
        ("angle", "-12,5°", math.radians(-12.5)),
        ("angle", "0.5 rad", 0.5),
        ("count", "6", 6),
        ("yes-no", "Yes", True),
        ("yes-no", "false", False),
        ("edge", "HEM", ["Sleeve", "hem"]),
        ("edge", "front/armhole", ["Front", "armhole"]),
        ("landmark", "cap-top", ["Sleeve", "cap top"]),
        ("landmark", "Front/neck point", ["Front", "neck point"]),
        ("pieces", "back+Front", ["Back", "Front"]),
        ("file", "svgfit.toml", "svgfit.toml"),
    ],
)
def test_a_value_is_handed_over_in_its_kind(ask, tmp_path, key, text, handed):
    assert ask("--do", f"ask {key}='{text}'")[key] == (pytest.approx(handed) if isinstance(handed, float) else handed)
    (tmp_path / "plan.toml").write_text(f'[[step]]\ndo = "ask"\n{key} = "{text}"\n', encoding="utf-8")
    assert ask("--plan", "plan.toml")[key] == (pytest.approx(handed) if isinstance(handed, float) else handed)


def test_a_plan_may_write_values_as_toml_has_them(ask, tmp_path):
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "list.txt").write_text("x")
    (tmp_path / "more" / "plan.toml").write_text(
        '[[step]]\ndo = "ask"\ncount = 3\nyes-no = true\npieces = ["Front", "Back"]\nfile = "list.txt"\n'
        'angle = { measure = "underarm corner", times = 0.1 }\n'
    )
    got = ask("--plan", "more/plan.toml")
    assert (got["count"], got["yes-no"], got["pieces"], got["file"]) == (3, True, ["Front", "Back"], "more/list.txt")
    assert got["angle"] == pytest.approx(math.radians(18.0), abs=1e-3), "the smock's underarm is smooth: 180°"


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("angle", "30", "'30' has no unit; write for example 30 deg"),
        ("angle", "1 in", "'1 in' is not an angle"),
        ("angle", "90 deg", "90 deg is too much; give -57.2958 deg to 57.2958 deg"),
        ("count", "2.5", "'2.5' is not a whole number"),
        ("count", "-3", "'-3' is not a whole number"),
        ("count", "1", "1 is too little; give 2 or more"),
        ("yes-no", "maybe", "'maybe' is neither yes nor no"),
        ("edge", "hm", "Sleeve has no edge 'hm'; did you mean Sleeve/hem?"),
        ("edge", "Frnt/hem", "there is no piece 'Frnt'; did you mean Front?"),
        ("edge", "Front/hem+Back/hem", "names more than one"),
        ("landmark", "cap tip", "Sleeve has no landmark 'cap tip'; did you mean cap top?"),
        ("pieces", "Front+Bck", "there is no piece 'Bck'; did you mean Back?"),
        ("pieces", "Front+", "lacks a piece's name"),
        ("file", "gone.txt", "there is no file gone.txt"),
    ],
)
def test_what_does_not_fit_is_refused_with_step_or_line(ask, tmp_path, key, text, words):
    said = ask("--do", f"ask {key}='{text}'")
    assert said.startswith(f"svgfit: --do 1: ask: {key}: ")
    assert words in said
    (tmp_path / "plan.toml").write_text(f'[[step]]\ndo = "ask"\n{key} = "{text}"\n', encoding="utf-8")
    assert f"svgfit: plan.toml line 3: ask: {key}: " in ask("--plan", "plan.toml")
    assert not (tmp_path / "out.svg").exists()


def test_a_file_that_a_step_reads_is_replaced_by_no_output(ask, tmp_path, capsys):
    (tmp_path / "list.svg").write_text("mine")
    words = ["adjust", "smock.svg", "--plugins", "own", "--do", "ask file=list.svg", "-o", "list.svg", "--force"]
    assert main(words) == 2
    assert "is one of the files read" in capsys.readouterr().err
    assert (tmp_path / "list.svg").read_text() == "mine"


def test_what_can_be_known_of_them_is_checked_without_drawings(ask, tmp_path, capsys):
    (tmp_path / "plan.toml").write_text('[[step]]\ndo = "ask"\ncount = 1\nfile = "gone"\nangle = 3\nedge = "hm"\n')
    assert main(["plan", "check", "plan.toml", "--plugins", "own"]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.partition("line ")[2].partition(":")[0] for line in lines] == ["3", "4", "5"]


def test_they_are_listed_with_their_bounds(ask, capsys):
    assert main(["operations", "ask", "--plugins", "own"]) == 0
    said = capsys.readouterr().out
    assert "angle=  an angle (deg or °), -57.2958 deg to 57.2958 deg" in said
    assert "count=  a whole number, 2 or more" in said


@pytest.mark.parametrize(
    ("kind", "limit", "told", "within", "beyond"),
    [
        ("length", 1.0, "1.0 mm (1/16 in)", "1 mm", "0.98 mm"),
        ("length", 25.4 / 16, "1.6 mm (1/16 in)", "1/16 in", "0.06 in"),
        ("length", 25.4, "25.4 mm (1 in)", "1 in", "15/16 in"),
        ("length", 0.0, "0.0 mm (0 in)", "0 mm", "-0.001 mm"),
        ("angle", math.pi / 6, "30 deg", "30 deg", "29.99 deg"),
        ("angle", 0.1, "5.72958 deg", "5.72958 deg", "5.7295 deg"),
        ("number", 1 / 3, "0.333333", "0.333333", "0.3333"),
    ],
)
def test_a_bound_is_told_in_the_reader_s_unit_and_what_is_told_is_taken(kind, limit, told, within, beyond):
    parameter = Parameter("by", kind, "x", minimum=limit)
    assert both_ways_text(parameter.limit_text(limit, least=True)) == told
    assert read_value(parameter, within) >= limit
    assert read_value(parameter, within) == pytest.approx(limit)
    with pytest.raises(Unfit, match="too little"):
        read_value(parameter, beyond)
