"""What a plug-in measures across pieces: a table of its own, in CSV and in the report; before and after a plan."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from svgfit.render.text.report import schema_text

MEASURES = """
from svgfit.plugin import GarmentMeasurer, Measurement, Measurer, hookimpl, sewing

def both(subject):
    names = [piece for piece in subject.pieces if piece.kind in ("front", "back")]
    yield Measurement({name!r}, sum(sewing.sewn_length(piece, "armhole") for piece in names) - subject_cap(subject))
    yield Measurement("seams", len(subject.seams), "number")

def subject_cap(subject):
    return sewing.sewn_length(subject.named("Sleeve"), "cap")

@hookimpl
def svgfit_measurers():
    return [
        Measurer("half hem", ("sleeve",), lambda piece: [Measurement("half hem", 1.0)]),
        GarmentMeasurer(name="armholes", measure=both),
    ]
"""
BROKEN = """
from svgfit.plugin import GarmentMeasurer, Measurement, hookimpl

def broken(subject):
    {body}

@hookimpl
def svgfit_measurers():
    return [GarmentMeasurer(name="broken", measure=broken)]
"""


@pytest.fixture
def add(here: Path):
    def put(text: str, name: str = "measure_mine") -> None:
        (here / "mine").mkdir(exist_ok=True)
        (here / "mine" / f"{name}.py").write_text(text, encoding="utf-8")

    return put


def test_measure_shows_it_as_table_csv_and_json(add, here: Path, svgfit) -> None:
    add(MEASURES.format(name="less ease"))
    shown = svgfit("measure", "smock.svg", "--plugins", "mine").out
    assert "\nThe garment\n" in shown
    assert "less ease" in shown.partition("The garment")[2]
    rows = svgfit("measure", "smock.svg", "--plugins", "mine", "--csv").out.splitlines()
    figures = {row.split(",")[3]: float(row.split(",")[5]) for row in rows[1:]}
    assert figures["less ease"] == pytest.approx(-figures["cap ease"])
    assert any(row.startswith(",garment,,less ease,mm,") for row in rows)
    report = json.loads(svgfit("measure", "smock.svg", "--plugins", "mine", "--json").out)
    jsonschema.validate(report, json.loads(schema_text()))
    assert [one["name"] for one in report["garment"][0]["measurements"]] == ["less ease", "seams"]
    assert all(piece["kind"] != "garment" for piece in report["pieces"])
    assert svgfit("convert", "smock.svg", "--plugins", "mine", "-o", "out.csv").status == 0
    assert "garment,,garment,seams," in (here / "out.csv").read_text(encoding="utf-8")


def test_adjust_shows_it_before_and_after(add, here: Path, svgfit) -> None:
    add(MEASURES.format(name="less ease"))
    step = ("--do", "cap-raise amount='1/2 in'", "--plugins", "mine")
    done = svgfit("adjust", "smock.svg", *step, "-o", "out.svg", "--report", "out.json")
    assert "less ease" in done.out
    found = json.loads((here / "out.json").read_text())
    (figure, _) = found["garment"][0]["measurements"]
    ease = next(one for piece in found["pieces"] for one in piece["measurements"] if one["name"] == "cap ease")
    assert ease["after"] - ease["before"] > 5
    assert figure["after"] - figure["before"] == pytest.approx(ease["before"] - ease["after"])
    svgfit("picture", "out.svg", "--plugins", "mine", "--from", "adjusted", "-o", "out.html")
    assert "less ease" in (here / "out.html").read_text(encoding="utf-8")


def test_without_it_nothing_is_there(here: Path, svgfit) -> None:
    assert "garment" not in json.loads(svgfit("measure", "smock.svg", "--json").out)


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("return [1 / 0]", "ZeroDivisionError"),
        ("return [Measurement('x', float('nan'))]", "measurement 'x' is nan"),
        ("return [Measurement('x', 1.0, 'cubits')]", "is in 'cubits'"),
        ("subject.named('Hood')", "there is no piece 'Hood'"),
    ],
)
def test_one_that_breaks_is_named_and_the_other_figures_stand(body: str, why: str, add, svgfit) -> None:
    stock = svgfit("measure", "smock.svg")
    add(BROKEN.format(body=body))
    done = svgfit("measure", "smock.svg", "--plugins", "mine")
    assert (done.status, done.out) == (0, stock.out)
    assert any("plug-in measure-mine (mine" in line and why in line for line in done.err.splitlines())


def test_two_that_give_one_name_are_refused_by_both_names(add, refused) -> None:
    add(MEASURES.format(name="less ease"))
    other = MEASURES.format(name="less ease").replace("half hem", "other hem").replace('"armholes"', '"others"')
    add(other, "measure_other")
    line = refused("measure", "smock.svg", "--plugins", "mine")
    assert "'less ease' comes from both plug-in measure-mine (mine" in line
    assert "and plug-in measure-other (mine" in line
    assert line.endswith("or switch it off with --without measure-other")
