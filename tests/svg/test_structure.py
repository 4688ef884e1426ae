"""How things are placed and sized: transform-origin, CSS transforms, viewports, use and symbol, switch, units."""

import pytest
import svgelements

from svgfit.model.refusal import Refusal

DOT = '<path d="M0 0h1"/>'


def starts(drawing):
    return [shape.curves[0].start for layer in drawing.layers for shape in layer.shapes]


def boxes(drawing):
    return [shape.curves[0].bounds() for layer in drawing.layers for shape in layer.shapes]


# -- transforms -----------------------------------------------------------------------------------------------------


# Worked out by hand from https://www.w3.org/TR/css-transforms-1/ (the page is 200 × 100 user units, the point 5, 6).
@pytest.mark.parametrize(
    ("style", "at"),
    [
        ("transform:translate(10px,20mm)", 15 + (6 + 20 * 96 / 25.4) * 1j),
        ("transform:translate(10%,50%)", 25 + 56j),
        ("transform:translateX(1in)", 101 + 6j),
        ("transform:translateY(10px)", 5 + 16j),
        ("transform:translate(1em)", 21 + 6j),
        ("transform:rotate(90deg)", -6 + 5j),
        ("transform:rotate(.25turn)", -6 + 5j),
        ("transform:rotate(100grad)", -6 + 5j),
        ("transform:rotate(1.5707963267948966rad)", -6 + 5j),
        ("transform:scale(2)", 10 + 12j),
        ("transform:scale(200%,50%)", 10 + 3j),
        ("transform:scaleX(-1)", -5 + 6j),
        ("transform:scaleY(-1)", 5 - 6j),
        ("transform:skew(45deg)", 11 + 6j),
        ("transform:skewY(45deg)", 5 + 11j),
        ("transform:matrix(1,2,3,4,5,6)", 28 + 40j),
        ("transform:translate(10px) scale(2)", 20 + 12j),
        ("transform:translate3d(1px,2px,0)", 6 + 8j),
        ("transform:matrix3d(2,0,0,0, 0,3,0,0, 0,0,1,0, 7,8,0,1)", 17 + 26j),
        ("translate:10px 20px", 15 + 26j),
        ("translate:10px", 15 + 6j),
        ("rotate:90deg", -6 + 5j),
        ("rotate:z 90deg", -6 + 5j),
        ("scale:2", 10 + 12j),
        ("scale:2 -1", 10 - 6j),
        ("translate:1px;rotate:90deg;scale:2;transform:translate(1px)", -11 + 12j),
        ("transform:none", 5 + 6j),
        ("transform:rotate(90deg);transform-origin:10px 10px", 14 + 5j),
        ("transform:rotate(180deg);transform-origin:50% 50%", 195 + 94j),
        ("transform:rotate(180deg);transform-origin:center", 195 + 94j),
        ("transform:rotate(180deg);transform-origin:right bottom", 395 + 194j),
        ("transform:rotate(180deg);transform-origin:bottom right", 395 + 194j),
        ("transform:rotate(180deg);transform-origin:top", 195 - 6j),
        ("transform:rotate(180deg);transform-origin:left 10px", -5 + 14j),
        ("transform:rotate(180deg);transform-origin:0 0 5px", -5 - 6j),
        ("scale:2;transform-origin:5px 6px", 5 + 6j),
        # the path's own box is 5, 6 to 15, 26
        ("transform:rotate(180deg);transform-box:fill-box;transform-origin:center", 15 + 26j),
        ("transform:translate(100%,50%);transform-box:fill-box", 15 + 16j),
        ("transform:scale(2);transform-box:fill-box;transform-origin:right bottom", -5 - 14j),
        ("transform:rotate(180deg);transform-box:view-box;transform-origin:center", 195 + 94j),
    ],
)
def test_transforms_by_css(shape, style, at):
    assert shape(f'<path style="{style}" d="M5 6L15 26"/>').curves[0].start == pytest.approx(at, abs=1e-9)
    sheet = f"<style>path{{{style}}}</style>"
    assert shape(f'{sheet}<path transform="scale(9)" d="M5 6L15 26"/>').curves[0].start == (
        pytest.approx(at, abs=1e-9) if "transform:" in style else pytest.approx(starts_with(style, 45 + 54j), abs=1e-9)
    )


