"""Shoulder yokes of many shapes: drawn here, no data from anywhere. Page mm, the centre back towards −x."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.raw_piece import DrawnPiece

from .drawings import PLAIN, STILL, Manner, as_shape, written

CORNERS = ("neck centre", "neck point", "armhole front", "armhole back", "back centre")
"""As the plug-in names them."""


class Yoke(Struct, frozen=True):
    """Half a yoke."""

    neck: float = 80.0
    shoulder: float = 125.0
    depth: float = 90.0
    """Of the centre back."""
    armhole: float = 95.0
    forward: float = 30.0
    """How far the front seam lies before the neck's centre."""
    slope: float = 35.0
    hollow: float = 0.06
    """Of the armhole."""


def corners(shape: Yoke) -> dict[str, complex]:
    """The front is down: +y."""
    neck_point = complex(shape.neck, shape.forward)
    front = neck_point + complex(shape.shoulder, shape.slope)
    points = (0j, neck_point, front, front - 1j * shape.armhole, -1j * shape.depth)
    return dict(zip(CORNERS, points, strict=True))


def edges(shape: Yoke) -> dict[str, Curve]:
    at = corners(shape)
    neck, point, front, back, centre = (at[name] for name in CORNERS)
    neckline = Curve(np.array([[neck, neck + 0.6 * shape.neck, point - 0.6j * shape.forward - 4, point]]))
    hole = shape.hollow * (back - front)
    armhole = Curve(
        np.array([[front, front + (back - front) / 3 + 1j * hole, back - (back - front) / 3 + 1j * hole, back]])
    )
    return {
        "neckline": neckline,
        "front seam": Curve.polyline([point, front]),
        "armhole": armhole,
        "back seam": Curve.polyline([back, centre]),
        "centre": Curve.polyline([centre, neck]),
    }


def half(shape: Yoke, motion: Affine = STILL, manner: Manner = PLAIN, line: str = "fold", **more: object) -> DrawnPiece:
    """With a fold or centre line at the centre back, and a grain line along it."""
    loop = Curve.chain(edges(shape).values())
    centre = edges(shape)["centre"].transform(motion)
    grain = Curve.polyline([40 - 0.2j * shape.depth, 40 - 0.8j * shape.depth]).transform(motion)
    drawn = {"stitch": (as_shape(written(loop, manner), motion),), "grain": (grain,), line: (centre,), **more}
    return DrawnPiece("page.svg", "Yoke", **drawn)  # type: ignore[arg-type]


def whole(shape: Yoke, motion: Affine = STILL, manner: Manner = PLAIN) -> DrawnPiece:
    """Both halves in one, without a fold."""
    parts = edges(shape)
    other = {name: curve.transform(Affine.scale(-1, 1)).reverse() for name, curve in parts.items()}
    back = Curve.polyline([parts["back seam"].start, other["back seam"].end])
    names = ("armhole", "front seam", "neckline")
    loop = Curve.chain([parts[name] for name in names[::-1]] + [back] + [other[name] for name in names])
    return DrawnPiece("page.svg", "Yoke", stitch=(Shape(written(loop.transform(motion), manner), (True,)),))


yokes = st.builds(
    Yoke,
    neck=st.floats(60, 95),
    shoulder=st.floats(95, 145),
    depth=st.floats(70, 130),
    armhole=st.floats(60, 120),
    forward=st.floats(20, 50),
    slope=st.floats(20, 50),
    hollow=st.floats(0, 0.12),
)
