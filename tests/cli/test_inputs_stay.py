"""Whatever a run reads, no output of it replaces, even with --force; and where one output fails, none is written."""

from __future__ import annotations

import os

import pytest

SPREAD = "ease-spread piece=Sleeve amount='1/4 in'"
PLUGIN = '"""A plug-in."""\nfrom svgfit.plugin import hookimpl\n'


def files(here):
    return {name: (here / name).read_bytes() for name in os.listdir(here) if (here / name).is_file()}


PLAN = ("--plan", "smock.plan.toml")


@pytest.mark.parametrize(
    "words",
    [
        ("adjust", "smock.svg", *PLAN, "-o", "smock.plan.toml"),
        ("adjust", "smock.svg", *PLAN, "-o", "./svgfit.toml"),
        ("adjust", "smock.svg", *PLAN, "-o", "new.svg", "--report", "smock.plan.toml"),
        ("adjust", "smock.svg", *PLAN, "-o", "new.svg", "--report", "svgfit.toml"),
        ("adjust", "smock.svg", *PLAN, "-o", "new.svg", "--convention", "mine.toml", "--report", "mine.toml"),
        ("adjust", "smock.svg", *PLAN, "-o", "new.svg", "--plugins", ".", "--report", "own_step.py"),
        ("plot", "smock.svg", "-o", "svgfit.toml"),
        ("walk", "smock.svg", "-o", "svgfit.toml"),
        ("advise", "smock.svg", "--body", "players.toml", "--person", "Ines Marlow", "-o", "players.toml"),
        ("advise", "smock.svg", "--body", "players.toml", "--person", "Ines Marlow", "-o", "svgfit.toml"),
        ("handout", "smock.svg", "--convention", "mine.pdf", "-o", "mine.pdf"),
        ("picture", "smock.svg", "--convention", "mine.png", "-o", "mine.png"),
        ("picture", "smock.svg", "--convention", "mine.html", "-o", "mine.html"),
    ],
)
def test_no_output_replaces_what_was_read(refused, here, words):
    for name in ("mine.toml", "mine.pdf", "mine.png", "mine.html"):
        (here / name).write_bytes((here / "svgfit.toml").read_bytes())
    (here / "own_step.py").write_text(PLUGIN)
    before = files(here)
    assert "is one of the files read" in refused(*words, "--force")
    assert files(here) == before


def test_where_the_report_cannot_be_written_no_drawing_is(refused, here, monkeypatch):
    real = os.replace

    def replace(one, other):
        if str(other).endswith(".json"):
            raise OSError(28, "No space left on device")
        real(one, other)

    (here / "new.svg").write_bytes(b"old")
    before = files(here)
    monkeypatch.setattr(os, "replace", replace)
    line = refused("adjust", "smock.svg", "--do", SPREAD, "-o", "new.svg", "--report", "new.json", "--force")
    assert line.endswith("cannot be written (No space left on device); make room on the disk, or write to another one")
    assert files(here) == before


def test_where_plans_cannot_be_written_no_folder_is_left(refused, here, monkeypatch):
    monkeypatch.setattr(os, "replace", lambda *_: (_ for _ in ()).throw(OSError(13, "Permission denied")))
    line = refused("advise", "smock.svg", "--body", "players.toml", "-o", "plans")
    assert "check the folder and your rights" in line
    assert not (here / "plans").exists()
