"""Sleeves and the armholes they are sewn into, of known lengths: drawn here, no data from anywhere. Frame: pieces'."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.walk import Walk, Zone

INCH = 25.4
SEAMS = (
    Seam((("Sleeve", "underarm front"),), (("Sleeve", "underarm back"),)),
    Seam((("Front", "side seam"),), (("Back", "side seam"),)),
    Seam((("Front", "shoulder"),), (("Back", "shoulder"),)),
    Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole"))),
)
CORNERS = ("underarm", "shoulder tip", "neck point", "neck centre", "hem centre", "hem side")


def notched(piece: Piece, edge: str, *distances: float, kind: str = "notch") -> Piece:
    """The piece with notches so many mm from the edge's front or underarm end."""
    curve = piece.edge(edge).from_front()
    marks: list[Mark] = []
    for at in distances:
        t = curve.at_length(at)
        point, way = curve.point(t), curve.tangent(t)
        marks.append(Mark(kind, (Curve.polyline([point - 3j * way, point + 3j * way]),), edge, point))
    landmarks = piece.landmarks
    if kind == "shoulder notch":
        landmarks = (*(one for one in landmarks if one.name != kind), Landmark(kind, marks[-1].at or 0j))
    return replace(piece, marks=(*piece.marks, *marks), landmarks=landmarks)


def straight_sleeve(front: float, back: float, height: float = 100.0) -> Piece:
    """A cap of two straight lines of given lengths."""
    return sleeve_of(
        Curve.polyline([math.sqrt(front**2 - height**2) + 0j, -1j * height, -math.sqrt(back**2 - height**2) + 0j])
    )


def sleeve_of(cap: Curve, top: complex | None = None) -> Piece:
    """A sleeve under a cap that runs from the front underarm point to the back one."""
    front, back = cap.start, cap.end
    hem_back, hem_front = back + 20 + 400j, front - 20 + 400j
    edges = (
        Edge("cap", cap),
        Edge("underarm back", Curve.polyline([back, hem_back])),
        Edge("hem", Curve.polyline([hem_back, hem_front])),
        Edge("underarm front", Curve.polyline([hem_front, front]), backwards=True),
    )
    names = {"underarm front": front, "underarm back": back, "cap top": cap.point(len(cap) / 2) if top is None else top}
    landmarks = tuple(Landmark(name, at) for name, at in names.items())
    grain = Mark("grain line", (Curve.polyline([20 - 40j, 20 + 250j]),))
    return Piece("page.svg", "Sleeve", "sleeve", edges, Affine(), marks=(grain,), landmarks=landmarks)


def bodice_of(kind: str, armhole: Curve, *, side: float = 300.0, centre: float = 260.0, drop: float = 40.0) -> Piece:
    """A front (centre towards +x) or back under an armhole that runs from its underarm point 0 to the shoulder tip."""
    sign = 1 if kind == "front" else -1
    tip = armhole.end
    neck = tip + sign * 110 - 1j * drop
    at = complex(sign * centre, neck.imag + (80 if kind == "front" else 25))
    bend = Curve(np.array([[neck, neck + 30j, complex(neck.real, at.imag), at]]))
    hem_centre, hem_side = complex(sign * centre, side), 1j * side
    edges = (
        Edge("armhole", armhole),
        Edge("shoulder", Curve.polyline([tip, neck])),
        Edge("neckline", bend),
        Edge("fold", Curve.polyline([at, hem_centre]), 0.0, fold=True),
        Edge("hem", Curve.polyline([hem_centre, hem_side])),
        Edge("side seam", Curve.polyline([hem_side, 0j]), backwards=True),
    )
    middle = sign * 0.7 * centre
    marks = (
        Mark("grain line", (Curve.polyline([complex(middle, 0.0), complex(middle, 0.7 * side)]),)),
        Mark("fold line", (Curve.polyline([at + 10j, hem_centre - 10j]),)),
    )
    points = (0j, tip, neck, at, hem_centre, hem_side)
    landmarks = tuple(Landmark(name, point) for name, point in zip(CORNERS, points, strict=True))
    return Piece("page.svg", kind.capitalize(), kind, edges, Affine(), marks=marks, landmarks=landmarks)


