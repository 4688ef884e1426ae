"""A piece in a picture: its edge and what is drawn on it. Nothing of its writing: a small picture has its own words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.render.pdf.picture import Picture

_TICK = 2.6
"""Length of a notch, mm on paper."""
_GUIDES = frozenset({"bicep line", "centre line", "fold line"})


def piece_lines(picture: Picture, piece: Piece, *, edge: str = "paper", details: bool = True) -> Picture:
    """The piece's edge (pen ``edge``; "" for none), notches, grain and guide lines."""
    if edge:
        picture = picture.curve(edge, piece.outline())
    return mark_lines(picture, piece, piece.marks, details=details)


def mark_lines(picture: Picture, piece: Piece, marks: Iterable[Mark], *, details: bool = True) -> Picture:
    """Notches, grain line, guide lines and details."""
    for mark in marks:
        if mark.kind in ("notch", "shoulder notch"):
            picture = notch(picture, piece, mark)
        elif mark.kind == "grain line":
            picture = _grain(picture, mark.curves)
        elif mark.kind in _GUIDES:
            picture = picture.curve("guide", *mark.curves)
        elif mark.kind == "detail" and details:
            picture = picture.curve("detail", *mark.curves)
    return picture


def notch(picture: Picture, piece: Piece, mark: Mark, pen: str = "notch") -> Picture:
    """A short stroke across the edge, of one length in every picture."""
    way = _across(piece, mark)
    if mark.at is None or way is None:
        return picture.curve(pen, *mark.curves)
    half = way * _TICK / 2 / picture.factor
    return picture.line(pen, mark.at - half, mark.at + half)


def _across(piece: Piece, mark: Mark) -> complex | None:
    if mark.at is None or mark.edge is None or not piece.has_edge(mark.edge):
        return None
    curve = piece.edge(mark.edge).curve
    return 1j * curve.tangent(curve.nearest(mark.at)[0])


def _grain(picture: Picture, lines: Sequence[Curve]) -> Picture:
    if len(lines) == 1 and abs(lines[0].end - lines[0].start) > 0:
        return picture.arrow(lines[0].start, lines[0].end, "grain", both=True)
    return picture.curve("grain", *lines)
