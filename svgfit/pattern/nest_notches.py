"""Notches of all sizes on one layer: which size each belongs to. Page mm.

A notch of a nest stands with one end on the line of its size, and may cross those of its neighbours; one that ends on
no line is drawn through the nest and marks every size that it crosses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Real
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, encloses
from svgfit.model.drawing import Shape
from svgfit.pattern.convention import Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.layer_rows import OUTLINES, LayerRow
from svgfit.pattern.piece_places import outlines
from svgfit.rules.notches import ON_LINE

_SAMPLES = 81
"""So many points of a mark's curve are held against the lines."""


class _Stand(Struct, frozen=True):
    """Where a mark stands."""

    ends: Mapping[str, complex]
    """Sizes on whose line an end of it lies, each with its other end."""
    met: tuple[str, ...]
    """Sizes whose lines it touches or crosses, or else the nearest."""


def notches_by_size(row: LayerRow, rows: Sequence[LayerRow]) -> list[LayerRow]:
    """Divide a nest's layer of notches that tells no size among the sizes of its piece."""
    if row.role != Role.NOTCHES or row.size is not None or not row.piece:
        return [row]
    shapes: dict[str, list[Shape]] = {}
    for other in rows:
        if other.role in OUTLINES and other.size is not None and name_key(other.piece or "") == name_key(row.piece):
            shapes.setdefault(other.size, []).extend(other.layer.shapes)
    if len(shapes) < 2:
        return [row]
    lines = {size: [curve for shape in own for curve in shape.curves] for size, own in shapes.items()}
    stands = [_stand(mark, lines) for mark in row.layer.shapes]
    loops = {size: [one.loop for one in outlines(own)] for size, own in shapes.items()}
    inwards = _run_inwards(stands, loops)
    shares: dict[str, list[Shape]] = {}
    for mark, stand in zip(row.layer.shapes, stands, strict=True):
        for size in _sizes_of(stand, inwards, loops):
            shares.setdefault(size, []).append(mark)
    return [replace(row, layer=replace(row.layer, shapes=tuple(own)), size=size) for size, own in shares.items()]


def _sizes_of(stand: _Stand, inwards: bool | None, loops: Mapping[str, Sequence[Curve]]) -> Sequence[str]:
    """Tell which sizes a mark is of; ``inwards`` says which way marks run from their line."""
    if len(stand.ends) > 1 and inwards is not None:
        own = [size for size, other in stand.ends.items() if _inside(loops[size], other) == inwards]
        return own or list(stand.ends)
    if not stand.ends or (len(stand.ends) > 1 and len(stand.met) == len(loops)):
        return stand.met
    return list(stand.ends)


def _run_inwards(stands: Sequence[_Stand], loops: Mapping[str, Sequence[Curve]]) -> bool | None:
    """Say whether the marks that end on one line run inwards from it; None where none does, or they differ."""
    ways = {
        _inside(loops[size], other) for stand in stands if len(stand.ends) == 1 for size, other in stand.ends.items()
    }
    return next(iter(ways)) if len(ways) == 1 else None


def _inside(loops: Sequence[Curve], point: complex) -> bool:
    return any(encloses(loop, point) for loop in loops)


def _stand(mark: Shape, lines: Mapping[str, Sequence[Curve]]) -> _Stand:
    points = np.concatenate([curve.points(np.linspace(0, len(curve), _SAMPLES)) for curve in mark.curves])
    box = box_around(curve.bounds() for curve in mark.curves)
    away = {size: _distances(points, box, curves) for size, curves in lines.items()}
    nearest = min(float(each.min()) for each in away.values())
    met = tuple(size for size, each in away.items() if float(each.min()) <= max(nearest, ON_LINE))
    ends: dict[str, complex] = {}
    if len(mark.curves) == 1 and not mark.closed[0]:
        for size, each in away.items():
            first, last = float(each[0]), float(each[-1])
            if min(first, last) <= ON_LINE:
                ends[size] = complex(points[-1] if first <= last else points[0])
    return _Stand(ends, met)


def _distances(points: np.ndarray, box: Box, curves: Sequence[Curve]) -> Real:
    """Measure the distance of each point from lines, the nearest lines first; those far off are not looked at."""
    found = np.full(len(points), np.inf)
    for gap, curve in sorted(((_gap(box, curve.control_box()), curve) for curve in curves), key=lambda one: one[0]):
        if gap > found.min():
            break
        # Its chords are near enough to one another to be as good as the curve.
        chords = curve.points(np.linspace(0, len(curve), max(16, 512 // len(curve)) * len(curve) + 1))
        found = np.minimum(found, distances(points, chords))
    return found


def _gap(box: Box, other: Box) -> float:
    """Measure how far two boxes are apart, mm; 0 where they touch."""
    across = max(box[0] - other[2], other[0] - box[2], 0.0)
    return float(np.hypot(across, max(box[1] - other[3], other[1] - box[3], 0.0)))
