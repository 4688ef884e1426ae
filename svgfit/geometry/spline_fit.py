"""Fit few cubics to a finely sampled smooth curve, its points, directions and curvatures kept at the nodes.

A cubic with handles a and b along the unit tangents S and T from P to Q = P + D has at its ends the curvatures
κ(0) = 2/3 · S × (D − bT) / a² and κ(1) = 2/3 · (D − aS) × T / b² (C. de Boor, K. Höllig and M. Sabin, High accuracy
geometric Hermite interpolation, CAGD 4, 1987; from memory). Both are met by Newton's method. Where that fails the
handles are those that lie nearest to the samples.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, Real, cross, derivative, dot, position, second_derivative

_PLACES = 13
_SHORTEST, _LONGEST = 0.12, 1.0
"""Handles as shares of the chord."""
EXCESS = 5.0
"""A bend as sharp again as the curve's own counts as this many mm of distance."""
BESIDE = 0.03
"""How far beside a change of side a node stands, as a share of the whole length."""
FLAT = 0.1
"""A run's bend weaker than this share of its sharpest is all but straight; nodes stand where that begins and ends."""


class SampledCurve(Struct, frozen=True):
    """Points in mm, unit tangents in the direction of travel, curvatures (1/mm), and lengths from the start (mm)."""

    points: Complex
    before: Complex
    after: Complex
    """Tangents on both sides of each point; they differ at a kink."""
    bends: Real
    along: Real

    def at(self, along: Real) -> tuple[Complex, Complex, Real]:
        """Interpolate points, unit tangents (after) and curvatures at lengths from the start (Hermite's cubic)."""
        k = np.clip(np.searchsorted(self.along, along, side="right") - 1, 0, len(self.along) - 2)
        step = self.along[k + 1] - self.along[k]
        p, q = self.points[k], self.points[k + 1]
        third = step / 3
        cubics_between = np.stack([p, p + third * self.after[k], q - third * self.before[k + 1], q], axis=-1)
        u = (along - self.along[k]) / step
        way = derivative(cubics_between, u)
        return position(cubics_between, u), way / np.abs(way), self.bends[k] + u * (self.bends[k + 1] - self.bends[k])


class SplineFit(Struct, frozen=True):
    """Cubics (n, 4) from node to node; the nodes as lengths from the start; the largest error in mm."""

    segments: Complex
    nodes: tuple[float, ...]
    max_error: float


def spline_fits(curve: SampledCurve, fixed: Sequence[int], most: int, enough: float) -> list[SplineFit]:
    """Fit the curve with ``most`` cubics at most in several ways, the one of least error first.

    ``fixed``: samples that are nodes in any case, the ends among them. No more are looked for once one lies within
    ``enough`` mm. A bend sharper than the curve's own counts as a distance too.
    """
    given = sorted(float(curve.along[k]) for k in fixed)
    sides, flats = _turns(curve, 0.0), _turns(curve, FLAT)
    sharpest = 1.1 * max(float(np.abs(curve.bends).max()), 1e-6)
    found: list[SplineFit] = []
    for places in ((*sides, *flats), flats, sides):
        nodes = _with(curve, given, places, most)
        while len(nodes) - 1 <= most:
            segments, off = cubics_between(curve, nodes)
            excess = max(0.0, _sharpest(segments) / sharpest - 1)
            found.append(SplineFit(segments, tuple(nodes), float(off.max()) + EXCESS * excess))
            if found[-1].max_error <= enough:
                break
            worst = int(np.argmax(off))
            nodes = [*nodes[: worst + 1], _middle(curve, nodes[worst], nodes[worst + 1]), *nodes[worst + 1 :]]
        if any(one.max_error <= 4 * enough for one in found):
            break
    return sorted(found, key=lambda one: one.max_error)


def _sharpest(segments: Complex) -> float:
    u, each = np.arange(13) / 12, segments[:, None, :]
    way = derivative(each, u)
    bend = np.abs(cross(way, second_derivative(each, u)))
    return float((bend / np.maximum(np.abs(way), 1e-9) ** 3).max())


def _turns(curve: SampledCurve, level: float) -> list[float]:
    """Find where the bend passes a share of its own run's sharpest; with ``level`` 0, where it changes side.

    There a little beside it, where the bend is stronger: at the very place a node's two sides could differ in side.
    """
    bends = curve.bends
    if level:
        changes = np.flatnonzero(bends[:-1] * bends[1:] < 0) + 1
        bends = np.concatenate([np.abs(run) - level * np.abs(run).max() for run in np.split(bends, changes)])
    k = np.flatnonzero(bends[:-1] * bends[1:] < 0)
    share = bends[k] / (bends[k] - bends[k + 1])
    places = curve.along[k] + share * (curve.along[k + 1] - curve.along[k])
    if not level:
        off = BESIDE * float(curve.along[-1])
        before, after = (np.abs(np.interp(places + way * off, curve.along, bends)) for way in (-1, 1))
        places = places + np.where(after >= before, off, -off)
    return places.tolist()


