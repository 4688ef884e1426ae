"""The points by which a sleeve is drawn and spoken of."""

from __future__ import annotations

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.vocabulary import LandmarkName, PieceKind

_NAMES = (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK, LandmarkName.CAP_TOP)


class SleevePoints(Struct, frozen=True):
    """Both underarm points and the top of the cap, in the piece's frame."""

    front: complex
    back: complex
    top: complex

    @property
    def level(self) -> float:
        """The bicep line's y."""
        return (self.front.imag + self.back.imag) / 2


def sleeve_points(piece: Piece) -> SleevePoints | None:
    """Find the points; None on a piece that is no sleeve, or lacks one of them."""
    found = [at for name in _NAMES if (at := piece.find_landmark(name)) is not None]
    return SleevePoints(*found) if piece.kind == PieceKind.SLEEVE and len(found) == len(_NAMES) else None
