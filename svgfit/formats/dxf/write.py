"""Pieces as a DXF by the interchange standard: a block a piece and size, curves as turn points and curve points."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from msgspec import Struct

from svgfit.formats.dxf import trade, written
from svgfit.formats.dxf.tags import CAPITALS
from svgfit.formats.dxf.written import Ink, Pair
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Text
from svgfit.model.file_format import Convertible
from svgfit.model.length import MM_PER_INCH
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import MarkKind, Unit
from svgfit.model.wording import drawing_stem
from svgfit.rules.notches import FARTHEST_FROM_SEAM

_FLAT = 0.004
"""A chord lies no further than this, mm, from its curve, for programs that draw chords."""
_CORNER = 0.02
"""A turn of more than this (radians) at a node makes it a turn point."""
_NOTHING = 1e-6
_HEAD_TEXT = 5.0
"""Height of the texts that name a piece, mm."""
_LONGEST_NAME = 31
"""Letters of a block's name in R12 (DXF Reference, as the group codes in ``written``)."""
_LAYERS = (
    trade.BOUNDARY,
    trade.TURN_POINTS,
    trade.CURVE_POINTS,
    trade.NOTCHES,
    trade.MIRROR_LINE,
    trade.GRAIN_LINE,
    trade.INTERNAL_LINES,
    trade.SEW_LINE,
    trade.ANNOTATION,
)


class Nodes(Struct, frozen=True, eq=False):
    """A curve as points, and which of them are turn points; of a closed one the first is not repeated."""

    points: tuple[complex, ...]
    turns: tuple[bool, ...]
    closed: bool


def write_dxf(drawing: Convertible) -> bytes:
    """Write a drawing's pieces.

    Raises Refusal where there are none, or where an outline is not closed.
    """
    if not drawing.pieces:
        todo = "name its layers as svgfit.toml or the built-in names say"
        raise Refusal(drawing.file, "has no pieces, and a DXF holds nothing else", todo)
    inches = drawing.unit == Unit.IN
    ink = Ink(MM_PER_INCH if inches else 1.0, 6 if inches else 4)
    names = _block_names(drawing.pieces)
    blocks: list[Pair] = []
    for piece, name in zip(drawing.pieces, names, strict=True):
        blocks += written.block(name, _piece(ink, piece))
    told = ("ANSI/AAMA", f"Style Name: {drawing_stem(drawing.file)}", f"Units: {'ENGLISH' if inches else 'METRIC'}")
    head = [pair for row, text in enumerate(told) for pair in written.text(ink, "1", text, _row(0j, row), _HEAD_TEXT)]
    inserts = [pair for name in names for pair in written.insert("1", name)]
    return written.file_bytes(inches, _LAYERS, blocks, [*head, *inserts])


def _row(at: complex, row: int) -> complex:
    return at + 1j * 1.6 * _HEAD_TEXT * row


def _block_names(pieces: Sequence[Piece]) -> list[str]:
    """Name each block after its piece and size, in letters that R12 allows, each name once."""
    found: list[str] = []
    for piece in pieces:
        title = f"{piece.name}-{piece.size}" if piece.size else piece.name
        plain = re.sub(r"[^A-Z0-9$_-]+", "_", title.upper())[:_LONGEST_NAME] or "PIECE"
        name, count = plain, 1
        while name in found:
            count += 1
            name = f"{plain[: _LONGEST_NAME - 4]}_{count}"
        found.append(name)
    return found


def _piece(ink: Ink, piece: Piece) -> Iterator[Pair]:
    """Write what lies in a piece's block."""
    if piece.gaps:
        raise Refusal(piece.where, "its outline is not closed", "close it in the drawing")
    place = piece.placement
    stitch = piece.outline().transform(place)
    cut = piece.cut.line.transform(place) if piece.cut else None
    if cut is not None:
        yield from _curve(ink, trade.BOUNDARY, cut, True)
    yield from _curve(ink, trade.SEW_LINE, stitch, True)
    for mark in piece.marks:
        yield from _mark(ink, piece, mark, cut)
    for edge in piece.edges:
        if edge.fold:
            curve = edge.curve.transform(place)
            yield from written.line(ink, trade.MIRROR_LINE, curve.start, curve.end)
    left, top, right, bottom = stitch.bounds()
    head = [f"Piece Name: {piece.name}", *([f"Size: {piece.size}"] if piece.size else [])]
    middle = complex((left + right) / 2, (top + bottom) / 2)
    for row, text in enumerate(head):
        yield from written.text(ink, trade.BOUNDARY, text, _row(middle, row), _HEAD_TEXT)


