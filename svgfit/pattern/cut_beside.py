"""Which stretch of a drawn cut line lies beside which edge, and which stretches of an edge stayed as they were.

Curves in one frame, mm. Edges are whole: darts cut out of them bridged.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, Real, dot
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, feet

_APART = 4.0
"""A cut line is looked at in places no further apart than this, mm."""
_PARALLEL = 0.2
"""A cut line that comes nearer to its edge by more than this share of its own length has turned a corner."""
_SAG, _MOST_CHORDS = 0.05, 48
"""Whether a cut line surely lies beside an edge at its allowance is asked of chords that the edge lies so near to, mm;
of so many to a segment at most."""
_STAYED = 1e-4
"""A stretch of an edge stayed as it was where it lies within this, mm, of what it was."""
_LOOKED_AT: Real = np.array([0.02, 0.31, 0.5, 0.77, 0.98])
"""The shares of a stretch where it is held against what it was."""
_SHORTEST = 1.0
"""A stretch that stayed counts from so many mm on."""


class Beside(Struct, frozen=True, eq=False, kw_only=True):
    """The stretch of a cut line that runs beside one edge, without the corners at both its ends.

    Where on the edge a place lies, to the last bit, is worked out only for the places that are asked for: beside an
    edge that stayed these are its ends.
    """

    edge: Curve
    cuts: Real
    """Places on the cut line, ascending; they go on counting past its end."""
    points: Complex
    """Where they lie."""

    def place(self, k: int) -> float:
        """Find the parameter of the edge that one of the places lies beside."""
        return self.edge.nearest(complex(self.points[k]))[0]

    def exact(self) -> tuple[Real, Real]:
        """Find the parameters of the edge that all the places lie beside, and how far off, mm."""
        found = np.array(self.edge.nearest_each(self.points))
        return found[:, 0], found[:, 1]

    def holds(self, width: float, within: float) -> bool:
        """Say whether all surely lie so far off, by no more than ``within`` nearer or farther; False leaves it open.

        Looked at are the edge's chords.
        """
        count = min(max(math.ceil(math.sqrt(_sag(self.edge, 1) / _SAG)), 1), _MOST_CHORDS)
        about = distances(self.points, self.edge.points(np.arange(count * len(self.edge) + 1) / count))
        return float(np.abs(about - width).max()) + _sag(self.edge, count) < within - 1e-6

    def width(self, place: float, over: Sequence[tuple[float, float]] = ()) -> float:
        """Read the width at an edge's parameter; over the mouths of darts straight from one side to the other."""
        if not over:
            for k in (0, -1):
                if place == self.place(k):
                    return self.edge.nearest(complex(self.points[k]))[1]
        places, widths = self.exact()
        keep = np.ones(len(places), dtype=np.bool_)
        for a, b in over:
            keep &= (places < a) | (places > b)
        if not keep.any():
            keep[:] = True
        return float(np.interp(place, places[keep], widths[keep]))


def find_beside(cut: Curve, edges: Iterable[Curve]) -> Sequence[Beside | None]:
    """Find what of a closed cut line runs beside each edge of the closed stitch line; None where nothing does.

    Both run the same way round.
    """
    return _find_beside(cut, tuple(edges))


@lru_cache(maxsize=64)  # by the curves themselves, which never change: of a drawn cut line it is asked in every run
def _find_beside(cut: Curve, edges: tuple[Curve, ...]) -> Sequence[Beside | None]:
    u, points = _spread(cut)
    number, place, away = _nearest_edges(points, edges)
    before = np.roll(number, 1)
    starts = np.flatnonzero((number == 0) & (before != 0))
    if not len(starts):
        return [None] * len(edges)
    first = int(starts[int(np.argmin(np.abs(points[starts] - edges[0].start)))])
    u = np.concatenate([u[first:], u[:first] + len(cut)])
    found = u, np.roll(points, -first), np.roll(number, -first), np.roll(place, -first), np.roll(away, -first)
    return [_run(k, edges[k], found) for k in range(len(edges))]


