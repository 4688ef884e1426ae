"""Measurements as a table: every figure of every piece and size, in the unit that was asked for."""

from __future__ import annotations

import csv

import pytest

import svgfit as library
from tests.cli.conftest import DEMOS


@pytest.mark.parametrize(("unit", "mm", "within"), [("mm", 1.0, 0.005), ("in", 25.4, 0.002), ("cm", 10.0, 0.005)])
def test_every_figure_once(svgfit, tmp_path, unit, mm, within):
    out = tmp_path / "smock.csv"
    assert svgfit("convert", DEMOS / "smock-sizes.svg", "-o", out, "--unit", unit).status == 0
    with out.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    found = {
        (row["piece"], row["size"], row["measurement"]): float(row["value"]) * (mm if row["unit"] == unit else 1)
        for row in rows
    }
    truth = {
        (row.name, row.size, figure.name): figure.before
        for row in library.open_drawings(DEMOS / "smock-sizes.svg").measurements()
        for figure in row.measurements
    }
    assert len(rows) == len(truth)
    assert found == pytest.approx(truth, abs=within)
    assert {row["unit"] for row in rows} == {unit, "deg"}


OPEN = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"
 width="200mm" height="200mm" viewBox="0 0 200 200"><g id="a" inkscape:groupmode="layer"
 inkscape:label="Tab stitch line"><path d="M10 10 L110 10 L110 60 L10 60"/></g></svg>"""


def test_a_piece_that_cannot_be_measured_is_refused(svgfit, tmp_path):
    path, out = tmp_path / "open.svg", tmp_path / "open.csv"
    path.write_text(OPEN, encoding="utf-8")
    assert svgfit("convert", path, "-o", out).status == 2
    assert not out.exists()
    path.write_text(OPEN.replace('10 60"', '10 60 Z"'), encoding="utf-8")
    assert svgfit("convert", path, "-o", out).status == 0
    assert "Tab,,other,outline length,300.00,mm" not in out.read_text(encoding="utf-8")  # inches, unless asked
    assert "Tab,,other,outline length,11.8110,in" in out.read_text(encoding="utf-8").replace("\r", "")


@pytest.mark.parametrize(("ending", "tells"), [("csv", True), ("dxf", True), ("svg", False)])
def test_what_its_figures_rest_on_is_said(svgfit, tmp_path, ending, tells):
    text = (DEMOS / "smock.svg").read_text(encoding="utf-8")
    for role in ("stitch line", "grain line", "fold line"):
        text = text.replace(f'label="Front {role}"', f'label="old {role}"')
    (tmp_path / "cut.svg").write_text(text, encoding="utf-8")
    told = [line for line in svgfit("measure", tmp_path / "cut.svg").err.splitlines() if "guessed" in line]
    assert told
    done = svgfit("convert", tmp_path / "cut.svg", "-o", tmp_path / f"out.{ending}")
    assert done.status == 0
    assert [line in done.err for line in told] == [tells] * len(told)
