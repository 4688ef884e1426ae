"""Intersections of two curves, and of a curve with itself; curves extended past their ends until they meet."""

from __future__ import annotations

import cmath
import math

import numpy as np
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, cross, from_line, split
from svgfit.geometry.curve import Curve

_ROWS_AT_ONCE = 512
"""So many chords are held against all others at a time."""


def intersections(first: Curve, second: Curve, places: int = 16) -> list[tuple[float, float]]:
    """Intersect two curves: parameters (on first, on second), in order along the first.

    A search over polylines of ``places`` chords a segment, polished by Newton's method.
    """
    ta, tb = np.arange(len(first) * places + 1) / places, np.arange(len(second) * places + 1) / places
    a, b = first.points(ta), second.points(tb)
    p, r = a[:-1, None], np.diff(a)[:, None]
    q, s = b[None, :-1], np.diff(b)[None, :]
    area = cross(r, s)
    with np.errstate(all="ignore"):
        t, u = cross(q - p, s) / area, cross(q - p, r) / area
        i, j = np.nonzero((t >= -1e-9) & (t <= 1 + 1e-9) & (u >= -1e-9) & (u <= 1 + 1e-9))
    found: list[tuple[float, float]] = []
    for k, m in zip(i.tolist(), j.tolist(), strict=True):
        at = _polish(first, second, ta[k] + float(t[k, m]) / places, tb[m] + float(u[k, m]) / places)
        if all(abs(at[0] - other[0]) > 1e-6 for other in found):
            found.append(at)
    return sorted(found)


def _polish(first: Curve, second: Curve, t: float, u: float) -> tuple[float, float]:
    for _ in range(8):
        gap = second.point(u) - first.point(t)
        da = first.point(min(t + 1e-6, len(first))) - first.point(max(t - 1e-6, 0.0))
        db = second.point(min(u + 1e-6, len(second))) - second.point(max(u - 1e-6, 0.0))
        da /= min(t + 1e-6, len(first)) - max(t - 1e-6, 0.0)
        db /= min(u + 1e-6, len(second)) - max(u - 1e-6, 0.0)
        area = float(cross(da, db))
        if abs(area) < 1e-12:
            break
        t = min(max(t + float(cross(gap, db)) / area, 0.0), float(len(first)))
        u = min(max(u + float(cross(gap, da)) / area, 0.0), float(len(second)))
        if abs(gap) < 1e-11:
            break
    return t, u


def extend_straight(curve: Curve, by: float, *, at_start: bool = False) -> Curve:
    """Extend a curve straight by ``by`` mm at its end (or start), along its tangent there.

    A last segment that is a straight line itself is drawn longer instead.
    """
    if at_start:
        return extend_straight(curve.reverse(), by).reverse()
    way = curve.tangent(float(len(curve)), before=True)
    end = curve.end + by * way
    last = Curve(curve.segments[-1:])
    if last.is_straight(1e-9):
        return Curve(np.concatenate([curve.segments[:-1], from_line(last.start, end)[None, :]]))
    return Curve.chain([curve, Curve.polyline([curve.end, end])])


def extend_curved(curve: Curve, by: float, most: float = 0.4) -> Curve:
    """Extend a curve past its end by about ``by`` mm as it bends there, turning by ``most`` radians at most.

    Its last cubic is drawn beyond its end where that is long and calm enough; else an arc is added of the curvature at
    the end, one cubic with handles of 4/3·tan(angle/4) radii (the usual one; from memory).
    """
    if by <= 0:
        return curve
    n = float(len(curve))
    way = curve.tangent(n, before=True)
    last = curve.segments[-1]
    speed = 3 * float(abs(last[3] - last[2]))
    if speed > 3 * by:
        longer = Curve(split(last, 1 + by / speed)[0][None, :])
        turned = longer.tangents(np.linspace(speed / (speed + by), 1, 5), before=True) / way
        if float(np.abs(np.angle(turned)).max()) <= most:
            return Curve(np.concatenate([curve.segments[:-1], longer.segments]))
    angle = min(max(by * curve.curvature(n, before=True), -most), most)
    if abs(angle) < 1e-6:
        return extend_straight(curve, by)
    radius = by / angle
    handle = radius * 4 / 3 * math.tan(angle / 4)
    turn = cmath.exp(1j * angle)
    end = curve.end + radius * 1j * way * (1 - turn)
    arc = np.array([[curve.end, curve.end + handle * way, end - handle * way * turn, end]])
    return Curve.chain([curve, Curve(arc)])


