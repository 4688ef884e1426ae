"""Edges trued across a seam as sewn: two pieces laid together, one smooth line over both, each gets its part of it.

Where the two corners beside a seam do not make half a turn the edge has a peak or a dip when sewn. The corner is moved
along the seam, as far on both pieces, so that the seam's two rows differ by what they did before; the edges follow, all
of it at the corner and less and less along them: by h (1 − u/r)³ at a distance u from the corner, r the reach. So the
drawn edges keep their own bends, the tangent and curvature where they are left, and the curvature that is added is the
same on both sides of the seam. h is the one that makes the corners half a turn together. Plane geometry; piece frame,
mm.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.ride_along import ON_EDGE, close_outline, ride_along_edge, with_edge
from svgfit.fitting.sewn import neighbour
from svgfit.fitting.smoothness import inside_angle
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import max_curvature
from svgfit.geometry.intersect import extend_straight
from svgfit.model.length import at_most, both_ways
from svgfit.model.piece import Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.rules.caps import TIGHTER_REPORTED
from svgfit.rules.truing import NO_ROOM, SEAM_BEND, SEAM_REACHES, SEAM_SHARE, SEAM_SWAY

_PARTS = 4
"""A displaced stretch is drawn as at least so many cubics."""


class Corner(Struct, frozen=True, kw_only=True):
    """An edge and the seam that it meets in a corner of a piece."""

    piece: Piece
    """The piece that it is a corner of."""
    edge: str
    """The edge, by its name."""
    at_front: bool
    """Whether the corner is the edge's front or underarm end."""
    seam: str
    """The seam that it meets, likewise."""
    seam_at_front: bool
    """The same of the seam."""

    def along(self) -> Curve:
        """Return the edge from the corner away."""
        curve = self.piece.edge(self.edge).from_front()
        return curve if self.at_front else curve.reverse()

    def down(self) -> Curve:
        """Return the seam from the corner away."""
        curve = self.piece.edge(self.seam).from_front()
        return curve if self.seam_at_front else curve.reverse()

    def angle(self) -> float:
        """Measure the angle of cloth in the corner, radians."""
        return inside_angle(self.piece, self.edge, at_start=self.at_front)


class SeamJoint(Struct, frozen=True):
    """Two corners that come together where a seam is sewn: there one edge runs on into the other."""

    one: Corner
    """The corner of the one piece."""
    other: Corner
    """The corner of the other."""

    @property
    def edge(self) -> str:
        """Name the edge as people do."""
        return " and ".join(dict.fromkeys((self.one.edge, self.other.edge)))

    @property
    def seam(self) -> str:
        """Name the seam: ``side seam``, ``underarm`` for a sleeve's own."""
        first, second = self.one.seam.split(), self.other.seam.split()
        alike = [a for a, b in zip(first, second, strict=False) if a == b]
        return " ".join(alike) if alike else f"{self.one.seam} and {self.other.seam}"

    @property
    def name(self) -> str:
        """Name the place."""
        return f"{self.edge} across the {self.seam}"

    def off(self) -> float:
        """Measure how much the corners make more than half a turn, radians; less than nothing: a peak."""
        return self.one.angle() + self.other.angle() - math.pi


class TruedJoint(Struct, frozen=True, kw_only=True):
    """What became of a joint."""

    pieces: tuple[Piece, ...]
    """The one piece, or two, that changed."""
    shorter: float
    """By how much both rows of the seam are shorter now, mm; less than nothing: longer."""
    unkept: tuple[str, ...] = ()
    """What could not be kept, in words for people."""


