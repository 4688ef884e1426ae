"""Before and after: side by side with the same figures on both, and one laid on the other."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.box import box_around
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.report import Measurement
from svgfit.render.format_values import is_same
from svgfit.render.pdf.parts import parted_from
from svgfit.render.pdf.picture import Picture, looking_at
from svgfit.render.pdf.piece_lines import (
    SLEEVE_FIGURES,
    changed_allowances,
    cut_of,
    edge_length,
    mark_lines,
    outwards,
    piece_lines,
    sleeve_dimensions,
    with_cut,
)
from svgfit.render.pdf.step_sentences import length

_APART = 0.04


def side_by_side(
    pieces: tuple[Piece, Piece],
    figures: tuple[Sequence[Measurement], Sequence[Measurement]],
    units: Units,
    width: float,
    most: float,
) -> tuple[Picture, Picture]:
    """Draw the piece before and after, at one scale, each with its own figures.

    These are cap height and bicep width of a sleeve, the length of every edge that changed, and every allowance that
    did; then the cut line is drawn too.
    """
    wider = changed_allowances(*pieces)
    cuts = [cut_of(piece) if wider else None for piece in pieces]
    boxes = [curve.bounds() for curve in (*(piece.outline() for piece in pieces), *cuts) if curve is not None]
    view = looking_at(boxes, pieces[0], width, most)
    changed = [edge.name for edge in pieces[0].edges if not keeps_length(*pieces, edge.name)]
    drawn: list[Picture] = []
    for piece, cut, found in zip(pieces, cuts, figures, strict=True):
        picture = piece_lines(with_cut(view, cut), piece)
        named = [(str(one.name), length(one.value, units)) for one in found if one.name in SLEEVE_FIGURES]
        words = {name: (name.removesuffix(" width"), figure) for name, figure in named}
        picture = sleeve_dimensions(picture, piece, words)
        for name in filter(piece.has_edge, changed):
            picture = edge_length(picture, piece, name, units, 0.3)
        for name in filter(piece.has_edge, wider):
            wide = piece.edge(name).allowance
            if wide is not None:
                spot, way = outwards(piece, name, 0.6)
                picture = picture.label((*name.split(), "allowance", length(wide, units)), spot + way * wide, way)
        drawn.append(picture)
    return drawn[0], drawn[1]


def keeps_length(before: Piece, after: Piece, edge: str) -> bool:
    """Tell whether an edge is as long as sewn as it was."""
    if not after.has_edge(edge):
        return False
    return is_same(sewn_length(after, edge) - sewn_length(before, edge))


def overlaid(before: Piece, after: Piece, width: float, most: float) -> Picture:
    """Draw the piece now, the edge as it was dotted where it differs; grain on grain, as the drawing holds both."""
    lines = [(before.outline(), after.outline())]
    was_cut, cut = cut_of(before), cut_of(after)
    if changed_allowances(before, after) and was_cut is not None and cut is not None:
        lines.append((was_cut, cut))
    old = [part for was, now in lines for part in parted_from([was], [now], _APART)]
    new = [part for was, now in lines for part in parted_from([now], [was], _APART)]
    whole = box_around([curve.bounds() for pair in lines for curve in pair])
    seen = box_around([curve.bounds() for curve in (*old, *new)] or [whole])
    if seen[3] - seen[1] < 0.6 * (whole[3] - whole[1]):
        seen = (whole[0], seen[1], whole[2], seen[3] + 0.06 * (whole[2] - whole[0]))
    else:
        seen = whole
    picture = looking_at([seen], before, width, most).curve("paper", after.outline())
    return mark_lines(picture.curve("old", *old).curve("new", *new), after)
