"""Pieces of which only the cut line is drawn: its sides, and the proof of the stitch line made from it. mm.

Programs end a cut line's corners in many ways: run on to a point, cut off straight, rounded about the seam's corner, or
the point itself rounded. And where a seam bends inwards more tightly than its allowance is wide, the cut line has a
cusp.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.geometry.polygon import distances
from svgfit.model.length import both_ways, on_page
from svgfit.model.piece import Edge
from svgfit.pattern.corners import drop_short, find_sides
from svgfit.pattern.rough_lines import STEP, evenly
from svgfit.rules.allowances import (
    ABRUPT,
    CUT_LINE_OFF,
    END_OFF,
    PROVED_WITHIN,
    ROUNDED_CORNERS,
    RUN_ON,
    SHOWN_WITHIN,
    TAKEN_FOR_CORNERS,
    TAKEN_REACH,
)
from svgfit.rules.drawing_habits import LONGEST_OUTLINE, ON_ITSELF
from svgfit.rules.smoothness import CORNER

_WINDOW = 2.0
"""A cut line's bend is measured over so many mm on each side."""
_LONGEST_CHORD = 9.0
"""A rounded corner is drawn in chords no longer than this (mm); longer ones are sides of their own."""
_BEYOND = 1.5
"""So much more (mm) is left out at both ends of a rounded corner: what is left of its arc would be offset to a loop."""
_EVEN = 0.01
"""A line that turns outwards by no more than this (radians) at a node or within a segment does not begin to bend."""
MOST_CHORDS = 3000
"""So many chords of a cut line are held against one another."""
_NEXT_TO = 10.0
"""How an edge bends at a stretch that is not proved is read from so many mm beside it."""
_ABRUPT_WITHIN = 2.5
"""A bend that begins or ceases within so many mm does so all at once."""
_SHORT = 0.3
"""Segments shorter than this (mm) bend as if they were so long."""
_REST = 1.0
"""A segment shorter than this (mm) may be what trimming left of one, and says nothing of how sharp a bend is."""


def cut_sides(
    loop: Curve,
    bridges: Sequence[tuple[complex, complex]],
    allowances: Mapping[str, float],
    keep: int,
    extra: Sequence[complex] = (),
) -> list[Curve]:
    """Part a cut line at the piece's corners; what only turns a corner is left out, and a cusp is none.

    As many sides as ``keep`` stay of those that are only short. ``extra``: points that part the line too.
    """
    wide = max(allowances.values(), default=TAKEN_FOR_CORNERS)
    if wide == 0:  # the cut line is the stitch line
        return find_sides(loop, bridges, extra=extra)
    shortest = TAKEN_REACH * wide
    runs = _rounded(loop, wide)
    ends = [loop.point(t) for run in runs for t in run]
    sides = find_sides(loop, bridges, extra=[*extra, *ends])
    sides = [side for side in sides if not _within(side, runs, loop)]
    sides = [side for k, side in enumerate(sides) if not _goes_back(sides[k - 1], side, shortest)]
    return drop_short(_past_cusps(sides, loop.area() > 0, extra), shortest, keep)


def _goes_back(before: Curve, side: Curve, shortest: float) -> bool:
    """Say whether a side only goes back along where the one before it ran on beyond a corner: a hook of the pencil."""
    length = abs(side.end - side.start)
    if not 0 < length < shortest or not side.is_straight() or abs(before.end - side.start) > ON_ITSELF:
        return False
    reach = before.length(1e-2)
    return reach > length and abs(before.point(before.at_length(reach - length)) - side.end) <= ON_ITSELF


