"""Offset curves (parallels) as few fitted cubics, within an accuracy in mm.

A point of the parallel is P + d·n, n the normal (tangent × i, to the right of travel on a page); its direction is the
curve's own as long as d·κ < 1 (do Carmo, Differential Geometry of Curves and Surfaces, exercise on parallel curves;
from memory). Where d·κ reaches 1 the parallel folds back over itself, in the shape of a swallow's tail, and at a hollow
kink it runs past itself; what then lies nearer to the curve than d is cut off where the parallel crosses itself, which
leaves a corner, as a wheel rolled into a hollow that is too tight for it would. Where no parallel is left, or its
stretches don't meet, ``OffsetFolds`` is raised.

The distance may vary along the curve (``Widths``): the same points, d then that of their place.
"""

from __future__ import annotations

import heapq
import itertools

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, Real, cross, derivative, second_derivative
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic_with_error
from svgfit.geometry.intersect import extend_to_intersection, own_crossings
from svgfit.geometry.polygon import feet

PLACES = 13
SMALL_TAIL = 1.0
"""A tail smaller than this (mm) is bridged where its sides' crossing is too small to find."""
_KINK = 0.005
"""Where a curve turns by more than this at a node (radians) its parallel is parted there."""
_LOOKED_AT = 21
"""At so many places a stretch of a parallel is held against the curve."""
_LACKS = 0.1
"""A parallel's first or last stretch that comes nearer than this (mm) too near is cut off."""


class OffsetFolds(ValueError):
    """Raised where the curve bends more tightly than the distance: ``at`` says where (a point of the curve)."""

    def __init__(self, at: complex, radius: float) -> None:
        super().__init__(f"a parallel folds back where the curve's radius is {radius:.1f} mm")
        self.at = at
        self.radius = radius


class Widths(Struct, frozen=True, eq=False):
    """Distances along a curve (mm, positive: right of travel), straight from one to the next.

    >>> float(Widths(np.array([0.0, 2.0]), np.array([10.0, 14.0])).at(np.array([0.5]))[0])
    11.0
    """

    places: Real
    """Parameters of the curve, ascending."""
    distances: Real

    @classmethod
    def even(cls, distance: float) -> Widths:
        """Make the same distance everywhere."""
        return cls(np.zeros(1), np.array([float(distance)]))

    def at(self, t: Real) -> Real:
        """Read the distances at parameters."""
        return np.interp(t, self.places, self.distances)

    def varies(self) -> bool:
        """Return whether there is more than one distance."""
        return bool(np.ptp(self.distances) > 0)


def offset_curve(curve: Curve, distance: float | Widths, accuracy: float = 0.05) -> Curve:
    """Offset a curve by ``distance`` mm (positive: right of travel), within ``accuracy`` mm.

    Kinks between the curve's segments stay kinks: the parts are lengthened or trimmed to where they meet. Where the
    curve begins or ends in a hollow that is too tight, so much of the parallel is missing there.
    """
    wide = distance if isinstance(distance, Widths) else Widths.even(distance)
    if not np.any(wide.distances):
        return curve
    pieces: list[Curve] = []
    folds: list[_Fold] = []
    hollow = False
    last = 0.0
    for start, end in _smooth_parts(curve):
        own = _folds(curve, wide, start, end)
        folds += own
        stops = [start, *(t for fold in own for t in (fold.start, fold.end)), end]
        for a, b in zip(stops[::2], stops[1::2], strict=True):
            if b - a < 1e-9:
                continue
            following = _fitted(curve, wide, a, b, accuracy)
            if pieces:
                bridge, turned_in = _bridge(pieces[-1], following, curve, a, wide) if a == last else ([], True)
                hollow |= turned_in
                pieces += bridge
            pieces.append(following)
            last = b
    if not pieces:
        raise OffsetFolds(folds[0].at, folds[0].radius)
    raw = _chained(pieces)
    return _without_loops(raw, curve, wide, folds) if hollow or folds or wide.varies() else raw


def join_offsets(first: Curve, second: Curve) -> Curve:
    """Join two curves: trimmed or extended (straight on) to where they meet, else by a straight line between them."""
    if abs(first.end - second.start) < 1e-9:
        return Curve.chain([first, second])
    met = extend_to_intersection(first, second)
    if met is None:
        return Curve.chain([first, Curve.polyline([first.end, second.start]), second])
    return Curve.chain(met)


# -- the parts, and how they follow one another -----------------------------------------------------------------------


def _smooth_parts(curve: Curve) -> list[tuple[float, float]]:
    """Part a curve at its kinks: parameters from, to."""
    nodes = np.arange(1, len(curve), dtype=np.float64)
    turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
    cuts = [0.0, *nodes[turn > _KINK].tolist(), float(len(curve))]
    return list(itertools.pairwise(cuts))


