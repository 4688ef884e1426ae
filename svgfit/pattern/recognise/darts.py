"""Darts: a V in the outline, or one drawn inside the piece with its ends on an edge. mm.

A piece is recognised as if each dart's mouth were bridged straight; the V is put back into the edge that it lies on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.length import both_ways
from svgfit.model.piece import Dart, Edge
from svgfit.pattern.corners import find_sides, sagitta
from svgfit.rules.darts import (
    CLOSED_BEND,
    LEGS_MEET,
    MOST_BENT,
    MOST_NODES,
    NARROWEST,
    ON_EDGE,
    SHORTEST,
    UNEQUAL_REPORTED,
    UNLIKE,
    WIDEST_ANGLE,
)

DRAWN_INSIDE = "a V drawn inside the piece is taken for one"


class Mouth(Struct, frozen=True):
    """A V taken out of an outline: its legs run from the mouth's one end to the apex and on to its other end."""

    first: Curve
    """One leg, from the mouth to the apex."""
    second: Curve
    """The other, from the apex to the mouth."""

    @property
    def start(self) -> complex:
        """Where the outline turns in."""
        return self.first.start

    @property
    def apex(self) -> complex:
        """The dart's point."""
        return self.first.end

    @property
    def end(self) -> complex:
        """Where the outline goes on."""
        return self.second.end


def find_mouths(loop: Curve, gaps: Sequence[tuple[complex, complex]] = ()) -> tuple[Curve, tuple[Mouth, ...]]:
    """Bridge the mouths of darts in the closed outline straight; the outline, and the darts.

    A dart is a V into the piece: two straight-ish legs about equally long, long enough, a sharp angle between them,
    and an edge that goes on beyond it when it is closed (a V at a corner is none).
    """
    if len(loop) < 5 or not _has_point(loop):
        return loop, ()
    sides = find_sides(loop, gaps)
    outwards = -1.0 if loop.area() > 0 else 1.0
    found = [k for k in range(len(sides)) if _is_dart(sides, k, outwards)]
    if not found or len(sides) < 4:
        return loop, ()
    mouths: list[Mouth] = []
    parts: list[Curve] = []
    # The last side may be the first leg of a dart whose second is the list's first side.
    skipped = {(k + step) % len(sides) for k in found for step in (0, 1)}
    for k, side in enumerate(sides):
        if k in found:
            mouth = Mouth(side, sides[(k + 1) % len(sides)])
            mouths.append(mouth)
            parts.append(Curve.polyline([mouth.start, mouth.end]))
        elif k not in skipped:
            parts.append(side)
    return Curve.chain(parts), tuple(mouths)


def _has_point(loop: Curve) -> bool:
    """Say whether the line turns anywhere as sharply as at a dart's apex: few do, and the rest is then spared."""
    handles = np.diff(loop.segments, axis=1)
    out, into = handles[:, 0], np.roll(handles[:, 2], 1)
    size = np.abs(out) * np.abs(into)
    turned = (out * into.conj()).real
    return bool(((turned < -np.cos(WIDEST_ANGLE) * size * (1 - 1e-9)) | (size == 0)).any())


def _is_dart(sides: Sequence[Curve], k: int, outwards: float) -> bool:
    n = len(sides)
    before, first, second, after = (sides[(k + step) % n] for step in (-1, 0, 1, 2))
    one, two = first.start - first.end, second.end - second.start
    long, short = max(abs(one), abs(two)), min(abs(one), abs(two))
    if short < SHORTEST or long - short > UNLIKE * long or abs(one - two) < NARROWEST:
        return False
    opens = float(np.angle(two / one))
    # Into the piece: seen from the apex the outline goes from leg to leg the other way round than about the piece.
    if not 0 < -opens * outwards <= WIDEST_ANGLE:
        return False
    if max(abs(sagitta(first)) / abs(one), abs(sagitta(second)) / abs(two)) > MOST_BENT:
        return False
    closed = after.tangent(0.0) * (one / two)
    bend = closed / before.tangent(float(len(before)), before=True)
    return abs(float(np.angle(bend / abs(bend)))) < CLOSED_BEND


def put_darts_back(
    edges: Sequence[Edge], mouths: Sequence[Mouth], motion: Affine, details: Sequence[Shape] = ()
) -> tuple[tuple[Edge, ...], tuple[Dart, ...], tuple[str, ...]]:
    """Put the Vs back into the edges; the edges, the darts, and notes for people.

    ``edges`` lie in the frame that ``motion`` takes mouths and details (on the page) to. Among the details a V whose
    ends lie on one edge, or run over it into its seam allowance, is taken for a dart too.
    """
    if not mouths and not details:
        return tuple(edges), (), ()
    done = list(edges)
    darts: list[Dart] = []
    notes: list[str] = []
    for mouth in mouths:
        first, second = mouth.first.transform(motion), mouth.second.transform(motion)
        middle = (first.start + second.end) / 2
        k = min(range(len(done)), key=lambda k, at=middle: done[k].curve.nearest(at)[1])
        edge = done[k]
        opened = _opened(edge.curve, first, second)
        if opened is None:
            continue
        done[k] = replace(edge, curve=opened[0])
        darts.append(Dart(edge.name, *opened[1]))
        notes.append(f"dart in the {edge.name}: the V in it, {_spelt(darts[-1])}")
    drawn = [curve.transform(motion) for shape in details for curve in shape.curves if len(curve) < MOST_NODES]
    for points in _vees(drawn):
        dart = _drawn_inside(done, points)
        if dart is not None and all(abs(dart.apex - one.apex) > 2 * ON_EDGE for one in darts):
            darts.append(dart)
            notes.append(f"dart in the {dart.edge}: {DRAWN_INSIDE}, {_spelt(dart)}")
    return tuple(done), tuple(darts), tuple(notes)