def _rounded(loop: Curve, wide: float) -> list[tuple[float, float]]:
    """Find where a cut line is rounded at a corner: stretches (parameters) that bend outwards about as tightly as that.

    A corner that is one node is not rounded.
    """
    t, points = evenly(loop)
    count, m = len(points), round(_WINDOW / STEP)
    if count < 20 * m:
        return []
    ahead = np.roll(points, -m) - points
    turn = np.angle(ahead * np.roll(ahead, m).conj()) * (1 if loop.area() > 0 else -1)
    tight = turn >= _WINDOW / (1.2 * ROUNDED_CORNERS * wide)
    # An arc may be drawn in chords longer than the window: between its nodes nothing turns.
    gap = round(_LONGEST_CHORD / STEP)
    first = int(np.argmin(_near(tight, gap)))
    found: list[tuple[float, float]] = []
    for run in _runs(np.roll(tight, -first), gap):
        a, b = run[0] + first, run[1] + first
        total = float(turn[np.arange(a - m, b + m + 1) % count].sum()) * STEP / _WINDOW
        if total <= CORNER or _is_one_node(loop, float(t[(a - m) % count]), float(t[(b + m) % count]), total):
            continue
        a, b = _ends(turn, a, b, 2 * m)
        if (b - a) * STEP > ROUNDED_CORNERS * wide * total + 2 * _WINDOW:
            continue
        beyond = round(_BEYOND / STEP)
        around = float(t[(a - beyond) % count]), float(t[(b + beyond) % count])
        start = _turns_out(loop, float(t[a % count]))
        end = _turns_out(loop.reverse(), len(loop) - float(t[b % count]))
        found.append(
            (around[0] if start is None else start, around[1] if end is None else (len(loop) - end) % len(loop))
        )
    return found


def _ends(turn: Real, first: int, last: int, reach: int) -> tuple[int, int]:
    """Find where an arc begins and ends: half of what it turns in a window is turned by one that is half on it."""
    count = len(turn)
    inside = turn[np.arange(first, last + 1) % count]
    half = float(np.median(inside[inside > 0])) / 2
    a = next((k for k in range(first - reach, first + reach) if turn[k % count] >= half), first)
    b = next((k for k in range(last + reach, last - reach, -1) if turn[k % count] >= half), last)
    return a, b


def _turns_out(loop: Curve, near: float) -> float | None:
    """Find the node, near a parameter of a closed line, at which what is straight or hollow begins to bend outwards.

    None where the line bends outwards before it too, so that where a rounded corner begins can't be told.
    """
    n = len(loop)
    outwards = 1 if loop.area() > 0 else -1
    at = loop.point(near)
    found: list[tuple[float, int]] = []
    for node in np.flatnonzero(np.abs(loop.segments[:, 0] - at) <= 1.5 * _WINDOW).tolist():
        before, after = Curve(loop.segments[[node - 1]]), Curve(loop.segments[[node]])
        turns = _node_turn(loop, node - 1), _own_turn(before), _node_turn(loop, node), _own_turn(after)
        first, inside, here, beyond = (outwards * turn for turn in turns)
        even = inside <= _EVEN and (first <= _EVEN or abs(before.end - before.start) > _LONGEST_CHORD)
        if even and max(here, beyond) > _EVEN:
            found.append((abs(loop.point(float(node)) - at), node))
    return float(min(found)[1] % n) if found else None


def _node_turn(loop: Curve, node: int) -> float:
    """Measure by how much a closed line turns at a node, signed."""
    n = len(loop)
    into = loop.tangent(float(node % n or n), before=True)
    return float(np.angle(loop.tangent(float(node % n)) * into.conjugate()))


def _own_turn(segment: Curve) -> float:
    """Measure by how much one segment turns from its start to its end, signed."""
    return float(np.angle(segment.tangent(1.0, before=True) * segment.tangent(0.0).conjugate()))


