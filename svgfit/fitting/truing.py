"""Truing: an edge redrawn smoothly through the middle of each opening that a slash left in it.

What a trued edge promises is said in ``true`` and held by tests/fitting/test_truing_promises.py.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.kink import mend_seam
from svgfit.fitting.spread import Fragment, Parted
from svgfit.geometry.bezier import cross, derivative, dot, second_derivative
from svgfit.geometry.blend import Ends, blend, unbend
from svgfit.geometry.curve import Curve
from svgfit.geometry.selfcross import self_crossing
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening


class Manner(Struct, frozen=True):
    """How an opening is trued: the reach in openings on each side, and how heavily curvature's jumps weigh (see blend)."""

    before: float
    after: float
    jump_weight: float
    unbent: bool = False
    """Held to bend to one side on each side of the middle (see unbend)."""


EVEN = tuple(Manner(reach, reach, weight) for weight in (3.0, 0.3) for reach in (3.0, 4.0, 5.0, 6.0, 2.5, 2.0))
SEARCHED = tuple(Manner(reach, reach, 3.0, unbent) for unbent in (False, True) for reach in (3.0, 4.0, 6.0))
UNEVEN = tuple(Manner(a, b, 1.0) for a, b in ((6, 3), (3, 6), (6, 2), (2, 6), (4, 2), (2, 4), (5, 4), (4, 5)))
"""What is tried. Taken is the fairest (least bending of the whole edge, shorter reaches favoured) that has no sway, no
bend tighter than the edge's own three times over, and no new inflection; the uneven ones only where no even one has. SEARCHED: what a search for a target
tries, one manner for a whole search."""
SWAY = 0.25
"""A trued stretch may turn to and fro this much (radians) more than asked; from trials on many sleeves."""
SHORTEST = 0.5
"""A notch nearer than this to a slash (mm) leaves no room to true."""


class Gap(Struct, frozen=True):
    """One opening before truing: the edge up to the one cut end, and on from the other, with the room on each side."""

    left: Curve
    right: Curve
    left_room: float
    right_room: float
    at: float
    width: float


def true(
    parted: Parted, reach: float | None = None, *, manner: Manner | None = None
) -> tuple[Piece, tuple[Opening, ...]]:
    """The piece with its openings trued, and what became of each.

    ``reach``: mm along the edge on each side of a cut end that may be redrawn; not given, 2 to 6 times the opening.
    ``manner``: this one only, with no choice among ``EVEN`` and ``UNEVEN`` (the gain is then a smooth function of the movement,
    which a search for a target needs).
    Promises: tangent on both sides; through the middle of the opening; between the neighbouring notches, shoulder
    notch, cap top and corners; the rest of the edge as it was, moved; no loop; at most four nodes more; no inflection
    more where the reaches tried can avoid it. What could not be kept stands in ``Opening.unkept``. A hinge's kink in a
    seam is redrawn too. Refuses where there is no room, or where the trued edge would cross another.
    """
    edges: list[Edge] = []
    openings: list[Opening] = []
    for edge, fragments in zip(parted.before.edges, parted.fragments, strict=True):
        if len(fragments) == 1:
            edges.append(replace(edge, curve=fragments[0].curve))
            continue
        curve, made = _true_edge(parted, edge, fragments, reach, manner)
        edges.append(replace(edge, curve=curve))
        openings.extend(made)
    piece = parted.piece.with_edges(_closed(edges))
    refuse_crossing(piece, "the trued edge would cross another edge")
    return piece, tuple(openings)


def refuse_crossing(piece: Piece, what: str) -> None:
    """Refuse a piece whose outline crosses itself."""
    crossing = self_crossing(piece.outline())
    if crossing is not None:
        page = piece.placement.apply(crossing)
        raise Refusal(
            piece.where,
            f"{what}, at ({page.real:.1f}, {page.imag:.1f}) mm on the page",
            "use a smaller amount, a shorter reach or another place for the slash",
        )


