"""One cubic through two ends with given tangents, as near to a row of points as its two handles allow.

Least squares for the handle lengths, the points' parameters moved to the nearest places between rounds
(Schneider, "An algorithm for automatically fitting digitized curves", Graphics Gems, 1990; from memory).
"""

from __future__ import annotations

import numpy as np

from svgfit.geometry.bezier import Complex, Real, derivative, dot, position, second_derivative


def fit_one(points: Complex, start_tangent: complex, end_tangent: complex, rounds: int = 3) -> Complex:
    """The cubic, shape (4,). ``points`` (k,), k at least 2, in order; unit tangents in the direction of travel."""
    return fit_with_error(points, start_tangent, end_tangent, rounds)[0]


def fit_with_error(
    points: Complex, start_tangent: complex, end_tangent: complex, rounds: int = 3
) -> tuple[Complex, float]:
    """As ``fit_one``, with the largest distance (mm) from a point to its place on the cubic."""
    steps = np.abs(np.diff(points))
    u = np.concatenate([[0.0], np.cumsum(steps)]) / max(float(steps.sum()), 1e-300)
    cubic = _handles(points, u, start_tangent, end_tangent)
    for _ in range(rounds):
        u = _nearer(cubic, points, u)
        cubic = _handles(points, u, start_tangent, end_tangent)
    u = _nearer(cubic, points, u)
    return cubic, float(np.abs(position(cubic, u) - points).max())


def _handles(points: Complex, u: Real, start_tangent: complex, end_tangent: complex) -> Complex:
    v = 1 - u
    first, last = complex(points[0]), complex(points[-1])
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    rest = points - (v * v * v + b1) * first - (b2 + u * u * u) * last
    aa, bb = float((b1 * b1).sum()), float((b2 * b2).sum())
    ab = -float((b1 * b2).sum()) * float(dot(start_tangent, end_tangent))
    ra, rb = float((b1 * dot(start_tangent, rest)).sum()), -float((b2 * dot(end_tangent, rest)).sum())
    chord = abs(last - first)
    determinant = aa * bb - ab * ab
    alpha = beta = chord / 3
    if determinant > 1e-12 * aa * bb:
        alpha, beta = (ra * bb - rb * ab) / determinant, (rb * aa - ra * ab) / determinant
    # A handle that turns back or runs far past the chord would make a cusp: fall back to a third of the chord.
    low, high = 0.02 * chord, 1.5 * chord
    alpha = alpha if low < alpha < high else chord / 3
    beta = beta if low < beta < high else chord / 3
    return np.array([first, first + alpha * start_tangent, last - beta * end_tangent, last])


def _nearer(cubic: Complex, points: Complex, u: Real) -> Real:
    gap = position(cubic, u) - points
    speed, bend = derivative(cubic, u), second_derivative(cubic, u)
    slope = np.abs(speed) ** 2 + dot(gap, bend)
    step = np.where(slope > 0, dot(gap, speed) / np.where(slope > 0, slope, 1.0), 0.0)
    moved = np.clip(u - step, 0.0, 1.0)
    moved[0], moved[-1] = 0.0, 1.0
    return moved
