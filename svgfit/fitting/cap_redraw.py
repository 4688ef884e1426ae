"""The cap edge redrawn: longer or shorter, with its underarm points, their squareness, height and width kept.

Sleeve frame, mm. "Front" and "back" part at the cap top here, not at the shoulder notch.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.ride_along import ride_along_edge, with_edge
from svgfit.geometry.bezier import Complex, Real, cross
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import max_curvature
from svgfit.geometry.intersect import self_crossing
from svgfit.geometry.relengthen import MARGIN, Relengthened, Stretch, relengthen, sample_stretch
from svgfit.geometry.spline_fit import SplineFit, spline_fits
from svgfit.geometry.spline_refine import RefinementTarget, refine_spline
from svgfit.model.piece import Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, Side
from svgfit.rules.caps import LEAN_REPORTED, MUSHROOM, REDRAWN_RATIOS

EXACT = 1e-5
"""How near the lengths asked the halves are drawn, mm."""
MORE_NODES = 4
"""At most this many nodes more than before."""
NEAR_ENOUGH = 0.1
"""No node is added where the cubics lie within this distance (mm) of the curve sought."""
MOST, MOST_TRIES = 12, 4
ON_NODE = 0.02
"""A notch or the top nearer than this to a node (mm) stands at the node."""
ON_CAP = 0.5
"""What lies nearer than this to the edge (mm) stands on it."""


class CapEdge(Struct, frozen=True):
    """A cap edge and the part of it that may be redrawn, ready to be bent."""

    piece: Piece
    curve: Curve
    """From the front underarm point."""
    start: float
    top: float
    end: float
    """Parameters of ``curve``: where the redrawn part begins, the cap top, where it ends."""
    halves: tuple[float, float]
    """Lengths of front and back, from underarm point to cap top."""
    stretch: Stretch


class RedrawnCap(Struct, frozen=True):
    """A cap edge redrawn."""

    curve: Curve
    """From the front underarm point."""
    top: float
    """The cap top's parameter."""
    halves: tuple[float, float]


def prepare_cap(piece: Piece, *, whole: bool) -> CapEdge:
    """Prepare a sleeve's cap to be redrawn between its lowest notches or, with ``whole``, all over.

    Refuse (Refusal) a cap with a dart in its edge and, unless ``whole``, one without a notch on each side.
    """
    curve = piece.edge(EdgeName.CAP).from_front()
    if any(dart.edge == EdgeName.CAP for dart in piece.darts):
        raise Refusal(piece.where, "the cap's edge has a dart, and is no one curve to redraw", "redraw it by hand")
    top = _find_top(curve, piece.landmark(LandmarkName.CAP_TOP))
    start, end = 0.0, float(len(curve))
    if not whole:
        places = [
            curve.snap_to_node(curve.nearest(mark.at)[0], ON_NODE)
            for mark in piece.notches(EdgeName.CAP)
            if mark.at is not None
        ]
        front, back = [t for t in places if 0 < t < top], [t for t in places if top < t < end]
        if not front or not back:
            side = Side.FRONT if not front else Side.BACK
            raise Refusal(
                piece.where,
                f"the cap's {side} has no notch below the cap top to redraw from",
                'mark the notches, or redraw the whole cap (within="whole")',
            )
        start, end = min(front), max(back)
    start, top, end = (round(t, 8) for t in (start, top, end))
    front_length = curve.length_between(0.0, top)
    halves = front_length, curve.length() - front_length
    # Rounded, so that the same piece lying otherwise on its page, other by rounding only, is drawn the same.
    seen = Curve(np.round(curve.segments, 7))
    return CapEdge(piece, curve, start, top, end, halves, sample_stretch(seen, start, top, end, held=not whole))


def _find_top(curve: Curve, marked: complex) -> float:
    """Find the highest place (a parameter); of several equally high the one nearest to the marked cap top."""
    places = curve.level_places(1j)
    points = curve.points(places)
    high = np.flatnonzero(points.imag < float(points.imag.min()) + 1e-9)
    return curve.snap_to_node(float(places[high[np.argmin(np.abs(points[high] - marked))]]), ON_NODE)


