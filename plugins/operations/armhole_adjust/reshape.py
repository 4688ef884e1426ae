"""The lower curve of an armhole moved or hollowed, on one piece; the other end of the armhole stays. Frame mm, y down.

Redrawn is the lower curve: from the underarm point to where the armhole, at its lowest notch or above it, first runs
along the grain (so that the width there stays), or comes nearest to it. A notch on it keeps its length from the
shoulder.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from msgspec import Struct

from svgfit.plugin import (
    Curve,
    Edge,
    Mark,
    Piece,
    Refusal,
    at_most,
    both_ways,
    edgework,
    geometry,
    replace,
    rules,
    sewing,
)

PARTS = 8
"""A hollowed curve is drawn as at least so many cubics: within about 0.04 mm; from trials."""


class Underarm(Struct, frozen=True):
    """An armhole edge and the seam that it meets at the underarm point."""

    piece: Piece
    """The front or back."""
    edge: str
    """The armhole edge's name."""
    at_front: bool
    """Whether the underarm point is the armhole edge's front or underarm end, as it should be."""
    seam: str
    """The name of the seam below it."""

    def up(self) -> Curve:
        """Return the armhole from the underarm point up."""
        curve = self.piece.edge(self.edge).from_front()
        return curve if self.at_front else curve.reverse()

    def down(self) -> Curve:
        """Return the side seam from the underarm point down."""
        curve = self.piece.edge(self.seam).curve
        return curve if abs(curve.start - self.up().start) < 1e-6 else curve.reverse()

    def corner(self) -> float:
        """Measure the angle between armhole and side seam, radians; front and back together half a turn: smooth."""
        return abs(float(np.angle(self.up().tangent(0.0) / self.down().tangent(0.0))))


class ReshapedArmhole(Struct, frozen=True):
    """What became of an armhole."""

    under: Underarm
    """The armhole as it now is."""
    deepest: tuple[complex, complex]
    """The place where the new edge lies furthest from the old one: there on the old, and on the new."""
    wavers: bool
    """Whether the edge now changes the side it bends to more often than before."""


def underarm_of(piece: Piece, edge: str, *, at_front: bool) -> Underarm:
    """Find the armhole's lower end on a piece. Refuse an edge that meets no other there."""
    curve = piece.edge(edge).from_front()
    point = curve.start if at_front else curve.end
    for other in piece.edges:
        if other.name != edge and min(abs(other.curve.start - point), abs(other.curve.end - point)) < 1e-6:
            if other.fold:
                break
            return Underarm(piece, edge, at_front, other.name)
    raise Refusal(piece.where, f"{edge} has no side seam at its underarm end", "check which edges are sewn to which")


def lower_armhole(under: Underarm, by: float) -> ReshapedArmhole:
    """Move the underarm point ``by`` mm down the side seam (negative: up, along the seam's direction there).

    The side seam is cut or lengthened from its top; the lower curve follows, its tangent where it is joined kept, and
    so its angle to the side seam. Refuse more than half the side seam, a raise of more than a quarter of the armhole,
    and a cut through a notch or dart of the side seam.
    """
    up, down = under.up(), under.down()
    seam = _new_side_seam(under, down, by)
    end, turn = seam.start, seam.tangent(0.0) / down.tangent(0.0)
    places = _starts(under, up)
    for t in places:
        lower = up.subcurve(0.0, t).reverse()
        motion = edgework.motion_to_end(lower, end, lower.tangent(float(len(lower)), before=True) * turn)
        if motion is not None:
            return _with_lower_curve(under, up, t, lower.transform(motion), motion.apply, seam)
    lower = up.subcurve(0.0, places[0]).reverse()
    move = edgework.bend_to_end(lower, end)
    return _with_lower_curve(
        under, up, places[0], edgework.reshape_curve(lower, move), edgework.for_one_point(move), seam
    )


