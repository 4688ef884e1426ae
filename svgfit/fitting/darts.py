"""Darts taken up and let in: a dart turned about its tip into another place, an opening made a dart. Piece frame, mm.

The paper act (from memory): cut from the new place to the dart's tip, close the old dart by turning the
part between about that tip; where the cut opens there is the new dart, with legs of one length.
"""

from __future__ import annotations

import cmath
import itertools
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.ride_along import move_mark, ride_along_edge
from svgfit.fitting.sewn import place_along, sewn_distance, sewn_length
from svgfit.fitting.slash import cut_between
from svgfit.fitting.spread import Fragment, SpreadPiece, spread
from svgfit.fitting.truing import refuse_crossing, true
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import enclosed
from svgfit.model.length import both_ways
from svgfit.model.piece import Dart, Edge, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, MarkKind
from svgfit.rules.darts import LEGS_MEET, POINTS_PAST

MEETS = 1e-6
"""What lies nearer than this (mm) is one place."""
FULLEST = ("bust point", "blade", "shoulder blade")
"""Landmarks that darts point at."""
CORNER = 0.1
"""An edge that turns by more than this (radians) as sewn has a corner there."""


class Swing(Struct, frozen=True, kw_only=True):
    """A dart turned about a pivot, wholly or in part, into another place of the outline."""

    parted: SpreadPiece
    """The piece cut and moved, its old dart closed (or narrower), the new one let in; to be trued."""
    opened: Dart
    """The new dart."""
    pivot: complex
    """About which the part turned: nearest to what was asked, as far from the one leg's end as from the other's."""
    turned: float
    """By how much, radians."""
    closed: complex
    """Where the old dart's standing leg ends: where its legs meet, once it is closed."""


def without_mouth(piece: Piece, dart: Dart) -> Piece:
    """Return the piece without a dart: where it was cut out, its edge passes straight over the mouth."""
    edge = piece.edge(dart.edge)
    curve, first, last = edge.curve, *mouth(edge, dart)
    parts = [curve.subcurve(0.0, first)] if first > 1e-9 else []
    parts.append(Curve.polyline([dart.start, dart.end]))
    parts += [curve.subcurve(last, float(len(curve)))] if last < len(curve) - 1e-9 else []
    bare = _with_curve(piece, dart.edge, Curve.chain(parts))
    marks = (_without_legs(mark, dart) for mark in piece.marks)
    return replace(
        bare,
        darts=tuple(one for one in piece.darts if one != dart),
        marks=tuple(mark for mark in marks if mark is not None),
    )


def _without_legs(mark: Mark, dart: Dart) -> Mark | None:
    """Take a dart's legs, where they are drawn inside the piece, out of a detail; None where nothing is left of it."""
    if mark.kind != MarkKind.DETAIL or not mark.curves:
        return mark
    kept = tuple(curve for curve in mark.curves if not _is_leg(curve, dart))
    if len(kept) == len(mark.curves):
        return mark
    return replace(mark, curves=kept) if kept else None


def _is_leg(curve: Curve, dart: Dart) -> bool:
    """Tell whether a line is a dart's leg, or both of them in one."""
    mouth_ends = (dart.start, dart.end)
    return curve.nearest(dart.apex)[1] < LEGS_MEET and all(
        min(abs(end - one) for one in (*mouth_ends, dart.apex)) < LEGS_MEET for end in (curve.start, curve.end)
    )


