"""How long two rows of edges that are sewn together should be: alike, or the one longer and eased in. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.vocabulary import EdgeName, PieceKind
from svgfit.rules.ease import ELBOW_EASED, SHOULDER_EASED

Row = tuple[tuple[str, str], ...]
"""Edges sewn as one: piece and edge of each, in order."""


class ExpectedEase(Struct, frozen=True, kw_only=True):
    """How much longer the first row of a seam may be than the second, and whether a person stated it."""

    least: float
    """Of the first row less the second; less than nothing where the second is eased."""
    most: float
    """Likewise; both mm."""
    stated: bool
    """By a person, or by a plug-in's rule; else it is only what is usual there."""
    first_is_eased: bool
    """Whether the first row is the longer one; else the second."""
    by: str = ""
    """The plug-in, with its file, whose rule it is; "" for nobody's."""

    def off(self, difference: float) -> float:
        """Measure how far a difference, first less second, lies outside; 0 within."""
        return max(self.least - difference, difference - self.most, 0.0)

    @property
    def amounts(self) -> tuple[float, float]:
        """Least and most by which the eased row is longer."""
        return (self.least, self.most) if self.first_is_eased else (-self.most, -self.least)


def expected_ease(a: Row, b: Row, pieces: Sequence[Piece], seams: Sequence[Seam]) -> ExpectedEase | None:
    """Find the ease between two rows of edges: as a seam of the map states it, else as is usual there; None for none.

    Usual are an eased back shoulder and an eased back of a sleeve's own underarm seam, at the elbow.
    """
    for seam in seams:
        if seam.ease is not None and (a, b) in ((seam.a, seam.b), (seam.b, seam.a)):
            return _expected(*seam.ease.amounts, first=seam.ease.eased == a, stated=True, by=seam.ease.by)
    first, second = _usual(a, b, pieces), _usual(b, a, pieces)
    most = first or second
    return _expected(0.0, most, first=bool(first), stated=False) if most else None


def eased_row(a: Row, b: Row, pieces: Sequence[Piece]) -> Row | None:
    """Find which of two rows is the eased one wherever it has ease; None where that is not plain.

    A cap in its armhole, the back's shoulder on the front's, the back of a sleeve's underarm seam on its front.
    """
    for one, other in ((a, b), (b, a)):
        if [edge for _, edge in one] == [EdgeName.CAP] or _usual(one, other, pieces):
            return one
    return None


def _expected(least: float, most: float, *, first: bool, stated: bool, by: str = "") -> ExpectedEase:
    low, high = (least, most) if first else (-most, -least)
    return ExpectedEase(least=low, most=high, stated=stated, first_is_eased=first, by=by)


def _usual(eased: Row, onto: Row, pieces: Sequence[Piece]) -> float:
    """Give the most ease that is usual of the one row on the other, mm; 0 where none is."""
    kinds = {piece.name: piece.kind for piece in pieces}
    first, second = ({(kinds.get(name), edge) for name, edge in row} for row in (eased, onto))
    if first == {(PieceKind.BACK, EdgeName.SHOULDER)} and second == {(PieceKind.FRONT, EdgeName.SHOULDER)}:
        return SHOULDER_EASED
    sleeve = first == {(PieceKind.SLEEVE, EdgeName.UNDERARM_BACK)} and [name for name, _ in eased] == [
        name for name, _ in onto
    ]
    return ELBOW_EASED if sleeve and second == {(PieceKind.SLEEVE, EdgeName.UNDERARM_FRONT)} else 0.0
