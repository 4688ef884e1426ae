"""To which sides a curve bends, as an eye sees it: ripples of less than a degree are none."""

from __future__ import annotations

import math

import numpy as np

from svgfit.geometry.bezier import Complex, Real

RIPPLE, COARSEST = math.radians(1.0), math.radians(5.0)
"""A turn that is taken back counts as a bend from the one on; where chords zigzag, from the other at the latest."""


def visible_bends(ways: Complex) -> list[int]:
    """List the sides to which a curve bends, in order: +1 clockwise on a page, −1 the other way; no repeats.

    ``ways``: unit tangents (segments, places) of each segment, its first and last place being its ends. A turn counts
    that is at least RIPPLE, or three times what half of the nodes turn by at most: the noise of a digitised line.
    """
    kinks = np.abs(np.angle(ways[1:, 0] / ways[:-1, -1]))
    least = min(max(RIPPLE, 3 * _median(kinks)), COARSEST) if len(kinks) else RIPPLE
    row = ways.ravel()
    sides: list[int] = []
    low = high = 0.0
    for at in np.cumsum(np.angle(row[1:] / row[:-1])).tolist():
        low, high = min(low, at), max(high, at)
        side = 1 if at - low >= least else -1 if high - at >= least else 0
        if side and sides[-1:] != [side]:
            sides.append(side)
        # Once it bends to a side only the furthest it came that way tells whether it turns back.
        if sides and side in (sides[-1], 0):
            low, high = (high, high) if sides[-1] == 1 else (low, low)
    return sides


def _median(values: Real) -> float:
    """Return the middle of at least one value, as np.median does; but that imports numpy.ma, a fifth of numpy."""
    ordered, half = np.sort(values), len(values) // 2
    return float(ordered[half] + ordered[-half - 1]) / 2
