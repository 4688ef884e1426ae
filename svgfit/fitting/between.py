"""An edge laid between new ends: turned and stretched as it is sewn, its darts opened again. Piece frame, mm, y down.

A dart keeps its tip and its angle: its legs are drawn on (or cut off) to where the edge, darts closed, now crosses
them, as they are on paper where a strip is taped to a shoulder seam or cut off it.
"""

from __future__ import annotations

import cmath
import itertools
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.gradual import ON_NODE
from svgfit.fitting.ride_along import ON_EDGE, move_mark, with_edge
from svgfit.fitting.sewn import KeptStretch, kept_stretches, sewn_distance
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Mark, Piece
from svgfit.model.refusal import Refusal

ON_STRAIGHT = 1e-6
"""A seam that leaves its chord by no more than this (mm) as sewn is drawn as one line."""


class Laid(Struct, frozen=True, kw_only=True):
    """An edge as sewn and where it is laid."""

    sewn: Curve
    """Darts closed, from its front or underarm end."""
    motion: Affine
    """How the edge as sewn is turned and stretched."""
    kept: tuple[KeptStretch, ...]
    """Its stretches between darts."""


def lay_between(piece: Piece, name: str, start: complex, end: complex) -> Piece:
    """Turn and stretch an edge, as sewn, until it runs from ``start`` to ``end``; notches and landmarks ride along.

    ``start`` is the new place of its front or underarm end; both are where the ends lie as drawn, darts open. The edges
    beside it stay, so it is for the caller to bring them there too. A dart's tip and angle stay. Refuse a dart that
    stands right at an end, and legs that the edge no longer meets.
    """
    curve, kept = kept_stretches(piece, name)
    if kept[0].start > 1e-9 or kept[-1].end < len(curve) - 1e-9:
        what = f"a dart stands right at the end of its {name}"
        raise Refusal(piece.where, what, "move the dart away from the corner first")
    sewn = Curve.chain([curve.subcurve(one.start, one.end).transform(one.motion) for one in kept])
    new = kept[0].motion.apply(start), kept[-1].motion.apply(end)
    laid = Laid(sewn=sewn, motion=_onto((sewn.start, sewn.end), new), kept=kept)
    drawn, darts = _opened(piece, name, curve, laid)
    corners = ((curve.start, start), (curve.end, end))
    return replace(
        with_edge(piece, name, drawn),
        darts=darts,
        marks=tuple(_ridden(piece, mark, name, drawn, laid) for mark in piece.marks),
        landmarks=tuple(
            replace(one, at=next((to for at, to in corners if abs(one.at - at) < ON_EDGE), one.at))
            for one in piece.landmarks
        ),
    )


def _onto(old: tuple[complex, complex], new: tuple[complex, complex]) -> Affine:
    """Find the motion, turned and evenly stretched, that takes two points to two others."""
    ratio = (new[1] - new[0]) / (old[1] - old[0])
    turned = Affine.scale(abs(ratio)).then(Affine.turn(cmath.phase(ratio)))
    return Affine.shift(-old[0]).then(turned).then(Affine.shift(new[0]))


def _opened(piece: Piece, name: str, curve: Curve, laid: Laid) -> tuple[Curve, tuple[Dart, ...]]:
    """Open the darts of an edge that is laid: it as drawn, and every dart of the piece with its mouth on it."""
    now = laid.sewn.transform(laid.motion)
    if now.is_straight(ON_STRAIGHT):
        now = Curve.polyline([now.start, now.end])
    parts: list[Curve] = []
    darts = list(piece.darts)
    before = 0.0
    for one, after in itertools.pairwise(laid.kept):
        mouth = curve.subcurve(one.end, after.start)
        k = next(k for k, dart in enumerate(darts) if dart.edge == name and _has_mouth(dart, mouth))
        at = _crossing(piece, name, now, one.motion.apply(darts[k].apex), one.motion.apply(mouth.start))
        parts.append(now.subcurve(before, at).transform(one.motion.inverse()))
        ends = parts[-1].end, after.motion.inverse().apply(now.point(at))
        parts.append(_mouth(mouth, darts[k].apex, ends))
        order = ends if abs(darts[k].start - mouth.start) < abs(darts[k].start - mouth.end) else ends[::-1]
        darts[k] = replace(darts[k], start=order[0], end=order[1])
        before = at
    parts.append(now.subcurve(before, float(len(now))).transform(laid.kept[-1].motion.inverse()))
    return Curve.chain(parts), tuple(darts)


def _has_mouth(dart: Dart, mouth: Curve) -> bool:
    """Tell whether a stretch of an edge is a dart's mouth, whichever way it runs."""
    pairs = ((dart.start, dart.end), (dart.end, dart.start))
    return any(abs(a - mouth.start) < 0.5 and abs(b - mouth.end) < 0.5 for a, b in pairs)


def _crossing(piece: Piece, name: str, now: Curve, apex: complex, leg: complex) -> float:
    """Find where a dart's near leg, drawn on, meets the edge as laid: a parameter of it."""
    met = now.crossings(apex, 2 * leg - apex)
    if not met:
        what = f"its {name} would no longer meet the legs of its dart"
        raise Refusal(piece.where, what, "ask for less, or move the dart first")
    return now.snap_to_node(min(met, key=lambda t: abs(now.point(t) - leg)), ON_NODE)


def _mouth(old: Curve, apex: complex, ends: tuple[complex, complex]) -> Curve:
    """Draw a mouth between new ends: by way of the dart's tip where it is cut out, else across as it was."""
    tip, away = old.nearest(apex)
    if away > ON_EDGE:
        return old.transform(_onto((old.start, old.end), ends))
    into, out = old.split(tip)
    legs = into.transform(_onto((into.end, into.start), (apex, ends[0])))
    return Curve.chain([legs, out.transform(_onto((out.start, out.end), (apex, ends[1])))])


def _ridden(piece: Piece, mark: Mark, name: str, drawn: Curve, laid: Laid) -> Mark:
    """Move a notch of the edge with its place of the edge as sewn, turned with it."""
    if mark.edge != name or mark.at is None:
        return mark
    distance = sewn_distance(piece, name, mark.at)
    point = laid.motion.apply(laid.sewn.point(laid.sewn.at_length(distance)))
    motion = _motion_of(laid.kept, piece.edge(name).from_front(), distance)
    foot = drawn.point(drawn.nearest(motion.inverse().apply(point))[0])
    turn = cmath.phase(complex(laid.motion.a, laid.motion.b))
    return replace(move_mark(mark, Affine.turn(turn, mark.at).then(Affine.shift(foot - mark.at))), at=foot)


def _motion_of(kept: Sequence[KeptStretch], curve: Curve, distance: float) -> Affine:
    """Return how closing the darts moves the stretch on which a distance along the edge as sewn lies."""
    for one in kept:
        distance -= curve.length_between(one.start, one.end)
        if distance <= 1e-9:
            return one.motion
    return kept[-1].motion
