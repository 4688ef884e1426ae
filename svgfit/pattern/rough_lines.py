"""How rough a drawn line is, and where it turns whatever its nodes do: tracings jitter, polylines cut curves short.

Page mm. A node's turn says little on a rough line; what counts there is how the line turns over some millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.rules.drawing_habits import (
    CHORDS_AT_MOST,
    FILLET_TURN,
    FILLET_WITHIN,
    LENGTH_TOLD,
    LONGEST_OUTLINE,
    NODES_APART,
    ROUGH,
    TURN_OF_A_ROW,
)
from svgfit.rules.smoothness import CORNER, KINK

STEP = 0.5
"""A rough line is looked at every so many mm."""
_SPREAD = 4.18
"""Standard deviation of a node's turn less its neighbours' mean, times the spacing, of nodes off by 1 (√17.5)."""
_LEAST = 1e-9


class Roughness(Struct, frozen=True):
    """How far a line's nodes lie off a smooth one (standard deviation), and how far they stand apart; mm."""

    jitter: float
    spacing: float

    @property
    def is_rough(self) -> bool:
        """Tell whether the nodes' own turns say nothing of corners."""
        return self.spacing <= NODES_APART and self.jitter * math.sqrt(6) > ROUGH * self.spacing


class Chords(Struct, frozen=True):
    """A line by its nodes: the chords between them and how it turns from each to the next."""

    lengths: Real
    turns: Real
    """At each chord's start; at an open line's own start 0."""
    straight: NDArray[np.bool_]
    """Which chords are drawn straight."""


def chords_of(line: Curve, *, closed: bool) -> Chords:
    """Measure a line's chords; of a closed one the first turn is that from its last chord."""
    steps = line.segments[:, 3] - line.segments[:, 0]
    lengths = np.abs(steps)
    ways = np.where(lengths > _LEAST, steps, 1)
    turns = np.angle(ways * np.roll(ways, 1).conj())
    if not closed:
        turns[0] = 0.0
    handles = np.abs(line.segments[:, 1:3] - line.segments[:, :1])
    on_chord = np.abs(np.imag((line.segments[:, 1:3] - line.segments[:, :1]) * np.conj(ways)[:, None]))
    within = on_chord <= 1e-6 * np.maximum(lengths, _LEAST)[:, None] ** 2 + 1e-9
    within &= handles <= lengths[:, None] * (1 + 1e-9) + 1e-9
    straight: NDArray[np.bool_] = np.all(within, axis=1)
    return Chords(lengths, turns, straight)


def roughness(line: Curve, *, closed: bool) -> Roughness:
    """Estimate how far nodes that stand close together lie off a smooth line, from how turns change from node to node.

    Of independent nodes each off by σ the bend at a node, less the mean of its neighbours', spreads by 4.18 σ over the
    spacing (plain sums). The median is taken, so that corners don't count.
    """
    chords = chords_of(line, closed=closed)
    lengths, turns = chords.lengths, chords.turns
    n = len(lengths)
    if n < 12:
        return Roughness(0.0, math.inf)
    before = np.roll(lengths, 1)
    spacing = (before + lengths) / 2
    bend = turns / np.maximum(spacing, _LEAST)
    off = np.abs(bend - (np.roll(bend, 1) + np.roll(bend, -1)) / 2) * spacing**2 / _SPREAD
    near = (lengths <= 2 * NODES_APART) & (lengths > 0.02)
    good = near & np.roll(near, 1) & np.roll(near, 2) & np.roll(near, -1)
    if not closed:
        good[:2] = good[-2:] = False
    if good.sum() < 10 or lengths[good].sum() < 0.3 * lengths.sum():
        return Roughness(0.0, math.inf)
    return Roughness(1.4826 * float(np.median(off[good])), float(np.median(spacing[good])))


def in_a_row(chords: Chords, node: int) -> bool:
    """Tell whether a closed line's turn at a node is one of a row of chords that stands for a curve, and no corner.

    It turns there hardly more than the turns beside it foretell, each spread over its own chords.
    """
    n = len(chords.lengths)
    turn = float(chords.turns[node])
    own = (node - 1) % n, node
    if abs(turn) >= TURN_OF_A_ROW or n < 4 or not all(_of_a_row(chords, k) for k in own):
        return False
    foretold: list[float] = []
    for half, beside, other in ((own[0], (node - 1) % n, (node - 2) % n), (own[1], (node + 1) % n, (node + 1) % n)):
        theirs = float(chords.turns[beside])
        if not _of_a_row(chords, other) or not 0 < theirs * math.copysign(1, turn) < TURN_OF_A_ROW:
            continue
        apart = float(chords.lengths[half] + chords.lengths[other]) / 2
        foretold.append(abs(theirs) / apart)
    if not foretold:
        return False
    expected = sum(foretold) / len(foretold) * float(chords.lengths[own[0]] + chords.lengths[own[1]]) / 2
    return abs(turn) - expected <= 0.6 * CORNER


def _of_a_row(chords: Chords, k: int) -> bool:
    return bool(chords.straight[k]) and float(chords.lengths[k]) <= CHORDS_AT_MOST