def _spread(cut: Curve) -> tuple[Real, Complex]:
    """Give places on a closed curve, its nodes among them, and their points; its end is its start."""
    sizes = np.abs(np.diff(cut.segments, axis=1)).sum(axis=1)
    counts = np.clip(np.ceil(sizes / _APART).astype(int), 1, 200)
    each: list[int] = counts.tolist()
    t: Real = np.concatenate([k + np.arange(count) / count for k, count in enumerate(each)])
    return t, cut.points(t)


def _nearest_edges(points: Complex, edges: Sequence[Curve]) -> tuple[NDArray[np.intp], Real, Real]:
    """Find the edge that each point is nearest to, where on it, and how far off."""
    found: list[tuple[Real, Real]] = []
    for edge in edges:
        counts = [1 if Curve(segment[None, :]).is_straight(1e-6) else 12 for segment in edge.segments]
        spread: list[Real] = [k + np.arange(count) / count for k, count in enumerate(counts)]
        t = np.concatenate([*spread, np.array([float(len(edge))])])
        at, away = feet(points, edge.points(t))
        found.append((np.interp(at, np.arange(len(t)), t), away))
    every = np.array([away for _, away in found])
    number = every.argmin(axis=0)
    row = np.arange(len(points))
    return number, np.array([place for place, _ in found])[number, row], every[number, row]


def _run(k: int, edge: Curve, found: tuple[Real, Complex, NDArray[np.intp], Real, Real]) -> Beside | None:
    """Take the longest run of places beside an edge, without its ends where the line turns a corner."""
    u, points, number, place, away = found
    own = np.flatnonzero(number == k)
    if len(own) < 3:
        return None
    runs = np.split(own, np.flatnonzero(np.diff(own) > 3) + 1)
    own = max(runs, key=lambda run: float(u[run[-1]] - u[run[0]]))
    steps = np.abs(np.diff(points[own]))
    level = np.abs(np.diff(away[own])) <= _PARALLEL * steps + 0.02
    within = (np.abs(edge.points(place[own]) - edge.start) > 0.05) & (np.abs(edge.points(place[own]) - edge.end) > 0.05)
    good = within[:-1] & within[1:] & level
    pairs = np.flatnonzero(good)
    if not len(pairs):
        return None
    own = own[pairs[0] : pairs[-1] + 2]
    rises = np.concatenate([[True], np.diff(np.maximum.accumulate(place[own])) > 1e-9])
    own = own[rises]
    if len(own) < 2:
        return None
    return Beside(edge=edge, cuts=u[own], points=points[own])


def cut_place(cut: Curve, edge: Curve, beside: Beside, place: float) -> float:
    """Find where the cut line lies square beside a place of the edge (a bisection between the places known)."""
    if place <= beside.place(0):
        return float(beside.cuts[0])
    if place >= beside.place(-1):
        return float(beside.cuts[-1])
    k = bisect_right(range(len(beside.cuts)), place, key=beside.place) - 1
    low, high = float(beside.cuts[max(k - 1, 0)]), float(beside.cuts[min(k + 2, len(beside.cuts) - 1)])
    at, way, n = edge.point(place), edge.tangent(place), float(len(cut))

    def ahead(u: float) -> float:
        return float(dot(cut.point(u % n), way) - dot(at, way))

    if ahead(low) > 0 or ahead(high) < 0:
        return float(np.interp(place, beside.exact()[0], beside.cuts))
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if ahead(middle) < 0 else (low, middle)
    node = round((low + high) / 2)
    return float(node) if abs(cut.point(node % n) - cut.point(low % n)) < 1e-7 else (low + high) / 2


def stretch_of(cut: Curve, start: float, end: float) -> Curve:
    """Cut out of a closed curve from one place to a larger one, which may count on past its end."""
    n = float(len(cut))
    turns = math.floor(start / n) * n
    start, end = start - turns, end - turns
    if end <= n + 1e-9:
        return cut.subcurve(start, min(end, n))
    if start >= n - 1e-9:
        return cut.subcurve(0.0, end - n)
    return Curve.chain([cut.subcurve(start, n), cut.subcurve(0.0, end - n)])


# -- what stayed ------------------------------------------------------------------------------------------------------


class Kept(Struct, frozen=True):
    """A stretch of an edge that stayed as it was, or was moved rigidly: parameters now, those before, the motion."""

    start: float
    end: float
    was_start: float
    was_end: float
    motion: Affine


