"""The example of a kind of piece of its own: a recogniser and a measurer in one file, with public names only."""

from __future__ import annotations

import cmath
from pathlib import Path

import pytest

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry

EXAMPLES = str(Path(__file__).parents[2] / "docs" / "examples" / "plugins")
BAND = (30 + 40j, 290 + 40j, 286 + 105j, 34 + 105j)


@pytest.fixture(scope="module")
def cuffs():
    registry = open_registry([EXAMPLES])
    (recogniser,) = [one for one in registry.recognisers() if one.name == "cuff"]
    (measurer,) = [one for one in registry.measurers() if one.name == "cuff"]
    return recogniser, measurer


def shape(*points: complex) -> Shape:
    return Shape((Curve.polyline(list(points)),), (points[0] == points[-1],))


def cuff(corners=BAND, *, notch: complex | None = 160 + 40j, motion: Affine | None = None) -> DrawnPiece:
    motion = motion or Affine()
    at = [motion.apply(point) for point in corners]
    notches = () if notch is None else (shape(motion.apply(notch), motion.apply(notch - 6j)),)
    return DrawnPiece("a.svg", "Left cuff", stitch=(shape(*at, at[0]),), notches=notches)


def measured(cuffs, drawn: DrawnPiece) -> dict[str, float]:
    recogniser, measurer = cuffs
    return {one.name: one.value for one in measurer.measure(recogniser.recognise(drawn))}


@pytest.mark.parametrize("motion", [Affine(), Affine.turn(1.9), Affine.mirror(0j, 1j)])
def test_a_cuff_is_known_and_measured_however_it_lies(cuffs, motion):
    piece = cuffs[0].recognise(cuff(motion=motion))
    assert piece.kind == "cuff"
    assert [edge.name for edge in piece.edges] == ["sleeve edge", "end back", "wrist edge", "end front"]
    assert [mark.edge for mark in piece.marks] == ["sleeve edge"]
    assert piece.unsure == ()
    found = measured(cuffs, cuff(motion=motion))
    assert found == pytest.approx({"cuff length": 260, "cuff length at the wrist": 252, "cuff depth": 65}, abs=1e-6)


def test_the_edge_with_the_notches_is_the_sleeves_though_it_is_the_shorter(cuffs):
    assert measured(cuffs, cuff(notch=160 + 105j))["cuff length"] == pytest.approx(252)


def test_without_notches_it_is_the_longer_edge_and_where_they_are_alike_a_guess_is_told(cuffs):
    assert measured(cuffs, cuff(notch=None))["cuff length"] == pytest.approx(260)
    box = (0j, 200 + 0j, 200 + 60j, 60j)
    piece = cuffs[0].recognise(cuff(box, notch=None))
    (note,) = piece.unsure
    assert "both long edges are alike" in note


def test_what_has_no_four_corners_is_refused_with_what_to_add(cuffs):
    five = [100 * cmath.exp(2j * cmath.pi * k / 5) for k in range(5)]
    with pytest.raises(Refusal, match=r"a cuff has four corners, this one has 5; name them in svgfit\.toml"):
        cuffs[0].recognise(cuff(tuple(five)))


def test_only_what_is_called_a_cuff_is_one(cuffs):
    assert cuffs[0].suits(cuff()) == 1.0
    assert cuffs[0].suits(DrawnPiece("a.svg", "Scuffed sleeve")) == 0.0
