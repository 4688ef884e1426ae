"""Shift: places of edges moved by so much, running out along the edge; all else of the piece stays as it is.

An edge's own scale is the distance along it as sewn, darts closed, in mm from its front or underarm end. At some
places of it (knots) it is said by how much the edge moves; between them the movement is led over by monotone cubics
(F. N. Fritsch, R. E. Carlson, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980) 238), so that it
never goes beyond what its two knots say, or evenly. Piece frame, mm, y down.
"""

from __future__ import annotations

import cmath
import itertools
from collections.abc import Collection, Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.between import lay_between
from svgfit.fitting.ride_along import ON_EDGE, close_outline, move_mark
from svgfit.fitting.sewn import KeptStretch, kept_stretches, neighbour, sewn_distance, sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic_with_error
from svgfit.model.piece import Dart, Edge, Mark, Piece

ACCURACY = 1e-3
"""How near (mm) the fitted cubics come to where the places of an edge are moved."""
_PLACES = 13
_DEEPEST = 8


class Knot(Struct, frozen=True):
    """By how much a place of an edge moves."""

    at: float
    """mm along the edge as sewn, from its front or underarm end."""
    by: complex
    """How far and which way, in the piece's frame."""
    level: bool = False
    """Whether the movement neither grows nor shrinks there: the edge keeps its direction at this place."""
    grows: complex | None = None
    """How fast the movement grows there, mm a mm along the edge; None: as its neighbours say."""


class Movements(Struct, frozen=True):
    """By how much each place of one edge moves: knots by their places, ascending."""

    knots: tuple[Knot, ...]
    """By how much which places move, ascending."""
    even: bool = False
    """Whether the movement is led over evenly between the knots, so that what was straight there stays straight."""

    def by(self, distances: Real) -> Complex:
        """Return how far places move; before the first knot and behind the last as these do."""
        found = np.zeros(len(distances), dtype=np.complex128)
        for k, (low, high, before, after) in enumerate(self._pieces()):
            inside = (distances >= low) & (distances <= high) if k else distances <= high
            u = np.clip((distances[inside] - low) / (high - low), 0.0, 1.0) if high > low else 0.0 * distances[inside]
            one, two = self.knots[k].by, self.knots[k + 1].by
            width = high - low
            found[inside] = (
                one * (1 + 2 * u) * (1 - u) ** 2
                + two * u * u * (3 - 2 * u)
                + width * before * u * (1 - u) ** 2
                - width * after * u * u * (1 - u)
            )
        found[distances < self.knots[0].at] = self.knots[0].by
        found[distances > self.knots[-1].at] = self.knots[-1].by
        return found

    def over(self, length: float) -> Movements:
        """Return the same with knots at both ends of an edge of that length: running out, it runs out smoothly."""
        first, last = self.knots[0], self.knots[-1]
        before = (Knot(0.0, first.by),) if first.at > ON_EDGE else ()
        behind = (Knot(length, last.by),) if last.at < length - ON_EDGE else ()
        return Movements((*before, *self.knots, *behind), self.even)

    def _pieces(self) -> list[tuple[float, float, complex, complex]]:
        """List the stretches between knots: from, to, and how the movement grows at both (per mm)."""
        slopes = self._slopes()
        pairs = itertools.pairwise(self.knots)
        if self.even:
            even = [(two.by - one.by) / (two.at - one.at) for one, two in itertools.pairwise(self.knots)]
            return [(one.at, two.at, step, step) for (one, two), step in zip(pairs, even, strict=True)]
        return [(one.at, two.at, slopes[k], slopes[k + 1]) for k, (one, two) in enumerate(pairs)]

    def _slopes(self) -> list[complex]:
        """Find how the movement grows at each knot, each coordinate for itself (Fritsch and Carlson, as above)."""
        at = [knot.at for knot in self.knots]
        real, imag = (
            _monotone(at, [knot.by.real for knot in self.knots]),
            _monotone(at, [k.by.imag for k in self.knots]),
        )
        free = [complex(x, y) for x, y in zip(real, imag, strict=True)]
        slopes = [0j if knot.level else slope for knot, slope in zip(self.knots, free, strict=True)]
        return [slope if knot.grows is None else knot.grows for knot, slope in zip(self.knots, slopes, strict=True)]


