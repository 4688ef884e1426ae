"""Plug-ins that break the border, as a person meets them in the command line: one line, exit 2, nothing written."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from tests.plugin.border_plugins import NO_FIGURE, NO_OUTCOME, NO_PIECE, measurer, operation, recogniser

FIGURES = """
yield Measurement("cloth area", 64516.0, "mm2")
yield Measurement("buttons", 6, "number")
yield Measurement("slant", 20.04, "deg")
yield Measurement("part", 0.3333, "share")
"""


@pytest.fixture
def drawing(here: Path) -> str:
    """The demo's smock, without a word of what its pieces are but their names."""
    (here / "svgfit.toml").unlink()
    return "smock.svg"


def add(here: Path, name: str, text: str) -> None:
    (here / "mine").mkdir(exist_ok=True)
    (here / "mine" / f"{name.replace('-', '_')}.py").write_text(text, encoding="utf-8")


@pytest.mark.parametrize("way", ["crossing", "scaled", "notch", "got-nan", "note-nan", "allowance", "stranger"])
def test_a_broken_operation_is_named_and_writes_nothing(way: str, drawing: str, here: Path, refused) -> None:
    body, why = NO_OUTCOME[way]
    add(here, f"do-{way}", operation(f"do-{way}", body))
    line = refused("adjust", drawing, "--plugins", "mine", "--do", f"do-{way}", "-o", "out.svg", "--report", "out.json")
    assert why in line
    assert f"--do 1: do-{way}: plug-in do-{way} (mine" in line
    assert not (here / "out.svg").exists()
    assert not (here / "out.json").exists()


@pytest.mark.parametrize("way", NO_PIECE)
def test_a_broken_recogniser_is_named_and_blames_no_operation(way: str, drawing: str, here: Path, refused) -> None:
    body, why = NO_PIECE[way]
    add(here, "recognise-cuff", recogniser("a-cuff", body))
    step = ("--do", "seam-allowance piece=Sleeve width='3/4 in'", "-o", "out.svg")
    line = refused("adjust", drawing, "--plugins", "mine", *step)
    assert why in line
    assert "plug-in recognise-cuff (mine" in line
    assert "--without recognise-cuff goes on without it" in line
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize("way", NO_FIGURE)
def test_a_broken_measurer_is_named_and_the_other_figures_stand(way: str, drawing: str, here: Path, svgfit) -> None:
    body, why = NO_FIGURE[way]
    add(here, "measure-wear", measurer("wear", body))
    add(here, "measure-more", measurer("more", FIGURES))
    done = svgfit("measure", drawing, "--plugins", "mine")
    assert done.status == 0
    assert "cap height" in done.out
    assert "buttons" in done.out
    assert "wear" not in done.out
    lines = [line for line in done.err.splitlines() if "plug-in measure-wear (mine" in line]
    assert lines
    assert all(why in line and "left out" in line for line in lines)


def test_every_unit_is_written_as_it_is_read(drawing: str, here: Path, svgfit) -> None:
    add(here, "measure-more", measurer("more", FIGURES))
    for unit, area in (("in", "100.00 sq in"), ("mm", "645.2 cm²"), ("cm", "645.2 cm²")):
        rows = svgfit("measure", drawing, "--plugins", "mine", "--unit", unit).out.splitlines()
        for name, figure in (("cloth area", area), ("buttons", "6"), ("slant", "20.0°"), ("part", "33.3 %")):
            assert any(row.split(name)[-1].strip() == figure for row in rows if row.startswith(name)), (unit, name)
    table = svgfit("measure", drawing, "--plugins", "mine", "--csv").out
    assert "Sleeve,,cloth area,mm2,64516.0,64516.0" in table
    assert "Sleeve,,part,share,0.3333,0.3333" in table
    assert '"unit": "number"' in svgfit("measure", drawing, "--plugins", "mine", "--json").out
    assert svgfit("convert", drawing, "--plugins", "mine", "-o", "out.csv", "--unit", "in").status == 0
    assert "cloth area,100.0000,in2" in (here / "out.csv").read_text(encoding="utf-8")


def test_every_unit_is_drawn_as_it_is_read(drawing: str, here: Path, svgfit) -> None:
    """On the drawn table, in the page and in the report, of what was measured and of what a step got."""
    grows = 'yield Measurement("cloth area", abs(piece.outline().area()), "mm2")'
    add(here, "measure-more", measurer("more", grows))
    body = 'return Outcome(job.pieces, got=(Measurement("buttons", 6, "number"), Measurement("slant", 20.0, "deg")))'
    add(here, "count", operation("count", body))
    steps = ("--do", "cap-raise amount='1/2 in'", "--do", "count")
    done = svgfit("adjust", drawing, "--plugins", "mine", *steps, "-o", "out.svg", "--report", "out.json", "--verbose")
    assert done.status == 0
    assert "buttons   6\n" in done.out
    assert "slant     20.0°\n" in done.out
    drawn = (here / "out.svg").read_text(encoding="utf-8")
    assert "sq in" in drawn
    assert re.search(r"buttons\s+6; slant 20\.0°", unescape(re.sub(r"<[^>]+>", " ", drawn)))
    assert '"got_units": {' in (here / "out.json").read_text(encoding="utf-8")
    assert svgfit("picture", "out.svg", "--plugins", "mine", "-o", "out.html").status == 0
    assert "sq in" in (here / "out.html").read_text(encoding="utf-8")
