"""Where tables may stand: the blank parts of the page, and the empty inside of a piece. Page millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box, box_around, box_contains, longer_side
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import PieceKind
from svgfit.render.annotate.placement.occupancy import Field, sample
from svgfit.render.annotate.scene import Scene

_BETWEEN = 45.0
"""Between two hollows that face each other nearer than this (font sizes) no table stands."""
_SMALL = 12.0
"""A shape smaller than this (font sizes) has no hollow to speak of."""


def blank_page(scene: Scene, field: Field, size: float) -> Field:
    """Keep what of the page (``field``: coarse) is blank: not the inside of a closed shape, nor its hollows.

    A shape round all the pieces (a frame, a sheet's edge) stays open.
    """
    shut = _shut(scene)
    if not shut:
        return field
    inside = field.within(curve for _, curve in shut)
    hollow = field.within([Curve.polyline(_hull(curve)) for curve in _large(shut, size * _SMALL)]) & ~inside
    return field.without(inside | hollow | _facing(inside | hollow, hollow, int(size * _BETWEEN / field.cell)))


def inside_of(piece: Piece, field: Field) -> Field:
    """Keep the empty inside of a piece; of a sleeve only what lies below the bicep line."""
    shut = ~field.within([piece.outline().transform(piece.placement)])
    if piece.kind == PieceKind.SLEEVE:
        down = piece.placement.apply_vector(1j)
        shut |= np.real(np.conjugate(down) * (field.centres() - piece.placement.apply(0j))) < 0
    return field.without(shut)


def _shut(scene: Scene) -> list[tuple[Box, Curve]]:
    pairs = zip(scene.after, scene.cut_after, strict=True)
    outlines = [(cut if cut is not None else piece.outline()).transform(piece.placement) for piece, cut in pairs]
    if not outlines:
        return []
    shut = [(curve.bounds(), curve) for curve in outlines]
    frame = box_around(box for box, _ in shut)
    for curve in scene.occupied:
        box = curve.bounds() if curve.is_closed(1e-3) else None
        if box and not (box[0] < frame[0] and box[1] < frame[1] and box[2] > frame[2] and box[3] > frame[3]):
            shut.append((box, curve))
    return shut


def _large(shut: Sequence[tuple[Box, Curve]], least: float) -> list[Curve]:
    """Choose the shapes with hollows to speak of; not those within another (a stitch line, a pocket)."""
    found: list[tuple[Box, Curve]] = []
    for box, curve in sorted(shut, key=lambda pair: -longer_side(pair[0])):
        if longer_side(box) > least and not any(box_contains(other, box) for other, _ in found):
            found.append((box, curve))
    return [curve for _, curve in found]


def _hull(curve: Curve) -> list[complex]:
    """Compute the convex hull of a curve's points, closed (Andrew's monotone chain, from memory)."""
    points: Complex = sample(curve.segments, max(longer_side(curve.bounds()) / 40, 1.0))
    ordered: list[complex] = points[np.lexsort((points.imag, points.real))].tolist()
    chains = [_chain(ordered), _chain(ordered[::-1])]
    return [*chains[0][:-1], *chains[1]]


def _chain(points: Sequence[complex]) -> list[complex]:
    kept: list[complex] = []
    for at in points:
        while len(kept) > 1 and ((kept[-1] - kept[-2]).conjugate() * (at - kept[-1])).imag <= 0:
            kept.pop()
        kept.append(at)
    return kept


def _facing(pieces: NDArray[np.bool_], hollow: NDArray[np.bool_], most: int) -> NDArray[np.bool_]:
    """Find the cells between two hollows of one row, at most ``most`` apart: two armholes side by side."""
    wide = pieces.shape[1]
    columns: NDArray[np.int32] = np.arange(wide, dtype=np.int32)
    before: NDArray[np.int32] = np.maximum.accumulate(np.where(pieces, columns, np.int32(-1)), axis=1)
    after: NDArray[np.int32] = np.minimum.accumulate(np.where(pieces, columns, np.int32(wide))[:, ::-1], axis=1)
    after = after[:, ::-1]
    held = (before >= 0) & (after < wide) & (after - before <= most + 1)
    rows, cells = np.nonzero(held)
    held[rows, cells] = hollow[rows, before[rows, cells]] & hollow[rows, after[rows, cells]]
    return held
