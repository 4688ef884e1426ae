"""Ends of edges: led to another corner or direction, such as square to a fold; darts let in. Piece frame, mm."""

from __future__ import annotations

import cmath
import math

import numpy as np
from msgspec.structs import replace

from svgfit.fitting.ride_along import close_outline, move_mark
from svgfit.fitting.truing import STRAIGHT, stops_on
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.model.piece import Dart, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import MarkKind
from svgfit.rules.smoothness import AS_SEWN
from svgfit.rules.truing import SQUARE, SQUARED

NEAR = 1e-3
"""A corner nearer than this (mm) to an edge's end is that end."""
ON_LINE = 1.0
"""A fold line nearer than this (mm) to the fold lies on it."""


def lead_to(curve: Curve, reach: float, end: complex, way: complex) -> Curve:
    """Redraw the last ``reach`` mm of a curve so that it ends at ``end``, running in the direction ``way`` there.

    One cubic, tangent to what is left of the curve, its handles a third of the way long (any textbook of curves, from
    memory).
    """
    size = curve.length()
    t = curve.at_length(max(size - reach, 0.0))
    start, along = curve.point(t), curve.tangent(t)
    long = abs(end - start) / 3
    last = np.array([start, start + long * along, end - long * way / abs(way), end])
    ahead = [curve.subcurve(0.0, t)] if t > 1e-9 else []
    return Curve.chain([*ahead, Curve(last[None, :])])


def room_at(piece: Piece, edge: str, corner: complex) -> float:
    """Measure how far an edge may be redrawn from one end: to the next notch or dart, at most half of it; mm."""
    found = piece.edge(edge)
    curve, starts = found.curve, abs(found.curve.start - corner) < NEAR
    whole = curve.length()
    stops = [curve.length_between(0.0, t) for t in stops_on(piece, found)]
    ways = [at if starts else whole - at for at in stops]
    return min([whole / 2, *(way for way in ways if way > NEAR)])


def square_end(piece: Piece, edge: str, corner: complex, to: complex, reach: float) -> Piece:
    """Redraw the end of an edge so that it meets a line square, such as a fold: within ``reach`` mm, its corner kept.

    ``corner``: the end of the edge. ``to``: the line's direction. Nothing else of the piece moves; notches stop it.
    """
    found = piece.edge(edge)
    starts = abs(found.curve.start - corner) < NEAR
    curve = found.curve.reverse() if starts else found.curve
    way = 1j * to / abs(to)
    way = way if float(dot(way, curve.tangent(float(len(curve)), before=True))) > 0 else -way
    new = lead_to(curve, min(reach, room_at(piece, edge, corner)), curve.end, way)
    new = new.reverse() if starts else new
    return piece.with_edges(
        close_outline([replace(one, curve=new) if one.name == edge else one for one in piece.edges])
    )


def off_square(piece: Piece, edge: str, corner: complex, to: complex) -> float:
    """Measure by how much an edge's end is not square to a direction, radians, 0 to a right angle."""
    curve = piece.edge(edge).curve
    starts = abs(curve.start - corner) < NEAR
    tangent = curve.tangent(0.0) if starts else curve.tangent(float(len(curve)), before=True)
    turn = abs(cmath.phase(tangent / to))
    return abs(min(turn, math.pi - turn) - math.pi / 2)


def square_again(before: Piece, after: Piece, edge: str, landmark: str, to: complex) -> Piece:
    """Square an edge's end, a landmark, to a direction where it was square before (within AS_SEWN) and is no more."""
    if not after.has_edge(edge):
        return after
    was, now = (off_square(piece, edge, piece.landmark(landmark), to) for piece in (before, after))
    if was > AS_SEWN or now <= SQUARE:
        return after
    return square_end(after, edge, after.landmark(landmark), to, SQUARED)


def let_in_dart(piece: Piece, edge: str, at: float, width: float, length: float) -> tuple[Piece, Dart]:
    """Let a dart into an edge: cut out of it, square to it, so that the edge as sewn is shorter by ``width``.

    Args:
        piece: with the edge.
        edge: its name.
        at: the parameter of the edge where the middle of the dart's mouth lies.
        width: of the mouth, mm along the edge.
        length: from the mouth to the tip, mm.

    Refuse (Refusal) a mouth for which there is no room between the edge's ends, notches and other darts.
    """
    found = piece.edge(edge)
    curve = found.curve
    middle = curve.length_between(0.0, at)
    low, high = middle - width / 2, middle + width / 2
    stops = [0.0, curve.length(), *(curve.length_between(0.0, t) for t in stops_on(piece, found))]
    if width <= 0 or low <= NEAR or high >= curve.length() - NEAR or any(low < stop < high for stop in stops):
        what = f"there is no room for a dart {both_ways(width)} wide in the {edge}"
        raise Refusal(piece.where, what, "use a smaller amount, another place, or ease it in")
    first, last = (curve.at_length(one) for one in (low, high))
    start, end = curve.point(first), curve.point(last)
    across = (end - start) / abs(end - start)
    inward = 1j * across if piece.outline().area() > 0 else -1j * across
    dart = Dart(edge=edge, start=start, apex=(start + end) / 2 + length * inward, end=end)
    parts = [curve.subcurve(0.0, first), Curve.polyline([start, dart.apex, end])]
    parts.append(curve.subcurve(last, float(len(curve))))
    edges = [replace(one, curve=Curve.chain(parts)) if one.name == edge else one for one in piece.edges]
    return replace(piece.with_edges(close_outline(edges)), darts=(*piece.darts, dart)), dart


def lines_along(before: Piece, after: Piece, edge: str) -> Piece:
    """Lay grain, fold and centre lines as they lay to an edge that is straight before and after, such as a fold.

    A grain line keeps its middle and the angle that it had to the edge; a fold or centre line that lay on the edge lies
    on it again, at the same shares of its length. Where the edge is not straight, nothing is done.
    """
    old, new = (piece.edge(edge).curve for piece in (before, after))
    if not (old.is_straight(STRAIGHT) and new.is_straight(STRAIGHT)):
        return after
    turn = (new.end - new.start) / (old.end - old.start)
    marks = [_laid(was, now, old, new, turn / abs(turn)) for was, now in zip(before.marks, after.marks, strict=True)]
    return replace(after, marks=tuple(marks))


def _laid(was: Mark, now: Mark, old: Curve, new: Curve, turn: complex) -> Mark:
    """Lay one line anew; what is no line stays."""
    if len(was.curves) != 1 or not was.curves[0].is_straight(STRAIGHT):
        return now
    (line,) = was.curves
    if was.kind in (MarkKind.FOLD_LINE, MarkKind.CENTRE_LINE):
        shares = [((end - old.start) / (old.end - old.start)).real for end in (line.start, line.end)]
        feet = [old.start + share * (old.end - old.start) for share in shares]
        if max(abs(foot - end) for foot, end in zip(feet, (line.start, line.end), strict=True)) > ON_LINE:
            return now
        points = [new.start + share * (new.end - new.start) for share in shares]
        return replace(now, curves=(Curve.polyline(points),))
    if was.kind == MarkKind.GRAIN_LINE:
        (lies,) = now.curves
        wanted = (line.end - line.start) * turn
        angle = cmath.phase(wanted / (lies.end - lies.start))
        return move_mark(now, Affine.turn(angle, (lies.start + lies.end) / 2))
    return now
