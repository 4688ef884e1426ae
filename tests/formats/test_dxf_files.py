"""DXFs of every making: entities, blocks, units, letters; and what can't be right is refused in a line."""

from __future__ import annotations

import cmath
import contextlib
import math
import random
import time
from collections.abc import Sequence

import numpy as np
import pytest

from svgfit.formats.dxf.read import read_dxf
from svgfit.formats.dxf.tags import is_dxf
from svgfit.model.file_format import Wishes
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry
from svgfit.svg import parse_file, read_parsed
from tests.formats.dxf_files import TradeFile, box, entities, raw, section, vertices


def drawn(data: bytes, scale: float | None = None):
    """The layers of a DXF by name, as svgfit reads the SVG that it becomes."""
    svg = read_dxf("a.dxf", data, Wishes(scale=scale)).svg
    drawing, _ = read_parsed(parse_file("a.svg", svg), dialects=open_registry(()).dialects())
    return {"/".join(layer.path): layer for layer in drawing.layers}


def curve_of(data: bytes, layer: str = "PART"):
    (shape,) = drawn(data)[layer].shapes
    (curve,) = shape.curves
    return curve


def refusal(data: bytes, scale: float | None = None) -> str:
    with pytest.raises(Refusal) as found:
        read_dxf("a.dxf", data, Wishes(scale=scale))
    line = str(found.value)
    assert line.startswith("a.dxf")
    assert "\n" not in line
    return line


# -- entities ---------------------------------------------------------------------------------------------------------


def test_bulges_are_arcs():
    half = math.tan(math.pi / 4)  # a quarter of the angle's tangent: half a circle
    curve = curve_of(entities(*vertices("PART", [0j, 100 + 0j], bulges=[half, half])))
    assert curve.length() == pytest.approx(math.pi * 100, abs=1e-3)
    left, top, right, bottom = curve.bounds()
    assert (right - left, bottom - top) == pytest.approx((100, 100), abs=1e-3)


def test_a_bulge_bends_to_the_right_side():
    """Positive is anticlockwise, y up: from left to right the arc lies below, which is below on the page as well."""
    curve = curve_of(entities(*vertices("PART", [0j, 100 + 0j], False, [0.5])))
    assert curve.point(len(curve) / 2).imag > curve.start.imag + 20


def test_light_polylines_arcs_circles_and_splines():
    light = [(0, "LWPOLYLINE"), (8, "LIGHT"), (90, 2), (70, 0), (10, 0), (20, 0), (42, 1), (10, 60), (20, 0)]
    arc = [(0, "ARC"), (8, "ARC"), (10, 0), (20, 0), (40, 50), (50, 350), (51, 80)]
    circle = [(0, "CIRCLE"), (8, "CIRCLE"), (10, 0), (20, 0), (40, 50)]
    found = drawn(entities(*light, *arc, *circle))
    lengths = {name: layer.shapes[0].curves[0].length() for name, layer in found.items()}
    assert lengths == pytest.approx({"LIGHT": math.pi * 30, "ARC": math.pi * 50 / 2, "CIRCLE": math.pi * 100}, abs=1e-3)


@pytest.mark.parametrize("weights", [None, [1.0, 2.0, 0.5, 1.0, 3.0, 1.0]])
@pytest.mark.parametrize("degree", [2, 3, 4])
def test_splines_as_another_program_draws_them(degree, weights):
    from ezdxf.math import BSpline

    points = [(0, 0), (40, 90), (100, -30), (150, 60), (220, 10), (260, 80)]
    spline = BSpline(points, order=degree + 1, weights=weights)
    pairs = [(0, "SPLINE"), (8, "PART"), (70, 8), (71, degree)]
    pairs += [(40, knot) for knot in spline.knots()]
    pairs += [(41, weight) for weight in weights or []]
    pairs += [pair for x, y in points for pair in ((10, x), (20, y))]
    curve = curve_of(entities(*pairs))
    expected = [complex(point.x, -point.y) for point in spline.approximate(300)]
    shift = curve.start - expected[0]
    away = max(each for _, each in curve.nearest_each(np.array(expected) + shift))
    assert away < (0.001 if weights is None and degree < 4 else 0.01)


