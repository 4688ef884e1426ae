"""Darts taken up and let in: a dart turned about its tip into another place, an opening made a dart. Piece frame, mm.

The paper act (from memory): cut from the new place to the dart's tip, close the old dart by turning the
part between about that tip; where the cut opens there is the new dart, with legs of one length.
"""

from __future__ import annotations

import cmath
import math

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.slash import cut_between
from svgfit.fitting.spread import Fragment, SpreadPiece, spread
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.refusal import Refusal

MEETS = 1e-6
"""What lies nearer than this (mm) is one place."""


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


def without_mouth(piece: Piece, dart: Dart) -> Piece:
    """Return the piece without a dart: where it was cut out, its edge passes straight over the mouth."""
    edge = piece.edge(dart.edge)
    curve, first, last = edge.curve, *mouth(edge, dart)
    parts = [curve.subcurve(0.0, first)] if first > 1e-9 else []
    parts.append(Curve.polyline([dart.start, dart.end]))
    parts += [curve.subcurve(last, float(len(curve)))] if last < len(curve) - 1e-9 else []
    bare = _with_curve(piece, dart.edge, Curve.chain(parts))
    return replace(bare, darts=tuple(one for one in piece.darts if one != dart))


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
    centre = _on_bisector(dart, pivot)
    # The leg's end on the side that turns is the one from which the way to the cut does not pass what stays.
    fixed = outline.nearest(stays)[0] % len(outline)
    legs = (begin, finish) if _between(finish, fixed, to, len(outline)) else (finish, begin)
    moving, standing = legs
    first, last = outline.point(moving), outline.point(standing)
    found = cut_between(bare, to, moving, (centre,), moves=_next_to(outline, moving, standing))
    turned = share * cmath.phase((last - centre) / (first - centre))
    parted = spread(bare, found, Affine.turn(turned, centre))
    parted = _closed(parted, dart, share, centre)
    parted, opened = open_dart(parted, bare.outline().point(to), centre, tip)
    return Swing(parted=parted, opened=opened, pivot=centre, turned=abs(turned))


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


def _closed(parted: SpreadPiece, dart: Dart, share: float, pivot: complex) -> SpreadPiece:
    """Take the dart's mouth out of its edge, which one side of it was turned over; what is left of it stays a dart."""
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
        if share > 1 - 1e-9 and before and behind:
            joined = Curve.chain([before[-1].curve, _starting(behind[0].curve, before[-1].curve.end)])
            one = Fragment(joined, before[-1].start, behind[0].end, before[-1].motion)
            rows.append((*before[:-1], one, *behind[1:]))
            continue
        start = before[-1].curve.end if before else parted.fragments[0][0].curve.start
        end = behind[0].curve.start if behind else start
        middle = (start + end) / 2
        long = abs(dart.apex - pivot)
        apex = pivot + (middle - pivot) / abs(middle - pivot) * long
        rest = Dart(edge=dart.edge, start=start, apex=apex, end=end)
        left = (rest,)
        legs = Curve.polyline([start, apex, end])
        whole = Curve.chain([before[-1].curve, legs, behind[0].curve])
        one = Fragment(whole, before[-1].start, behind[0].end, before[-1].motion)
        rows.append((*before[:-1], one, *behind[1:]))
    return replace(parted, fragments=tuple(rows), piece=replace(parted.piece, darts=(*parted.piece.darts, *left)))


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
    return abs(dart.apex - dart.start), math.dist((dart.apex.real, dart.apex.imag), (dart.end.real, dart.end.imag))
