"""Lengths of seams that may run over several edges and pieces. mm, on the stitch line, darts closed."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.fitting.sewn import sewn_length
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal


def seam_length(pieces: Sequence[Piece], edges: Sequence[tuple[str, str]]) -> float:
    """Length of edges in a row, each (piece, edge); refuses a name that is not there, with the names that are."""
    by_name = {piece.name.casefold(): piece for piece in pieces}
    total = 0.0
    for name, edge in edges:
        piece = by_name.get(name.casefold())
        if piece is None:
            raise Refusal("", f"no piece {name!r}", f"the pieces are: {', '.join(p.name for p in pieces)}")
        total += sewn_length(piece, edge)
    return total


def seam_name(edges: Sequence[tuple[str, str]]) -> str:
    """As a person writes it: ``Front/armhole+Back/armhole``."""
    return "+".join(f"{piece}/{edge}" for piece, edge in edges)