def test_an_entity_seen_from_below_is_mirrored():
    pairs = vertices("PART", [0j, 100 + 0j, 100 + 20j], False)
    there = curve_of(entities(*pairs))
    flipped = curve_of(entities(pairs[0], (230, -1.0), *pairs[1:]))
    assert (there.end - there.start).real == pytest.approx(100)
    assert (flipped.end - flipped.start).real == pytest.approx(-100)


def test_blocks_are_moved_turned_scaled_and_mirrored():
    inside = vertices("0", [0j, 10 + 0j, 10 + 40j], False)
    blocks = [(0, "BLOCK"), (2, "ONE"), (10, 0), (20, 0), *inside, (0, "ENDBLK")]
    insert = [(0, "INSERT"), (8, "PART"), (2, "ONE"), (10, 500), (20, 300), (41, -2), (42, 3), (50, 90)]
    other = [(0, "LINE"), (8, "ZERO"), (10, 0), (20, 0), (11, 1), (21, 0)]
    text = section("HEADER", (9, "$INSUNITS"), (70, 4)) + section("BLOCKS", *blocks)
    found = drawn((text + section("ENTITIES", *insert, *other) + raw((0, "EOF"))).encode())
    curve, zero = found["PART"].shapes[0].curves[0], found["ZERO"].shapes[0].curves[0].start
    placed = [500 + 300j + cmath.rect(1, math.pi / 2) * complex(-2 * x, 3 * y) for x, y in ((0, 0), (10, 40))]
    assert [curve.start - zero, curve.end - zero] == pytest.approx([each.conjugate() for each in placed], abs=1e-3)


def test_kinds_that_are_not_read_are_told():
    data = entities(*box("PART", 0, 0, 300, 200), (0, "3DFACE"), (8, "PART"), (0, "HATCH"), (8, "PART"))
    (warning,) = read_dxf("a.dxf", data, Wishes()).warnings
    assert "1 3DFACE and 1 HATCH" in warning


def test_layers_keep_their_names_and_hidden_ones_are_hidden():
    layers = [(0, "TABLE"), (2, "LAYER"), (0, "LAYER"), (2, "Old lines"), (70, 0), (62, -7), (0, "ENDTAB")]
    text = section("HEADER", (9, "$INSUNITS"), (70, 4)) + section("TABLES", *layers)
    text += section("ENTITIES", *box("Sleeve cut line", 0, 0, 300, 200), *box("OLD LINES", 0, 0, 30, 20))
    found = drawn((text + raw((0, "EOF"))).encode())
    assert {name: layer.hidden for name, layer in found.items()} == {"Sleeve cut line": False, "OLD LINES": True}


def looks_of(data: bytes) -> list[tuple[str | None, tuple[float, ...], float]]:
    return [
        (shape.style.colour, shape.style.dash, shape.style.width)
        for layer in drawn(data).values()
        for shape in layer.shapes
    ]


