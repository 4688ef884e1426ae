"""An edge as it is sewn: what every seam is measured on. Piece frame, mm."""

from __future__ import annotations

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece


def sewn_edge(piece: Piece, name: str) -> Curve:
    """The edge's stitch line from its front or underarm end. Raises Refusal where there is no such edge."""
    return piece.edge(name).from_front()