def _with(curve: SampledCurve, nodes: list[float], places: Sequence[float], most: int) -> list[float]:
    """Add to the nodes, as far as there is room, the places that don't lie close to one."""
    apart = 0.05 * float(curve.along[-1])
    for place in places:
        if len(nodes) <= most and min(abs(place - node) for node in nodes) > apart:
            nodes = sorted([*nodes, place])
    return nodes


def _middle(curve: SampledCurve, start: float, end: float) -> float:
    """Find the place half way between two, by length and by turning alike."""
    places = np.linspace(start, end, 33)
    bends = np.abs(curve.at(places)[2])
    turned = np.concatenate([[0.0], np.cumsum(bends[1:] + bends[:-1])])
    both = turned / max(float(turned[-1]), 1e-12) + np.linspace(0, 1, 33)
    return float(np.interp(float(both[-1]) / 2, both, places))


def cubics_between(curve: SampledCurve, nodes: Sequence[float]) -> tuple[Complex, Real]:
    """Draw one cubic (n, 4) from each node to the next; with its largest distance (n,) in mm from the samples."""
    stops = np.array(nodes)
    ends, tangents, bends = curve.at(stops)
    sample = np.abs(curve.along[:, None] - stops).argmin(axis=0)
    exact = np.abs(curve.along[sample] - stops) < 1e-9
    first = np.where(exact, curve.after[sample], tangents)[:-1]
    last = np.where(exact, curve.before[sample], tangents)[1:]
    start, end = ends[:-1], ends[1:]
    u = np.arange(_PLACES) / (_PLACES - 1)
    along = stops[:-1, None] + np.diff(stops)[:, None] * u
    points, ways, _ = curve.at(along.ravel())
    points, ways = points.reshape(along.shape), ways.reshape(along.shape)
    near = _nearest_handles(points, start, end, first, last, u)
    handles = _curved_handles(end - start, first, last, bends[:-1], bends[1:], near)
    segments = _segments(start, end, first, last, handles)
    # Across the curve only: along it, both are passed at other speeds.
    fine = position(segments[:, None, :], np.arange(49) / 48)
    gaps = fine[:, None, :] - points[:, :, None]
    nearest = np.take_along_axis(gaps, np.abs(gaps).argmin(axis=2)[:, :, None], axis=2)[:, :, 0]
    return segments, np.abs(cross(ways, nearest)).max(axis=1)


def _segments(start: Complex, end: Complex, first: Complex, last: Complex, handles: Real) -> Complex:
    return np.stack([start, start + handles[:, 0] * first, end - handles[:, 1] * last, end], axis=1)


def _nearest_handles(points: Complex, start: Complex, end: Complex, first: Complex, last: Complex, u: Real) -> Real:
    """Fit handles (n, 2) by least squares at equal shares of the length."""
    v = 1 - u
    rest = points - (v**3 + 3 * v * v * u) * start[:, None] - (u**3 + 3 * v * u * u) * end[:, None]
    one, two = 3 * v * v * u * first[:, None], -3 * v * u * u * last[:, None]
    aa, bb, ab = (dot(a, b).sum(axis=1) for a, b in ((one, one), (two, two), (one, two)))
    ra, rb = dot(one, rest).sum(axis=1), dot(two, rest).sum(axis=1)
    determinant = aa * bb - ab * ab
    chord = np.abs(end - start)[:, None]
    found = np.stack([(ra * bb - rb * ab) / determinant, (rb * aa - ra * ab) / determinant], axis=1)
    return np.clip(found, _SHORTEST * chord, _LONGEST * chord)


def _curved_handles(chord: Complex, first: Complex, last: Complex, start: Real, end: Real, near: Real) -> Real:
    """Find handles (n, 2) that give the curvatures asked at both ends; ``near`` where Newton's method finds none."""
    turn, out, into = cross(first, last), cross(first, chord), cross(chord, last)
    a, b, f, g = near[:, 0], near[:, 1], turn, turn
    with np.errstate(all="ignore"):
        for _ in range(12):
            f, g = 1.5 * start * a * a + b * turn - out, 1.5 * end * b * b + a * turn - into
            fa, gb = 3 * start * a, 3 * end * b
            determinant = fa * gb - turn * turn
            a, b = a - (f * gb - g * turn) / determinant, b - (g * fa - f * turn) / determinant
        size = np.abs(chord)
        met = np.maximum(np.abs(f), np.abs(g)) < 1e-9 * size
        within = (a > _SHORTEST * size) & (a < _LONGEST * size) & (b > _SHORTEST * size) & (b < _LONGEST * size)
    return np.where((met & within)[:, None], np.stack([a, b], axis=1), near)
