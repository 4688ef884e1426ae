"""A cap or armhole slashed by hand and traced with its jogs is one edge; where that can't be told it is refused."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways_text
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.corners import find_jogs
from tests.fitting.slashed import joined, level_slash, upright_slash
from tests.fitting.sleeves import Shape, cap_curve, sleeve
from tests.plugins.stock import stock

from .bodices import Bodice, bodice
from .drawings import draw

recognise_bodice = stock("recognisers/bodice").recognise
recognise_sleeve = stock("recognisers/sleeve").recognise

SHAPES = (Shape(), Shape(height=100.0, scoop=0.45), Shape(front=140.0, back=150.0, height=150.0, crown=0.5))
STEPS = (1.0, 2.0, 4.0, 6.0, -1.0, -2.0, -4.0, -6.0)
WAYS = {
    "level": lambda cap, high, by: level_slash(cap, 0.45 * high, by),
    "low": lambda cap, high, by: level_slash(cap, 0.12 * high, by),
    "two levels": lambda cap, high, by: level_slash(level_slash(cap, 0.3 * high, by), 0.65 * high, by),
    "upright": lambda cap, high, by: upright_slash(cap, 0.5, by),
    "two uprights": lambda cap, high, by: upright_slash(upright_slash(cap, 0.3, by), 0.7, by),
}


def recognised(piece: Piece) -> Piece:
    return recognise_sleeve(draw(piece, Affine.shift(300 + 300j)))


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("shape", SHAPES, ids=["plain", "low", "high"])
def test_the_cap_runs_from_underarm_to_underarm_whatever_jogs_are_in_it(shape: Shape, way: str) -> None:
    for by in STEPS:
        cap = WAYS[way](cap_curve(shape), shape.height, by)
        found = recognised(sleeve(shape, cap))
        assert [edge.name for edge in found.edges] == ["cap", "underarm back", "hem", "underarm front"]
        assert sewn_length(found, "cap") == pytest.approx(cap.length(), abs=1e-3)
        jogs = [note for note in found.guessed if "is taken for a jog within an edge" in note]
        assert jogs or (way, by > 0) == ("upright", True), "a spread at the top is level and no corner"


def test_a_jog_is_told_with_its_size_and_place() -> None:
    shape = Shape()
    cap = level_slash(cap_curve(shape), 60.0, 4.0)
    (one, other) = (note for note in recognised(sleeve(shape, cap)).guessed if "jog" in note)
    assert both_ways_text(one).startswith("a step of 4.0 mm (3/16 in) at x ")
    assert other != one


def test_corners_that_might_be_either_are_refused_not_guessed() -> None:
    """A step of 4 mm in the underarm seam, 6 mm below its corner: to one side it and the corner cancel one another."""
    shape = Shape()
    plain_one = sleeve(shape)
    seam = plain_one.edge("underarm front")
    along = (seam.curve.end - seam.curve.start) / abs(seam.curve.end - seam.curve.start)
    said: list[str] = []
    for side in (1, -1):
        step = seam.curve.end - 6 * along + 4j * side * along
        curve = Curve.polyline([seam.curve.start + 4j * side * along, step, seam.curve.end - 6 * along, seam.curve.end])
        edges = [*plain_one.edges[:3], replace(seam, curve=curve)]
        edges[2] = replace(edges[2], curve=Curve.polyline([edges[2].curve.start, curve.start]))
        piece = replace(plain_one, edges=tuple(edges))
        try:
            found = recognised(piece)
        except Refusal as refusal:
            said.append(refusal.line())
        else:
            assert sewn_length(found, "cap") == pytest.approx(piece.edge("cap").curve.length(), abs=1e-3)
    (line,) = said
    assert "which of them is a corner" in line
    assert 'mark "underarm front"' in line


def test_an_armhole_with_a_jog_is_one_edge_too() -> None:
    piece = bodice(Bodice("front"))
    armhole = piece.edge("armhole")
    t = armhole.curve.at_length(0.55 * armhole.curve.length())
    low, high = armhole.curve.split(t)
    shift = Affine.shift(4 + 0j)
    curve = joined([low, high.transform(shift)])
    edges = [*piece.edges]
    edges[0] = replace(armhole, curve=curve)
    edges[1] = replace(edges[1], curve=Curve.polyline([curve.end, edges[1].curve.end]))
    found = recognise_bodice(draw(replace(piece, edges=tuple(edges)), Affine.shift(400 + 500j), notches=False))
    assert sewn_length(found, "armhole") == pytest.approx(curve.length(), abs=1e-3)
    assert any("a step of 4.0 mm" in both_ways_text(note) for note in found.guessed)


def test_real_corners_are_no_jogs() -> None:
    for piece in (
        sleeve(Shape()),
        sleeve(Shape(scoop=0.35, wrist=0.9)),
        bodice(Bodice("front")),
        bodice(Bodice("back")),
    ):
        assert find_jogs(piece.outline()) == []
    square = Curve.polyline([0j, 5 + 0j, 5 + 5j, 5j, 0j])
    assert find_jogs(square) == []


def test_what_to_mark_is_a_landmark_of_that_kind_of_piece() -> None:
    """The like of the sleeve's in a side seam: the message names a bodice's corners, and one of them settles it."""
    plain_one = bodice(Bodice("front"))
    seam = plain_one.edge("side seam")
    along = (seam.curve.end - seam.curve.start) / abs(seam.curve.end - seam.curve.start)
    said: list[str] = []
    for side in (1, -1):
        off = 4j * side * along
        step = seam.curve.end - 6 * along
        curve = Curve.polyline([seam.curve.start + off, step + off, step, seam.curve.end])
        edges = [*plain_one.edges]
        edges[-1] = replace(seam, curve=curve)
        edges[-2] = replace(edges[-2], curve=Curve.polyline([edges[-2].curve.start, curve.start]))
        drawn = draw(replace(plain_one, edges=tuple(edges)), Affine.shift(400 + 500j), notches=False)
        try:
            recognise_bodice(drawn)
        except Refusal as refusal:
            said.append(refusal.line())
            at = Affine.shift(400 + 500j).apply(seam.curve.end)
            recognise_bodice(replace(drawn, landmarks=(("underarm", at),)))
    (line,) = said
    assert "which of them is a corner" in line
    assert 'mark "underarm", "shoulder tip"' in line
    assert "underarm front" not in line
