"""Figures in teaching pictures are those of the table: edges as sewn, darts closed."""

from __future__ import annotations

from msgspec.structs import replace

from svgfit.fitting.measure import measure_piece
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Mark, Piece
from svgfit.model.vocabulary import EdgeName, Unit
from svgfit.render.pdf.before_after import side_by_side
from svgfit.render.pdf.notch_moves import notch_moves
from svgfit.render.pdf.step_sentences import length
from tests.pattern.bodices import Bodice, bodice
from tests.pattern.test_darts import cut_in

INCHES = Units(Unit.IN)


def with_dart(**shape: float) -> Piece:
    return cut_in(bodice(Bodice("front", **shape)), "side seam", 0.6, 40.0, 80.0)


def sewn(piece: Piece, name: str) -> float:
    return next(one.value for one in measure_piece(piece) if one.name == name)


def test_before_and_after_show_the_tables_figure_and_say_that_darts_are_closed() -> None:
    before, after = with_dart(), with_dart(length=410.0)
    pictures = side_by_side((before, after), (measure_piece(before), measure_piece(after)), INCHES, 120.0, 150.0)
    for piece, picture in zip((before, after), pictures, strict=True):
        figure = length(sewn(piece, EdgeName.SIDE_SEAM), INCHES)
        assert figure != length(piece.edge(EdgeName.SIDE_SEAM).curve.length(), INCHES)
        labels = [label.lines for label in picture.labels if label.lines[:2] == ("side", "seam")]
        assert labels == [("side", "seam", figure, "darts closed")]


def test_a_notchs_place_is_told_with_the_darts_closed() -> None:
    piece = with_dart()
    at = [piece.edge(EdgeName.SIDE_SEAM).from_front().point(t) for t in (0.2, 0.1)]
    before, after = (
        replace(piece, marks=(Mark("notch", (Curve.polyline([one, one + 6]),), EdgeName.SIDE_SEAM, one),))
        for one in (piece.edge(EdgeName.SIDE_SEAM).from_front().end + 0j, at[0])
    )
    (row,) = notch_moves(before, after)
    assert abs(row.before - sewn(piece, EdgeName.SIDE_SEAM)) < 1e-6
    assert row.start.endswith("darts closed")
