"""Chains of points as arrays of cubics, and their bounding box."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.model.dialect import Element
from svgfit.svg.path_data import Broken
from svgfit.svg.shapes import SHAPES, Frame, read_shape


def cubics_of(points: list[complex]) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    """Convert a chain (its start, then three points a cubic) to an array (n, 4)."""
    flat = np.array(points, dtype=np.complex128)
    cubics = np.empty((len(flat) // 3, 4), dtype=np.complex128)
    cubics[:, 0] = flat[:-1:3]
    cubics[:, 1:] = flat[1:].reshape(-1, 3)
    return cubics


def bounds(shapes: Iterable[tuple[str, Element, Frame, Affine]]) -> Box:
    """Compute the box of shapes, each (kind, element, frame, motion); zeros round nothing."""
    found: list[Box] = []
    for kind, element, frame, matrix in shapes:
        if kind not in SHAPES:
            continue
        try:
            drawn = read_shape(kind, element, frame, 1e-4, 0.0)
        except Broken as fault:
            drawn = fault.drawn
        found += [Curve(matrix.apply(cubics_of(subpath.points))).bounds() for subpath in drawn]
    return box_around(found) if found else (0.0, 0.0, 0.0, 0.0)
