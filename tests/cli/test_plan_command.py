"""``svgfit plan``: every fault of a plan with its line, and the plan that a drawing remembers given back."""

from __future__ import annotations

import hashlib
import io
import json
import re
from pathlib import Path

import pytest

from svgfit.model.plan import Plan

BROKEN = """\
nte = "x"
include = "gone.toml"
[values]
up = "1/4 in"
down = "2 in"
[[step]]
do = "cap-rise"
amount = "1 in"
[[step]]
do = "cap-raise"
amount = "1"
at = "x"
hight = 3
[[step]]
do = "seam-check"
piece = "Sleeve"
a = "cap"
b = { of = "Sleeve", measure = "cap ease" }
[[step]]
do = "cap-rise"
amount = { value = "upp" }
note = 3
[[step]]
do = "cap-raise"
[[ends]]
"cap hight" = "1 in"
"cap ease" = { 10 = "2", 12 = "3 in" }
"""
TUCK = """
from svgfit.plugin import Operation, Outcome, Parameter, hookimpl

@hookimpl
def svgfit_operations():
    parameters = (Parameter("width", "length", "how wide"),)
    run = lambda job: Outcome(pieces=job.pieces)
    return [Operation("tuck", "Does nothing yet.", parameters, run, kinds=("sleeve",))]
"""


def test_every_fault_is_told_with_its_line_and_nothing_else(svgfit, here):
    (here / "broken.toml").write_text(BROKEN)
    done = svgfit("plan", "check", "broken.toml")
    assert (done.status, done.out) == (2, "")
    lines = done.err.splitlines()
    told = [line.partition("line ")[2].partition(":")[0] for line in lines if "warning" not in line]
    assert told == ["1", "2", "7", "11", "12", "13", "17", "18", "16", "21", "22", "20", "23", "26", "27"]
    for words in (
        "nte: there is no key 'nte' here; did you mean 'note'?",
        "include: there is no file gone.toml",
        "there is no operation 'cap-rise'; did you mean cap-raise?",
        "hight: cap-raise has no such parameter; did you mean height?",
        "piece: seam-check takes no piece",
        "there is no value 'upp' in [values]; did you mean up?",
        "cap-raise: amount or height must be given",
        "cap ease: '2' has no unit",
    ):
        assert any(words in line for line in lines), words
    assert "svgfit: warning: broken.toml line 4: values.up is used nowhere" in lines


def test_a_plan_without_faults_is_told_in_one_line(svgfit, here):
    (here / "more.toml").write_text('[[ends]]\n"cap ease" = "1 in"\n')
    (here / "plan.toml").write_text('include = "more.toml"\n[[step]]\ndo = "cap-raise"\namount = "1/4 in"\n')
    done = svgfit("plan", "check", "plan.toml", "smock.plan.toml")
    assert done == (
        0,
        "plan.toml: 1 step, 1 table of ends, 1 plan included; nothing wrong that can be known without drawings\n"
        "smock.plan.toml: 3 steps; nothing wrong that can be known without drawings\n",
        "",
    )


@pytest.mark.parametrize("text", ["x = [", ""])
def test_what_is_no_plan_is_told(svgfit, here, text):
    (here / "none.toml").write_text(text)
    done = svgfit("plan", "check", "none.toml")
    assert done.status == 2
    assert len(done.err.splitlines()) == 1


def test_a_drawing_gives_its_plan_back_and_it_gives_the_drawing(svgfit, here):
    (here / "base.toml").write_text('[[step]]\ndo = "cap-raise"\npiece = "Sleeve"\namount = { value = "up" }\n')
    (here / "plan.toml").write_text(
        'note = "for \\"Puck\\""\ninclude = "base.toml"\n[values]\nup = "1/4 in"\n'
        '[[step]]\ndo = "ease-spread"\namount = { of = "Sleeve", measure = "cap ease", times = 0.5 }\n'
        'when = { measure = "cap ease", over = "1/4 in", under = "2 in" }\nnote = "half\\u007f"\n'
        '[[step]]\ndo = "seam-allowance"\npiece = ["Front", "Back"]\nwidth = "1/2 in"\n'
        '[[ends]]\npiece = "Sleeve"\n"cap ease" = "3/4 in"\n'
    )
    assert svgfit("adjust", "smock.svg", "--plan", "plan.toml", "-o", "one.svg").status in (0, 1)
    shown = svgfit("plan", "show", "one.svg")
    assert shown.status == 0
    (here / "back.toml").write_text(shown.out)
    was, now = Plan.read("plan.toml"), Plan.read("back.toml")
    for one, other in zip((*was.steps, *was.ends), (*now.steps, *now.ends), strict=True):
        for name in ("do", "piece", "asked", "by_size", "measured", "when", "note"):
            assert getattr(one, name) == getattr(other, name)
    assert was.note == now.note
    assert svgfit("adjust", "smock.svg", "--plan", "back.toml", "-o", "two.svg").status in (0, 1)
    assert (here / "one.svg").read_bytes() == (here / "two.svg").read_bytes()