def redraw_cap(cap: CapEdge, front: float, back: float) -> RedrawnCap | None:
    """Redraw the cap's edge ``front`` and ``back`` mm longer between underarm point and cap top (negative: shorter).

    None where no edge is found that bends to and fro no more often than before, keeps under the cap top, leans outwards
    by no more than MUSHROOM and crosses neither itself nor another edge. Both lengths within EXACT; ends, tangents
    there and cap top exactly as they were.
    """
    if max(abs(front), abs(back)) < EXACT:
        return RedrawnCap(cap.curve, cap.top, cap.halves)
    wanted = np.round([cap.stretch.front.length + front, cap.stretch.back.length + back], 7)
    ratios = wanted / [cap.stretch.front.length, cap.stretch.back.length]
    if not REDRAWN_RATIOS[0] < float(ratios.min()) <= float(ratios.max()) < REDRAWN_RATIOS[1]:
        return None
    first = relengthen(cap.stretch, float(wanted[0]), float(wanted[1]))
    if first is None:
        return None
    before, after = _untouched_ends(cap)
    room = min(MOST, len(cap.curve) + MORE_NODES - sum(len(part) for part in (before, after) if part is not None))
    allowed = max(cap.curve.inflections(), cap.stretch.inflections())

    def joined(segments: Complex) -> Curve:
        return Curve.chain([*([before] if before else []), Curve(segments), *([after] if after else [])])

    def good(segments: Complex) -> bool:
        return joined(segments).inflections() <= allowed

    places = cap.stretch.places
    kinks = np.flatnonzero(np.abs(first.curve.after - first.curve.before) > 1e-6).tolist()
    fixed = sorted({0, cap.stretch.top, len(places) - 1, *kinks})
    for fitted in spline_fits(first.curve, fixed, room, NEAR_ENOUGH)[:MOST_TRIES]:
        segments = _to_exact_lengths(cap.stretch, first, fitted, wanted)
        if segments is not None and good(segments):
            top = _top_node(cap.stretch, first, fitted)
            curve = joined(_pin_ends([cap.curve.point(t) for t in (cap.start, cap.top, cap.end)], segments, top))
            if _is_a_cap(cap, curve):
                node = float(top + (len(before) if before else 0))
                return RedrawnCap(curve, node, (cap.halves[0] + front, cap.halves[1] + back))
    return None


def _top_node(stretch: Stretch, bend: Relengthened, fitted: SplineFit) -> int:
    """Find the node of the fitted curve at the cap top."""
    return int(np.abs(np.array(fitted.nodes) - bend.curve.along[stretch.top]).argmin())


def _untouched_ends(cap: CapEdge) -> tuple[Curve | None, Curve | None]:
    """Cut off the untouched parts below the notches; None where there is none."""
    count = float(len(cap.curve))
    before = cap.curve.subcurve(0.0, cap.start) if cap.start > 0 else None
    return before, cap.curve.subcurve(cap.end, count) if cap.end < count else None


def _to_exact_lengths(stretch: Stretch, bend: Relengthened, fitted: SplineFit, wanted: Real) -> Complex | None:
    """Refine fitted cubics to exactly the lengths wanted; None where they don't get there."""
    top = _top_node(stretch, bend, fitted)
    nodes = np.array(fitted.nodes)
    kinks = np.abs(bend.curve.after - bend.curve.before) > 1e-6
    at = np.abs(bend.curve.along[:, None] - nodes).argmin(axis=0)
    fixed = sorted(
        {0, top, len(nodes) - 1, *np.flatnonzero(kinks[at] & (np.abs(bend.curve.along[at] - nodes) < 1e-9)).tolist()}
    )
    least = 0.5 * MARGIN * float(np.abs(bend.curve.bends).max())
    goal = RefinementTarget(
        bend.curve, top, float(bend.curve.along[stretch.top]), (float(wanted[0]), float(wanted[1])), stretch.held, least
    )
    ends = [complex(point) for point in stretch.curve.points(stretch.places[[0, stretch.top, -1]])]
    return refine_spline(_pin_ends(ends, fitted.segments, top), fixed, goal)


def _pin_ends(points: Sequence[complex], segments: Complex, top: int) -> Complex:
    """Put start, top and end exactly where they were (they differ by rounding only), the handles moved along."""
    pinned = segments.copy()
    for k, point in zip((0, top, len(segments)), points, strict=True):
        if k < len(segments):
            pinned[k, :2] += point - segments[k, 0]
        if k > 0:
            pinned[k - 1, 2:] += point - segments[k - 1, 3]
    return pinned


def _is_a_cap(cap: CapEdge, curve: Curve) -> bool:
    """Tell whether the edge stays under the cap top, is still a cap's, and crosses neither itself nor another edge."""
    if curve.bounds()[1] < cap.curve.bounds()[1] - 1e-7:
        return False
    # From the front it runs towards -x; where it comes back towards +x it leans outwards.
    if float(curve.tangents(np.arange(12 * len(curve) + 1) / 12).real.max()) > MUSHROOM:
        return False
    return self_crossing(with_edge(cap.piece, EdgeName.CAP, curve).outline()) is None


def with_redrawn_cap(cap: CapEdge, new: RedrawnCap) -> Piece:
    """Put the redrawn cap into its piece, and move what stands on it.

    Notches keep their length from their underarm point, so that they still meet the armhole; the shoulder notch (and
    another landmark of the edge) keeps its share of its half. Ticks turn with the edge.
    """
    piece = with_edge(cap.piece, EdgeName.CAP, new.curve)
    marks = tuple(_move_mark(cap, new, mark) for mark in cap.piece.marks)
    landmarks = tuple(_move_landmark(cap, new, mark) for mark in cap.piece.landmarks)
    return replace(piece, marks=marks, landmarks=landmarks)