def _mark(ink: Ink, piece: Piece, mark: Mark, cut: Curve | None) -> Iterator[Pair]:
    place = piece.placement
    curves = [curve.transform(place) for curve in mark.curves]
    if mark.kind in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH):
        at = notch_point(piece, mark, cut)
        if at is not None:
            yield from written.point(ink, trade.NOTCHES, at)
    elif mark.kind == MarkKind.GRAIN_LINE and curves:
        longest = max(curves, key=lambda curve: abs(curve.end - curve.start))
        yield from written.line(ink, trade.GRAIN_LINE, longest.start, longest.end)
    elif mark.text is not None:
        text = mark.text
        way = place.apply(text.direction) - place.apply(0j)
        yield from _text(ink, text, place.apply(text.at), way)
    elif mark.kind != MarkKind.FOLD_LINE:
        for curve in curves:
            yield from _curve(ink, trade.INTERNAL_LINES, curve, curve.is_closed())


def notch_point(piece: Piece, mark: Mark, cut: Curve | None) -> complex | None:
    """Find where a notch is cut, page mm: on the cut line, square to its seam; without one, on the stitch line."""
    if mark.at is None or mark.edge is None or not piece.has_edge(mark.edge):
        return None
    edge, place = piece.edge(mark.edge).curve, piece.placement
    at = place.apply(mark.at)
    if cut is None:
        return at
    curve = edge.transform(place)
    t, _ = curve.nearest(at)
    square = 1j * curve.tangent(t) * FARTHEST_FROM_SEAM
    places = [cut.point(t) for t in cut.crossings(at - square, at + square)]
    return min(places, key=lambda point: abs(point - at), default=at)


def _text(ink: Ink, text: Text, at: complex, way: complex) -> Iterator[Pair]:
    said = trade.said([text.content])
    if said.keys() & {"piece", "size"}:  # what a DXF said of its piece, and says again by itself
        return
    degrees = -math.degrees(math.atan2(way.imag, way.real))
    yield from written.text(
        ink, trade.BOUNDARY if said else trade.ANNOTATION, text.content, at, text.size * CAPITALS, degrees + 0.0
    )


# -- curves -----------------------------------------------------------------------------------------------------------


def _curve(ink: Ink, layer: str, curve: Curve, closed: bool) -> list[Pair]:
    nodes = turn_and_curve_points(curve, closed)
    marks: Iterable[list[Pair]] = (
        written.point(ink, trade.TURN_POINTS if turn else trade.CURVE_POINTS, at)
        for at, turn in zip(nodes.points, nodes.turns, strict=True)
    )
    return [*written.polyline(ink, layer, nodes.points, closed), *(pair for mark in marks for pair in mark)]


def turn_and_curve_points(curve: Curve, closed: bool) -> Nodes:
    """Find points along a curve: turn points at corners and where a straight line ends, curve points between.

    No chord lies further than 0.004 mm from the curve. The bound of a cubic's distance from its chords over a
    parameter's step h is max|B''|·h²/8, and B'' lies between 6 times its two second differences.
    """
    segments = curve.segments[np.abs(curve.segments - curve.segments[:, :1]).max(axis=1) > _NOTHING]
    straight = [Curve(segment[None]).is_straight(_FLAT / 10) for segment in segments]
    points: list[complex] = []
    turns: list[bool] = []
    for number, (segment, even) in enumerate(zip(segments, straight, strict=True)):
        first = not closed and number == 0
        turns.append(first or even or straight[number - 1] or _turns(segments[number - 1], segment))
        points.append(complex(segment[0]))
        if not even:
            inner = _between(segment)
            points += inner
            turns += [False] * len(inner)
    if not closed:
        points.append(complex(segments[-1][3]))
        turns.append(True)
    return Nodes(tuple(points), tuple(turns), closed)


def _between(segment: Complex) -> list[complex]:
    bend = 6 * max(abs(segment[2] - 2 * segment[1] + segment[0]), abs(segment[3] - 2 * segment[2] + segment[1]))
    count = max(2, math.ceil(math.sqrt(float(bend) / (8 * _FLAT))))
    return Curve(segment[None]).points(np.arange(1, count) / count).tolist()


def _turns(before: Complex, after: Complex) -> bool:
    way, goes = Curve(before[None]).tangent(1.0, before=True), Curve(after[None]).tangent(0.0)
    return abs(float(np.angle(goes / way))) > _CORNER
