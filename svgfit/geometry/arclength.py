"""Arc length of cubic Béziers, to an accuracy in the unit of the points.

Gauss–Legendre quadrature of the speed; where 16 points and 2 × 16 points on the halves differ by more than the
accuracy, the halves are taken on their own (adaptive bisection; from memory).
"""

from __future__ import annotations

import numpy as np

from svgfit.geometry import gauss
from svgfit.geometry.bezier import Complex, Real, derivative

# 16 points integrate polynomials of degree 31 exactly.
_NODES, _WEIGHTS = gauss.SIXTEEN
_DEEPEST = 24


def lengths(cubics: Complex, start: Real, end: Real, accuracy: float) -> Real:
    """Length of each cubic (n, 4) between parameters (n,), each within ``accuracy``."""
    whole = _quadrature(cubics, start, end)
    return _refine(cubics, start, end, whole, accuracy, 0)


def _quadrature(cubics: Complex, start: Real, end: Real) -> Real:
    half = (end - start) / 2
    at = start[:, None] + half[:, None] * (_NODES + 1)
    return half * (np.abs(derivative(cubics[:, None, :], at)) @ _WEIGHTS)


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
