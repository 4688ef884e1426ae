"""A nest's sizes written on their own lines, so that each can be followed all round without colour."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.output.dimensions import Drawing
from svgfit.output.field import Box
from svgfit.output.labels import Label, box_costs, boxes_around, extent, write
from svgfit.output.nest import in_nest
from svgfit.output.scene import MEASUREMENTS

_PLACES = 24
"""Places tried on each stretch of a line."""
_APART, _SHORT = 80.0, 5.0
"""A line is named about once in so many font sizes of an edge; an edge of fewer than the second is too short."""
_ENDS = 0.12
"""So much of a stretch stays free at either end, where lines of all sizes run together."""
_MIDDLE = 8.0
"""What standing far from the middle of its stretch costs a name: it keeps names apart."""


def size_names(drawing: Drawing, pieces: Sequence[Piece], cuts: Sequence[Curve | None], size: float) -> Drawing:
    """Each outline of a nest with its size on it, on every edge where it lies clearest of all else.

    On the cut line, and on the stitch line too where both are drawn. ``size`` is that of the other writing, in mm.
    """
    for box in _notches(pieces):
        drawing = drawing.adding(drawing.field.with_box(box), ())
    for piece, cut in zip(pieces, cuts, strict=True):
        if piece.size is None or not in_nest(piece, pieces):
            continue
        corners = [edge.curve.start for edge in piece.edges if not edge.fold]
        for line in (cut, piece.outline()):
            if line is not None:
                stops = sorted({round(line.nearest(corner)[0], 6) for corner in corners})
                drawing = _named(drawing, line.transform(piece.placement), stops, piece.size, size * 0.85)
    return drawing


def _notches(pieces: Sequence[Piece]) -> Iterable[Box]:
    """Boxes about all notches: a name may cover a line, but not these."""
    for piece in pieces:
        for mark in piece.marks:
            if mark.kind in ("notch", "shoulder notch"):
                yield from (curve.transform(piece.placement).bounds() for curve in mark.curves)


def _named(drawing: Drawing, line: Curve, stops: Sequence[float], name: str, size: float) -> Drawing:
    width, height = extent((name,), size)
    for start, end in itertools.pairwise([*stops, stops[0] + len(line)]):
        t = np.linspace(start, end, 200)
        points = line.points(t % len(line))
        along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(points)))])
        long = float(along[-1])
        count = max(1, round(long / (_APART * size)))
        if long < _SHORT * size:
            continue
        inside = np.linspace(_ENDS, 1 - _ENDS, _PLACES)
        shares = (np.arange(count)[:, None] + inside).ravel() / count
        centres = line.points(np.interp(shares * long, along, t) % len(line))
        boxes = boxes_around(centres, width, height, size * 0.15)
        aside = np.abs(np.linspace(-1, 1, _PLACES)) * _MIDDLE
        for k in range(count):
            part = slice(k * _PLACES, (k + 1) * _PLACES)
            cost = box_costs(drawing.field, boxes[part], size * 0.2) + aside
            best = k * _PLACES + int(np.argmin(np.round(cost, 6)))
            centre = complex(centres[best])
            left, top, right, bottom = boxes[best].tolist()
            label = Label(MEASUREMENTS, (name,), centre, -1j, size)
            drawing = drawing.adding(
                drawing.field.with_box((left, top, right, bottom)), write(label, centre, width, height)
            )
    return drawing
