"""Points against polygons and polylines: which a ring of points encloses, where and how far off a row of chords is.

Points are complex arrays in one common frame, y down; distances come in its unit.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve

_AT_ONCE = 256
"""So many points are held against every chord at a time: what fits a processor's cache."""
_CHORDS = 16
"""Chords to a cubic where a closed curve is asked whether it encloses a point."""


def enclosed(points: Complex, ring: Complex) -> NDArray[np.bool_]:
    """Return which of points (n,) a polygon (m,) encloses, by the even-odd rule; it is closed if it is not.

    An odd number of chords lies level with an enclosed point and to its right (from memory). Only points level with a
    chord are held against it: sorted by height, they are a row. On a chord itself, either answer may come.
    """
    order = np.argsort(points.imag, kind="stable")
    heights = points.imag[order]
    start, end = ring, np.roll(ring, -1)
    first = np.searchsorted(heights, np.minimum(start.imag, end.imag), side="left")
    count = np.searchsorted(heights, np.maximum(start.imag, end.imag), side="left") - first
    chord = np.repeat(np.arange(len(start)), count)
    at = order[np.arange(len(chord)) - np.repeat(np.cumsum(count) - count - first, count)]
    a, step = start[chord], (end - start)[chord]
    level = (points.imag[at] - a.imag) / step.imag * step.real + a.real
    right = at[level > points.real[at]]
    return np.bincount(right, minlength=len(points)) % 2 == 1


def encloses(loop: Curve, point: complex) -> bool:
    """Return whether a closed curve encloses a point; within a hair of the curve, either answer may come.

    The curve counts as its chords, 16 to a cubic.
    """
    left, top, right, bottom = loop.bounds()
    return (
        left <= point.real <= right and top <= point.imag <= bottom and bool(encloses_each(loop, np.array([point]))[0])
    )


def encloses_each(loop: Curve, points: Complex) -> NDArray[np.bool_]:
    """Return for each of many points (n,) what ``encloses`` does, in less time."""
    left, top, right, bottom = loop.bounds()
    x, y = points.real, points.imag
    inside = (x >= left) & (x <= right) & (y >= top) & (y <= bottom)
    if inside.any():
        inside[inside] = enclosed(points[inside], _ring(loop))
    return inside


@lru_cache(maxsize=512)  # so that the same outline is flattened once, however often it is asked
def _ring(loop: Curve) -> Complex:
    """Flatten a closed curve to its chords."""
    return loop.points(np.linspace(0.0, len(loop), _CHORDS * len(loop) + 1))


def distances(points: Complex, line: Complex) -> Real:
    """Measure the distance of each point (n,) from a polyline (m,), m at least 2."""
    return feet(points, line)[1]


def feet(points: Complex, line: Complex) -> tuple[Real, Real]:
    """Find where on a polyline (m,), m at least 2, it is nearest to each point (n,), and the distance.

    A place is the chord's number plus the share of it. The foot on a chord is the scalar product's share of it, clipped
    to its ends (from memory).
    """
    start, chords = line[:-1], np.diff(line)
    squares = np.maximum(np.abs(chords) ** 2, 1e-300)
    places: Real = np.empty(len(points), np.float64)
    found: Real = np.empty(len(points), np.float64)
    for first in range(0, len(points), _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        from_start = points[some, None] - start
        share = np.clip((from_start * chords.conj()).real / squares, 0.0, 1.0)
        away = np.abs(from_start - share * chords)
        nearest = away.argmin(axis=1)
        row = np.arange(len(nearest))
        places[some] = nearest + share[row, nearest]
        found[some] = away[row, nearest]
    return places, found
