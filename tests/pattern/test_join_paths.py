"""Outlines as people draw them: in parts, twice, dashed, with slips of the hand, beside other marks."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.length import both_ways_text
from svgfit.model.refusal import Refusal
from svgfit.pattern.cleanup.duplicates import covered, same_curve
from svgfit.pattern.corners import find_sides
from svgfit.pattern.outline import Outline, find_outline
from tests.fitting.sleeves import Shape, shapes, sleeve

some = settings(max_examples=25, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
BOX = Curve.polyline([0j, 100 + 0j, 100 + 200j, 200j, 0j])
SIDES = [Curve.polyline([a, b]) for a, b in itertools.pairwise([0j, 100 + 0j, 100 + 200j, 200j, 0j])]


def found(*curves: Curve) -> Outline:
    return find_outline([Drawn((curve,), (curve.is_closed(),)) for curve in curves], "here")


def mixed(curves: list[Curve], seed: int) -> list[Curve]:
    """In another order, some the other way."""
    chance = random.Random(seed)
    turned = [curve.reverse() if chance.random() < 0.5 else curve for curve in curves]
    chance.shuffle(turned)
    return turned


def cut_up(loop: Curve, places: list[float]) -> list[Curve]:
    cuts = [0.0, *sorted({round(share * len(loop), 3) for share in places}), float(len(loop))]
    return [loop.subcurve(a, b) for a, b in itertools.pairwise(cuts) if b - a > 1e-3]


def rounded(curve: Curve, digits: int = 3) -> Curve:
    return Curve(np.round(curve.segments, digits))


def dashed(loop: Curve, pattern: tuple[float, ...], offset: float = 0.0) -> list[Curve]:
    """The strokes of a dashed line as files hold them: on, off, on … in mm, three digits."""
    strokes: list[Curve] = []
    at, length = -offset, loop.length()
    for k, size in enumerate(itertools.cycle(pattern)):
        low, high = max(at, 0.0), min(at + size, length)
        if k % 2 == 0 and high - low > 1e-3:
            strokes.append(rounded(loop.subcurve(loop.at_length(low, 1e-5), loop.at_length(high, 1e-5))))
        at += size
        if at >= length:
            return strokes
    return strokes


def polygon(loop: Curve) -> Polygon:
    points = loop.points(np.linspace(0, len(loop), 200 * len(loop) + 1)[:-1])
    return Polygon(np.column_stack([points.real, points.imag]))


# -- in parts --------------------------------------------------------------------------------------------------------


@given(shapes, st.lists(st.floats(0.01, 0.99), max_size=10), st.integers(0, 10**6))
@some
def test_parts_in_any_order_and_direction(shape: Shape, places: list[float], seed: int) -> None:
    loop = sleeve(shape).outline()
    outline = found(*mixed(cut_up(loop, places), seed))
    assert outline.gaps == ()
    assert outline.notes == ()
    assert outline.loop.is_closed(0.0)
    assert outline.loop.length() == pytest.approx(loop.length(), abs=0.05)  # parts under the joining distance may go
    assert len(find_sides(outline.loop)) == 4


@given(shapes, st.lists(st.floats(0.02, 0.98), min_size=1, max_size=6), st.integers(0, 10**6))
@some
def test_ends_that_are_a_little_apart_meet_in_their_middle(shape: Shape, places: list[float], seed: int) -> None:
    """Each part shifted by up to 0.12 mm: no gap, no further segment, no false corner; checked with shapely too."""
    loop = sleeve(shape).outline()
    chance = random.Random(seed)
    parts = [part for part in cut_up(loop, places) if part.length() > 3]
    shaken = [
        p.transform(Affine.shift(complex(chance.uniform(-0.08, 0.08), chance.uniform(-0.08, 0.08)))) for p in parts
    ]
    if sum(p.length() for p in parts) < loop.length() - 0.2:
        return
    outline = found(*mixed(shaken, seed))
    assert outline.gaps == ()
    assert len(outline.loop) == sum(len(part) for part in parts)
    assert len(find_sides(outline.loop)) == 4
    assert polygon(outline.loop).symmetric_difference(polygon(loop)).area < 0.25 * loop.length()


def test_a_joint_stays_in_the_middle_and_lines_stay_straight() -> None:
    outline = found(SIDES[0], Curve.polyline([100.3 + 0j, 100 + 200j]), *SIDES[2:])
    assert len(outline.loop) == 4
    assert min(abs(outline.loop.segments[:, 0] - 100.15)) < 1e-12
    assert len(find_sides(outline.loop)) == 4


def test_fine_polylines_in_pieces_smaller_than_the_joining_distance() -> None:
    """2000 lines of 0.3 mm each: their ends meet exactly, though many more lie within 0.5 mm."""
    points = [100 * np.exp(2j * np.pi * k / 2000) for k in range(2000)]
    parts = [Curve.polyline([a, b]) for a, b in itertools.pairwise([*points, points[0]])]
    outline = found(*mixed(parts, 3))
    assert outline.gaps == ()
    assert len(outline.loop) == 2000


def test_lines_that_meet_the_outline_are_no_part_of_it() -> None:
    """A grain line from hem to top, a dart line from a corner, a tick beside it."""
    across = Curve.polyline([0j, 100 + 200j])
    dart = Curve.polyline([100 + 0j, 60 + 60j])
    tick = Curve.polyline([-8 + 50j, -2 + 50j])
    outline = found(*mixed([*SIDES, across, dart, tick], 5))
    assert same_curve(outline.loop, BOX)
    assert outline.gaps == ()
    assert any("stray line(s) on its layer left out" in note for note in outline.notes)


def test_strays_are_not_bridged_to_where_the_outline_is_open() -> None:
    """The gap is told, and nothing else: the tick and the grain line beside it are left out with a note."""
    grain = Curve.polyline([50 + 20j, 50 + 180j])
    tick = Curve.polyline([-9 + 100j, -3 + 100j])
    open_side = Curve.polyline([200j, 5j])
    outline = found(*mixed([*SIDES[:3], open_side, grain, tick], 7))
    assert len(outline.gaps) == 1
    assert abs(outline.gaps[0][1] - outline.gaps[0][0]) == pytest.approx(5)
    assert outline.loop.length() == pytest.approx(600)
    assert "2 stray line(s) on its layer left out, the longest 160.0 mm (6 5/16 in) long" in both_ways_text(
        outline.notes[0]
    )


def test_the_largest_gap_comes_first() -> None:
    parts = [Curve.polyline([2 + 0j, 100 + 0j]), SIDES[1], Curve.polyline([95 + 200j, 200j]), SIDES[3]]
    sizes = [abs(b - a) for a, b in found(*mixed(parts, 1)).gaps]
    assert sizes == pytest.approx([5, 2])


def test_a_stretch_drawn_by_two_lines_counts_once() -> None:
    long = Curve.polyline([0j, 60 + 0j])
    late = Curve.polyline([52 + 0j, 100 + 0j, 100 + 200j])
    outline = found(long, late, *SIDES[2:])
    assert outline.gaps == ()
    assert outline.loop.length() == pytest.approx(600)


def test_a_part_of_a_line_lies_on_it_without_a_look_at_its_places(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(3)
    points = [complex(chance.uniform(0, 900), chance.uniform(0, 900)) for _ in range(2000)]
    tangle = Curve.polyline(points)
    assert not covered(Curve.polyline([points[0], points[0] + 5j]), tangle)
    monkeypatch.setattr(Curve, "nearest", None)
    for part in (tangle, tangle.subcurve(20, 1500), tangle.subcurve(20, 1500).reverse()):
        assert covered(part, tangle)


def test_too_many_open_lines_are_refused_at_once() -> None:
    shape = Drawn(tuple(Curve.polyline([complex(k), complex(k, 5)]) for k in range(5001)), (False,) * 5001)
    with pytest.raises(Refusal, match="5001 separate open lines"):
        find_outline([shape], "here")


# -- twice -----------------------------------------------------------------------------------------------------------


@given(shapes, st.integers(1, 6), st.booleans(), st.booleans())
@some
def test_fill_and_stroke_are_one_outline(shape: Shape, start: int, backwards: bool, opened: bool) -> None:
    loop = sleeve(shape).outline()
    copy = Curve(np.roll(loop.segments, -start, axis=0)).transform(Affine.shift(0.02 + 0.03j))
    copy = copy.reverse() if backwards else copy
    shapes_drawn = [Drawn((loop,), (True,)), Drawn((copy,), (not opened,))]
    outline = find_outline(shapes_drawn, "here")
    assert outline.notes == ()
    assert outline.loop.length() == pytest.approx(loop.length(), abs=1e-6)


def test_parts_drawn_twice_are_one_outline() -> None:
    outline = found(*mixed([*SIDES, *(side.reverse() for side in SIDES), BOX.subcurve(1, 3)], 4))
    assert same_curve(outline.loop, BOX)
    assert outline.notes == ()
    assert outline.loop.length() == pytest.approx(600)


def test_an_expanded_stroke_is_the_line_in_its_middle() -> None:
    outer = Curve.polyline([-0.3 - 0.3j, 100.3 - 0.3j, 100.3 + 200.3j, -0.3 + 200.3j, -0.3 - 0.3j])
    inner = Curve.polyline([0.3 + 199.7j, 99.7 + 199.7j, 99.7 + 0.3j, 0.3 + 0.3j, 0.3 + 199.7j])
    outline = find_outline([Drawn((outer, inner), (True, True))], "here")
    assert outline.loop.length() == pytest.approx(600, abs=1e-9)
    assert "expanded stroke" in outline.notes[0]
    pocket = Curve.polyline([20 + 20j, 60 + 20j, 60 + 60j, 20 + 60j, 20 + 20j])
    assert find_outline([Drawn((BOX, pocket), (True, True))], "here").loop.length() == pytest.approx(600)


# -- dashed ----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(
    shapes,
    st.sampled_from([(6, 3), (4, 4), (10, 5), (3, 1.5), (12, 12), (5, 8), (30, 6), (8, 3, 2, 3), (6, 2, 0.2, 2)]),
    st.floats(0, 9),
    st.integers(0, 10**6),
)
@some
def test_a_dashed_line_cut_into_strokes_is_one_line(
    shape: Shape, pattern: tuple[float, ...], offset: float, seed: int
) -> None:
    loop = sleeve(shape).outline()
    strokes = dashed(loop, pattern, offset)
    outline = found(*mixed(strokes, seed))
    assert outline.gaps == ()
    assert outline.loop.is_closed(0.0)
    # What a tight bend did inside a wide gap can't be known: two to three thousandths there.
    within = 1e-3 if max(pattern[1::2]) <= 8 else 3e-3
    assert outline.loop.length() == pytest.approx(loop.length(), rel=within)
    assert len(find_sides(outline.loop)) == 4
    assert len(outline.loop) < len(strokes)
    assert outline.notes[0].startswith("outline: joined from ")
    assert outline.notes[0].endswith(" strokes of a dashed line")
    assert polygon(outline.loop).symmetric_difference(polygon(loop)).area < 0.1 * loop.length()


def test_a_dashed_line_with_strokes_rubbed_out_has_a_gap_there() -> None:
    strokes = dashed(BOX, (6, 3))
    kept = [one for one in strokes if not (one.start.real == 100 and 80 < one.start.imag < 120)]
    outline = found(*mixed(kept, 2))
    assert len(outline.gaps) == 1
    first, second = outline.gaps[0]
    assert {first.real, second.real} == {100.0}
    assert 35 < abs(second - first) < 55
    assert outline.loop.length() == pytest.approx(600, abs=0.1)


# -- slips of the hand -----------------------------------------------------------------------------------------------


@given(shapes, st.floats(0.05, 0.95), st.floats(0.004, 0.09), st.floats(-3.14, 3.14), st.sampled_from(["step", "hook"]))
@some
def test_a_speck_in_a_smooth_edge_is_no_corner(shape: Shape, share: float, size: float, way: float, kind: str) -> None:
    loop = sleeve(shape).outline()
    before, after = loop.split(round(share * len(loop), 3))
    there = before.end + size * np.exp(1j * way)
    if kind == "step":
        segments = after.segments.copy()
        segments[0, 0] = there
        after = Curve(segments)
        parts = [before, Curve.polyline([before.end, there]), after]
    else:
        parts = [before, Curve.polyline([before.end, there, before.end]), after]
    outline = found(Curve.chain(parts))
    assert len(find_sides(outline.loop)) == 4
    assert outline.loop.length() == pytest.approx(loop.length(), abs=0.2)


def test_handles_of_no_length_and_nodes_set_twice_are_no_corners() -> None:
    loop = sleeve(Shape()).outline()
    segments = loop.segments.copy()
    segments[1, 1] = segments[1, 0] + 0.003j  # rounding left a stump that points down
    doubled = Curve.chain([Curve(segments[:2]), Curve.polyline([loop.point(2), loop.point(2)]), Curve(segments[2:])])
    assert len(find_sides(found(doubled).loop)) == 4


def test_a_closing_line_of_a_hundredth_is_no_side() -> None:
    almost = Curve.polyline([0j, 100 + 0j, 100 + 200j, 200j, 0.006 + 0.008j])
    outline = find_outline([Drawn((almost,), (True,))], "here")
    assert len(outline.loop) == 4
    assert len(find_sides(outline.loop)) == 4