@pytest.mark.parametrize(("mm", "number"), [(1.0, 4), (25.4, 1)])
def test_colours_dashes_and_widths_are_the_lines_own_or_their_layers(mm, number):
    """Written by another library; patterns are lengths in the file's unit, times two scales."""
    import io

    import ezdxf

    document = ezdxf.new("R2010", units=number)
    document.header["$LTSCALE"] = 2.0
    document.linetypes.add("BROKEN", [9.0 / mm, 6.0 / mm, -3.0 / mm])
    document.linetypes.add("DOTTED", [2.0 / mm, 0.0, -2.0 / mm])
    document.layers.add("NEST", color=5, linetype="BROKEN", lineweight=50)
    space = document.modelspace()
    own = ({}, {"color": 1, "linetype": "CONTINUOUS"}, {"true_color": 0x123456, "linetype": "DOTTED", "lineweight": 25})
    for row, each in enumerate((*own, {"ltscale": 0.5})):
        ends = [(x / mm, 100 * row / mm) for x in (0, 300)]
        space.add_lwpolyline(ends, dxfattribs={"layer": "NEST", **each})
    out = io.StringIO()
    document.write(out)
    found = looks_of(out.getvalue().encode())
    assert [look[0] for look in found] == ["#0000ff", "#ff0000", "#123456", "#0000ff"]
    assert [look[1] for look in found[:2]] == [pytest.approx((12, 6)), ()]
    assert found[2][1][1] == pytest.approx(4)
    assert found[3][1] == pytest.approx((6, 3))
    assert [look[2] for look in found] == pytest.approx([0.5, 0.5, 0.25, 0.5])


# -- units ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("units", "mm"), [(1, 25.4), (4, 1.0), (5, 10.0)])
def test_the_header_says_the_unit(units, mm):
    data = entities(*box("PART", 0, 0, 12, 40), header=[(9, "$INSUNITS"), (70, units)])
    assert curve_of(data).length() == pytest.approx(104 * mm)


def test_a_unit_that_nothing_says_is_asked_for():
    data = entities(*box("PART", 0, 0, 12, 40), header=[])
    assert "--scale 25.4 for millimetres, --scale 1 for inches" in refusal(data)
    found = drawn(data, scale=1.0)
    assert found["PART"].shapes[0].curves[0].length() == pytest.approx(104 * 25.4)


def test_a_guess_of_the_unit_is_told():
    data = entities(*box("PART", 0, 0, 300, 400), header=[(9, "$MEASUREMENT"), (70, 1)])
    found = read_dxf("a.dxf", data, Wishes())
    assert "a guess" in found.scale_from
    assert any("are a guess" in text for text in found.warnings)


@pytest.mark.parametrize(("size", "says"), [(18, "18 mm"), (45_000, "45 m")])
def test_a_unit_that_gives_no_pattern_is_refused(size, says):
    assert f"the largest piece would be {says} long" in refusal(entities(*box("PART", 0, 0, 12, size)))


def test_a_text_and_a_header_that_differ():
    """The standard's text is believed, and that they differ is told."""
    text = [(0, "TEXT"), (8, "1"), (10, 0), (20, 0), (40, 1), (1, "Units: ENGLISH")]
    found = read_dxf("a.dxf", entities(*text, *box("1", 0, 0, 12, 40)), Wishes())
    assert found.scale_from.startswith("inches")
    assert any("Units: ENGLISH in a text and millimetres in its header" in each for each in found.warnings)


# -- letters ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("page", "encoding", "word"),
    [
        ("ANSI_1252", "cp1252", "Ärmel"),
        ("ANSI_932", "cp932", "袖"),
        ("ANSI_1251", "cp1251", "Рукав"),
        ("", "utf-8", "Manga corta ñ"),
        ("ANSI_1252", "utf-16", "Manche été"),
        ("ANSI_1252", "ascii", r"\U+0041rm\U+00E9"),
    ],
)
def test_code_pages(page, encoding, word):
    header = [(9, "$ACADVER"), (1, "AC1009"), *([(9, "$DWGCODEPAGE"), (3, page)] if page else [])]
    text = section("HEADER", *header, (9, "$INSUNITS"), (70, 4))
    text += section("ENTITIES", *box("1", 0, 0, 300, 400), (0, "TEXT"), (8, "1"), (10, 5), (20, 5), (1, word))
    data = (text + raw((0, "EOF"))).encode(encoding)
    assert is_dxf(data[:4096])
    texts = [each.text.content for layer in drawn(data).values() for each in layer.texts]
    assert texts == ["Armé" if encoding == "ascii" else word]


