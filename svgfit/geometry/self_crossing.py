"""Whether a curve crosses itself, to the accuracy of a fine polyline."""

from __future__ import annotations

import numpy as np

from svgfit.geometry.bezier import Complex, cross
from svgfit.geometry.curve import Curve


def self_crossing(curve: Curve, places: int = 12) -> complex | None:
    """Find a point where the curve crosses itself, None for none, on a polyline of ``places`` chords a segment.

    Chords that share an end are not looked at; on a closed curve the last and the first share one.
    """
    n = len(curve) * places
    points = curve.points(np.arange(n + 1) / places)
    a, b = points[:-1], points[1:]
    low_x, high_x = np.minimum(a.real, b.real), np.maximum(a.real, b.real)
    low_y, high_y = np.minimum(a.imag, b.imag), np.maximum(a.imag, b.imag)
    first, second = np.nonzero(
        (low_x[:, None] <= high_x)
        & (low_x <= high_x[:, None])
        & (low_y[:, None] <= high_y)
        & (low_y <= high_y[:, None])
    )
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


def _goes_through(points: Complex, node: int, start: complex, way: complex) -> bool:
    """Return whether a polyline passes from one side of a line to the other at a node (a mere touch does not)."""
    if node == 0:
        return False
    before, after = cross(way, points[node - 1] - start), cross(way, points[node + 1] - start)
    return bool(before * after < 0)