def _new_side_seam(under: Underarm, down: Curve, by: float) -> Curve:
    """Cut or lengthen the side seam at its upper end; refuse a cut through what stands on it."""
    piece, whole = under.piece, sewing.sewn_length(under.piece, under.seam)
    if by > whole / 2:
        raise Refusal(
            piece.where,
            f"lowering by {both_ways(by)} takes more than half of {under.seam}, {both_ways(whole)}",
            "lower it by less",
        )
    most = under.up().length() / 4
    if -by > most:
        raise Refusal(
            piece.where, f"raising by {both_ways(-by)} leaves no armhole", f"raise it by {at_most(most)} at most"
        )
    if by <= 0:
        return down if by == 0 else geometry.extend_straight(down, -by, at_start=True)
    points = [mark.at for mark in piece.marks if mark.edge == under.seam and mark.at is not None]
    points += [at for dart in piece.darts if dart.edge == under.seam for at in (dart.start, dart.end)]
    nearest = min((down.length_between(0.0, down.nearest(at)[0]) for at in points), default=math.inf)
    if nearest < by:
        raise Refusal(
            piece.where,
            f"a notch or dart on {under.seam} lies {both_ways(nearest)} below the underarm point, in what is cut away",
            "move it down first, or lower by less",
        )
    return down.subcurve(down.at_length(by), float(len(down)))


def _starts(under: Underarm, up: Curve) -> list[float]:
    """List where the redrawn stretch may end, the best first: parameters up the armhole."""
    whole = up.length()
    notches = [up.nearest(mark.at)[0] for mark in under.piece.notches(under.edge) if mark.at is not None]
    lowest = up.length_between(0.0, min(notches, default=0.0))
    if not rules.armholes.LEAST_REDRAWN * whole < lowest < 0.9 * whole:
        lowest = rules.armholes.REDRAWN_WITHOUT_NOTCH * whole
    places = up.at_lengths(np.linspace(lowest, max(lowest, rules.armholes.HIGHEST_REDRAWN * whole), 41).tolist())
    # Where the tangent is upright, exactly: a turned drawing, other by rounding only, must begin at the same place.
    upright = [t for t in up.level_places(1 + 0j).tolist() if places[0] < t < places[-1]]
    upright = [t for t in upright if abs(up.tangent(t).real) < 1e-5]
    lean = np.abs(up.tangents(np.array(places)).real)
    best = upright[0] if upright else places[int(np.argmin(np.round(lean, 6)))]
    return [best, *up.at_lengths([share * whole for share in rules.armholes.STARTS_TRIED])]


def scoop_armhole(under: Underarm, by: float) -> ReshapedArmhole:
    """Hollow the lower curve into the piece by ``by`` mm at its deepest (negative: fill it out); its ends stay.

    The tangents where it is joined and at the underarm point stay too. Refuse more than the corner of the two tangents
    has room for.
    """
    up = under.up()
    inside = _inner_side(under, up)
    for t in _starts(under, up):
        lower = up.subcurve(0.0, t).reverse()
        corner = edgework.tangent_corner(lower)
        if corner is None:
            continue
        inwards = ((lower.end - lower.start).conjugate() * (corner - lower.start)).imag * -inside > 0
        weight = _pull_for(under.piece, lower, by if inwards else -by)
        move = edgework.pull_to_corner(lower, weight)
        assert move is not None
        return _with_lower_curve(under, up, t, _reshape_evenly(lower, move), edgework.for_one_point(move), None)
    t = _starts(under, up)[0]
    lower = up.subcurve(0.0, t).reverse()
    move = _push_inwards(lower, by, -inside)
    return _with_lower_curve(under, up, t, _reshape_evenly(lower, move), edgework.for_one_point(move), None)


def _reshape_evenly(lower: Curve, move: edgework.Deformation) -> Curve:
    """Move the curve as PARTS cubics or a few more: a length that is searched for must not jump."""
    return edgework.reshape_curve(lower, move, evenly=math.ceil(PARTS / len(lower)))


def _inner_side(under: Underarm, up: Curve) -> int:
    """Return +1 where the piece lies to the right of the way up the armhole, −1 where to the left."""
    along = under.piece.edge(under.edge).curve
    clockwise = 1 if under.piece.outline().area() > 0 else -1
    return clockwise if abs(along.start - up.start) < 1e-9 else -clockwise


def _pull_for(piece: Piece, lower: Curve, by: float) -> float:
    """Find the weight of the pull that moves the curve by ``by`` mm at most, to its tangents' corner or away."""
    # The points are corners of the polyline, so that no pull is no distance.
    fine = lower.points(np.linspace(0, len(lower), 513))
    points = fine[::8]

    def depth(log: float) -> float:
        move = edgework.pull_to_corner(lower, math.exp(log))
        assert move is not None
        return math.copysign(float(geometry.distances(move(points), fine).max()), log)

    low, high = (0.0, rules.armholes.HARDEST_PULL) if by > 0 else (-rules.armholes.HARDEST_PULL, 0.0)
    if abs(by) > abs(depth(high if by > 0 else low)):
        raise Refusal(
            piece.where,
            f"the lower curve has no room for {both_ways(abs(by))}: its tangents allow "
            f"{at_most(abs(depth(high if by > 0 else low)))}",
            "ask for less, or lower the armhole",
        )
    for _ in range(48):
        middle = (low + high) / 2
        low, high = (middle, high) if depth(middle) < by else (low, middle)
    return math.exp((low + high) / 2)


