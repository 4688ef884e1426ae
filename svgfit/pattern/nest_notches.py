"""Notches of all sizes on one layer: which size each belongs to. Page mm.

A notch of a nest stands with one end on the line of its size, and may cross those of its neighbours; one that ends on
no line is drawn through the nest and marks every size that it crosses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box, box_around, widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, encloses
from svgfit.model.drawing import Shape
from svgfit.pattern.convention import Role
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.layer_rows import OUTLINES, LayerRow
from svgfit.pattern.piece_places import outlines
from svgfit.rules.notches import AGREE, AS_NEAR, FARTHEST_FROM_SEAM, ON_LINE, SQUAREST

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
    lines = {size: [_chords(curve) for shape in own for curve in shape.curves] for size, own in shapes.items()}
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
    ways = [
        _inside(loops[size], other) for stand in stands if len(stand.ends) == 1 for size, other in stand.ends.items()
    ]
    inwards = sum(ways)
    if not ways or max(inwards, len(ways) - inwards) < AGREE * len(ways):
        return None
    return 2 * inwards > len(ways)


def _inside(loops: Sequence[Curve], point: complex) -> bool:
    return any(encloses(loop, point) for loop in loops)


def _stand(mark: Shape, lines: Mapping[str, Sequence[Complex]]) -> _Stand:
    points = np.concatenate([curve.points(np.linspace(0, len(curve), _SAMPLES)) for curve in mark.curves])
    box = box_around(curve.bounds() for curve in mark.curves)
    away = {size: _distances(points, box, chords) for size, chords in lines.items()}
    nearest = min(float(each.min()) for each in away.values())
    met = tuple(size for size, each in away.items() if float(each.min()) <= max(nearest, ON_LINE))
    return _Stand(_ends(points, away) if len(mark.curves) == 1 and not mark.closed[0] else {}, met)


def _ends(points: Complex, away: Mapping[str, Real]) -> dict[str, complex]:
    """Find the sizes on whose line an end of a mark lies; of lines that cross there the one it is most square to."""
    closest = min(min(float(each[0]), float(each[-1])) for each in away.values())
    found: dict[str, complex] = {}
    reach: dict[str, float] = {}
    for size, each in away.items():
        first, last = float(each[0]), float(each[-1])
        if min(first, last) <= min(ON_LINE, closest + AS_NEAR):
            found[size] = complex(points[-1] if first <= last else points[0])
            reach[size] = max(first, last)  # the farther its other end is from the line, the squarer it stands on it
    return {
        size: other
        for size, other in found.items()
        if reach[size] >= SQUAREST * max(reach[one] for one, place in found.items() if place == other)
    }


def _chords(curve: Curve) -> Complex:
    """Take points along a line, so near to one another that its chords are as good as it."""
    return curve.points(np.linspace(0, len(curve), max(4, 512 // len(curve)) * len(curve) + 1))


def _distances(points: Complex, box: Box, lines: Sequence[Complex]) -> Real:
    """Measure the distance of each point from lines given as points; of what is far off only that it is far."""
    left, top, right, bottom = widen_box(box, FARTHEST_FROM_SEAM)
    found = np.full(len(points), np.inf)
    for line in lines:
        near = (line.real >= left) & (line.real <= right) & (line.imag >= top) & (line.imag <= bottom)
        near[1:] |= near[:-1]  # and the chords that lead there
        near[:-1] |= near[1:]
        if near.any():
            first, last = int(np.argmax(near)), len(near) - int(np.argmax(near[::-1]))
            found = np.minimum(found, distances(points, line[first:last]))
        else:
            found = np.minimum(found, float(np.abs(line[:, None] - points[None, ::40]).min()))
    return found