def test_an_unknown_code_page_is_told():
    data = entities(*box("PART", 0, 0, 300, 400), (0, "TEXT"), (8, "1"), (10, 5), (20, 5), (1, "Arm")).replace(
        b"Arm", b"\xc4rm"
    )
    assert any("code page" in text for text in read_dxf("a.dxf", data, Wishes()).warnings)


# -- pieces -----------------------------------------------------------------------------------------------------------


def trade(*blocks: tuple[str, list], inserts: list[str] | None = None) -> bytes:
    """Blocks with what is in them, inserted where they are."""
    inside = [pair for name, pairs in blocks for pair in ((0, "BLOCK"), (2, name), *pairs, (0, "ENDBLK"))]
    placed = [
        pair
        for name in ([name for name, _ in blocks] if inserts is None else inserts)
        for pair in ((0, "INSERT"), (8, "1"), (2, name), (10, 0), (20, 0))
    ]
    units = [(0, "TEXT"), (8, "1"), (10, 0), (20, 0), (1, "Units: METRIC")]
    return (section("BLOCKS", *inside) + section("ENTITIES", *units, *placed) + raw((0, "EOF"))).encode()


def said(*lines: str) -> list:
    return [pair for line in lines for pair in ((0, "TEXT"), (8, "1"), (10, 9), (20, 9), (1, line))]


def test_a_piece_without_texts_is_named_by_its_block():
    found = drawn(trade(("CUFF", box("1", 0, 0, 300, 100))))
    assert list(found) == ["CUFF cut line"]


def test_a_size_that_only_the_block_names():
    both = [("CUFF-10", box("1", 0, 0, 300, 100)), ("CUFF-12", box("1", 0, 0, 320, 100))]
    found = drawn(trade(*((name, pairs + said("Piece Name: CUFF")) for name, pairs in both)))
    assert [name for name in found if name.endswith("line")] == ["Size 10/CUFF cut line", "Size 12/CUFF cut line"]


def test_names_that_a_layer_cannot_hold_are_told():
    pairs = box("1", 0, 0, 300, 100) + said("Piece Name: OLD COLLAR/STAND", "Size: 10-12 TALL")
    data = trade(("A", pairs))
    assert list(drawn(data))[1] == "Size 10.12.TALL/Piece OLD COLLAR,STAND cut line"
    assert any("'OLD COLLAR/STAND' in size '10-12 TALL'" in text for text in read_dxf("a.dxf", data, Wishes()).warnings)


def test_a_piece_that_nothing_names_is_told():
    found = read_dxf("a.dxf", entities(*box("1", 0, 0, 300, 100)), Wishes())
    assert "piece: the file gives it no name" in found.warnings


def test_blocks_and_lines_that_are_no_piece_are_told():
    cuff, loose = ("CUFF", box("1", 0, 0, 300, 100)), raw(*vertices("8", [0j, 90 + 0j], False))
    data = trade(cuff, ("TITLE", box("8", 0, 0, 300, 100)))
    data = data.replace(b"0\nSECTION\n2\nENTITIES\n", b"0\nSECTION\n2\nENTITIES\n" + loose.encode())
    told = {text for text in read_dxf("a.dxf", data, Wishes()).warnings if "left out" in text}
    assert told == {
        "blocks with lines but no outline (layers 1 and 14) are left out: TITLE",
        "lines outside of blocks are left out",
    }
    assert not any("left out" in text for text in read_dxf("a.dxf", trade(cuff), Wishes()).warnings)


def test_outlines_outside_of_blocks_are_read_beside_a_block_that_is_no_piece():
    data = trade(("TITLE", vertices("8", [0j, 90 + 0j], False)))
    loose = raw(*box("1", 0, 0, 300, 100))
    data = data.replace(b"0\nSECTION\n2\nENTITIES\n", b"0\nSECTION\n2\nENTITIES\n" + loose.encode())
    assert list(drawn(data)) == ["piece cut line", "piece text"]