def _bridge(before: Curve, after: Curve, curve: Curve, t: float, wide: Widths) -> tuple[list[Curve], bool]:
    """Draw what lies between two parts' parallels at a kink, and say whether they run past each other there.

    On the outside both are lengthened straight to where they meet, no further than three times their gap.
    """
    gap = after.start - before.end
    if abs(gap) < 1e-9:
        return [], False
    turn = float(np.angle(curve.tangent(t) / curve.tangent(t, before=True)))
    if turn * float(wide.at(np.array([t]))[0]) >= 0:
        return [], True
    one, two = before.tangent(float(len(before)), before=True), after.tangent(0.0)
    area = float(cross(one, two))
    far, back = (float(cross(gap, two)) / area, float(cross(gap, one)) / area) if abs(area) > 1e-9 else (-1.0, -1.0)
    reach = 3 * abs(gap) + 1.0
    if not (0 <= far <= reach and 0 <= -back <= reach):
        return [], False
    meet = before.end + far * one
    return [Curve.polyline([before.end, meet]), Curve.polyline([meet, after.start])], False


def _chained(pieces: list[Curve]) -> Curve:
    """Chain the parts; straight parts that only lengthen a straight neighbour become one with it."""
    done: list[Curve] = []
    for piece in pieces:
        if done and abs(piece.start - done[-1].end) > 1e-9:
            done.append(Curve.polyline([done[-1].end, piece.start]))
        if done and _runs_on(done[-1], piece):
            longer = Curve.polyline([complex(done[-1].segments[-1, 0]), complex(piece.segments[0, 3])])
            done[-1] = Curve(np.concatenate([done[-1].segments[:-1], longer.segments, piece.segments[1:]]))
        else:
            done.append(piece)
    return Curve.chain(done)


def _runs_on(one: Curve, two: Curve) -> bool:
    last, first = Curve(one.segments[-1:]), Curve(two.segments[:1])
    if not (last.is_straight(1e-9) and first.is_straight(1e-9)):
        return False
    return abs(last.tangent(0.0) - first.tangent(0.0)) < 1e-9


# -- cutting off what is too near -------------------------------------------------------------------------------------


class _Stretch(Struct, frozen=True):
    """A stretch of a raw parallel from one crossing to the next: the crossings, and how far it comes too near."""

    curve: Curve
    start: int
    end: int
    cost: float
    """What is too near, mm, by length."""
    lacks: float
    """By how much it comes too near at most, mm."""


def _without_loops(raw: Curve, curve: Curve, wide: Widths, folds: list[_Fold]) -> Curve:
    """Take the way along a raw parallel that keeps its distance best, crossing over where it crosses itself."""
    crossings = own_crossings(raw)
    if not crossings and not folds:
        return raw
    way = _best_way(_stretches(raw, crossings, curve, wide))
    while way and way[0].lacks > _LACKS:
        way = way[1:]
    while way and way[-1].lacks > _LACKS:
        way = way[:-1]
    if not way or any(one.lacks > SMALL_TAIL / 2 for one in way):
        tightest = min(folds, key=lambda fold: fold.radius) if folds else _Fold(0.0, 0.0, curve.start, 0.0)
        raise OffsetFolds(tightest.at, tightest.radius)
    return _without_specks_of_loops(Curve.chain(one.curve for one in way))


def _stretches(raw: Curve, crossings: list[tuple[float, float]], curve: Curve, wide: Widths) -> list[_Stretch]:
    """Part a raw parallel where it crosses itself; both places of a crossing bear one number, start 0 and end 1."""
    places = sorted([(0.0, 0), (float(len(raw)), 1), *((t, k + 2) for k, pair in enumerate(crossings) for t in pair)])
    t, points = _finely(curve)
    found: list[_Stretch] = []
    for (a, start), (b, end) in itertools.pairwise(places):
        if b - a < 1e-9:
            found.append(_Stretch(curve, start, end, 0.0, -1.0))
            continue
        part = raw.subcurve(a, b)
        feet_at, away = feet(part.points(np.linspace(0, len(part), _LOOKED_AT + 2)[1:-1]), points)
        lacks = np.abs(wide.at(np.interp(feet_at, np.arange(len(t)), t))) - away
        size = float(np.abs(np.diff(part.segments, axis=1)).sum())
        cost = size * (float(np.mean(np.maximum(lacks, 0.0))) + 1e-6)
        found.append(_Stretch(part, start, end, cost, float(lacks.max())))
    return found


def _best_way(stretches: list[_Stretch]) -> list[_Stretch]:
    """Find the way from start to end that costs least (Dijkstra, A note on two problems, 1959; from memory)."""
    leaving: dict[int, list[_Stretch]] = {}
    for one in stretches:
        leaving.setdefault(one.start, []).append(one)
    best: dict[int, tuple[float, _Stretch | None]] = {0: (0.0, None)}
    waiting = [(0.0, 0)]
    while waiting:
        cost, node = heapq.heappop(waiting)
        if cost > best[node][0]:
            continue
        for one in leaving.get(node, []):
            if one.end not in best or cost + one.cost < best[one.end][0]:
                best[one.end] = cost + one.cost, one
                heapq.heappush(waiting, (cost + one.cost, one.end))
    way: list[_Stretch] = []
    last = best[1][1]
    while last is not None:
        way.append(last)
        last = best[last.start][1]
    return [one for one in reversed(way) if one.lacks > -1.0 or one.cost > 0]


