"""An opening trued by letting the movement set in gradually: the one manner of truing parts that were moved.

Before the cut the paper was moved by A, behind it by B = A∘G. A place C of the drawn edge comes to lie at A(Gˢ(C)), Gˢ
the share s of the movement G (a shift by that share, a turn about the same centre by that share of its angle), s rising
smoothly from 0 to 1 over the reach and being ½ at the cut. How far a place is from the cut is measured along the edge
as it is when half of its movement is done, A(Gˢᐟ²(C)), and so is the reach: that edge is the same one for a movement
and for the movement that takes it back, so what is done and undone comes back. The edge stays between the two parts,
half the opening from the nearer one at most, and depends smoothly on the movement. Piece frame, mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.rules.truing import GENTLE, MOST_UNEVEN, STRETCHED

ON_NODE = 0.02
"""A cut nearer than this to a node (mm) is made at the node: no sliver of a segment beside it."""
_PLACES = 17
_SAMPLES = 33
"""Places on each side of a cut by which lengths along the half-moved edge are measured."""
_ROUNDS = 8
_CUBICS = (1, 2, 4)
"""So many lead the edge on each side of an opening: the fewest that keep within _FIT of where places come to lie."""
_FIT = 0.1
"""mm."""
_SHORTEST, _LONGEST = 0.1, 0.8
"""Handles, as shares of the chord, are held between these."""


class Parting(Struct, frozen=True, kw_only=True):
    """An edge cut at one place whose two parts were moved apart."""

    edge: Curve
    """As drawn."""
    cut: float
    """Where it was cut, a parameter of it."""
    motions: tuple[Affine, Affine]
    """Of the part before the cut and of the one behind it: shifts and turns."""
    left: Curve
    """The edge so far, up to the cut."""
    right: Curve
    """The part behind the cut, moved."""
    rooms: tuple[float, float]
    """How far it may be redrawn before and behind the cut, mm along the drawn edge."""
    reach: float | None = None
    """How far it is redrawn at most on each side, mm along the drawn edge; None: as far as the opening needs."""


class Crossing(Struct, frozen=True, kw_only=True):
    """A stretch that leads an edge across an opening."""

    curve: Curve
    """As many cubics before the middle of the opening as behind it, one to four."""
    start: float
    """Where it leaves the edge so far, a parameter of that."""
    end: float
    """Where it runs into the part behind, a parameter of that."""
    redrawn: float
    """How much of the drawn edge it takes the place of, mm."""


class _Side(Struct, frozen=True, kw_only=True):
    """One side of a cut, by samples from the cut on."""

    edge: Curve
    start: float
    """Where the cut is, mm along the edge."""
    way: int
    """1 for behind the cut, -1 for before it."""
    away: Real
    """How far the samples are from the cut, mm along the edge."""
    points: Complex
    bounded: bool
    """Whether the samples end where the room does."""


class _Movement(Struct, frozen=True, kw_only=True):
    """G, and the shares of it."""

    whole: Affine
    angle: float

    def by(self, points: Complex, shares: Real) -> Complex:
        """Move points, each by a share of the movement: on the circle on which the whole of it takes them."""
        part = shares
        if abs(self.angle) > 1e-9:
            part = np.expm1(1j * self.angle * shares) / np.expm1(1j * self.angle)
        return np.asarray(points + part * (self.whole.apply(points) - points), dtype=np.complex128)


class _Fade(Struct, frozen=True, kw_only=True):
    """How the movement sets in along the half-moved edge."""

    reaches: tuple[float, float]
    """Before and behind the cut, mm."""
    slope: float
    """At the cut, 1/mm."""
    way: complex
    """The direction of the edge at the cut when the whole movement is done, not yet turned; not a unit vector."""

    def shares(self, side: _Side, away: Real) -> Real:
        """Return s so many mm of the half-moved edge from the cut: a cubic, without slope where the reach ends."""
        reach = self.reaches[side.way > 0]
        left, steep = 1 - np.minimum(away / reach, 1.0), self.slope * reach
        share = left * left * (1.5 - steep + (steep - 1) * left)
        return 1 - share if side.way > 0 else share


def reach_for(gap: complex, way: complex) -> float:
    """Return how far an opening is trued on each side, mm: ``gap`` from cut end to cut end, ``way`` along the edge.

    A step aside needs √(step·GENTLE): over so long a way it bends the edge by about 1/GENTLE more, whatever its size
    (s″ of a smooth step; from memory). Paper put in or taken out along the edge needs STRETCHED times as much.
    """
    along, aside = abs((gap * way.conjugate()).real), abs((gap * way.conjugate()).imag)
    return math.hypot(math.sqrt(aside * GENTLE), STRETCHED * along)


def draw_across(parting: Parting) -> Crossing:
    """Draw the stretch across an opening; tangent on both sides, through the middle of the opening."""
    first, second = parting.motions
    whole = second.then(first.inverse())
    movement = _Movement(whole=whole, angle=math.atan2(whole.b, whole.a))
    sides = tuple(_side(parting, way, movement) for way in (-1, 1))
    fade, lengths = _fade(parting, sides, movement)
    ends = [float(np.interp(r, m, side.away)) for r, m, side in zip(fade.reaches, lengths, sides, strict=True)]
    start, end = _snap(parting.left, parting.left.length() - ends[0]), _snap(parting.right, ends[1])
    placed: list[Complex] = []
    for side, reach, along in zip(sides, fade.reaches, lengths, strict=True):
        even = np.linspace(0.0, reach, _PLACES)
        drawn = _at(side.edge, side.start + side.way * np.interp(even, along, side.away))
        placed.append(first.apply(movement.by(drawn, fade.shares(side, even))))
    before, behind = placed[0][::-1], placed[1]
    before[0], behind[-1] = parting.left.point(start), parting.right.point(end)
    way = first.apply_vector(fade.way * cmath.exp(0.5j * movement.angle))
    way /= abs(way)
    # At a drawn corner the edge runs in as it does on this side of it.
    ways = parting.left.tangent(start), way, parting.right.tangent(end, before=True)
    return Crossing(curve=_through(before, behind, ways), start=start, end=end, redrawn=sum(ends))


def _through(before: Complex, behind: Complex, ways: tuple[complex, complex, complex]) -> Curve:
    """Lead the same few cubics through the places on each side, with given tangents at both ends and the middle."""
    cubics = np.empty((0, 4), dtype=np.complex128)
    for count in _CUBICS:
        sides = _led(before, ways[0], ways[1], count), _led(behind, ways[1], ways[2], count)
        cubics = np.concatenate(sides)
        if _is_near(sides[0], before) and _is_near(sides[1], behind):
            break
    return Curve(cubics)


def _snap(curve: Curve, along: float) -> float:
    """Return the parameter so many mm along a curve, at a node where one is near."""
    return curve.snap_to_node(curve.at_length(along), ON_NODE)


def _side(parting: Parting, way: int, movement: _Movement) -> _Side:
    """Sample one side of the cut as far as it may be redrawn, or well beyond what the opening needs."""
    room = parting.rooms[way > 0]
    if parting.reach is None:
        far = 2 * reach_for(_gap(parting, movement), way_of(parting.edge, parting.cut))
    else:
        far = parting.reach
    away = np.linspace(0.0, min(room, far), _SAMPLES)
    start = parting.edge.length_between(0.0, parting.cut)
    bounded = room <= far or parting.reach is not None
    points = _at(parting.edge, start + way * away)
    return _Side(edge=parting.edge, start=start, way=way, away=away, points=points, bounded=bounded)


def _at(edge: Curve, along: Real) -> Complex:
    """Find the places of an edge so many mm along it."""
    return edge.points(np.array(edge.at_lengths(along.tolist())))


def way_of(edge: Curve, cut: float) -> complex:
    """Return the direction of an edge where it is cut, a unit vector; at a corner the middle of its two."""
    along = edge.tangent(cut, before=True) + edge.tangent(cut)
    return along / abs(along)


def _gap(parting: Parting, movement: _Movement) -> complex:
    """Return the opening from cut end to cut end, as it lies when half of the movement is done on each side."""
    ends = movement.by(np.full(2, parting.edge.point(parting.cut)), np.array([-0.5, 0.5]))
    return complex(ends[1] - ends[0])


def _fade(parting: Parting, sides: Sequence[_Side], movement: _Movement) -> tuple[_Fade, list[Real]]:
    """Find how far the movement sets in, and how far the samples lie from the cut along the half-moved edge.

    Each follows from the other, so they are found in rounds.
    """
    gap, along = _gap(parting, movement), way_of(parting.edge, parting.cut)
    lengths = [side.away for side in sides]
    way = along
    fade = _Fade(reaches=(1.0, 1.0), slope=0.0, way=way)
    for _ in range(_ROUNDS):
        wanted = math.inf if parting.reach is not None else reach_for(gap, way)
        rooms = [float(lengths[k][-1]) if side.bounded else math.inf for k, side in enumerate(sides)]
        most = MOST_UNEVEN * min(wanted, *rooms)
        before, behind = (min(wanted, room, most) for room in rooms)
        # As steep at the cut as an even step would be, but not so steep that the longer side would swing back.
        slope = min(2 / (before + behind), 1.5 / max(before, behind))
        drawn = _drawn_speed(along, slope * gap)
        fade = _Fade(reaches=(before, behind), slope=slope, way=drawn * along + slope * gap)
        way = drawn * along + slope * gap / 2
        for k, side in enumerate(sides):
            half = movement.by(side.points, fade.shares(side, lengths[k]) / 2)
            lengths[k] = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(half)))])
    return fade, lengths


def _drawn_speed(along: complex, opening: complex) -> float:
    """Return how many mm of the drawn edge a mm of the half-moved one is at the cut.

    ``along``: the direction there; ``opening``: how far the paper opens over that mm. The half-moved edge has speed 1:
    |speed·along + opening/2| = 1.
    """
    half = (opening * along.conjugate()).real / 2
    return max(0.1, math.sqrt(max(0.0, half * half + 1 - abs(opening) ** 2 / 4)) - half)


def _led(points: Complex, start: complex, end: complex, count: int) -> Complex:
    """Lead so many cubics (count, 4) through points at even distances, with given end tangents."""
    each = (len(points) - 1) // count
    ways = [start]
    for k in range(each, len(points) - 1, each):
        along = complex(points[k + 1] - points[k - 1])
        ways.append(along / abs(along))
    ways.append(end)
    return np.array([_fitted(points[k * each : (k + 1) * each + 1], ways[k], ways[k + 1]) for k in range(count)])


def _is_near(cubics: Complex, points: Complex) -> bool:
    """Tell whether points lie within _FIT of cubics led through them."""
    line = Curve(cubics).points(np.linspace(0.0, len(cubics), 4 * len(points)))
    return float(distances(points, line).max()) <= _FIT


def _fitted(points: Complex, start: complex, end: complex) -> Complex:
    """Fit one cubic (4,) to points at even parameters, with given end tangents, by its handles (least squares).

    Not by the nearest places: so the handles depend smoothly on the points.
    """
    u = np.linspace(0.0, 1.0, len(points))
    v = 1 - u
    one, two = 3 * v * v * u, 3 * v * u * u
    rest = points - (v**3 + one) * points[0] - (two + u**3) * points[-1]
    columns = np.stack([one * start, -two * end], axis=1)
    rows, right = np.concatenate([columns.real, columns.imag]), np.concatenate([rest.real, rest.imag])
    chord = abs(points[-1] - points[0])
    handles = np.clip(np.linalg.lstsq(rows, right, rcond=None)[0], _SHORTEST * chord, _LONGEST * chord)
    first, last = (float(handle) for handle in handles)
    return np.array([points[0], points[0] + first * start, points[-1] - last * end, points[-1]])
