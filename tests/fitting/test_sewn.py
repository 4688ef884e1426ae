"""Edges as sewn: darts closed, rows laid together, whichever way each piece was drawn."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.sewn import (
    row_distance,
    row_marks,
    sewn_distance,
    sewn_edge,
    sewn_length,
    sewn_row,
    shoulder_at,
)
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from tests.pattern.bodices import Bodice, bodice

FRONT, BACK = bodice(Bodice("front")), bodice(Bodice("back", armhole=200.0, shoulder=128.0))
ARMHOLE = (("Front", "armhole"), ("Back", "armhole"))


def quarter_dart(size: float, apex: complex = -60 + 40j) -> tuple[Curve, Dart, float]:
    """A quarter circle of radius 100 mm about 0 with a V cut into its middle, ``size`` mm of the circle wide."""
    half = size / 200
    middle = cmath.phase(apex) if apex.imag else math.pi
    start, end = 100 * cmath.exp(1j * (middle - half)), 100 * cmath.exp(1j * (middle + half))
    arcs = [arc(middle - math.pi / 4, middle - half), arc(middle + half, middle + math.pi / 4)]
    curve = Curve.chain([arcs[0], Curve.polyline([start, apex, end]), arcs[1]])
    return curve, Dart("armhole", start, apex, end), 100 * (math.pi / 2 - 2 * half)


def arc(first: float, last: float) -> Curve:
    """A circle's arc of radius 100 mm as 16 cubics (handle 4/3 tan(angle/4), from any textbook: from memory)."""
    angles = np.linspace(first, last, 17)
    reach = 4 / 3 * math.tan((angles[1] - angles[0]) / 4)
    points, ways = 100 * np.exp(1j * angles), 100j * np.exp(1j * angles)
    parts = [
        [points[k], points[k] + reach * ways[k], points[k + 1] - reach * ways[k + 1], points[k + 1]] for k in range(16)
    ]
    return Curve(np.array(parts))


def with_armhole(curve: Curve, darts: tuple[Dart, ...], *, backwards: bool = False) -> Piece:
    rest = Curve.polyline([curve.end, 0j, curve.start])
    edges = (Edge("armhole", curve, backwards=backwards), Edge("rest", rest))
    return Piece("page.svg", "Front", "front", edges, Affine(), darts=darts)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("size", [0.5, 6.35, 25.0])
def test_a_dart_cut_out_of_the_edge_is_no_part_of_its_length(size: float, backwards: bool) -> None:
    curve, dart, length = quarter_dart(size)
    piece = with_armhole(curve, (dart,), backwards=backwards)
    assert sewn_length(piece, "armhole") == pytest.approx(length, abs=1e-5)
    assert piece.edge("armhole").curve.length() > length + 20
    sewn = sewn_edge(piece, "armhole")
    assert sewn.start == (curve.end if backwards else curve.start)


def test_a_dart_that_points_to_the_centre_of_a_circle_leaves_the_circle_smooth() -> None:
    curve, dart, _ = quarter_dart(10.0, apex=-1e-9 + 0j)
    sewn = sewn_edge(with_armhole(curve, (dart,)), "armhole")
    assert np.abs(np.abs(sewn.points(np.linspace(0, len(sewn), 500))) - 100).max() < 1e-4


def test_a_dart_drawn_inside_the_piece_takes_its_mouth_out_of_the_edge() -> None:
    whole = arc(math.pi * 0.75, math.pi * 1.25)
    first, last = whole.point(6.0), whole.point(8.0)
    piece = with_armhole(whole, (Dart("armhole", first, -40 + 0j, last),))
    assert sewn_length(piece, "armhole") == pytest.approx(whole.length() * 14 / 16, abs=1e-6)


def test_unequal_legs_do_not_count_either() -> None:
    line = Curve.polyline([0j, 100 + 0j, 104 + 30j, 110 + 0j, 200 + 0j])
    sewn = sewn_edge(with_armhole(line, (Dart("armhole", 100 + 0j, 104 + 30j, 110 + 0j),)), "armhole")
    assert sewn.length() == pytest.approx(190, abs=1e-9)


