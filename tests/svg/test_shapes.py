"""Shapes and paths against known answers and against what we did not write."""

import math

import numpy as np
import pytest
import scipy.special
import svgpathtools
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.geometry.arcs import arc
from svgfit.geometry.bezier import position
from svgfit.model.refusal import Refusal
from svgfit.svg.path_data import PathError, read_path

ACCURACY = 1e-3


def test_rect(shape):
    found = shape('<rect id="r" x="10" y="20" width="30" height="40"/>')
    (curve,) = found.curves
    assert found.closed == (True,)
    assert curve.bounds() == (10, 20, 40, 60)
    assert curve.is_closed(0)
    assert len(curve) == 4
    assert curve.area() == pytest.approx(1200)  # positive: clockwise on a page, as SVG draws it


def test_rounded_rect(shape):
    (curve,) = shape('<rect width="60" height="40" rx="10"/>').curves
    assert curve.length() == pytest.approx(2 * 40 + 2 * 20 + 2 * math.pi * 10, abs=2e-3)
    (held,) = shape('<rect width="60" height="40" rx="99" ry="5"/>').curves  # rx is held to half the width
    assert held.start == pytest.approx(30 + 0j)


def test_rect_corner_that_is_auto(shape):
    (curve,) = shape('<rect width="60" height="40" ry="10"/>').curves
    assert curve.start == pytest.approx(10 + 0j)


@pytest.mark.parametrize("radius", [0.5, 3, 25, 400])
def test_circle(mm, radius):
    (curve,) = mm(f'<circle cx="5" cy="6" r="{radius}"/>').layers[0].shapes[0].curves
    away = np.abs(curve.points(np.linspace(0, len(curve), 2001)) - (5 + 6j))
    assert np.abs(away - radius).max() <= ACCURACY
    assert curve.is_closed(0)
    assert curve.bounds() == pytest.approx((5 - radius, 6 - radius, 5 + radius, 6 + radius), abs=ACCURACY)


@pytest.mark.parametrize(("rx", "ry"), [(30, 10), (10, 30), (80, 79), (5, 60)])
def test_ellipse_perimeter_by_the_complete_elliptic_integral(shape, rx, ry):
    # Perimeter 4·a·E(m), m = 1 − b²/a²: https://dlmf.nist.gov/19.9#i ; scipy.special.ellipe is E of the parameter m.
    (curve,) = shape(f'<ellipse cx="90" cy="50" rx="{rx}" ry="{ry}"/>').curves
    a, b = max(rx, ry), min(rx, ry)
    assert curve.length() == pytest.approx(4 * a * scipy.special.ellipe(1 - b * b / a / a), abs=2e-3)


def test_lines(shape):
    assert shape('<line x1="1" y1="2" x2="4" y2="6"/>').curves[0].length() == pytest.approx(5)
    poly = shape('<polyline points="0,0 3,4 3,10"/>')
    assert poly.closed == (False,)
    assert poly.curves[0].length() == pytest.approx(11)
    gone = shape('<polyline points="0 0,30 0 30-40 0,0"/>')
    assert gone.closed == (True,)
    assert shape('<polygon points="0,0 30,0 30,40"/>').curves[0].length() == pytest.approx(120)


def test_a_line_and_a_quadratic_are_exact_cubics():
    (line,) = read_path("M1 2L4 8", 1, 0)
    assert line.points == [1 + 2j, 2 + 4j, 3 + 6j, 4 + 8j]
    (bow,) = read_path("M0 0Q3 6 6 0", 1, 0)
    t = np.linspace(0, 1, 11)
    cubic = position(np.array(bow.points), t[:, None][:, 0])
    assert cubic == pytest.approx(2 * (1 - t) * t * (3 + 6j) + t * t * 6, abs=1e-12)


