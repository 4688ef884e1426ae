"""Curves to and from svgpathtools, for those who know that library. One user unit is one millimetre.

svgpathtools is imported only when one of these is called: it brings scipy along and takes about half a second.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

import numpy as np

from svgfit.geometry import bezier
from svgfit.geometry.curve import Curve
from svgfit.model.refusal import Refusal

_JOIN = 1e-6


def to_svgpathtools(curve: Curve) -> Any:
    """Return an ``svgpathtools.Path`` of cubic Béziers with the same control points, exactly.

    Raises Refusal where svgpathtools is not installed.
    """
    tools = _library()
    return tools.Path(*(tools.CubicBezier(*segment) for segment in curve.segments.tolist()))


def from_svgpathtools(path: Any) -> Curve:
    """Make a Curve of an ``svgpathtools.Path``: lines and quadratics become exact cubics, arcs cubics within 1e-3 mm.

    Raises ValueError for a path of several parts (give ``path.continuous_subpaths()`` one by one) and for an empty one.
    """
    tools = _library()
    if not len(path):
        raise ValueError("the path is empty")
    cubics: list[Any] = []
    for segment in path:
        if cubics and abs(cubics[-1][3] - segment.start) > _JOIN:
            raise ValueError("the path has several parts: give those of path.continuous_subpaths() one by one")
        if isinstance(segment, tools.Line):
            cubics.append(bezier.from_line(segment.start, segment.end))
        elif isinstance(segment, tools.QuadraticBezier):
            cubics.append(bezier.from_quadratic(segment.start, segment.control, segment.end))
        elif isinstance(segment, tools.CubicBezier):
            cubics.append(np.array([segment.start, segment.control1, segment.control2, segment.end], dtype=complex))
        else:
            cubics += _arc(segment)
    joined = np.array(cubics)
    joined[1:, 0] = joined[:-1, 3]
    return Curve(joined)


def _arc(segment: Any, accuracy: float = 1e-3) -> list[Any]:
    """Draw an elliptical arc as cubics with its tangents, halved until each lies within ``accuracy`` mm of it.

    Handles of length L/3 times the derivative by the parameter, the Hermite form of a cubic.
    """
    pieces = 1
    while True:
        ends = np.linspace(0, 1, pieces + 1)
        points = [segment.point(t) for t in ends]
        slopes = [segment.derivative(t) / (3 * pieces) for t in ends]
        cubics = [
            np.array([points[k], points[k] + slopes[k], points[k + 1] - slopes[k + 1], points[k + 1]])
            for k in range(pieces)
        ]
        between = np.linspace(0, 1, 9)[1:-1]
        away = max(
            abs(complex(bezier.position(cubic, np.array(t))) - segment.point((k + t) / pieces))
            for k, cubic in enumerate(cubics)
            for t in between
        )
        if away <= accuracy or pieces >= 1024:
            return cubics
        pieces *= 2


def _library() -> Any:
    try:
        return import_module("svgpathtools")
    except ImportError:
        raise Refusal("", "svgpathtools is not installed", "pip install svgpathtools") from None
