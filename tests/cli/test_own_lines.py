"""Plug-ins' own kinds of annotation lines: drawn as they say, explained, on a layer of their own; others refused."""

from __future__ import annotations

from pathlib import Path

import pytest

PLUGIN = """
from svgfit.plugin import Annotation, Curve, LineKind, Operation, Outcome, hookimpl

def run(job):
    cap = job.piece.edge("cap").curve
    return Outcome(job.pieces, annotations=(Annotation({kind!r}, job.piece.title, cap, label="tack here"),))

@hookimpl
def svgfit_operations():
    return [Operation("chalk-it", "Chalks the cap.", (), run, kinds=("sleeve",))]

@hookimpl
def svgfit_line_kinds():
    return [LineKind({named})]
"""
CHALK = '"chalk", "chalk: tack along here", "#CC79A7", 0.6, (5.0, 1.0, 1.0, 1.0, 1.0, 1.0), layer={layer!r}'
STEP = ("--plugins", "mine", "--do", "chalk-it", "-o", "out.svg")


@pytest.fixture
def add(here: Path):
    def put(kind: str = "chalk", named: str = CHALK.format(layer="fitting notes"), name: str = "chalk_it") -> None:
        (here / "mine").mkdir(exist_ok=True)
        (here / "mine" / f"{name}.py").write_text(PLUGIN.format(kind=kind, named=named), encoding="utf-8")

    return put


def layers_of(path: Path) -> dict[str, str]:
    """The layers that svgfit wrote, by their visible names: their text."""
    import re

    found = re.findall(r"<g data-svgfit-digest=.*?\n</g>", path.read_text(encoding="utf-8"), re.DOTALL)
    return {re.search('inkscape:label="([^"]*)"', text)[1]: text for text in found}


def test_a_line_of_its_own_lies_on_its_own_layer_and_the_legend_explains_it(add, here: Path, svgfit) -> None:
    add()
    assert svgfit("adjust", "smock.svg", *STEP).status == 0
    layers = layers_of(here / "out.svg")
    assert list(layers) == ["working lines", "fitting notes", "adjusted", "measurements"]
    assert "#CC79A7" in layers["fitting notes"]
    assert "tack here" in layers["fitting notes"]
    assert "#CC79A7" not in layers["working lines"]
    assert "chalk: tack along here" in layers["measurements"]
    assert "#CC79A7" in layers["measurements"]


def test_without_a_layer_it_lies_among_the_working_lines(add, here: Path, svgfit) -> None:
    add(named=CHALK.format(layer=""))
    svgfit("adjust", "smock.svg", *STEP)
    layers = layers_of(here / "out.svg")
    assert list(layers) == ["working lines", "adjusted", "measurements"]
    assert "#CC79A7" in layers["working lines"]


def test_running_again_replaces_the_layer_and_leaves_none_behind(add, here: Path, svgfit) -> None:
    add()
    svgfit("adjust", "smock.svg", *STEP)
    first = (here / "out.svg").read_bytes()
    assert svgfit("adjust", "out.svg", *STEP[:-1], "again.svg").status == 0
    assert (here / "again.svg").read_bytes() == first
    assert svgfit("adjust", "out.svg", "--do", "cap-raise amount='1/4 in'", "-o", "third.svg").status == 0
    assert "fitting notes" not in layers_of(here / "third.svg")


def test_a_layer_that_is_named_as_one_of_svgfits_gets_another_name(add, here: Path, svgfit) -> None:
    add(named=CHALK.format(layer="adjusted"))
    assert svgfit("adjust", "smock.svg", *STEP).status == 0
    assert list(layers_of(here / "out.svg")) == ["working lines", "adjusted (2)", "adjusted", "measurements"]
    assert svgfit("measure", "out.svg", "--from", "adjusted").status == 0


def test_a_kind_that_nobody_supplies_is_refused(add, here: Path, refused) -> None:
    add(kind="chalc")
    line = refused("adjust", "smock.svg", *STEP)
    assert "chalk-it: plug-in chalk-it (mine" in line
    assert "is of the kind 'chalc', and the kinds are: slash, " in line
    assert "chalk; svgfit_line_kinds supplies others" in line
    assert not (here / "out.svg").exists()


@pytest.mark.parametrize(
    ("named", "why"),
    [
        ("'slash', 'x', '#000000', 0.6, (9.0, 1.0)", "has the name of one of svgfit's own"),
        ("'cut', 'x', '#000000', 0.6, (9.0, 1.0)", "has the name of one of svgfit's own"),
        ("'x', '', '#000000', 0.6, (9.0, 1.0)", "the legend of line kind 'x'"),
        ("'x', 'x', 'red', 0.6, (9.0, 1.0)", "the colour 'red', not one as #RRGGBB"),
        ("'x', 'x', '#000000', 9.0, (9.0, 1.0)", "is 9 mm wide"),
        ("'x', 'x', '#000000', 0.6, (9.0,)", "not dash and gap in turn"),
        ("'x', 'x', '#000000', 0.6, (9.0, float('nan'))", "a dash of line kind 'x' is nan"),
        ("'x', 'x', '#CC79A7', 0.5, (2.7, 1.3)", "looks like svgfit's 'slash' where there is no colour"),
        ("'x', 'x', '#CC79A7', 0.4", "looks like svgfit's 'detail' where there is no colour"),
    ],
)
def test_a_line_that_cannot_be_is_failed_on_loading(named: str, why: str, add, svgfit) -> None:
    add(named=named)
    assert why in " ".join(svgfit("plugins", "--plugins", "mine").out.split())


def test_two_of_one_name_are_refused_and_two_alike_are_told(add, here: Path, svgfit, refused) -> None:
    add()
    other = (
        "from svgfit.plugin import LineKind, hookimpl\n@hookimpl\ndef svgfit_line_kinds():\n    return [LineKind({})]\n"
    )
    (here / "mine" / "line_other.py").write_text(other.format(CHALK.format(layer="")), encoding="utf-8")
    line = refused("adjust", "smock.svg", *STEP)
    assert "chalk_it.py" in line
    assert "line_other.py" in line
    text = other.format(CHALK.format(layer="").replace('"chalk"', '"other"'))
    (here / "mine" / "line_other.py").write_text(text, encoding="utf-8")
    done = svgfit("adjust", "smock.svg", *STEP)
    assert done.status == 0
    assert "the lines 'chalk' and 'other' of plug-ins look alike" in done.err
