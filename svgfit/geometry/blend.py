"""Two cubics from one curve to another through a given point: what a curved ruler does when an edge is trued.

Each blend runs P → M → Q. It leaves P and reaches Q along given tangents and passes M exactly, smoothly; free are the
speed at P and Q and the velocity at M. They are those of least bending ∫|B″|² du, with the curvature's jumps at P, M
and Q held down: a linear least-squares problem (Hermite form of a spline through three points; de Boor, A Practical
Guide to Splines, chapter IV; from memory). The parameter u is kept near arc length by solving again with each cubic's
own length; the speeds are then close to 1, so that |B″| is the curvature.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from svgfit.geometry import gauss
from svgfit.geometry.bezier import Complex, Real, derivative, dot
from svgfit.geometry.curve import Curve

EVENNESS = 0.3
_GAUSS = (0.5 - 0.5 / 3**0.5, 0.5 + 0.5 / 3**0.5)
_NODES, _WEIGHTS = gauss.SIX
_AT = (_NODES + 1) / 2
_HALF_WEIGHTS = _WEIGHTS / 2


@dataclass(frozen=True, slots=True)
class Ends:
    """What one blend must meet: points in mm, unit tangents in the direction of travel, curvatures in 1/mm."""

    start: complex
    start_tangent: complex
    start_curvature: float
    middle: complex
    end: complex
    end_tangent: complex
    end_curvature: float
    jump_weight: float = 3.0
    """How heavily jumps of curvature weigh against bending; 0 lets them be."""


def blend(many: Sequence[Ends], rounds: int = 8) -> list[Curve]:
    """The blend for each; ends, tangents and middle are met exactly, the rest as well as least bending allows.

    Depends smoothly on its input. Never raises for finite, distinct points; whether the result is good enough (loops,
    inflections) is for the caller to look at.
    """
    if not many:
        return []
    p, tp, m, q, tq = (
        np.array([getattr(ends, key) for ends in many])
        for key in ("start", "start_tangent", "middle", "end", "end_tangent")
    )
    kp = np.array([ends.start_curvature for ends in many])
    kq = np.array([ends.end_curvature for ends in many])
    weights = np.array([ends.jump_weight for ends in many])
    chords = np.stack([np.abs(m - p), np.abs(q - m)], axis=1)
    spans: Real = chords
    speeds: Real = np.ones((len(many), 2))
    cubics = np.empty((len(many), 2, 4), dtype=np.complex128)
    for _ in range(rounds):
        rows, right = _rows(p, tp, kp, m, q, tq, kq, spans, speeds, weights)
        across = rows.transpose(0, 2, 1)
        free = np.linalg.solve(across @ rows, (across @ right[:, :, None]))[:, :, 0]
        speeds = np.clip(free[:, (0, 3)], 0.2, 3.0).astype(np.float64)
        cubics = _cubics(p, tp, m, q, tq, spans, speeds, free[:, 1] + 1j * free[:, 2])
        lengths = np.abs(derivative(cubics[:, :, None, :], _AT)) @ _HALF_WEIGHTS
        spans = np.clip(lengths, chords, 1.5 * chords)
    return [Curve(pair) for pair in cubics]


def unbend(curve: Curve) -> Curve | None:
    """A blend redrawn so that each of its two cubics bends to one side only; None where its ends forbid that.

    The direction at M is held to where both control polygons are convex, the handles to 0.9 of the way to where the
    tangents meet; a cubic with a convex control polygon has no inflection (variation diminishing; Farin, Curves and
    Surfaces for CAGD; from memory). Where the ends turn to opposite sides the one inflection lies at M.
    """
    first, last = curve.segments[0].tolist(), curve.segments[1].tolist()
    p, m, q = first[0], first[3], last[3]
    tp, tm, tq = first[1] - p, last[1] - m, q - last[2]
    if 0 in (tp, tm, tq):
        return None
    into = cmath.phase((m - p) / tp)
    across = cmath.phase((q - m) / (m - p))
    out = cmath.phase(tq / (q - m))
    turn = cmath.phase(tm / (m - p))
    low, high = _allowed(into, across, out)
    if low > high:
        return None
    turn = min(max(turn, low), high)
    way = cmath.exp(1j * turn) * (m - p) / abs(m - p)
    one = _convex(abs(m - p), into, turn, abs(tp), abs(m - first[2]))
    two = _convex(abs(q - m), across - turn, out, abs(tm), abs(tq))
    if one is None or two is None:
        return None
    return Curve(
        np.array(
            [
                [p, p + one[0] * tp / abs(tp), m - one[1] * way, m],
                [m, m + two[0] * way, q - two[1] * tq / abs(tq), q],
            ]
        )
    )


def _allowed(into: float, across: float, out: float, share: float = 0.3) -> tuple[float, float]:
    """Angles from P→M to the direction at M at which both cubics bend to one side; low > high where there are none.

    Each cubic turns at M at least ``share`` of what it turns at its other end, so that no handle shrinks to nothing.
    """
    low, high = -1.2, 1.2
    if into >= 0:
        low = max(low, share * into)
    else:
        high = min(high, share * into)
    if out >= 0:
        high = min(high, across - share * out)
    else:
        low = max(low, across - share * out)
    return low, high


def _convex(base: float, start: float, end: float, first: float, second: float) -> tuple[float, float] | None:
    """Handle lengths held to the triangle of the tangents over ``base``; None where the tangents don't meet before."""
    if abs(start) + abs(end) < 1e-6:
        return base / 3, base / 3
    if start * end < 0 or abs(start + end) > 2.6:
        return None
    whole = math.sin(abs(start + end))
    limit_first, limit_second = base * math.sin(abs(end)) / whole, base * math.sin(abs(start)) / whole
    return min(first, 0.9 * limit_first), min(second, 0.9 * limit_second)


