"""The nearest places of a chain of cubics to points. Points are complex, y down; distances come in their unit.

A first look at 16 places a segment; then, the likeliest stretch between two places first, the foot of the
perpendicular, until no stretch left can come nearer: a stretch lies within max|B″|·h²/8 of its chord, h its share of
the segment (the error of linear interpolation; any textbook of numerics, from memory).
"""

from __future__ import annotations

import math

import numpy as np

from svgfit.geometry.bezier import Complex, Real, clamp, dot

_AT = np.arange(16) / 16
_SIXTEENTHS = np.array([(1 - _AT) ** 3, 3 * (1 - _AT) ** 2 * _AT, 3 * (1 - _AT) * _AT**2, _AT**3], dtype=np.complex128)
"""How much each control point counts (Bernstein) at each sixteenth of a segment."""
_AT_ONCE = 64
"""So many points are held against every segment at a time."""

Terms = tuple[complex, complex, complex, complex]


def nearest_each(segments: Complex, points: Complex, accuracy: float) -> list[tuple[float, float]]:
    """Find for each point (m,) the parameter where a chain of cubics (n, 4) is nearest, and its distance.

    Parameters are right within ``accuracy`` along the chain. A point's result does not depend on the others.
    """
    batches = (points[k : k + _AT_ONCE] for k in range(0, len(points), _AT_ONCE))
    return [found for batch in batches for found in _nearest(segments, batch, accuracy)]


def _nearest(segments: Complex, points: Complex, accuracy: float) -> list[tuple[float, float]]:
    moved = segments - points[:, None, None]
    gaps = np.empty((len(points), 16 * len(segments) + 1), np.complex128)
    gaps[:, :-1], gaps[:, -1] = (moved @ _SIXTEENTHS).reshape(len(points), -1), moved[:, -1, 3]
    away = np.abs(gaps)
    start, chord = gaps[:, :-1], gaps[:, 1:] - gaps[:, :-1]
    size = np.maximum(np.abs(chord) ** 2, 1e-300)
    beside = clamp(-dot(chord, start) / size, 0, 1)
    bend = 6 * np.maximum.reduce(np.abs(moved[..., 2:] - 2 * moved[..., 1:3] + moved[..., :2]), axis=2)
    least = np.abs(start + beside * chord) - (bend / (8 * 16**2)).repeat(16, axis=1)
    found: list[tuple[float, float]] = []
    for point, row, first, bounds in zip(points.tolist(), away, away.argmin(axis=1).tolist(), least, strict=True):
        found.append(_closest(segments, point, (float(row[first]), first / 16), bounds, accuracy))
    return found


def _closest(
    segments: Complex, point: complex, known: tuple[float, float], least: Real, accuracy: float
) -> tuple[float, float]:
    """Look nearer than a known distance and its parameter, where a sixteenth of a segment may come as near as least."""
    likely = (least < known[0]).nonzero()[0]
    reached = least[likely]
    order = reached.argsort(kind="stable")
    for k, reach in zip(likely[order].tolist(), reached[order].tolist(), strict=True):
        if reach >= known[0] - accuracy:
            break
        index, place = divmod(k, 16)
        p0, p1, p2, p3 = segments[index].tolist()
        terms = (p0 - point, 3 * (p1 - p0), 3 * (p2 - 2 * p1 + p0), p3 - 3 * p2 + 3 * p1 - p0)
        distance, at = _least(terms, (place / 16, (place + 1) / 16), known[0], accuracy)
        known = min(known, (distance, index + at))
    return known[1], known[0]


def _least(terms: Terms, between: tuple[float, float], known: float, accuracy: float) -> tuple[float, float]:
    """Find the least of |a + b·u + c·u² + d·u³| between two parameters, and where; (known, inf) where it is not less.

    Where the ends don't bracket one foot of the perpendicular, the halves are looked at too, as long as they may come
    nearer than the nearest known: beside a sharp bend two feet lie close together.
    """
    a, b, c, d = terms
    best = (known, math.inf)
    waiting = [(*between, 0)]
    while waiting:
        low, high, depth = waiting.pop()
        start, end = a + low * (b + low * (c + low * d)), a + high * (b + high * (c + high * d))
        best = min(best, (abs(start), low), (abs(end), high))
        if _slope(terms, low) < 0 < _slope(terms, high):
            at = _foot(terms, low, high, accuracy)
            best = min(best, (abs(a + at * (b + at * (c + at * d))), at))
            if _calm(terms, low, high):
                continue
        chord = end - start
        beside = -(chord.conjugate() * start).real / max(abs(chord) ** 2, 1e-300)
        bend = max(abs(2 * c + 6 * low * d), abs(2 * c + 6 * high * d))
        least = abs(start + min(max(beside, 0.0), 1.0) * chord) - bend * (high - low) ** 2 / 8
        if least < best[0] - accuracy and depth < 16:
            middle = (low + high) / 2
            waiting += [(low, middle, depth + 1), (middle, high, depth + 1)]
    return best


def _slope(terms: Terms, u: float) -> float:
    """Compute half the derivative of the square of the distance."""
    a, b, c, d = terms
    gap, way = a + u * (b + u * (c + u * d)), b + u * (2 * c + 3 * u * d)
    return gap.real * way.real + gap.imag * way.imag


def _calm(terms: Terms, low: float, high: float) -> bool:
    """Return whether the curve hardly turns between two parameters, seen from the point: there is one foot at most."""
    a, b, c, d = terms
    half = (high - low) / 2
    bend = max(abs(2 * c + 6 * low * d), abs(2 * c + 6 * high * d))
    for u in (low, low + half, high):
        gap, way, turn = a + u * (b + u * (c + u * d)), b + u * (2 * c + 3 * u * d), 2 * c + 6 * u * d
        if abs(way) <= half * bend or abs(way) ** 2 + gap.real * turn.real + gap.imag * turn.imag <= 0:
            return False
    return True


def _foot(terms: Terms, low: float, high: float, accuracy: float) -> float:
    """Find where the slope is nothing, between two parameters that bracket it (Newton, guarded by bisection)."""
    a, b, c, d = terms
    u = (low + high) / 2
    for _ in range(80):
        gap, way, bend = a + u * (b + u * (c + u * d)), b + u * (2 * c + 3 * u * d), 2 * c + 6 * u * d
        slope = gap.real * way.real + gap.imag * way.imag
        low, high = (u, high) if slope < 0 else (low, u)
        rise = abs(way) ** 2 + gap.real * bend.real + gap.imag * bend.imag
        new = u - slope / rise if rise > 0 else low
        if not low < new < high:
            new = (low + high) / 2
        step, u = abs(new - u), new
        if step * abs(way) <= accuracy and step <= 1e-9:
            break
    return u