def starts_with(style, at):
    """Where the single properties alone move a point that the attribute brought to ``at``."""
    return {
        "translate:10px 20px": at + 10 + 20j,
        "translate:10px": at + 10,
        "rotate:90deg": at * 1j,
        "rotate:z 90deg": at * 1j,
        "scale:2": at * 2,
        "scale:2 -1": complex(2 * at.real, -at.imag),
        "scale:2;transform-origin:5px 6px": 5 + 6j,  # the point is the origin
    }[style]


def test_origin_as_an_attribute(shape):
    # A presentation attribute in SVG 2: https://www.w3.org/TR/SVG2/styling.html#PresentationAttributes
    found = shape('<path transform="rotate(90)" transform-origin="10 10" d="M5 6h1"/>')
    assert found.curves[0].start == pytest.approx(14 + 5j)


@pytest.mark.parametrize(
    ("list_", "origin"), [("rotate(33) scale(2 3)", (7, 9)), ("skewX(20) translate(4 5)", (50, 20))]
)
def test_origin_against_svgelements(shape, list_, origin):
    # transform-origin is a shift before and back after: https://www.w3.org/TR/css-transforms-1/#transform-rendering
    x, y = origin
    matrix = svgelements.Matrix(f"translate({x} {y}) {list_} translate({-x} {-y})")
    at = matrix.point_in_matrix_space(svgelements.Point(5, 6))
    found = shape(f'<path transform="{list_}" transform-origin="{x} {y}" d="M5 6h1"/>')
    assert found.curves[0].start == pytest.approx(complex(at.x, at.y), abs=1e-9)


def test_the_box_of_a_group_is_that_of_all_in_it(mm):
    inner = (
        '<g style="transform:rotate(180deg);transform-box:fill-box;transform-origin:center">'
        '<path id="a" d="M10 10h1"/><g transform="translate(20 0)"><rect x="0" y="10" width="10" height="20"/></g>'
        '<path display="none" d="M90 90h1"/></g>'
    )
    # The box is 10, 10 to 30, 30: its middle 20, 20.
    assert max(boxes(mm(inner)), key=lambda box: box[3] - box[1]) == pytest.approx((10, 10, 20, 30), abs=1e-9)


def test_boxes_in_boxes_without_end_are_refused(mm):
    style = 'style="transform:rotate(9deg);transform-box:fill-box;transform-origin:center"'
    assert len(boxes(mm(f"<g {style}>" * 10 + DOT + "</g>" * 10))) == 1
    with pytest.raises(Refusal, match="over 16 times"):
        mm(f"<g {style}>" * 300 + DOT + "</g>" * 300)


def test_percentages_of_an_origin_are_of_the_nearest_viewport(mm):
    inner = '<path style="rotate:180deg;transform-origin:50% 50%" d="M0 0h1"/>'
    (at,) = starts(mm(f'<svg x="20" width="50" height="50" viewBox="0 0 10 10">{inner}</svg>'))
    assert at == pytest.approx(70 + 50j)


@pytest.mark.parametrize("what", ["turn(5)", "rotate(1 2)", "scale(2", "scale(2) oops"])
def test_a_transform_that_cannot_be_read_is_left_out_and_told(mm, what):
    # As an attribute that is not valid is: https://www.w3.org/TR/SVG2/styling.html#PresentationAttributes
    drawing = mm(f'\n<path id="p" transform="{what}" d="M5 6h1"/>')
    assert starts(drawing) == [5 + 6j]
    (warning,) = drawing.warnings
    assert "d.svg: line 2: path 'p': its transform cannot be read" in warning
    assert what[:5] in warning


def test_css_that_cannot_be_worked_out_is_told(mm):
    drawing = mm('<path style="transform:translate(calc(1px + 2px))" transform="translate(9)" d="M5 6h1"/>')
    assert starts(drawing) == [14 + 6j]
    assert "calc" in drawing.warnings[0]


