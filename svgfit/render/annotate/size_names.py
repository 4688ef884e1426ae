"""A nest's sizes written on their own lines, so that each can be followed all round without colour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import MarkKind
from svgfit.render.annotate.dimensions import Drawing
from svgfit.render.annotate.ink import SIZE_NAME, Ink, owned
from svgfit.render.annotate.labels import Label, box_costs, boxes_around, extent, write
from svgfit.render.annotate.nest import in_nest
from svgfit.render.annotate.scene import MEASUREMENTS
from svgfit.rules.lettering import NESTED_NAME

_PLACES = 14
"""Places tried for each name."""
_SAMPLES = 600
"""Points that stand for a line round a piece."""
_APART, _SHORT = 80.0, 5.0
"""A line is named about once in so many font sizes of an edge; an edge of fewer than the second is too short."""
_ENDS = 0.12
"""So much of an edge stays free at either end, where lines of all sizes run together."""
_MIDDLE = 8.0
"""What standing far from the middle of its stretch costs a name: it keeps names apart."""
_CROWDED = 3.2
"""A stitch line beside a cut line goes without a name where that would cover so many times what its own line does."""


class _Wish(Struct, frozen=True):
    """A name, the places where it could stand (page mm), and whether it can be left out."""

    piece: Piece
    name: str
    places: Complex
    spare: bool


def size_names(
    drawing: Drawing, pieces: Sequence[Piece], cuts: Sequence[Curve | None], size: float, *, alone: bool = False
) -> Drawing:
    """Write its size on each outline of a nest, on every edge where it lies clearest of all else.

    On the cut line, and where there is room on the stitch line too, there in brackets: in a nest the stitch line of one
    size can lie on the cut line of another. ``size`` is that of the other writing, in mm; ``alone``: a size beside
    which no other lies is named too.
    """
    size = size * NESTED_NAME
    wishes = [
        _Wish(piece, f"({piece.size})" if spare else piece.size, places, spare)
        for piece, cut in zip(pieces, cuts, strict=True)
        if piece.size is not None and (alone or in_nest(piece, pieces))
        for line, spare in ((cut, False), (piece.outline(), cut is not None))
        if line is not None
        for places in _places(piece, line, size)
    ]
    field = drawing.field
    for box in _notches(pieces):
        field = field.with_box(box)
    if not wishes:
        return drawing
    extents = {wish.name: extent((wish.name,), size) for wish in wishes}
    boxes = np.concatenate([boxes_around(wish.places, *extents[wish.name], size * 0.15) for wish in wishes])
    costs = box_costs(field, boxes, size * 0.2) + np.tile(np.abs(np.linspace(-1, 1, _PLACES)), len(wishes)) * _MIDDLE
    covered = field.counts(boxes) * field.cell
    taken: list[list[float]] = []
    ink: list[Ink] = []
    for k, wish in enumerate(wishes):
        tried = boxes[k * _PLACES : (k + 1) * _PLACES]
        cost = costs[k * _PLACES : (k + 1) * _PLACES]
        if taken:
            other = np.array(taken)
            lap = (tried[:, None, 0] < other[:, 2]) & (tried[:, None, 2] > other[:, 0])
            lap &= (tried[:, None, 1] < other[:, 3]) & (tried[:, None, 3] > other[:, 1])
            cost = cost + 1000.0 * lap.sum(axis=1)
        best = int(np.argmin(np.round(cost, 6)))
        width, height = extents[wish.name]
        if wish.spare and (cost[best] >= 900 or covered[k * _PLACES + best] > _CROWDED * max(width, height)):
            continue
        taken.append(tried[best].tolist())
        centre = complex(wish.places[best])
        written = write(Label(MEASUREMENTS, (wish.name,), centre, -1j, size), centre, width, height)
        ink += owned(written, wish.piece, SIZE_NAME)
    for left, top, right, bottom in taken:
        field = field.with_box((left, top, right, bottom))
    return drawing.adding(field, ink)


def _notches(pieces: Sequence[Piece]) -> Iterable[Box]:
    """Box all notches: a name may cover a line, but not these."""
    for piece in pieces:
        for mark in piece.marks:
            if mark.kind in (MarkKind.NOTCH, MarkKind.SHOULDER_NOTCH):
                yield from (curve.transform(piece.placement).bounds() for curve in mark.curves)


def _places(piece: Piece, line: Curve, size: float) -> Iterable[Complex]:
    """List the places of each name on a line round a piece: an ordinary edge has one name, a long one more."""
    points = line.points(np.linspace(0.0, len(line), _SAMPLES + 1)[:-1])
    corners = np.array([edge.curve.start for edge in piece.edges])
    stops = sorted({*np.abs(points - corners[:, None]).argmin(axis=1).tolist()})
    for first, last in zip(stops, [*stops[1:], stops[0] + _SAMPLES], strict=True):
        stretch = piece.placement.apply(points[np.arange(first, last + 1) % _SAMPLES])
        along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(stretch)))])
        long = float(along[-1])
        if long < _SHORT * size:
            continue
        count = max(1, round(long / (_APART * size)))
        inside = np.linspace(_ENDS, 1 - _ENDS, _PLACES)
        for k in range(count):
            at = (k + inside) / count * long
            yield np.interp(at, along, stretch.real) + 1j * np.interp(at, along, stretch.imag)
