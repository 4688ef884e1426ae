"""Where the scale comes from, in its order: --scale, physical size, test square, the program's own pixel."""

import pytest

from svgfit.model.length import both_ways_text
from svgfit.model.refusal import Refusal

SVG = "http://www.w3.org/2000/svg"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
PX = 'width="1200" height="900" viewBox="0 0 1200 900"'
MM = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
AI = "<!-- Generator: Adobe Illustrator 24.0.1, SVG Export Plug-In . SVG Version: 6.00 Build 0)  -->"


def drawing(attributes="", *squares, before="", more="", name="test square"):
    drawn = "".join(f'<rect width="{side}" height="{side}"/>' for side in squares)
    layer = f'<g id="{name}">{drawn}{more}</g>' if squares else ""
    spaces = f'xmlns="{SVG}" xmlns:inkscape="{INKSCAPE}"'
    return f'{before}<svg {spaces} {attributes}>{layer}<rect id="t" width="9" height="9"/></svg>'


def per_inch(found):
    return 25.4 / found.canvas.mm_per_user_unit


@pytest.mark.parametrize("resolution", [72, 90, 96, 300])
@pytest.mark.parametrize("nominal", [50, 100, 25.4, 50.8, 101.6])
def test_a_square_of_every_usual_size_at_every_usual_resolution(read, nominal, resolution):
    found = read(drawing(PX, round(nominal / 25.4 * resolution, 3)))
    assert per_inch(found) == pytest.approx(resolution, rel=1e-4)
    assert found.canvas.scale_from == f"test square ({nominal:g} mm)"
    assert found.warnings == ()


@pytest.mark.parametrize(("unit_mm", "side"), [(1, 50), (1, 50.8), (0.1, 500), (0.01, 5000)])
def test_a_square_drawn_in_millimetres_without_saying_so(read, unit_mm, side):
    assert read(drawing(PX, side)).canvas.mm_per_user_unit == pytest.approx(unit_mm, rel=1e-9)


def test_a_square_at_no_usual_resolution_is_refused_with_what_to_do(read):
    with pytest.raises(Refusal, match="150 units of the drawing wide") as caught:
        read(drawing(PX, 150))
    assert "--scale N" in caught.value.line()
    assert "test square size" in caught.value.line()


def test_a_size_the_convention_gives_is_taken_at_its_word(read):
    assert read(drawing(PX, 150), test_square_mm=75).canvas.mm_per_user_unit == pytest.approx(0.5)
    assert per_inch(read(drawing(PX, 141.732), test_square_mm=50.8)) == pytest.approx(70.866)


@pytest.mark.parametrize(
    ("name", "more", "mm"),
    [
        ("test square 2 in", "", 50.8),
        ("test square", "<text>This square is 10 cm wide</text>", 100),
        ("test square 7.5cm", "<text>75 mm</text>", 75),
        ("test square", '<text>1 1/2"</text>', 38.1),
    ],
)
def test_a_size_that_the_layer_states_counts(read, name, more, mm):
    found = read(drawing(PX, 150, name=name, more=more))
    assert found.canvas.mm_per_user_unit == pytest.approx(mm / 150)
    assert found.canvas.scale_from == f"test square ({mm:g} mm)"


def test_rounding_in_the_square_s_own_numbers_is_left_out(read):
    assert per_inch(read(drawing(PX, 141.73))) == pytest.approx(72, rel=1e-12)
    assert per_inch(read(drawing(PX, 141.9))) == pytest.approx(72.0852, rel=1e-5)


def test_two_sizes_in_the_text_state_none(read):
    assert per_inch(read(drawing(PX, 141.732, more="<text>50 mm is not 2 in</text>"))) == pytest.approx(72, rel=1e-4)


def test_two_squares_side_by_side_fit_one_resolution(read):
    both = (round(50 / 25.4 * 96, 4), 192)
    for sides in (both, both[::-1]):
        found = read(drawing(PX, *sides))
        assert per_inch(found) == pytest.approx(96, rel=1e-5)
        assert found.canvas.scale_from == "test square (50 mm)"
    assert per_inch(read(drawing(PX, 288, 144), test_square_mm=50.8)) == pytest.approx(72)
    assert per_inch(read(drawing(PX, *both), test_square_mm=50)) == pytest.approx(96, rel=1e-5)


def test_two_squares_that_fit_nothing_together_are_refused(read):
    with pytest.raises(Refusal, match="different sizes"):
        read(drawing(PX, 141.732, 100))


