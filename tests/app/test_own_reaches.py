"""An operation of one's own that reaches an end is taken by ``--ends`` and by advice as svgfit's own are."""

from __future__ import annotations

from pathlib import Path

import pytest

import svgfit
from svgfit.model.body import Person
from svgfit.model.plan import Plan
from tests.app.advising import FITS, SMOCK, of

STRETCH = """
from svgfit.plugin import Affine, Operation, Outcome, Parameter, Reach, hookimpl, replace, sleeves, swap

def run(job):
    x, y = 1.0, 1.0
    if "width" in job.values:
        x = job.values["width"] / sleeves.bicep_width(job.piece)
    if "height" in job.values:
        y = job.values["height"] / sleeves.cap_height(job.piece)
    if "by" in job.values:
        y = 1.0 + job.values["by"] / sleeves.cap_height(job.piece)
    scale = Affine.scale(x, y)
    edges = tuple(replace(edge, curve=edge.curve.transform(scale)) for edge in job.piece.edges)
    marks = tuple(replace(mark, at=scale.apply(mark.at)) for mark in job.piece.landmarks)
    return Outcome(swap(job.pieces, replace(job.piece.with_edges(edges), landmarks=marks, marks=(), darts=())))

@hookimpl
def svgfit_operations():
    words = [Parameter(name, "length", name) for name in ("width", "height", "by")]
    return [Operation("stretch", "Stretches.", words, run, kinds=("sleeve",), reaches=({reaches},))]
"""
WIDTH = 'Reach("bicep width", "width", manner="{}", does="The sleeve is stretched.", rank={})'


@pytest.fixture
def opened(tmp_path: Path):
    def open_with(reaches: str, *without: str) -> svgfit.Session:
        (tmp_path / "stretch.py").write_text(STRETCH.format(reaches=reaches), encoding="utf-8")
        return svgfit.open_drawings(SMOCK, plugins=str(tmp_path), without=without)

    return open_with


@pytest.mark.parametrize(
    ("reaches", "end", "value"),
    [(WIDTH.format("", -1), "bicep width", 360.0), ('Reach("cap height", "height", rank=-1)', "cap height", 150.0)],
)
def test_an_end_is_reached_by_it_where_its_rank_is_lower(opened, reaches: str, end: str, value: float) -> None:
    text = f'[[ends]]\npiece = "Sleeve"\n"{end}" = "{value:g} mm"\n'
    run = opened(reaches).run(Plan.from_toml(text))
    assert run.sizes[0].steps[0].do == "stretch"
    (check,) = [check for check in run.checks if check.name.startswith("end: ") and end in check.name]
    assert check.status == "pass"


def test_advice_tries_it_among_the_ways_to_a_bicep(opened) -> None:
    person = Person("P", measures={**FITS, "upper arm girth": 300.0})
    found = of(opened(WIDTH.format("stretched", "None")).advise(person, style="shirt"), "bicep")
    names = [way.name for way in found.ways]
    assert {"height kept", "stretched"} <= set(names)
    way = next(way for way in found.ways if way.name == "stretched")
    assert way.steps[0].do == "stretch"
    assert "The sleeve is stretched." in way.does
    assert way.costs
    assert not way.reason


def test_advice_raises_a_cap_by_it_where_nothing_else_does(opened) -> None:
    person = Person("P", measures={**FITS, "shoulder tip to bicep line": 150.0})
    reaches = 'Reach("cap height", "height", does="Stretched to", rank=3)'
    stock = of(opened(reaches).advise(person, style="fitted woven"), "cap height")
    own = of(opened(reaches, "cap-raise").advise(person, style="fitted woven"), "cap height")
    assert {step.do for way in stock.ways for step in way.steps} == {"cap-raise"}
    assert {step.do for way in own.ways for step in way.steps} == {"stretch"}


def test_one_that_can_only_change_a_figure_hides_no_other(opened) -> None:
    """It comes first by its rank, but advice asks for the figure itself."""
    person = Person("P", measures={**FITS, "shoulder tip to bicep line": 150.0})
    found = of(opened('Reach("cap height", change="by", rank=-1)').advise(person, style="fitted woven"), "cap height")
    assert {step.do for way in found.ways for step in way.steps} == {"cap-raise"}


def test_of_two_ways_called_alike_the_one_that_changes_less_is_taken(opened) -> None:
    person = Person("P", measures={**FITS, "upper arm girth": 300.0})
    for rank, name in ((99, "bicep-widen"), (-1, "stretch")):
        found = of(opened(WIDTH.format("height kept", rank)).advise(person, style="shirt"), "bicep")
        assert next(way for way in found.ways if way.name == "height kept").steps[0].do == name
