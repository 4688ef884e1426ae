"""Real sizes: CSS units, viewBox, preserveAspectRatio, test square, --scale."""

import re

import pytest

from svgfit.model.refusal import Refusal
from svgfit.svg.units import read_length
from svgfit.svg.viewport import ViewBox, fit

SVG = "http://www.w3.org/2000/svg"


def root(attributes, inner='<rect id="t" width="96" height="48"/>'):
    return f'<svg xmlns="{SVG}" {attributes}>{inner}</svg>'


def box(drawing, k=0):
    return drawing.layers[k].shapes[0].curves[0].bounds()


# CSS Values and Units 3, section 6.2: https://www.w3.org/TR/css-values-3/#absolute-lengths
@pytest.mark.parametrize(
    ("text", "inches"),
    [("1in", 1), ("2.54cm", 1), ("25.4mm", 1), ("96px", 1), ("72pt", 1), ("6pc", 1), ("101.6Q", 1), ("96", 1)],
)
def test_one_inch_in_every_unit(text, inches):
    length = read_length(text)
    assert length.mm() == pytest.approx(25.4 * inches, rel=1e-15)
    assert length.user_units(0) == pytest.approx(96 * inches, rel=1e-15)


@pytest.mark.parametrize("text", ["", "mm", "1 1 mm", "--3", "0x10", "1,5mm", "nan", "inf"])
def test_what_is_no_length(text):
    with pytest.raises(ValueError, match="^" + re.escape(text) + "$"):
        read_length(text)


@pytest.mark.parametrize("text", ["3furlong", "2vw", "1e"])
def test_a_unit_that_is_not_known(text):
    with pytest.raises(ValueError, match=text[1:]):
        read_length(text).user_units(100)


def test_relative_units():
    assert read_length("50%").user_units(80) == 40
    assert read_length("2em").user_units(0, font_size=5) == 10


@pytest.mark.parametrize(
    ("attributes", "per", "page"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 1.0, (200, 100)),
        ('width="20cm" height="10cm" viewBox="0 0 2000 1000"', 0.1, (200, 100)),
        ('width="8.5in" height="11in"', 25.4 / 96, (215.9, 279.4)),
        ('width="612pt" height="792pt" viewBox="0 0 612 792"', 25.4 / 72, (215.9, 279.4)),
        ('width="200mm" viewBox="0 0 400 100"', 0.5, (200, 50)),
        ('height="50mm" viewBox="0 0 400 100"', 0.5, (200, 50)),
        ('style="width:200mm;height:100mm" viewBox="0 0 200 100"', 1.0, (200, 100)),
    ],
)
def test_a_physical_root(read, attributes, per, page):
    canvas = read(root(attributes)).canvas
    assert canvas.mm_per_user_unit == pytest.approx(per, rel=1e-12)
    assert (canvas.width, canvas.height) == pytest.approx(page, rel=1e-12)
    assert canvas.scale_from.startswith("width and height in ")


def test_page_origin_is_the_box_after_preserve_aspect_ratio(read):
    # A square view of 100 in a page of 200 × 100 mm: centred, so user x = −50 is the page's left edge.
    drawing = read(
        root('width="200mm" height="100mm" viewBox="0 0 100 100"', '<rect x="0" y="0" width="10" height="10"/>')
    )
    assert box(drawing) == pytest.approx((50, 0, 60, 10), abs=1e-9)
    assert drawing.canvas.to_root.apply(0j) == pytest.approx(-50 + 0j)
    assert (drawing.canvas.width, drawing.canvas.height) == pytest.approx((200, 100))


@pytest.mark.parametrize(
    ("aspect", "at"),
    [("xMinYMin", 0), ("xMidYMin meet", 50), ("xMaxYMax", 100), ("xMidYMid slice", 0)],
)
def test_alignments(aspect, at):
    placed = fit(ViewBox(0, 0, 100, 100), 200, 100, aspect)
    assert placed.apply(0j).real == at
    assert placed.a == (2 if "slice" in aspect else 1)


def test_to_root_takes_page_millimetres_to_user_units(read):
    drawing = read(root('width="100mm" height="50mm" viewBox="-30 10 400 200"'))
    assert drawing.canvas.to_root.apply(0j) == pytest.approx(-30 + 10j)
    assert drawing.canvas.to_root.apply(100 + 50j) == pytest.approx(370 + 210j)


def test_stretched_is_refused(read):
    with pytest.raises(Refusal, match="stretched"):
        read(root('width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="none"'))


def test_none_that_does_not_stretch_is_read(read):
    text = root('width="200mm" height="100mm" viewBox="0 0 400 200" preserveAspectRatio="none"')
    assert read(text).canvas.mm_per_user_unit == pytest.approx(0.5)


@pytest.mark.parametrize("attributes", ['width="960" height="480"', 'width="960px" viewBox="0 0 960 480"', ""])
def test_px_without_a_square_is_refused_with_what_to_do(read, attributes):
    with pytest.raises(Refusal, match="--scale") as caught:
        read(root(attributes))
    assert "test square" in caught.value.line()


