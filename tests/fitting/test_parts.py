"""The parts between slashes: they make up the piece, and each has the motions of the slashes that move it."""

from __future__ import annotations

import pytest

from svgfit.fitting.parts import parts_moved
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import spread
from svgfit.geometry.affine import Affine
from svgfit.model.operation import Outcome, replace
from svgfit.plugin import sound_results
from svgfit.plugin.guard import Unusable
from tests.fitting.sleeves import Shape, sleeve

UP, OUT = Affine.shift(-10j), Affine.shift(4 + 0j)


def level(piece, height: float) -> Slash:
    return Slash((300 - 1j * height, -300 - 1j * height), moves=piece.landmark("cap top"))


def test_one_slash_makes_two_parts_that_are_the_piece():
    piece = sleeve(Shape())
    parted = spread(piece, level(piece, 80), UP)
    parts = parted.moved
    assert sorted(part.motion is not None for part in parts) == [False, True]
    assert sum(abs(part.region.area()) for part in parts) == pytest.approx(abs(piece.outline().area()), rel=1e-9)
    (moving,) = [part for part in parts if part.motion is not None]
    assert moving.motion == UP
    assert moving.region.bounds()[3] == pytest.approx(-80)  # the lower edge is the cut
    assert {part.piece for part in parts} == {piece.title}


def test_what_lies_over_two_slashes_has_both_motions_and_all_may_be_set_back():
    piece = sleeve(Shape())
    slashes = ((level(piece, 60), UP), (level(piece, 100), OUT))
    found = {round(part.region.bounds()[3]): part for part in parts_moved(piece, slashes)}
    assert found[-100].motion == UP.then(OUT)
    assert found[-60].motion == UP
    assert found[430].motion is None
    back = Affine.turn(0.1)
    set_back = {round(part.region.bounds()[3]): part.motion for part in parts_moved(piece, slashes, back)}
    assert set_back == {-100: UP.then(OUT).then(back), -60: UP.then(back), 430: back}


def test_without_a_slash_there_are_no_parts():
    assert parts_moved(sleeve(Shape()), ()) == ()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"piece": "Skirt"}, "a piece .Skirt.; the pieces are: Sleeve"),
        ({"edges": ()}, "needs edges"),
        ({"motion": Affine.scale(2)}, "not stretched or mirrored"),
        ({"motion": Affine.mirror(0j, 1j)}, "not stretched or mirrored"),
        ({"motion": Affine.shift(complex("nan"))}, "not stretched or mirrored"),
        ({"cuts": ((0j, 1j),)}, "do not close"),
    ],
)
def test_parts_that_cannot_be_are_refused_with_the_reason(change, why):
    piece = sleeve(Shape())
    moved = spread(piece, level(piece, 80), UP).moved
    whole = Outcome((piece,), moved=moved)
    assert sound_results.outcome(whole, (piece,), lambda _: {}, "x").moved == moved
    with pytest.raises(Unusable, match=why):
        sound_results.outcome(replace(whole, moved=(replace(moved[0], **change),)), (piece,), lambda _: {}, "x")