def _monotone(at: Sequence[float], values: Sequence[float]) -> list[float]:
    """Find slopes with which cubics through values neither overshoot nor turn back; at the ends the nearest step's."""
    widths = [b - a for a, b in itertools.pairwise(at)]
    steps = [(b - a) / width for (a, b), width in zip(itertools.pairwise(values), widths, strict=True)]
    if not steps:
        return [0.0]
    inner: list[float] = []
    for (one, two), (before, after) in zip(itertools.pairwise(steps), itertools.pairwise(widths), strict=True):
        if one * two <= 0:
            inner.append(0.0)
            continue
        first, second = 2 * after + before, after + 2 * before
        inner.append((first + second) / (first / one + second / two))
    return [steps[0], *inner, steps[-1]]


def shift_edges(piece: Piece, movements: Mapping[str, Movements], laid: Collection[str] = ()) -> Piece:
    """Move places of edges, by name; notches, landmarks and darts on them ride along.

    ``laid``: edges that are turned and stretched as a whole, as sewn, to where the edges beside them end; their darts
    keep tip and angle (``lay_between``). A place that does not move stays to the last digit. Raises ValueError where
    two edges' movements part them at the corner between them; an edge that is not named does not move.
    """
    still = Movements((Knot(0.0, 0j),))
    movements = {name: own.over(sewn_length(piece, name)) for name, own in movements.items()}
    edges: list[Edge] = []
    for k, edge in enumerate(piece.edges):
        after = piece.edges[(k + 1) % len(piece.edges)]
        one, two = (movements.get(each.name, still) for each in (edge, after))
        apart = abs(_at_end(piece, edge, one, start=False) - _at_end(piece, after, two, start=True)) > 1e-9
        if apart and edge.name not in laid and after.name not in laid:
            raise ValueError(f"shift_edges: {edge.name} and {after.name} part at their corner")
        edges.append(_shifted(piece, edge, movements[edge.name]) if edge.name in movements else edge)
    new = piece.with_edges(close_outline(edges))
    new = replace(
        new,
        marks=tuple(_ridden(piece, new, mark, movements) for mark in piece.marks),
        landmarks=tuple(replace(one, at=_moved_point(piece, one.at, movements)) for one in piece.landmarks),
        darts=tuple(_moved_dart(piece, dart, movements) for dart in piece.darts),
    )
    for name in laid:
        new = lay_between(new, name, *(corner_beside(new, name, at_start=at_start) for at_start in (True, False)))
    return new.with_edges(close_outline(new.edges)) if laid else new


def corner_beside(piece: Piece, name: str, *, at_start: bool) -> complex:
    """Return where the edge beside one end (``at_start``: the front or underarm one) of an edge ends or begins."""
    beside, leaves = neighbour(piece, piece.edge(name), at_start=at_start)
    return beside.curve.start if leaves else beside.curve.end


def displaced(piece: Piece, edge: str, movements: Movements, at: float) -> complex:
    """Return how far a place of an edge moves, ``at`` mm along it as sewn."""
    return complex(movements.by(np.array([at]))[0])


def _at_end(piece: Piece, edge: Edge, movements: Movements, *, start: bool) -> complex:
    """Return how far an edge's end moves; ``start``: the one that comes first in the outline's order."""
    near = start != edge.backwards
    length = 0.0 if near else sewn_length(piece, edge.name)
    return displaced(piece, edge.name, movements, length)


def _sizes(curve: Curve, kept: Sequence[KeptStretch]) -> list[float]:
    """Measure the stretches of an edge between its darts, mm."""
    return [curve.length_between(one.start, one.end) for one in kept]


def _shifted(piece: Piece, edge: Edge, movements: Movements) -> Edge:
    """Move one edge; a dart's mouth in it moves as one."""
    curve, kept = kept_stretches(piece, edge.name)
    parts: list[Curve] = []
    along, before = 0.0, 0.0
    for one, size in zip(kept, _sizes(curve, kept), strict=True):
        if one.start > before + 1e-9:
            parts.append(_as_one(curve.subcurve(before, one.start), displaced(piece, edge.name, movements, along)))
        parts += _moved_stretch(curve, one, along, movements)
        along, before = along + size, one.end
    if before < len(curve) - 1e-9:
        parts.append(_as_one(curve.subcurve(before, len(curve)), displaced(piece, edge.name, movements, along)))
    new = Curve.chain(parts)
    return replace(edge, curve=new.reverse() if edge.backwards else new)