def dart_on(piece: Piece, edge: str | None = None, number: int = 1) -> Dart:
    """Find a dart: the piece's only one, or that of an edge, counted from its front or underarm end.

    Refuse (Refusal) a piece or edge without that dart, and, where no edge is said, one with several.
    """
    darts = [one for one in piece.darts if edge in (None, one.edge)]
    if not darts:
        what = "no dart" if edge is None else f"no dart in the {edge}"
        there = ", ".join(dict.fromkeys(one.edge for one in piece.darts))
        todo = f"it has darts in: {there}" if there else "draw one, a V cut out of an edge or drawn inside the piece"
        raise Refusal(piece.where, what, todo)
    if edge is None and len(darts) > 1:
        there = ", ".join(dict.fromkeys(one.edge for one in darts))
        raise Refusal(piece.where, f"{len(darts)} darts, in: {there}", "say which, by its edge: dart=")
    darts.sort(key=lambda one: sewn_distance(piece, one.edge, one.start))
    if not 1 <= number <= len(darts):
        raise Refusal(piece.where, f"no dart {number} in the {darts[0].edge}", f"count from 1 to {len(darts)}")
    return darts[number - 1]


def fullest_point(piece: Piece) -> complex | None:
    """Find what a piece's darts point at, where a landmark names it: bust point or shoulder blade."""
    found = (piece.find_landmark(name) for name in FULLEST)
    return next((at for at in found if at is not None), None)


def standing_place(piece: Piece) -> complex:
    """Choose a place of the outline that does not move: of the fold or centre, else beside the grain line's middle."""
    for edge in piece.edges:
        if edge.fold or edge.name in (EdgeName.FOLD, EdgeName.CENTRE):
            return edge.curve.point(len(edge.curve) / 2)
    grain = next((mark.curves[0] for mark in piece.marks if mark.kind == MarkKind.GRAIN_LINE and mark.curves), None)
    outline = piece.outline()
    if grain is not None:
        return outline.point(outline.nearest(grain.point(len(grain) / 2))[0])
    longest = max(piece.edges, key=lambda edge: edge.curve.length()).curve
    return longest.point(len(longest) / 2)


def mouth(edge: Edge, dart: Dart) -> tuple[float, float]:
    """Return where a dart's mouth begins and ends on its edge: parameters, in the outline's order."""
    first, last = sorted(edge.curve.nearest(point)[0] for point in (dart.start, dart.end))
    return first, last


def angle(dart: Dart, pivot: complex | None = None) -> float:
    """Measure the angle between a dart's mouth's ends as seen from its tip (or another pivot): radians, not signed."""
    centre = dart.apex if pivot is None else pivot
    return abs(cmath.phase((dart.start - centre) / (dart.end - centre)))


def swing_dart(
    piece: Piece, dart: Dart, to: float, *, pivot: complex, stays: complex, share: float = 1.0, tip: float = 0.0
) -> Swing:
    """Turn a dart into another place: close ``share`` of it, and open as much at ``to``.

    Args:
        piece: with the dart.
        dart: one of its darts.
        to: where the new dart opens, a parameter of the outline of the piece without the dart (``without_mouth``).
        pivot: where both darts point, inside the piece.
        stays: a point of the outline on the part that does not turn.
        share: of the dart's angle that is closed, above 0, at most 1.
        tip: how far short of the pivot the new dart ends, mm.

    Refuse (Refusal) a dart that does not point at the pivot, and a place from which no cut runs to it.
    """
    bare = without_mouth(piece, dart)
    outline = bare.outline()
    begin, finish = (outline.nearest(point)[0] % len(outline) for point in (dart.start, dart.end))
    centre = pivot_on(piece, dart, pivot)
    # The leg's end on the side that turns is the one from which the way to the cut does not pass what stays.
    fixed = outline.nearest(stays)[0] % len(outline)
    legs = (begin, finish) if _between(finish, fixed, to, len(outline)) else (finish, begin)
    moving, standing = legs
    first, last = outline.point(moving), outline.point(standing)
    found = cut_between(bare, to, moving, (centre,), moves=_next_to(outline, moving, standing))
    turned = share * cmath.phase((last - centre) / (first - centre))
    parted = spread(bare, found, Affine.turn(turned, centre))
    parted = keep_dart(parted, dart, centre)
    parted, opened = open_dart(parted, bare.outline().point(to), centre, tip)
    return Swing(parted=parted, opened=opened, pivot=centre, turned=abs(turned), closed=last)