def test_two_blocks_of_one_name_are_refused_and_one_placed_twice_is_read_once():
    cuff = box("1", 0, 0, 300, 100) + said("Piece Name: CUFF", "Size: 10")
    assert "'A' and 'B' are both CUFF (10)" in refusal(trade(("A", cuff), ("B", cuff)))
    twice = trade(("A", cuff), inserts=["A", "A"])
    assert any("placed 2 times" in text for text in read_dxf("a.dxf", twice, Wishes()).warnings)
    assert len(drawn(twice)["Size 10/CUFF cut line"].shapes) == 1


def test_a_block_that_nothing_inserts_is_read_and_told():
    data = trade(("A", box("1", 0, 0, 300, 100)), ("B", box("1", 0, 0, 300, 90)), inserts=["A"])
    assert list(drawn(data)) == ["A cut line", "B cut line"]
    assert any("nothing inserts" in text and "B" in text for text in read_dxf("a.dxf", data, Wishes()).warnings)


def test_pieces_that_lie_on_one_another_are_set_side_by_side_and_sizes_are_not():
    def cuff(name: str, size: int, width: int) -> tuple[str, list]:
        return f"{name}-{size}", box("1", 0, 0, width, 100) + said(f"Piece Name: {name}", f"Size: {size}")

    found = drawn(trade(cuff("CUFF", 10, 300), cuff("CUFF", 12, 320), cuff("TAB", 10, 200), cuff("TAB", 12, 220)))
    lefts = {name: layer.shapes[0].curves[0].bounds()[0] for name, layer in found.items() if layer.shapes}
    assert lefts["Size 10/CUFF cut line"] == pytest.approx(lefts["Size 12/CUFF cut line"])
    assert lefts["Size 10/TAB cut line"] == pytest.approx(lefts["Size 10/CUFF cut line"] + 320 + 20)


def test_lines_one_after_another_are_one_outline():
    corners = [0j, 300 + 0j, 300 + 100j, 100j]
    lines = [
        pair
        for a, b in zip(corners, [*corners[1:], 0j], strict=True)
        for pair in ((0, "LINE"), (8, "1"), (10, a.real), (20, a.imag), (11, b.real), (21, b.imag))
    ]
    (shape,) = drawn(trade(("CUFF", lines)))["CUFF cut line"].shapes
    assert shape.closed == (True,)


def test_quality_curves_grade_rules_and_references_are_left_out():
    pairs = box("1", 0, 0, 300, 100) + box("84", 0, 0, 300, 100) + vertices("10", [0j, 50 + 0j], False)
    found = drawn(trade(("CUFF", pairs + said("# 3"))))
    assert list(found) == ["CUFF cut line"]
    notes = read_dxf("a.dxf", trade(("CUFF", pairs + said("# 3"))), Wishes()).notes
    assert any("lines on layer 10" in note and "grade rules" in note for note in notes)


def test_a_mirror_line_through_a_whole_piece_is_no_fold():
    fold = vertices("6", [0j, 100j], False)
    through = vertices("6", [150 + 0j, 150 + 100j], False)
    assert "CUFF fold line" in drawn(trade(("CUFF", box("1", 0, 0, 300, 100) + fold)))
    assert "CUFF centre line" in drawn(trade(("CUFF", box("1", 0, 0, 300, 100) + through)))


@pytest.mark.parametrize(("at", "told"), [((150, 100), False), ((150, 130), True)])
def test_a_notch_on_no_line_is_told(at, told):
    point = [(0, "POINT"), (8, "4"), (10, at[0]), (20, at[1])]
    data = trade(("CUFF", box("1", 0, 0, 300, 100) + point))
    assert ("CUFF notches" in drawn(data)) is not told
    assert any("a notch lies on no line" in text for text in read_dxf("a.dxf", data, Wishes()).warnings) is told


def test_turn_points_that_lie_on_no_line_are_told():
    point = [(0, "POINT"), (8, "2"), (10, 33), (20, 44)]
    data = trade(("CUFF", box("1", 0, 0, 300, 100) + point))
    assert any("on no line" in text for text in read_dxf("a.dxf", data, Wishes()).warnings)


