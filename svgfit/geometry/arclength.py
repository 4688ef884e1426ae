"""Arc length of cubic Béziers, to an accuracy in the unit of the points.

Gauss–Legendre quadrature of the speed; where 16 points and 2 × 16 points on the halves differ by more than the
accuracy, the halves are taken on their own (adaptive bisection; from memory). Where a cubic all but stands still, so
short that both may overlook it, it is parted finer and finer towards that place instead.
"""

from __future__ import annotations

import cmath

import numpy as np

from svgfit.geometry import gauss
from svgfit.geometry.bezier import Complex, Real

# 16 points integrate polynomials of degree 31 exactly.
_NODES, _WEIGHTS = gauss.SIXTEEN
_SHARES = np.concatenate([(_NODES + 1) / 2, (_NODES + 1) / 4, (_NODES + 3) / 4])
_PLACES = np.array([(1 - _SHARES) ** 2, 2 * _SHARES * (1 - _SHARES), _SHARES**2], dtype=np.complex128)
"""How much each control value of a quadratic counts (Bernstein) at the places of a stretch and of its halves."""
_DEEPEST = 24
_SLOW = 0.2
"""Where the slowest of 16 places is slower than this share of the fastest, the cubic may stand still between them."""


def lengths(cubics: Complex, start: Real, end: Real, accuracy: float) -> Real:
    """Measure each cubic (n, 4) between parameters (n,), each within ``accuracy``."""
    speed = _speeds(cubics, start, end)
    half = (end - start) / 2
    quarter, seen = half / 2, speed[:, :16]
    whole = half * (seen @ _WEIGHTS)
    first, second = quarter * (speed[:, 16:32] @ _WEIGHTS), quarter * (speed[:, 32:] @ _WEIGHTS)
    slow = np.minimum.reduce(seen, axis=1) < _SLOW * np.maximum.reduce(seen, axis=1)
    if not np.count_nonzero(slow):
        return _refine(cubics, start, end, (whole, first, second), accuracy, 0)
    result = np.empty(len(cubics))
    if not slow.all():
        rest = ~slow
        known = whole[rest], first[rest], second[rest]
        result[rest] = _refine(cubics[rest], start[rest], end[rest], known, accuracy, 0)
    for k in np.flatnonzero(slow).tolist():
        result[k] = _graded(cubics[k], float(start[k]), float(end[k]))
    return result


def _graded(cubic: Complex, start: float, end: float) -> float:
    """Measure one cubic that stands still, or nearly, at a root of its derivative.

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
    speed = _speeds(np.broadcast_to(cubic, (len(t) - 1, 4)), t[:-1], t[1:])
    return float((np.diff(t) / 2 * (speed[:, :16] @ _WEIGHTS)).sum())


def _speeds(cubics: Complex, start: Real, end: Real) -> Real:
    """Compute speeds (n, 48) at 16 places of each stretch, at 16 of its first half, at 16 of its second."""
    steps = 3 * (cubics[:, 1:] - cubics[:, :-1])
    late = np.count_nonzero(start)
    if late or np.count_nonzero(end != 1):
        # The derivative, a quadratic, of the stretch alone: its three control values by the blossom (Ramshaw; from
        # memory), so that the places within every stretch are the same.
        b = end[:, None].astype(np.complex128)
        low, change = steps[:, :2], steps[:, 1:] - steps[:, :2]
        left, right = low + start[:, None] * change if late else low, low + b * change
        rise = left[:, 1:] - left[:, :1]
        steps = np.empty((len(cubics), 3), np.complex128)
        steps[:, :1] = left[:, :1] + start[:, None] * rise if late else left[:, :1]
        steps[:, 1:2] = left[:, :1] + b * rise
        steps[:, 2:] = right[:, :1] + b * (right[:, 1:] - right[:, :1])
    return np.abs(steps @ _PLACES)


def _refine(
    cubics: Complex, start: Real, end: Real, known: tuple[Real, Real, Real], accuracy: float, depth: int
) -> Real:
    """Add up the lengths of both halves, halving further where they disagree with the whole.

    ``known``: lengths by 16 places, of the whole, of its first half, of its second.
    """
    whole, first, second = known
    total = first + second
    rough = np.abs(total - whole) > accuracy
    if depth >= _DEEPEST or not np.count_nonzero(rough):
        return total
    part, low, high = cubics[rough], start[rough], end[rough]
    middle = (low + high) / 2
    total[rough] = _halved(part, low, middle, first[rough], accuracy / 2, depth + 1) + _halved(
        part, middle, high, second[rough], accuracy / 2, depth + 1
    )
    return total


def _halved(cubics: Complex, start: Real, end: Real, whole: Real, accuracy: float, depth: int) -> Real:
    speed, quarter = _speeds(cubics, start, end), (end - start) / 4
    known = whole, quarter * (speed[:, 16:32] @ _WEIGHTS), quarter * (speed[:, 32:] @ _WEIGHTS)
    return _refine(cubics, start, end, known, accuracy, depth)