def trim_end(curve: Curve, t: float, speck: float = 0.02) -> Curve:
    """Cut out the curve up to ``t``, ending exactly there, without a last segment shorter than ``speck`` mm.

    Where such a segment is left out, the end before it is moved (with its handle, so that it keeps its direction).
    """
    end = curve.point(t)
    node = round(t)
    if 0 < node != t and abs(curve.segments[node - 1, 3] - end) <= speck:
        segments = curve.segments[:node].copy()
        segments[-1, 2] += end - segments[-1, 3]
        segments[-1, 3] = end
        return Curve(segments)
    return curve.subcurve(0.0, t)


def trim_start(curve: Curve, t: float, speck: float = 0.02) -> Curve:
    """Cut out the curve from ``t`` on; see ``trim_end``."""
    return trim_end(curve.reverse(), len(curve) - t, speck).reverse()


def extend_to_intersection(first: Curve, second: Curve) -> tuple[Curve, Curve] | None:
    """Cut or extend two curves to where they meet, nearest to ``first``'s end and ``second``'s start.

    None where they don't meet within three times the distance between those ends (or 1 mm).
    """
    reach = 3 * abs(second.start - first.end) + 1.0
    one, two = extend_straight(first, reach), extend_straight(second, reach, at_start=True)
    found = intersections(one, two)
    if not found:
        return None
    corner = (first.end + second.start) / 2
    t, u = min(found, key=lambda at: abs(one.point(at[0]) - corner))
    return (trim_end(one, t), trim_start(two, u)) if t > 1e-9 and u < len(two) - 1e-9 else None


def self_crossing(curve: Curve, places: int = 12) -> complex | None:
    """Find a point where the curve crosses itself, None for none, on a polyline of ``places`` chords a segment.

    Chords that share an end are not looked at; on a closed curve the last and the first share one.
    """
    n = len(curve) * places
    points = curve.points(np.arange(n + 1) / places)
    a, b = points[:-1], points[1:]
    first, second = _pairs_of_chords(a, b)
    apart = second - first
    keep = (apart > 1) & ~((apart == n - 1) & curve.is_closed())
    first, second = first[keep], second[keep]
    p, r = a[first], b[first] - a[first]
    q, s = a[second], b[second] - a[second]
    denominator = cross(r, s)
    with np.errstate(all="ignore"):
        t = cross(q - p, s) / denominator
        u = cross(q - p, r) / denominator
    # A crossing in a chord's very start counts there, not at the end of the chord before.
    inside = 1 - 1e-9
    hit = (t > -1e-9) & (t < inside) & (u > -1e-9) & (u < inside)
    for k in np.flatnonzero(hit).tolist():
        i, j = int(first[k]), int(second[k])
        if (t[k] > 1e-9 or _goes_through(points, i, q[k], s[k])) and (
            u[k] > 1e-9 or _goes_through(points, j, p[k], r[k])
        ):
            return complex(p[k] + t[k] * r[k])
    return None


def _pairs_of_chords(a: Complex, b: Complex) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """List which chords' boxes meet, the lower number first, in order; chords run from ``a`` to ``b``, both (n,).

    So many rows at a time that memory grows by the number of chords, not by its square.
    """
    low_x, high_x = np.minimum(a.real, b.real), np.maximum(a.real, b.real)
    low_y, high_y = np.minimum(a.imag, b.imag), np.maximum(a.imag, b.imag)
    found: list[tuple[NDArray[np.intp], NDArray[np.intp]]] = []
    for row in range(0, len(a), _ROWS_AT_ONCE):
        rows = slice(row, row + _ROWS_AT_ONCE)
        first, second = np.nonzero(
            (low_x[rows, None] <= high_x[row:])
            & (low_x[row:] <= high_x[rows, None])
            & (low_y[rows, None] <= high_y[row:])
            & (low_y[row:] <= high_y[rows, None])
        )
        later = second > first
        found.append((first[later] + row, second[later] + row))
    return np.concatenate([one for one, _ in found]), np.concatenate([other for _, other in found])


def _goes_through(points: Complex, node: int, start: complex, way: complex) -> bool:
    """Return whether a polyline passes from one side of a line to the other at a node (a mere touch does not)."""
    if node == 0:
        return False
    before, after = cross(way, points[node - 1] - start), cross(way, points[node + 1] - start)
    return bool(before * after < 0)
