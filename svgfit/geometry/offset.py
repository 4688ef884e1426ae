"""Offset curves (parallels) as few fitted cubics, within an accuracy in mm.

A point of the parallel is P + d·n, n the normal (tangent × i, to the right of travel on a page); its direction is the
curve's own as long as d·κ < 1 (do Carmo, Differential Geometry of Curves and Surfaces, exercise on parallel curves;
from memory). Where d·κ reaches 1 the parallel folds back over itself, in the shape of a swallow's tail; the tail is cut
off where its sides cross, which leaves a corner, as a wheel rolled into a hollow that is too tight for it would. Where
the sides don't cross, ``OffsetFolds`` is raised.
"""

from __future__ import annotations

import itertools

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, cross, derivative, second_derivative
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic_with_error
from svgfit.geometry.intersect import extend_to_intersection, intersections

PLACES = 13
SMALL_TAIL = 1.0
"""A tail smaller than this (mm) is bridged where its sides' crossing is too small to find."""


class OffsetFolds(ValueError):
    """Raised where the curve bends more tightly than the distance: ``at`` says where (a point of the curve)."""

    def __init__(self, at: complex, radius: float) -> None:
        super().__init__(f"a parallel folds back where the curve's radius is {radius:.1f} mm")
        self.at = at
        self.radius = radius


def offset_curve(curve: Curve, distance: float, accuracy: float = 0.05) -> Curve:
    """Offset a curve by ``distance`` mm (positive: right of travel), within ``accuracy`` mm.

    Kinks between the curve's segments stay kinks: the parts are lengthened or trimmed to where they meet.
    """
    if distance == 0:
        return curve
    parts = [_smooth(part, distance, accuracy) for part in _split_at_kinks(curve)]
    result = parts[0]
    for part in parts[1:]:
        result = join_offsets(result, part)
    return result


def join_offsets(first: Curve, second: Curve) -> Curve:
    """Join two curves: trimmed or extended (straight on) to where they meet, else by a straight line between them."""
    if abs(first.end - second.start) < 1e-9:
        return Curve.chain([first, second])
    met = extend_to_intersection(first, second)
    if met is None:
        return Curve.chain([first, Curve.polyline([first.end, second.start]), second])
    return Curve.chain(met)


def _split_at_kinks(curve: Curve, kink: float = 0.005) -> list[Curve]:
    nodes = np.arange(1, len(curve), dtype=np.float64)
    if not len(nodes):
        return [curve]
    turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
    cuts = [0, *(int(k) for k in nodes[turn > kink]), len(curve)]
    return [Curve(curve.segments[a:b]) for a, b in itertools.pairwise(cuts)]


def _smooth(curve: Curve, distance: float, accuracy: float) -> Curve:
    folds = _folds(curve, distance)
    if not folds:
        return _fitted(curve, distance, accuracy)
    n = float(len(curve))
    stops = [0.0, *(t for fold in folds for t in (fold.start, fold.end)), n]
    parts = [curve.subcurve(a, b) if b > a else None for a, b in zip(stops[::2], stops[1::2], strict=True)]
    result: Curve | None = None
    for part, fold in zip(parts, [folds[0], *folds], strict=True):
        if part is None:
            continue
        following = _fitted(part, distance, accuracy)
        if result is None:
            result = following
            continue
        last = float(len(following))
        crossed = [(t, u) for t, u in intersections(result, following) if t > 1e-9 and u < last - 1e-9]
        if crossed:
            t, u = crossed[0]
            result = Curve.chain([result.subcurve(0.0, t), following.subcurve(u, last)])
        elif abs(following.start - result.end) <= SMALL_TAIL:
            result = join_offsets(result, following)
        else:
            raise OffsetFolds(fold.at, fold.radius)
    if result is None:
        raise OffsetFolds(folds[0].at, folds[0].radius)
    return result


def _fitted(curve: Curve, distance: float, accuracy: float) -> Curve:
    done: list[Complex] = []
    waiting = [(0.0, float(len(curve)), 0)]
    while waiting:
        a, b, depth = waiting.pop()
        t = np.linspace(a, b, PLACES if b - a <= 1 else PLACES + 6 * (int(b - a) - 1))
        tangents = curve.tangents(t)
        tangents[-1] = curve.tangent(b, before=True)
        points = curve.points(t) + distance * 1j * tangents
        cubic, error = fit_cubic_with_error(points, complex(tangents[0]), complex(tangents[-1]), enough=0.2 * accuracy)
        if error <= 0.8 * accuracy or depth > 12:
            done.append(cubic)
            continue
        middle = (a + b) / 2
        if b - a > 1:
            middle = float(min(max(round(middle), int(a) + 1), int(np.ceil(b)) - 1))
        waiting += [(middle, b, depth + 1), (a, middle, depth + 1)]
    return Curve.chain(Curve(cubic[None, :]) for cubic in done)


class _Fold(Struct, frozen=True):
    start: float
    end: float
    at: complex
    radius: float


def _folds(curve: Curve, distance: float, places: int = 24) -> list[_Fold]:
    """Find the stretches (parameters) where the parallel runs backwards, in order."""
    t = (np.arange(places) + 0.5) / places
    cubics = curve.segments[:, None, :]
    speed = derivative(cubics, t)
    size = np.abs(speed)
    bend = (cross(speed, second_derivative(cubics, t)) / np.where(size > 1e-6, size, np.inf) ** 3).ravel()
    folded = np.flatnonzero(bend * distance >= 1)
    folds: list[_Fold] = []
    for run in np.split(folded, np.flatnonzero(np.diff(folded) > 1) + 1):
        if len(run):
            tightest = run[int(np.argmax(bend[run] * distance))]
            first, last = (run[0] + 0.5) / places, (run[-1] + 0.5) / places
            start = _edge_of_fold(curve, distance, first, max(0.0, first - 1 / places))
            end = _edge_of_fold(curve, distance, last, min(float(len(curve)), last + 1 / places))
            folds.append(_Fold(start, end, curve.point((tightest + 0.5) / places), abs(1 / float(bend[tightest]))))
    return folds


def _edge_of_fold(curve: Curve, distance: float, inside: float, outside: float) -> float:
    """Find where a fold ends, by halving between a place in it and one that is not (or the curve's own end)."""
    for _ in range(30):
        middle = (inside + outside) / 2
        folded = curve.curvature(middle) * distance >= 1
        inside, outside = (middle, outside) if folded else (inside, middle)
    return float(outside)
