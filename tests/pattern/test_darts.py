"""Darts cut out of the outline or drawn inside the piece, found however the piece is drawn and turned."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.measure import measure_piece
from svgfit.fitting.sewn import sewn_length
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import spread
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.adjusted_attributes import attributes_of, format_attributes, parse_attributes
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.pattern.adjusted_layer import rebuild_piece
from svgfit.pattern.cut_line import cut_line
from svgfit.pattern.recognise.choose import drawn_outline, other_piece
from tests.fitting.sleeves import Shape, sleeve
from tests.plugins.stock import stock

from .bodices import CORNERS, Bodice, bodice, bodices
from .drawings import as_shape, draw, manners, motions

recognise_bodice = stock("recognisers/bodice").recognise
recognise_sleeve = stock("recognisers/sleeve").recognise

some = settings(max_examples=40, deadline=None)


def cut_in(piece: Piece, name: str, at: float, size: float, depth: float, unlike: float = 1.0) -> Piece:
    """The piece with a V cut out of an edge at a share of its length: ``size`` wide along it, ``depth`` deep.

    The edge's other end turns away about the apex, as when a dart is opened: its length as sewn stays what it was.
    """
    edge = piece.edge(name)
    curve = edge.curve
    t = curve.at_length(at * curve.length())
    mouth, way = curve.point(t), curve.tangent(t)
    inwards = 1j * way * (1 if piece.outline().area() > 0 else -1)
    apex = mouth + depth * inwards
    width = 2 * np.arcsin(size / 2 / depth)
    turn = Affine.turn(float(width) * (1 if piece.outline().area() > 0 else -1), apex)
    # Everything beyond the dart turns with it; only the outline's other corner closes the gap that this makes.
    first, second = curve.split(t)
    second = second.transform(turn)
    if unlike != 1.0:
        apex = mouth + (apex - mouth) * unlike
    opened = Curve.chain([first, Curve.polyline([first.end, apex, second.start]), second])
    index = piece.edges.index(edge)
    beyond = piece.edges[(index + 1) % len(piece.edges)]
    edges = [replace(one, curve=opened) if one is edge else one for one in piece.edges]
    edges[(index + 1) % len(edges)] = replace(beyond, curve=moved_start(beyond.curve, second.end))
    landmarks = [replace(one, at=second.end) if abs(one.at - curve.end) < 1e-9 else one for one in piece.landmarks]
    dart = Dart(name, first.end, apex, second.start)
    return replace(piece, edges=tuple(edges), landmarks=tuple(landmarks), darts=(*piece.darts, dart))


def moved_start(curve: Curve, start: complex) -> Curve:
    """The curve with its start elsewhere, bent evenly."""
    away = start - curve.start
    left = np.linspace(1, 0, 3 * len(curve) + 1)
    index = 3 * np.arange(len(curve))[:, None] + np.arange(4)[None, :]
    return Curve(curve.segments + away * left[index])


def bluntest(piece: Piece) -> float:
    """The least turn of the outline at a corner between two edges, radians."""
    curves = [edge.curve for edge in piece.edges]
    pairs = zip(curves, [*curves[1:], curves[0]], strict=True)
    return min(abs(np.angle(b.tangent(0.0) / a.tangent(float(len(a)), before=True))) for a, b in pairs)


def names(piece: Piece) -> list[str]:
    return [edge.name for edge in piece.edges]


@given(
    bodices,
    motions,
    manners,
    st.sampled_from(["armhole", "shoulder", "side seam"]),
    st.floats(0.35, 0.65),
    st.floats(5, 25),
    st.floats(45, 80),
    st.booleans(),
)
@some
def test_a_bodice_is_known_by_its_six_corners_despite_a_dart(
    shape: Bodice,
    motion: Affine,
    manner: object,
    edge: str,
    at: float,
    size: float,
    depth: float,
    marked: bool,
) -> None:
    plain = bodice(replace(shape, scoop=0.8, length=max(shape.length, 300.0)))
    piece = cut_in(plain, edge, at, size, depth)
    assume(marked or bluntest(piece) > 0.45)  # the dart may have turned two edges into line
    drawn = draw(piece, motion, manner, landmarks=CORNERS if marked else (), notches=False)  # type: ignore[arg-type]
    found = recognise_bodice(drawn)
    assert names(found) == names(piece)
    (dart,) = found.darts
    assert dart.edge == edge
    for one, other in ((dart.start, piece.darts[0].start), (dart.apex, piece.darts[0].apex)):
        assert abs(found.placement.apply(one) - motion.apply(other)) < 1e-6
    for name in names(piece):
        assert sewn_length(found, name) == pytest.approx(sewn_length(piece, name), abs=1e-6)
    assert sewn_length(found, edge) == pytest.approx(plain.edge(edge).curve.length(), abs=1e-5)
    assert found.outline().length() == pytest.approx(piece.outline().length(), abs=1e-6)
    measured = {one.name: one.value for one in measure_piece(found)}
    label = "armhole length" if edge == "armhole" else edge
    assert measured[label] == pytest.approx(plain.edge(edge).curve.length(), abs=1e-5)
    assert any(note.startswith(f"dart in the {edge}: ") for note in found.guessed)


def test_darts_in_armhole_shoulder_and_side_seam_at_once() -> None:
    plain = bodice(Bodice(fold=False))
    piece = plain
    for edge in ("side seam", "armhole", "shoulder"):  # each bends the edge after it
        piece = cut_in(piece, edge, 0.5, 12.7, 60)
    found = recognise_bodice(draw(piece))
    assert sorted(dart.edge for dart in found.darts) == ["armhole", "shoulder", "side seam"]
    for edge in ("armhole", "shoulder", "side seam"):
        assert sewn_length(found, edge) == pytest.approx(sewn_length(piece, edge), abs=1e-6)


def test_a_sleeve_with_a_dart_at_its_elbow() -> None:
    plain = sleeve(Shape())
    piece = cut_in(plain, "underarm back", 0.5, 12.7, 60)
    found = recognise_sleeve(draw(piece))
    assert [dart.edge for dart in found.darts] == ["underarm back"]
    seam = plain.edge("underarm back").curve.length()
    assert {one.name: one.value for one in measure_piece(found)}["underarm seam back"] == pytest.approx(seam, abs=1e-5)


def test_a_piece_of_no_known_kind_keeps_its_edges_whole() -> None:
    box = Curve.polyline([0j, 100 + 0j, 105 + 60j, 110 + 0j, 210 + 0j, 210 + 150j, 150j, 0j])
    found = other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),)))
    assert len(found.edges) == 4
    assert sorted(round(sewn_length(found, name), 6) for name in names(found)) == [150, 150, 200, 210]


@pytest.mark.parametrize("start", range(7))
@pytest.mark.parametrize("backwards", [False, True])
def test_wherever_the_path_begins(start: int, backwards: bool) -> None:
    points = [0j, 100 + 0j, 105 + 60j, 110 + 0j, 210 + 0j, 210 + 150j, 150j]
    ring = [*points[start:], *points[:start]]
    ring = ring[::-1] if backwards else ring
    box = Curve.polyline([*ring, ring[0]])
    found = other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),)))
    assert len(found.darts) == 1
    assert sorted(round(sewn_length(found, name), 6) for name in names(found)) == [150, 150, 200, 210]


@pytest.mark.parametrize(
    ("points", "why"),
    [
        ([0j, 100 + 0j, 103 + 12j, 106 + 0j, 210 + 0j], "a notch cut in, 12 mm deep"),
        ([0j, 100 + 0j, 105 - 60j, 110 + 0j, 210 + 0j], "a point outwards"),
        ([0j, 60 + 0j, 100 + 40j, 140 + 0j, 210 + 0j], "as wide as a neckline"),
        ([0j, 100 + 0j, 105 + 60j, 118 + 20j, 210 + 0j], "one leg much shorter"),
    ],
)
def test_what_is_no_dart(points: list[complex], why: str) -> None:
    box = Curve.polyline([*points, 210 + 150j, 150j, 0j])
    assert not drawn_outline(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),)))[0].mouths, why


def test_legs_that_differ_are_told() -> None:
    box = Curve.polyline([0j, 100 + 0j, 105 + 60j, 112 + 4j, 210 + 0j, 210 + 150j, 150j, 0j])
    found = other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),)))
    assert len(found.darts) == 1
    assert any("its legs differ by" in note for note in found.guessed)
    equal = Curve.polyline([0j, 100 + 0j, 105 + 60j, 110 + 1j, 210 + 0j, 210 + 150j, 150j, 0j])
    found = other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((equal,), (True,)),)))
    assert not any("its legs differ by" in note for note in found.guessed)


# -- drawn inside ----------------------------------------------------------------------------------------------------


@given(bodices, motions, st.sampled_from(["armhole", "shoulder", "side seam"]), st.booleans())
@some
def test_a_v_among_the_details_takes_its_mouth_out(shape: Bodice, motion: Affine, edge: str, turned: bool) -> None:
    plain = bodice(shape)
    curve = plain.edge(edge).curve
    first, last = (curve.at_length(share * curve.length()) for share in (0.45, 0.55))
    ends = [curve.point(first), curve.point(last)]
    inwards = 1j * (ends[1] - ends[0]) * (1 if plain.outline().area() > 0 else -1)
    apex = sum(ends) / 2 + 45 * inwards / abs(inwards)
    line = Curve.polyline([*(ends[::-1] if turned else ends)[:1], apex, *(ends[:1] if turned else ends[1:])])
    drawn = replace(draw(plain, motion, notches=False), details=(as_shape([line], motion),))
    found = recognise_bodice(drawn)
    assert sewn_length(found, edge) == pytest.approx(0.9 * curve.length(), abs=1e-5)
    assert found.edge(edge).curve.length() == pytest.approx(curve.length(), abs=1e-6)
    assert any("a V drawn inside the piece" in note for note in found.guessed)


@pytest.mark.parametrize("split", [False, True])
@pytest.mark.parametrize("beyond", [0.0, 9.0])
def test_drawn_as_two_lines_or_out_to_the_cut_line(split: bool, beyond: float) -> None:
    box = Curve.polyline([0j, 100 + 0j, 100 + 150j, 150j, 0j])
    ends, apex = [40 + 0j, 50 + 0j], 45 + 60j
    out = [end + beyond * (end - apex) / abs(end - apex) for end in ends]
    lines = [[out[0], apex], [apex, out[1]]] if split else [[out[0], apex, out[1]]]
    details = tuple(Drawn((Curve.polyline(points),), (False,)) for points in lines)
    drawn = DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),), details=details, allowances={"all": 10.0})
    found = other_piece(drawn)
    (dart,) = found.darts
    assert sewn_length(found, dart.edge) == pytest.approx(90, abs=1e-6)


def test_three_lines_that_meet_are_no_dart() -> None:
    box = Curve.polyline([0j, 100 + 0j, 100 + 150j, 150j, 0j])
    lines = tuple(Drawn((Curve.polyline([end, 45 + 60j]),), (False,)) for end in (40 + 0j, 45 + 0j, 50 + 0j))
    assert not other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),), details=lines)).darts


@pytest.mark.parametrize(
    "points",
    [
        [40 + 20j, 45 + 60j, 50 + 20j],  # its ends lie inside
        [40 + 0j, 45 + 60j, 50 + 4j],  # one of them does
        [40 + 0j, 45 + 10j, 50 + 0j],  # a notch
        [0j, 45 + 60j, 100 + 0j],  # from corner to corner
        [40 + 0j, 47 + 60j, 50 + 50j],
        [40 + 0j, 45 + 60j, 60 + 60j, 65 + 0j],  # a pocket
        [40 + 0j, 41 + 60j, 60 + 0j],  # unequal legs
    ],
)
def test_other_details_are_not_darts(points: list[complex]) -> None:
    box = Curve.polyline([0j, 100 + 0j, 100 + 150j, 150j, 0j])
    detail = Drawn((Curve.polyline(points),), (False,))
    found = other_piece(DrawnPiece("page.svg", "Panel", stitch=(Drawn((box,), (True,)),), details=(detail,)))
    assert not found.darts


# -- and what comes after --------------------------------------------------------------------------------------------


def test_the_cut_line_runs_over_a_dart() -> None:
    plain = bodice(Bodice(fold=False))
    piece = cut_in(plain, "shoulder", 0.5, 12.7, 70)
    wide = replace(piece, edges=tuple(replace(edge, allowance=12.7) for edge in piece.edges))
    cut = cut_line(wide)
    assert cut is not None
    assert cut.nearest(piece.darts[0].apex)[1] > 70
    middle = (piece.darts[0].start + piece.darts[0].end) / 2
    assert 12.7 < cut.nearest(middle)[1] < 14.0  # in a roof


def test_an_adjusted_piece_keeps_its_darts() -> None:
    piece = cut_in(bodice(Bodice()), "armhole", 0.5, 12.7, 60)
    told = dict(format_attributes(attributes_of(piece)))
    attributes = parse_attributes(told)
    assert attributes is not None
    again = rebuild_piece(replace(draw(piece), attributes=attributes, stitch=(as_shape([piece.outline()]),)))
    assert again is not None
    assert again.darts == piece.darts
    assert sewn_length(again, "armhole") == pytest.approx(sewn_length(piece, "armhole"), abs=1e-9)
    assert "darts" not in dict(format_attributes(attributes_of(bodice(Bodice()))))
    assert parse_attributes({**told, "darts": "armhole@1,2@3,4"}) is None
    for number in ("1e999", "nan", "-1e300"):
        assert parse_attributes({**told, "landmarks": f"cap top@{number},2#3"}) is None
        assert parse_attributes({**told, "placement": f"1 0 0 1 {number} 0"}) is None
        assert parse_attributes({**told, "edges": f"cap@0:{number}"}) is None


def test_darts_ride_along_when_a_slashed_part_moves() -> None:
    """A dart at the elbow of a sleeve whose cap is raised stays; one above a slash through the sleeve moves with it."""
    piece = recognise_sleeve(draw(cut_in(sleeve(Shape()), "underarm back", 0.3, 12.7, 60)))
    (dart,) = piece.darts
    level = dart.apex.imag + 60
    slash = Slash((complex(400, level), complex(-400, level)), moves=piece.landmark("cap top"))
    moved = spread(piece, slash, Affine.shift(-10j)).piece
    for name in ("start", "apex", "end"):
        assert abs(getattr(moved.darts[0], name) - getattr(dart, name) + 10j) < 1e-9
    below = Slash((complex(400, level - 130), complex(-400, level - 130)), moves=piece.landmark("cap top"))
    still = spread(piece, below, Affine.shift(-10j)).piece
    assert still.darts == piece.darts


def test_edges_close_the_outline_again() -> None:
    found = recognise_bodice(draw(cut_in(bodice(Bodice()), "armhole", 0.5, 12.7, 60)))
    for one, two in itertools.pairwise([*found.edges, found.edges[0]]):
        assert abs(one.curve.end - two.curve.start) < 1e-9
    assert isinstance(found.edges[0], Edge)