def seam_joints(pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[SeamJoint, ...]:
    """Find every place where edges run on across a seam of two edges; those at a fold are none."""
    by_name = {piece.name: piece for piece in reversed(pieces)}
    found: list[SeamJoint] = []
    for seam in seams:
        if len(seam.a) != 1 or len(seam.b) != 1:
            continue
        (one, first), (other, second) = seam.a[0], seam.b[0]
        if one not in by_name or other not in by_name:
            continue
        ends = [
            [_corner(by_name[name], edge, at_front=front) for front in (True, False)]
            for name, edge in (*seam.a, *seam.b)
        ]
        straight, crossed = ((0, 0), (1, 1)), ((0, 1), (1, 0))
        best = max((straight, crossed), key=lambda pairs: sum(_alike(ends[0][a], ends[1][b]) for a, b in pairs))
        for a, b in best:
            joint = SeamJoint(ends[0][a], ends[1][b])
            folded = any(end.piece.edge(end.edge).fold for end in (joint.one, joint.other))
            if not folded and {joint.one.edge, joint.other.edge}.isdisjoint((first, second)):
                found.append(joint)
    return tuple(found)


def _corner(piece: Piece, seam: str, *, at_front: bool) -> Corner:
    beyond, leaves = neighbour(piece, piece.edge(seam), at_start=at_front)
    return Corner(piece=piece, edge=beyond.name, at_front=leaves != beyond.backwards, seam=seam, seam_at_front=at_front)


def _alike(one: Corner, other: Corner) -> bool:
    return one.edge.split()[0] == other.edge.split()[0]


def true_joint(joint: SeamJoint, reach: float | None = None) -> TruedJoint:
    """Draw one smooth line across a seam, ``reach`` mm on each side of it (not given: as far as it takes).

    Promises: half a turn at the seam as sewn, both rows of the seam changed alike, the drawn edges smoothly displaced,
    the next notches left where they are. What was not kept stands in ``unkept``. Refuse where there is no room, and
    where what stands on the seam would come off.
    """
    rooms = [_room(corner) for corner in (joint.one, joint.other)]
    if min(rooms) < NO_ROOM:
        corner = (joint.one, joint.other)[rooms.index(min(rooms))]
        what = f"a notch or dart stands right at the corner of {corner.edge} and {corner.seam}"
        raise Refusal(corner.piece.where, what, "move it, or true the corner by hand")
    enough = (far for far in SEAM_REACHES if abs(joint.off()) <= SEAM_BEND * far)
    wanted = reach if reach is not None else next(enough, SEAM_REACHES[-1])
    reaches = min(wanted, rooms[0]), min(wanted, rooms[1])
    down = _corner_moves(joint, reaches)
    _refuse_too_sharp(joint, down)
    parts = [_displaced(corner, far, down) for corner, far in zip((joint.one, joint.other), reaches, strict=True)]
    old = [corner.along().subcurve(0.0, corner.along().at_length(far)) for corner, far in _with(joint, reaches)]
    sway = sum(map(_turning, parts)) - sum(map(_turning, old)) - abs(joint.off())
    own = max(*map(max_curvature, old), abs(joint.off()) / min(SEAM_REACHES))
    unkept: list[str] = []
    if sway > SEAM_SWAY:
        unkept.append(f"{joint.name}: the line turns to and fro by {math.degrees(sway):.0f}° more than the edges did")
    if max(map(max_curvature, parts)) > TIGHTER_REPORTED * own:
        unkept.append(f"{joint.name}: a bend more than three times as tight as the edges' own")
    return TruedJoint(pieces=_with_parts(joint, parts, reaches, down), shorter=down, unkept=tuple(unkept))


def _refuse_too_sharp(joint: SeamJoint, down: float) -> None:
    """Refuse a corner so sharp that a smooth line there would take (or add) much of the seam."""
    most = SEAM_SHARE * min(corner.down().length() for corner in (joint.one, joint.other))
    together = math.degrees(math.pi + joint.off())
    if not abs(down) <= most:
        raise Refusal(
            joint.one.piece.where,
            f"{joint.name} makes {together:.0f}° as sewn: one smooth line there would move the "
            f"corner {both_ways(abs(down))} along the seam, more than {at_most(most)}",
            "redraw the edges near the corner by hand, or give a longer reach",
        )


def _with(joint: SeamJoint, reaches: tuple[float, float]) -> tuple[tuple[Corner, float], tuple[Corner, float]]:
    return (joint.one, reaches[0]), (joint.other, reaches[1])


def _corner_moves(joint: SeamJoint, reaches: tuple[float, float]) -> float:
    """Find by how much the corner moves down the seam, mm, for the two to make half a turn (secant method)."""

    def off(down: float) -> float:
        angles = [
            abs(cmath.phase(_displaced(corner, far, down).tangent(0.0) / place_down(corner.down(), down)[1]))
            for corner, far in _with(joint, reaches)
        ]
        return sum(angles) - math.pi

    steep = 3 * sum(math.sin(corner.angle()) / far for corner, far in _with(joint, reaches))
    last, miss = 0.0, off(0.0)
    down = -miss / steep
    for _ in range(40):
        now = off(down)
        if abs(now) < 1e-12 or now == miss:
            break
        last, miss, down = down, now, down - now * (down - last) / (now - miss)
    return down


def _displaced(corner: Corner, reach: float, down: float) -> Curve:
    """Displace an edge near its corner so that it begins ``down`` mm down the seam: as far as ``reach`` mm along it."""
    along = corner.along()
    shift = place_down(corner.down(), down)[0] - along.start
    last = along.at_length(reach)
    inner = [k for k in range(1, math.ceil(last)) if k < last]
    places = sorted(
        {0.0, *map(float, inner), *along.at_lengths(np.linspace(0, reach, _PARTS + 1)[1:-1].tolist()), last}
    )
    places = [t for k, t in enumerate(places) if k == 0 or t - places[k - 1] > 1e-6]
    cubics: list[Complex] = []
    for a, b in itertools.pairwise(places):
        (p, q, r, s) = along.subcurve(a, b).segments[0].tolist()
        left = [1 - along.length_between(0.0, t) / reach for t in (a, b)]
        chord = abs(s - p)
        ways = [3 * (q - p), 3 * (s - r)]
        ways[0] = ways[0] if abs(ways[0]) > 1e-6 * chord else chord * along.tangent(a)
        ways[1] = ways[1] if abs(ways[1]) > 1e-6 * chord else chord * along.tangent(b, before=True)
        ends = [at + shift * share**3 for at, share in zip((p, s), left, strict=True)]
        speeds = [way - shift * 3 * share**2 / reach * abs(way) for way, share in zip(ways, left, strict=True)]
        cubics.append(np.array([ends[0], ends[0] + speeds[0] / 3, ends[1] - speeds[1] / 3, ends[1]]))
    cubics[-1][3] = along.point(last)
    return Curve(np.array(cubics))


def _turning(curve: Curve) -> float:
    """Add up how much a curve turns, to either side, radians."""
    ways = curve.tangents(np.linspace(0, len(curve), 24 * len(curve) + 1))
    return float(np.abs(np.angle(ways[1:] / ways[:-1])).sum())


def place_down(seam: Curve, by: float) -> tuple[complex, complex]:
    """Find the place ``by`` mm down a seam (before its start: straight on), and the direction there."""
    if by <= 0:
        way = seam.tangent(0.0)
        return seam.start + by * way, way
    t = seam.at_length(by)
    return seam.point(t), seam.tangent(t)


def laid_together(joint: SeamJoint) -> Affine:
    """Find the motion that lays the second piece on the first as sewn and opened out, seam on seam at the corner."""
    one, other = joint.one.down(), joint.other.down()
    sides = [
        (end.down().tangent(0.0).conjugate() * end.along().tangent(0.0)).imag > 0 for end in (joint.one, joint.other)
    ]
    motion = Affine.scale(-1.0, 1.0) if sides[0] == sides[1] else Affine()
    motion = motion.then(Affine.turn(cmath.phase(one.tangent(0.0) / motion.apply_vector(other.tangent(0.0)))))
    return motion.then(Affine.shift(one.start - motion.apply(other.start)))


def _room(corner: Corner) -> float:
    """Measure how far an edge may be redrawn from its corner: to the next notch or dart, mm, or a share of it."""
    along, piece = corner.along(), corner.piece
    points = [mark.at for mark in piece.marks if mark.edge == corner.edge and mark.at is not None]
    points += [at for dart in piece.darts if dart.edge == corner.edge for at in (dart.start, dart.end)]
    near = [along.length_between(0.0, along.nearest(at)[0]) for at in points]
    return min([SEAM_SHARE * along.length(), *near])


# -- into the pieces -------------------------------------------------------------------------------------------------


def _with_parts(
    joint: SeamJoint, parts: Sequence[Curve], reaches: tuple[float, float], down: float
) -> tuple[Piece, ...]:
    """Give each piece its part of the line, and the seam that goes with it."""
    one = _with_part(joint.one, joint.one.piece, parts[0], reaches[0], down)
    if joint.other.piece is joint.one.piece:
        return (_with_part(joint.other, one, parts[1], reaches[1], down),)
    return one, _with_part(joint.other, joint.other.piece, parts[1], reaches[1], down)


def _with_part(corner: Corner, piece: Piece, part: Curve, reach: float, down: float) -> Piece:
    """Put the part (from the seam away) into an edge, and cut or lengthen the seam to meet it.

    ``piece`` is the corner's, perhaps with its other corner trued already.
    """
    there = replace(corner, piece=piece)
    along, seam = there.along(), there.down()
    t = along.at_length(reach)
    new = Curve.chain([part, along.subcurve(t, float(len(along)))])
    cut = _shortened(there, seam, down)
    cut = Curve(np.concatenate([[[new.start, *cut.segments[0, 1:]]], cut.segments[1:]]))
    done = with_edge(piece, corner.edge, new if corner.at_front else new.reverse())
    done = with_edge(done, corner.seam, cut if corner.seam_at_front else cut.reverse())
    old = along.start

    def follow(mark: Landmark) -> Landmark:
        if abs(mark.at - old) < ON_EDGE:
            return replace(mark, at=new.start)
        at, away = along.nearest(mark.at)
        return replace(mark, at=new.point(new.nearest(mark.at)[0])) if away < ON_EDGE and at < t else mark

    def ride(mark: Mark) -> Mark:
        if mark.edge != corner.edge or mark.at is None or along.nearest(mark.at)[0] >= t - 1e-6:
            return mark
        return ride_along_edge(mark, along, along.nearest(mark.at)[0], new, new.nearest(mark.at)[0])

    return replace(
        done,
        edges=close_outline(done.edges),
        landmarks=tuple(follow(mark) for mark in done.landmarks),
        marks=tuple(ride(mark) for mark in done.marks),
    )


def _shortened(corner: Corner, seam: Curve, down: float) -> Curve:
    """Cut ``down`` mm off a seam's beginning, or lengthen it; refuse to cut off what stands on it."""
    if down <= 0:
        return extend_straight(seam, -down, at_start=True) if down < 0 else seam
    piece = corner.piece
    points = [mark.at for mark in piece.marks if mark.edge == corner.seam and mark.at is not None]
    points += [at for dart in piece.darts if dart.edge == corner.seam for at in (dart.start, dart.end)]
    nearest = min((seam.length_between(0.0, seam.nearest(at)[0]) for at in points), default=math.inf)
    if nearest <= down:
        what = f"a notch or dart of {corner.seam} lies {both_ways(nearest)} from its end, in what comes off"
        raise Refusal(piece.where, what, "move it first, or true the corner by hand")
    return seam.subcurve(seam.at_length(down), float(len(seam)))