@pytest.mark.parametrize(
    "square", ["rotate(30)", "rotate(-77.5) translate(20 9)", "matrix(0 1 -1 0 5 5)", "scale(1 -1)"]
)
def test_a_turned_square_counts_too(read, square):
    inner = f'<g id="test square"><path transform="{square}" d="M10 10H198.976V198.977H10.001Z"/></g>'
    found = read(f'<svg xmlns="{SVG}" {PX}>{inner}</svg>')
    assert per_inch(found) == pytest.approx(96, rel=1e-4)


@pytest.mark.parametrize(
    ("attributes", "before", "px", "reason"),
    [
        ("", AI, 72, "drawn with Adobe Illustrator, which writes 72 px an inch"),
        ('xmlns:i="http://ns.adobe.com/AdobeIllustrator/10.0/"', "", 72, "drawn with Adobe Illustrator"),
        ('inkscape:version="0.48.4 r9939"', "", 90, "drawn with Inkscape 0.48, which writes 90 px an inch"),
        ('inkscape:version="0.91 r13725"', "", 90, "drawn with Inkscape 0.91"),
        ('inkscape:version="0.92.3 (2405546, 2018-03-11)"', "", 96, "drawn with Inkscape 0.92"),
        ('inkscape:version="1.2.2 (b0a8486541, 2022-12-01)"', "", 96, "drawn with Inkscape 1.2"),
    ],
)
def test_what_the_program_writes_counts_where_nothing_else_says_a_size(read, attributes, before, px, reason):
    found = read(drawing(f"{PX} {attributes}", before=before))
    assert per_inch(found) == pytest.approx(px)
    assert found.canvas.scale_from.startswith(reason)
    assert found.warnings == ()
    assert read(drawing(f"{MM} {attributes}", before=before)).canvas.mm_per_user_unit == 1


@pytest.mark.parametrize(
    ("attributes", "before"),
    [
        ('inkscape:version="1.2"', AI),
        ('inkscape:version="custom"', ""),
        ("", "<!-- Generator: something else -->"),
        ("", "<!-- Created with SVG-edit -->"),
    ],
)
def test_a_program_that_is_not_known_or_two_that_differ_say_nothing(read, attributes, before):
    with pytest.raises(Refusal, match="no real size") as caught:
        read(drawing(f"{PX} {attributes}", before=before))
    assert "--scale N" in caught.value.line()


def test_the_square_goes_before_the_program_and_a_difference_is_told_with_both_numbers(read):
    found = read(drawing(PX, 188.976, before=AI))
    assert per_inch(found) == pytest.approx(96, rel=1e-4)
    (warning,) = found.warnings
    assert "96 units of the drawing in an inch, or 72;" in warning
    assert "Adobe Illustrator" in warning


def test_scale_goes_before_the_physical_size_and_a_difference_is_told(read):
    found = read(drawing(MM), scale=96)
    assert per_inch(found) == pytest.approx(96)
    (warning,) = found.warnings
    assert "--scale 96 and width and height in mm differ: 96 units of the drawing in an inch, or 25.4;" in warning
    assert read(drawing(MM), scale=25.4).warnings == ()
    (warning,) = read(drawing(PX, before=AI), scale=96).warnings
    assert "96 units of the drawing in an inch, or 72;" in warning


def test_a_print_at_93_75_per_cent_is_caught(read):
    # 90 px an inch read as 96: everything comes out at 90/96 of its size.
    (warning,) = read(drawing('width="317.5mm" height="238.125mm" viewBox="0 0 1200 900"', 177.165)).warnings
    assert "46.9 mm (1 7/8 in) wide, not 50.0 mm (1 15/16 in) (-6.3 %)" in both_ways_text(warning)
    (warning,) = read(drawing('width="317.5mm" height="238.125mm" viewBox="0 0 1200 900"', 180)).warnings
    assert "47.6 mm (1 7/8 in) wide, not 50.8 mm (2 in) (-6.2 %)" in both_ways_text(warning)


@pytest.mark.parametrize("side", [50, 100, 25.4, 50.8, 101.6])
def test_a_square_of_a_usual_size_agrees_with_a_physical_root(read, side):
    assert read(drawing(MM, side)).warnings == ()


def test_a_square_of_a_stated_size_has_to_be_that_size(read):
    (warning,) = read(drawing(MM, 50), test_square_mm=50.8).warnings
    assert "50.0 mm (1 15/16 in) wide, not 50.8 mm (2 in) (-1.6 %)" in both_ways_text(warning)


@pytest.mark.parametrize(
    ("width", "mm"), [("200mm", 200), ("20cm", 200), ("8in", 203.2), ("360pt", 127), ("30pc", 127), ("800Q", 200)]
)
def test_every_physical_unit_of_the_root(read, width, mm):
    found = read(drawing(f'width="{width}" viewBox="0 0 400 100"', before=AI))
    assert found.canvas.mm_per_user_unit == pytest.approx(mm / 400)
