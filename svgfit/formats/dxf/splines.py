"""B-splines as cubics, and smooth cubics through points.

Sources: de Boor, "On calculating with B-splines", 1972 (evaluation; from memory). A cubic is known by its ends and its
speeds there (Hermite), so each span of a cubic or quadratic B-spline without weights is one cubic, exactly.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from svgfit.geometry.bezier import Complex, Real

_PARTS = 24
"""Cubics a span where one can't be exact: weights, or a degree above 3."""


def bezier_spans(degree: int, knots: Real, controls: Complex, weights: Real) -> Complex | None:
    """Turn a B-spline into cubics (n, 4); None where its knots don't go up or leave nothing to draw."""
    if np.any(np.diff(knots) < 0):
        return None
    ends = np.unique(knots[degree : len(controls) + 1])
    if len(ends) < 2:
        return None
    if degree > 3 or np.ptp(weights) > 1e-12:
        shares = np.arange(_PARTS) / _PARTS
        ends = np.append((ends[:-1, None] + np.diff(ends)[:, None] * shares).ravel(), ends[-1])
    weighted = np.column_stack([controls * weights, weights.astype(np.complex128)])
    made: list[Complex] = []
    for low, high in itertools.pairwise(ends.tolist()):
        span = min(max(int(np.searchsorted(knots, (low + high) / 2, "right")) - 1, degree), len(controls) - 1)
        (start, before), (end, after) = (_at(degree, knots, weighted, span, float(u)) for u in (low, high))
        third = (high - low) / 3
        made.append(np.array([start, start + before * third, end - after * third, end]))
    return np.array(made)


def _at(degree: int, knots: Real, weighted: Complex, span: int, u: float) -> tuple[complex, complex]:
    """Evaluate the polynomial of one span: the point, and its speed by the quotient rule."""
    rows = weighted[span - degree : span + 1].copy()
    before = rows
    for level in range(1, degree + 1):
        low = knots[span - degree + level : span + 1]
        high = knots[span + 1 : span + 1 + degree - level + 1]
        share = ((u - low) / np.where(high > low, high - low, 1.0))[:, None]
        before, rows = rows, rows[:-1] * (1 - share) + rows[1:] * share
    slope = degree * (before[1] - before[0]) / max(float(knots[span + 1] - knots[span]), 1e-300)
    point = complex(rows[0, 0] / rows[0, 1])
    return point, complex((slope[0] - slope[1] * point) / rows[0, 1])


def without_repeats(points: Sequence[complex]) -> list[complex]:
    """Leave out each point that is the one before it once more: no direction leads from one to the other."""
    return [point for point, _ in itertools.groupby(points)]


def through_points(points: Complex, closed: bool) -> Complex:
    """Draw cubics smoothly through points, with tangents of the circles through each and its neighbours.

    ``points`` are two at least, none of them the same as the one before it; the last may be the first again.
    """
    if closed and points[0] == points[-1]:
        points = points[:-1]
    steps = np.roll(points, -1) - points if closed else np.diff(points)
    return hermite(points, circle_tangents(steps, closed), closed)


def circle_tangents(steps: Complex, closed: bool) -> Complex:
    """Find unit tangents at the nodes of a chain of chords: of the circle through a node and its two neighbours.

    At an open chain's ends it is that of the circle through the three points there. A circle's tangent at the middle
    one of three points turns from a chord by as much as the other chord's share of the turn.
    """
    lengths = np.abs(steps)
    before = np.roll(steps, 1) if closed else steps[:-1]
    after = steps if closed else steps[1:]
    turn = np.angle(after / before)
    share = np.abs(before) / (np.abs(before) + np.abs(after))
    inner = before / np.abs(before) * np.exp(1j * turn * share)
    if closed:
        return inner
    unit = steps / lengths
    if len(steps) == 1:
        return np.array([unit[0], unit[0]])
    first = unit[0] ** 2 * inner[0].conjugate()
    last = unit[-1] ** 2 * inner[-1].conjugate()
    return np.concatenate([[first], inner, [last]])


def hermite(points: Complex, tangents: Complex, closed: bool) -> Complex:
    """Draw cubics (n, 4) between points with unit tangents there; handles are those of a circle's arc.

    For a chord c that meets its arc's tangents at angles φ the handle is c / (3 cos²(φ/2)), from 4/3·tan(φ/2) radii and
    a chord of 2·sin φ radii: 4/3·tan(φ/2) / (2 sin φ) = 1 / (3 cos²(φ/2)).
    """
    ends, outs = (np.roll(points, -1), np.roll(tangents, -1)) if closed else (points[1:], tangents[1:])
    starts, ins = (points, tangents) if closed else (points[:-1], tangents[:-1])
    chord = ends - starts
    lean = [np.minimum(np.abs(np.angle(way / chord)), 1.5) for way in (ins, outs)]
    reach = np.abs(chord) / (3 * np.cos(np.add(*lean) / 4) ** 2)
    return np.column_stack([starts, starts + reach * ins, ends - reach * outs, ends])
