"""Intersections of two curves, and of a curve with itself; curves extended past their ends until they meet."""

from __future__ import annotations

import cmath
import math

import numpy as np
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real, cross, from_line, split
from svgfit.geometry.curve import Curve

Index = NDArray[np.intp]


_AT_ONCE = 250_000
"""So many pairs of chords are held against each other at a time."""
_FINE, _AT_FIRST = 12, 900
"""Chords a segment by which what seems to cross itself is looked at closely; all chords, roughly, of the first look."""
_MEETS = 1e-9
"""Two curves meet where their points lie nearer than this, mm."""
Window = tuple[float, float, float, float]
"""Parameters between which a meeting is sought: on the first curve, and on the second."""


def intersections(first: Curve, second: Curve, places: int = 16) -> list[tuple[float, float]]:
    """Intersect two curves: parameters (on first, on second), in order along the first.

    A search over polylines of ``places`` chords a segment; each crossing of theirs is polished by Newton's method, or
    closed in on where that leads astray, and counts only where both curves have the same point.
    """
    ta, tb = np.arange(len(first) * places + 1) / places, np.arange(len(second) * places + 1) / places
    i, j, t, u = _crossed_chords(first.points(ta), second.points(tb))
    found: list[tuple[float, float]] = []
    for k, m, along, across in zip(i.tolist(), j.tolist(), t.tolist(), u.tolist(), strict=True):
        at = _meeting(first, second, (k + along) / places, (m + across) / places, 1 / places)
        if at is not None and all(abs(at[0] - other[0]) > 1e-6 for other in found):
            found.append(at)
    return sorted(found)


def _near_chords(a: Complex, b: Complex) -> tuple[Index, Index]:
    """Find which chords of two polylines have boxes that touch; looked at are not too many pairs at a time."""
    rows = max(1, _AT_ONCE // len(b))
    bounds = [(np.minimum(x[:-1], x[1:]), np.maximum(x[:-1], x[1:])) for x in (a.real, a.imag, b.real, b.imag)]
    (ax, ax2), (ay, ay2), (bx, bx2), (by, by2) = bounds
    near: list[tuple[Index, Index]] = []
    for first in range(0, len(a) - 1, rows):
        some = slice(first, first + rows)
        beside = (ax[some, None] <= bx2 + _MEETS) & (bx - _MEETS <= ax2[some, None])
        i, j = np.nonzero(beside & (ay[some, None] <= by2 + _MEETS) & (by - _MEETS <= ay2[some, None]))
        near.append((i + first, j))
    i, j = (np.concatenate(one) for one in zip(*near, strict=True))
    return i, j


def _crossed_chords(a: Complex, b: Complex) -> tuple[Index, Index, Real, Real]:
    """Find which chords of two polylines cross: their numbers, and where on them (0 … 1); ends count on both."""
    i, j = _near_chords(a, b)
    p, r, q, s = a[i], a[i + 1] - a[i], b[j], b[j + 1] - b[j]
    area = cross(r, s)
    with np.errstate(all="ignore"):
        t, u = cross(q - p, s) / area, cross(q - p, r) / area
        met = (t >= -1e-9) & (t <= 1 + 1e-9) & (u >= -1e-9) & (u <= 1 + 1e-9)
    return i[met], j[met], t[met], u[met]


def _meeting(first: Curve, second: Curve, t: float, u: float, chord: float) -> tuple[float, float] | None:
    """Find the meeting near two parameters, not further from them than two chords; None where there is none."""
    window = (
        max(0.0, t - 2 * chord),
        min(float(len(first)), t + 2 * chord),
        max(0.0, u - 2 * chord),
        min(float(len(second)), u + 2 * chord),
    )
    at = _polish(first, second, t, u, window)
    return at if at is not None else _close_in(first, second, window)


def _polish(first: Curve, second: Curve, t: float, u: float, window: Window) -> tuple[float, float] | None:
    """Polish a meeting by Newton's method within a window; None where the points found are not the same."""
    lowest_t, highest_t, lowest_u, highest_u = window
    for _ in range(12):
        gap = second.point(u) - first.point(t)
        if abs(gap) < 1e-2 * _MEETS:
            break
        da, db = _velocity(first, t), _velocity(second, u)
        area = float(cross(da, db))
        if abs(area) <= 1e-14 * abs(da) * abs(db):
            break
        t = min(max(t + float(cross(gap, db)) / area, lowest_t), highest_t)
        u = min(max(u + float(cross(gap, da)) / area, lowest_u), highest_u)
    return (t, u) if abs(second.point(u) - first.point(t)) <= _MEETS else None


def _velocity(curve: Curve, t: float) -> complex:
    low, high = max(t - 1e-6, 0.0), min(t + 1e-6, float(len(curve)))
    return (curve.point(high) - curve.point(low)) / (high - low)


def _close_in(first: Curve, second: Curve, window: Window, places: int = 12) -> tuple[float, float] | None:
    """Close in on a meeting by ever finer chords in an ever smaller window; None where the chords don't cross."""
    for _ in range(12):
        a, b, c, d = window
        ta, tb = np.linspace(a, b, places + 1), np.linspace(c, d, places + 1)
        i, j, along, across = _crossed_chords(first.points(ta), second.points(tb))
        if not len(i):
            return None
        one, two = (b - a) / places, (d - c) / places
        t, u = a + (float(i[0]) + float(along[0])) * one, c + (float(j[0]) + float(across[0])) * two
        found = _polish(first, second, t, u, window)
        if found is not None:
            return found
        window = max(a, t - one), min(b, t + one), max(c, u - two), min(d, u + two)
    return None


def own_crossings(curve: Curve, places: int = 16) -> list[tuple[float, float]]:
    """Find where a curve crosses itself: both parameters of each, the smaller first, in order.

    Looked for are crossings of ``places`` chords a segment that are no neighbours; ends that meet don't count.
    """
    n = len(curve) * places
    points = curve.points(np.arange(n + 1) / places)
    i, j, t, u = _crossed_chords(points, points)
    found: list[tuple[float, float]] = []
    for k, m, along, across in zip(i.tolist(), j.tolist(), t.tolist(), u.tolist(), strict=True):
        if m - k < 2 or (m - k == n - 1 and curve.is_closed()):
            continue
        at = _meeting(curve, curve, (k + along) / places, (m + across) / places, 1 / places)
        if at is not None and at[1] - at[0] > 1e-6 and all(_differ(at, other) for other in found):
            found.append(at)
    return sorted(found)


def _differ(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1])) > 1e-6


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
    first, second = _near_chords(points, points)
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


def outline_crossing(outline: Curve, speck: float = 2.0) -> complex | None:
    """Find where a closed curve crosses itself, in a time that many segments don't let grow.

    What few chords a segment seem to cross counts where many do too. Loops no longer than ``speck`` mm don't count:
    parallels of lines drawn in chords have such.
    """
    places = min(_FINE, max(2, _AT_FIRST // len(outline)))
    if self_crossing(outline, places) is None:
        return None
    whole = outline.length(1e-2)
    for t, u in own_crossings(outline, _FINE):
        loop = outline.length_between(t, u, 1e-2)
        if min(loop, whole - loop) > speck:
            return outline.point(t)
    return None


def _goes_through(points: Complex, node: int, start: complex, way: complex) -> bool:
    """Return whether a polyline passes from one side of a line to the other at a node (a mere touch does not)."""
    if node == 0:
        return False
    before, after = cross(way, points[node - 1] - start), cross(way, points[node + 1] - start)
    return bool(before * after < 0)
