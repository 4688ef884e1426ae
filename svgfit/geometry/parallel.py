"""Parallel curves as few fitted cubics, within an accuracy in mm.

A point of the parallel is P + d·n, n the normal (tangent × i, to the right of travel on a page); its direction is the
curve's own as long as d·κ < 1 (do Carmo, Differential Geometry of Curves and Surfaces, exercise on parallel curves;
from memory). Where d·κ reaches 1 the parallel would fold back: ``Folded`` is raised.
"""

from __future__ import annotations

import itertools

import numpy as np

from svgfit.geometry.bezier import Complex, cross, derivative, second_derivative
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_with_error
from svgfit.geometry.meet import extended_meeting

PLACES = 13


class Folded(ValueError):
    """The curve bends more tightly than the distance: ``at`` says where (a point of the curve)."""

    def __init__(self, at: complex, radius: float) -> None:
        super().__init__(f"a parallel folds back where the curve's radius is {radius:.1f} mm")
        self.at = at
        self.radius = radius


def parallel(curve: Curve, distance: float, accuracy: float = 0.05) -> Curve:
    """The parallel at ``distance`` mm (positive: right of travel), within ``accuracy`` mm.

    Kinks between the curve's segments stay kinks: the parts are lengthened or trimmed to where they meet.
    """
    if distance == 0:
        return curve
    parts = [_smooth(part, distance, accuracy) for part in _split_at_kinks(curve)]
    result = parts[0]
    for part in parts[1:]:
        result = join_parallels(result, part)
    return result


def join_parallels(first: Curve, second: Curve) -> Curve:
    """Two curves made one: trimmed or lengthened (straight on) to where they meet, else joined by a straight line."""
    if abs(first.end - second.start) < 1e-9:
        return Curve.chain([first, second])
    met = extended_meeting(first, second)
    if met is None:
        return Curve.chain([first, Curve.polyline([first.end, second.start]), second])
    return Curve.chain(met)


def _split_at_kinks(curve: Curve, kink: float = 0.005) -> list[Curve]:
    nodes = np.arange(1, len(curve), dtype=np.float64)
    if not len(nodes):
        return [curve]
    turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
    cuts = [0, *(int(k) for k in nodes[turn > kink]), len(curve)]
    return [Curve(curve.segments[a:b]) for a, b in itertools.pairwise(cuts)]


def _smooth(curve: Curve, distance: float, accuracy: float) -> Curve:
    _refuse_fold(curve, distance)
    done: list[Complex] = []
    waiting = [(0.0, float(len(curve)), 0)]
    while waiting:
        a, b, depth = waiting.pop()
        t = np.linspace(a, b, PLACES if b - a <= 1 else PLACES + 6 * (int(b - a) - 1))
        tangents = curve.tangents(t)
        tangents[-1] = curve.tangent(b, before=True)
        points = curve.points(t) + distance * 1j * tangents
        cubic, error = fit_with_error(points, complex(tangents[0]), complex(tangents[-1]), enough=0.2 * accuracy)
        if error <= 0.8 * accuracy or depth > 12:
            done.append(cubic)
            continue
        middle = (a + b) / 2
        if b - a > 1:
            middle = float(min(max(round(middle), int(a) + 1), int(np.ceil(b)) - 1))
        waiting += [(middle, b, depth + 1), (a, middle, depth + 1)]
    return Curve.chain(Curve(cubic[None, :]) for cubic in done)


def _refuse_fold(curve: Curve, distance: float) -> None:
    t = np.linspace(0, 1, 24)
    cubics = curve.segments[:, None, :]
    speed = derivative(cubics, t)
    size = np.abs(speed)
    bend = cross(speed, second_derivative(cubics, t)) / np.where(size > 1e-6, size, np.inf) ** 3
    folded = bend * distance >= 1
    if folded.any():
        tightest = np.unravel_index(int(np.argmax(bend * distance)), bend.shape)
        at = curve.point(float(tightest[0]) + float(t[tightest[1]]))
        raise Folded(at, abs(1 / float(bend[tightest])))
