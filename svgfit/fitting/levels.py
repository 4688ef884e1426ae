"""Levels on a seam, and seams moved by so much a level: what widths are altered by. Piece frame, mm, y down.

Distances along a seam are as sewn, darts closed, from its front or underarm end. From memory: a seam
moves level (square to the grain) at each level and smoothly between them; the edges at its ends follow and run out at
their nearest notch or dart, so that what lies beyond stays.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

import numpy as np
from msgspec.structs import replace

from svgfit.fitting.lower_curve import motion_to_end
from svgfit.fitting.ride_along import ON_EDGE, close_outline, with_edge
from svgfit.fitting.sewn import place_along, sewn_distance, sewn_length
from svgfit.fitting.shift import Knot, Movements, shift_edges
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind
from svgfit.rules.widths import RUN_OUT_SHARE

APART = 1.0
"""Two levels nearer to one another than this (mm along the seam) are one."""
STRAIGHT = 0.1
"""A stretch that leaves its chord by no more than this (mm) is a straight line."""
TURNS = (EdgeName.ARMHOLE, EdgeName.CAP)
"""Edges that keep their angle to a seam that leans otherwise at their common corner."""
FAR = 1e5
"""Farther out than any piece (mm)."""


def drawn_level(piece: Piece, edge: str, word: str) -> float | None:
    """Find how far along an edge a level lies that is drawn: a line, or a landmark, with ``word`` in its name."""
    for mark in piece.marks:
        if mark.kind != MarkKind.TEXT and mark.curves and word in (mark.name or "").casefold().split():
            line = mark.curves[0]
            return level_along(piece, edge, (line.start.imag + line.end.imag) / 2)
    for landmark in piece.landmarks:
        if word in landmark.name.split():
            return level_along(piece, edge, landmark.at.imag)
    return None


def level_along(piece: Piece, edge: str, level: float) -> float | None:
    """Measure how far along an edge it first crosses a level (y); None where it does not."""
    curve = piece.edge(edge).from_front()
    met = curve.crossings(complex(-FAR, level), complex(FAR, level))
    return min((sewn_distance(piece, edge, curve.point(t)) for t in met), default=None)


def seam_point(piece: Piece, edge: str, along: float) -> complex:
    """Return the point so far along an edge as sewn."""
    curve, t = place_along(piece, edge, along)
    return curve.point(t)


def width_at(piece: Piece, level: float) -> float:
    """Measure a piece across at a level (y), square to the grain, without what its darts take up there."""
    outline = piece.outline()
    met = sorted(outline.point(t).real for t in outline.crossings(complex(-FAR, level), complex(FAR, level)))
    across = sum(right - left for left, right in zip(met[::2], met[1::2], strict=False))
    for dart in piece.darts:
        if outline.nearest(dart.apex)[1] < STRAIGHT:
            continue  # cut out of the outline: not counted above
        sides = [_crossing(end, dart.apex, level) for end in (dart.start, dart.end)]
        if sides[0] is not None and sides[1] is not None:
            across -= abs(sides[0] - sides[1])
    return across


def _crossing(one: complex, other: complex, level: float) -> float | None:
    """Return where a straight line crosses a level; None where it does not."""
    if (one.imag - level) * (other.imag - level) > 0 or one.imag == other.imag:
        return None
    return one.real + (other.real - one.real) * (level - one.imag) / (other.imag - one.imag)


def level_moves(piece: Piece, edge: str, by: Iterable[tuple[float, complex]]) -> Movements:
    """Move a seam by so much at each place (mm along it), smoothly between them; a straight one straight to its ends.

    Refuse (Refusal) two places that are one.
    """
    knots = tuple(Knot(at, each) for at, each in sorted(by, key=lambda one: one[0]))
    for one, two in itertools.pairwise(knot.at for knot in knots):
        if two - one < APART:
            raise Refusal(
                piece.where, f"two levels lie within {both_ways(two - one)} of {edge}", "name only one of them"
            )
    whole = knots[0].at < APART and knots[-1].at > sewn_length(piece, edge) - APART
    return Movements(knots, len(knots) == 2 and whole and piece.edge(edge).curve.is_straight(STRAIGHT))


def shift_seams(piece: Piece, moves: Mapping[str, Movements], *, share: Mapping[str, float] | None = None) -> Piece:
    """Move seams, and let the edges beyond their corners follow (``run_out``).

    The lower curve of an armhole or cap, from its notch to the corner, is carried to the moved corner by the one affine
    motion that keeps it tangent at the notch and turns it with the seam (``lower_curve``), where its tangents allow
    that: so it bends to no other side than before.
    """
    every = run_out(piece, moves, share=share)
    new = shift_edges(piece, every)
    for name, own in every.items():
        if name in TURNS and name not in moves and not own.even:
            new = _carry_lower_curve(piece, new, name, own, at_start=True)
            new = _carry_lower_curve(piece, new, name, own, at_start=False)
    return replace(new, marks=tuple(_bicep_line_moved(mark, piece, new) for mark in new.marks))


def _bicep_line_moved(mark: Mark, old: Piece, new: Piece) -> Mark:
    """Draw a straight bicep line anew, each end moved as the underarm point that it lies nearer to."""
    names = (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK)
    if mark.kind != MarkKind.BICEP_LINE or any(old.find_landmark(name) is None for name in names):
        return mark
    by = {name: new.landmark(name) - old.landmark(name) for name in names}
    if not any(by.values()):
        return mark
    lines: list[Curve] = []
    for curve in mark.curves:
        nearest = [min(names, key=lambda name: abs(at - old.landmark(name))) for at in (curve.start, curve.end)]
        ends = (curve.start + by[nearest[0]], curve.end + by[nearest[1]])
        lines.append(Curve.polyline(ends) if curve.is_straight(STRAIGHT) else curve)
    return replace(mark, curves=tuple(lines))


def _carry_lower_curve(piece: Piece, new: Piece, name: str, moved: Movements, *, at_start: bool) -> Piece:
    """Carry what lies between an edge's end and the place where its movement has run out."""
    knot, stop = moved.knots[:2] if at_start else moved.knots[:-3:-1]
    if not knot.by or stop.by:
        return new
    old, t = place_along(piece, name, stop.at)
    now = new.edge(name).from_front()
    lower = old.subcurve(0.0, t).reverse() if at_start else old.subcurve(t, float(len(old)))
    end, way = (now.start, -now.tangent(0.0)) if at_start else (now.end, now.tangent(float(len(now)), before=True))
    motion = motion_to_end(lower, end, way)
    if motion is None:
        return new
    place = now.snap_to_node(now.nearest(lower.start)[0], ON_EDGE)
    carried = lower.transform(motion)
    parts = (
        [carried.reverse(), now.subcurve(place, float(len(now)))] if at_start else [now.subcurve(0.0, place), carried]
    )
    edges = with_edge(new, name, Curve.chain(parts)).edges
    return new.with_edges(close_outline(edges))