def test_corners_stay_corners_where_nothing_marks_them():
    """A cuff with cut corners: no chord of it is a curve's."""
    points = [0j, 290 + 0j, 300 + 10j, 300 + 90j, 290 + 100j, 100j]
    curve = drawn(trade(("CUFF", vertices("1", points))))["CUFF cut line"].shapes[0].curves[0]
    assert all(curve.subcurve(k, k + 1).is_straight(1e-6) for k in range(len(curve)))


# -- what can't be right ----------------------------------------------------------------------------------------------

GOOD = entities(*box("PART", 0, 0, 300, 200))


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(50), "binary DXF"),
        (GOOD[: GOOD.index(b"SEQEND")], "ends in the middle"),
        (GOOD.replace(b"300.0", b"3OO", 1), "'3OO' is no number"),
        (GOOD.replace(b"300.0", b"1e300", 1), "'1e300' is no coordinate"),
        (GOOD.replace(b"300.0", b"nan", 1), "'nan' is no coordinate"),
        (GOOD.replace(b"\n10\n", b"\nten\n", 1), "'ten' is no group code"),
        (GOOD.replace(b"SEQEND", b"LINE", 1), "a POLYLINE has no end"),
        (entities((0, "INSERT"), (2, "NONE"), (10, 0), (20, 0)), "the block 'NONE' is inserted, and there is none"),
        (entities((0, "TEXT"), (1, "nothing"), (10, 0), (20, 0)), "draws no lines"),
        (entities(*box("PART", 0, 0, 300, 200), header=[(9, "$INSUNITS"), (70, "x")]), "does not say its unit"),
        (entities(*box("PART", 0, 0, 300, 200), header=[(9, "$INSUNITS"), (70, "²")]), "does not say its unit"),
        (trade(("A", box("1", 9, 9, 1e-9, 1e-9) + vertices("6", [0j, 99j], False))), "has no outline, on layers 1"),
        (trade(("A", [(0, "INSERT"), (2, "A"), (10, 0), (20, 0)])), "blocks lie in blocks"),
        (
            trade(("A", box("1", 0, 0, 300, 100))).replace(b"METRIC", b"CUBITS"),
            "neither METRIC nor",
        ),
    ],
)
def test_refused_in_a_line(data, why):
    assert why in refusal(data)


def spline(controls: int, weights: Sequence[float] = (), fits: Sequence[tuple[float, float]] = ()) -> list:
    """A cubic spline of one span through as many control points, or through points."""
    pairs: list[tuple[int, object]] = [(0, "SPLINE"), (8, "PART"), (70, 0), (71, 3)]
    pairs += [(40, knot) for knot in (0, 0, 0, 0, 1, 1, 1, 1)[: 2 * controls]]
    pairs += [(41, weight) for weight in weights]
    pairs += [pair for k in range(controls) for pair in ((10, 100 * k), (20, 50 * k * k))]
    return pairs + [pair for x, y in fits for pair in ((11, x), (21, y))]


@pytest.mark.parametrize("weights", [(0, 1, 1, 1), (0, 0, 0, 0), (1, -1, 1, -1)])
def test_a_spline_s_weights_are_above_nothing(weights):
    assert "a SPLINE has a weight that is not above 0" in refusal(entities(*spline(4, weights)))


def test_points_that_a_spline_goes_through_twice_running_count_once():
    fits = [(0.0, 0.0), (100.0, 40.0), (200.0, 0.0)]
    twice = [fits[0], fits[0], fits[1], fits[2], fits[2]]
    assert np.array_equal(
        curve_of(entities(*spline(0, fits=twice))).segments, curve_of(entities(*spline(0, fits=fits))).segments
    )
    assert "draws no lines" in refusal(entities(*spline(0, fits=[(9, 9), (9, 9)])))