def test_amounts_by_size_are_given_back(svgfit, here):
    assert svgfit("adjust", "smock-sizes.svg", "--plan", "smock-sizes.plan.toml", "-o", "one.svg").status == 0
    (here / "back.toml").write_text(svgfit("plan", "show", "one.svg").out)
    assert [step.by_size for step in Plan.read("back.toml").steps] == [
        step.by_size for step in Plan.read("smock-sizes.plan.toml").steps
    ]


def test_of_plans_run_one_on_the_other_each_is_given_back(svgfit, refused, here):
    assert svgfit("adjust", "smock.svg", "--do", "cap-raise amount='1/4 in'", "-o", "one.svg").status == 0
    more = ("--from", "adjusted", "--do", "ease-spread amount='1/8 in'")
    assert svgfit("adjust", "one.svg", *more, "-o", "two.svg").status == 0
    last = svgfit("plan", "show", "two.svg").out
    assert last.startswith("# two.svg: plan 2 of 2 that were run on it, on outlines adjusted before.\n")
    assert 'do = "ease-spread"' in last
    assert 'do = "cap-raise"' in svgfit("plan", "show", "two.svg", "--number", "1").out
    assert "it remembers 2 plans, so there is no plan 3; give --number 1 to 2" in refused(
        "plan", "show", "two.svg", "--number", "3"
    )
    assert "smock.svg: no plan stands in it; svgfit adjust writes one" in refused("plan", "show", "smock.svg")


PACKED = """
from svgfit.plugin import hookimpl
from .work import tuck

@hookimpl
def svgfit_operations():
    return [tuck]
"""
WORK = """
from svgfit.plugin import Operation, Outcome, Parameter, sewing

def run(job):
    return Outcome(pieces=job.pieces, warnings=(f"{job.piece.title}: {job.values['width']:.1f} wide",))

tuck = Operation("tuck", "Says how wide.", (Parameter("width", "length", "how wide"),), run, kinds=("sleeve",))
"""


@pytest.mark.parametrize("packed", [False, True])
def test_what_plan_show_prints_gives_the_same_bytes_on_the_original_also_with_plug_ins(
    svgfit, here, monkeypatch, packed
):
    """A plug-in of one file and one of a folder; the plan goes round by a file and by a pipe."""
    (here / "own" / "tuck").mkdir(parents=True)
    if packed:
        (here / "own" / "tuck" / "__init__.py").write_text(PACKED)
        (here / "own" / "tuck" / "work.py").write_text(WORK)
    else:
        (here / "own" / "tuck.py").write_text(TUCK)
    steps = ("--do", "tuck width='1/4 in' note='a # sign, a \\ and ü'", "--do", "cap-raise amount='1/4 in'")
    assert svgfit("adjust", "smock.svg", "--plugins", "own", *steps, "-o", "one.svg").status == 0
    shown = svgfit("plan", "show", "one.svg").out
    assert re.search(rf"^# done by the plug-in {'tuck' if packed else 'tuck.py'} sha256 [0-9a-f]{{16}}$", shown, re.M)
    (here / "back.toml").write_text(shown, encoding="utf-8")
    again = ("adjust", "smock.svg", "--plugins", "own", "--plan")
    assert svgfit(*again, "back.toml", "-o", "two.svg").status == 0
    assert (here / "two.svg").read_bytes() == (here / "one.svg").read_bytes()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(shown.encode())))
    assert svgfit(*again, "-", "-o", "three.svg").status == 0
    assert (here / "three.svg").read_bytes() == (here / "one.svg").read_bytes()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "plan from the pipe: has no steps"),
        (b"\xff\xfe", "plan from the pipe: is not UTF-8 text"),
        (b'[[step]]\ndo = "cap-rise"\n', "plan from the pipe line 2: there is no operation 'cap-rise'; did you mean"),
        (b'include = "smock.plan.toml"\n', "plan from the pipe line 1: include: takes in 'smock.plan.toml', and"),
    ],
)
def test_a_piped_plan_that_can_not_be_done_is_refused_with_its_line(refused, here, monkeypatch, data, words):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(data)))
    assert words in refused("adjust", "smock.svg", "--plan", "-", "-o", "out.svg")
    assert not (here / "out.svg").exists()


