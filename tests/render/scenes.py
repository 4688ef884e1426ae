"""Made-up scenes: a sleeve whose cap was raised by 8 mm, and a bodice front. Nothing here comes from the engine."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Canvas, Text
from svgfit.model.length import Units
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.report import AlsoRow, Annotation, Check, MeasurementRow, Opening, OpeningRow, PieceRow, StepRow
from svgfit.model.vocabulary import Unit
from svgfit.render.annotate.scene import Scene

FRONT, BACK, HIGH, LONG = 178.0, 170.0, 140.0, 430.0
RAISE = 8.0


def cubic(*points: complex) -> Curve:
    return Curve(np.array([points], dtype=np.complex128))


def canvas(width: float = 594.0, height: float = 841.0, to_root: Affine | None = None) -> Canvas:
    return Canvas("sleeve.svg", 1.0, "width and height in mm", to_root or Affine(), width, height)


def cap(high: float) -> tuple[Curve, ...]:
    """From the back underarm point over the top to the front one: lower back, upper back, upper front, lower front."""
    lift = high - HIGH
    knee_b, knee_f = complex(-104, -72), complex(108, -66)
    top = complex(4, -high)
    return (
        cubic(-BACK + 0j, complex(-140, -8), complex(-120, -38), knee_b),
        cubic(knee_b, complex(-82, -118 - lift), complex(-46, -high), top),
        cubic(top, complex(52, -high), complex(84, -112 - lift), knee_f),
        cubic(knee_f, complex(128, -30), complex(146, -6), FRONT + 0j),
    )


def sleeve(high: float = HIGH, placement: Affine | None = None, scale: float = 1.0, *, marks: bool = True) -> Piece:
    hem_f, hem_b = complex(125, LONG), complex(-117, LONG)
    over = Curve.chain(cap(high))
    edges = (
        Edge("cap", over, 15.875, backwards=True),
        Edge("underarm front", Curve.polyline([FRONT + 0j, hem_f]), 15.875),
        Edge("hem", Curve.polyline([hem_f, hem_b]), 25.4),
        Edge("underarm back", Curve.polyline([hem_b, -BACK + 0j]), 15.875, backwards=True),
    )
    drawn = [
        _notch(over, 0.80, "notch"),
        _notch(over, 0.92, "notch"),
        _notch(over, 3.15, "notch"),
        _notch(over, 2.1, "shoulder notch"),
        Mark("grain line", (Curve.polyline([complex(-30, 60), complex(-30, 330)]),)),
        Mark("text", text=Text("Sleeve - cut 2", complex(20, 200), 1 + 0j, 9.0)),
        Mark("detail", (Curve.polyline([complex(-60, 430), complex(-60, 340)]),), name="slit"),
    ]
    points = {
        "underarm front": FRONT + 0j,
        "underarm back": -BACK + 0j,
        "cap top": complex(4, -high),
        "hem front": hem_f,
        "hem back": hem_b,
    }
    piece = Piece(
        "sleeve.svg",
        "Sleeve",
        "sleeve",
        edges,
        placement or Affine.shift(250 + 210j),
        marks=tuple(drawn) if marks else (),
        landmarks=tuple(Landmark(name, at, guessed=name == "cap top") for name, at in points.items()),
        drawn=("stitch", "cut"),
    )
    return scaled(piece, scale)


def _notch(edge: Curve, t: float, kind: str) -> Mark:
    at = edge.point(t)
    return Mark(kind, (Curve.polyline([at, at - 1j * edge.tangent(t) * 15.875]),), "cap", at)


def scaled(piece: Piece, factor: float) -> Piece:
    if factor == 1.0:
        return piece
    to = Affine.scale(factor)

    def mark(old: Mark) -> Mark:
        text = old.text and Text(
            old.text.content, old.text.at * factor, old.text.direction, old.text.size * factor, old.text.anchor
        )
        at = None if old.at is None else old.at * factor
        return replace(old, curves=tuple(c.transform(to) for c in old.curves), at=at, text=text)

    return replace(
        piece,
        edges=tuple(
            replace(e, curve=e.curve.transform(to), allowance=(e.allowance or 0) * factor) for e in piece.edges
        ),
        marks=tuple(mark(old) for old in piece.marks),
        landmarks=tuple(replace(point, at=point.at * factor) for point in piece.landmarks),
    )


def offset(piece: Piece) -> Curve:
    """A polyline well outside the stitch line: enough of a cut line to look at."""
    around: list[complex] = []
    for edge in piece.edges:
        t = np.linspace(0, len(edge.curve), 12 * len(edge.curve) + 1)
        out = edge.curve.points(t) - 1j * edge.curve.tangents(t) * (edge.allowance or 0.0)
        around.extend(out.tolist())
    return Curve.polyline([*around, around[0]])


def bodice_front(placement: Affine) -> Piece:
    """Frame: underarm point at the origin, centre towards +x; cut on fold at the centre."""
    tip, neck = complex(95, -235), complex(205, -270)
    edges = (
        Edge("armhole", cubic(0j, complex(60, -8), complex(66, -120), tip), 15.875),
        Edge("shoulder", Curve.polyline([tip, neck]), 15.875),
        Edge("neckline", cubic(neck, complex(210, -215), complex(232, -185), complex(275, -182)), 12.7),
        Edge("centre", Curve.polyline([complex(275, -182), complex(275, 400)]), 0.0, fold=True),
        Edge("hem", Curve.polyline([complex(275, 400), complex(10, 390)]), 25.4),
        Edge("side seam", Curve.polyline([complex(10, 390), 0j]), 15.875),
    )
    marks = (Mark("grain line", (Curve.polyline([complex(180, -80), complex(180, 260)]),)),)
    landmarks = (Landmark("underarm", 0j), Landmark("shoulder tip", tip))
    return Piece("sleeve.svg", "Front", "front", edges, placement, marks=marks, landmarks=landmarks)


def sleeve_row(before: Piece, after: Piece) -> PieceRow:
    def figures(piece: Piece) -> dict[str, float]:
        top = piece.landmark("cap top")
        back, front = piece.edge("cap").curve.split(2.0)
        box = piece.outline().bounds()
        return {
            "outline width": box[2] - box[0],
            "cap height": -top.imag,
            "cap length": piece.edge("cap").curve.length(),
            "cap length front": front.length(),
            "cap length back": back.length(),
            "bicep width": abs(piece.landmark("underarm front") - piece.landmark("underarm back")),
            "underarm seam front": piece.edge("underarm front").curve.length(),
            "underarm seam back": piece.edge("underarm back").curve.length(),
            "cap ease": piece.edge("cap").curve.length() - 445.0,
        }

    old, new = figures(before), figures(after)
    rows = [MeasurementRow(name, "mm", old[name], new[name]) for name in old]
    rows.append(MeasurementRow("underarm corner", "deg", 163.25, 163.25))
    return PieceRow(after.file, after.name, after.kind, after.size, tuple(rows))


def front_row(piece: Piece) -> PieceRow:
    names = {"armhole": "armhole length", "side seam": "side seam", "shoulder": "shoulder"}
    rows = []
    for edge, name in names.items():
        long = piece.edge(edge).curve.length()
        rows.append(MeasurementRow(name, "mm", long, long))
    return PieceRow(piece.file, piece.name, piece.kind, piece.size, tuple(rows))


def raised(scale: float = 1.0) -> tuple[tuple[Opening, ...], tuple[Annotation, ...]]:
    """What a level slash through the cap would have left behind."""
    old = Curve.chain(cap(HIGH)).transform(Affine.scale(scale))
    new = Curve.chain(cap(HIGH + RAISE)).transform(Affine.scale(scale))
    k = scale
    left, right = old.point(1.15), old.point(2.85)
    level = Curve.polyline([left, right])
    up = -1j * RAISE * k
    openings = (
        Opening(
            piece="Sleeve",
            edge="cap",
            at=120.0 * k,
            first=right,
            second=right + up,
            width=RAISE * k,
            gain=2.4 * k,
            trued=new.subcurve(2.4, 2.98),
        ),
        Opening(
            piece="Sleeve",
            edge="cap",
            at=330.0 * k,
            first=left,
            second=left + up,
            width=RAISE * k,
            gain=2.9 * k,
            trued=new.subcurve(1.02, 1.6),
        ),
    )
    middle = (left + right) / 2 - 40 * k
    notes = (
        Annotation("slash", "Sleeve", level, label="slash"),
        Annotation("arrow", "Sleeve", Curve.polyline([middle, middle + up]), label="raised", length=RAISE * k),
        Annotation("old edge", "Sleeve", old.subcurve(1.02, 1.6)),
        Annotation("old edge", "Sleeve", old.subcurve(2.4, 2.98)),
        Annotation("cut end", "Sleeve", Curve.polyline([left, left + up])),
        Annotation("cut end", "Sleeve", Curve.polyline([right, right + up])),
        Annotation("hinge", "Sleeve", point=complex(FRONT, 0) * k),
    )
    return openings, notes


STEP = StepRow(
    "cap-raise",
    "Sleeve",
    {"amount": "5/16 in"},
    {"cap height": 148.0},
    (OpeningRow("cap", 120.0, 8.0, 2.4), OpeningRow("cap", 330.0, 8.0, 2.9)),
    (
        AlsoRow(
            "Sleeve lining",
            "Sleeve lining/cap",
            "Sleeve/cap",
            -5.3,
            "also change Sleeve lining: its cap was as long as Sleeve's and is now 3/16 in shorter",
        ),
    ),
)
CHECKS = (
    Check(
        "cap against armhole",
        "warn",
        "cap 457.2 mm, armhole 445.0 mm: 12.2 mm of ease, more than asked",
        {"ease": 12.2},
    ),
    Check("underarm seams", "pass", "front and back are equally long", {"difference": 0.0}),
)


def sleeve_scene(
    placement: Affine | None = None, scale: float = 1.0, unit: str = "in", sheet: Canvas | None = None
) -> Scene:
    before, after = sleeve(HIGH, placement, scale), sleeve(HIGH + RAISE, placement, scale)
    openings, notes = raised(scale)
    cut_before, cut_after = offset(before), offset(after)
    occupied = [c.transform(before.placement) for c in (before.outline(), cut_before)]
    occupied += [c.transform(before.placement) for mark in before.marks for c in mark.curves]
    return Scene(
        sheet or canvas(),
        (before,),
        (after,),
        (cut_after,),
        rows=(sleeve_row(before, after),),
        openings=openings,
        annotations=notes,
        checks=CHECKS,
        steps=(STEP,),
        units=Units(Unit(unit)),
        occupied=tuple(occupied),
    )


def smock_scene() -> Scene:
    """Sleeve and front on one sheet."""
    one = sleeve_scene(Affine.shift(250 + 210j), sheet=canvas(1000, 841))
    front = bodice_front(Affine.shift(520 + 330j))
    cut = offset(front)
    lines = [front.outline(), cut, *(c for mark in front.marks for c in mark.curves)]
    return replace(
        one,
        before=(*one.before, front),
        after=(*one.after, front),
        cut_after=(*one.cut_after, cut),
        rows=(*one.rows, front_row(front)),
        occupied=(*one.occupied, *(line.transform(front.placement) for line in lines)),
    )


def turned(degrees: float, *, mirror: bool = False, at: complex = 300 + 330j) -> Affine:
    spin = Affine.turn(math.radians(degrees))
    return (Affine.scale(-1, 1).then(spin) if mirror else spin).then(Affine.shift(at))


SCENES: dict[str, Callable[[], Scene]] = {
    "sleeve": sleeve_scene,
    "half": lambda: sleeve_scene(Affine.shift(110 + 100j), 0.5, "mm", canvas(297, 420)),
    "small page": lambda: sleeve_scene(Affine.shift(210 + 170j), sheet=canvas(420, 640)),
    "upside down": lambda: sleeve_scene(turned(180, at=300 + 640j)),
    "mirrored": lambda: sleeve_scene(turned(0, mirror=True, at=280 + 210j)),
    "turned": lambda: sleeve_scene(turned(-62, mirror=True, at=190 + 330j), unit="cm", sheet=canvas(841, 841)),
    "smock": smock_scene,
}
