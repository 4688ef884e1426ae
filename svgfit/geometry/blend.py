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

import numpy as np
from msgspec import Struct

from svgfit.geometry import gauss
from svgfit.geometry.bezier import Complex, Real, derivative, dot
from svgfit.geometry.curve import Curve

EVENNESS = 0.3
_GAUSS = (0.5 - 0.5 / 3**0.5, 0.5 + 0.5 / 3**0.5)
_NODES, _WEIGHTS = gauss.SIX
_AT = (_NODES + 1) / 2
_HALF_WEIGHTS = _WEIGHTS / 2
_MIXED = np.array(
    [
        [-1, 1, 0, 0],
        [1 - _GAUSS[0], _GAUSS[0], 0, 0],
        [1 - _GAUSS[1], _GAUSS[1], 0, 0],
        [0, 0, -1, 1],
        [0, 0, 1 - _GAUSS[0], _GAUSS[0]],
        [0, 0, 1 - _GAUSS[1], _GAUSS[1]],
        [0, -1, 1, 0],
    ],
    dtype=np.complex128,
)
"""What of B″ at both ends of both cubics is held down: its change along each, itself at two places, its jump at M."""


class BlendEnds(Struct, frozen=True, kw_only=True):
    """The conditions of one blend: points in mm, unit tangents in the direction of travel, curvatures in 1/mm."""

    start: complex
    start_tangent: complex
    start_curvature: float
    middle: complex
    end: complex
    end_tangent: complex
    end_curvature: float
    jump_weight: float = 3.0
    """How heavily jumps of curvature weigh against bending; 0 lets them be."""


def blend(many: Sequence[BlendEnds], rounds: int = 8) -> list[Curve]:
    """Draw each blend; ends, tangents and middle are met exactly, the rest as well as least bending allows.

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
    patterns, normals = _patterns(p, tp, m, q, tq), 1j * np.stack([tp, tq], axis=1)
    along = np.asarray((q - p) / np.abs(q - p), dtype=np.complex128)
    wanted = np.stack([kp, kq], axis=1)
    for _ in range(rounds):
        rows, right = _rows(patterns, normals, wanted, along, spans, speeds, weights)
        across = rows.transpose(0, 2, 1)
        free = np.linalg.solve(across @ rows, (across @ right[:, :, None]))[:, :, 0]
        speeds = np.clip(free[:, (0, 3)], 0.2, 3.0).astype(np.float64)
        cubics = _cubics(p, tp, m, q, tq, spans, speeds, free[:, 1] + 1j * free[:, 2])
        lengths = np.abs(derivative(cubics[:, :, None, :], _AT)) @ _HALF_WEIGHTS
        spans = np.clip(lengths, chords, 1.5 * chords)
    return [Curve(pair) for pair in cubics]


def remove_inflections(curve: Curve) -> Curve | None:
    """Redraw a blend so that each of its two cubics bends to one side only; None where its ends forbid that.

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
    low, high = _allowed(into, across, out)
    if low > high:
        return None
    turn = min(max(cmath.phase(tm / (m - p)), low), high)
    one = _convex(abs(m - p), into, turn, abs(tp), abs(m - first[2]))
    two = _convex(abs(q - m), across - turn, out, abs(tm), abs(tq))
    return None if one is None or two is None else _with_handles(curve, turn, (*one, *two))


Handles = tuple[float, float, float, float]
"""Lengths: at P, before M, behind M, at Q."""


def _with_handles(curve: Curve, turn: float, handles: Handles) -> Curve:
    """Draw a blend with another direction at M, ``turn`` radians from P→M, and other handles."""
    first, last = curve.segments[0].tolist(), curve.segments[1].tolist()
    p, m, q = first[0], first[3], last[3]
    tp, tq = (first[1] - p) / abs(first[1] - p), (q - last[2]) / abs(q - last[2])
    way = cmath.exp(1j * turn) * (m - p) / abs(m - p)
    return Curve(
        np.array(
            [
                [p, p + handles[0] * tp, m - handles[1] * way, m],
                [m, m + handles[2] * way, q - handles[3] * tq, q],
            ]
        )
    )


def _allowed(into: float, across: float, out: float, share: float = 0.3) -> tuple[float, float]:
    """Find the angles from P→M to the direction at M at which both cubics bend to one side; low > high for none.

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
    """Hold handles to the triangle of the tangents over ``base``; None where the tangents don't meet before."""
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


def _patterns(p: Complex, tp: Complex, m: Complex, q: Complex, tq: Complex) -> tuple[Complex, Complex]:
    """Set up B″ at both ends of both cubics, times the span: the unknowns' part (blends, 4, 4), and the fixed part.

    The unknowns are speed at P, velocity at M as two numbers, speed at Q; the second part is times the span again.
    """
    linear = np.zeros((len(p), 4, 4), dtype=np.complex128)
    for first, at, end, factors in ((0, 0, tp, (-4, 2)), (2, 3, tq, (-2, 4))):
        linear[:, first, at], linear[:, first + 1, at] = factors[0] * end, factors[1] * end
        others = (-2, 4) if first == 0 else (-4, 2)
        for k in (0, 1):
            linear[:, first + k, 1], linear[:, first + k, 2] = others[k], 1j * others[k]
    one, two = 6 * (m - p), 6 * (q - m)
    return linear, np.stack([one, -one, two, -two], axis=1)


def _rows(
    patterns: tuple[Complex, Complex],
    normals: Complex,
    wanted: Real,
    along: Complex,
    spans: Real,
    speeds: Real,
    weights: Real,
) -> tuple[Real, Real]:
    """Set up the equations for the four unknowns of ``_patterns``: (blends, rows, 4), and right sides (blends, rows).

    ``normals`` at P and Q, and the curvatures ``wanted`` there (blends, 2); ``along``: unit direction from P to Q.
    """
    each = np.repeat(spans, 2, axis=1)
    linear, fixed = patterns[0] / each[:, :, None], patterns[1] / each**2
    whole = spans.sum(axis=1)
    heavy = weights * np.sqrt(whole)
    weight = np.empty((len(spans), 7))
    weight[:, (0, 3)] = EVENNESS * whole[:, None] / np.sqrt(spans)
    weight[:, (1, 4)] = weight[:, (2, 5)] = np.sqrt(spans / 2)
    weight[:, 6] = heavy
    full, sides = weight[:, :, None] * (_MIXED @ linear), -weight * (fixed @ _MIXED.T)
    # Curvature at P and Q: the part of B″ across the tangent over the square of the speed, taken from the last round.
    ends_rows = heavy[:, None, None] * dot(normals[:, :, None], linear[:, (0, 3)])
    ends_right = heavy[:, None] * (wanted * speeds**2 - dot(normals, fixed[:, (0, 3)]))
    # Speeds near 1: where the curvatures asked at P and Q contradict each other, nothing else holds the velocity at M.
    light = 4 / np.sqrt(whole)
    speed_rows = np.zeros((len(spans), 3, 4))
    speed_rows[:, 0, 0] = speed_rows[:, 2, 3] = light
    speed_rows[:, 1, 1], speed_rows[:, 1, 2] = light * along.real, light * along.imag
    everything = np.concatenate([full.real, full.imag, ends_rows, speed_rows], axis=1)
    right = np.concatenate([sides.real, sides.imag, ends_right, np.repeat(light[:, None], 3, axis=1)], axis=1)
    return everything, right
