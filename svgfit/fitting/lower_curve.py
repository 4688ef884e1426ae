"""The lower curve of a cap or armhole, from about its notch to the underarm point, carried to another underarm point.

The curve lies in the triangle of its two ends and the point V where its end tangents meet. Where an end moves and the
tangents keep their directions, one affine motion takes the old triangle to the new: the curve keeps its tangents at
both ends, its nodes, its roundness within the triangle, and how often it changes the side it bends to (an affine motion
preserves inflections; any textbook of geometry, from memory). Curves run from the notch to the underarm point.
"""

from __future__ import annotations

import cmath

import numpy as np

from svgfit.fitting.ride_along import Deformation
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve

LEAST_TURN = 0.2
"""End tangents that turn by less than this (radians), or nearly half round, meet too far off to be used."""


def tangent_corner(curve: Curve) -> complex | None:
    """Find V, where the tangents at the ends meet, ahead of the start and behind the end; None where they don't."""
    return _corner_of(curve.start, curve.tangent(0.0), curve.end, curve.tangent(float(len(curve)), before=True))


def _corner_of(start: complex, way: complex, end: complex, way_end: complex) -> complex | None:
    """Intersect two rays, ahead of ``start`` and behind ``end``, each by more than 1 mm; None where they don't."""
    turn = cmath.phase(way_end / way)
    if not LEAST_TURN < abs(turn) < np.pi - LEAST_TURN:
        return None
    across = (way.conjugate() * way_end).imag
    ahead = ((end - start).conjugate() * way_end).imag / across
    behind = (way.conjugate() * (end - start)).imag / across
    return start + ahead * way if min(ahead, behind) > 1.0 else None


def motion_to_end(curve: Curve, end: complex, way: complex) -> Affine | None:
    """Find the motion that takes a curve's end to ``end``, its direction there to ``way``, its start's tangent kept.

    None where the tangents, old or new, don't meet as they must.
    """
    old = tangent_corner(curve)
    new = _corner_of(curve.start, curve.tangent(0.0), end, way)
    if old is None or new is None:
        return None
    start = curve.start
    source = np.array([[(old - start).real, (old - start).imag], [(curve.end - start).real, (curve.end - start).imag]])
    target = np.array([[(new - start).real, (new - start).imag], [(end - start).real, (end - start).imag]])
    linear = np.linalg.solve(source, target)
    a, b, c, d = linear.ravel().tolist()
    return Affine(
        a, b, c, d, start.real - a * start.real - c * start.imag, start.imag - b * start.real - d * start.imag
    )


def bend_to_end(curve: Curve, end: complex) -> Deformation:
    """Bend a curve towards a new end where ``motion_to_end`` is None: nothing at its start, all of it at its end.

    The share is 3v² − 2v³ of the way along the chord (nothing of a slope at either end, so both tangents keep).
    """
    chord = curve.end - curve.start
    size = abs(chord) ** 2
    shift = end - curve.end

    def move(points: Complex) -> Complex:
        v = np.clip(((points - curve.start) * chord.conjugate()).real / size, 0.0, 1.0)
        return np.asarray(points + shift * (v * v * (3 - 2 * v)), dtype=np.complex128)

    return move


def pull_to_corner(curve: Curve, weight: float) -> Deformation | None:
    """Pull points towards V (``weight`` over 1) or away from it (under 1); None where the tangents don't meet.

    In coordinates of the triangle (shares of start, V and end) V's share is multiplied by the weight: a projective
    motion that keeps both ends and both tangents, and as such the number of inflections (from memory).
    """
    corner = tangent_corner(curve)
    if corner is None:
        return None
    start, end = curve.start, curve.end
    one, two = corner - start, end - start
    area = (one.conjugate() * two).imag

    def move(points: Complex) -> Complex:
        off = points - start
        v = (off.conjugate() * two).imag / area
        q = (one.conjugate() * off).imag / area
        whole = 1 - v - q + weight * v + q
        return np.asarray(start + (weight * v * one + q * two) / whole, dtype=np.complex128)

    return move
