"""An opening trued by letting the movement set in gradually: the one manner of truing parts that were moved.

On each side of the cut the drawn edge goes over from where the one part took it to where the other did: a place u mm
along it comes to lie at (1 − s)·A(C(u)) + s·B(C(u)), A and B the motions of the two parts, s rising smoothly from 0 to
1 over the reach and being ½ at the cut. So the edge stays between the two, half the opening from the nearer one at
most, and depends smoothly on the movement. Piece frame, mm.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.blend import soften_inflections
from svgfit.geometry.curve import Curve
from svgfit.rules.truing import GENTLE, STRETCHED

ON_NODE = 0.02
"""A cut nearer than this to a node (mm) is made at the node: no sliver of a segment beside it."""
_PLACES = 17
_SHORTEST, _LONGEST = 0.1, 0.8
"""Handles, as shares of the chord, are held between these."""


class Parting(Struct, frozen=True, kw_only=True):
    """An edge cut at one place whose two parts were moved apart."""

    edge: Curve
    """As drawn."""
    cut: float
    """Where it was cut, a parameter of it."""
    motions: tuple[Affine, Affine]
    """Of the part before the cut and of the one behind it."""
    left: Curve
    """The edge so far, up to the cut."""
    right: Curve
    """The part behind the cut, moved."""
    reaches: tuple[float, float]
    """How far it is redrawn before and behind the cut, mm along the drawn edge."""


class Crossing(Struct, frozen=True, kw_only=True):
    """A stretch that leads an edge across an opening."""

    curve: Curve
    """Two cubics that meet in the middle of the opening."""
    start: float
    """Where it leaves the edge so far, a parameter of that."""
    end: float
    """Where it runs into the part behind, a parameter of that."""


def reach_for(gap: complex, way: complex) -> float:
    """Return how far an opening is trued on each side, mm: ``gap`` from cut end to cut end, ``way`` along the edge.

    A step aside needs √(step·GENTLE): over so long a way it bends the edge by about 1/GENTLE more, whatever its size
    (s″ of a smooth step; from memory). Paper put in or taken out along the edge needs STRETCHED times as much.
    """
    along, aside = abs((gap * way.conjugate()).real), abs((gap * way.conjugate()).imag)
    return math.hypot(math.sqrt(aside * GENTLE), STRETCHED * along)


def draw_across(parting: Parting) -> Crossing:
    """Draw the stretch across an opening; tangent on both sides, through the middle of the opening."""
    before, behind = parting.reaches
    # As steep at the cut as an even step would be, but not so steep that the longer side would swing back.
    slope = min(2 / (before + behind), 1.5 / max(before, behind))
    start, end = _snap(parting.left, parting.left.length() - before), _snap(parting.right, behind)
    first, last = _moved(parting, -before, slope)[::-1], _moved(parting, behind, slope)
    first[0], last[-1] = parting.left.point(start), parting.right.point(end)
    way = _way_at_cut(parting, slope)
    cubics = [
        _fitted(first, parting.left.tangent(start), way),  # at a drawn corner each as it runs on this side of it
        _fitted(last, way, parting.right.tangent(end, before=True)),
    ]
    return Crossing(curve=soften_inflections(Curve(np.array(cubics))), start=start, end=end)


def _snap(curve: Curve, along: float) -> float:
    """Return the parameter so many mm along a curve, at a node where one is near."""
    return curve.snap_to_node(curve.at_length(along), ON_NODE)


def _moved(parting: Parting, reach: float, slope: float) -> Complex:
    """Take places of the drawn edge from the cut to the end of a reach (negative: before it) to where they come to lie.

    s is a cubic in the length on each side: 0 or 1 with no slope at the reach's end, ½ with ``slope`` (1/mm) at the
    cut.
    """
    away = np.linspace(0.0, 1.0, _PLACES)
    cut = parting.edge.length_between(0.0, parting.cut)
    points = parting.edge.points(np.array(parting.edge.at_lengths((cut + reach * away).tolist())))
    left, steep = 1 - away, slope * abs(reach)
    share = left * left * (1.5 - steep + (steep - 1) * left)
    if reach > 0:
        share = 1 - share
    one, other = (motion.apply(points) for motion in parting.motions)
    moved = np.asarray((1 - share) * one + share * other, dtype=np.complex128)
    moved[0] = (parting.left.end + parting.right.start) / 2
    return moved


def _way_at_cut(parting: Parting, slope: float) -> complex:
    """Return the direction in which the stretch crosses the opening, a unit vector."""
    way = way_of(parting.edge, parting.cut, parting.motions) + slope * (parting.right.start - parting.left.end)
    return way / abs(way)


def way_of(edge: Curve, cut: float, motions: tuple[Affine, Affine]) -> complex:
    """Return the direction of an edge where it was cut, the middle of the two into which its parts were turned."""
    along = edge.tangent(cut, before=True) + edge.tangent(cut)
    return sum(motion.apply_vector(along / abs(along)) for motion in motions) / 2


def _fitted(points: Complex, start: complex, end: complex) -> Complex:
    """Fit one cubic (4,) to points at even parameters, with given end tangents, by its handles (least squares).

    Not by the nearest places: so the handles depend smoothly on the points.
    """
    u = np.linspace(0.0, 1.0, len(points))
    v = 1 - u
    one, two = 3 * v * v * u, 3 * v * u * u
    rest = points - (v**3 + one) * points[0] - (two + u**3) * points[-1]
    columns = np.stack([one * start, -two * end], axis=1)
    rows, right = np.concatenate([columns.real, columns.imag]), np.concatenate([rest.real, rest.imag])
    chord = abs(points[-1] - points[0])
    handles = np.clip(np.linalg.lstsq(rows, right, rcond=None)[0], _SHORTEST * chord, _LONGEST * chord)
    first, last = (float(handle) for handle in handles)
    return np.array([points[0], points[0] + first * start, points[-1] - last * end, points[-1]])