@pytest.mark.parametrize("how", ['transform="scale(2)"', 'style="transform:scale(2)"', 'style="rotate:9deg"'])
def test_a_drawing_that_is_moved_as_a_whole_is_refused(read, how):
    with pytest.raises(Refusal, match="as a whole"):
        read(f'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" {how}>{DOT}</svg>')
    still = 'style="transform:translate3d(0px,0px,0px);transform-origin:50% 50%"'
    assert read(f'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" {still}>{DOT}</svg>').warnings == ()


# -- viewports ------------------------------------------------------------------------------------------------------


# By hand from https://www.w3.org/TR/SVG11/coords.html#PreserveAspectRatioAttribute: a square of 10 in 40 × 20.
@pytest.mark.parametrize(
    ("aspect", "box"),
    [
        ("", (10, 0, 30, 20)),
        ("xMidYMid meet", (10, 0, 30, 20)),
        ("xMinYMid", (0, 0, 20, 20)),
        ("xMaxYMax meet", (20, 0, 40, 20)),
        ("none", (0, 0, 40, 20)),
        ("none slice", (0, 0, 40, 20)),
        ("xMidYMin slice", (0, 0, 40, 40)),
        ("xMidYMid slice", (0, -10, 40, 30)),
        ("xMinYMax slice", (0, -20, 40, 20)),
        ("defer xMaxYMid meet", (20, 0, 40, 20)),
    ],
)
def test_aspects(mm, aspect, box):
    rect = '<rect width="10" height="10"/>'
    assert boxes(
        mm(f'<svg width="40" height="20" viewBox="0 0 10 10" preserveAspectRatio="{aspect}">{rect}</svg>')
    ) == [pytest.approx(box)]
    used = f'<symbol id="s" viewBox="0 0 10 10" preserveAspectRatio="{aspect}">{rect}</symbol>'
    assert boxes(mm(f'{used}<use href="#s" width="40" height="20"/>')) == [pytest.approx(box)]


# https://www.w3.org/TR/SVG2/struct.html#UseElement: width and height of a use go before those of a symbol or svg,
# unless they are auto; a symbol has x, y, width and height of its own.
@pytest.mark.parametrize(
    ("target", "use", "box"),
    [
        ("symbol", "", (0, 0, 100, 100)),
        ("symbol", 'width="20"', (0, 40, 20, 60)),
        ("symbol", 'width="20" height="20"', (0, 0, 20, 20)),
        ("symbol", 'width="auto" height="100%"', (50, 0, 150, 100)),
        ('symbol width="30" height="30"', "", (0, 0, 30, 30)),
        ('symbol width="30" height="30"', 'width="auto" height="auto"', (0, 0, 30, 30)),
        ('symbol width="30" height="30"', 'width="10" height="10"', (0, 0, 10, 10)),
        ('symbol x="7" y="8" width="30" height="30"', 'x="1"', (8, 8, 38, 38)),
        ('symbol transform="translate(5)" width="30" height="30"', "", (5, 0, 35, 30)),
        ('svg width="30" height="30"', "", (0, 0, 30, 30)),
        ('svg width="30" height="30"', 'width="10" height="10"', (0, 0, 10, 10)),
        ('svg width="30" height="30"', 'width="auto" height="auto"', (0, 0, 30, 30)),
        ('svg x="4" width="30" height="30"', 'x="1"', (5, 0, 35, 30)),
        ('svg width="30" height="30"', 'style="width:10px;height:10px"', (0, 0, 10, 10)),
    ],
)
def test_sizes_of_use(mm, target, use, box):
    name = target.split()[0]
    viewbox = 'viewBox="0 0 10 10"' + ('preserveAspectRatio="xMidYMid"' if 'width="auto" h' in use else "")
    viewbox = viewbox.replace('"p', '" p')
    inner = f'<defs><{target} id="s" {viewbox}><rect width="10" height="10"/></{name}></defs><use href="#s" {use}/>'
    expected = box if target != "symbol" or use else (50, 0, 150, 100)
    assert boxes(mm(inner)) == [pytest.approx(expected)]


def test_viewports_without_size_show_nothing(mm):
    rect = '<rect width="10" height="10"/>'
    inner = (
        f'<svg width="0">{rect}</svg><svg height="0" viewBox="0 0 1 1">{rect}</svg><svg viewBox="0 0 0 9">{rect}</svg>'
    )
    drawing = mm(f'{inner}<symbol id="s">{rect}</symbol><use href="#s" width="0"/>')
    assert boxes(drawing) == []
    assert drawing.warnings == ()