def _move_mark(cap: CapEdge, new: RedrawnCap, mark: Mark) -> Mark:
    """Move a mark of the cap edge: a notch keeps its length from the underarm, the shoulder notch its share."""
    if mark.at is None or mark.edge != EdgeName.CAP:
        return mark
    found = _new_place(cap, new, mark.at, by_share=mark.kind == MarkKind.SHOULDER_NOTCH)
    return mark if found is None else ride_along_edge(mark, cap.curve, found[0], new.curve, found[1])


def _move_landmark(cap: CapEdge, new: RedrawnCap, mark: Landmark) -> Landmark:
    """Move a landmark of the cap edge, which keeps its share of its half; the cap top stays."""
    found = None if mark.name == LandmarkName.CAP_TOP else _new_place(cap, new, mark.at, by_share=True)
    return mark if found is None else replace(mark, at=new.curve.point(found[1]))


def _new_place(cap: CapEdge, new: RedrawnCap, at: complex, *, by_share: bool) -> tuple[float, float] | None:
    """Find where what stands at ``at`` on the old edge stands on the new (a parameter of each); None: it stays."""
    t, away = cap.curve.nearest(at)
    if not cap.start + 1e-7 < t < cap.end - 1e-7 or abs(t - cap.top) < 1e-7 or away > ON_CAP:
        return None
    along = cap.curve.length_between(0.0, t)
    front, back = cap.halves
    if along <= front:
        length = along * (new.halves[0] / front if by_share else 1.0)
        return t, new.curve.at_length(min(length, new.halves[0]))
    rest = (front + back - along) * (new.halves[1] / back if by_share else 1.0)
    return t, new.curve.at_length(sum(new.halves) - min(rest, new.halves[1]))


def cap_gains(cap: CapEdge, shoulder: complex, front: float, back: float) -> tuple[float, float]:
    """Find what front and back must gain up to the cap top to gain ``front`` and ``back`` up to the shoulder (mm).

    The shoulder notch keeps its share of the half it stands on.
    """
    along = cap.curve.length_between(0.0, cap.curve.nearest(shoulder)[0])
    whole = sum(cap.halves)
    if along <= cap.halves[0]:
        gain = front * cap.halves[0] / max(along, 1e-9)
        return gain, front + back - gain
    gain = back * cap.halves[1] / max(whole - along, 1e-9)
    return front + back - gain, gain


def furthest_outwards(cap: CapEdge, new: Curve, places: int = 24) -> float:
    """Measure how far the new edge lies outside the old at its furthest, mm (0 where inside), within 0.01 mm."""
    count = len(cap.curve) * places
    old = cap.curve.points(np.arange(count + 1) / places)
    points = new.points(np.arange(len(new) * places + 1) / places)
    a, along = old[:-1], np.diff(old)
    gap = points[:, None] - a
    share = np.clip(np.real(np.conjugate(along) * gap) / np.maximum(np.abs(along) ** 2, 1e-300), 0, 1)
    off = gap - share * along
    nearest = np.abs(off).argmin(axis=1)
    rows = np.arange(len(points))
    outside = cross(along[nearest], gap[rows, nearest]) > 0
    k = int(np.where(outside, np.abs(off)[rows, nearest], 0.0).argmax())
    return cap.curve.nearest(complex(points[k]))[1] if outside[k] else 0.0


def overhang(cap: CapEdge, new: RedrawnCap) -> float:
    """Measure how far (radians) a side of the new edge leans outwards that did not lean so before; else 0.

    From underarm to top a cap's edge runs inwards all the way; where it comes back outwards, what is above hangs over
    a neck, and no armhole takes such a cap.
    """
    pairs = zip(_outward_leans(cap.curve, cap.top), _outward_leans(new.curve, new.top), strict=True)
    return float(np.arcsin(max(now if now > max(was, 0.0) + LEAN_REPORTED else 0.0 for was, now in pairs)))


def _outward_leans(curve: Curve, top: float) -> tuple[float, float]:
    """Measure the furthest outward lean to the grain, as a sine, of front and back (the cap runs towards -x)."""
    t = np.arange(24 * len(curve) + 1) / 24
    way = curve.tangents(t).real
    return float(way[t <= top].max()), float(way[t >= top].max())


def times_tighter(cap: CapEdge, new: Curve) -> float:
    """Divide the new edge's sharpest bend by the old one's."""
    return max_curvature(new) / max(max_curvature(cap.curve), cap.stretch.max_curvature, 1e-9)
