"""Measures of fairness of a curve: for choosing between redrawn stretches, not for reports."""

from __future__ import annotations

import cmath
import itertools
import math

import numpy as np

from svgfit.geometry.bezier import Complex, cross, derivative, second_derivative
from svgfit.geometry.curve import Curve


def max_curvature(curve: Curve) -> float:
    """Find the largest curvature (1/mm) at 17 places a segment, its ends among them."""
    t = np.arange(17) / 16
    cubics = curve.segments[:, None, :]
    speed = derivative(cubics, t)
    size = np.maximum(np.abs(speed), 1e-9)
    return float(np.abs(cross(speed, second_derivative(cubics, t)) / size**3).max())


def turning_within(curve: Curve, within: float = 10.0) -> float:
    """Find the largest curvature (1/mm) by the turn over ``within`` mm: of a row of chords too, each straight."""
    t = np.arange(8 * len(curve) + 1) / 8
    along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(curve.points(t))))])
    turned = np.concatenate([[0.0], np.cumsum(np.angle(_ratios(curve.tangents(t))))])
    first = np.searchsorted(along, along - within)
    return float(np.abs(turned - turned[first]).max()) / within


def _ratios(ways: Complex) -> Complex:
    return np.asarray(ways[1:] / ways[:-1], dtype=np.complex128)


def bending_energy(curve: Curve, start: float, end: float) -> float:
    """Integrate κ² ds (1/mm) between two parameters, by the midpoint rule at 8 places a segment."""
    if end <= start:
        return 0.0
    count = 8 * max(1, math.ceil(end - start))
    t = start + (np.arange(count) + 0.5) * (end - start) / count
    index = np.minimum(t.astype(np.intp), len(curve) - 1)
    cubics = curve.segments[index]
    speed = derivative(cubics, t - index)
    size = np.maximum(np.abs(speed), 1e-9)
    turn = cross(speed, second_derivative(cubics, t - index))
    return float((turn**2 / size**5).sum()) * (end - start) / count


def excess_turning(curve: Curve) -> float:
    """Measure by how much (radians) a stretch turns more than its end tangents and the chords of its halves ask for.

    A half has half of its cubics.
    """
    first, last, middle = curve.segments[0], curve.segments[-1], curve.point(len(curve) / 2)
    ways = [first[1] - first[0], middle - first[0], last[3] - middle, last[3] - last[2]]
    asked = sum(abs(cmath.phase(b / a)) for a, b in itertools.pairwise(ways) if a != 0)
    tangents = curve.tangents(np.linspace(0, len(curve), 16 * len(curve) + 1))
    turned = float(np.abs(np.angle(tangents[1:] / tangents[:-1])).sum())
    return turned - asked