def test_what_cannot_be_read_of_a_viewport_is_told(mm):
    rect = '<rect width="10" height="10"/>'
    drawing = mm(f'<svg id="n" viewBox="0 0 nine 9" preserveAspectRatio="left">{rect}</svg>')
    assert boxes(drawing) == [(0, 0, 10, 10)]
    assert "svg 'n': its viewBox cannot be read" in drawing.warnings[0]
    drawing = mm(f'<svg viewBox="0 0 10 10" preserveAspectRatio="left">{rect}</svg><svg width="-5">{rect}</svg>')
    assert boxes(drawing) == [(50, 0, 150, 100)]
    assert "preserveAspectRatio" in drawing.warnings[0]
    assert "its width is '-5'; what it shows is left out" in drawing.warnings[1]


def test_a_nested_svg_in_a_drawing_without_size(read):
    head = '<svg xmlns="http://www.w3.org/2000/svg">'
    assert boxes(read(f'{head}<svg x="3"><rect width="10" height="10"/></svg></svg>', scale=25.4)) == [(3, 0, 13, 10)]
    drawing = read(f'{head}<svg viewBox="0 0 9 9"><rect width="9" height="9"/></svg></svg>', scale=25.4)
    assert boxes(drawing) == []
    assert "left out" in drawing.warnings[0]


# -- conditions -----------------------------------------------------------------------------------------------------


# https://www.w3.org/TR/SVG11/struct.html#ConditionalProcessing
@pytest.mark.parametrize(
    ("children", "chosen"),
    [
        ('<g id="a" systemLanguage="de"/><g id="b" systemLanguage="fr, en-GB"/><g id="c"/>', "b"),
        ('<g id="a" systemLanguage="de"/><g id="b"/>', "b"),
        ('<g id="a" systemLanguage=""/><g id="b"/>', "b"),
        ('<g id="a" systemLanguage="de"/><g id="b" systemLanguage="fr"/>', "a"),
        ('<g id="a" requiredExtensions=""/><g id="b"/>', "b"),
        ('<g id="a" requiredExtensions="http://example.org/x"/><g id="b"/>', "b"),
        ('<g id="a" requiredFeatures="http://www.w3.org/TR/SVG11/feature#Shape"/><g id="b"/>', "a"),
        ('<g id="a" requiredFeatures="http://example.org/x"/><g id="b"/>', "b"),
        ('<foreignObject requiredFeatures="http://www.w3.org/TR/SVG11/feature#Extensibility"/><g id="b"/>', "b"),
        ('<desc/><g id="a" display="none"/><g id="b"/>', "a"),
    ],
)
def test_switch(mm, children, chosen):
    inner = children.replace("/>", f">{DOT}</g>").replace("<desc>" + DOT + "</g>", "<desc/>")
    inner = inner.replace(f'Extensibility">{DOT}</g>', 'Extensibility"/>')
    assert [layer.id for layer in mm(f"<switch>{inner}</switch>").layers] == [chosen]


def test_conditions_outside_a_switch(mm):
    assert starts(mm(f'<g requiredExtensions="x">{DOT}</g><g systemLanguage="de">{DOT}</g>')) == [0]


# -- what is no drawing, and what is left out -----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["clipPath", "mask", "marker", "pattern", "linearGradient", "filter"])
def test_a_use_does_not_show_what_is_no_drawing(mm, name):
    assert starts(mm(f'<{name} id="n">{DOT}</{name}><use href="#n"/>')) == []


def test_an_unseen_shape_stays(mm):
    # Strokes and fills are often switched off by class; only a program's own marks leave a shape out (its dialect).
    css = "<style>.st0{fill:none;stroke:none}</style>"
    assert len(starts(mm(f'{css}<path class="st0" d="M0 0h1"/><path fill="none" stroke="none" d="M0 0h1"/>'))) == 2