def straight_bodice(kind: str, length: float, **more: float) -> Piece:
    """An armhole that runs straight up."""
    return bodice_of(kind, Curve.polyline([0j, -1j * length]), **more)


def scooped(kind: str, across: float = 45.0, height: float = 200.0, *, straight: float = 110.0) -> Piece:
    """An armhole that starts level at the underarm point and runs straight up at the end."""
    sign = 1 if kind == "front" else -1
    low = height - straight
    corner = complex(sign * across, -low)
    lower = np.array([0j, sign * across * 0.6, corner + 0.6j * low, corner])
    return bodice_of(kind, Curve.chain([Curve(lower[None, :]), Curve.polyline([corner, corner - 1j * straight])]))


_YOKE = ("armhole", "back seam", "neckline", "front seam")


def yoke(length: float, *, over: bool = False, backwards: bool = False) -> Piece:
    """Between front and back: ``length`` of armhole, drawn the other side up (``over``) or from its back end."""

    corners = [0j, -1j * length, 100 - 1j * length, 100 + 0j]
    if over:
        corners = [-corner.conjugate() for corner in corners]
    names = ("armhole", "front seam", "neckline", "back seam") if backwards else _YOKE
    pairs = zip(names, corners, [*corners[1:], corners[0]], strict=True)
    ring = [Edge(name, Curve.polyline([a, b])) for name, a, b in pairs]
    return Piece("page.svg", "Yoke", "other", tuple(ring), Affine())


def zones(walk: Walk) -> dict[str, Zone]:
    return {zone.zone: zone for zone in walk.zones}


def verdicts(walk: Walk) -> dict[str, str]:
    return {check.name: check.status for check in walk.verdicts}


# -- as a drawing ----------------------------------------------------------------------------------------------------


def path_of(curve: Curve) -> str:
    """As SVG path data, to the last digit."""
    words = [f"M{curve.start.real!r} {curve.start.imag!r}"]
    for segment in curve.segments.tolist():
        words.append("C" + " ".join(f"{p.real!r} {p.imag!r}" for p in segment[1:]))
    return " ".join(words)


def layer(name: str, curves: Sequence[Curve]) -> str:
    paths = "".join(f'<path d="{path_of(curve)}" fill="none" stroke="black"/>' for curve in curves)
    return f'<g id="{name.replace(" ", "-")}" inkscape:groupmode="layer" inkscape:label="{name}">{paths}</g>'


def svg_of(pieces: Sequence[Piece], motions: Sequence[Affine], cut: Sequence[Curve | None] = ()) -> str:
    """A page in mm with the pieces, each moved from its frame by its motion, and their cut lines where given."""
    layers: list[str] = []
    for k, (piece, motion) in enumerate(zip(pieces, motions, strict=True)):
        kinds = {"notches": ("notch", "shoulder notch"), "grain line": ("grain line",), "fold line": ("fold line",)}
        size = f" size {piece.size}" if piece.size else ""
        layers.append(layer(f"{piece.name} stitch line{size}", [piece.outline().transform(motion)]))
        for name, wanted in kinds.items():
            curves = [curve.transform(motion) for mark in piece.marks if mark.kind in wanted for curve in mark.curves]
            layers += [layer(f"{piece.name} {name}{size}", curves)] if curves else []
        if cut and cut[k] is not None:
            layers.append(layer(f"{piece.name} cut line{size}", [cut[k].transform(motion)]))
    space = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    return f'<svg {space} width="2000mm" height="2000mm" viewBox="0 0 2000 2000">{"".join(layers)}</svg>'