def _opened(curve: Curve, first: Curve, second: Curve) -> tuple[Curve, tuple[complex, complex, complex]] | None:
    """Replace an edge's straight bridge over a mouth by the legs, in the edge's own direction."""
    (a, off), (b, away) = curve.nearest(first.start), curve.nearest(second.end)
    if max(off, away) > 1e-3:
        return None
    if a > b:
        a, b, first, second = b, a, second.reverse(), first.reverse()
    n = float(len(curve))
    before = [curve.subcurve(0.0, a)] if a > 1e-9 else []
    after = [curve.subcurve(b, n)] if b < n - 1e-9 else []
    return Curve.chain([*before, first, second, *after]), (first.start, first.end, second.end)


def _spelt(dart: Dart) -> str:
    one, two = abs(dart.start - dart.apex), abs(dart.end - dart.apex)
    text = f"{both_ways(abs(dart.start - dart.end))} wide"
    return text if abs(one - two) <= UNEQUAL_REPORTED else f"{text}; its legs differ by {both_ways(abs(one - two))}"


def _vees(curves: Sequence[Curve]) -> Iterable[tuple[complex, complex, complex]]:
    """Find start, corner and end of every V: a line straight but for one corner, or two straight ones that meet."""
    single: list[tuple[complex, complex]] = []
    for curve in curves:
        if curve.is_closed():
            continue
        length = curve.length(1e-2)
        if abs(length - abs(curve.end - curve.start)) < 0.1:
            single += [(curve.start, curve.end), (curve.end, curve.start)]
            continue
        for at in curve.segments[1:, 0].tolist():
            if abs(length - abs(at - curve.start) - abs(curve.end - at)) < 0.1:
                yield curve.start, at, curve.end
                break
    for k, (start, apex) in enumerate(single):
        meeting = [m for m, (_, at) in enumerate(single) if m != k and abs(at - apex) < LEGS_MEET]
        if len(meeting) == 1 and meeting[0] > k:  # three lines that meet are no dart
            yield start, apex, single[meeting[0]][0]


def _drawn_inside(edges: Sequence[Edge], points: tuple[complex, complex, complex]) -> Dart | None:
    """Make a dart of a V whose legs are equal and both end on (or run over) one edge, no fold; None for all others."""
    start, apex, end = points
    if min(abs(start - apex), abs(end - apex)) < SHORTEST:
        return None
    for edge in edges:
        a, b = (_on_edge(edge, leg, apex) for leg in (start, end))
        if a is None or b is None or edge.fold or edge.curve.nearest(apex)[1] < 0.5 * SHORTEST:
            continue
        first, last = min(a, b), max(a, b)
        if first < 1e-6 or last > len(edge.curve) - 1e-6:
            continue
        dart = Dart(edge.name, edge.curve.point(first), apex, edge.curve.point(last))
        one, two = dart.start - apex, dart.end - apex
        sharp = abs(float(np.angle(two / one))) <= WIDEST_ANGLE
        if sharp and abs(abs(one) - abs(two)) <= UNEQUAL_REPORTED and abs(one - two) >= NARROWEST:
            return dart
    return None


def _on_edge(edge: Edge, end: complex, apex: complex) -> float | None:
    """Find where on an edge (its parameter) a leg ends: there, or where it crosses on its way to the cut line."""
    t, away = edge.curve.nearest(end)
    if away <= ON_EDGE:
        return t
    if away > (edge.allowance or 0.0) + 2 * ON_EDGE:
        return None
    crossed = edge.curve.crossings(apex, end)
    return crossed[0] if len(crossed) == 1 else None


def over_mouths(edge: Edge, darts: Sequence[Dart]) -> Curve:
    """Bridge each V in the edge's curve straight: what its seam allowance runs along."""
    curve = edge.curve
    for dart in darts:
        if dart.edge != edge.name:
            continue
        a, b = curve.nearest(dart.start)[0], curve.nearest(dart.end)[0]
        a, b = min(a, b), max(a, b)
        n = float(len(curve))
        if curve.nearest(dart.apex)[1] > 1e-3 or a <= 1e-9 or b >= n - 1e-9:
            continue
        bridge = Curve.polyline([curve.point(a), curve.point(b)])
        curve = Curve.chain([curve.subcurve(0.0, a), bridge, curve.subcurve(b, n)])
    return curve
