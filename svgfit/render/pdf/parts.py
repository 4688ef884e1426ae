"""The parts into which a step cut a piece as lines to draw, and stretches of lines that lie apart. Piece frame, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.geometry.raster import runs, sample
from svgfit.model.operation import Movement
from svgfit.model.report import Annotation
from svgfit.model.vocabulary import AnnotationKind

_ON = 0.5
"""A slash's end lies so near (mm) to its hinge."""
_SPACING = 2.0
"""Between points along a part's edge, mm."""


class Slit(Struct, frozen=True):
    """A slash on the outline."""

    points: tuple[complex, ...]
    hinge: complex | None
    """Its end that is not cut through."""


class Part(Struct, frozen=True):
    """One part of the cut piece."""

    around: Curve
    """Its whole edge before it moved, closed, the cuts among it."""
    edges: tuple[Curve, ...]
    """What of it was the piece's edge, without the cuts."""
    motion: Affine | None
    """How it moved; None where it stayed."""

    @property
    def now(self) -> Curve:
        """Its edge where it lies now."""
        return self.around if self.motion is None else self.around.transform(self.motion)

    @property
    def edges_now(self) -> tuple[Curve, ...]:
        """Its edges where they lie now."""
        return self.edges if self.motion is None else tuple(edge.transform(self.motion) for edge in self.edges)


def slits(notes: Iterable[Annotation]) -> tuple[Slit, ...]:
    """Return the slashes among a step's working lines, each with its hinge."""
    notes = tuple(notes)
    hinges = [note.point for note in notes if note.kind == AnnotationKind.HINGE and note.point is not None]
    found: list[Slit] = []
    for note in notes:
        if note.kind != AnnotationKind.SLASH or note.curve is None:
            continue
        points = [complex(at) for at in note.curve.segments[:, 0].tolist()] + [note.curve.end]
        ends = [hinge for hinge in hinges if min(abs(hinge - points[0]), abs(hinge - points[-1])) < _ON]
        hinge = ends[0] if ends else None
        if hinge is not None and abs(hinge - points[0]) < abs(hinge - points[-1]):
            points.reverse()
        found.append(Slit(tuple(points), hinge))
    return tuple(found)


def parts(moved: Sequence[Movement]) -> tuple[Part, ...]:
    """Return the parts of one piece as polylines, as the operation says that they moved; () where none did."""
    found = tuple(_part(movement) for movement in moved)
    return found if any(part.motion is not None for part in found) else ()


def _part(movement: Movement) -> Part:
    around: list[complex] = []
    edges: list[Complex] = []
    for edge, cut in zip(movement.edges, movement.cuts, strict=True):
        edges.append(_spaced(edge))
        around += [*edges[-1].tolist(), *cut[1:-1]]
    lines = tuple(Curve.polyline(edge.tolist()) for edge in edges)
    return Part(Curve.polyline([*_apart(around), around[0]]), lines, movement.motion)


def _apart(points: Sequence[complex]) -> list[complex]:
    """Leave out points that lie on the one before."""
    kept = [points[0]]
    for at in points[1:]:
        if abs(at - kept[-1]) > 1e-6:
            kept.append(at)
    return kept[:-1] if len(kept) > 1 and abs(kept[-1] - kept[0]) <= 1e-6 else kept


def parted_from(lines: Sequence[Curve], others: Sequence[Curve], apart: float) -> tuple[Curve, ...]:
    """Find the stretches of ``lines`` that lie more than ``apart`` mm from every one of ``others``; as polylines."""
    beside = [_chords(other) for other in others]
    found: list[Curve] = []
    for line in lines:
        points = _spaced(line)
        away = np.min([distances(points, other) for other in beside], axis=0) > apart
        for first, last in runs(away):
            kept = points[max(first - 1, 0) : last + 1].tolist()
            apart_points = [kept[0], *(b for a, b in pairwise(kept) if abs(b - a) > 1e-9)]
            if len(apart_points) > 1:
                found.append(Curve.polyline(apart_points))
    return tuple(found)


def _spaced(curve: Curve) -> Complex:
    return sample(curve.segments, _SPACING)


def _chords(curve: Curve) -> Complex:
    """Return the curve as a polyline with as few points as do: a straight segment as one."""
    third = (curve.segments[:, 3] - curve.segments[:, 0]) / 3
    off = np.abs(curve.segments[:, 1] - curve.segments[:, 0] - third)
    off += np.abs(curve.segments[:, 3] - third - curve.segments[:, 2])
    points = [curve.segments[0, :1]]
    for cubic, straight in zip(curve.segments, (off < 1e-9).tolist(), strict=True):
        points.append(cubic[3:] if straight else sample(cubic[None, :], _SPACING)[1:])
    return np.concatenate(points)
