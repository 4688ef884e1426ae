"""Formulas for arrays of cubic Béziers, shape (n, 4), and parameters in 0 … 1.

Source of the formulas: the Bernstein form, B(t) = Σ C(3,k) tᵏ (1−t)³⁻ᵏ Pₖ (any textbook of curves; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[np.complex128]
"""An array of points, or of ways from one to another."""
Real = NDArray[np.float64]
"""An array of plain numbers: lengths, parameters, angles."""


def cross(first: Complex | complex, second: Complex | complex) -> Real:
    """Compute the cross product's z part, elementwise; positive for ``second`` clockwise of ``first`` on a page."""
    return (np.conjugate(first) * second).imag


def dot(first: Complex | Real | complex, second: Complex | Real | complex) -> Real:
    """Compute the scalar product, elementwise."""
    return (np.conjugate(first) * second).real


def clamp(values: Real, low: float, high: float) -> Real:
    """Hold values between two bounds: as np.clip does, in a third of its time on short arrays."""
    return np.minimum(np.maximum(values, low), high)


def position(cubics: Complex, t: Real) -> Complex:
    """Evaluate cubics (…, 4) at parameters that broadcast against (…)."""
    s = 1 - t
    s3 = 3 * s
    found: Complex = s * s * s * cubics[..., 0]
    found += s3 * s * t * cubics[..., 1]
    found += s3 * t * t * cubics[..., 2]
    found += t * t * t * cubics[..., 3]
    return found


def even_lines(cubics: Complex) -> NDArray[np.bool_]:
    """Return which cubics (n, 4) are a straight line cut in thirds, as a line is written as a cubic."""
    third = (cubics[:, 3] - cubics[:, 0]) / 3
    return np.abs(cubics[:, 1] - cubics[:, 0] - third) + np.abs(cubics[:, 3] - third - cubics[:, 2]) < 1e-9


def derivative(cubics: Complex, t: Real) -> Complex:
    """Compute the first derivative by the parameter."""
    s = 1 - t
    steps = cubics[..., 1:] - cubics[..., :-1]
    return 3 * (s * s * steps[..., 0] + 2 * s * t * steps[..., 1] + t * t * steps[..., 2])


def second_derivative(cubics: Complex, t: Real) -> Complex:
    """Compute the second derivative by the parameter."""
    bends = cubics[..., 2:] - 2 * cubics[..., 1:3] + cubics[..., :2]
    return 6 * ((1 - t) * bends[..., 0] + t * bends[..., 1])


def from_line(start: complex, end: complex) -> Complex:
    """Write a straight line as an exact cubic, shape (4,)."""
    return np.array([start, start + (end - start) / 3, end - (end - start) / 3, end], dtype=np.complex128)


def from_quadratic(start: complex, control: complex, end: complex) -> Complex:
    """Write a quadratic Bézier as an exact cubic (degree elevation), shape (4,)."""
    return np.array([start, start + 2 / 3 * (control - start), end + 2 / 3 * (control - end), end], dtype=np.complex128)


def split(cubic: Complex, t: float) -> tuple[Complex, Complex]:
    """Split one cubic (4,) in two at ``t``, by de Casteljau's construction."""
    p0, p1, p2, p3 = cubic.tolist()
    a, b, c = p0 + t * (p1 - p0), p1 + t * (p2 - p1), p2 + t * (p3 - p2)
    d, e = a + t * (b - a), b + t * (c - b)
    middle = d + t * (e - d)
    return np.array([p0, a, d, middle]), np.array([middle, e, c, p3])


def coefficients(cubics: Complex) -> tuple[Complex, Complex, Complex, Complex]:
    """Convert to power form: the coefficients of 1, t, t², t³."""
    p0, p1, p2, p3 = (cubics[..., k] for k in range(4))
    return p0, 3 * (p1 - p0), 3 * (p2 - 2 * p1 + p0), p3 - 3 * p2 + 3 * p1 - p0