def _push_inwards(lower: Curve, by: float, side: int) -> edgework.Deformation:
    """Push a lower curve that is (nearly) straight square to its chord, nothing of a slope at its ends."""
    chord = lower.end - lower.start
    push = 1j * chord / abs(chord) * by * side

    def move(points: geometry.Complex) -> geometry.Complex:
        v = np.clip(((points - lower.start) * chord.conjugate()).real / abs(chord) ** 2, 0.0, 1.0)
        return np.asarray(points + push * (16 * v * v * (1 - v) ** 2), dtype=np.complex128)

    return move


def _with_lower_curve(
    under: Underarm, up: Curve, t: float, lower: Curve, move: Callable[[complex], complex], seam: Curve | None
) -> ReshapedArmhole:
    """Put a new lower curve (from its start down) and side seam into the piece, and move what stands on them."""
    piece = under.piece
    new = Curve.chain([lower.reverse(), up.subcurve(t, float(len(up)))])
    old_lower = up.subcurve(0.0, t)

    def follow(point: complex) -> complex:
        return move(point) if up.nearest(point)[0] < t else point

    edges: list[Edge] = []
    for edge in piece.edges:
        if edge.name == under.edge:
            from_front = new if under.at_front else new.reverse()
            edge = replace(edge, curve=from_front.reverse() if edge.backwards else from_front)
        elif edge.name == under.seam and seam is not None:
            starts_here = abs(edge.curve.start - up.start) < 1e-6
            edge = replace(edge, curve=seam if starts_here else seam.reverse())
        edges.append(edge)
    landmarks = tuple(
        replace(mark, at=new.start)
        if abs(mark.at - up.start) < edgework.ON_EDGE
        else (replace(mark, at=follow(mark.at)) if up.nearest(mark.at)[1] < edgework.ON_EDGE else mark)
        for mark in piece.landmarks
    )
    darts = tuple(edgework.move_dart(dart, follow) if dart.edge == under.edge else dart for dart in piece.darts)
    done = replace(piece, edges=edgework.close_outline(edges), landmarks=landmarks, darts=darts)
    marks = tuple(_move_notch(mark, under, done, t) if mark.edge == under.edge else mark for mark in piece.marks)
    done = replace(done, marks=marks)
    places, fine = _sampled(lower, 96), _sampled(old_lower, 120)
    furthest = complex(places[int(np.argmax(geometry.distances(places, fine)))])
    foot = old_lower.point(old_lower.nearest(furthest)[0])
    return ReshapedArmhole(replace(under, piece=done), (foot, furthest), new.inflections() > up.inflections())


def _sampled(curve: Curve, places: int) -> geometry.Complex:
    """Return points along a curve, ``places`` a segment; fewer, 4 at least, where it is of more than 8 segments.

    What two such rows are compared by costs their product: an armhole of hundreds of points must stay affordable.
    """
    each = max(4, min(places, 8 * places // len(curve)))
    return curve.points(np.linspace(0, len(curve), each * len(curve) + 1))


def _move_notch(mark: Mark, under: Underarm, done: Piece, t: float) -> Mark:
    """Keep a notch of the armhole as far from the shoulder, darts closed, as it was (on one too short now: as far up).

    ``done`` is the piece with its new edges and darts; the armhole is redrawn up to its parameter ``t``.
    """
    up, new = under.up(), replace(under, piece=done).up()
    if mark.at is None:
        return mark
    at = up.nearest(mark.at)[0]
    if at >= t:
        return edgework.ride_along_edge(mark, up, at, new, new.nearest(mark.at)[0])
    edge, whole = under.edge, sewing.sewn_length(done, under.edge)
    from_front, was = sewing.sewn_distance(under.piece, edge, mark.at), sewing.sewn_length(under.piece, edge)
    from_shoulder = was - from_front if under.at_front else from_front
    up_to_it = whole - from_shoulder if from_shoulder < whole else was - from_shoulder
    curve, place = sewing.place_along(done, edge, up_to_it if under.at_front else whole - up_to_it)
    return edgework.ride_along_edge(mark, up, at, new, place if under.at_front else len(curve) - place)