def _near(flags: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    """Flag what lies within ``reach`` places of a true flag, on a ring."""
    found = flags.copy()
    for step in range(1, reach + 1):
        found |= np.roll(flags, step) | np.roll(flags, -step)
    return found


def _runs(flags: NDArray[np.bool_], gap: int) -> list[tuple[int, int]]:
    """Give the first and last index of each run of true flags, runs less than ``gap`` apart as one."""
    found: list[tuple[int, int]] = []
    for k in np.flatnonzero(flags).tolist():
        if found and k - found[-1][1] <= gap:
            found[-1] = found[-1][0], k
        else:
            found.append((k, k))
    return found


def _is_one_node(loop: Curve, start: float, end: float, total: float) -> bool:
    """Say whether nearly all of what a closed line turns between two parameters it turns at one node."""
    n = len(loop)
    last = end if end > start else end + n
    nodes = np.arange(math.ceil(start), math.floor(last) + 1) % n
    if not len(nodes):
        return False
    into = loop.tangents(np.where(nodes == 0, float(n), nodes.astype(np.float64)), before=True)
    turns = np.abs(np.angle(loop.tangents(nodes.astype(np.float64)) * into.conj()))
    return bool(turns.max() > 0.8 * total)


def _within(side: Curve, runs: Sequence[tuple[float, float]], loop: Curve) -> bool:
    """Say whether a side lies within one of the stretches."""
    if not runs:
        return False
    n = len(loop)
    middle = loop.nearest(side.point(side.at_length(side.length(1e-2) / 2, 1e-2)), 1e-2)[0]
    return any(a <= middle <= b if a <= b else (middle >= a or middle <= b % n) for a, b in runs)


def _past_cusps(sides: Sequence[Curve], clockwise: bool, extra: Sequence[complex]) -> list[Curve]:
    """Join sides that meet in a corner into the piece: a cusp, where the seam's curve is tighter than its allowance.

    So does what a folded allowance leaves beyond a seam: its parallel lies outside the neighbour's and is trimmed off.
    """
    done = list(sides)
    k = 0
    while k < len(done) and len(done) > 1:
        one, two = done[k], done[(k + 1) % len(done)]
        if _is_cusp(one, two, clockwise) and all(abs(one.end - at) > 0.5 for at in extra):
            joined = Curve.chain([one, two])
            done = [joined, *done[1:k]] if k == len(done) - 1 else [*done[:k], joined, *done[k + 2 :]]
        else:
            k += 1
    return done


def _is_cusp(one: Curve, two: Curve, clockwise: bool) -> bool:
    if abs(one.end - two.start) > 1e-6 or one is two:
        return False
    turn = float(np.angle(two.tangent(0.0) * one.tangent(float(len(one)), before=True).conjugate()))
    return (turn < 0) == clockwise and abs(turn) > CORNER


# -- the proof --------------------------------------------------------------------------------------------------------


class _Bend(Struct, frozen=True):
    """How an edge bends inwards at a place: over the segments on both sides, and over the shorter; 1/mm."""

    run: float
    even: float
    sharpest: float


class _Proof(Struct, frozen=True, kw_only=True):
    """How an edge's parallel at its allowance lies to the drawn cut line, by places along the edge."""

    run: Real
    """mm from the edge's start."""
    points: Complex
    ways: Complex
    """The edge's directions there."""
    off: Real
    bends: tuple[_Bend, ...]


def unproved(edges: Sequence[Edge], cut: Curve) -> list[str]:
    """Say where a stitch line made from a cut line is not proved by it: its parallel outwards is not on that line.

    All in one frame. At a corner the last of an edge often has no cut line beside it: that counts only where the edge
    bends there, so that how it was run on can be wrong by more than what a proof allows, or where it is nearly as long
    as the allowance is wide.
    """
    length = cut.length(1e-2)
    if length > LONGEST_OUTLINE:
        return [f"cut line: it is {both_ways(length)} long, as no piece is; the lengths of its edges are not sure"]
    outwards = -1j if Curve.chain([edge.curve for edge in edges]).area() > 0 else 1j
    ring = evenly(cut)[1]
    ring = np.append(ring, ring[0])
    notes: list[str] = []
    crossing = self_crossing(cut, max(1, min(12, MOST_CHORDS // len(cut))))
    if crossing is not None:
        notes.append(
            f"cut line: it crosses itself {on_page(crossing)}, as where a seam bends more tightly than its allowance "
            "is wide; the lengths of the edges there are not sure"
        )
    for edge in edges:
        if edge.fold or not edge.allowance:
            continue
        proof = _prove(edge, outwards, ring)
        notes += _gaps(edge.name, proof, edge.allowance)
    return notes


def _prove(edge: Edge, outwards: complex, ring: Complex) -> _Proof:
    line = edge.curve
    t = np.linspace(0, len(line), max(60, 24 * len(line)) + 1)
    fine = line.points(t)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(fine)))])
    total = float(run[-1])
    every = np.linspace(0, total, max(20, math.ceil(total / 2)) + 1)
    ends = np.arange(0, min(_NEXT_TO, total / 2), STEP / 2)
    places = np.unique(np.concatenate([every, ends, total - ends]))
    at = np.asarray(np.interp(places, run, t), dtype=np.float64)
    ways = line.tangents(at)
    ways[-1] = line.tangent(float(len(line)), before=True)
    points = line.points(at)
    off = distances(points + (edge.allowance or 0.0) * outwards * ways, ring)
    return _Proof(run=places, points=points, ways=ways, off=off, bends=tuple(_bends(line, outwards)))