def open_dart(parted: SpreadPiece, at: complex, pivot: complex, tip: float) -> tuple[SpreadPiece, Dart]:
    """Make the opening that a cut left in an edge a dart, cut out, its tip ``tip`` mm short of the pivot.

    ``at``: where the cut met the edge, before it moved. Raises ValueError where no cut met an edge there.
    """
    for k, (edge, fragments) in enumerate(zip(parted.before.edges, parted.fragments, strict=True)):
        for j in range(1, len(fragments)):
            if abs(edge.curve.point(fragments[j].start) - at) > MEETS * 100:
                continue
            before, after = fragments[j - 1], fragments[j]
            start, end = before.curve.end, after.curve.start
            middle = (start + end) / 2
            if abs(middle - pivot) <= tip:
                raise Refusal(
                    parted.piece.where,
                    f"the dart would be {both_ways(abs(middle - pivot))} long, and end {both_ways(tip)} short of that",
                    "end it nearer to the pivot, or choose another place",
                )
            apex = pivot + (middle - pivot) / abs(middle - pivot) * tip
            dart = Dart(edge=edge.name, start=start, apex=apex, end=end)
            whole = Curve.chain([before.curve, Curve.polyline([start, apex, end]), after.curve])
            joined = (
                *fragments[: j - 1],
                Fragment(whole, before.start, after.end, before.motion),
                *fragments[j + 1 :],
            )
            rows = tuple(joined if i == k else row for i, row in enumerate(parted.fragments))
            piece = replace(parted.piece, darts=(*parted.piece.darts, dart))
            return replace(parted, fragments=rows, piece=piece), dart
    raise ValueError("open_dart: no cut met an edge there")


def keep_dart(parted: SpreadPiece, dart: Dart, pivot: complex, tip: float | None = None) -> SpreadPiece:
    """Take a dart's mouth, which the piece before the cut passes over, out again: what is left of it stays a dart.

    Where the parts beside the mouth meet, the dart is closed. ``tip``: how far short of the pivot it ends, mm; not
    given, as far as it did. Its legs are of one length.
    """
    rows: list[tuple[Fragment, ...]] = []
    left: tuple[Dart, ...] = ()
    for edge, fragments in zip(parted.before.edges, parted.fragments, strict=True):
        if edge.name != dart.edge:
            rows.append(fragments)
            continue
        first, last = mouth(edge, dart)
        before = [_clipped(edge.curve, one, one.start, min(one.end, first)) for one in fragments if one.start < first]
        behind = [_clipped(edge.curve, one, max(one.start, last), one.end) for one in fragments if one.end > last]
        before = [one for one in before if one.end - one.start > 1e-9]
        behind = [one for one in behind if one.end - one.start > 1e-9]
        if not before or not behind:
            raise Refusal(parted.piece.where, f"the dart in the {dart.edge} lies at a corner", "draw it off the corner")
        start, end = before[-1].curve.end, behind[0].curve.start
        middle = [_starting(behind[0].curve, start)]
        if abs(end - start) > MEETS:
            short = abs(dart.apex - _on_bisector(dart, pivot)) if tip is None else tip
            rest = pointed(Dart(edge=dart.edge, start=start, apex=dart.apex, end=end), pivot, short)
            left = (rest,)
            middle = [Curve.polyline([start, rest.apex, end]), behind[0].curve]
        one = Fragment(Curve.chain([before[-1].curve, *middle]), before[-1].start, behind[0].end, before[-1].motion)
        rows.append((*before[:-1], one, *behind[1:]))
    return replace(parted, fragments=tuple(rows), piece=replace(parted.piece, darts=(*parted.piece.darts, *left)))


def pointed(dart: Dart, pivot: complex, tip: float) -> Dart:
    """Point a dart at a pivot, ``tip`` mm short of it: on its middle line, so that its legs are of one length."""
    centre, middle = _on_bisector(dart, pivot), (dart.start + dart.end) / 2
    return replace(dart, apex=centre + (middle - centre) / abs(middle - centre) * tip)