@pytest.mark.parametrize(
    "d",
    [
        "M10 10 20 20 30 10",
        "m10 10 10 10 10-10z",
        "M10,10H50V30h-10v5Z",
        "M0 0C10 0 20 10 20 20S30 40 40 40s10 0 20-20",
        "m5 5c1 2 3 4 5 6 1 0 2 0 3 1",
        "M0 0Q10 20 20 0T40 0t20 0",
        "M0 0S10 10 20 0",
        "M0 0T10 10 20 0",
        "M0 25a25 25 0 0150 0",
        "M10 10A20 10 30 1 0 40 30a5 5 0 1 1 3 4",
        "M.5.5.6-1e1L1.e1 2",
        "M0 0 10 0 10 10ZL5 5 6 6M20 20l5 5zm3 3h2",
        "M 10 , 10\n L 20\t20",
        "M0 0A1 1 0 0 0 100 0",
    ],
)
def test_paths_against_svgpathtools(d):
    ours = read_path(d, 1e-6, 0.0)
    theirs = svgpathtools.parse_path(d.replace("1.e1", "10"))
    points = np.array([theirs.point(t) for t in np.linspace(0, 1, 300)])
    cubics = np.array([sub.points[k : k + 4] for sub in ours for k in range(0, len(sub.points) - 1, 3)])
    t = np.linspace(0, 1, 400)
    drawn = position(cubics[:, None, :], t[None, :]).ravel()
    for point in points:
        assert np.abs(drawn - point).min() < 0.2 + 1e-6
    length = sum(svgpathtools.CubicBezier(*map(complex, cubic)).length() for cubic in cubics)
    assert length == pytest.approx(theirs.length(), abs=1e-4)


# SVG 1.1, section 8.3.8 shows these arcs; the implementation notes F.6 (https://www.w3.org/TR/SVG11/implnote.html) give
# the formulas. Centres and sweeps below are worked out by hand from them.
@pytest.mark.parametrize(
    ("flags", "centre", "sweep"),
    [
        ((False, False), 100 + 0j, -90),
        ((False, True), 0 + 100j, 90),
        ((True, False), 0 + 100j, -270),
        ((True, True), 100 + 0j, 270),
    ],
)
def test_the_four_arcs_between_two_points(flags, centre, sweep):
    # From (0, 0) to (100, 100), radius 100.
    points = [0j, *arc(0j, (100, 100), 0, flags, 100 + 100j, 1e-4)]
    nodes = np.array(points[::3])
    assert np.abs(nodes - centre) == pytest.approx(100, abs=1e-9)
    turns = np.angle((nodes[1:] - centre) / (nodes[:-1] - centre), deg=True)
    assert turns.sum() == pytest.approx(sweep, abs=1e-9)
    assert points[-1] == 100 + 100j


def test_radii_that_do_not_reach_are_scaled_up():
    # F.6.6 step 3: the ends then lie on a diameter.
    points = [0j, *arc(0j, (1, 1), 0, (False, True), 10 + 0j, 1e-6)]
    assert np.abs(np.array(points[::3]) - 5) == pytest.approx(5, abs=1e-9)


def test_arcs_of_no_extent():
    assert arc(1j, (5, 5), 0, (True, True), 1j, 1e-3) == []
    assert arc(0j, (0, 5), 0, (True, True), 3 + 0j, 1e-3) == [1, 2, 3]
    assert arc(0j, (1e200, 1e200), 0, (False, True), 3 + 0j, 1e-3) == [1, 2, 3]


@settings(max_examples=150, deadline=None)
@given(
    rx=st.floats(0.5, 300),
    ry=st.floats(0.5, 300),
    turned=st.floats(-180, 180),
    large=st.booleans(),
    sweep=st.booleans(),
    x=st.floats(-200, 200),
    y=st.floats(-200, 200),
)
def test_any_arc_lies_within_the_accuracy_of_its_ellipse(rx, ry, turned, large, sweep, x, y):
    end = complex(x, y)
    if abs(end) < 1e-3:
        return
    points = [0j, *arc(0j, (rx, ry), turned, (large, sweep), end, ACCURACY)]
    cubics = np.array([points[k : k + 4] for k in range(0, len(points) - 1, 3)])
    tilt = np.exp(-1j * math.radians(turned))
    factor = 1.0
    half = end / 2 * tilt
    reach = math.hypot(half.real / rx, half.imag / ry)
    if reach > 1:
        factor = reach
    # In the unit circle's plane every node lies on one circle of radius 1; the centre is found from three of them, so
    # the check does not use the code's own centre.
    unit = cubics * tilt
    unit = (unit.real / (rx * factor)) + 1j * (unit.imag / (ry * factor))
    drawn = position(unit[:, None, :], np.linspace(0, 1, 41)[None, :]).ravel()
    ends = np.array([unit[0, 0], unit[-1, 3]])
    middle, chord = ends.mean(), ends[1] - ends[0]
    side = math.sqrt(max(0.0, 1 - abs(chord) ** 2 / 4))
    centres = [middle + s * side * 1j * chord / abs(chord) for s in (1, -1)]
    miss = min(np.abs(np.abs(drawn - centre) - 1).max() for centre in centres)
    assert miss * max(rx, ry) * factor <= ACCURACY * 1.01 + 1e-6