def _as_one(curve: Curve, by: complex) -> Curve:
    return curve.transform(Affine.shift(by)) if by else curve


def _moved_stretch(curve: Curve, kept: KeptStretch, along: float, movements: Movements) -> list[Curve]:
    """Move a stretch between darts, segment by segment, cut at the knots in it; what stays is not touched."""
    start = curve.length_between(0.0, kept.start)
    inside = [curve.at_length(start + knot.at - along) for knot in movements.knots if knot.at > along]
    stops = {kept.start, kept.end, *(float(k) for k in range(len(curve) + 1) if kept.start < k < kept.end)}
    for t in inside:
        if kept.start < t < kept.end and all(abs(curve.point(t) - curve.point(stop)) > 1e-6 for stop in stops):
            stops.add(t)
    parts: list[Curve] = []
    for a, b in itertools.pairwise(sorted(stops)):
        low, high = (along + curve.length_between(kept.start, t) for t in (a, b))
        probe = movements.by(np.linspace(low, high, 5))
        stretch = curve.subcurve(a, b)
        if np.abs(probe - probe[0]).max() <= 1e-12:
            parts.append(_as_one(stretch, complex(probe[0])))
        else:
            parts += _fitted(stretch, low, movements, _DEEPEST)
    return parts


def _fitted(curve: Curve, low: float, movements: Movements, deepest: int) -> list[Curve]:
    """Fit cubics to a moved stretch of one segment, which begins ``low`` mm along its edge."""
    length = curve.length()
    distances = np.linspace(0.0, length, _PLACES)
    places = np.array(curve.at_lengths(distances.tolist()))
    points = curve.points(places) + movements.by(low + distances)
    step = min(1e-3, length / 100)
    grows = [
        complex((movements.by(np.array([low + a + step])) - movements.by(np.array([low + a])))[0]) / step
        for a in (0.0, length - step)
    ]
    ways = [curve.tangent(0.0) + grows[0], curve.tangent(float(len(curve)), before=True) + grows[1]]
    start, end = (way / abs(way) for way in ways)
    cubic, error = fit_cubic_with_error(points, start, end, enough=0.2 * ACCURACY)
    if error <= ACCURACY or not deepest:
        return [Curve(cubic[None, :])]
    middle = curve.at_length(length / 2)
    one, two = curve.split(middle)
    return [
        *_fitted(one, low, movements, deepest - 1),
        *_fitted(two, low + one.length(), movements, deepest - 1),
    ]


def _ridden(piece: Piece, new: Piece, mark: Mark, movements: Mapping[str, Movements]) -> Mark:
    """Move a notch with its place of the edge, turned with the edge."""
    if mark.edge is None or mark.edge not in movements or mark.at is None:
        return mark
    by = displaced(piece, mark.edge, movements[mark.edge], sewn_distance(piece, mark.edge, mark.at))
    old, now = piece.edge(mark.edge).curve, new.edge(mark.edge).curve
    t, _ = old.nearest(mark.at)
    there, _ = now.nearest(mark.at + by)
    turn = cmath.phase(now.tangent(there) / old.tangent(t))
    if by == 0 and abs(turn) < 1e-9:
        return mark
    to = now.point(there)
    motion = Affine.turn(turn, mark.at).then(Affine.shift(to - mark.at))
    return replace(move_mark(mark, motion), at=to)


def _moved_point(piece: Piece, point: complex, movements: Mapping[str, Movements]) -> complex:
    """Move a point that lies on a moved edge."""
    for name, own in movements.items():
        if piece.edge(name).curve.nearest(point)[1] < ON_EDGE:
            return point + displaced(piece, name, own, sewn_distance(piece, name, point))
    return point


def _moved_dart(piece: Piece, dart: Dart, movements: Mapping[str, Movements]) -> Dart:
    """Move a dart as one with its mouth."""
    if dart.edge not in movements:
        return dart
    by = displaced(piece, dart.edge, movements[dart.edge], sewn_distance(piece, dart.edge, dart.start))
    return replace(dart, start=dart.start + by, apex=dart.apex + by, end=dart.end + by)
