"""Cut lines and the stitch lines within them. The rules of allowances are common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.selfcross import self_crossing
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.allowance import allowance_of, cut_line, measured_allowances, rank, stitch_edges, tidy_width
from svgfit.pattern.sides import along
from tests.fitting.sleeves import Shape, shapes, sleeve

from .bodices import Bodice, bodice, bodices

many = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
widths = st.tuples(st.floats(5, 20), st.floats(5, 20), st.floats(8, 45))
MIDDLE = np.linspace(0.1, 0.9, 33).tolist()


def with_widths(piece: Piece, wide: tuple[float, float, float]) -> Piece:
    """Allowances by rank: armhole and neck edges, seams pressed open, hem."""
    return piece.with_edges(
        tuple(replace(e, allowance=0.0 if e.fold else wide[rank(e.name) - 1]) for e in piece.edges)
    )


def roomy(piece: Piece, times: float = 1.3) -> bool:
    """Whether no hollow of the stitch line is tighter than its allowance has room for."""
    for edge in piece.edges:
        tightest = max(abs(edge.curve.curvature(k / 40)) for k in range(40 * len(edge.curve) + 1))
        if tightest * times * (edge.allowance or 0.0) >= 1:
            return False
    return True


def outward(piece: Piece, edge: Edge) -> np.ndarray:
    """Points beside an edge's middle four fifths, at its allowance."""
    points = along(edge.curve, MIDDLE)
    ways = np.array([edge.curve.tangent(edge.curve.nearest(complex(point))[0]) for point in points])
    return points + (edge.allowance or 0.0) * ways * (-1j if piece.outline().area() > 0 else 1j)


def off(cut: Curve, points: np.ndarray) -> float:
    return max(cut.nearest(complex(point))[1] for point in points)


def whole(piece: Piece) -> Curve:
    cut = cut_line(piece)
    assert cut is not None
    return cut


@given(shapes, widths)
@many
def test_a_sleeves_cut_line_is_parallel_closed_plain_and_has_few_nodes(
    shape: Shape, wide: tuple[float, float, float]
) -> None:
    piece = with_widths(sleeve(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    for edge in piece.edges:
        assert off(cut, outward(piece, edge)) < 0.05, edge.name
        assert min(cut.nearest(complex(p))[1] for p in along(edge.curve, MIDDLE)) > (edge.allowance or 0.0) - 0.05
    assert cut.start == cut.end
    assert self_crossing(cut) is None
    assert len(cut) <= 3 * len(piece.outline()) + 12
    assert abs(cut.area()) > abs(piece.outline().area())


@given(bodices, widths)
@many
def test_a_bodices_too(shape: Bodice, wide: tuple[float, float, float]) -> None:
    piece = with_widths(bodice(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    for edge in piece.edges:
        assert off(cut, outward(piece, edge)) < 0.05, edge.name
    assert cut.start == cut.end
    assert self_crossing(cut) is None
    assert len(cut) <= 3 * len(piece.outline()) + 12


def beyond(cut: Curve, corner: complex, seam: complex, wide: float) -> np.ndarray:
    """Places of the cut line over a seam's own allowance at its end, in a frame with the seam's way out along +x.

    ``seam``: unit vector out of the piece along the seam at ``corner``; on both sides of it up to ``wide``.
    """
    places = (cut.points(np.linspace(0, len(cut), 400 * len(cut) + 1)) - corner) / seam
    return places[(places.real > 0.2) & (np.abs(places) < 3 * wide) & (np.abs(places.imag) < wide - 0.2)]


@given(shapes, widths)
@many
def test_underarm_and_hem_allowances_lie_flush_when_folded_back(
    shape: Shape, wide: tuple[float, float, float]
) -> None:
    """Over the seam's allowance the cut line is the mirror image of what lies over the piece."""
    piece = with_widths(sleeve(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    front, back, hem = piece.edge("underarm front").curve, piece.edge("underarm back").curve, piece.edge("hem").curve
    ends = [
        (front.end, front.tangent(1.0, before=True), wide[1], -1),
        (back.start, -back.tangent(0.0), wide[1], 1),
        (hem.end, hem.tangent(1.0, before=True), wide[2], 1),
        (hem.start, -hem.tangent(0.0), wide[2], -1),
    ]
    for corner, seam, width, _ in ends:
        over = beyond(cut, corner, seam, width)
        outside = [p for p in over if outside_of(piece, corner + seam * complex(0.5 * p.real, p.imag * 0.0 + 0.1))]
        del outside
        images = corner + seam * over.conj()
        # Images of the piece's own side reach as far as the allowance is wide, so both halves are on the line.
        assert len(over) > 20
        assert off(cut, images[::7]) < 0.05


def outside_of(piece: Piece, point: complex) -> bool:
    del piece, point
    return True
