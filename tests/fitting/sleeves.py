"""Sleeves of many shapes for the engine's tests: drawn here, no data from anywhere. Piece frame, mm."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Landmark, Mark, Piece


class Shape(Struct, frozen=True):
    front: float = 178.0
    back: float = 170.0
    height: float = 140.0
    scoop: float = 0.55
    crown: float = 0.6
    unlike: float = 1.0
    length: float = 430.0
    wrist: float = 0.62
    notch: float = 0.38
    shoulder: bool = True


def cap_curve(shape: Shape) -> Curve:
    """From the front underarm point over the top to the back, S-shaped on both sides."""
    front, top, back = shape.front + 0j, -1j * shape.height, -shape.back + 0j
    f = Curve(np.array([[front, front - shape.front * shape.scoop, top + shape.front * shape.crown, top]]))
    rear = shape.scoop * shape.unlike
    b = Curve(np.array([[top, top - shape.back * shape.crown, back + shape.back * rear, back]]))
    return Curve.chain([f.subcurve(0, 0.45), f.subcurve(0.45, 1), b.subcurve(0, 0.6), b.subcurve(0.6, 1)])


def straight_cap(half: float, height: float) -> Curve:
    return Curve.polyline([half + 0j, -1j * height, -half + 0j])


def notch_mark(cap: Curve, t: float, kind: str = "notch") -> Mark:
    point, way = cap.point(t), cap.tangent(t)
    return Mark(kind, (Curve.polyline([point, point + 6j * way]),), "cap", point)


def sleeve(shape: Shape, cap: Curve | None = None, *, notches: bool = True) -> Piece:
    cap = cap_curve(shape) if cap is None else cap
    front, back = cap.start, cap.end
    hem_back = complex(-shape.back * shape.wrist, shape.length)
    hem_front = complex(shape.front * shape.wrist, shape.length)
    marks = [Mark("grain line", (Curve.polyline([-0.7j * shape.height, 0.8j * shape.length]),))]
    top = cap.point(len(cap) / 2)
    landmarks = [Landmark("underarm front", front), Landmark("underarm back", back), Landmark("cap top", top)]
    if notches:
        level = -1j * shape.height * shape.notch
        marks.append(notch_mark(cap, cap.crossings(level, level + 1000)[0]))
        for step in (0.0, 0.05):
            lower = level * (1 - step)
            marks.append(notch_mark(cap, cap.crossings(lower, lower - 1000)[0]))
        if shape.shoulder:
            at = cap.nearest(top)[0]
            marks.append(notch_mark(cap, at, "shoulder notch"))
            landmarks.append(Landmark("shoulder notch", top))
    edges = (
        Edge("cap", cap),
        Edge("underarm back", Curve.polyline([back, hem_back])),
        Edge("hem", Curve.polyline([hem_back, hem_front])),
        Edge("underarm front", Curve.polyline([hem_front, front]), backwards=True),
    )
    return Piece("sleeve.svg", "Sleeve", "sleeve", edges, Affine(), marks=tuple(marks), landmarks=tuple(landmarks))


shapes = st.builds(
    Shape,
    front=st.floats(120, 230),
    back=st.floats(120, 230),
    height=st.floats(80, 180),
    scoop=st.floats(0.35, 0.65),
    crown=st.floats(0.45, 0.7),
    unlike=st.floats(0.8, 1.1),
    length=st.floats(150, 500),
    wrist=st.floats(0.5, 0.9),
    notch=st.floats(0.25, 0.45),
    shoulder=st.booleans(),
)
