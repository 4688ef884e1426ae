"""Choosing how a flaw of an edge is redrawn: which reach, which of several fair curves. Piece frame, mm."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.blend import BlendEnds, blend, remove_inflections
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import bending_energy, excess_turning, max_curvature
from svgfit.rules.caps import TIGHTER_REPORTED
from svgfit.rules.truing import NARROW, REACHES, SWAY, UNEVEN_REACHES

Cuts = tuple[float, float, float]
"""Where a trial cuts the two sides (a parameter of each), and the length that it replaces, mm."""
Sample = tuple[complex, complex, float]
"""A point of a curve, its direction and its curvature there."""
STRAIGHT = 0.1, 25.4
"""A stretch that leaves its chord by no more than the first (mm) on at least the second (mm) is straight."""
ON_NODE = 1e-4
"""A cut nearer than this to a node (mm) is made at the node."""


class TruingMethod(Struct, frozen=True, kw_only=True):
    """How an opening is trued."""

    before: float
    """Reach before the opening, in openings."""
    after: float
    jump_weight: float
    """How heavily jumps of curvature weigh (see svgfit.geometry.blend)."""


EVEN = tuple(TruingMethod(before=reach, after=reach, jump_weight=10.0) for reach in REACHES)
"""Tried first. Taken is the fairest (least bending of the whole edge, shorter reaches favoured) that has no sway, no
bend tighter than the edge's own three times over, and no new inflection."""
LIGHT = tuple(TruingMethod(before=reach, after=reach, jump_weight=1.0) for reach in REACHES)
"""Tried next: less is asked of the curvature's jumps."""
UNEVEN = tuple(TruingMethod(before=a, after=b, jump_weight=1.0) for a, b in UNEVEN_REACHES)
"""Tried where no even one will do."""


class Gap(Struct, frozen=True, kw_only=True):
    """One opening before truing: the edge up to the one cut end, and on from the other, with the room on each side."""

    left: Curve
    right: Curve
    left_room: float
    right_room: float
    at: float
    """Where, in mm along the edge as drawn, from its front or underarm end."""
    width: float
    own_bend: float
    """The sharpest bend (1/mm) of the whole edge as drawn, before any of its openings was trued."""


class TruedEdge(Struct, frozen=True, kw_only=True):
    """An edge with one opening redrawn."""

    whole: Curve
    curve: Curve
    """The redrawn stretch."""
    removed: float
    """Length in mm of what it replaces."""
    extra: int
    """Inflections more than before."""
    was_straight: bool
    """Whether what it replaces was straight on both sides of the step."""
    sway: float
    """See svgfit.geometry.fairness."""
    tight: bool
    """Whether it bends more than three times as tightly as the edge did."""


def choose_blend(gap: Gap, reach: float | None) -> TruedEdge:
    """Redraw a gap by the fairest method without sway, tight bend or new inflection; else by the least bad.

    ``reach`` (mm on each side) takes the place of the methods' own.
    """
    least: tuple[tuple[bool, int, float], TruedEdge] | None = None
    for methods in (EVEN, LIGHT) if reach is not None else (EVEN, LIGHT, UNEVEN):
        ends, cuts = _ends(gap, reach, methods)
        curves = blend(ends)
        for family in (curves, [remove_inflections(curve) for curve in curves]):
            for bad, _, k, curve in _rank(gap, family, ends, cuts, methods):
                trial = assess(gap, curve, cuts[k])
                if not bad and trial.extra <= 0:
                    return trial
                key = (bad, trial.extra, trial.sway)
                if least is None or key < least[0]:
                    least = key, trial
    assert least is not None
    return least[1]


def _rank(
    gap: Gap,
    family: Sequence[Curve | None],
    ends: Sequence[BlendEnds],
    cuts: Sequence[Cuts],
    methods: Sequence[TruingMethod],
) -> list[tuple[bool, float, int, Curve]]:
    """Rank candidates, fairest first: (sways or bends too tightly, unfairness, number, curve)."""
    ranked: list[tuple[bool, float, int, Curve]] = []
    for k, curve in enumerate(family):
        if curve is None:
            continue
        longest = max(methods[k].before, methods[k].after)
        score = _unfairness(gap, ends[k], curve, cuts[k]) * (1 + 0.01 * longest)
        bad = _sway(curve) > SWAY or _too_tight(gap, curve)
        ranked.append((bad, float(f"{score:.5g}"), k, curve))
    return sorted(ranked, key=lambda one: one[:3])


