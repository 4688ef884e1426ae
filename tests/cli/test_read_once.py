"""Each drawing is parsed once a command, and each plan run once for every size; a page never mixes two versions."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from svgfit.app import open_drawings
from svgfit.app import run as runs
from svgfit.cli import main
from svgfit.svg import reader
from tests.cli.conftest import DEMOS

RAISE = ["--do", "cap-raise piece=Sleeve amount='1/4 in'"]
COMMANDS = {
    "inspect": ["inspect", "smock.svg"],
    "inspect, a nest": ["inspect", "smock-sizes.svg", "--sizes", "12,14"],
    "measure": ["measure", "fitted.svg", "--from", "adjusted"],
    "check": ["check", "smock.svg"],
    "walk": ["walk", "smock.svg"],
    "walk, drawn": ["walk", "fitted.svg", "-o", "walked.svg"],
    "adjust": ["adjust", "smock.svg", *RAISE, "-o", "out.svg", "--report", "out.json"],
    "adjust, a nest": ["adjust", "smock-sizes.svg", "--plan", "smock-sizes.plan.toml", "-o", "out.svg"],
    "adjust, gone on": ["adjust", "fitted.svg", "--from", "adjusted", *RAISE, "-o", "out.svg"],
    "adjust, ends": ["adjust", "smock.svg", "--ends", "cap-height='5 7/8 in'", "-o", "out.svg"],
    "plot": ["plot", "smock.svg", "-o", "plot.svg"],
    "advise": ["advise", "smock.svg", "--body", "players.toml", "--person", "Ines"],
    "picture, png": ["picture", "fitted.svg", "-o", "out.png", "--width", "300"],
    "picture, html": ["picture", "fitted.svg", "-o", "out.html"],
    "picture, html of a nest": ["picture", "nest.svg", "-o", "out.html"],
    "picture, html, gone on": ["picture", "twice.svg", "-o", "out.html"],
    "handout": ["handout", "fitted.svg", "-o", "out.pdf", "--mini", "1/4"],
    "handout, two": ["handout", "fitted.svg", "teaching-sleeve.svg", "-o", "out.pdf"],
    "handout, a size of a nest": ["handout", "nest.svg", "-o", "out.pdf", "--size", "12", "--mini", "1/4"],
    "handout, gone on": ["handout", "twice.svg", "-o", "out.pdf"],
    "demo": ["demo", "shown"],
}
SLOW = ("plot", "advise", "handout, a size of a nest")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """The demo's files, one adjusted, one adjusted twice, a nest adjusted."""
    made = tmp_path_factory.mktemp("once")
    for file in DEMOS.iterdir():
        if file.suffix in (".svg", ".toml"):
            (made / file.name).write_bytes(file.read_bytes())
    for drawing, plan, out in (
        ("smock.svg", ["--plan", str(made / "smock.plan.toml")], "fitted.svg"),
        ("fitted.svg", ["--from", "adjusted", *RAISE], "twice.svg"),
        ("smock-sizes.svg", ["--plan", str(made / "smock-sizes.plan.toml")], "nest.svg"),
    ):
        assert main(["adjust", str(made / drawing), *plan, "-o", str(made / out), "--quiet"]) in (0, 1)
    return made


@pytest.fixture
def counted(monkeypatch):
    """How often each drawing was parsed, by its bytes; how often each plan was run on each size's pieces."""
    parsed: Counter[tuple[str, int]] = Counter()
    done: Counter[object] = Counter()
    parse, run_plan = reader.parse, runs.run_plan

    def counting_parse(source):
        parsed[source.file, hash(source.utf8)] += 1
        return parse(source)

    def counting_run(pieces, seams, plan, *rest, **more):
        if plan.steps or plan.ends:
            done[plan, tuple((piece.title, piece.outline().segments.tobytes()) for piece in pieces)] += 1
        return run_plan(pieces, seams, plan, *rest, **more)

    monkeypatch.setattr(reader, "parse", counting_parse)
    monkeypatch.setattr(runs, "run_plan", counting_run)
    monkeypatch.setattr("svgfit.app.process_pool._workers", lambda: 1)  # what a child counts is lost
    return parsed, done


@pytest.mark.slow_after(5)
@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.slow] if name in SLOW else []) for name in COMMANDS]
)
def test_every_drawing_is_parsed_once_and_every_plan_run_once(name, folder, counted, monkeypatch, tmp_path, capsys):
    for file in folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    monkeypatch.chdir(tmp_path)
    parsed, done = counted
    assert main(COMMANDS[name]) in (0, 1), capsys.readouterr().err
    assert set(parsed.values()) == {1}, parsed
    assert set(done.values()) <= {1}
    if name.startswith(("adjust", "handout", "picture, html")):
        assert done


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    "command", [["handout", "fitted.svg", "-o", "out.pdf"], ["picture", "fitted.svg", "-o", "out.html"]]
)
def test_a_drawing_saved_while_a_page_is_made_does_not_get_into_it(command, folder, monkeypatch, tmp_path):
    """A second version is put in the file's place as soon as the first is read: the page is that of the first alone."""
    for file in folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    monkeypatch.chdir(tmp_path)
    assert main([*command, "--quiet"]) in (0, 1)
    alone = Path(command[-1]).read_bytes()
    load, saved = open_drawings.read_bytes, []

    def loading(path):
        data = load(path)
        Path(path).write_bytes((folder / "smock.svg").read_bytes())
        saved.append(path)
        return data

    monkeypatch.setattr(open_drawings, "read_bytes", loading)
    assert main([*command, "--quiet", "--force"]) in (0, 1)
    assert saved == ["fitted.svg"]
    assert Path(command[-1]).read_bytes() == alone
