"""A piece in a picture: its edges, what is drawn on it, its figures, its two sides."""

from __future__ import annotations

from collections.abc import Mapping

from svgfit.fitting.sewn import has_dart, sewn_length
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Mark, Piece, edge_pairs
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Figure, LandmarkName, MarkKind, Side
from svgfit.pattern.cut_line import cut_line
from svgfit.render.pdf.picture import Picture
from svgfit.render.pdf.step_sentences import length
from svgfit.render.sleeve_points import sleeve_points

SEEN = 0.3
"""What moved by less than this, mm, did not move for an eye."""
_IN, _DOWN = 0.2, 0.05
"""A word stands so much of the half bicep in from its underarm point and, if that is in view, so much of it below."""
_UP = 0.14
"""Where the hem is in view it stands over that, by so much of the way to the underarm: there are fewest lines."""
_NARROW = 26.0
"""In a half bicep narrower than this, mm on paper, there is no room: the words stand outside, beside the seams."""
SLEEVE_FIGURES = (Figure.BICEP_WIDTH, Figure.CAP_HEIGHT)
"""What is dimensioned on a sleeve."""
_HEMS = (LandmarkName.HEM_FRONT, LandmarkName.HEM_BACK)
_TICK = 2.6
"""Length of a notch, mm on paper."""
NOTCHES = frozenset({MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH})
_GUIDES = frozenset({MarkKind.BICEP_LINE, MarkKind.CENTRE_LINE, MarkKind.FOLD_LINE})


def piece_lines(picture: Picture, piece: Piece, *, edge: str = "paper", details: bool = True) -> Picture:
    """Draw the piece's edge, its notches, grain line and guide lines, and its ``details``."""
    return mark_lines(picture.curve(edge, piece.outline()), piece, details=details)


def mark_lines(picture: Picture, piece: Piece, *, details: bool = True) -> Picture:
    """Draw notches, grain line and guide lines of a piece, and its ``details``."""
    for mark in piece.marks:
        if mark.kind in NOTCHES:
            picture = notch(picture, piece, mark)
        elif mark.kind == MarkKind.GRAIN_LINE:
            picture = _grain(picture, mark)
        elif mark.kind in _GUIDES:
            picture = picture.curve("guide", *mark.curves)
        elif mark.kind == MarkKind.DETAIL and details:
            picture = picture.curve("detail", *mark.curves)
    return picture


def notch(picture: Picture, piece: Piece, mark: Mark, pen: str = "notch") -> Picture:
    """Draw a short stroke across the edge, of one length in every picture."""
    if mark.at is None or mark.edge is None or not piece.has_edge(mark.edge):
        return picture.curve(pen, *mark.curves)
    curve = piece.edge(mark.edge).curve
    half = 1j * curve.tangent(curve.nearest(mark.at)[0]) * _TICK / 2 / picture.factor
    return picture.line(pen, mark.at - half, mark.at + half)


def _grain(picture: Picture, mark: Mark) -> Picture:
    if len(mark.curves) == 1 and mark.curves[0].end != mark.curves[0].start:
        return picture.arrow(mark.curves[0].start, mark.curves[0].end, "grain", both=True)
    return picture.curve("grain", *mark.curves)


def cut_of(piece: Piece) -> Curve | None:
    """Make the cut line in the piece's frame, mm; None where its allowances are not known."""
    try:
        return cut_line(piece)
    except Refusal:
        return None


def with_cut(picture: Picture, cut: Curve | None) -> Picture:
    """Draw a cut line, where there is one."""
    return picture if cut is None else picture.curve("cut line", cut)


def changed_allowances(before: Piece, after: Piece) -> tuple[str, ...]:
    """Name the edges of which the seam allowance is another now."""
    pairs = edge_pairs(before, after)
    return tuple(new.name for old, new in pairs if old.allowance != new.allowance)


def moved_marks(before: Piece, after: Piece) -> tuple[Mark, ...]:
    """Find the notches of the piece before that stand elsewhere now, by as much as is seen."""
    pairs = [(old, new) for old, new in zip(before.marks, after.marks, strict=False) if old.kind == new.kind]
    return tuple(old for old, new in pairs if old.at is not None and new.at is not None and abs(old.at - new.at) > SEEN)


# -- figures and words -------------------------------------------------------------------------------------------------


def outwards(piece: Piece, edge: str, share: float) -> tuple[complex, complex]:
    """Find the place at a share of an edge, from its front or underarm end, and the way square to it and outwards."""
    curve = piece.edge(edge).from_front()
    t = curve.at_length(curve.length() * share)
    spot, way = curve.point(t), 1j * curve.tangent(t)
    left, up, right, down = piece.outline().bounds()
    inwards = (way * (complex((left + right) / 2, (up + down) / 2) - spot).conjugate()).real > 0
    return spot, -way if inwards else way


def edge_length(picture: Picture, piece: Piece, edge: str, units: Units, share: float) -> Picture:
    """Write an edge's name and its length as sewn beside it, at a share of it."""
    closed = ("darts closed",) if has_dart(piece, edge) else ()
    words = (*edge.split(), length(sewn_length(piece, edge), units), *closed)
    return picture.label(words, *outwards(piece, edge, share))


def sleeve_dimensions(picture: Picture, piece: Piece, words: Mapping[str, tuple[str, ...]]) -> Picture:
    """Draw a sleeve's cap height and bicep width, those of the two that have words; nothing on another piece."""
    points = sleeve_points(piece)
    if points is None:
        return picture
    front, back, top, level = points.front, points.back, points.top, points.level
    if Figure.BICEP_WIDTH in words:
        ends = complex(back.real, level), complex(front.real, level)
        picture = picture.dimension(*ends, words[Figure.BICEP_WIDTH], 1j, 0.74)
    if Figure.CAP_HEIGHT in words:
        x = top.real + (back.real - top.real) * 0.29
        picture = picture.line("guide", complex(x, top.imag), top)
        picture = picture.dimension(complex(x, level), complex(x, top.imag), words[Figure.CAP_HEIGHT], -1 + 0j)
    return picture


def sided(picture: Picture, piece: Piece) -> Picture:
    """Write ``front`` and ``back`` inside a sleeve, each on its own side; nothing on other pieces.

    The sides are those of its underarm points, which the drawing's notches or its convention settled: the same that
    every figure is read by.
    """
    points = sleeve_points(piece)
    if points is None or not picture.holds(points.front) or not picture.holds(points.back):
        return picture
    middle = (points.front + points.back) / 2
    for side, at, hem_name in zip(Side, (points.front, points.back), _HEMS, strict=True):
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
