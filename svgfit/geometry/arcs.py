"""Elliptical arcs as cubics, as many as an accuracy needs.

Endpoint to centre form: SVG 1.1 implementation notes F.6.5 and F.6.6
(https://www.w3.org/TR/SVG11/implnote.html#ArcImplementationNotes).
"""

from __future__ import annotations

import cmath
import math
from itertools import pairwise

_MOST = 64


def arc(
    start: complex, radii: tuple[float, float], turned: float, flags: tuple[bool, bool], end: complex, accuracy: float
) -> list[complex]:
    """Draw the arc of SVG's ``A`` command: control points behind ``start``, three a cubic.

    ``turned`` in degrees; ``flags`` are large-arc and sweep; ``accuracy`` is the largest distance from the true arc, in
    the unit of the points. Where the ends are one nothing is drawn, where a radius is 0 a straight line.
    """
    if start == end:
        return []
    rx, ry = abs(radii[0]), abs(radii[1])
    if rx == 0 or ry == 0:
        return [start + (end - start) / 3, end - (end - start) / 3, end]
    tilt = cmath.exp(1j * math.radians(turned))
    half = (start - end) / 2 * tilt.conjugate()
    # On the unit circle the two ends lie ±unit from their middle; radii that cannot reach are scaled up (F.6.6.3).
    unit = complex(half.real / rx, half.imag / ry)
    reach = abs(unit)
    if reach < 1e-7 and not flags[0]:  # so flat that the centre would be lost in rounding
        return [start + (end - start) / 3, end - (end - start) / 3, end]
    if reach > 1:
        rx, ry, unit = rx * reach, ry * reach, unit / reach
    side = math.sqrt(max(0.0, 1 - abs(unit) ** 2))
    sign = 1.0 if flags[0] == flags[1] else -1.0
    # The centre lies square to the chord (F.6.5.2, written with complex numbers).
    centre = sign * side * 1j * unit / abs(unit)
    first = unit - centre
    sweep = cmath.phase((-unit - centre) / first)
    if flags[1] and sweep < 0:
        sweep += 2 * math.pi
    elif not flags[1] and sweep > 0:
        sweep -= 2 * math.pi
    if flags[0] and abs(sweep) < 1:  # all but a whole turn, its sign lost in rounding
        sweep = math.copysign(2 * math.pi, 1 if flags[1] else -1)
    middle = (start + end) / 2 + tilt * complex(centre.real * rx, centre.imag * ry)
    points = unit_arc(first / abs(first), sweep, accuracy / max(rx, ry))
    placed = [middle + tilt * complex(point.real * rx, point.imag * ry) for point in points]
    placed[-1] = end
    return placed


def unit_arc(first: complex, sweep: float, accuracy: float) -> list[complex]:
    """Draw a unit circle's arc about 0, turning by ``sweep`` radians: control points behind ``first``."""
    count = cubics_needed(abs(sweep), accuracy)
    step = sweep / count
    reach = 4 / 3 * math.tan(step / 4) * 1j
    points: list[complex] = []
    at = first
    for k in range(1, count + 1):
        then = first * cmath.exp(1j * step * k)
        points += [at + reach * at, then - reach * then, then]
        at = then
    return points


def cubics_needed(sweep: float, accuracy: float) -> int:
    """Count the cubics that an arc of the unit circle needs.

    A cubic with handles 4/3·tan(θ/4) touches the circle at its ends and middle and lies outside it between, at most
    2/27 · sin⁶(θ/4) / cos²(θ/4) (half of |B(t)|² − 1, expanded; held by a test against the true arc).
    """
    count = max(1, math.ceil(sweep / (math.pi / 2) - 1e-9))
    while count < _MOST and _miss(sweep / count) > accuracy:
        count += 1
    return count


def _miss(angle: float) -> float:
    return 2 / 27 * math.sin(angle / 4) ** 6 / math.cos(angle / 4) ** 2


def full_ellipse(centre: complex, rx: float, ry: float, accuracy: float) -> list[complex]:
    """Draw a whole ellipse as a closed chain, from its rightmost point on, clockwise on a page as SVG draws it."""
    count = max(4, -(-cubics_needed(2 * math.pi, accuracy / max(rx, ry)) // 4) * 4)
    step = 2 * math.pi / count
    reach = 4 / 3 * math.tan(step / 4) * 1j
    nodes = [cmath.exp(1j * step * k) for k in range(count)]
    for k, exact in enumerate((1, 1j, -1, -1j)):
        nodes[k * count // 4] = exact
    nodes.append(nodes[0])
    points = [centre + complex(rx * nodes[0].real, ry * nodes[0].imag)]
    for at, then in pairwise(nodes):
        for point in (at + reach * at, then - reach * then, then):
            points.append(centre + complex(rx * point.real, ry * point.imag))
    return points