def test_a_pipe_is_not_watched(refused):
    assert "a plan from a pipe can't be watched" in refused("watch", "smock.svg", "--plan", "-", "-o", "out.svg")


def test_a_step_that_a_plug_in_did_names_it_and_its_version(svgfit, here):
    (here / "own").mkdir()
    (here / "own" / "tuck.py").write_text(TUCK)
    steps = ("--do", "tuck piece=Sleeve", "--do", "cap-raise amount='1/4 in'")
    assert svgfit("adjust", "smock.svg", "--plugins", "own", *steps, "-o", "one.svg").status == 0
    version = f"tuck.py sha256 {hashlib.sha256(TUCK.encode()).hexdigest()[:16]}"
    shown = svgfit("plan", "show", "one.svg").out
    assert f'do = "tuck"\npiece = "Sleeve"\n# done by the plug-in {version}\n' in shown
    assert shown.count("done by") == 1, "svgfit's own operations name no plug-in"
    assert "/own" not in (here / "one.svg").read_text(), "nobody is told in whose folder a plug-in lay"
    listed = json.loads(svgfit("plugins", "--plugins", "own", "--json").out)
    assert next(row for row in listed if row["name"] == "tuck")["version"] == version
    (here / "own" / "tuck.py").write_text(TUCK + "# changed\n")
    done = svgfit("adjust", "one.svg", "--plugins", "own", "--from", "adjusted", "--undo", "1", "-o", "two.svg")
    assert done.status == 0
    assert f"the plan in it, step 1: tuck was done by {version}; here it is tuck.py sha256 " in done.err
    assert "which may give something else" in done.err


@pytest.mark.parametrize(
    "words", [("operations", "--json"), ("operations", "cap-raise", "--json"), ("plugins", "--json")]
)
def test_lists_as_json(svgfit, here, words):
    done = svgfit(*words)
    assert (done.status, done.err) == (0, "")
    found = json.loads(done.out)
    rows = found if isinstance(found, list) else [found]
    row = next(row for row in rows if row["name"] == "cap-raise")
    assert row["version"].startswith("svgfit ")
    if words[0] == "plugins":
        assert (row["supplies"], row["status"], row["why"], row["from"]) == ("operation cap-raise", "ok", "", "stock")
        return
    assert row["works_on"] == ["sleeve"]
    assert row["one_of"] == [["amount", "height"]]
    height = next(item for item in row["parameters"] if item["name"] == "height")
    assert (height["kind"], height["minimum"]) == ("length", 1.0)


def test_a_plug_in_that_fails_is_in_the_list_with_its_reason(svgfit, here):
    (here / "own").mkdir()
    (here / "own" / "tuck.py").write_text("1 / 0\n")
    row = next(row for row in json.loads(svgfit("plugins", "--plugins", "own", "--json").out) if row["name"] == "tuck")
    assert (row["status"], row["supplies"]) == ("failed", None)
    assert "ZeroDivisionError" in row["why"]
    done = svgfit("operations", "--plugins", "own", "--json")
    assert "tuck" not in [row["name"] for row in json.loads(done.out)]
    assert "operation tuck is left out: " in done.err


def test_what_operations_and_plugins_print_as_json_is_on_the_page(svgfit, tmp_path, monkeypatch):
    page = (Path(__file__).parents[2] / "docs" / "report.md").read_text(encoding="utf-8")
    page = page[page.index("## What `operations --json`") : page.index("## The layers")]
    head, _, tail = page.partition("`svgfit plugins --json` prints")

    def named(text: str) -> set[str]:
        rows = [line.split("|")[1] for line in text.splitlines() if line.startswith("| ") and "`" in line.split("|")[1]]
        return {name for row in rows for name in re.findall(r"`([a-z_]+)`", row)}

    operation = json.loads(svgfit("operations", "cap-raise", "--json").out)
    assert named(head) == {*operation, *operation["parameters"][0]}
    assert named(tail) == set(json.loads(svgfit("plugins", "--json").out)[0])
