"""Arc length of cubic Béziers, to an accuracy in the unit of the points.

Gauss–Legendre quadrature of the speed; where 16 points and 2 × 16 points on the halves differ by more than the
accuracy, the halves are taken on their own (adaptive bisection; from memory). Where a cubic all but stands still, so
short that both may overlook it, it is parted finer and finer towards that place instead.
"""

from __future__ import annotations

import cmath

import numpy as np

from svgfit.geometry import gauss
from svgfit.geometry.bezier import Complex, Real, derivative

# 16 points integrate polynomials of degree 31 exactly.
_NODES, _WEIGHTS = gauss.SIXTEEN
_DEEPEST = 24
_SLOW = 0.2
"""Where the slowest of 16 places is slower than this share of the fastest, the cubic may stand still between them."""


def lengths(cubics: Complex, start: Real, end: Real, accuracy: float) -> Real:
    """Length of each cubic (n, 4) between parameters (n,), each within ``accuracy``."""
    speed = _speeds(cubics, start, end)
    whole = (end - start) / 2 * (speed @ _WEIGHTS)
    slow = speed.min(axis=1) < _SLOW * speed.max(axis=1)
    if not slow.any():
        return _refine(cubics, start, end, whole, accuracy, 0)
    result = np.empty(len(cubics))
    if not slow.all():
        rest = ~slow
        result[rest] = _refine(cubics[rest], start[rest], end[rest], whole[rest], accuracy, 0)
    for k in np.flatnonzero(slow).tolist():
        result[k] = _graded(cubics[k], float(start[k]), float(end[k]))
    return result


def _graded(cubic: Complex, start: float, end: float) -> float:
    """Length of one cubic that stands still, or nearly, at a root of its derivative.

    With c + εi that root, the speed has a kink (ε = 0) or a sharp bend at c; a stretch from c + h to c + 2h lies as far
    from it as it is long, and there 16 points are exact to rounding.
    """
    p0, p1, p2, p3 = cubic.tolist()
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, p2 - 2 * p1 + p0, p1 - p0
    root = cmath.sqrt(b * b - a * c)
    q = -(b + root if (b.conjugate() * root).real >= 0 else b - root)
    still = [top / bottom for top, bottom in ((q, a), (c, q)) if abs(bottom) > 1e-12 * abs(top)]
    steps = (end - start) * np.exp2(-np.arange(31.0))
    stops = [np.array([start, end])]
    for place in still:
        stops += [place.real + steps, place.real - steps, np.array([place.real])]
    t = np.array(sorted(set(np.clip(np.concatenate(stops), start, end).tolist())))
    return float(_quadrature(np.broadcast_to(cubic, (len(t) - 1, 4)), t[:-1], t[1:]).sum())


def _speeds(cubics: Complex, start: Real, end: Real) -> Real:
    at = start[:, None] + ((end - start) / 2)[:, None] * (_NODES + 1)
    return np.abs(derivative(cubics[:, None, :], at))


def _quadrature(cubics: Complex, start: Real, end: Real) -> Real:
    return (end - start) / 2 * (_speeds(cubics, start, end) @ _WEIGHTS)


def _refine(cubics: Complex, start: Real, end: Real, whole: Real, accuracy: float, depth: int) -> Real:
    middle = (start + end) / 2
    first = _quadrature(cubics, start, middle)
    second = _quadrature(cubics, middle, end)
    total = first + second
    rough = np.abs(total - whole) > accuracy
    if depth >= _DEEPEST or not rough.any():
        return total
    part = cubics[rough]
    total[rough] = _refine(part, start[rough], middle[rough], first[rough], accuracy / 2, depth + 1) + _refine(
        part, middle[rough], end[rough], second[rough], accuracy / 2, depth + 1
    )
    return total