def _cubics(
    p: Complex, tp: Complex, m: Complex, q: Complex, tq: Complex, spans: Real, speeds: Real, velocity: Complex
) -> Complex:
    out = np.empty((len(p), 2, 4), dtype=np.complex128)
    first, second = spans[:, 0] / 3, spans[:, 1] / 3
    out[:, 0, 0], out[:, 0, 1] = p, p + first * speeds[:, 0] * tp
    out[:, 0, 2], out[:, 0, 3] = m - first * velocity, m
    out[:, 1, 0], out[:, 1, 1] = m, m + second * velocity
    out[:, 1, 2], out[:, 1, 3] = q - second * speeds[:, 1] * tq, q
    return out


def _rows(
    p: Complex,
    tp: Complex,
    kp: Real,
    m: Complex,
    q: Complex,
    tq: Complex,
    kq: Real,
    spans: Real,
    speeds: Real,
    weights: Real,
) -> tuple[Real, Real]:
    """Equations for (speed at P, velocity at M as two numbers, speed at Q): (blends, rows, 4) and right sides."""
    count = len(p)
    # B″ at both ends of both cubics as constant + coefficients of the four unknowns, complex.
    fixed = np.zeros((count, 4), dtype=np.complex128)
    linear = np.zeros((count, 4, 4), dtype=np.complex128)
    for k, (step, h) in enumerate(((m - p, spans[:, 0]), (q - m, spans[:, 1]))):
        fixed[:, 2 * k], fixed[:, 2 * k + 1] = 6 * step / h**2, -6 * step / h**2
        before = (slice(0, 1), slice(1, 3))[k]
        after = (slice(1, 3), slice(3, 4))[k]
        one = np.stack([np.ones(count), np.full(count, 1j)], axis=1)
        start, end = (tp[:, None], one) if k == 0 else (one, tq[:, None])
        linear[:, 2 * k, before] = -4 * start / h[:, None]
        linear[:, 2 * k, after] = -2 * end / h[:, None]
        linear[:, 2 * k + 1, before] = 2 * start / h[:, None]
        linear[:, 2 * k + 1, after] = 4 * end / h[:, None]
    rows: list[Complex] = []
    right: list[Complex] = []
    whole = spans.sum(axis=1)
    for k in range(2):
        weight = EVENNESS * whole / np.sqrt(spans[:, k])
        rows.append(weight[:, None] * (linear[:, 2 * k + 1] - linear[:, 2 * k]))
        right.append(-weight * (fixed[:, 2 * k + 1] - fixed[:, 2 * k]))
        weight = np.sqrt(spans[:, k] / 2)
        for u in _GAUSS:
            rows.append(weight[:, None] * ((1 - u) * linear[:, 2 * k] + u * linear[:, 2 * k + 1]))
            right.append(-weight * ((1 - u) * fixed[:, 2 * k] + u * fixed[:, 2 * k + 1]))
    heavy = weights * np.sqrt(spans.sum(axis=1))
    rows.append(heavy[:, None] * (linear[:, 2] - linear[:, 1]))
    right.append(-heavy * (fixed[:, 2] - fixed[:, 1]))
    full = np.stack(rows, axis=1)
    sides = np.stack(right, axis=1)
    # Curvature at P and Q: the part of B″ across the tangent over the square of the speed, taken from the last round.
    ends_rows: list[Real] = []
    ends_right: list[Real] = []
    for at, tangent, wanted, speed in ((0, tp, kp, speeds[:, 0]), (3, tq, kq, speeds[:, 1])):
        normal = 1j * tangent
        ends_rows.append(heavy[:, None] * dot(normal[:, None], linear[:, at]))
        ends_right.append(heavy * (wanted * speed**2 - dot(normal, fixed[:, at])))
    # Speeds near 1: where the curvatures asked at P and Q contradict each other, nothing else holds the velocity at M.
    light = 4 / np.sqrt(spans.sum(axis=1))
    along = (q - p) / np.abs(q - p)
    speed_rows = np.zeros((count, 3, 4))
    speed_rows[:, 0, 0] = speed_rows[:, 2, 3] = light
    speed_rows[:, 1, 1], speed_rows[:, 1, 2] = light * along.real, light * along.imag
    everything = np.concatenate([full.real, full.imag, np.stack(ends_rows, axis=1), speed_rows], axis=1)
    speed_right = np.repeat(light[:, None], 3, axis=1)
    return everything, np.concatenate([sides.real, sides.imag, np.stack(ends_right, axis=1), speed_right], axis=1)