def true_closed(piece: Piece, dart: Dart, pivot: complex, at: complex) -> tuple[Piece, float]:
    """Lead over the bend where a dart was closed about a pivot, not its tip; return the piece, and the edge's gain.

    Sewn, the edge ran as the dart closes about its tip; closed about the pivot it bends there by as much more as the
    two angles differ. That bend is led over as at a hinge; a corner that the edge had as sewn stays. ``piece``: after
    the dart was closed; ``dart``: as it was before; ``at``: where its legs lie on one another, on the edge. mm.
    """
    bend = cmath.phase((dart.start - pivot) / (dart.end - pivot) * (dart.end - dart.apex) / (dart.start - dart.apex))
    edge = piece.edge(dart.edge)
    t = float(round(edge.curve.nearest(at)[0]))
    if abs(bend) < 1e-9 or abs(edge.curve.point(t) - at) > MEETS * 100 or not 0 < t < len(edge.curve):
        return piece, 0.0
    hinge = Affine.turn(-bend, at)
    first, last = edge.curve.split(t)
    straight = replace(edge, curve=Curve.chain([first, last.transform(hinge)]))
    if abs(cmath.phase(straight.curve.tangent(t) / straight.curve.tangent(t, before=True))) > CORNER:
        return piece, 0.0
    marks = tuple(
        move_mark(mark, hinge)
        if mark.edge == edge.name and mark.at is not None and edge.curve.nearest(mark.at)[0] > t
        else mark
        for mark in piece.marks
    )
    edges = tuple(straight if one is edge else one for one in piece.edges)
    rows = tuple(
        (Fragment(first, 0.0, t), Fragment(last, t, float(len(edge.curve)), Affine.turn(bend, at)))
        if one is edge
        else (Fragment(one.curve, 0.0, float(len(one.curve))),)
        for one in piece.edges
    )
    before = replace(piece.with_edges(edges), marks=marks)
    trued, _ = true(SpreadPiece(piece=piece, before=before, cuts=(), fragments=rows))
    return trued, sewn_length(trued, edge.name) - sewn_length(piece, edge.name)


def redraw_dart(piece: Piece, dart: Dart, anew: Sequence[Dart]) -> Piece:
    """Draw one dart anew, or as several: each side of its edge led to them evenly, so that straight stays straight.

    ``anew``: in the outline's order, cut out; between two of them the edge runs straight. Notches stay as far from
    their end of the edge, as sewn, as they were. Refuse (Refusal) darts that cross, or that leave no edge beside them.
    """
    edge = piece.edge(dart.edge)
    first, last = mouth(edge, dart)
    if first < 1e-9 or last > len(edge.curve) - 1e-9:
        raise Refusal(piece.where, f"the dart in the {dart.edge} lies at a corner", "draw it off the corner")
    before, behind = edge.curve.subcurve(0.0, first), edge.curve.subcurve(last, float(len(edge.curve)))
    legs_of = [Curve.polyline([one.start, one.apex, one.end]) for one in anew]
    between = [Curve.polyline([a.end, b.start]) for a, b in itertools.pairwise(anew)]
    inner = [legs_of[0]] + [one for pair in zip(between, legs_of[1:], strict=True) for one in pair]
    parts = [_led(before, anew[0].start), *inner, _led(behind.reverse(), anew[-1].end).reverse()]
    bare = without_mouth(piece, dart)
    around = bare.outline().points(np.arange(len(bare.outline()) * 12) / 12)
    if not enclosed(np.array([one.apex for one in anew]), around).all():
        raise Refusal(piece.where, "the dart's tip would lie outside the piece", "name a place inside it")
    new = replace(_with_curve(bare, dart.edge, Curve.chain(parts)), darts=(*bare.darts, *anew))
    refuse_crossing(new, "the dart would cross an edge or another dart")
    return replace(new, marks=tuple(_kept_notch(piece, new, dart, mark) for mark in new.marks))


