"""Measurements of pieces against what their drawing says, and against dense polylines."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.measure import (
    bicep_level,
    bicep_width,
    cap_ease,
    cap_halves,
    cap_height,
    measure_all,
    measure_piece,
    shoulder_point,
)
from svgfit.fitting.sewn import seam_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import Measurer
from svgfit.model.report import Measurement

from .sleeves import Shape, shapes, sleeve, straight_cap

SLEEVE_NAMES = [
    "outline length",
    "outline width",
    "outline height",
    "cap height",
    "cap height at shoulder notch",
    "cap length",
    "cap length front",
    "cap length back",
    "bicep width",
    "underarm seam front",
    "underarm seam back",
    "underarm corner",
]


def values(piece: Piece) -> dict[str, float]:
    return {one.name: one.value for one in measure_piece(piece)}


def dense(curve: Curve) -> float:
    return float(np.abs(np.diff(curve.points(np.linspace(0, len(curve), 4000 * len(curve) + 1)))).sum())


@given(shapes)
@settings(max_examples=40, deadline=None)
def test_a_sleeve_measures_what_it_was_drawn_with(shape: Shape) -> None:
    piece = sleeve(shape)
    found = values(piece)
    assert list(found) == SLEEVE_NAMES
    cap = piece.edge("cap").curve
    assert found["cap height"] == pytest.approx(shape.height, abs=1e-9)
    assert found["cap height at shoulder notch"] == pytest.approx(shape.height, abs=1e-9)
    assert found["bicep width"] == pytest.approx(shape.front + shape.back, abs=1e-9)
    assert found["cap length"] == pytest.approx(dense(cap), abs=1e-4)
    assert found["cap length front"] == pytest.approx(dense(cap.subcurve(0, 2)), abs=1e-4)
    assert found["cap length back"] == pytest.approx(dense(cap.subcurve(2, 4)), abs=1e-4)
    assert found["cap length front"] + found["cap length back"] == pytest.approx(found["cap length"], abs=1e-6)
    for side, half in (("front", shape.front), ("back", shape.back)):
        assert found[f"underarm seam {side}"] == pytest.approx(math.hypot(half * (1 - shape.wrist), shape.length))
    assert found["outline length"] == pytest.approx(dense(piece.outline()), abs=1e-3)
    assert found["outline height"] == pytest.approx(shape.height + shape.length, abs=1e-9)


@given(shapes)
@settings(max_examples=40, deadline=None)
def test_the_underarm_corner_by_trigonometry(shape: Shape) -> None:
    """The cap of these sleeves ends level, so each angle is a right one less the seam's slant."""
    slants = [math.atan2(half * (1 - shape.wrist), shape.length) for half in (shape.front, shape.back)]
    assert values(sleeve(shape))["underarm corner"] == pytest.approx(180 - math.degrees(sum(slants)), abs=1e-6)


def test_a_straight_cap_in_inches() -> None:
    """Half width 7 in, height 6 in: two hypotenuses, and a corner of two known angles."""
    inch = 25.4
    piece = sleeve(
        Shape(front=7 * inch, back=7 * inch, height=6 * inch), straight_cap(7 * inch, 6 * inch), notches=False
    )
    found = values(piece)
    assert found["cap length"] == pytest.approx(2 * math.hypot(7, 6) * inch)
    assert found["cap length front"] == pytest.approx(found["cap length back"])
    assert found["cap height"] == pytest.approx(6 * inch)
    slant = math.degrees(math.atan2(7 * inch * 0.38, 430))
    assert found["underarm corner"] == pytest.approx(2 * (90 - slant + math.degrees(math.atan2(6, 7))), abs=1e-6)


def test_uneven_underarm_points_take_the_middle() -> None:
    piece = sleeve(Shape(), notches=False)
    cap = piece.edge("cap").curve
    lifted = cap.transform(Affine(1, 0.02, 0, 1, 0, 0))  # y' = y + 0.02 x: the front lies lower
    edges = (Edge("cap", lifted), *piece.edges[1:])
    marks = [
        Landmark("underarm front", lifted.start),
        Landmark("underarm back", lifted.end),
        Landmark("cap top", lifted.point(2)),
    ]
    moved = replace(piece, edges=edges, landmarks=tuple(marks))
    assert bicep_level(moved) == pytest.approx((178 - 170) * 0.02 / 2)
    assert bicep_width(moved) == pytest.approx(348)
    assert cap_height(moved) == pytest.approx(bicep_level(moved) - lifted.bounds()[1])


@given(shapes, st.floats(0.1, 0.9))
@settings(max_examples=30, deadline=None)
def test_the_shoulder_notch_parts_the_cap(shape: Shape, share: float) -> None:
    piece = sleeve(replace(shape, shoulder=False))
    assert shoulder_point(piece) == piece.landmark("cap top")
    cap = piece.edge("cap").curve
    at = cap.at_length(share * cap.length())
    notched = replace(piece, landmarks=(*piece.landmarks, Landmark("shoulder notch", cap.point(at))))
    front, back = cap_halves(notched)
    assert front.length() == pytest.approx(share * cap.length(), abs=1e-5)
    assert (front.start, back.start) == (cap.start, cap.end)
    assert values(notched)["cap height at shoulder notch"] == pytest.approx(-cap.point(at).imag, abs=1e-6)