@pytest.mark.parametrize(
    ("element", "drawn", "told"),
    [
        (
            '<path id="p" d="M0 0L5 0 5 5L1"/>',
            (0, 0, 5, 5),
            "from character 13 on ('L1'); it is drawn only up to there",
        ),
        ('<path id="p" d="M0 0L5 0 5 5 6 x 7 7"/>', (0, 0, 5, 5), "('6 x 7 7'); it is drawn only"),
        ('<path id="p" d="M0 0L5 0 NaN 5"/>', (0, 0, 5, 0), "it is drawn only up to there"),
        ('<path id="p" d="L5 0"/>', None, "('L5 0'); it is left out"),
        ('<polyline id="p" points="0 0 5 0 5 5 9"/>', (0, 0, 5, 5), "odd count of numbers, the last one (9) alone"),
        ('<polygon id="p" points="0 0 5 0 5 5 nine"/>', (0, 0, 5, 5), "from character 13 on ('nine')"),
        ('<rect id="p" width="5mmx" height="5"/>', None, "its width cannot be read: '5mmx'; it is left out"),
        ('<rect id="p" x="1lh" width="5" height="5"/>', None, "its x cannot be read: '1lh'"),
        ('<rect id="p" style="width:calc(1px + 5px)" width="9" height="5"/>', None, "calc"),
        ('<line id="p" x2="far"/>', None, "its x2 cannot be read"),
        ('<text id="p" x="abc">a</text>', None, "its x cannot be read: 'abc'; it is left out"),
    ],
)
def test_what_is_drawn_up_to_an_error_is_told(mm, element, drawn, told):
    # https://www.w3.org/TR/SVG2/paths.html#PathDataErrorHandling
    drawing = mm("\n\n" + element)
    assert boxes(drawing) == ([] if drawn is None else [pytest.approx(drawn)])
    assert [layer.texts for layer in drawing.layers if layer.texts] == []
    (warning,) = drawing.warnings
    assert "d.svg: line 3: " in warning
    assert "'p': " in warning
    assert told in warning


def test_a_broken_piece_does_not_hide_the_others(mm):
    drawing = mm('<g id="Sleeve"><path d="M0 0L5 5 oops"/><path d="M1 1h5"/></g>')
    assert starts(drawing) == [0, 1 + 1j]
    assert len(drawing.warnings) == 1


def test_no_end_of_warnings_is_counted(mm):
    drawing = mm("".join(f'<path id="p{k}" d="L"/>' for k in range(300)))
    assert len(drawing.warnings) == 201
    assert "100 more" in drawing.warnings[-1]


def test_elements_out_of_entities(read):
    # An entity stands for its text, which takes the namespace where it is: https://www.w3.org/TR/xml-names/#scoping
    doctype = """<!DOCTYPE svg [<!ENTITY dot "<g id='g'><path d='M0 0h1'/></g>">]>"""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">'
    drawing = read(f'{doctype}{head}<g id="L">&dot;&dot;<path xmlns="" d="M0 0h1"/></g></svg>')
    assert [(layer.name, len(layer.shapes)) for layer in drawing.layers] == [("L", 0), ("g", 1), ("g", 1)]


# -- units on shapes ------------------------------------------------------------------------------------------------


# https://www.w3.org/TR/css-values-4/#lengths; the page is 200 × 100 mm, so 755.9 × 378.0 CSS px.
@pytest.mark.parametrize(
    ("x", "is_"),
    [
        ("1in", 96),
        ("25.4mm", 96),
        ("2em", 10),
        ("1rem", 16),
        ("2ic", 10),
        ("2ex", 5),
        ("10%", 20),
        ("10vw", 20 * 96 / 25.4),
        ("10vh", 10 * 96 / 25.4),
        ("10vmin", 10 * 96 / 25.4),
        ("10vmax", 20 * 96 / 25.4),
        ("10vi", 20 * 96 / 25.4),
        ("inherit", 0),
        ("2lh", 15),
    ],
)
def test_units_on_shapes(mm, x, is_):
    inner = f'<g font-size="5" style="line-height:1.5"><rect x="{x}" width="5" height="5"/></g>'
    assert boxes(mm(inner))[0][0] == pytest.approx(is_)


def test_parts_of_a_page_without_size_are_told(read):
    drawing = read(f'<svg xmlns="http://www.w3.org/2000/svg">{DOT}<rect x="5vw" width="5" height="5"/></svg>', scale=96)
    assert len(boxes(drawing)) == 1
    assert "'5vw'" in drawing.warnings[0]
