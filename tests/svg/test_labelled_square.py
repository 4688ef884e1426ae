"""A test square on a layer of any name says the scale where something at it says that it is one, or how large."""

from __future__ import annotations

import pytest

from svgfit.model.length import both_ways_text
from svgfit.model.refusal import Refusal
from svgfit.rules.scale import names_test_square
from svgfit.rules.trade_words import LANGUAGES
from svgfit.svg.labelled_square import may_label

SVG = "http://www.w3.org/2000/svg"
PX = 'width="1200" height="900" viewBox="0 0 1200 900"'
INCH_PAGE = 'width="20in" height="15in" viewBox="0 0 {0} {1}"'


def drawing(attributes: str, *content: str) -> str:
    more = '<g id="Sleeve stitch line"><path d="M0 0H400V90H0Z"/><text x="9" y="9">hem 1 in</text></g>'
    return f'<svg xmlns="{SVG}" {attributes}>{more}<g id="everything else">{"".join(content)}</g></svg>'


def square(side: float, x: float = 500, y: float = 300) -> str:
    return f'<path d="M{x} {y}h{side}v{side}h{-side}z"/>'


def text(content: str, x: float = 510, y: float = 330, more: str = "") -> str:
    return f'<text x="{x}" y="{y}" font-size="12" {more}>{content}</text>'


def per_inch(found) -> float:
    return 25.4 / found.canvas.mm_per_user_unit


def test_every_language_s_name_of_a_test_square_says_that_it_is_one():
    names = [name.strip() for language in LANGUAGES for name in language.words["test square"].split(",")]
    assert [name for name in names if not names_test_square(name)] == []


@pytest.mark.parametrize("resolution", [72, 90, 96, 300])
@pytest.mark.parametrize(
    ("label", "mm"),
    [
        ("Test square 50 mm", 50),
        ("TEST SQUARE", 50.8),
        ("This square should be 2 in", 50.8),
        ("Testquadrat 5 cm", 50),
        ("carré test : 5 cm x 5 cm", 50),
        ("Cuadrado de prueba 2 pulgadas", 50.8),
        ("quadrato di prova 10 cm", 100),
        ("正方形 ５ｃｍ", 50),
        ("1½ in test square", 38.1),
        ("4 in (10.16 cm) square", 101.6),
        ("Carre temoin 5 cm", 50),
        ("寸法確認 5 cm", 50),
        ("Testkaestchen 2 Zoll", 50.8),
    ],
)
def test_a_square_that_is_called_one_says_the_scale(read, resolution, label, mm):
    found = read(drawing(PX, square(round(mm / 25.4 * resolution, 3)), text(label)))
    assert per_inch(found) == pytest.approx(resolution, rel=1e-4)
    taken = " (taken for 50.8 mm)" if label == "TEST SQUARE" else ""
    assert found.canvas.scale_from == f'a square marked "{label}"{taken}'
    assert found.warnings == ()


@pytest.mark.parametrize(
    "place",
    [
        {"x": 500, "y": 295},
        {"x": 595, "y": 396, "more": 'text-anchor="end"'},
        {"x": 548, "y": 410, "more": 'text-anchor="middle"'},
        {"x": 600, "y": 340},
    ],
)
def test_the_label_stands_in_the_square_or_beside_it(read, place):
    assert per_inch(read(drawing(PX, square(96), text("1 in test square", **place)))) == pytest.approx(96)


@pytest.mark.parametrize("place", [{"x": 500, "y": 100}, {"x": 100, "y": 340}])
def test_a_label_farther_off_is_no_square_s(read, place):
    with pytest.raises(Refusal, match="no real size"):
        read(drawing(PX, square(96), text("1 in test square", **place)))


@pytest.mark.parametrize("label", ["1 in", '1"', "1 in x 1 in", "1 x 1 in", "1 inch"])
def test_a_size_alone_counts_at_a_usual_scale_and_is_told(read, label):
    found = read(drawing(PX, square(96), text(label.replace('"', "&quot;"))))
    assert per_inch(found) == pytest.approx(96)
    (warning,) = found.warnings
    assert f'the scale is by a square marked "{label}" (96 units of the drawing in an inch)' in warning
    with pytest.raises(Refusal, match="no real size"):
        read(drawing(PX, square(123), text(label.replace('"', "&quot;"))))


