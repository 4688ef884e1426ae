"""Fifty plug-ins side by side, fifteen broken in fifteen ways: none writes, takes another down, or goes unnamed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.plugin.border_plugins import HEAD, NO_OUTCOME, NO_PIECE, measurer, operation, recogniser

BROKEN_ON_LOADING = {
    "syntax": ("def broken(:\n    pass", "SyntaxError"),
    "import": ("import nothing_of_that_name", "nothing_of_that_name"),
    "leaves": ("import sys\nsys.exit(0)", "SystemExit: 0"),
    "hookless": ("x = 1", "it supplies nothing"),
    "range": (operation("range", "return 0", parameters="Parameter('a', 'number', 'x', '5', maximum=1.0),"), "outside"),
}
BROKEN_ON_RUNNING = ("crossing", "scaled", "notch", "got-nan", "got-unit", "note-stranger", "stranger", "exits")
FINE = 'return Outcome(job.pieces, got=(("cap height", 1.0),))'


HOOK = "@hookimpl\ndef {hook}():\n    return [{record}]\n"
BROKEN_TOO = ("note-nan", "note-long", "allowance", "slid", "gap", "twice", "check", "throws")
"""Further ways of operations."""
OTHER_HOOKS = {
    "check-wear": ("svgfit_checks", "Checker(name='wear', of='piece', check=broken)"),
    "seams-wear": ("svgfit_seams", "SeamFinder(name='wear', find=broken)"),
    "reader-wear": ("svgfit_readers", "formats.Reader('wear', ('.wear',), lambda head: head[:4] == b'WEAR', broken)"),
    "writer-wear": ("svgfit_writers", "formats.Writer('wear', '.wear', broken)"),
    "line-wear": ("svgfit_line_kinds", "LineKind('wear', 'wear', 'red', 0.6, (9.0, 1.0))"),
    "rules-wear": ("svgfit_rules", "AllowanceRule(edge='hem', width=float('nan'))"),
}
"""A broken one for each hook that the first fifty have none of."""


def put_in(folder: Path, name: str, text: str) -> None:
    (folder / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")


def fill(folder: Path) -> None:
    """Fifty files: thirty-five that are fine, fifteen that are not."""
    fill_fine(folder)

    def put(name: str, text: str) -> None:
        put_in(folder, name, text)

    for name, (text, _) in BROKEN_ON_LOADING.items():
        put(name, text)
    for way in BROKEN_ON_RUNNING:
        put(f"do-{way}", operation(f"do-{way}", NO_OUTCOME[way][0]))
    put("measure-nan", measurer("nan", 'yield Measurement("wear", float("nan"))'))
    put("recognise-cuff", recogniser("a-cuff", NO_PIECE["open"][0]).replace('== "Sleeve"', '== "Cuff"'))


def fill_otherwise(folder: Path) -> None:
    """Fifty files likewise, broken in fifteen other ways."""
    fill_fine(folder)
    for way in BROKEN_TOO:
        put_in(folder, f"do-{way}", operation(f"do-{way}", NO_OUTCOME[way][0]))
    for name, (hook, record) in OTHER_HOOKS.items():
        names = "AllowanceRule, Checker, LineKind, SeamFinder, formats, hookimpl"
        head = f"from svgfit.plugin import {names}\n\ndef broken(*_):\n    return 1 / 0\n\n"
        put_in(folder, name, head + HOOK.format(hook=hook, record=record))
    put_in(folder, "measure-text", measurer("wear", 'return [Measurement("wear", "long")]'))


def fill_fine(folder: Path) -> None:
    """Thirty-five that are fine."""
    folder.mkdir()

    def put(name: str, text: str) -> None:
        put_in(folder, name, text)

    for number in range(20):
        put(f"fine-{number}", operation(f"fine-{number}", FINE))
    for number in range(10):
        put(f"measure-fine-{number}", measurer(f"fine {number}", f"yield Measurement('fine {number}', 1.0, 'number')"))
    for number in range(3):
        never = recogniser(f"never-{number}", "return None").replace('float(drawn.name == "Sleeve")', "0.0")
        put(f"recognise-never-{number}", never)
    for number in range(2):
        dialect = f"return [Dialect('no {number}', {900 + number}, lambda root: False, lambda element: None)]"
        put(f"dialect-no-{number}", f"{HEAD}\n@hookimpl\ndef svgfit_dialects():\n    {dialect}\n")


@pytest.fixture
def crowd(here: Path) -> Path:
    fill(here / "mine")
    assert len(list((here / "mine").glob("*.py"))) == 50
    return here


@pytest.fixture
def other_crowd(here: Path) -> Path:
    fill_otherwise(here / "mine")
    assert len(list((here / "mine").glob("*.py"))) == 50
    return here


def written(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if "__pycache__" not in path.parts}


def test_each_broken_one_is_listed_with_its_reason_and_the_others_are_ok(crowd: Path, svgfit) -> None:
    lines = svgfit("plugins", "--plugins", "mine").out.splitlines()
    for name, (_, why) in BROKEN_ON_LOADING.items():
        (line,) = [line for line in lines if line.split()[:2] == ["failed", name]]
        assert why in line
    failed = [line for line in lines if line.startswith("failed")]
    assert len(failed) == len(BROKEN_ON_LOADING)


def test_each_broken_one_is_named_where_it_is_asked_for_and_writes_nothing(crowd: Path, svgfit) -> None:
    before = written(crowd)
    asked = {name: why for name, (_, why) in BROKEN_ON_LOADING.items()}
    asked |= {f"do-{way}": NO_OUTCOME[way][1] for way in BROKEN_ON_RUNNING}
    for name, why in asked.items():
        done = svgfit("adjust", "smock.svg", "--plugins", "mine", "--do", name, "-o", "out.svg", "--report", "o.json")
        assert (done.status, done.out) == (2, ""), name
        lines = [line for line in done.err.splitlines() if not line.startswith("svgfit: warning:")]
        assert len(lines) == 1, done.err
        assert f"plug-in {name} (" in lines[0]
        assert f"{name.replace('-', '_')}.py" in lines[0]
        assert "--do 1" in lines[0]
        assert why in lines[0]
    assert written(crowd) == before


def test_a_broken_measurer_and_a_broken_recogniser_are_named(crowd: Path, svgfit) -> None:
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert done.status == 0
    assert "plug-in measure-nan (mine" in done.err
    assert all(f"fine {number} " in done.out for number in range(10))
    cuff = (crowd / "smock.svg").read_text(encoding="utf-8").replace("Sleeve", "Cuff")
    (crowd / "bare").mkdir()
    (crowd / "bare" / "cuff.svg").write_text(cuff, encoding="utf-8")
    before = written(crowd)
    step = ("--do", "seam-allowance piece=Cuff width='3/4 in'", "-o", "out.svg")
    done = svgfit("adjust", "bare/cuff.svg", "--plugins", "mine", *step)
    assert done.status == 2
    assert "plug-in recognise-cuff (mine" in done.err
    assert written(crowd) == before


def test_what_has_nothing_to_do_with_them_comes_out_the_same(crowd: Path, svgfit) -> None:
    """A stock step's pieces to the byte, an own operation's report."""
    step = ("--do", "cap-raise amount='1/2 in'", "-o")
    assert svgfit("adjust", "smock.svg", *step, "alone.svg").status == 0
    switched = [word for number in range(10) for word in ("--without", f"measure-fine-{number}")]
    place = ("--plugins", "mine", *switched, "--without", "measure-nan")
    assert svgfit("adjust", "smock.svg", *place, *step, "among.svg").status == 0
    assert (crowd / "alone.svg").read_bytes() == (crowd / "among.svg").read_bytes()
    done = svgfit("adjust", "smock.svg", "--plugins", "mine", "--do", "fine-7", "-o", "own.svg")
    assert done.status == 0
    assert (crowd / "own.svg").exists()


# -- fifteen other ways ----------------------------------------------------------------------------------------------


def test_operations_broken_in_other_ways_are_named_and_write_nothing(other_crowd: Path, svgfit) -> None:
    before = written(other_crowd)
    for way in BROKEN_TOO:
        step = ("--do", f"do-{way}", "-o", "out.svg", "--report", "o.json")
        done = svgfit("adjust", "smock.svg", "--plugins", "mine", *step)
        assert (done.status, done.out) == (2, ""), way
        (line,) = [line for line in done.err.splitlines() if not line.startswith("svgfit: warning:")]
        assert NO_OUTCOME[way][1] in line
        assert f"--do 1: do-{way}: plug-in do-{way} (mine" in line
        assert f"do_{way.replace('-', '_')}.py" in line
    assert written(other_crowd) == before


def test_a_broken_one_of_each_other_hook_is_named_and_all_else_stands(other_crowd: Path, svgfit) -> None:
    (other_crowd / "a.wear").write_bytes(b"WEAR and tear")
    before = written(other_crowd)
    alone = {command: svgfit(command, "smock.svg", "--json") for command in ("measure", "check")}
    switched = [word for number in range(10) for word in ("--without", f"measure-fine-{number}")]
    among = {command: svgfit(command, "smock.svg", "--plugins", "mine", *switched, "--json") for command in alone}
    for command, key in (("measure", "pieces"), ("check", "checks")):
        assert among[command].status == alone[command].status
        assert json.loads(among[command].out)[key] == json.loads(alone[command].out)[key]
    for name in ("measure-text", "seams-wear", "rules-wear"):
        assert f"plug-in {name} (mine" in among["measure"].err
    assert "plug-in check-wear (mine" in among["check"].err
    for name, words in (
        ("reader-wear", ("measure", "a.wear")),
        ("writer-wear", ("convert", "smock.svg", "-o", "out.wear")),
    ):
        done = svgfit(*words, "--plugins", "mine")
        assert (done.status, done.out) == (2, "")
        assert f"plug-in {name} (mine" in done.err.splitlines()[-1]
    assert written(other_crowd) == before
    listed = [line for line in svgfit("plugins", "--plugins", "mine").out.splitlines() if line.startswith("failed")]
    assert [line.split()[1] for line in listed] == ["line-wear", "rules-wear"]


def test_none_is_asked_by_a_stock_step_but_what_reads_every_drawing(other_crowd: Path, svgfit) -> None:
    """The step's drawing is the same to the byte; of the broken ones only those are named that were asked."""
    step = ("--do", "cap-raise amount='1/2 in'", "-o")
    assert svgfit("adjust", "smock.svg", *step, "alone.svg").status == 0
    switched = [word for number in range(10) for word in ("--without", f"measure-fine-{number}")]
    broken = [
        word for name in ("check-wear", "seams-wear", "rules-wear", "measure-text") for word in ("--without", name)
    ]
    done = svgfit("adjust", "smock.svg", "--plugins", "mine", *switched, *broken, *step, "among.svg")
    assert done.status == 0
    assert "plug-in" not in done.err
    assert (other_crowd / "alone.svg").read_bytes() == (other_crowd / "among.svg").read_bytes()
