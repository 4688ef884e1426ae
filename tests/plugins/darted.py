"""Fronts with darts, of known figures: drawn here, no data from anywhere. Piece frame, mm, y down."""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace

import svgfit
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.testing import Garment, garment
from tests.fitting.garments import scooped, svg_of

BUST = 150 + 90j


def with_bust_point(piece: Piece, at: complex = BUST) -> Piece:
    return replace(piece, landmarks=(*piece.landmarks, Landmark("bust point", at)))


def darted(piece: Piece, at: float = 0.3, size: float = 30.0, depth: float = 110.0) -> Piece:
    """A front with a dart let into its straight side seam, whose length as sewn stays: the hem's side end swings out.

    The bust point lies 20 mm beyond the dart's tip.
    """
    edge, hem = piece.edge("side seam"), piece.edge("hem")
    assert edge.backwards
    curve = edge.curve
    t = curve.at_length((1 - at) * curve.length())
    mouth, way = curve.point(t), curve.tangent(t)
    inwards = 1j * way * (1 if piece.outline().area() > 0 else -1)
    apex = mouth + depth * inwards
    turn = Affine.turn(math.copysign(2 * math.asin(size / 2 / depth), (inwards.conjugate() * way).imag), apex)
    low, high = curve.split(t)
    low = low.transform(turn)
    new = {
        "side seam": Curve.chain([low, Curve.polyline([low.end, apex, mouth]), high]),
        "hem": Curve.polyline([hem.curve.start, low.start]),
    }
    edges = tuple(replace(one, curve=new.get(one.name, one.curve)) for one in piece.edges)
    marks = tuple(replace(one, at=low.start) if one.name == "hem side" else one for one in piece.landmarks)
    dart = Dart("side seam", low.end, apex, mouth)
    made = replace(piece, edges=edges, landmarks=marks, darts=(*piece.darts, dart))
    middle = (dart.start + dart.end) / 2
    return with_bust_point(made, apex + (apex - middle) / abs(apex - middle) * 20)


def darted_garment() -> Garment:
    """The plain garment, its front with a dart in the side seam."""
    whole = garment()
    return whole.with_piece(darted(whole.piece("Front")))


def folded_front(dart: bool = True) -> Piece:
    """A front on the fold; its armhole of two cubics."""
    front = scooped("front")
    front = replace(front, edges=tuple(replace(one, allowance=0.0 if one.fold else 15.0) for one in front.edges))
    return darted(front) if dart else with_bust_point(front)


def drawn_inside() -> Piece:
    """A block whose dart is drawn on it as a V: its side seam passes straight over the mouth."""
    start, end, apex = 0 + 105j, 0 + 135j, 120 + 120j
    edges = (
        Edge("side seam", Curve.polyline([0j, 400j]), 15.0),
        Edge("hem", Curve.polyline([400j, 240 + 400j]), 15.0),
        Edge("centre", Curve.polyline([240 + 400j, 240 - 60j]), 0.0, fold=True),
        Edge("neckline", Curve.polyline([240 - 60j, 160 - 120j]), 15.0),
        Edge("shoulder", Curve.polyline([160 - 120j, 60 - 100j]), 15.0),
        Edge("armhole", Curve.polyline([60 - 100j, 0j]), 15.0),
    )
    legs = Mark("detail", (Curve.polyline([start, apex, end]),))
    grain = Mark("grain line", (Curve.polyline([200j + 180, 180 + 0j]),))
    dart = Dart("side seam", start, apex, end)
    return Piece("front.svg", "Front", "front", edges, Affine(), marks=(legs, grain), darts=(dart,))


def opened(piece: Piece, folder, motion: Affine) -> svgfit.Session:
    """The piece as a drawing, moved on the page, opened again."""
    path = folder / "front.svg"
    path.write_text(svg_of((piece,), (motion,)), encoding="utf-8")
    return svgfit.open_drawings(path)


def places(curve: Curve, count: int = 60) -> np.ndarray:
    return curve.points(np.linspace(0, len(curve), count))
