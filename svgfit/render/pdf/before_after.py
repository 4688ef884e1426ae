"""Before and after: side by side with the same figures on both, and one laid on the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from svgfit.fitting.sewn import has_dart, sewn_length
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.report import Measurement
from svgfit.model.vocabulary import Figure, LandmarkName, PieceKind
from svgfit.render.format_values import is_same
from svgfit.render.pdf.parts import parted_from
from svgfit.render.pdf.picture import Picture, looking_at
from svgfit.render.pdf.piece_lines import changed_allowances, cut_of, mark_lines, piece_lines
from svgfit.render.pdf.step_sentences import length

_APART = 0.04
_SEEN = 0.3
"""What moved by less than this, mm, did not move for an eye."""


def side_by_side(
    before: Piece,
    after: Piece,
    figures: tuple[Sequence[Measurement], Sequence[Measurement]],
    units: Units,
    width: float,
    most: float,
) -> tuple[Picture, Picture]:
    """Draw the piece before and after, at one scale, each with its own figures."""
    view = _view(before, after, width, most)
    was, now = ({item.name: item.value for item in found} for found in figures)
    changed = [edge.name for edge in before.edges if _changed(before, after, edge.name)]
    wider = changed_allowances(before, after)
    pictures = [
        _with_figures(piece_lines(_with_cut(view, piece, wider), piece), piece, found, changed, units)
        for piece, found in ((before, was), (after, now))
    ]
    first, second = (
        _with_allowances(picture, piece, wider, units) for picture, piece in zip(pictures, (before, after), strict=True)
    )
    return first, second


def _with_cut(picture: Picture, piece: Piece, changed: Sequence[str]) -> Picture:
    """Draw the cut line too, where the plan changed a seam allowance."""
    cut = cut_of(piece) if changed else None
    return picture if cut is None else picture.curve("cut line", cut)


def _with_allowances(picture: Picture, piece: Piece, changed: Sequence[str], units: Units) -> Picture:
    for name in changed:
        if piece.has_edge(name) and (wide := piece.edge(name).allowance) is not None:
            curve = piece.edge(name).from_front()
            at = curve.at_length(curve.length() * 0.6)
            spot, way = curve.point(at), outwards(piece, curve, at)
            picture = picture.label((*name.split(), "allowance", length(wide, units)), spot + way * wide, way)
    return picture


def overlaid(before: Piece, after: Piece, width: float, most: float) -> Picture:
    """Draw the piece now, the edge as it was dotted where it differs; grain on grain, as the drawing holds both."""
    lines = [(before.outline(), after.outline())]
    cuts = cut_of(before), cut_of(after)
    if changed_allowances(before, after) and cuts[0] is not None and cuts[1] is not None:
        lines.append((cuts[0], cuts[1]))
    old = [part for was, now in lines for part in parted_from([was], [now], _APART)]
    new = [part for was, now in lines for part in parted_from([now], [was], _APART)]
    whole = box_around([curve.bounds() for pair in lines for curve in pair])
    boxes = [curve.bounds() for curve in (*old, *new)] or [whole]
    seen = box_around(boxes)
    if seen[3] - seen[1] < 0.6 * (whole[3] - whole[1]):
        seen = (whole[0], seen[1], whole[2], seen[3] + 0.06 * (whole[2] - whole[0]))
    else:
        seen = whole
    picture = looking_at([seen], width, mirror=before.placement.mirrors, most=most).curve("paper", after.outline())
    picture = picture.curve("old", *old).curve("new", *new)
    return mark_lines(picture, after, after.marks)


def marks_moved(before: Piece, after: Piece) -> bool:
    """Tell whether a notch stands elsewhere now, by as much as is seen."""
    places = [(old.at, new.at) for old, new in zip(before.marks, after.marks, strict=False) if old.kind == new.kind]
    return any(was is not None and now is not None and abs(was - now) > _SEEN for was, now in places)


def _view(before: Piece, after: Piece, width: float, most: float) -> Picture:
    boxes: list[Box] = [before.outline().bounds(), after.outline().bounds()]
    if changed_allowances(before, after):
        boxes += [cut.bounds() for cut in (cut_of(before), cut_of(after)) if cut is not None]
    return looking_at(boxes, width, mirror=before.placement.mirrors, most=most)


def _changed(before: Piece, after: Piece, name: str) -> bool:
    if not after.has_edge(name):
        return True
    return not is_same(sewn_length(after, name) - sewn_length(before, name))


def _with_figures(
    picture: Picture, piece: Piece, figures: Mapping[str, float], changed: Sequence[str], units: Units
) -> Picture:
    """Write cap height and bicep width of a sleeve, and the length of every edge that the plan changed."""
    words: dict[str, tuple[str, ...]] = {
        name: (label, length(figures[name], units))
        for name, label in ((Figure.CAP_HEIGHT, "cap height"), (Figure.BICEP_WIDTH, "bicep"))
        if name in figures
    }
    picture = sleeve_dimensions(picture, piece, words)
    for name in changed:
        if piece.has_edge(name):
            curve = piece.edge(name).from_front()
            at = curve.at_length(curve.length() * 0.3)
            picture = picture.label(edge_words(piece, name, units), curve.point(at), outwards(piece, curve, at))
    return picture


def edge_words(piece: Piece, name: str, units: Units) -> tuple[str, ...]:
    """Write an edge's name and its length as sewn, and that its darts count as closed where it has any."""
    closed = ("darts closed",) if has_dart(piece, name) else ()
    return (*name.split(), length(sewn_length(piece, name), units), *closed)


def sleeve_dimensions(picture: Picture, piece: Piece, words: Mapping[str, tuple[str, ...]]) -> Picture:
    """Draw a sleeve's cap height and bicep width, those of the two that have words; nothing on another piece."""
    front, back = (piece.find_landmark(name) for name in (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK))
    top = piece.find_landmark(LandmarkName.CAP_TOP)
    if piece.kind != PieceKind.SLEEVE or front is None or back is None or top is None:
        return picture
    level = (front.imag + back.imag) / 2
    if Figure.BICEP_WIDTH in words:
        ends = complex(back.real, level), complex(front.real, level)
        picture = picture.dimension(*ends, words[Figure.BICEP_WIDTH], 1j, 0.74)
    if Figure.CAP_HEIGHT in words:
        x = top.real + (back.real - top.real) * 0.29
        picture = picture.line("guide", complex(x, top.imag), top)
        picture = picture.dimension(complex(x, level), complex(x, top.imag), words[Figure.CAP_HEIGHT], -1 + 0j)
    return picture


def outwards(piece: Piece, curve: Curve, t: float) -> complex:
    """Give the direction square to an edge, away from the piece's middle."""
    left, up, right, down = piece.outline().bounds()
    way = 1j * curve.tangent(t)
    inwards = (way * (complex((left + right) / 2, (up + down) / 2) - curve.point(t)).conjugate()).real > 0
    return -way if inwards else way