def _gaps(name: str, proof: _Proof, wide: float) -> list[str]:
    sound = np.flatnonzero(proof.off <= PROVED_WITHIN)
    if len(sound) < 2:
        return [f"{name}: nowhere is the cut line at its seam allowance beside it"]
    first, last = int(sound[0]), int(sound[-1])
    notes: list[str] = []
    inner = proof.off[first : last + 1]
    worst = first + int(np.argmax(inner))
    if inner.max() > CUT_LINE_OFF:
        notes.append(_told(name, proof, worst, float(proof.off[worst])))
    close = np.flatnonzero(proof.off <= SHOWN_WITHIN)
    ends = (int(close[0]), int(close[-1])) if len(close) > 1 else (first, last)
    total = float(proof.run[-1])
    for index, end in zip(ends, (False, True), strict=True):
        at = len(proof.run) - 1 if end else 0
        length = abs(float(proof.run[at] - proof.run[index]))
        near = _from_end(proof.bends, total, end=end)
        beside = [abs(one.even) for one in near if length - _SHORT <= one.run <= length + _NEXT_TO]
        bend = max(beside, default=0.0)
        if bend * length**2 / 2 > END_OFF or length > RUN_ON * wide:
            notes.append(_run_on(name, proof, at, length))
        elif _is_abrupt([one for one in near if one.run <= TAKEN_REACH * wide], wide):
            notes.append(_cut_short(name, proof, at))
    return notes


def _from_end(bends: Sequence[_Bend], total: float, *, end: bool) -> list[_Bend]:
    """Measure places from an edge's start or its end, in order from there."""
    return [replace(one, run=total - one.run) for one in reversed(bends)] if end else list(bends)


def _is_abrupt(bends: Sequence[_Bend], wide: float) -> bool:
    """Say whether an edge begins or ceases, all at once, to bend inwards about as tightly as its allowance is wide.

    A cut line has such a place where its cusp was cut off or rounded; what lies beyond may then not be the edge's own.
    """
    return any(
        abs(one.sharpest - other.sharpest) * wide > ABRUPT and abs(other.run - one.run) <= _ABRUPT_WITHIN
        for one, other in itertools.pairwise(bends)
    )


def _bends(line: Curve, outwards: complex) -> list[_Bend]:
    """Measure how an edge bends inwards (1/mm) at its nodes and within its segments, in order."""
    lengths = line.segment_lengths()
    run = np.concatenate([np.zeros(1), np.cumsum(lengths)])
    found: list[_Bend] = []
    side = 1 if outwards == 1j else -1
    for k, length in enumerate(lengths.tolist()):
        if k:
            turn = side * float(np.angle(line.tangent(float(k)) * line.tangent(float(k), before=True).conjugate()))
            beside = float(lengths[k - 1]), length
            even = turn / max(sum(beside) / 2, _SHORT)
            found.append(_Bend(float(run[k]), even, max(even, turn / max(min(beside), _REST), key=abs)))
        segment = Curve(line.segments[[k]])
        if not segment.is_straight(1e-3):
            for share in (0.1, 0.3, 0.5, 0.7, 0.9):
                bend = side * segment.curvature(share)
                found.append(_Bend(float(run[k]) + share * length, bend, bend))
    return found


def _told(name: str, proof: _Proof, index: int, off: float) -> str:
    return (
        f"{name}: the seam can't be read from the cut line {on_page(complex(proof.points[index]))}: its parallel is "
        f"{both_ways(off)} off the cut line there, as where it bends more tightly than its allowance is wide; its "
        "length is not sure"
    )


def _cut_short(name: str, proof: _Proof, index: int) -> str:
    return (
        f"{name}: beside its end {on_page(complex(proof.points[index]))} the cut line bends all at once about as "
        "tightly as the allowance is wide, as where a cusp was cut off or rounded; its length, and its neighbour's, "
        "are not sure"
    )


def _run_on(name: str, proof: _Proof, index: int, length: float) -> str:
    return (
        f"{name}: its last {both_ways(length)} {on_page(complex(proof.points[index]))} are run on without a cut line "
        "beside them; its length, and its neighbour's, are not sure"
    )