def turns_over(loop: Curve, base: float, least: float) -> list[float]:
    """Find where a closed line turns by more than ``least`` (radians) over ``base`` mm: parameters, in order.

    Directions are least squares lines through what lies ``base`` mm before a place and after it. What the line turns
    evenly, before and after, is no corner and taken off.
    """
    t, points = evenly(loop)
    count = len(points)
    m = max(3, round(base / STEP))
    if count < 6 * m:
        return []
    weights = np.arange(m + 1) - m / 2
    out: Complex = np.zeros(count, np.complex128)
    for j, weight in enumerate(weights.tolist()):
        out += weight * np.roll(points, -j)
    turn = np.angle(out * np.roll(out, m).conj())
    even = np.zeros(count)
    for way in (2 * m, -2 * m):
        beside = np.roll(turn, way)
        alike = (beside * turn > 0) & (np.abs(beside) < TURN_OF_A_ROW)
        even += np.where(alike, np.minimum(np.abs(beside), np.abs(turn)), 0) / 2
    excess = np.abs(turn) - even
    found: list[int] = []
    for k in np.flatnonzero(excess > least).tolist():
        around = np.arange(k - m, k + m + 1) % count
        if excess[k] == excess[around].max() and not (found and (k - found[-1] <= m or found[0] + count - k <= m)):
            found.append(k)
    return [_sharpest(loop, t, points, k, m) for k in found]


def _sharpest(loop: Curve, t: Real, points: Complex, k: int, m: int) -> float:
    """Find the node near a place that lies farthest off the line across it."""
    count = len(points)
    start, end = complex(points[(k - m) % count]), complex(points[(k + m) % count])
    chord = (end - start) / max(abs(end - start), _LEAST)
    around = np.arange(k - m, k + m + 1) % count
    best = int(around[int(np.argmax(np.abs(np.imag((points[around] - start) * chord.conjugate()))))])
    near = round(float(t[best])) % len(loop)
    close = abs(loop.point(float(near)) - points[best]) <= 2 * STEP
    return float(near) if close else float(t[best])


def fillets(loop: Curve) -> list[float]:
    """Find corners of a closed line that are rounded off by very little: parameters of their middles."""
    lengths = np.abs(np.diff(loop.segments, axis=1)).sum(axis=1)
    if not (lengths < 3 * FILLET_WITHIN).any():
        return []
    return turns_over(loop, FILLET_WITHIN / 2, FILLET_TURN)


def evenly(loop: Curve) -> tuple[Real, Complex]:
    """Give parameters and points along a closed line about ``STEP`` mm apart, without its end.

    Further apart on a line longer than ``LONGEST_OUTLINE``, which is told as no garment's where its scale is looked at.
    """
    sizes = np.abs(np.diff(loop.segments, axis=1)).sum(axis=1)
    step = STEP * max(1.0, float(sizes.sum()) / LONGEST_OUTLINE)
    counts = np.clip(np.ceil(2 * sizes / step).astype(int), 2, 4000)
    spread: list[Real] = [k + np.arange(count) / count for k, count in enumerate(counts.tolist())]
    fine = np.concatenate([*spread, np.array([float(len(loop))])])
    places = loop.points(fine)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(places)))])
    count = max(8, math.ceil(float(run[-1]) / step))
    t = np.asarray(np.interp(float(run[-1]) * np.arange(count) / count, run, fine), dtype=np.float64)
    return t, loop.points(t)


def length_notes(lines: Sequence[tuple[str, Curve]], loop: Curve) -> list[str]:
    """Say where jitter makes lines longer than what was traced, and chords shorter than the curve they stand for.

    ``lines``: named stretches of the drawn ``loop``. Nodes off by σ (standard deviation) and s apart add σ²/s² of the
    length; a chord whose line turns by θ at each end falls short of its arc by θ²/24 of itself (plain sums).
    """
    notes: list[str] = []
    rough = roughness(loop, closed=True)
    share = (rough.jitter / rough.spacing) ** 2
    name, line = max(lines, key=lambda one: one[1].length(1e-2))
    longer = share * line.length(1e-2)
    if rough.is_rough or longer > LENGTH_TOLD:
        by = f"; {name} is measured longer for it, by {both_ways(longer)}" if longer > LENGTH_TOLD else ""
        notes.append(
            f"outline: it is jagged as a tracing is, its nodes off a smooth line by {both_ways(rough.jitter)}{by}, "
            "and its corners are where it turns over some millimetres; smooth it in the program that drew it"
        )
    for name, line in lines:
        shorter, longest = _shortfall(line, rough)
        if shorter > LENGTH_TOLD:
            notes.append(
                f"{name}: it is drawn in straight lines of up to {both_ways(longest)}; a curve through their ends "
                f"would be longer, by {both_ways(shorter)}"
            )
    return notes


def _shortfall(line: Curve, rough: Roughness) -> tuple[float, float]:
    """Measure by how much a line's rows of chords fall short of the curve they stand for, and the longest of them."""
    chords = chords_of(line, closed=False)
    row = chords.straight & (chords.lengths <= CHORDS_AT_MOST)
    if row.sum() < 4:
        return 0.0, 0.0
    turns = np.where(np.abs(chords.turns) < TURN_OF_A_ROW, chords.turns, 0.0)
    first, last = turns.copy(), np.roll(turns, -1)
    first[0], last[-1] = last[0], first[-1]
    steady = first * last + 4 * (rough.jitter / rough.spacing) ** 2
    short = chords.lengths * steady / 24
    curved = row & (np.abs(first) > KINK)
    return max(0.0, float(short[row].sum())), float(chords.lengths[curved].max()) if curved.any() else 0.0
