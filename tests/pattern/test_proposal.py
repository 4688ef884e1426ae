"""A convention proposed from a drawing: what is guessed from shape, what is asked, that it reads as it is written."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import DrawnText, Layer, LineStyle, Shape, Text
from svgfit.pattern.convention import Convention, Role, builtin_convention, parse_convention
from svgfit.pattern.line_roles import roles_by_shape
from svgfit.pattern.proposal import Page, Proposal, propose

PAGE = (1000.0, 800.0)
ASKED = 'pieces."*"."seam allowance"'


def polygon(*points: complex, closed: bool = True) -> Curve:
    row = [*points, points[0]] if closed else [*points]
    return Curve.polyline(row)


def box(left: float, top: float, wide: float, high: float) -> Curve:
    at = complex(left, top)
    return polygon(at, at + wide, at + complex(wide, high), at + 1j * high)


def line(start: complex, end: complex) -> Curve:
    return polygon(start, end, closed=False)


def layer(
    name: str, *curves: Curve, texts: tuple[str, ...] = (), at: complex = 200 + 200j, style: LineStyle | None = None
) -> Layer:
    look = style or LineStyle("#000000", 0.3)
    shapes = tuple(Shape((curve,), (curve.is_closed(),), style=look) for curve in curves)
    writing = tuple(DrawnText(Text(text, at, 1 + 0j, 5.0)) for text in texts)
    return Layer("x.svg", name, (name,), None, False, False, shapes, writing)


def taken(*layers: Layer) -> dict[str, str | None]:
    return {one.layer.name: one.role for one in roles_by_shape(layers, builtin_convention(), PAGE)}


def proposed(layers: Sequence[Layer], convention: Convention, own: str | None = None) -> Proposal:
    return propose([Page("x.svg", tuple(layers), PAGE)], convention, own)


PIECE = layer("A", box(100, 100, 300, 500))


def test_what_no_name_tells_is_known_by_its_shape():
    assert taken(
        PIECE,
        layer("B", line(100 + 300j, 106 + 300j), line(400 + 200j, 394 + 200j)),
        layer("C", line(250 + 150j, 250 + 500j), line(250 + 150j, 247 + 156j)),
        layer("D", line(100 + 150j, 100 + 500j)),
        layer("E", texts=("cut 2",)),
        layer("F", box(600, 100, 50, 50)),
        layer("words", texts=("50 mm",), at=610 + 130j),
        layer("G", box(5, 5, 990, 790)),
        layer("H", polygon(150 + 350j, 250 + 420j, 300 + 350j, closed=False)),
    ) == {
        "A": Role.CUT_LINE,
        "B": Role.NOTCHES,
        "C": Role.GRAIN_LINE,
        "D": Role.FOLD_LINE,
        "E": Role.TEXT,
        "F": Role.TEST_SQUARE,
        "words": Role.TEXT,
        "G": Role.IGNORE,
        "H": Role.DETAILS,
    }


@pytest.mark.parametrize("wide", [5.0, 15.875, 40.0])
def test_a_line_within_another_is_the_stitch_line(wide):
    outer = layer("A", box(100, 100, 300, 500), box(600, 100, 200, 300))
    inner = layer(
        "B",
        box(100 + wide, 100 + wide, 300 - 2 * wide, 500 - 2 * wide),
        box(600 + wide, 100 + wide, 200 - 2 * wide, 300 - 2 * wide),
    )
    assert taken(outer, inner) == {"A": Role.CUT_LINE, "B": Role.STITCH_LINE}
    assert taken(inner, outer) == {"A": Role.CUT_LINE, "B": Role.STITCH_LINE}


def test_the_place_of_a_pocket_is_a_detail_and_a_piece_beside_an_outline():
    assert taken(PIECE, layer("B", box(150, 200, 100, 100)))["B"] == Role.DETAILS
    assert taken(PIECE, layer("B", box(450, 200, 100, 100)))["B"] == Role.CUT_LINE


def test_grain_lines_among_other_lines_are_the_grain():
    mixed = layer("All", box(150, 200, 100, 100), line(300 + 150j, 300 + 500j), line(100 + 150j, 100 + 500j))
    assert taken(PIECE, mixed)["All"] == Role.GRAIN_LINE


def test_what_a_name_says_is_no_guess():
    known = roles_by_shape([PIECE, layer("Sleeve stitch line", box(500, 100, 300, 300))], builtin_convention(), PAGE)
    assert [(one.role, one.piece, bool(one.guess)) for one in known] == [
        (Role.CUT_LINE, None, True),
        (Role.STITCH_LINE, "Sleeve", False),
    ]


def read_back(*layers: Layer) -> dict[str, str | None]:
    convention = parse_convention(proposed([*layers], builtin_convention()).text)
    found = {each.name: convention.role_of(each.path) for each in layers}
    return {name: None if role is None else role.role for name, role in found.items()}


@pytest.mark.parametrize("name", ["A", 'x "y" \\ z', "Lage ü", "  two   spaces ", "袖", "a#b = c"])
def test_the_text_says_what_was_taken(name):
    every = (
        layer(name, box(100, 100, 300, 500)),
        layer("ticks", line(100 + 300j, 106 + 300j)),
        layer("Sleeve cut line", box(500, 100, 200, 200)),
        layer("Ärmel Knipse", line(500 + 150j, 506 + 150j)),
    )
    assert read_back(*every) == taken(*every)


NAMED = (layer("Sleeve cut line", box(500, 100, 200, 200)), layer("Sleeve notches", line(500 + 150j, 506 + 150j)))
"""Where names tell the lines, no others are told by shape."""


@pytest.mark.parametrize("name", ["a/b", "a*", "{piece}"])
def test_a_name_that_no_pattern_can_hold_is_asked_for_another(name):
    made = proposed([*NAMED, layer(name, box(100, 100, 300, 500))], builtin_convention())
    parse_convention(made.text)
    assert any("needs another name" in line for line in made.to_say)


@pytest.mark.parametrize("others", [(), NAMED])
def test_numbers_of_layers_that_lie_one_over_another_are_sizes(others):
    nest = [layer(f"Outline {size}", box(100, 100, 300 + size, 500 + size)) for size in (36, 38, 40)]
    convention = parse_convention(proposed([*nest, *others], builtin_convention()).text)
    roles = [convention.role_of(each.path) for each in nest]
    role = Role.CUT_LINE if others else Role.SIZE
    assert [(each and each.role, each and each.size) for each in roles] == [(role, size) for size in ("36", "38", "40")]
    apart = [layer(f"Outline {k}", box(300 * k, 400, 200, 300)) for k in (1, 2, 3)]
    assert "Outline {size}" not in proposed([*apart, *others], builtin_convention()).text


def test_numbers_that_a_program_gave_are_none():
    nest = [layer(f"Layer {k}", box(100, 100, 300 + k, 500 + k)) for k in (1, 2, 3)]
    text = proposed([*nest, *NAMED], builtin_convention()).text
    assert '"Layer 1"' in text
    assert '"Layer {size}"' not in text


def test_layers_with_several_kinds_of_lines_are_remarked_and_not_named():
    mixed = layer("A", box(100, 100, 300, 500), line(100 + 300j, 106 + 300j), line(250 + 150j, 250 + 500j))
    text = proposed([mixed], builtin_convention()).text
    assert '#   "A": cut line, notches, grain line\n' in text
    assert "[layers]" not in text.replace("under [layers]", "")


def styled(*dashes: tuple[float, ...]) -> Layer:
    shapes = [
        Shape((box(100, 100, 300 + 8 * k, 500 + 8 * k),), (True,), style=LineStyle("#000000", 0.3, dash))
        for k, dash in enumerate(dashes)
    ]
    return Layer("x.svg", "Front cut line", ("Front cut line",), None, False, False, tuple(shapes), ())


DASHES = ((), (3.0, 1.5), (8.0, 2.0))


def test_sizes_told_apart_by_dash_are_asked_without_a_key():
    made = proposed([*(styled(*DASHES),)], builtin_convention())
    assert parse_convention(made.text).sizes is None
    (line,) = (line for line in made.to_say if line.startswith("sizes = "))
    filled = parse_convention(f"{line}\n{made.text}").sizes
    assert filled is not None
    assert [size for size, _ in filled.samples] == ["size 1", "size 2", "size 3"]


def test_sizes_are_read_off_a_key():
    key = [
        Shape((line(700 + 100j * k, 740 + 100j * k),), (False,), style=LineStyle("#000000", 0.3, dash))
        for k, dash in enumerate(DASHES, 1)
    ]
    names = [DrawnText(Text(f"Size {8 + 2 * k}", 745 + 100j * k, 1 + 0j, 5.0)) for k in (1, 2, 3)]
    beside = Layer("x.svg", "key", ("key",), None, False, False, tuple(key), tuple(names))
    made = proposed([*(styled(*DASHES), beside)], builtin_convention())
    sizes = parse_convention(made.text).sizes
    assert sizes is not None
    assert sizes.samples == (("10", "solid"), ("12", "3 1.5"), ("14", "8 2"))
    assert not any(line.startswith("sizes") for line in made.to_say)


def test_allowances_are_asked_only_where_they_can_change_a_figure():
    cut, stitch = layer("Front cut line", box(100, 100, 300, 500)), layer("Front stitch line", box(110, 110, 280, 480))
    assert any(ASKED in line for line in proposed([*(cut,)], builtin_convention()).to_say)
    assert not proposed([*(cut, stitch)], builtin_convention()).to_say
    told = parse_convention('pieces."*"."seam allowance" = { all = "1 cm" }')
    assert not proposed([*(cut,)], told).to_say


def test_a_file_of_ones_own_stays_as_it_is():
    own = '[layers]\nnotches = ["ticks"]\n'
    made = proposed([*NAMED, PIECE, layer("ticks", line(100 + 300j, 106 + 300j))], parse_convention(own), own)
    assert made.text == own
    assert any('"cut line" may take "A" too' in line for line in made.to_say)
