"""The parts into which a step cut a piece as lines to draw, and stretches of lines that lie apart. Piece frame, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, even_lines
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
    edges = [_spaced(edge).tolist() for edge in movement.edges]
    around = [at for edge, cut in zip(edges, movement.cuts, strict=True) for at in (*edge, *cut[1:-1])]
    return Part(Curve.polyline([*around, around[0]]), tuple(map(Curve.polyline, edges)), movement.motion)


def parted_from(lines: Sequence[Curve], others: Sequence[Curve], apart: float) -> tuple[Curve, ...]:
    """Find the stretches of ``lines`` that lie more than ``apart`` mm from every one of ``others``; as polylines."""
    beside = [_chords(other) for other in others]
    found: list[Curve] = []
    for points in map(_spaced, lines):
        away = np.min([distances(points, other) for other in beside], axis=0) > apart
        stretches = [points[max(first - 1, 0) : last + 1] for first, last in runs(away)]
        found += [Curve.polyline(stretch.tolist()) for stretch in stretches if bool((stretch != stretch[0]).any())]
    return tuple(found)


def _spaced(curve: Curve) -> Complex:
    return sample(curve.segments, _SPACING)


def _chords(curve: Curve) -> Complex:
    """Return the curve as a polyline with as few points as do: a straight segment as one."""
    rows = zip(curve.segments, even_lines(curve.segments).tolist(), strict=True)
    points = [cubic[3:] if straight else sample(cubic[None, :], _SPACING)[1:] for cubic, straight in rows]
    return np.concatenate([curve.segments[0, :1], *points])