def _led(curve: Curve, to: complex) -> Curve:
    """Lead a curve's end elsewhere, evenly along it."""
    lengths = np.array([curve.length_between(0.0, float(k)) for k in range(len(curve) + 1)])
    shares = lengths / lengths[-1]
    ramp = shares[:-1, None] + np.diff(shares)[:, None] * np.linspace(0, 1, 4)[None, :]
    return Curve(curve.segments + (to - curve.end) * ramp)


def _kept_notch(old: Piece, new: Piece, dart: Dart, mark: Mark) -> Mark:
    """Put a notch of a dart's edge as far from its own end of it as it was, as sewn."""
    if mark.edge != dart.edge or mark.at is None:
        return mark
    along = sewn_distance(old, dart.edge, mark.at)
    gain = sewn_length(new, dart.edge) - sewn_length(old, dart.edge)
    behind = along > sewn_distance(old, dart.edge, dart.start)
    was = old.edge(dart.edge).from_front()
    curve, there = place_along(new, dart.edge, along + gain if behind else along)
    return ride_along_edge(mark, was, was.nearest(mark.at)[0], curve, there)


def _clipped(curve: Curve, one: Fragment, start: float, end: float) -> Fragment:
    """Keep a stretch of a fragment."""
    if (start, end) == (one.start, one.end) or end - start <= 1e-9:
        return replace(one, start=start, end=end)
    part = curve.subcurve(start, end)
    return Fragment(part if one.motion is None else part.transform(one.motion), start, end, one.motion)


def _starting(curve: Curve, at: complex) -> Curve:
    """Put a curve's start exactly on another's end, from which it differs by rounding."""
    segments = curve.segments.copy()
    segments[0, 0] = at
    return Curve(segments)


def pivot_on(piece: Piece, dart: Dart, pivot: complex) -> complex:
    """Find the place nearest to a pivot on a dart's middle line; refuse (Refusal) a dart that does not point at it."""
    centre = _on_bisector(dart, pivot)
    if abs(centre - pivot) > POINTS_PAST:
        what = (
            f"the dart in the {dart.edge} passes {both_ways(abs(centre - pivot))} beside the point it is turned about"
        )
        raise Refusal(piece.where, what, "move its tip first, or name another point")
    return centre


def _on_bisector(dart: Dart, pivot: complex) -> complex:
    """Find the point nearest to the pivot that lies as far from the one end of a dart's mouth as from the other."""
    middle, along = (dart.start + dart.end) / 2, dart.end - dart.start
    if abs(along) < MEETS:
        return pivot
    way = 1j * along / abs(along)
    return middle + way * ((pivot - middle) * way.conjugate()).real


def _between(start: float, place: float, end: float, n: int) -> bool:
    """Tell whether a place of a closed outline comes between two others, in the outline's order."""
    return (place - start) % n <= (end - start) % n


def _next_to(outline: Curve, place: float, other: float) -> complex:
    """Return a point of the outline a little away from ``place``, on the side that is not towards ``other``."""
    n = len(outline)
    towards = (other - place) % n < (place - other) % n
    return outline.point((place + (-1e-3 if towards else 1e-3)) % n)


def _with_curve(piece: Piece, name: str, curve: Curve) -> Piece:
    return piece.with_edges(tuple(replace(edge, curve=curve) if edge.name == name else edge for edge in piece.edges))


def mouth_width(dart: Dart) -> float:
    """Measure a dart's mouth straight across, mm.

    >>> mouth_width(Dart("hem", 0j, 5 - 60j, 10 + 0j))
    10.0
    """
    return abs(dart.end - dart.start)


def legs(dart: Dart) -> tuple[float, float]:
    """Measure a dart's legs, mm, straight.

    >>> legs(Dart("hem", 0j, 3 - 4j, 6 + 0j))
    (5.0, 5.0)
    """
    return abs(dart.apex - dart.start), abs(dart.apex - dart.end)
