"""Fifty plug-ins side by side, fifteen broken in fifteen ways: none writes, takes another down, or goes unnamed."""

from __future__ import annotations

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


def fill(folder: Path) -> None:
    """Fifty files: thirty-five that are fine, fifteen that are not."""
    folder.mkdir()

    def put(name: str, text: str) -> None:
        (folder / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")

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
    for name, (text, _) in BROKEN_ON_LOADING.items():
        put(name, text)
    for way in BROKEN_ON_RUNNING:
        put(f"do-{way}", operation(f"do-{way}", NO_OUTCOME[way][0]))
    put("measure-nan", measurer("nan", 'yield Measurement("wear", float("nan"))'))
    put("recognise-cuff", recogniser("a-cuff", NO_PIECE["open"][0]).replace('== "Sleeve"', '== "Cuff"'))


@pytest.fixture
def crowd(here: Path) -> Path:
    fill(here / "mine")
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