def _without_specks_of_loops(line: Curve) -> Curve:
    """Leave out every loop between two meetings of a line with itself: what is left of them is within the accuracy."""
    for _ in range(4):
        crossings = own_crossings(line)
        if not crossings:
            break
        parts: list[Curve] = []
        at = 0.0
        for start, end in crossings:
            if start >= at:
                parts += [line.subcurve(at, start)] if start > at + 1e-9 else []
                at = end
        parts += [line.subcurve(at, float(len(line)))] if at < len(line) - 1e-9 else []
        line = Curve.chain(parts)
    return line


def _finely(curve: Curve) -> tuple[Real, Complex]:
    """Give points of a curve about a millimetre apart, and their parameters."""
    sizes = np.abs(np.diff(curve.segments, axis=1)).sum(axis=1)
    counts = np.clip(np.ceil(sizes).astype(int), 1, 400)
    spread: list[Real] = [k + np.arange(count) / count for k, count in enumerate(counts.tolist())]
    t = np.concatenate([*spread, np.array([float(len(curve))])])
    return t, curve.points(t)


# -- fitting ----------------------------------------------------------------------------------------------------------


def _fitted(curve: Curve, wide: Widths, start: float, end: float, accuracy: float) -> Curve:
    stretch = curve.subcurve(start, end)
    if not wide.varies() and stretch.is_straight(1e-9):
        return Curve(stretch.segments + wide.distances[0] * 1j * stretch.tangent(0.0))
    done: list[Complex] = []
    waiting = [(start, end, 0)]
    while waiting:
        a, b, depth = waiting.pop()
        t = np.linspace(a, b, PLACES if b - a <= 1 else PLACES + 6 * (int(b - a) - 1))
        tangents = curve.tangents(t)
        tangents[-1] = curve.tangent(b, before=True)
        points = curve.points(t) + wide.at(t) * 1j * tangents
        ways = complex(tangents[0]), complex(tangents[-1])
        if wide.varies():
            ways = _way(curve, wide, a, ways[0], 1), _way(curve, wide, b, ways[1], -1)
        cubic, error = fit_cubic_with_error(points, *ways, enough=0.2 * accuracy)
        if error <= 0.8 * accuracy or depth > 12:
            done.append(cubic)
            continue
        middle = (a + b) / 2
        if b - a > 1:
            middle = float(min(max(round(middle), int(a) + 1), int(np.ceil(b)) - 1))
        waiting += [(middle, b, depth + 1), (a, middle, depth + 1)]
    return Curve.chain(Curve(cubic[None, :]) for cubic in done)


def _way(curve: Curve, wide: Widths, t: float, tangent: complex, side: int) -> complex:
    """Find the direction of a parallel whose distance varies: (1 − d·κ)·T + d′·n, d′ by the curve's length."""
    step = 1e-4 * side
    gone = abs(curve.point(t + step) - curve.point(t)) * side
    first, second = wide.at(np.array([t, t + step])).tolist()
    bend = curve.curvature(t, before=side < 0)
    way = (1 - first * bend) * tangent + (second - first) / max(abs(gone), 1e-12) * side * 1j * tangent
    return way / abs(way) if abs(way) > 1e-9 else tangent


class _Fold(Struct, frozen=True):
    start: float
    end: float
    at: complex
    radius: float


def _folds(curve: Curve, wide: Widths, first: float, last: float, places: int = 24) -> list[_Fold]:
    """Find the stretches (parameters) of a smooth part where the parallel runs backwards, in order."""
    local = (np.arange(places) + 0.5) / places
    cubics = curve.segments[int(first) : int(last), None, :]
    speed = derivative(cubics, local)
    size = np.abs(speed)
    bend = (cross(speed, second_derivative(cubics, local)) / np.where(size > 1e-6, size, np.inf) ** 3).ravel()
    t = first + (np.arange(len(bend)) + 0.5) / places
    distance = wide.at(t)
    folded = np.flatnonzero(bend * distance >= 1)
    folds: list[_Fold] = []
    for run in np.split(folded, np.flatnonzero(np.diff(folded) > 1) + 1):
        if len(run):
            tightest = run[int(np.argmax(bend[run] * distance[run]))]
            begin, finish = float(t[run[0]]), float(t[run[-1]])
            start = _edge_of_fold(curve, wide, begin, max(first, begin - 1 / places))
            end = _edge_of_fold(curve, wide, finish, min(last, finish + 1 / places))
            folds.append(_Fold(start, end, curve.point(float(t[tightest])), abs(1 / float(bend[tightest]))))
    return folds


def _edge_of_fold(curve: Curve, wide: Widths, inside: float, outside: float) -> float:
    """Find where a fold ends, by halving between a place in it and one that is not (or the part's own end)."""
    for _ in range(30):
        middle = (inside + outside) / 2
        folded = curve.curvature(middle) * float(wide.at(np.array([middle]))[0]) >= 1
        inside, outside = (middle, outside) if folded else (inside, middle)
    return float(outside)