def run_out(
    piece: Piece, moves: Mapping[str, Movements], *, share: Mapping[str, float] | None = None
) -> dict[str, Movements]:
    """Let the edges beyond moved seams follow: they run out at their nearest notch or dart. Return all the movements.

    Args:
        piece: with the seams.
        moves: by how much each seam moves, ends too.
        share: how much of an edge runs out where it has no notch or dart; all of it where it is not named.

    A straight edge that is moved along itself, or wholly, stays straight; an armhole or cap keeps its angle to the seam
    at the corner, any other edge its direction. Refuse (Refusal) a corner that moves by more than RUN_OUT_SHARE of the
    room there is.
    """
    found: dict[str, dict[bool, Knot]] = {}
    for name, own in moves.items():
        seam, length = piece.edge(name).from_front(), sewn_length(piece, name)
        step = 1e-3
        at_ends = own.by(np.array([0.0, step, length - step, length]))
        ends = ((seam.start, at_ends[0], seam.tangent(0.0), at_ends[1] - at_ends[0]),)
        ends += ((seam.end, at_ends[3], seam.tangent(float(len(seam)), before=True), at_ends[3] - at_ends[2]),)
        for corner, by, way, grows in ends:
            if by:
                edge, starts = _beyond(piece, moves, corner)
                turn = (way + grows / step) / way if edge in TURNS else 1 + 0j
                curve = piece.edge(edge).from_front()
                tangent = curve.tangent(0.0) if starts else curve.tangent(float(len(curve)), before=True)
                knot = Knot(0.0, complex(by), grows=complex(tangent * (turn / abs(turn) - 1)))
                found.setdefault(edge, {})[starts] = knot
    shares = share or {}
    return {**moves, **{name: _ends_moved(piece, name, ends, shares.get(name, 1.0)) for name, ends in found.items()}}


def _beyond(piece: Piece, moves: Mapping[str, Movements], corner: complex) -> tuple[str, bool]:
    """Find the edge that meets a moved one at a corner, and whether it starts there (at its front or underarm end)."""
    others = [edge for edge in piece.edges if edge.name not in moves]
    near = min(others, key=lambda edge: min(abs(edge.curve.start - corner), abs(edge.curve.end - corner)))
    curve = near.from_front()
    return near.name, abs(curve.start - corner) < abs(curve.end - corner)


def _ends_moved(piece: Piece, name: str, ends: Mapping[bool, Knot], share: float) -> Movements:
    """Move an edge's ends (True: its front or underarm end), running out at the nearest stop."""
    length, stops = sewn_length(piece, name), _stops(piece, name)
    whole = not stops and share == 1.0
    first = stops[0] if stops else share * length
    last = stops[-1] if stops else (1 - share) * length
    for starts, knot in ends.items():
        room = first if starts else length - last
        if abs(knot.by) > RUN_OUT_SHARE * room:
            raise Refusal(
                piece.where,
                f"an end of the {name} would move by {both_ways(abs(knot.by))}, and up to its next notch, dart or "
                f"corner there are only {both_ways(room)}",
                f"ask for less: its end can move by {both_ways(RUN_OUT_SHARE * room)}",
            )
    curve = piece.edge(name).curve
    along = curve.end - curve.start
    slides = all(abs((knot.by * along.conjugate()).imag) < 1e-9 * abs(along) for knot in ends.values())
    even = (whole or slides) and curve.is_straight(STRAIGHT) and not any(dart.edge == name for dart in piece.darts)
    rest = (0.0, length) if whole else (*((first,) if True in ends else ()), *((last,) if False in ends else ()))
    knots = {at: Knot(at, 0j, level=True) for at in rest}
    knots |= {at: replace(ends[starts], at=at) for starts, at in ((True, 0.0), (False, length)) if starts in ends}
    return Movements(tuple(knots[at] for at in sorted(knots)), even)


def _stops(piece: Piece, edge: str) -> list[float]:
    """List the notches and the mouths of darts inside an edge, mm along it."""
    points = [mark.at for mark in piece.notches(edge) if mark.at is not None]
    points += [dart.start for dart in piece.darts if dart.edge == edge]
    length = sewn_length(piece, edge)
    return sorted(at for point in points if APART < (at := sewn_distance(piece, edge, point)) < length - APART)