def test_the_accuracy_holds_after_transforms(mm):
    (curve,) = mm('<g transform="scale(200)"><circle cx=".5" cy=".25" r=".2"/></g>').layers[0].shapes[0].curves
    away = np.abs(curve.points(np.linspace(0, len(curve), 2001)) - (100 + 50j))
    assert np.abs(away - 40).max() <= ACCURACY


def test_closed_where_drawn_closed_or_where_the_ends_meet(shape):
    found = shape('<path d="M0 0H10V10Z M20 0H30V10 M40 0H50V10L40 0 M60 0H70V10L60.00000001 0z"/>')
    assert found.closed == (True, False, True, True)
    assert [len(curve) for curve in found.curves] == [3, 2, 3, 3]
    assert [curve.is_closed(0) for curve in found.curves] == [True, False, True, True]


def test_what_has_no_extent_is_left_out(mm):
    inner = '<path d=""/><path d="M5 5"/><path d="M5 5z"/><path d="none"/><rect width="0" height="5"/><circle r="0"/>'
    inner += '<rect width="-4" height="5"/><polyline points=""/><polyline points="1,1"/><line/>'
    inner += '<g transform="scale(0)"><rect width="3" height="3"/></g>'
    assert [shape for layer in mm(inner).layers for shape in layer.shapes] == []


@pytest.mark.parametrize(
    ("d", "told"),
    [
        ("L1 1", "'L1 1'"),
        ("M0 0L1", "'L1'"),
        ("M0 0C1 2 3 4 5", "'C1 2 3 4 5'"),
        ("M0 0 1", "'1'"),
        ("M0 0 L 1 x", "'L 1 x'"),
        ("M0 0 Z 4", "'4'"),
        ("M0 0A1 1 0 2 0 3 3", "'A1 1 0 2 0 3 3'"),
        ("M0 0A1 1 0 0 1 50", "'A1 1 0 0 1 50'"),
        ("M0 0H", "'H'"),
        ("M0 0#L1 1", "'#L1 1'"),
    ],
)
def test_path_data_that_cannot_be_read(d, told):
    with pytest.raises(PathError) as caught:
        read_path(d, 1e-3, 0)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("element", "told"),
    [
        ('<path id="p" d="M0 0L1e999 0 oops"/>', "kilometre"),
        ('<path id="p" d="M0 0L1e999 0"/>', "kilometre"),
        ('<path id="p" d="M0 0A1e200 1e200 0 1 0 1 1"/>', "kilometre"),
        ('<path id="p" d="M0 0H2e9"/>', "kilometre"),
        ('<rect id="p" width="1e999" height="1"/>', "width"),
        ('<circle id="p" r="1e300"/>', "kilometre"),
        ('<rect id="p" width="5" height="5" transform="scale(1e999)"/>', "transform"),
        ('<rect id="p" width="5" height="5" transform="scale(NaN)"/>', "transform"),
        ('<rect id="p" width="5" height="5" transform="scale(1e200) scale(1e200)"/>', "transform"),
        ('<text id="p" x="1e999">a</text>', "x"),
    ],
)
def test_a_refusal_names_file_line_and_element(mm, element, told):
    with pytest.raises(Refusal) as caught:
        mm("\n\n" + element)
    line = caught.value.line()
    assert told in line
    assert "d.svg: line 3: " in line
    assert "'p'" in line


@pytest.mark.parametrize(
    ("transform", "at"),
    [
        ("translate(10)", 15 + 6j),
        ("translate(10,20)", 15 + 26j),
        ("scale(2)", 10 + 12j),
        ("scale(2,-1)", 10 - 6j),
        ("rotate(90)", -6 + 5j),
        ("rotate(180 10 10)", 15 + 14j),
        ("rotate(-90, 5, 6)", 5 + 6j),
        ("skewX(45)", 11 + 6j),
        ("skewY(45)", 5 + 11j),
        ("matrix(1 2 3 4 5 6)", 28 + 40j),
        ("translate(0,50)scale(.1,-.1)", 0.5 + 49.4j),
        ("rotate(90) translate(10 0), scale(2)", -12 + 20j),
    ],
)
def test_transforms(shape, transform, at):
    # Worked out by hand from https://www.w3.org/TR/SVG11/coords.html#TransformAttribute
    found = shape(f'<path transform="{transform}" d="M5 6h1"/>')
    assert found.curves[0].start == pytest.approx(at, abs=1e-12)


def test_transforms_of_all_ancestors(mm):
    inner = '<a transform="scale(2)"><g><path transform="translate(1 1)" d="M5 6h1"/></g></a>'
    assert mm(f'<g transform="translate(100)">{inner}</g>').layers[0].shapes[0].curves[0].start == 112 + 14j
