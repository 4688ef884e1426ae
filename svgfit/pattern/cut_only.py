"""Pieces of which only the cut line is drawn: its sides, and the proof of the stitch line made from it. mm.

Programs end a cut line's corners in many ways: run on to a point, cut off straight, rounded about the seam's corner, or
the point itself rounded. And where a seam bends inwards more tightly than its allowance is wide, the cut line has a
cusp.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box, box_around, boxes_meet
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.geometry.polygon import distances
from svgfit.model.length import both_ways, on_page
from svgfit.model.piece import Edge
from svgfit.pattern.corners import drop_short, find_sides, sagitta
from svgfit.pattern.rough_lines import STEP, evenly
from svgfit.rules.allowances import (
    CUT_LINE_OFF,
    PROVED_WITHIN,
    ROUNDED_CORNERS,
    RUN_ON,
    TAKEN_FOR_CORNERS,
    TAKEN_REACH,
)
from svgfit.rules.drawing_habits import LONGEST_OUTLINE
from svgfit.rules.smoothness import CORNER, STRAIGHT

_WINDOW = 2.0
"""A cut line's bend is measured over so many mm on each side."""
_LONGEST_CHORD = 9.0
"""A rounded corner is drawn in chords no longer than this (mm); longer ones are sides of their own."""
_BEYOND = 1.5
"""So much more (mm) is left out at both ends of a rounded corner: what is left of its arc would be offset to a loop."""
MOST_CHORDS = 3000
"""So many chords of a cut line are held against one another."""
_NEXT_TO = 10.0
"""How an edge bends at a stretch that is not proved is read from so many mm beside it."""


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
    boxes = [_box_of_run(loop, *run) for run in runs]
    ends = [loop.point(t) for run in runs for t in run]
    sides = find_sides(loop, bridges, extra=[*extra, *ends])
    sides = [side for side in sides if not _within(side, _near_runs(side, runs, boxes), loop)]
    return drop_short(_past_cusps(sides, shortest, loop.area() > 0, extra), shortest, keep)


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
        found.append((float(t[(a - beyond) % count]), float(t[(b + beyond) % count])))
    return found


def _ends(turn: Real, first: int, last: int, reach: int) -> tuple[int, int]:
    """Find where an arc begins and ends: half of what it turns in a window is turned by one that is half on it."""
    count = len(turn)
    inside = turn[np.arange(first, last + 1) % count]
    half = float(np.median(inside[inside > 0])) / 2
    a = next((k for k in range(first - reach, first + reach) if turn[k % count] >= half), first)
    b = next((k for k in range(last + reach, last - reach, -1) if turn[k % count] >= half), last)
    return a, b


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


def _box_of_run(loop: Curve, start: float, end: float) -> Box:
    """Return a box around a stretch of a closed line, which may run on over the line's own start."""
    n = float(len(loop))
    parts = [(start, end)] if start < end else [(start, n), (0.0, end)]
    return box_around(loop.subcurve(a, b).control_box() for a, b in parts if b - a > 1e-6)


def _near_runs(side: Curve, runs: Sequence[tuple[float, float]], boxes: Sequence[Box]) -> list[tuple[float, float]]:
    own = side.control_box()
    return [run for run, box in zip(runs, boxes, strict=True) if boxes_meet(box, own)]


def _within(side: Curve, runs: Sequence[tuple[float, float]], loop: Curve) -> bool:
    """Say whether a side lies within one of the stretches."""
    if not runs:
        return False
    n = len(loop)
    middle = loop.nearest(side.point(side.at_length(side.length(1e-2) / 2, 1e-2)), 1e-2)[0]
    return any(a <= middle <= b if a <= b else (middle >= a or middle <= b % n) for a, b in runs)


def _past_cusps(sides: Sequence[Curve], shortest: float, clockwise: bool, extra: Sequence[complex]) -> list[Curve]:
    """Join sides that meet in a corner into the piece: a cusp, where the seam's curve is tighter than its allowance.

    A straight short side beside such a corner is what a folded hem's allowance leaves, and no part of an edge.
    """
    done = list(sides)
    k = 0
    while k < len(done) and len(done) > 1:
        one, two = done[k], done[(k + 1) % len(done)]
        if _is_cusp(one, two, shortest, clockwise) and all(abs(one.end - at) > 0.5 for at in extra):
            joined = Curve.chain([one, two])
            done = [joined, *done[1:k]] if k == len(done) - 1 else [*done[:k], joined, *done[k + 2 :]]
        else:
            k += 1
    return done