def kept_stretches(old: Curve, new: Curve, motions: Sequence[Affine]) -> list[Kept]:
    """Find the stretches of an edge that lie where one of the motions takes what they were, in order."""
    if old is new or (len(old) == len(new) and float(np.abs(old.segments - new.segments).max()) < 1e-9):
        return [Kept(0.0, float(len(new)), 0.0, float(len(old)), Affine())]
    found: list[Kept] = []
    for motion in (Affine(), *motions, *_congruent(old, new)):
        for one in _alike(old, new, motion):
            if all(one.end <= other.start + 1e-9 or one.start >= other.end - 1e-9 for other in found):
                found.append(one)
    return sorted(found, key=lambda one: one.start)


def _congruent(old: Curve, new: Curve) -> list[Affine]:
    """Give the motion that takes an edge to its new place, where it is a rigid one."""
    chord, there = old.end - old.start, new.end - new.start
    if len(old) != len(new) or abs(chord) < 1 or abs(abs(chord) - abs(there)) > 1e-6:
        return []
    motion = Affine.shift(-old.start).then(Affine.turn(float(np.angle(there / chord)))).then(Affine.shift(new.start))
    return [motion] if float(np.abs(motion.apply(old.segments) - new.segments).max()) < 1e-6 else []


def _alike(old: Curve, new: Curve, motion: Affine) -> list[Kept]:
    """Find the stretches of the new edge that lie on the moved old one and run the same way."""
    moved = old.transform(motion)
    stops = {float(k) for k in range(len(new) + 1)}
    nodes = np.concatenate([moved.segments[:1, 0], moved.segments[:, 3]])
    near: list[complex] = nodes[_near(nodes, new)].tolist()
    for node in near:
        place, away = new.nearest(node)
        if away <= _STAYED:
            stops.add(place)
    places = sorted(stops)
    places = [t for k, t in enumerate(places) if k == 0 or t - places[k - 1] > 1e-7]
    starts, ends = np.array(places[:-1]), np.array(places[1:])
    between = new.points(starts[:, None] + (ends - starts)[:, None] * _LOOKED_AT)
    likely: NDArray[np.bool_] = np.logical_and.reduce(_near(between.ravel(), moved).reshape(between.shape), axis=1)
    runs: list[tuple[float, float]] = []
    for k, (a, b) in enumerate(itertools.pairwise(places)):
        if likely[k] and _lie_on(between[k], moved):
            runs[-1:] = [(runs[-1][0], b)] if runs and abs(runs[-1][1] - a) < 1e-9 else [*runs[-1:], (a, b)]
    found: list[Kept] = []
    for a, b in runs:
        was = moved.nearest(new.point(a))[0], moved.nearest(new.point(b))[0]
        if was[1] > was[0] and new.length_between(a, b, 1e-2) >= _SHORTEST:
            found.append(Kept(a, b, _snapped(moved, was[0]), _snapped(moved, was[1]), motion))
    return found


def _near(points: Complex, curve: Curve) -> NDArray[np.bool_]:
    """Say which points may lie on a curve, for all that its chords tell, 16 to a segment."""
    fine = curve.points(np.linspace(0, len(curve), 16 * len(curve) + 1))
    return distances(points, fine) < _sag(curve, 16) + 2 * _STAYED


def _sag(curve: Curve, count: int) -> float:
    """Give how far, mm, a curve may lie off its chords, so many to a segment: max|B″|·h²/8.

    That is the error of linear interpolation (from memory).
    """
    bends = 6 * (curve.segments[:, 2:] - 2 * curve.segments[:, 1:3] + curve.segments[:, :2])
    return float(np.abs(bends).max()) / (8 * count**2)


def _lie_on(points: Complex, moved: Curve) -> bool:
    """Say whether points (5,) lie on a curve, one after another; the middle one is looked at first."""
    if moved.nearest(complex(points[2]))[1] > _STAYED:
        return False
    found = moved.nearest_each(points)
    return all(away <= _STAYED for _, away in found) and found[0][0] < found[-1][0]


def _snapped(curve: Curve, place: float) -> float:
    return curve.snap_to_node(place, 1e-4)
