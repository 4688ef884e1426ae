"""Cut lines in the small pictures: where a piece has one, and where a step changed the allowance."""

from __future__ import annotations

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.allowance import cut_line


def cut_of(piece: Piece) -> Curve | None:
    """The cut line in the piece's frame, mm; None where its allowances are not known."""
    try:
        return cut_line(piece)
    except Refusal:
        return None


def changed_allowances(before: Piece, after: Piece) -> tuple[str, ...]:
    """The edges of which the seam allowance is another now."""
    pairs = zip(before.edges, after.edges, strict=False)
    return tuple(new.name for old, new in pairs if old.allowance != new.allowance)
