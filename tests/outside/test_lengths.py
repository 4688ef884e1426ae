"""Lengths, areas and nearest places against scipy, svgpathtools and shapely."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import scipy.integrate
import scipy.special
import shapely
import svgpathtools
from hypothesis import assume, given, settings

from svgfit.geometry.affine import Affine
from svgfit.geometry.arcs import full_ellipse, unit_arc
from svgfit.geometry.curve import Curve
from svgfit.geometry.offset import offset_curve
from tests.geometry.curves import calm, circle, points, wild

many = settings(max_examples=40, deadline=None)


def by_svgpathtools(curve: Curve) -> svgpathtools.Path:
    return svgpathtools.Path(*(svgpathtools.CubicBezier(*segment) for segment in curve.segments.tolist()))


def polyline(curve: Curve, places: int = 4000) -> np.ndarray:
    p = curve.points(np.linspace(0, len(curve), places * len(curve) + 1))
    return np.stack([p.real, p.imag], axis=1)


# -- arc length ------------------------------------------------------------------------------------------------------


@pytest.mark.filterwarnings("ignore::scipy.integrate.IntegrationWarning")
@given(wild)
@many
def test_arc_length_against_scipys_quadrature(curve: Curve) -> None:
    """scipy.integrate.quad (QUADPACK) of the speed, between the places where it is least and may have kinks.

    https://docs.scipy.org/doc/scipy/reference/generated/scipy.integrate.quad.html
    """
    total = 0.0
    for segment in curve.segments:
        p0, p1, p2, p3 = segment
        way = np.poly1d([3 * (p3 - 3 * p2 + 3 * p1 - p0), 6 * (p2 - 2 * p1 + p0), 3 * (p1 - p0)])
        square = np.poly1d(way.coeffs.real) ** 2 + np.poly1d(way.coeffs.imag) ** 2
        slow = [float(root.real) for root in square.deriv().roots if 0 < root.real < 1 and abs(root.imag) < 1e-3]
        for a, b in itertools.pairwise([0.0, *sorted(slow), 1.0]):
            part, _ = scipy.integrate.quad(lambda t, w=way: abs(w(t)), a, b, limit=400, epsabs=1e-7, epsrel=1e-10)
            total += part
    assert curve.length() == pytest.approx(total, abs=1e-6)


@given(calm)
@settings(max_examples=15, deadline=None)
def test_arc_length_against_svgpathtools(curve: Curve) -> None:
    """https://github.com/mathandy/svgpathtools"""
    assert curve.length() == pytest.approx(by_svgpathtools(curve).length(error=1e-9), abs=1e-5)


@given(wild)
@many
def test_length_against_shapely(curve: Curve) -> None:
    """A polyline of 4,000 chords a segment (https://shapely.readthedocs.io, LineString.length)."""
    assert curve.length() == pytest.approx(shapely.LineString(polyline(curve)).length, abs=1e-3)


def test_the_classic_quarter_circle() -> None:
    """With k = 0.55228 a quarter of the unit circle is 1.57102 long, and at most 2.7e-4 off (from memory)."""
    k = 0.55228
    quarter = Curve(np.array([[1 + 0j, 1 + k * 1j, k + 1j, 1j]]))
    assert quarter.length() == pytest.approx(1.57102, abs=6e-6)
    assert quarter.length() == pytest.approx(by_svgpathtools(quarter).length(error=1e-12), abs=1e-7)
    off = np.abs(np.abs(quarter.points(np.linspace(0, 1, 20001))) - 1).max()
    assert off == pytest.approx(2.7e-4, abs=0.5e-5)


@pytest.mark.parametrize(("a", "b"), [(30, 30), (80, 79), (120, 40), (200, 5)])
def test_ellipses_against_the_complete_elliptic_integral(a: float, b: float) -> None:
    """The perimeter is 4·a·E(m), m = 1 − b²/a² (https://dlmf.nist.gov/19.9#i); scipy.special.ellipe is E by m."""
    control = full_ellipse(7 - 3j, a, b, 1e-5)
    ellipse = Curve(np.array([control[k : k + 4] for k in range(0, len(control) - 1, 3)]))
    assert ellipse.length() == pytest.approx(4 * a * scipy.special.ellipe(1 - b * b / a**2), abs=1e-3)
    assert ellipse.area() == pytest.approx(math.pi * a * b, rel=1e-5)