def _is_cusp(one: Curve, two: Curve, shortest: float, clockwise: bool) -> bool:
    if abs(one.end - two.start) > 1e-6 or one is two:
        return False
    turn = float(np.angle(two.tangent(0.0) * one.tangent(float(len(one)), before=True).conjugate()))
    part_of_an_edge = all(side.length(1e-2) >= shortest or _bent(side) for side in (one, two))
    return (turn < 0) == clockwise and abs(turn) > CORNER and part_of_an_edge


def _bent(side: Curve) -> bool:
    return abs(sagitta(side)) > STRAIGHT * abs(side.end - side.start)


# -- the proof --------------------------------------------------------------------------------------------------------


class _Proof(Struct, frozen=True, kw_only=True):
    """How an edge's parallel at its allowance lies to the drawn cut line, by places along the edge."""

    run: Real
    """mm from the edge's start."""
    points: Complex
    ways: Complex
    """The edge's directions there."""
    off: Real


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
        notes += _gaps(edge.name, proof, RUN_ON * edge.allowance)
    return notes


def _prove(edge: Edge, outwards: complex, ring: Complex) -> _Proof:
    line = edge.curve
    t = np.linspace(0, len(line), max(60, 24 * len(line)) + 1)
    fine = line.points(t)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(fine)))])
    places = np.linspace(0, float(run[-1]), max(20, math.ceil(float(run[-1]) / 2)) + 1)
    at = np.asarray(np.interp(places, run, t), dtype=np.float64)
    ways = line.tangents(at)
    ways[-1] = line.tangent(float(len(line)), before=True)
    points = line.points(at)
    off = distances(points + (edge.allowance or 0.0) * outwards * ways, ring)
    return _Proof(run=places, points=points, ways=ways, off=off)


def _gaps(name: str, proof: _Proof, longest: float) -> list[str]:
    sound = np.flatnonzero(proof.off <= PROVED_WITHIN)
    if len(sound) < 2:
        return [f"{name}: nowhere is the cut line at its seam allowance beside it"]
    first, last = int(sound[0]), int(sound[-1])
    notes: list[str] = []
    inner = proof.off[first : last + 1]
    worst = first + int(np.argmax(inner))
    if inner.max() > CUT_LINE_OFF:
        notes.append(_told(name, proof, worst, float(proof.off[worst])))
    for index, length in ((first, float(proof.run[first])), (last, float(proof.run[-1] - proof.run[last]))):
        end = 0 if index == first else len(proof.run) - 1
        if _bend(proof, index) * length**2 / 2 > CUT_LINE_OFF or length > longest:
            notes.append(_run_on(name, proof, end, length))
    return notes


def _bend(proof: _Proof, index: int) -> float:
    """Measure how tightly (1/mm) an edge bends beside a place near one of its ends."""
    first_half = 2 * proof.run[index] < proof.run[-1]
    far = proof.run[index] + (_NEXT_TO if first_half else -_NEXT_TO)
    other = int(np.argmin(np.abs(proof.run - far)))
    a, b = min(index, other), max(index, other)
    if a == b:
        return 0.0
    turned = abs(float(np.angle(proof.ways[b] * proof.ways[a].conjugate())))
    return turned / max(abs(float(proof.run[b] - proof.run[a])), 1e-9)


def _told(name: str, proof: _Proof, index: int, off: float) -> str:
    return (
        f"{name}: the seam can't be read from the cut line {on_page(complex(proof.points[index]))}: its parallel is "
        f"{both_ways(off)} off the cut line there, as where it bends more tightly than its allowance is wide; its "
        "length is not sure"
    )


def _run_on(name: str, proof: _Proof, index: int, length: float) -> str:
    return (
        f"{name}: its last {both_ways(length)} {on_page(complex(proof.points[index]))} are run on without a cut line "
        "beside them; its length, and its neighbour's, are not sure"
    )
