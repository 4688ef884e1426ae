"""Notches in every form the trade draws them, on a garment: one notch at each place, and seams that fit pass a walk."""

from __future__ import annotations

import importlib
import itertools
import sys
from pathlib import Path

import numpy as np
import pytest

import svgfit
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.length import both_ways_text
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.pattern.notch_lines import with_allowance
from svgfit.pattern.recognise.line_notches import part_notches, without_cut_in
from svgfit.pattern.recognise.notches import find_ticks, place_notches, ticks

DOCS = Path(__file__).resolve().parents[2] / "docs"
NAMES = ("notch_forms", "smock_shapes")


def generator():
    sys.path.insert(0, str(DOCS))
    try:
        return importlib.import_module("notch_forms")
    finally:
        sys.path.remove(str(DOCS))
        for name in NAMES:
            sys.modules.pop(name, None)


FORMS = generator()
CASES = [
    (name, lines, stands)
    for name in FORMS.cases()
    for lines, stands in itertools.product(FORMS.LINES, FORMS.STANDS)
    if name not in FORMS.CUT_IN or lines == stands
]
SOME = CASES[:: max(1, len(CASES) // 14)]


@pytest.mark.parametrize(("name", "lines", "stands"), SOME)
def test_a_notch_of_any_form_is_one_at_its_place(name, lines, stands):
    assert FORMS.outcome(FORMS.cases()[name](lines, stands)) == (True, "")


@pytest.mark.slow
@pytest.mark.parametrize(("name", "lines", "stands"), [case for case in CASES if case not in SOME])
def test_a_notch_of_every_form_is_one_at_its_place(name, lines, stands):
    assert FORMS.outcome(FORMS.cases()[name](lines, stands)) == (True, "")


@pytest.mark.parametrize("name", ["T", "triangle in three strokes", "keyhole", "arrow"])
def test_strokes_of_one_mark_that_are_elements_of_their_own(name):
    drawn = FORMS.draw(FORMS.FORMS[name], lines="both", stands="cut", apart=True)
    assert FORMS.outcome(drawn) == (True, "")


@pytest.mark.parametrize("name", ["vee inwards", "dot", "box"])
def test_however_the_drawing_lies(name):
    motion = Affine.scale(-1, 1).then(Affine.turn(0.7)).then(Affine.shift(900 + 200j))
    drawn = FORMS.draw(FORMS.FORMS[name], lines="stitch", on_page=motion)
    assert FORMS.outcome(drawn) == (True, "")


@pytest.mark.parametrize("name", ["tick across", "T", "dot"])
@pytest.mark.parametrize("lines", ["stitch", "both"])
def test_marks_on_the_layer_of_the_outline(name, lines, tmp_path):
    drawn = FORMS.draw(FORMS.FORMS[name], lines=lines, stands="stitch" if lines == "stitch" else "cut", own_layer=False)
    assert FORMS.outcome(drawn) == (True, "")
    path = tmp_path / "smock.svg"
    path.write_text(drawn.svg, encoding="utf-8")
    told = [
        warning for warning in svgfit.open_drawings(str(path)).warnings if "taken for part of its notches" in warning
    ]
    assert len(told) == 3


def test_a_notch_cut_in_is_a_mark_of_its_own_in_the_adjusted_drawing(tmp_path):
    drawn = FORMS.draw(lines="cut", cut_in=FORMS.CUT_IN["vee cut in"])
    path, again = tmp_path / "smock.svg", tmp_path / "fitted.svg"
    path.write_text(drawn.svg, encoding="utf-8")
    (tmp_path / "svgfit.toml").write_text(drawn.convention, encoding="utf-8")
    session = svgfit.open_drawings(str(path), convention=str(tmp_path / "svgfit.toml"))
    assert any("4 notches are part of its cut line" in guess for guess in session.pieces[0].guessed)
    session.run(svgfit.Plan.from_steps("cap-raise piece=Sleeve amount='1/4 in'")).write(str(again))
    sleeve = svgfit.open_drawings(str(again), from_adjusted=True).pieces[0]
    assert len([mark for mark in sleeve.marks if "notch" in mark.kind]) == 4
    assert sleeve.cut is not None
    assert without_cut_in(sleeve.cut.line)[1] == ()


# -- one by one ------------------------------------------------------------------------------------------------------

BOX = Curve.polyline([0j, 100 + 0j, 100 + 80j, 0 + 80j, 0j])
EDGES = [Edge(f"edge {k + 1}", Curve(BOX.segments[k : k + 1]), 15.0) for k in range(4)]


def marks(*strokes: list[complex]) -> DrawnPiece:
    curves = [Curve.polyline(stroke) for stroke in strokes]
    shapes = tuple(Shape((curve,), (curve.is_closed(),)) for curve in curves)
    return DrawnPiece("page.svg", "Box", notches=shapes)


def placed(*strokes: list[complex]) -> tuple[list[complex], list[str]]:
    found = find_ticks(marks(*strokes), BOX)
    notches, unsure = place_notches(EDGES, found.found, Affine())
    return [mark.at for mark in notches if mark.at is not None], [*map(both_ways_text, (*unsure, *found.left_out))]


def triangle(at: complex) -> list[complex]:
    return [at - 3, at + 3, at - 5j, at - 3]


def test_two_triangles_that_share_a_corner_are_a_pair():
    at, unsure = placed(triangle(40 + 0j), triangle(46 + 0j))
    assert at == pytest.approx([40 + 0j, 46 + 0j], abs=1e-6)
    assert not unsure


def test_two_ts_whose_bars_touch_are_a_pair():
    strokes = [[x + 0j, x - 8j] for x in (40, 48)] + [[x - 4 - 8j, x + 4 - 8j] for x in (40, 48)]
    at, unsure = placed(*strokes)
    assert at == pytest.approx([40 + 0j, 48 + 0j], abs=1e-6)
    assert not unsure


def test_a_pair_of_ticks_is_two_and_both_sides_of_a_slit_are_one():
    at, _ = placed([40 + 0j, 40 - 6j], [43 + 0j, 43 - 6j], [60 + 0j, 60 - 6j], [60.6 + 0j, 60.6 - 6j])
    assert at == pytest.approx([40 + 0j, 43 + 0j, 60.3 + 0j], abs=1e-6)


def test_a_form_with_a_line_drawn_twice_has_its_axis_still():
    at, unsure = placed([37 + 0j, 40 - 5j, 43 + 0j], [43 + 0j, 40 - 5j])
    assert at == pytest.approx([40 + 0j], abs=0.05)
    assert not unsure


def test_a_mark_that_is_not_symmetric_is_told_with_its_place():
    at, unsure = placed([40 + 0j, 40 - 8j, 47 - 7j, 46 - 3j])
    assert len(at) == 1
    assert len(unsure) == 1
    assert "of the page: it is not symmetric, so it may stand" in unsure[0]


def test_a_pair_drawn_as_one_line_is_told():
    at, unsure = placed([34 + 0j, 37 - 5j, 40 + 0j, 43 - 5j, 46 + 0j])
    assert at == pytest.approx([40 + 0j], abs=1e-6)
    (told,) = unsure
    assert "12.0 mm (1/2 in) wide and taken for one; if it is a pair, draw the two apart" in told


@pytest.mark.parametrize("rise", [5, -5])
def test_a_narrow_pair_drawn_as_one_line_is_told(rise):
    """No wider than one notch, it has two tips."""
    at, unsure = placed([36 + 0j, 38 - 1j * rise, 40 + 0j, 42 - 1j * rise, 44 + 0j])
    assert at == pytest.approx([40 + 0j], abs=1e-6)
    (told,) = unsure
    assert "8.0 mm (5/16 in) wide and taken for one; if it is a pair, draw the two apart" in told


@pytest.mark.parametrize("lean", [0.42, -0.42])
def test_a_square_that_leans_is_told(lean):
    """Turned by 24°, its diagonal is squarer to the seam than its sides are."""
    turn = complex(np.cos(lean), np.sin(lean))
    at, unsure = placed([40 + turn * corner for corner in (-2 + 0j, -2 - 4j, 2 - 4j, 2 + 0j, -2 + 0j)])
    assert len(at) == 1
    assert abs(at[0] - 40) > 0.5
    (told,) = unsure
    assert "it is symmetric two ways and leans, so it may stand" in told


def test_a_tick_at_the_cut_line_that_leans_is_told():
    at, unsure = placed([40 - 15j, 42 - 9j])
    assert at == pytest.approx([40 + 0j], abs=1e-3)
    (told,) = unsure
    assert told.startswith("the notch at x 42.0 mm")
    assert "it leans, and its own direction meets the seam 5.0 mm (3/16 in) off" in told


def test_a_mark_that_leans_from_line_to_line_is_told():
    at, unsure = placed([40 + 0j, 43 - 15j])
    assert at == pytest.approx([40 + 0j], abs=1e-6)
    (told,) = unsure
    assert "it leans, and its own direction meets the seam 3.0 mm (1/8 in) off" in told


def test_two_ticks_hardly_apart_are_told():
    at, unsure = placed([40 + 0j, 40 - 6j], [41.5 + 0j, 41.5 - 6j])
    assert len(at) == 2
    (told,) = unsure
    assert "stand only 1.5 mm (1/16 in) apart and are taken for a pair" in told


def test_a_small_box_drawn_by_hand_has_its_axis_square_to_the_seam():
    at, unsure = placed([39.05 + 0j, 39 - 1.9j, 41.1 - 2.05j, 40.95 + 0.05j, 39.05 + 0j])
    assert at == pytest.approx([40 + 0j], abs=0.1)
    assert not unsure


def test_a_tick_that_leans_across_the_seam_stands_where_it_crosses():
    at, unsure = placed([39 - 3j, 41 + 3j])
    assert at == pytest.approx([40 + 0j], abs=1e-6)
    assert not unsure


@pytest.mark.parametrize(
    ("stroke", "words"),
    [
        ([50 - 60j, 50 - 54j], "lies 54.0 mm (2 1/8 in) from the seam: it is no notch"),
        ([10 + 0j, 60 - 5j, 60 - 30j, 10 + 0j], "large: it is no notch"),
        ([-5 + 40j, 105 + 40j], "crosses the seam in several places"),
    ],
)
def test_what_is_no_notch_is_left_out_and_told(stroke, words):
    at, unsure = placed(stroke)
    assert not at
    (told,) = unsure
    assert words in told


def test_every_command_warns_of_a_notch_that_is_unsure(tmp_path):
    drawn = FORMS.draw([(0j, -8j, 7 - 7j, 6 - 3j)], lines="stitch")
    path = tmp_path / "smock.svg"
    path.write_text(drawn.svg, encoding="utf-8")
    session = svgfit.open_drawings(str(path))
    assert session.pieces
    told = [warning for warning in session.warnings if "it is not symmetric" in warning]
    assert len(told) == len(drawn.places)
    assert all(" of the page: " in warning for warning in told)


def outline_with(*corners: complex) -> Curve:
    """A box with something in its upper edge, which runs to the right."""
    return Curve.polyline([0j, *corners, 100 + 0j, 100 + 80j, 0 + 80j, 0j])


@pytest.mark.parametrize(
    ("corners", "place"),
    [
        ([37 + 0j, 40 + 5j, 43 + 0j], 40),
        ([37 + 0j, 40 - 5j, 43 + 0j], 40),
        ([40 + 0j, 40 + 6j, 40 + 0j], 40),
        ([38 + 0j, 38 + 4j, 42 + 4j, 42 + 0j], 40),
    ],
)
@pytest.mark.parametrize("start", [0, 1, 2, 5])
def test_a_notch_is_taken_out_of_the_line_wherever_that_begins(corners, place, start):
    loop = outline_with(*corners)
    for turned in (Curve(np.roll(loop.segments, -start, axis=0)),):
        for line in (turned, turned.reverse()):
            smooth, found = without_cut_in(line)
            assert len(found) == 1
            assert abs(smooth.area()) == pytest.approx(8000)
            drawn = DrawnPiece("page.svg", "Box", stitch=(Shape((line,), (True,)),))
            (notch,) = ticks(part_notches(drawn).drawn, smooth)
            assert notch.point == pytest.approx(place, abs=1e-6)


@pytest.mark.parametrize(
    "corners",
    [
        [40 + 0j, 40 + 3j, 60 + 3j, 60 + 0j],  # a tab, too wide
        [40 + 0j, 40 + 4j],  # a step
        [30 + 0j, 40 + 25j, 50 + 0j],  # a dart
        [97 + 0j, 97 - 4j],  # a hook at the corner
        [36 + 0j, 40 + 1j, 44 + 0j],  # hardly a dent
        [40 + 0j, 47 + 7j, 44 + 0j],  # not symmetric
        [x + 5j * (k % 2) for k, x in enumerate(range(20, 80, 3))],  # a row of teeth
    ],
)
def test_what_is_no_notch_stays_in_the_line(corners):
    loop = outline_with(*corners)
    assert without_cut_in(loop) == (loop, ())


# -- drawn anew ------------------------------------------------------------------------------------------------------


def with_notch(*strokes: list[complex]) -> Piece:
    curves = tuple(Curve.polyline(stroke) for stroke in strokes)
    mark = Mark("notch", curves, "edge 1", 40 + 0j)
    return Piece("page.svg", "Box", "other", tuple(EDGES), Affine(), marks=(mark,))


@pytest.mark.parametrize(
    ("strokes", "moves"),
    [
        ([[37 + 0j, 43 + 0j, 40 - 5j, 37 + 0j]], 0j),  # on the stitch line: stays
        ([[37 - 15j, 43 - 15j, 40 - 10j, 37 - 15j]], 5j),  # on the cut line: goes with it
        ([[40 + 0j, 40 - 6j], [37 - 6j, 43 - 6j]], 0j),
        ([[40 - 15j, 40 - 9j], [37 - 9j, 43 - 9j]], 5j),
    ],
)
def test_a_form_keeps_its_size_when_the_allowance_changes(strokes, moves):
    (mark,) = with_allowance(with_notch(*strokes), ["edge 1"], 10.0).marks
    for curve, stroke in zip(mark.curves, strokes, strict=True):
        assert np.abs(curve.segments - Curve.polyline(stroke).segments - moves).max() < 1e-9


def test_a_form_on_both_lines_keeps_the_one_and_moves_the_other():
    strokes = [[37 + 0j, 40 - 5j, 43 + 0j], [37 - 15j, 40 - 20j, 43 - 15j]]
    (mark,) = with_allowance(with_notch(*strokes), ["edge 1"], 10.0).marks
    first, second = mark.curves
    assert first.start == 37 + 0j
    assert second.start == pytest.approx(37 - 10j)


def test_the_adjusted_drawing_has_the_notches_and_is_read_again(tmp_path):
    drawn = FORMS.draw(FORMS.FORMS["T"], lines="both", stands="cut")
    path, again = tmp_path / "smock.svg", tmp_path / "fitted.svg"
    path.write_text(drawn.svg, encoding="utf-8")
    session = svgfit.open_drawings(str(path))
    session.run(svgfit.Plan.from_steps("cap-raise piece=Sleeve amount='1/4 in'")).write(str(again))
    sleeve = svgfit.open_drawings(str(again), from_adjusted=True).pieces[0]
    notches = [mark for mark in sleeve.marks if "notch" in mark.kind]
    assert len(notches) == 4
    assert all(len(mark.curves) == 2 for mark in notches)


def test_ticks_are_gathered_for_counting_too():
    assert len(ticks(marks([40 + 0j, 40 - 8j], [36 - 8j, 44 - 8j]), BOX)) == 1
