"""What a line is to the outlines about it: a notch on one, a line along an edge, a cut line's stitch line. Page mm."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box, box_around, boxes_meet, longer_side, widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, encloses
from svgfit.model.drawing import Shape
from svgfit.rules import drawing_habits as habits

Stroke = tuple[complex, complex]
"""Where a straight line begins and where it ends."""


class ClosedLine:
    """A closed line that others are held against; its chords are made once, when they are first asked for."""

    def __init__(self, loop: Curve) -> None:
        self.loop = loop

    @cached_property
    def chords(self) -> Complex:
        """Points along it, (64 n + 1,) for n segments, in mm."""
        return self.loop.points(np.linspace(0, len(self.loop), 64 * len(self.loop) + 1))

    @cached_property
    def bounds(self) -> Box:
        """The box around it."""
        return self.loop.bounds()

    def away(self, points: Sequence[complex] | Complex) -> list[float]:
        """Measure the distance of each point from it, mm."""
        found: list[float] = distances(np.asarray(points), self.chords).tolist()
        return found

    def comes_near(self, box: Box) -> bool:
        """Tell whether it may come into a box: one of its chords' own boxes meets that."""
        if not boxes_meet(box, self.bounds):
            return False
        x, y = self.chords.real, self.chords.imag
        left, right = np.minimum(x[:-1], x[1:]), np.maximum(x[:-1], x[1:])
        top, bottom = np.minimum(y[:-1], y[1:]), np.maximum(y[:-1], y[1:])
        return bool(((left <= box[2]) & (right >= box[0]) & (top <= box[3]) & (bottom >= box[1])).any())


def is_tick(shape: Shape, outlines: Sequence[ClosedLine]) -> bool:
    """Say whether a shape is a small mark on an outline, or a stroke square to it in its seam allowance."""
    box = box_around(curve.bounds() for curve in shape.curves)
    if longer_side(box) > habits.LARGEST_MARK:
        return False
    points = np.concatenate([curve.points(np.linspace(0, len(curve), 8 * len(curve) + 1)) for curve in shape.curves])
    straight = len(shape.curves) == 1 and shape.curves[0].is_straight()
    length = abs(shape.curves[0].end - shape.curves[0].start) if straight else 0.0
    stroke_like = 0 < length <= habits.LONGEST_TICK
    reach = habits.TICK_NEAR if stroke_like else habits.MARK_NEAR
    near = widen_box(box, reach)
    for outline in outlines:
        if outline.comes_near(near):
            away = outline.away(points)
            square = stroke_like and abs(away[0] - away[-1]) >= 0.9 * length
            if min(away) <= (reach if square else habits.MARK_NEAR):
                return True
    return False


def stroke(shape: Shape) -> Stroke | None:
    """Find the straight stroke that is most of a shape, as in a line with or without arrowheads; None for no such."""
    strokes: list[Stroke] = []
    total = 0.0
    for curve in shape.curves:
        total += curve.length(1e-2)
        parts = [curve] if curve.is_straight() else [curve.subcurve(k, k + 1) for k in range(len(curve))]
        strokes += [(part.start, part.end) for part in parts if part.is_straight()]
    longest = max(strokes, key=lambda one: abs(one[1] - one[0]), default=None)
    if longest is None or abs(longest[1] - longest[0]) < max(habits.SHORTEST_GRAIN, 0.6 * total):
        return None
    return longest


def lies_at(line: Stroke, place: Sequence[ClosedLine]) -> bool:
    """Say whether a line lies within the largest of the outlines at one place, or close by one of them."""
    middle = (line[0] + line[1]) / 2
    return encloses(place[0].loop, middle) or any(one.away([middle])[0] <= habits.FOLD_NEAR for one in place)


def along_edge(line: Stroke, place: Sequence[ClosedLine]) -> bool:
    """Say whether a line runs along an edge of one of the outlines, on it or close by."""
    points = [line[0] + (line[1] - line[0]) * share for share in (0.05, 0.275, 0.5, 0.725, 0.95)]
    for one in place:
        away = one.away(points)
        if max(away) <= habits.FOLD_NEAR and max(away) - min(away) <= habits.SAME_WIDTH:
            return True
    return False


def from_edge_to_edge(line: Stroke, place: Sequence[ClosedLine]) -> bool:
    """Say whether a line runs from edge to edge, as one for lengthening or a bicep line does."""
    return all(any(one.away([end])[0] <= habits.MARK_NEAR for one in place) for end in line)


def runs_beside(inner: Curve, outer: ClosedLine) -> bool:
    """Say whether a stitch line runs beside its cut line: at one distance along each edge, at few in all.

    The sizes of a nest don't: their distance varies along every curve.
    """
    t = inner.at_lengths(np.linspace(0, inner.length(1e-2), 201)[:-1].tolist())
    away = np.array(outer.away(inner.points(np.array(t))))
    if float(away.max()) > habits.WIDEST_ALLOWANCE:
        return False
    left = away
    for _ in range(3):  # a seam, a hem, a fold
        if not len(left):
            return True
        near = [int((np.abs(left - width) <= habits.SAME_WIDTH).sum()) for width in left.tolist()]
        width = left[int(np.argmax(near))]
        left = left[np.abs(left - width) > habits.SAME_WIDTH]
    return len(left) <= habits.BESIDE_REST * len(away)
