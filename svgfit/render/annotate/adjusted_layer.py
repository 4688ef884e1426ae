"""The layer ``adjusted``: the piece as it is to be used, in page mm, and readable again by ``--from adjusted``.

Every outline is one path; everything else says which piece it belongs to and what it is
(``data-svgfit-role``: notch, shoulder-notch, grain-line, bicep-line, centre-line, fold-line, detail, text, or a
plug-in's own kind of mark; ``data-svgfit-part`` joins its lines and its text). Ornament (a halo, an arrowhead, white
under a text) carries only which piece it is there for (svgfit.render.annotate.ink) and is not read back. The stitch
path: svgfit.model.adjusted_attributes.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Mapping

from svgfit.geometry.box import boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.model import adjusted_attributes
from svgfit.model.drawing import Text
from svgfit.model.line_kind import WHITE
from svgfit.model.piece import Mark, Piece
from svgfit.model.vocabulary import DrawnLine, MarkKind
from svgfit.pattern.notch_lines import is_stroke, plain_notch
from svgfit.render.annotate import svg_shapes
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.labels import upright
from svgfit.render.annotate.line_kinds import fill_style
from svgfit.render.annotate.scene import ADJUSTED
from svgfit.render.text_metrics import letters, text_box, text_corners
from svgfit.svg.markup import EXACT, element, line_data

_KIND: Mapping[str, str] = {
    MarkKind.NOTCH: MarkKind.NOTCH,
    MarkKind.SHOULDER_NOTCH: MarkKind.NOTCH,
    MarkKind.GRAIN_LINE: MarkKind.GRAIN_LINE,
    MarkKind.DETAIL: MarkKind.DETAIL,
}
"""The line kind of a mark."""
_LONGER = 2.5
"""By how much a notch stands over at each end, full size, mm."""
_MIDDLE = 0.72
"""Height of capitals, in font sizes: a text turned the other way up keeps its place by moving so far."""

Data = list[tuple[str, str | None]]


def piece_ink(piece: Piece, before: Piece, cut: Curve | None, scale: float) -> tuple[Ink, ...]:
    """Draw all of one piece; ``before`` is the piece as it was, for what shows through from beneath."""
    tags: Data = [("data-svgfit-piece", piece.name)]
    size: Data = [("data-svgfit-size", piece.size)]
    ink: list[Ink] = []
    if cut is not None:
        data = [*tags, ("data-svgfit-line", DrawnLine.CUT), *size]
        lines = [cut.transform(piece.placement)]
        ink.append(svg_shapes.curves(ADJUSTED, DrawnLine.CUT, lines, scale, places=EXACT, data=data))
    attributes = [
        (f"data-svgfit-{name}", text)
        for name, text in adjusted_attributes.format_attributes(adjusted_attributes.attributes_of(piece))
    ]
    ink = [*_backings(piece, before), *ink]
    outline = piece.outline().transform(piece.placement)
    data = [*tags, ("data-svgfit-line", DrawnLine.STITCH), *attributes]
    ink.append(svg_shapes.curves(ADJUSTED, DrawnLine.STITCH, [outline], scale, places=EXACT, data=data))
    for number, mark in enumerate(piece.marks):
        both = mark.text is not None and (mark.curves or mark.at is not None)
        more: Data = [("data-svgfit-part", str(number))] if both else []
        ink.extend(_mark_ink(piece, mark, [*tags, *size, *more], scale))
    return tuple(ink)


def _mark_ink(piece: Piece, mark: Mark, tags: Data, scale: float) -> Iterable[Ink]:
    own = mark.kind not in tuple(MarkKind)
    role = mark.kind if own else mark.kind.replace(" ", "-")
    data: Data = [*tags, ("data-svgfit-role", role), ("data-svgfit-name", mark.name)]
    if own or mark.kind in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH):
        at = None if mark.at is None else adjusted_attributes.format_point(piece.placement.apply(mark.at))
        data += [("data-svgfit-edge", mark.edge), ("data-svgfit-at", at)]
    if own and not mark.curves and mark.at is not None:
        bare: Data = [*data, ("data-svgfit-bare", "yes")]
        yield svg_shapes.cross(ADJUSTED, "guide", piece.placement.apply(mark.at), scale, bare)
    lines = [curve.transform(piece.placement) for curve in mark.curves] or ([] if own else _tick(piece, mark))
    if lines:
        kind = _KIND.get(mark.kind, "guide")
        yield svg_shapes.curves(ADJUSTED, kind, lines, scale, places=EXACT, data=data)
        if kind == MarkKind.NOTCH and (is_stroke(mark) or not mark.curves):
            for ends in longer(lines, scale):
                yield svg_shapes.straight(ADJUSTED, kind, ends, scale)
        if kind == MarkKind.GRAIN_LINE and len(lines) == 1 and _is_straight(lines[0]):
            start, end = lines[0].start, lines[0].end
            way = (end - start) / abs(end - start)
            for tip, direction in ((start, -way), (end, way)):
                yield svg_shapes.head(ADJUSTED, kind, tip, direction, scale * 1.4)
    if mark.text is not None:
        yield _text_ink(mark.text, piece, data)


def longer(lines: Iterable[Curve], scale: float) -> Iterable[list[complex]]:
    """Lengthen a notch a little at each end, beyond the drawn one that shows beside it. Ornament."""
    for line in lines:
        if abs(line.end - line.start) > 0:
            for tip, way in ((line.start, -line.tangent(0)), (line.end, line.tangent(len(line)))):
                yield [tip, tip + way * _LONGER * scale]


def _tick(piece: Piece, mark: Mark) -> list[Curve]:
    """Make the line of a notch that nobody drew."""
    line = plain_notch(piece, mark)
    return [] if line is None else [line.transform(piece.placement)]


def _is_straight(curve: Curve) -> bool:
    size = abs(curve.end - curve.start)
    return size > 0 and len(curve) <= 2 and curve.length(1e-3) - size < 1e-2


def _text_ink(text: Text, piece: Piece, data: Data) -> Ink:
    there, degrees = text_on_page(text, piece)
    return Ink(ADJUSTED, letters(there.content, there.at, there.size, anchor=there.anchor, degrees=degrees, data=data))


def text_on_page(text: Text, piece: Piece) -> tuple[Text, float]:
    """Place a text of the piece in page mm, and say by how many degrees it is turned.

    Where it would stand on its head, it is turned about the middle of its height and so keeps its place.
    """
    at, way = piece.placement.apply(text.at), piece.placement.apply_vector(text.direction)
    degrees = upright(way)
    anchor = text.anchor
    reads = cmath.rect(1, math.radians(degrees))
    if (reads * way.conjugate()).real < 0:
        anchor = {"start": "end", "end": "start"}.get(anchor, anchor)
        at += reads * 1j * _MIDDLE * text.size
    return Text(text.content, at, reads, text.size, anchor), degrees


def _backings(piece: Piece, before: Piece) -> Iterable[Ink]:
    """Put white under each text, and over the original's own copy where that would show beside it and blur it."""
    old = {mark.text.content: mark.text for mark in before.marks if mark.text is not None}
    for mark in piece.marks:
        if mark.text is None or not mark.text.size:  # letters of no size are not seen
            continue
        there = text_on_page(mark.text, piece)[0]
        yield _white(there)
        was = old.get(mark.text.content)
        if was is not None:
            before_there = text_on_page(was, before)[0]
            if before_there != there and boxes_overlap(text_box(before_there), text_box(there)):
                yield _white(before_there)


def _white(text: Text) -> Ink:
    corners = text_corners(text)
    middle = sum(corners) / len(corners)
    # A little wider than the letters: faces differ.
    d = line_data(
        [corner + (corner - middle) / abs(corner - middle) * 0.12 * text.size for corner in corners], close=True
    )
    return Ink(ADJUSTED, (element("path", [("d", d), ("style", fill_style(WHITE))]),))
