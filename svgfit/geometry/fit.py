"""Least-squares fit of one cubic to a row of points, its ends and end tangents given.

A first guess by least squares at places by chord length (Schneider, "An algorithm for automatically fitting digitized
curves", Graphics Gems, 1990; from memory); then Gauss and Newton's method on the distances square to the curve, which
unlike the guess repeated ends near the best handles within a few rounds.
"""

from __future__ import annotations

import numpy as np

from svgfit.geometry.bezier import Complex, Real, clamp, derivative, dot, position

_SHORTEST, _LONGEST = 0.02, 1.5
"""Handles as shares of the chord: outside of these they turn back, or run far past it and make a cusp."""


def fit_cubic(points: Complex, start_tangent: complex, end_tangent: complex, rounds: int = 6) -> Complex:
    """Fit one cubic (4,) to ``points`` (k,), k at least 2, in order; unit tangents in the direction of travel."""
    return fit_cubic_with_error(points, start_tangent, end_tangent, rounds)[0]


def fit_cubic_with_error(
    points: Complex, start_tangent: complex, end_tangent: complex, rounds: int = 6, enough: float = 0.0
) -> tuple[Complex, float]:
    """Fit as ``fit_cubic``, with the largest distance (mm) of a point from the cubic.

    It stops early where that is ``enough``, or hardly less than the round before.
    """
    ends = complex(points[0]), complex(points[-1])
    tangents = start_tangent, end_tangent
    chord = abs(ends[1] - ends[0])
    steps = np.abs(points[1:] - points[:-1])
    u = np.zeros(len(points))
    u[1:] = steps.cumsum() / max(float(steps.sum()), 1e-300)
    handles = _guess(points, u, tangents)
    best: tuple[float, Complex] | None = None
    for _ in range(rounds):
        cubic = _cubic(ends, tangents, handles)
        u = _nearer(cubic, points, u, 2)
        gap = points - position(cubic, u)
        error = float(np.abs(gap).max())
        done = error <= enough or (best is not None and 0.9 * best[0] < error)
        if best is None or error < best[0]:
            best = error, cubic
        if done:
            break
        handles = _better(cubic, u, gap, tangents, handles, chord)
    assert best is not None
    return best[1], best[0]


def feet_on(cubic: Complex, points: Complex) -> Real:
    """Find the parameters of the feet of points (k,), in order along a cubic (4,) from its start to its end."""
    u = np.zeros(len(points))
    u[1:] = np.abs(points[1:] - points[:-1]).cumsum()
    return _nearer(cubic, points, u / max(float(u[-1]), 1e-300), 6)


def fit_cubic_at(points: Complex, places: Real, start_tangent: complex, end_tangent: complex) -> Complex:
    """Fit as ``fit_cubic``, by least squares at given parameters: points that change a little change it a little."""
    ends, tangents = (complex(points[0]), complex(points[-1])), (start_tangent, end_tangent)
    return _cubic(ends, tangents, _guess(points, places, tangents))


def _cubic(ends: tuple[complex, complex], tangents: tuple[complex, complex], handles: tuple[float, float]) -> Complex:
    return np.array([ends[0], ends[0] + handles[0] * tangents[0], ends[1] - handles[1] * tangents[1], ends[1]])


def _guess(points: Complex, u: Real, tangents: tuple[complex, complex]) -> tuple[float, float]:
    v = 1 - u
    first, last = complex(points[0]), complex(points[-1])
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    rest = points - (v * v * v + b1) * first - (b2 + u * u * u) * last
    one: Complex = b1 * np.complex128(tangents[0])
    two: Complex = -b2 * np.complex128(tangents[1])
    return _held(_solve(one, two, rest), (0.0, 0.0), abs(last - first))


def _better(
    cubic: Complex,
    u: Real,
    gap: Complex,
    tangents: tuple[complex, complex],
    handles: tuple[float, float],
    chord: float,
) -> tuple[float, float]:
    """Improve the handles so that the gaps across the curve get shorter; along it the points may slide."""
    v = 1 - u
    speed = derivative(cubic, u)
    normal = 1j * speed / np.maximum(np.abs(speed), 1e-12)
    one = dot(normal, 3 * v * v * u * np.complex128(tangents[0]))
    two = dot(normal, -3 * v * u * u * np.complex128(tangents[1]))
    return _held(_solve(one, two, dot(normal, gap)), handles, chord)


def _solve(one: Complex | Real, two: Complex | Real, wanted: Complex | Real) -> tuple[float, float] | None:
    """Solve for the factors of two columns by least squares; None where they can't be told apart."""
    aa, bb, ab = float(dot(one, one).sum()), float(dot(two, two).sum()), float(dot(one, two).sum())
    ra, rb = float(dot(one, wanted).sum()), float(dot(two, wanted).sum())
    determinant = aa * bb - ab * ab
    if determinant <= 1e-9 * aa * bb or aa * bb == 0:
        return None
    return (ra * bb - rb * ab) / determinant, (rb * aa - ra * ab) / determinant


def _held(change: tuple[float, float] | None, handles: tuple[float, float], chord: float) -> tuple[float, float]:
    if change is None:
        return handles if handles[0] > 0 else (chord / 3, chord / 3)
    low, high = _SHORTEST * chord, _LONGEST * chord
    first, last = (old + new for old, new in zip(handles, change, strict=True))
    return (first if low < first < high else chord / 3), (last if low < last < high else chord / 3)


def _nearer(cubic: Complex, points: Complex, u: Real, steps: int) -> Real:
    """Move each parameter towards the foot of its point on the cubic, by steps of Newton's; the ends stay."""
    p0, p1, p2, p3 = cubic.tolist()
    b, c, d = 3 * (p1 - p0), 3 * (p2 - 2 * p1 + p0), p3 - 3 * p2 + 3 * p1 - p0
    from_points = p0 - points
    for _ in range(steps):
        v = u.astype(np.complex128)  # once, not in each product
        gap = from_points + v * (b + v * (c + v * d))
        speed = b + v * (2 * c + v * (3 * d))
        bend = 2 * c + v * (6 * d)
        square = speed.real**2 + speed.imag**2
        slope = np.maximum(square + gap.real * bend.real + gap.imag * bend.imag, 0.3 * square)
        step = (gap.real * speed.real + gap.imag * speed.imag) / np.where(slope > 0, slope, np.inf)
        u = clamp(u - step, 0.0, 1.0)
        u[0], u[-1] = 0.0, 1.0
    return u
