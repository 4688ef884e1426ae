"""Bodice fronts and backs of many shapes: drawn here, no data from anywhere. Piece frame, mm."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Landmark, Mark, Piece

CORNERS = ("underarm", "shoulder tip", "neck point", "neck centre", "hem centre", "hem side")


class Bodice(Struct, frozen=True):
    kind: str = "front"
    across: float = 45.0
    """From the underarm point to the shoulder tip, square to the grain."""
    shoulder: float = 130.0
    drop: float = 40.0
    """Of the shoulder, from neck point to tip."""
    neck: float = 80.0
    neck_depth: float = 70.0
    armhole: float = 210.0
    """Height of the shoulder tip over the underarm point."""
    scoop: float = 0.9
    length: float = 400.0
    flare: float = 10.0
    fold: bool = True
    hem_dip: float = 0.0


def bodice(shape: Bodice) -> Piece:
    """Centre towards +x for a front, −x for a back."""
    sign = 1 if shape.kind == "front" else -1

    def at(x: float, y: float) -> complex:
        return complex(sign * x, y)

    centre = shape.across + shape.shoulder + shape.neck
    neck_point = at(centre - shape.neck, -shape.armhole - shape.drop)
    tip = at(centre - shape.neck - shape.shoulder, -shape.armhole)
    neck_centre = at(centre, -shape.armhole - shape.drop + shape.neck_depth)
    hem_centre, hem_side = at(centre, shape.length), at(-shape.flare, shape.length - shape.hem_dip)
    armhole = Curve(np.array([[0j, at(shape.across * shape.scoop, 0), tip + at(-0.02, 0.5) * shape.armhole, tip]]))
    low = neck_point + at(0.1 * shape.neck, 0.5 * shape.neck_depth)
    neckline = Curve(np.array([[neck_point, low, neck_centre - at(shape.neck * 0.55, 0), neck_centre]]))
    edges = (
        Edge("armhole", armhole),
        Edge("shoulder", Curve.polyline([tip, neck_point])),
        Edge("neckline", neckline),
        Edge("fold" if shape.fold else "centre", Curve.polyline([neck_centre, hem_centre]), fold=shape.fold),
        Edge("hem", Curve.polyline([hem_centre, hem_side])),
        Edge("side seam", Curve.polyline([hem_side, 0j]), backwards=True),
    )
    marks = [Mark("grain line", (Curve.polyline([at(0.6 * centre, -50.0), at(0.6 * centre, 0.8 * shape.length)]),))]
    kind = "fold line" if shape.fold else "centre line"
    line = Curve.polyline([neck_centre + at(0, 10), hem_centre - at(0, 10)])
    marks.append(Mark(kind, (line,)))
    for t in (0.45,) if shape.kind == "front" else (0.45, 0.55):
        point, way = armhole.point(t), armhole.tangent(t)
        tick = Curve.polyline([point, point + 6 * sign * -1j * way])
        marks.append(Mark("notch", (tick,), "armhole", point))
    points = (0j, tip, neck_point, neck_centre, hem_centre, hem_side)
    landmarks = tuple(Landmark(name, point) for name, point in zip(CORNERS, points, strict=True))
    name = shape.kind.capitalize()
    return Piece("page.svg", name, shape.kind, edges, Affine(), marks=tuple(marks), landmarks=landmarks)


bodices = st.builds(
    Bodice,
    kind=st.sampled_from(["front", "back"]),
    across=st.floats(35, 75),
    shoulder=st.floats(85, 135),
    drop=st.floats(25, 55),
    neck=st.floats(60, 85),
    neck_depth=st.floats(20, 120),
    armhole=st.floats(170, 240),
    scoop=st.floats(0.7, 1.1),
    length=st.floats(150, 500),
    flare=st.floats(-15, 25),
    fold=st.booleans(),
    hem_dip=st.floats(0, 15),
)
