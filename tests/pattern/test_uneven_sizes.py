"""Edges that don't grow with their sizes are doubted where the stitch line was drawn from a cut line alone."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import DrawnLine
from svgfit.pattern.uneven_sizes import with_uneven_edges
from tests.fitting.sleeves import Shape, sleeve

SIZES = ("8", "10", "12", "14", "16", "18", "20")


def nest(odd: dict[str, float], *, drawn: tuple[str, ...] = (DrawnLine.CUT,), step: float = 6.0) -> list[Piece]:
    """Grade a sleeve by ``step`` mm a size, some sizes' hems longer by so much than they ought to be."""
    found: list[Piece] = []
    for k, size in enumerate(SIZES):
        piece = sleeve(Shape(front=170.0 + 5 * k, back=162.0 + 5 * k))
        long = 240.0 + step * k + odd.get(size, 0.0)
        edges = tuple(
            replace(edge, curve=Curve.polyline([edge.curve.start, edge.curve.start - long]))
            if edge.name == "hem"
            else edge
            for edge in piece.edges
        )
        found.append(replace(piece, size=size, drawn=drawn, edges=edges))
    return found


def doubted(pieces: list[Piece]) -> dict[str, list[str]]:
    found = with_uneven_edges(pieces)
    assert [piece.title for piece in found] == [piece.title for piece in pieces]
    return {str(piece.size): [text for text in piece.unsure if "beside it" in text] for piece in found if piece.unsure}


@pytest.mark.parametrize("odd", [{"14": 5.5}, {"8": -13.0}, {"20": 30.0}, {"10": 31.7, "14": -5.5}])
def test_the_sizes_that_are_off_are_doubted_and_no_others(odd):
    found = doubted(nest(odd))
    assert set(found) == set(odd)
    assert all(len(texts) == 1 and texts[0].startswith("hem: ") for texts in found.values())


@pytest.mark.parametrize("odd", [{}, {"14": 3.0}, {"8": -6.0}, {"10": -2.0, "16": 2.0}])
def test_a_little_is_no_reason(odd):
    assert not doubted(nest(odd))


def test_steps_of_grading_may_change():
    pieces = nest({size: 4.0 * max(0, k - 3) for k, size in enumerate(SIZES)})
    assert not doubted(pieces)


def test_a_drawn_stitch_line_is_nobody_s_guess():
    assert not doubted(nest({"14": 30.0}, drawn=(DrawnLine.STITCH, DrawnLine.CUT)))


def test_few_sizes_prove_nothing():
    assert not doubted(nest({"14": 30.0})[1:5])


def test_letters_are_put_in_order_by_what_they_enclose():
    names = dict(zip(SIZES, ("XS", "S", "M", "L", "XL", "XXL", "3XL"), strict=True))
    pieces = [replace(piece, size=names[str(piece.size)]) for piece in nest({"14": 5.5})]
    assert set(doubted(pieces[::-1])) == {"L"}
