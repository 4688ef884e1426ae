"""Intersections of two curves, and of a curve with itself; curves extended past their ends until they meet."""

from __future__ import annotations

import cmath
import math

import numpy as np

from svgfit.geometry.bezier import cross, from_line, split
from svgfit.geometry.curve import Curve
from svgfit.geometry.straight import is_straight


def meetings(first: Curve, second: Curve, places: int = 16) -> list[tuple[float, float]]:
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


def lengthen(curve: Curve, by: float, *, at_start: bool = False) -> Curve:
    """Extend a curve straight by ``by`` mm at its end (or start), along its tangent there.

    A last segment that is a straight line itself is drawn longer instead.
    """
    if at_start:
        return lengthen(curve.reverse(), by).reverse()
    way = curve.tangent(float(len(curve)), before=True)
    end = curve.end + by * way
    last = Curve(curve.segments[-1:])
    if is_straight(last, 1e-9):
        return Curve(np.concatenate([curve.segments[:-1], from_line(last.start, end)[None, :]]))
    return Curve.chain([curve, Curve.polyline([curve.end, end])])


def run_on(curve: Curve, by: float, most: float = 0.4) -> Curve:
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
        return lengthen(curve, by)
    radius = by / angle
    handle = radius * 4 / 3 * math.tan(angle / 4)
    turn = cmath.exp(1j * angle)
    end = curve.end + radius * 1j * way * (1 - turn)
    arc = np.array([[curve.end, curve.end + handle * way, end - handle * way * turn, end]])
    return Curve.chain([curve, Curve(arc)])


def head(curve: Curve, t: float, speck: float = 0.02) -> Curve:
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


def tail(curve: Curve, t: float, speck: float = 0.02) -> Curve:
    """Cut out the curve from ``t`` on; see ``head``."""
    return head(curve.reverse(), len(curve) - t, speck).reverse()


def extended_meeting(first: Curve, second: Curve) -> tuple[Curve, Curve] | None:
    """Cut or extend two curves to where they meet, nearest to ``first``'s end and ``second``'s start.

    None where they don't meet within three times the distance between those ends (or 1 mm).
    """
    reach = 3 * abs(second.start - first.end) + 1.0
    one, two = lengthen(first, reach), lengthen(second, reach, at_start=True)
    found = meetings(one, two)
    if not found:
        return None
    corner = (first.end + second.start) / 2
    t, u = min(found, key=lambda at: abs(one.point(at[0]) - corner))
    return (head(one, t), tail(two, u)) if t > 1e-9 and u < len(two) - 1e-9 else None