@pytest.mark.parametrize("scale", ["nan", "inf", "x"])
def test_a_scale_of_dashes_that_is_none_counts_as_1(scale):
    dashed = [(0, "LTYPE"), (2, "DASHED"), (49, 6), (49, -3)]
    line = [(0, "LINE"), (8, "PART"), (6, "DASHED"), (10, 0), (20, 0), (11, 200), (21, 0)]
    header = section("HEADER", (9, "$INSUNITS"), (70, 4), (9, "$LTSCALE"), (40, scale))
    data = (header + section("TABLES", *dashed) + section("ENTITIES", *line) + raw((0, "EOF"))).encode()
    assert drawn(data)["PART"].shapes[0].style.dash == (6, 3)


@pytest.mark.parametrize("scale", [0.0, -96.0, math.nan, math.inf])
def test_a_scale_that_is_none_is_refused(scale):
    with pytest.raises(Refusal, match=r"--scale: .* is no scale"):
        read_dxf("a.dxf", GOOD, Wishes(scale=scale))


@pytest.mark.slow
def test_far_too_many_copies_are_refused_soon():
    """Rows and columns of blocks in blocks, a few lines that would draw without end."""

    def holding(name: str, many: int) -> list:
        return [(0, "INSERT"), (2, name), (10, 0), (20, 0), (70, many), (71, many), (44, 1), (45, 1)]

    started = time.monotonic()
    inside = [("A", box("1", 0, 0, 300, 100)), ("B", holding("A", 30_000))]
    assert "inserted 900000000 times at once" in refusal(trade(*inside, inserts=["B"]))
    inside = [("A", box("1", 0, 0, 300, 100)), ("B", holding("A", 99)), ("C", holding("B", 99))]
    assert "draws more than" in refusal(trade(*inside, inserts=["C"]))
    assert time.monotonic() - started < 30


def test_the_program_says_it_in_a_line(svgfit, tmp_path):
    path = tmp_path / "broken.dxf"
    path.write_bytes(GOOD[:-40])
    done = svgfit("measure", path)
    assert (done.status, done.out) == (2, "")
    assert done.err.startswith("svgfit: ")
    assert done.err.count("\n") == 1


@pytest.mark.parametrize(
    "seed", [pytest.param(seed, marks=() if seed < 12 else pytest.mark.slow) for seed in range(150)]
)
def test_broken_at_random(seed, sample):
    """A broken DXF is read or refused; nothing else."""
    chance = random.Random(seed)
    broken = _broken(chance, sample)
    with contextlib.suppress(Refusal):
        read_dxf("a.dxf", broken, Wishes())


@pytest.fixture(scope="module")
def sample() -> bytes:
    import svgfit
    from tests.cli.conftest import DEMOS

    file = TradeFile()
    for piece in svgfit.open_drawings(DEMOS / "smock.svg").pieces:
        file.piece(piece, 6)
    return file.data()


def _broken(chance: random.Random, data: bytes) -> bytes:
    lines, way = data.split(b"\n"), chance.randrange(6)
    at = chance.randrange(len(lines))
    if way == 0:
        return data[: chance.randrange(len(data))]
    if way == 1:
        changed = bytearray(data)
        for _ in range(chance.choice((1, 5, 100))):
            changed[chance.randrange(len(changed))] = chance.randrange(256)
        return bytes(changed)
    if way == 2:
        del lines[at : at + chance.choice((1, 2, 40))]
    elif way == 3:
        odd = (b"nan", b"1e400", b"-1", b"", b"0", b"INSERT", b"99999999", b"ENDBLK", b"SECTION", b"EOF", b"\xff")
        for _ in range(chance.choice((1, 4, 40))):
            lines[chance.randrange(len(lines))] = chance.choice(odd)
    elif way == 4:
        lines[at:at] = lines[chance.randrange(len(lines)) :][:2000]
    else:
        other = chance.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    return b"\n".join(lines)