@pytest.mark.parametrize("sweep", [0.2, 1.0, 2.5, 5.0])
def test_part_ellipses_against_the_incomplete_one(sweep: float) -> None:
    """From (0, b) through φ the arc is a·E(φ, m) long (https://dlmf.nist.gov/19.30#i); scipy.special.ellipeinc."""
    a, b = 90.0, 35.0
    control = [1 + 0j, *unit_arc(1 + 0j, sweep, 1e-8)]
    arc = Curve(np.array([control[k : k + 4] for k in range(0, len(control) - 1, 3)]))
    # x = a·sin φ, y = b·cos φ: the unit circle's cosine lies on the short axis.
    stretched = arc.transform(Affine.scale(b, a))
    assert stretched.length() == pytest.approx(a * scipy.special.ellipeinc(sweep, 1 - b * b / a**2), abs=1e-4)


# -- areas, boxes, nearest -------------------------------------------------------------------------------------------


@given(calm)
@many
def test_area_and_box_against_shapely(curve: Curve) -> None:
    ring = shapely.Polygon(polyline(curve))
    assume(ring.is_valid)
    closed = Curve.chain([curve, Curve.polyline([curve.end, curve.start])])
    assert abs(closed.area()) == pytest.approx(ring.area, abs=1e-2)
    assert closed.bounds() == pytest.approx(ring.bounds, abs=1e-3)
    # Positive clockwise on a page, where y runs down: shapely, whose y runs up, calls that counter-clockwise.
    assert (closed.area() > 0) == ring.exterior.is_ccw


@given(wild, points)
@many
def test_nearest_against_shapely(curve: Curve, point: complex) -> None:
    line = shapely.LineString(polyline(curve))
    away = line.distance(shapely.Point(point.real, point.imag))
    assert curve.nearest(point)[1] == pytest.approx(away, abs=1e-3)


@given(wild, points, points)
@many
def test_crossings_against_shapely(curve: Curve, start: complex, end: complex) -> None:
    assume(abs(end - start) > 20)
    # A segment that runs along the line has no places where it crosses it.
    off = ((curve.segments - start) * np.conj(end - start)).imag / abs(end - start)
    assume((np.abs(off).max(axis=1) > 1e-6).all())
    cutter = shapely.LineString([(start.real, start.imag), (end.real, end.imag)])
    met = cutter.intersection(shapely.LineString(polyline(curve)))
    found = [curve.point(t) for t in curve.crossings(start, end)]
    for part in shapely.get_parts(met) if not met.is_empty else []:
        near = [cutter.distance(shapely.Point(p.real, p.imag)) for p in found]
        assert near
        if part.geom_type == "Point":
            assert min(abs(p - complex(part.x, part.y)) for p in found) < 0.5


@given(calm)
@settings(max_examples=25, deadline=None)
def test_parallels_against_shapely(curve: Curve) -> None:
    """LineString.offset_curve (the boundary of GEOS's buffer), away from ends and folds."""
    assume(max(abs(curve.curvature(k / 40)) for k in range(40 * len(curve) + 1)) < 1 / 20)
    line = shapely.LineString(polyline(curve, 800))
    assume(line.is_simple)
    for distance in (-15.0, 15.0):
        ours = offset_curve(curve, distance)
        # Left is positive to shapely, seen with y up: to the right as we count it, seen on a page.
        theirs = line.offset_curve(distance, quad_segs=64)
        places = ours.points(np.linspace(0.02, 0.98, 60) * len(ours))
        alone = [p for p in places if abs(line.distance(shapely.Point(p.real, p.imag)) - abs(distance)) < 0.05]
        assert len(alone) > 20 or not line.buffer(14.9).exterior.is_simple or len(line.buffer(14.9).interiors) > 0
        for p in alone:
            assert theirs.distance(shapely.Point(p.real, p.imag)) < 0.06


def test_a_buffered_circle() -> None:
    """Round a whole circle of 60 mm, 16 mm out: shapely's buffer of a fine polygon."""
    ring = shapely.Polygon(polyline(circle(60, 8))).buffer(16, quad_segs=256)
    around = offset_curve(circle(60, 8), -16)
    assert around.length() == pytest.approx(ring.exterior.length, abs=0.05)
    assert abs(Curve.chain([around, Curve.polyline([around.end, around.start])]).area()) == pytest.approx(
        ring.area, rel=1e-3
    )
