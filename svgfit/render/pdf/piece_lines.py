"""A piece in a picture: its edges, what is drawn on it, its two sides; a picture has its own words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import LandmarkName, MarkKind, PieceKind, Side
from svgfit.pattern.allowance import cut_line
from svgfit.render.pdf.picture import Picture

_IN, _DOWN = 0.2, 0.05
"""A word stands so much of the half bicep in from its underarm point and, if that is in view, so much of it below."""
_UP = 0.14
"""Where the hem is in view it stands over that, by so much of the way to the underarm: there are fewest lines."""
_NARROW = 26.0
"""In a half bicep narrower than this, mm on paper, there is no room: the words stand outside, beside the seams."""
_UNDERARMS = (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK)
_HEMS = (LandmarkName.HEM_FRONT, LandmarkName.HEM_BACK)
_TICK = 2.6
"""Length of a notch, mm on paper."""
_NOTCHES = frozenset({MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH})
_GUIDES = frozenset({MarkKind.BICEP_LINE, MarkKind.CENTRE_LINE, MarkKind.FOLD_LINE})


def piece_lines(picture: Picture, piece: Piece, *, edge: str = "paper", details: bool = True) -> Picture:
    """Draw the piece's edge (pen ``edge``; "" for none), notches, grain and guide lines."""
    if edge:
        picture = picture.curve(edge, piece.outline())
    return mark_lines(picture, piece, piece.marks, details=details)


def mark_lines(picture: Picture, piece: Piece, marks: Iterable[Mark], *, details: bool = True) -> Picture:
    """Draw notches, grain line, guide lines and details."""
    for mark in marks:
        if mark.kind in _NOTCHES:
            picture = notch(picture, piece, mark)
        elif mark.kind == MarkKind.GRAIN_LINE:
            picture = _grain(picture, mark.curves)
        elif mark.kind in _GUIDES:
            picture = picture.curve("guide", *mark.curves)
        elif mark.kind == MarkKind.DETAIL and details:
            picture = picture.curve("detail", *mark.curves)
    return picture


def notch(picture: Picture, piece: Piece, mark: Mark, pen: str = "notch") -> Picture:
    """Draw a short stroke across the edge, of one length in every picture."""
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


def cut_of(piece: Piece) -> Curve | None:
    """Make the cut line in the piece's frame, mm; None where its allowances are not known."""
    try:
        return cut_line(piece)
    except Refusal:
        return None


def changed_allowances(before: Piece, after: Piece) -> tuple[str, ...]:
    """Name the edges of which the seam allowance is another now."""
    pairs = zip(before.edges, after.edges, strict=False)
    return tuple(new.name for old, new in pairs if old.allowance != new.allowance)


def sided(picture: Picture, piece: Piece) -> Picture:
    """Write ``front`` and ``back`` inside a sleeve, each on its own side; nothing on other pieces.

    The sides are those of its underarm points, which the drawing's notches or its convention settled: the same that
    every figure is read by.
    """
    front, back = (piece.find_landmark(name) for name in _UNDERARMS)
    if (
        piece.kind != PieceKind.SLEEVE
        or front is None
        or back is None
        or not picture.holds(front)
        or not picture.holds(back)
    ):
        return picture
    middle = (front + back) / 2
    for side, at, hem_name in zip(Side, (front, back), _HEMS, strict=True):
        way, hem = middle - at, piece.find_landmark(hem_name)
        if hem is not None and picture.holds(hem) and abs(way) * picture.factor < _NARROW:
            picture = picture.label((side,), at + (hem - at) * 0.6, -way, leader=False)
            continue
        spots = [at + way * _IN + 1j * abs(way) * down for down in (0.2, 0.12, _DOWN, 0.0)]
        if hem is not None:
            spots.insert(0, hem + (middle.real - hem.real) * 1.6 * _IN - 1j * _UP * (hem - at).imag)
        spot = next((one for one in spots if picture.holds(one + 1j * abs(way) * 2 * _DOWN)), spots[-1])
        picture = picture.label((side,), spot, way, leader=False)
    return picture