def armhole_piece(kind: str, length: float) -> Piece:
    edges = (
        Edge("armhole", Curve.polyline([0j, -1j * length])),
        Edge("shoulder", Curve.polyline([-1j * length, 100 - 1j * length])),
        Edge("neckline", Curve.polyline([100 - 1j * length, 200 - 1j * length + 50j])),
        Edge("centre", Curve.polyline([200 - 1j * length + 50j, 200 + 300j])),
        Edge("hem", Curve.polyline([200 + 300j, 300j])),
        Edge("side seam", Curve.polyline([300j, 0j]), backwards=True),
    )
    return Piece("page.svg", kind.capitalize(), kind, edges, Affine())


def test_ease_is_cap_less_armholes() -> None:
    piece = sleeve(Shape())
    front, back = armhole_piece("front", 230.0), armhole_piece("back", 225.0)
    seam = Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole")))
    pieces = (piece, front, back)
    found = {one.name: one.value for one in cap_ease(piece, pieces, [seam])}
    own = values(piece)
    assert found["cap ease"] == pytest.approx(own["cap length"] - 455, abs=1e-6)
    assert found["cap ease front"] == pytest.approx(own["cap length front"] - 230, abs=1e-6)
    assert found["cap ease back"] == pytest.approx(own["cap length back"] - 225, abs=1e-6)
    turned = Seam(seam.b[::-1], seam.a)
    assert cap_ease(piece, pieces, [turned]) == cap_ease(piece, pieces, [seam])
    assert cap_ease(piece, (piece, front), [seam]) == []
    assert cap_ease(front, pieces, [seam]) == []
    everything = measure_all(pieces, [seam])
    assert [one.name for one in everything["Sleeve"]] == [*SLEEVE_NAMES, "cap ease", "cap ease front", "cap ease back"]
    assert [one.name for one in everything["Front"]][3:] == ["armhole length", "side seam", "shoulder"]
    assert {one.name: one.value for one in everything["Front"]}["side seam"] == pytest.approx(300)


def test_a_yoke_in_the_armhole_is_parted_where_the_shoulder_notch_meets_it() -> None:
    piece, front, back = sleeve(Shape()), armhole_piece("front", 210.0), armhole_piece("back", 205.0)
    points = [0j, -40j, 90 - 40j, 90 + 0j]
    names = ("armhole", "back seam", "neckline", "front seam")
    lines = [Curve.polyline([a, b]) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    edges = tuple(Edge(name, line) for name, line in zip(names, lines, strict=True))
    yoke = Piece("page.svg", "Yoke", "yoke", edges, Affine(), marks=(Mark("notch", (lines[0],), "armhole", -12j),))
    seam = Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole")))
    found = {one.name: one.value for one in cap_ease(piece, (piece, front, back, yoke), [seam])}
    own = values(piece)
    assert found["cap ease"] == pytest.approx(own["cap length"] - 455, abs=1e-6)
    assert found["cap ease front"] == pytest.approx(own["cap length front"] - 222, abs=1e-6)
    assert found["cap ease back"] == pytest.approx(own["cap length back"] - 233, abs=1e-6)


def test_darts_are_closed_before_anything_is_measured() -> None:
    """A bodice with a dart 10 mm wide in armhole, shoulder and side seam each, and a cap with one 8 mm wide."""
    pieces = [sleeve(Shape()), armhole_piece("front", 230.0), armhole_piece("back", 225.0)]
    plain = measure_all(pieces, ARMHOLE)
    darted: list[Piece] = []
    for one in pieces:
        darts = [
            dart_inside(one, name, 8.0 if name == "cap" else 10.0)
            for name in ("cap", "armhole", "shoulder", "side seam")
            if one.has_edge(name) and one.kind != "back"
        ]
        darted.append(replace(one, darts=tuple(darts)))
    found = measure_all(darted, ARMHOLE)
    for title, name, less in (
        ("Sleeve", "cap length", 8.0),
        ("Sleeve", "cap length back", 8.0),
        ("Sleeve", "cap length front", 0.0),
        ("Sleeve", "cap ease", -2.0),
        ("Sleeve", "cap ease front", -10.0),
        ("Sleeve", "cap ease back", 8.0),
        ("Front", "armhole length", 10.0),
        ("Front", "shoulder", 10.0),
        ("Front", "side seam", 10.0),
        ("Back", "armhole length", 0.0),
    ):
        old, new = ({one.name: one.value for one in rows[title]}[name] for rows in (plain, found))
        assert old - new == pytest.approx(less, abs=1e-5), name
    both = [("Front", "side seam"), ("Back", "side seam")]
    assert seam_length(darted, both) == pytest.approx(590, abs=1e-9)


ARMHOLE = [Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole")))]


def dart_inside(piece: Piece, name: str, size: float) -> Dart:
    """Drawn inside the piece three quarters along an edge from its front or underarm end, ``size`` along it wide."""
    curve = piece.edge(name).from_front()
    first, last = curve.at_lengths([0.75 * curve.length() + step for step in (-size / 2, size / 2)])
    return Dart(name, curve.point(first), curve.point(first) + 30 + 30j, curve.point(last))


def test_plug_ins_add_their_own_for_their_kinds() -> None:
    wrist = Measurer("wrist", ("sleeve",), lambda piece: [Measurement("wrist", piece.edge("hem").curve.length())])
    found = measure_all((sleeve(Shape()), armhole_piece("front", 230.0)), (), [wrist])
    assert found["Sleeve"][-1].value == pytest.approx((178 + 170) * 0.62)
    assert "wrist" not in [one.name for one in found["Front"]]
