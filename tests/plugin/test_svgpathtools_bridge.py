"""Checked against svgpathtools itself (https://github.com/mathandy/svgpathtools): its own lengths and points."""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.geometry.curve import Curve
from svgfit.plugin import from_svgpathtools, to_svgpathtools

svgpathtools = pytest.importorskip("svgpathtools")


def test_there_and_back_is_exact():
    curve = Curve(np.array([[0j, 10 + 5j, 20 - 5j, 30 + 0j], [30 + 0j, 35 + 5j, 40 + 9j, 50 + 10j]]))
    assert np.array_equal(from_svgpathtools(to_svgpathtools(curve)).segments, curve.segments)
    assert to_svgpathtools(curve).length(error=1e-9) == pytest.approx(curve.length(), abs=1e-6)


def test_lines_quadratics_and_arcs_come_within_a_thousandth():
    path = svgpathtools.parse_path("M 0 0 L 30 0 Q 60 0 60 30 A 40 25 20 0 1 10 80 A 5 5 0 1 0 3 70")
    curve = from_svgpathtools(path)
    assert curve.length() == pytest.approx(path.length(error=1e-9), abs=5e-3)
    dense = curve.points(np.linspace(0, len(curve), 1_000_001))  # less than 1 µm apart
    for t in np.linspace(0, 1, 201):
        assert abs(dense - complex(path.point(t))).min() <= 1.1e-3


def test_a_path_of_several_parts_is_refused():
    with pytest.raises(ValueError, match="several parts"):
        from_svgpathtools(svgpathtools.parse_path("M 0 0 L 1 0 M 5 5 L 6 6"))
    with pytest.raises(ValueError, match="empty"):
        from_svgpathtools(svgpathtools.Path())