@pytest.mark.parametrize("label", ["hem 1 in", "cut 2", "1", "Sleeve", "1/4 in seam", "size 12"])
def test_other_texts_at_a_square_say_nothing(read, label):
    assert not may_label(label)
    with pytest.raises(Refusal, match="no real size"):
        read(drawing(PX, square(96), text(label)))


def test_a_square_that_is_called_so_and_nothing_else_says_nothing(read):
    with pytest.raises(Refusal, match="no real size"):
        read(drawing(PX, square(192), text("square neckline")))


def test_the_word_and_the_size_may_be_two_texts_or_two_lines(read):
    apart = (text("test square"), text("75 mm", y=350))
    assert per_inch(read(drawing(PX, square(72 * 75 / 25.4), *apart))) == pytest.approx(72)
    lines = '<text x="505" y="310" font-size="9">Test square<tspan x="505" y="330">75 mm</tspan></text>'
    assert per_inch(read(drawing(PX, square(72 * 75 / 25.4), lines))) == pytest.approx(72)


def test_a_square_in_inches_and_one_in_centimetres_agree(read):
    both = (square(192), text("2 in test square"), square(96 * 5 / 2.54, 800), text("5 cm", 820))
    assert per_inch(read(drawing(PX, *both))) == pytest.approx(96)


def test_squares_that_don_t_fit_one_scale_are_refused(read):
    both = (square(192), text("2 in square"), square(144, 800), text("2 in square", 820))
    with pytest.raises(Refusal, match="don't fit one scale"):
        read(drawing(PX, *both))


def test_scale_against_a_square_that_says_otherwise_is_told(read):
    found = read(drawing(PX, square(192), text("2 in")), scale=72)
    assert per_inch(found) == pytest.approx(72)
    (warning,) = found.warnings
    assert 'with --scale 72 the square marked "2 in" is 67.7 mm (2 11/16 in) wide, not 50.8 mm (2 in)' in (
        both_ways_text(warning)
    )
    assert "not 96)" in warning
    assert read(drawing(PX, square(192), text("2 in")), scale=96).warnings == ()


@pytest.mark.parametrize("label", ["2 in", "Test square 2 in"])
def test_a_page_of_half_its_size_is_told(read, label):
    """As a converter leaves it that knows nothing of a PDF's UserUnit 2."""
    (warning,) = read(drawing(INCH_PAGE.format(1440, 1080), square(72), text(label))).warnings
    assert "is 25.4 mm (1 in) wide, not 50.8 mm (2 in) (-50.0 %)" in both_ways_text(warning)
    assert read(drawing(INCH_PAGE.format(1440, 1080), square(144), text(label))).warnings == ()


def test_a_size_at_a_square_of_the_pattern_itself_is_no_contradiction(read):
    assert read(drawing(INCH_PAGE.format(1440, 1080), square(200), text("1 in"))).warnings == ()


def test_the_layer_of_the_test_square_goes_before(read):
    layer = '<g id="test square"><rect width="96" height="96"/><text>1 in</text></g>'
    found = read(drawing(PX, square(96), text("2 in square"), layer))
    assert found.canvas.scale_from == "test square (25.4 mm)"


@pytest.mark.parametrize(
    ("matrix", "comment", "resolution"),
    [
        ("matrix(1.3333333,0,0,-1.3333333,0,900)", "Created with Inkscape (http://www.inkscape.org/)", 96),
        ("matrix(1.25,0,0,-1.25,0,900)", "Created with Inkscape (http://www.inkscape.org/)", 90),
        ("matrix(0,1.3333333,1.3333333,0,66.6,133.3)", "Created with Inkscape", 96),
        ("matrix(1.3,0,0,-1.3,0,900)", "Created with Inkscape", None),
        ("matrix(1.3333333,0,0,-1.3333333,0,900)", "by hand", None),
    ],
)
def test_a_pdf_that_inkscape_took_over_is_known_by_its_first_group(read, matrix, comment, resolution):
    text = f'<!-- {comment} --><svg xmlns="{SVG}" {PX}><g id="a" transform="{matrix}"><path d="M0 0H9"/></g></svg>'
    if resolution is None:
        with pytest.raises(Refusal, match="no real size"):
            read(text)
        return
    found = read(text)
    assert per_inch(found) == pytest.approx(resolution)
    assert found.canvas.scale_from == f"a PDF taken over by Inkscape, which writes {resolution} px an inch"
    (warning,) = read(text, scale=72).warnings
    assert f"72 units of the drawing in an inch, or {resolution}" in warning
