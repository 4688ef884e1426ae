"""A polyline's curves, found again from its nodes: turn points are corners, curve points lie on a smooth curve.

The interchange standard marks every node of a line as one or the other (svgfit.formats.dxf.trade). Where a line has no
marks, a node is taken for a curve's if the line turns there a little and does so at a neighbour too, over chords of
like length, as a curve cut into chords does. The curve goes through all nodes, so it is nowhere further from the
polyline than an arc from its chords. Millimetres.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from svgfit.formats.dxf.splines import circle_tangents, hermite
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.raster import runs
from svgfit.rules.interchange import CHORDS_ALIKE, LONGEST_CHORD, MOST_AT_NODE, SHARPEST_CURVE

_STRAIGHT = 2e-4
"""A turn of less than this (radians) is none."""

Flags = NDArray[np.bool_]


def smoothed(nodes: Complex, closed: bool, corners: Flags | None) -> Complex:
    """Draw cubics (n, 4) through nodes (k,); ``corners`` says at which the line may turn sharply, None: nobody said."""
    if len(nodes) < 3:
        return straight(nodes, closed)
    steps = _steps(nodes, closed)
    turns = np.abs(_turns(steps, closed))
    sharp = turns > SHARPEST_CURVE if corners is None else corners | (turns > SHARPEST_CURVE)
    if corners is None:
        sharp |= ~_of_curve(steps, closed)
    if not closed:
        sharp[0] = sharp[-1] = True
    if not sharp.any():
        return hermite(nodes, circle_tangents(steps, True), True)
    return _by_runs(nodes, closed, sharp)


def _steps(nodes: Complex, closed: bool) -> Complex:
    return np.append(nodes, nodes[0])[1:] - nodes if closed else np.diff(nodes)


def _turns(steps: Complex, closed: bool) -> Real:
    """Measure the turn at each node; 0 at the ends of an open chain."""
    if closed:
        return np.angle(steps / np.roll(steps, 1))
    return np.concatenate([[0.0], np.angle(steps[1:] / steps[:-1]), [0.0]])


def _of_curve(steps: Complex, closed: bool) -> Flags:
    """Say which nodes are those of a curve, as far as chords can tell."""
    turns = _turns(steps, closed)
    lengths = np.abs(steps)
    before, after = (np.roll(lengths, 1), lengths) if closed else (np.append(0, lengths), np.append(lengths, 0))
    like = np.minimum(before, after) * CHORDS_ALIKE >= np.maximum(before, after)
    small = (np.abs(turns) < MOST_AT_NODE) & (np.maximum(before, after) <= LONGEST_CHORD) & like
    company = np.zeros(len(turns), dtype=np.bool_)
    for way in (1, -1):
        other, fits = np.roll(turns, way), np.roll(small, way)
        if not closed:
            fits[0 if way == 1 else -1] = False
        ratio = (
            np.maximum(np.abs(turns), np.abs(other)) <= CHORDS_ALIKE * np.minimum(np.abs(turns), np.abs(other)) + 0.02
        )
        company |= fits & (turns * other >= 0) & ratio
    return small & company


def _by_runs(nodes: Complex, closed: bool, sharp: Flags) -> Complex:
    if closed:
        first = int(np.flatnonzero(sharp)[0])
        ring = np.append(np.roll(nodes, -first), nodes[first])
        marks = np.append(np.roll(sharp, -first), True)
    else:
        ring, marks = nodes, sharp
    ends = np.flatnonzero(marks)
    made = [_run(ring[a : b + 1]) for a, b in itertools.pairwise(ends.tolist())]
    return np.concatenate(made)


def _run(nodes: Complex) -> Complex:
    """Draw the stretch between two corners: straight where a chord is far longer than both its neighbours."""
    steps = np.diff(nodes)
    if len(steps) == 1:
        return straight(nodes, False)
    lengths = np.abs(steps)
    others = np.maximum(np.append(0.0, lengths[:-1]), np.append(lengths[1:], 0.0))
    long = lengths > CHORDS_ALIKE * others
    made = straight(nodes, False)
    for at, until in runs(~long):
        tangents = circle_tangents(steps[at:until], False)
        if at:
            tangents[0] = _led(tangents[0], steps[at - 1], steps[at])
        if until < len(steps):
            tangents[-1] = _led(tangents[-1], steps[until], steps[until - 1])
        made[at:until] = hermite(nodes[at : until + 1], tangents, False)
    return made


def _led(natural: complex, straight: complex, chord: complex) -> complex:
    """Let a curve begin as the straight line beside it runs, where that is about how it begins by itself."""
    unit = straight / abs(straight)
    lean = abs(np.angle(unit / chord))
    return unit if abs(np.angle(unit / natural)) <= max(lean, _STRAIGHT) else natural


def straight(nodes: Complex, closed: bool) -> Complex:
    """Draw cubics (n, 4) straight from node to node (k,), of a closed line back to the first as well."""
    ends = np.append(nodes, nodes[0])[1:] if closed else nodes[1:]
    starts = nodes if closed else nodes[:-1]
    third = (ends - starts) / 3
    return np.column_stack([starts, starts + third, ends - third, ends])