def test_two_darts_in_one_edge() -> None:
    line = Curve.polyline([0j, 50 + 0j, 55 + 30j, 60 + 0j, 100 + 0j, 103 + 30j, 106 + 0j, 200 + 0j])
    darts = (Dart("armhole", 100 + 0j, 103 + 30j, 106 + 0j), Dart("armhole", 50 + 0j, 55 + 30j, 60 + 0j))
    piece = with_armhole(line, darts)
    assert sewn_length(piece, "armhole") == pytest.approx(184, abs=1e-9)
    assert sewn_distance(piece, "armhole", 80 + 5j) == pytest.approx(70, abs=1e-9)
    assert sewn_distance(piece, "armhole", 150 + 0j) == pytest.approx(134, abs=1e-9)
    assert sewn_distance(piece, "armhole", 55 + 30j) == pytest.approx(50, abs=1e-9)


def test_an_armhole_runs_up_the_front_and_down_the_back() -> None:
    row = sewn_row((BACK, FRONT), ARMHOLE)
    front, back = FRONT.edge("armhole").curve, BACK.edge("armhole").curve
    assert [part.turned for part in row.parts] == [False, True]
    assert row.length == pytest.approx(front.length() + back.length(), abs=1e-6)
    assert row.parts[1].at == pytest.approx(front.length(), abs=1e-9)
    assert abs(row.curve.point(len(front)) - front.end) < 1e-9
    assert shoulder_at(row) == (row.parts[1].at, False)
    assert not row.doubts


def test_an_armhole_named_from_the_back_is_walked_from_there() -> None:
    row = sewn_row((FRONT, BACK), ARMHOLE[::-1])
    assert [part.turned for part in row.parts] == [False, True]
    assert shoulder_at(row) == (pytest.approx(BACK.edge("armhole").curve.length()), False)


def test_pieces_lie_together_as_their_shoulders_are_sewn() -> None:
    """The back's shoulder seam comes to lie on the front's, the back beyond it, and nothing is mirrored."""
    row = sewn_row((FRONT, BACK), ARMHOLE)
    motion = row.parts[1].motion
    front, back = FRONT.edge("shoulder").curve, BACK.edge("shoulder").curve.transform(motion)
    assert not motion.mirrors
    assert abs(back.start - front.start) < 1e-9
    assert abs(back.tangent(0.0) - front.tangent(0.0)) < 1e-9
    below = FRONT.landmark("underarm") - front.start
    beyond = motion.apply(BACK.landmark("underarm")) - front.start
    way = front.tangent(0.0)
    assert (below * way.conjugate()).imag * (beyond * way.conjugate()).imag < 0
    assert row.curve.length() == pytest.approx(row.length, abs=1e-6)


