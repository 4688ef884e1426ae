"""Outlines from what lies on a line layer, their sides, and where the notches stand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern import piece_places
from svgfit.pattern.corners import drop_short, find_sides, midpoint, points_along, sagitta
from svgfit.pattern.outline import find_outline, same_curve, without_specks
from svgfit.pattern.piece_places import lies_in
from svgfit.pattern.recognise.choose import recognise
from svgfit.pattern.recognise.notches import ticks
from tests.fitting.sleeves import Shape, shapes, sleeve

from .drawings import Manner, as_shape, draw, manners, motions, written

BOX = Curve.polyline([0j, 100 + 0j, 100 + 200j, 200j, 0j])


def lines(*curves: Curve) -> tuple[Drawn, ...]:
    return (Drawn(tuple(curves), tuple(curve.is_closed() for curve in curves)),)


# -- outlines --------------------------------------------------------------------------------------------------------


@given(shapes, motions, manners, st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_the_same_loop_from_one_path_or_several_in_any_order(
    shape: Shape, motion: Affine, manner: Manner, parts: int
) -> None:
    loop = sleeve(shape).outline()
    found = find_outline([as_shape(written(loop, replace(manner, parts=parts)), motion)], "page.svg: Sleeve")
    assert found.loop.is_closed(0.0)
    assert found.gaps == ()
    assert found.loop.length() == pytest.approx(loop.length(), abs=1e-6)
    assert abs(found.loop.area()) == pytest.approx(abs(loop.area()), abs=1e-3)


def test_the_largest_closed_line_is_the_piece() -> None:
    """A pocket on the same layer is told; the same line drawn twice is not."""
    pocket = Curve.polyline([20 + 20j, 60 + 20j, 60 + 60j, 20 + 20j])
    found = find_outline(lines(pocket, BOX, BOX.reverse()), "here")
    assert same_curve(found.loop, BOX)
    assert found.notes == ("1 more closed line(s) on its layer left out",)
    assert find_outline(lines(BOX, BOX), "here").notes == ()


def test_a_gap_is_bridged_and_told_and_a_small_one_is_not() -> None:
    open_box = Curve.polyline([0j, 100 + 0j, 100 + 200j, 200j, 5j])
    found = find_outline(lines(open_box), "here")
    assert found.gaps == ((5j, 0j),)
    assert found.loop.length() == pytest.approx(600)
    almost = Curve.polyline([0j, 100 + 0j, 100 + 200j, 200j, 0.3j])
    assert find_outline(lines(almost), "here").gaps == ()
    assert find_outline(lines(almost), "here").loop.is_closed(0.0)


def test_specks_are_left_out_and_an_empty_layer_is_refused() -> None:
    speck = Curve.polyline([0j, 0j])
    assert without_specks(speck) is None
    dotted = Curve.chain([speck, BOX])
    assert without_specks(dotted) is not None
    assert len(find_outline(lines(dotted), "here").loop) == 4
    for nothing in ((), lines(speck)):
        with pytest.raises(Refusal, match=r"here: no line is drawn on its line layer; draw the outline"):
            find_outline(nothing, "here")


# -- sides -----------------------------------------------------------------------------------------------------------


@given(shapes, motions, manners)
@settings(max_examples=60, deadline=None)
def test_a_sleeve_has_four_sides_wherever_its_path_starts(shape: Shape, motion: Affine, manner: Manner) -> None:
    piece = sleeve(shape)
    (drawn,) = written(piece.outline(), manner)
    sides = find_sides(drawn.transform(motion))
    wanted = sorted(edge.curve.length() for edge in piece.edges)
    assert sorted(side.length() for side in sides) == pytest.approx(wanted, abs=1e-6)
    for one, other in zip(sides, [*sides[1:], sides[0]], strict=True):
        assert one.end == other.start


@given(st.floats(0, 360), st.floats(5, 80))
@settings(max_examples=60, deadline=None)
def test_corners_are_turns_of_more_than_twenty_degrees(direction: float, turn: float) -> None:
    way = np.exp(1j * math.radians(direction))
    on = way * np.exp(1j * math.radians(turn))
    loop = Curve.polyline([0j, 100 * way, 100 * way + 100 * on, 100 * way + 100 * on - 400j * way, 0j])
    sides = find_sides(loop)
    together = any(abs(side.length() - 200) < 1e-6 for side in sides)
    if abs(turn - math.degrees(0.35)) > 0.01:
        assert together == (turn < math.degrees(0.35))


def test_a_loop_without_corners_is_one_side_and_named_points_part_it() -> None:
    k = 4 / 3 * math.tan(math.pi / 8)
    quarter = [[50 * 1j**n, 50 * 1j**n * (1 + k * 1j), 50 * 1j**n * (1j + k), 50 * 1j ** (n + 1)] for n in range(4)]
    circle = Curve(np.array(quarter))
    assert len(find_sides(circle)) == 1
    halves = find_sides(circle, extra=[50 * np.exp(0.3j), 50 * np.exp(0.3j) * -1])
    assert [half.length() for half in halves] == pytest.approx([50 * math.pi] * 2, rel=1e-3)


def test_a_bridged_gap_makes_no_corner() -> None:
    """A step of 4 mm in a straight side, bridged."""
    loop = Curve.polyline([0j, 50 + 0j, 50 + 4j, 100 + 4j, 100 + 200j, 200j, 0j])
    assert len(find_sides(loop)) == 6
    assert len(find_sides(loop, [(50 + 0j, 50 + 4j)])) == 4


def test_short_sides_go_shortest_first_down_to_as_many_as_stay() -> None:
    sides = [Curve.polyline([0j, complex(size)]) for size in (100, 20, 300, 18, 90, 25)]
    assert [round(side.length()) for side in drop_short(sides, 30, 4)] == [100, 300, 90, 25]
    assert len(drop_short(sides, 30, 1)) == 3


@given(st.lists(st.floats(0.01, 0.99), max_size=6))
def test_half_way_does_not_depend_on_nodes(extra: list[float]) -> None:
    line = Curve.polyline([0j, 100 + 0j])
    noded = Curve.chain(
        [line.subcurve(a, b) for a, b in itertools.pairwise(sorted({0.0, 1.0, *(round(x, 3) for x in extra)}))]
    )
    assert midpoint(noded) == pytest.approx(50 + 0j, abs=1e-6)
    assert points_along(noded, (0.25, 1.0)) == pytest.approx([25, 100], abs=1e-6)


def test_the_sagitta_points_to_the_bulge() -> None:
    """A quadratic bends half as high as its control point stands (exact)."""
    from svgfit.geometry.bezier import from_quadratic

    arch = Curve(from_quadratic(0j, 50 - 40j, 100 + 0j)[None, :])
    assert sagitta(arch) == pytest.approx(-20j, abs=1e-9)
    assert sagitta(arch.reverse()) == pytest.approx(-20j, abs=1e-9)


# -- notches ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tick", "foot"),
    [
        ([40 - 6j, 40 + 0j], 40 + 0j),  # from outside to the line
        ([40 - 3j, 40 + 7j], 40 + 0j),  # across it
        ([40 - 15j, 40 - 9j], 40 - 9j),  # short of it: its nearer end
        ([38 - 6j, 40 + 3j, 42 - 6j], 40 + 0j),  # a V with its point inside
    ],
)
def test_where_a_notch_stands(tick: list[complex], foot: complex) -> None:
    drawn = DrawnPiece("page.svg", "Box", notches=lines(Curve.polyline(tick)))
    (found,) = ticks(drawn, BOX)
    assert found.point == pytest.approx(foot, abs=1e-9)


def test_a_notch_drawn_twice_counts_once_and_a_far_mark_is_none() -> None:
    tick = Curve.polyline([40 - 6j, 40 + 0j])
    far = Curve.polyline([50 + 100j, 50 + 110j])
    drawn = DrawnPiece("page.svg", "Box", notches=lines(tick, tick.transform(Affine.shift(0.4 + 0j)), far))
    assert len(ticks(drawn, BOX)) == 1


@given(shapes, motions, manners)
@settings(max_examples=30, deadline=None)
def test_notches_are_found_where_they_were_drawn(shape: Shape, motion: Affine, manner: Manner) -> None:
    piece = sleeve(shape)
    drawn = draw(piece, motion, manner)
    (loop,) = drawn.stitch[0].curves
    wanted = [motion.apply(mark.at) for mark in piece.marks if mark.at is not None]
    found = [tick.point for tick in ticks(drawn, loop)]
    assert len(found) == len(wanted)
    for point in wanted:
        assert min(abs(point - other) for other in found) < 1e-6


def test_closed_lines_side_by_side_are_not_held_against_one_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters turned into outlines are hundreds of closed lines: only those whose boxes meet are compared."""
    letter = Curve.polyline([0j, 5 + 0j, 5 + 5j, 0j])
    every = [Curve(letter.segments + complex(k % 20 * 8, k // 20 * 8)) for k in range(200)]
    inner = Curve(letter.segments / 2 + (1.5 + 0.5j))
    compared: list[Curve] = []

    def counted(inner: Curve, outer: Curve, join: float) -> bool:
        compared.append(inner)
        return lies_in(inner, outer, join)

    monkeypatch.setattr(piece_places, "lies_in", counted)
    found = piece_places.outlines(lines(*every, inner))
    assert [one.loop.start for one in found] == [one.start for one in every]
    assert len(compared) == 1


def test_what_is_done_to_a_cut_line_beside_a_stitch_line_is_told_as_unsure() -> None:
    around = [-10 - 10j, 110 - 10j, 110 + 210j, -10 + 210j]
    stray, pocket = Curve.polyline([300j, 30 + 300j]), Curve.polyline([20 + 20j, 60 + 20j, 60 + 60j, 20 + 20j])
    open_line = Curve.polyline([*around, -10 - 5j])
    drawn = DrawnPiece(file="a.svg", name="Panel", stitch=lines(BOX), cut=lines(open_line, stray))
    gapped = recognise(drawn, [])
    assert [note.partition(" (")[0] for note in gapped.unsure if note.startswith("cut line: 1 stray")]
    assert any(note.startswith("cut line: it is open and bridged straight, by") for note in gapped.unsure)
    closed = Curve.polyline([*around, around[0]])
    assert recognise(replace(drawn, cut=lines(closed, pocket)), []).unsure == (
        "cut line: 1 more closed line(s) on its layer left out",
    )
    assert recognise(replace(drawn, cut=lines(closed)), []).unsure == ()