def _closed(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Put each edge's start exactly on the end before it (they differ by rounding only)."""
    closed: list[Edge] = []
    for k, edge in enumerate(edges):
        before = edges[k - 1].curve.end
        if edge.curve.start != before and abs(edge.curve.start - before) < 1e-6:
            segments = edge.curve.segments.copy()
            segments[0, 0] = before
            edge = replace(edge, curve=Curve(segments))
        closed.append(edge)
    return tuple(closed)


def stops_on(piece: Piece, edge: Edge) -> list[float]:
    """Parameters of what truing may not pass on an edge: notches, shoulder notch, cap top."""
    points = [mark.at for mark in piece.marks if mark.edge == edge.name and mark.at is not None]
    points += [mark.at for mark in piece.landmarks if mark.name in ("cap top", "shoulder notch")]
    found = [edge.curve.nearest(point) for point in points]
    return sorted(t for t, away in found if away < 0.5)


def _true_edge(
    parted: Parted, edge: Edge, fragments: tuple[Fragment, ...], reach: float | None, manner: Manner | None
) -> tuple[Curve, list[Opening]]:
    stops = stops_on(parted.before, edge)
    result = fragments[0].curve
    openings: list[Opening] = []
    for k in range(1, len(fragments)):
        left, right = fragments[k - 1], fragments[k]
        if abs(left.curve.end - right.curve.start) < 1e-9:
            result = mend_seam(edge.curve, Curve.chain([result, right.curve]))
            continue
        gap = _gap(parted, edge, fragments, k, result, stops)
        result, opening = close_gap(parted.before, edge, gap, reach, manner)
        openings.append(opening)
    return result, openings


def _gap(parted: Parted, edge: Edge, fragments: tuple[Fragment, ...], k: int, left: Curve, stops: list[float]) -> Gap:
    before, after = fragments[k - 1], fragments[k]
    first = max([t for t in stops if before.start < t <= before.end], default=None)
    last = min([t for t in stops if after.start <= t < after.end], default=None)
    whole = edge.curve
    left_room = (
        whole.length_between(first, before.end)
        if first is not None
        else whole.length_between(before.start, before.end) * (0.95 if k == 1 else 0.475)
    )
    right_room = (
        whole.length_between(after.start, last)
        if last is not None
        else whole.length_between(after.start, after.end) * (0.95 if k == len(fragments) - 1 else 0.475)
    )
    width = _signed_width(parted, before, after)
    along = whole.length_between(0.0, before.end)
    at = whole.length() - along if edge.backwards else along
    return Gap(left, after.curve, left_room, right_room, at, width)


def _signed_width(parted: Parted, before: Fragment, after: Fragment) -> float:
    """Straight across between the cut ends; negative where the moved part went over the one that stayed."""
    step = after.curve.start - before.curve.end
    line = parted.cut.line
    end = parted.motion.inverse().apply(after.curve.start) if after.moved else after.curve.start
    k = 0 if abs(line[0] - end) < abs(line[-1] - end) else len(line) - 1
    along = line[1] - line[0] if k == 0 else line[-1] - line[-2]
    away = 1j * along
    into = after.curve.tangent(0.0) if after.moved else -before.curve.tangent(float(len(before.curve)), before=True)
    if float(dot(away, into)) < 0:
        away = -away
    return abs(step) if float(dot(step if after.moved else -step, away)) >= 0 else -abs(step)


def close_gap(
    piece: Piece, edge: Edge, gap: Gap, reach: float | None, manner: Manner | None = None
) -> tuple[Curve, Opening]:
    """One opening redrawn: the whole edge so far with its new stretch, and the opening's record."""
    if min(gap.left_room, gap.right_room) < SHORTEST:
        raise Refusal(
            piece.where,
            f"there is a notch on the slash ({edge.name}, {gap.at:.1f} mm along it), so nothing is left to true",
            "move the slash",
        )
    best = _choose(gap, reach, manner)
    unkept: list[str] = []
    if best.extra > 0:
        unkept.append(f"{best.extra} inflection{'s' if best.extra > 1 else ''} more than before")
    if best.sway > SWAY:
        unkept.append(f"the trued stretch sways: it turns {math.degrees(best.sway):.0f}° more than its ends ask for")
    gain = best.curve.length() - best.removed
    opening = Opening(
        piece.name, edge.name, gap.at, gap.left.end, gap.right.start, gap.width, gain, best.curve, tuple(unkept)
    )
    return best.whole, opening


class _Trial(Struct, frozen=True):
    whole: Curve
    curve: Curve
    removed: float
    extra: int
    sway: float


def _choose(gap: Gap, reach: float | None, manner: Manner | None) -> _Trial:
    """The fairest manner without sway, tight bend or new inflection; else one of the same unbent; else the least bad."""
    before = _inflections_without_gap(gap)
    tightest = max(3 * sharpest(gap.left), 3 * sharpest(gap.right), 1 / (2 * abs(gap.width) + 10))
    least: tuple[tuple[bool, int, float], _Trial] | None = None
    groups = ((manner,),) if manner is not None else (EVEN,) if reach is not None else (EVEN, UNEVEN)
    for manners in groups:
        ends, cuts = _ends(gap, reach, manners)
        curves = blend(ends)
        unbent = [unbend(curve) for curve in curves]
        if manner is not None:
            k_curve = unbent[0] if manner.unbent and unbent[0] is not None else curves[0]
            return _weigh(gap, k_curve, cuts[0], sway(k_curve), before)
        for family in (curves, unbent):
            for bad, _, k, swayed, curve in _ranked(gap, family, ends, cuts, manners, tightest):
                trial = _weigh(gap, curve, cuts[k], swayed, before)
                if not bad and trial.extra <= 0:
                    return trial
                key = (bad, trial.extra, swayed)
                if least is None or key < least[0]:
                    least = key, trial
    assert least is not None
    return least[1]


Cuts = tuple[float, float, float]


def _ranked(
    gap: Gap,
    family: Sequence[Curve | None],
    ends: Sequence[Ends],
    cuts: Sequence[Cuts],
    manners: Sequence[Manner],
    tightest: float,
) -> list[tuple[bool, float, int, float, Curve]]:
    """Candidates, fairest first: (sways or bends too tightly, unfairness, number, sway, curve)."""
    ranked: list[tuple[bool, float, int, float, Curve]] = []
    for k, curve in enumerate(family):
        if curve is None:
            continue
        longest = max(manners[k].before, manners[k].after)
        score = _unfairness(gap, ends[k], curve, cuts[k]) * (1 + 0.05 * longest)
        # Rounded, so that a turned or mirrored piece, other by rounding only, is trued in the same manner.
        swayed = round(sway(curve), 4)
        bad = swayed > SWAY or sharpest(curve) > tightest
        ranked.append((bad, float(f"{score:.5g}"), k, swayed, curve))
    return sorted(ranked, key=lambda one: one[:3])


def sharpest(curve: Curve) -> float:
    """The largest curvature (1/mm) at 16 places a segment."""
    t = (np.arange(16) + 0.5) / 16
    cubics = curve.segments[:, None, :]
    speed = derivative(cubics, t)
    size = np.maximum(np.abs(speed), 1e-9)
    return float(np.abs(cross(speed, second_derivative(cubics, t)) / size**3).max())


def _unfairness(gap: Gap, ends: Ends, curve: Curve, cut: Cuts) -> float:
    """Bending of the whole edge with this stretch in it, its curvature's jumps weighed in (1/mm); for choosing only."""
    jumps = (
        curve.curvature(0.0) - ends.start_curvature,
        curve.curvature(1.0) - curve.curvature(1.0, before=True),
        curve.curvature(2.0, before=True) - ends.end_curvature,
    )
    kept = bending(gap.left, 0.0, cut[0]) + bending(gap.right, cut[1], float(len(gap.right)))
    return kept + bending(curve, 0.0, 2.0) + abs(gap.width) * sum(jump * jump for jump in jumps)


def bending(curve: Curve, start: float, end: float) -> float:
    """∫κ² ds in 1/mm between two parameters, by the midpoint rule at 8 places a segment: for choosing, not reports."""
    if end <= start:
        return 0.0
    count = 8 * max(1, math.ceil(end - start))
    t = start + (np.arange(count) + 0.5) * (end - start) / count
    index = np.minimum(t.astype(np.intp), len(curve) - 1)
    cubics = curve.segments[index]
    speed = derivative(cubics, t - index)
    size = np.maximum(np.abs(speed), 1e-9)
    turn = cross(speed, second_derivative(cubics, t - index))
    return float((turn**2 / size**5).sum()) * (end - start) / count


def _inflections_without_gap(gap: Gap) -> int:
    sides = [*gap.left.bends(), *gap.right.bends()]
    return sum(1 for a, b in zip(sides, sides[1:], strict=False) if a != b)


def _ends(gap: Gap, reach: float | None, manners: Sequence[Manner]) -> tuple[list[Ends], list[Cuts]]:
    """What each trial must meet, and where it cuts the two sides (parameters, and the length it replaces)."""
    middle = (gap.left.end + gap.right.start) / 2
    left_length, width = gap.left.length(), abs(gap.width)
    known_left: dict[float, tuple[float, complex, complex, float]] = {}
    known_right: dict[float, tuple[float, complex, complex, float]] = {}
    ends: list[Ends] = []
    cuts: list[Cuts] = []
    for manner in manners:
        back = min(manner.before * width if reach is None else reach, gap.left_room)
        on = min(manner.after * width if reach is None else reach, gap.right_room)
        if back not in known_left:
            t = gap.left.at_length(left_length - back)
            known_left[back] = (
                t,
                gap.left.point(t),
                gap.left.tangent(t, before=True),
                gap.left.curvature(t, before=True),
            )
        if on not in known_right:
            t = gap.right.at_length(on)
            known_right[on] = t, gap.right.point(t), gap.right.tangent(t), gap.right.curvature(t)
        t0, *start = known_left[back]
        t1, *end = known_right[on]
        cuts.append((t0, t1, back + on))
        ends.append(Ends(*start, middle, *end, manner.jump_weight))
    return ends, cuts


def _weigh(gap: Gap, curve: Curve, cut: Cuts, swayed: float, before: int) -> _Trial:
    t0, t1, removed = cut
    left = [gap.left.subcurve(0.0, t0)] if t0 > 1e-9 else []
    right = [gap.right.subcurve(t1, float(len(gap.right)))] if t1 < len(gap.right) - 1e-9 else []
    whole = Curve.chain([*left, curve, *right])
    return _Trial(whole, curve, removed, whole.inflections() - before, swayed)


def sway(curve: Curve) -> float:
    """How much more (radians) a two-cubic stretch turns to and fro than its end tangents and its chords ask for."""
    first, last = curve.segments[0], curve.segments[-1]
    ways = [first[1] - first[0], first[3] - first[0], last[3] - last[0], last[3] - last[2]]
    asked = sum(abs(cmath.phase(b / a)) for a, b in zip(ways, ways[1:], strict=False) if a != 0)
    tangents = curve.tangents(np.linspace(0, len(curve), 16 * len(curve) + 1))
    turned = float(np.abs(np.angle(tangents[1:] / tangents[:-1])).sum())
    return turned - asked