def yoke(*, mirrored: bool = False, turned: bool = False, backwards: bool = False) -> Piece:
    """A yoke 60 mm deep at the armhole; its armhole runs from the front seam (below here) up to the back seam."""
    points = [0j, -60j, 130 - 75j, 130 - 15j]
    names = ("armhole", "back seam", "neckline", "front seam")
    motion = Affine.scale(-1, 1) if mirrored else Affine()
    motion = motion.then(Affine.turn(1.0, 3 + 4j)) if turned else motion
    curves = [Curve.polyline([a, b]).transform(motion) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    edges = [Edge(name, curve) for name, curve in zip(names, curves, strict=True)]
    if backwards:
        edges = [replace(edge, curve=edge.curve.reverse(), backwards=edge.name == "armhole") for edge in edges[::-1]]
    return Piece("page.svg", "Yoke", "other", tuple(edges), Affine())


SEAMS = (
    Seam((("Front", "shoulder"),), (("Yoke", "front seam"),)),
    Seam((("Yoke", "back seam"),), (("Back", "shoulder"),)),
)
OVER_YOKE = (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("seams", [(), SEAMS])
def test_a_yoke_lies_between_front_and_back_however_it_was_drawn(
    mirrored: bool, turned: bool, backwards: bool, seams: tuple[Seam, ...]
) -> None:
    piece = yoke(mirrored=mirrored, turned=turned, backwards=backwards)
    row = sewn_row((FRONT, BACK, piece), OVER_YOKE, seams)
    length = FRONT.edge("armhole").curve.length() + 60 + BACK.edge("armhole").curve.length()
    assert row.length == pytest.approx(length, abs=1e-6)
    assert [part.turned for part in row.parts] == [False, False, True]
    assert shoulder_at(row) == (pytest.approx(row.parts[1].at + 30), True)
    assert row.parts[1].motion.mirrors == mirrored
    assert bool(row.doubts) == (not seams)
    # The whole lies as it would with the yoke drawn the usual way.
    usual = sewn_row((FRONT, BACK, yoke()), OVER_YOKE, SEAMS)
    assert np.abs(row.curve.segments - usual.curve.segments).max() < 1e-9


def test_the_seam_map_says_which_end_comes_first() -> None:
    """A yoke whose armhole runs from its back seam: told by the seams, not by its own direction."""
    plain = yoke()
    other_way = plain.with_edges(tuple(replace(edge, backwards=edge.name == "armhole") for edge in plain.edges))
    row = sewn_row((FRONT, BACK, other_way), OVER_YOKE, SEAMS)
    assert [part.turned for part in row.parts] == [False, True, True]


def test_a_notch_on_the_yoke_meets_the_sleeve() -> None:
    piece = yoke()
    mark = Mark("notch", (Curve.polyline([-20j, -5 - 20j]),), "armhole", -20j)
    row = sewn_row((FRONT, BACK, replace(piece, marks=(mark,))), OVER_YOKE, SEAMS)
    assert shoulder_at(row) == (pytest.approx(row.parts[1].at + 20), False)
    two = (mark, replace(mark, at=-33j))
    row = sewn_row((FRONT, BACK, replace(piece, marks=two)), OVER_YOKE, SEAMS)
    assert shoulder_at(row) == (pytest.approx(row.parts[1].at + 33), True)
    row = sewn_row((FRONT, BACK, replace(piece, marks=(mark, replace(two[1], name="Shoulder")))), OVER_YOKE, SEAMS)
    assert shoulder_at(row) == (pytest.approx(row.parts[1].at + 33), False)
    row = sewn_row((FRONT, BACK, replace(piece, landmarks=(Landmark("shoulder point", -45j),))), OVER_YOKE, SEAMS)
    assert shoulder_at(row) == (pytest.approx(row.parts[1].at + 45), False)


def test_marks_stand_along_the_row_in_sewing_order() -> None:
    row = sewn_row((FRONT, BACK), ARMHOLE)
    places = [at for at, _, _ in row_marks(row)]
    assert len(places) == 3
    assert places == sorted(places)
    front, back = FRONT.edge("armhole").curve, BACK.edge("armhole").curve
    assert places[0] == pytest.approx(front.length_between(0, 0.45), abs=1e-6)
    assert places[1] == pytest.approx(row.length - back.length_between(0, 0.55), abs=1e-6)
    assert row_distance(row.parts[1], back.start) == pytest.approx(row.length, abs=1e-6)


def test_darts_turn_what_lies_beyond_them_too() -> None:
    """With the dart closed the back goes on where the front's sewn edge ends, the seams still on one another."""
    curve, dart, _ = quarter_dart(20.0)
    piece = with_armhole(curve, (dart,))
    row = sewn_row((piece, BACK), (("Front", "armhole"), ("Back", "armhole")))
    assert abs(row.parts[1].motion.apply(BACK.edge("armhole").curve.end) - sewn_edge(piece, "armhole").end) < 1e-9
    # The neighbouring edge runs straight to the circle's middle; it is turned about the dart's apex as well.
    turned = -curve.end * (dart.start - dart.apex) / (dart.end - dart.apex)
    way = row.parts[1].motion.apply_vector(BACK.edge("shoulder").curve.tangent(0.0))
    assert abs(cmath.phase(way / turned)) < 1e-9


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(Refusal, match="no piece 'Yoke'"):
        sewn_row((FRONT, BACK), OVER_YOKE)
    with pytest.raises(Refusal, match="no edge 'cap'"):
        sewn_row((FRONT, BACK), (("Front", "cap"),))
    with pytest.raises(Refusal):
        sewn_row((FRONT, BACK), ())