def _sway(curve: Curve) -> float:
    """Measure the sway; rounded, so that a turned or mirrored piece, other by rounding only, is trued alike."""
    return round(excess_turning(curve), 4)


def _too_tight(gap: Gap, curve: Curve) -> bool:
    return max_curvature(curve) > max(TIGHTER_REPORTED * gap.own_bend, 1 / (2 * abs(gap.width) + 10))


def _unfairness(gap: Gap, ends: BlendEnds, curve: Curve, cut: Cuts) -> float:
    """Score an edge with this stretch in it: its bending, jumps of curvature weighed in (1/mm); for choosing only."""
    jumps = (
        curve.curvature(0.0) - ends.start_curvature,
        curve.curvature(1.0) - curve.curvature(1.0, before=True),
        curve.curvature(2.0, before=True) - ends.end_curvature,
    )
    kept = bending_energy(gap.left, 0.0, cut[0]) + bending_energy(gap.right, cut[1], float(len(gap.right)))
    return kept + bending_energy(curve, 0.0, 2.0) + 40 * sum(jump * jump for jump in jumps)


def _inflections_without_gap(gap: Gap) -> int:
    """Count how often the two sides, one after the other, change the side they bend to."""
    sides = [*gap.left.bends(), *gap.right.bends()]
    return sum(1 for a, b in itertools.pairwise(sides) if a != b)


def _ends(gap: Gap, reach: float | None, methods: Sequence[TruingMethod]) -> tuple[list[BlendEnds], list[Cuts]]:
    """List what each trial must meet, and where it cuts the two sides."""
    middle = (gap.left.end + gap.right.start) / 2
    left_length, width = gap.left.length(), max(abs(gap.width), NARROW)
    backs = [min(method.before * width if reach is None else reach, gap.left_room) for method in methods]
    ons = [min(method.after * width if reach is None else reach, gap.right_room) for method in methods]
    known_left: dict[float, tuple[float, Sample]] = {}
    known_right: dict[float, tuple[float, Sample]] = {}
    distinct = list(dict.fromkeys(backs))
    for back, found in zip(distinct, gap.left.at_lengths([left_length - back for back in distinct]), strict=True):
        t = gap.left.snap_to_node(found, ON_NODE)
        sample = gap.left.point(t), gap.left.tangent(t, before=True), gap.left.curvature(t, before=True)
        known_left[back] = t, sample
    distinct = list(dict.fromkeys(ons))
    for on, found in zip(distinct, gap.right.at_lengths(distinct), strict=True):
        t = gap.right.snap_to_node(found, ON_NODE)
        known_right[on] = t, (gap.right.point(t), gap.right.tangent(t), gap.right.curvature(t))
    ends: list[BlendEnds] = []
    cuts: list[Cuts] = []
    for method, back, on in zip(methods, backs, ons, strict=True):
        t0, start = known_left[back]
        t1, end = known_right[on]
        cuts.append((t0, t1, back + on))
        ends.append(
            BlendEnds(
                start=start[0],
                start_tangent=start[1],
                start_curvature=start[2],
                middle=middle,
                end=end[0],
                end_tangent=end[1],
                end_curvature=end[2],
                jump_weight=method.jump_weight,
            )
        )
    return ends, cuts


def assess(gap: Gap, curve: Curve, cut: Cuts) -> TruedEdge:
    """Put a new stretch into the edge, and count what is odd about it."""
    t0, t1, removed = cut
    left = [gap.left.subcurve(0.0, t0)] if t0 > 1e-9 else []
    right = [gap.right.subcurve(t1, float(len(gap.right)))] if t1 < len(gap.right) - 1e-9 else []
    whole = Curve.chain([*left, curve, *right])
    return TruedEdge(
        whole=whole,
        curve=curve,
        removed=removed,
        extra=whole.inflections() - _inflections_without_gap(gap),
        was_straight=_is_straight(gap, t0, t1),
        sway=_sway(curve),
        tight=_too_tight(gap, curve),
    )


def _is_straight(gap: Gap, start: float, end: float) -> bool:
    """Tell whether both sides of a gap run straight, at least from ``start`` and to ``end`` (a parameter of each)."""
    off, least = STRAIGHT
    before = gap.left.at_length(gap.left.length() - least)
    if not gap.left.subcurve(min(start, before), float(len(gap.left))).is_straight(off):
        return False
    behind = gap.right.at_length(least)
    return gap.right.subcurve(0.0, max(end, behind)).is_straight(off)