def test_scale_is_user_units_an_inch(read):
    drawing = read(root('width="960" height="480"'), scale=48)
    assert drawing.canvas.mm_per_user_unit == pytest.approx(25.4 / 48)
    assert box(drawing) == pytest.approx((0, 0, 50.8, 25.4))
    assert drawing.canvas.scale_from == "--scale 48"


@pytest.mark.parametrize("scale", [0, -96, float("nan"), float("inf")])
def test_a_scale_that_is_none(read, scale):
    with pytest.raises(Refusal, match="--scale"):
        read(root('width="960" height="480"'), scale=scale)


@pytest.mark.parametrize(
    "square",
    [
        '<rect x="7" y="9" width="150" height="150"/>',
        '<path d="M0 0h75h75v150h-150z"/>',
        '<path d="M0 0 150 0 150 150 0 150 0 0"/>',
        '<polygon points="0,0 150,0 150,150 0,150"/>',
        '<path d="M0 0C50 0 100 0 150 0V150H0Z"/>',
        '<rect width="150" height="150" transform="rotate(33 5 9)"/>',
        '<g transform="scale(3)"><rect width="50" height="50"/></g>',
    ],
)
def test_a_test_square_says_the_scale(read, square):
    drawing = read(
        root('width="960" height="480"', f'<g id="test square">{square}</g><g id="a"><path d="M0 0H300"/></g>'),
        test_square_mm=50,
    )
    assert drawing.canvas.mm_per_user_unit == pytest.approx(1 / 3, rel=1e-12)
    assert drawing.canvas.scale_from == "test square (50 mm)"
    assert drawing.layers[1].shapes[0].curves[0].length() == pytest.approx(100)


@pytest.mark.parametrize(
    "no_square",
    [
        '<rect width="150" height="140"/>',
        '<path d="M0 0H150V150H0"/>',
        '<path d="M0 0H150L200 150H50Z"/>',
        '<circle r="75"/>',
        '<path d="M0 0Q75 30 150 0V150H0Z"/>',
        '<rect width="150" height="150" rx="20"/>',
        '<path d="M75 0 150 75 75 150 0 75 75 0 100 20 75 0"/>',
    ],
)
def test_what_is_no_test_square(read, no_square):
    with pytest.raises(Refusal, match="no real size"):
        read(root('width="960" height="480"', f'<g id="test-square">{no_square}</g>'))


def test_a_test_square_of_another_size_and_name(read):
    text = root('width="960" height="480"', '<g id="check"><rect width="100" height="100"/></g>')
    drawing = read(text, is_test_square=lambda path: path == ("check",), test_square_mm=25.4)
    assert drawing.canvas.mm_per_user_unit == pytest.approx(0.254)


def test_squares_that_disagree_are_refused(read):
    inner = '<g id="test square"><rect width="100" height="100"/><rect width="203" height="203"/></g>'
    with pytest.raises(Refusal, match="different sizes"):
        read(root("", inner))


def test_a_square_that_disagrees_with_the_root_is_told_with_both_numbers(read):
    inner = '<g id="test square"><rect width="{0}" height="{0}"/></g>'
    page = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
    assert read(root(page, inner.format(50.09))).warnings == ()
    (warning,) = read(root(page, inner.format(47))).warnings
    assert "47.0 mm" in warning
    assert "50.0 mm" in warning
    assert read(root(page, inner.format(47))).canvas.mm_per_user_unit == 1


def test_lengths_inside_have_units_too(mm):
    # A unit inside a viewBox is CSS px: 1in = 96 user units, here 96 mm.
    (layer,) = mm('<rect x="0.25in" y="12pt" width="0.5in" height="50%"/>').layers
    assert layer.shapes[0].curves[0].bounds() == pytest.approx((24, 16, 72, 66))


@pytest.mark.parametrize(
    ("attributes", "told"),
    [
        ('width="0mm" height="10mm"', "width"),
        ('width="-10mm" height="10mm"', "width"),
        ('width="12 parsecs" height="10mm"', "width"),
        ('width="1e999mm" height="10mm"', "width"),
        ('width="10mm" height="10mm" viewBox="0 0 0 10"', "viewBox"),
        ('width="10mm" height="10mm" viewBox="0 0 10"', "viewBox"),
        ('width="10mm" height="10mm" viewBox="0 0 1e999 10"', "viewBox"),
        ('width="10mm" height="10mm" viewBox="0 0 10 10" preserveAspectRatio="middle"', "preserveAspectRatio"),
        ('width="9000000mm" height="10mm"', "m wide"),
        ('width="10mm" height="10mm" transform="scale(2)"', "transform"),
    ],
)
def test_sizes_that_cannot_be(read, attributes, told):
    with pytest.raises(Refusal, match=told):
        read(root(attributes))
