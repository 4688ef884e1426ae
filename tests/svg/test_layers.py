"""Layers, names, hiding, use, nested svg, texts."""

import pytest

from svgfit.model.dialect import Dialect, LayerFacts
from svgfit.model.refusal import Refusal

INK = 'inkscape:groupmode="layer" inkscape:label='
DOT = '<path d="M0 0h1"/>'


def told(drawing):
    return [(layer.path, len(layer.shapes)) for layer in drawing.layers]


def test_layers_as_inkscape_writes_them(mm):
    drawing = mm(
        f'<g {INK}"Sleeve" id="layer1">{DOT}<g id="g5">{DOT}</g><g {INK}"Notches" id="layer2">{DOT}</g>{DOT}</g>'
        f'<g {INK}"Old" id="layer3" style="display:none" sodipodi:insensitive="true">{DOT}</g>'
    )
    assert told(drawing) == [(("Sleeve",), 3), (("Sleeve", "Notches"), 1), (("Old",), 1)]
    assert [layer.id for layer in drawing.layers] == ["layer1", "layer2", "layer3"]
    assert [layer.hidden for layer in drawing.layers] == [False, False, True]
    assert [layer.locked for layer in drawing.layers] == [False, False, True]


def test_layers_as_plain_ids(mm):
    drawing = mm(f'{DOT}<g id="Sleeve">{DOT}<g>{DOT}</g><g id="Notches">{DOT}</g></g><g>{DOT}</g>')
    assert told(drawing) == [((), 2), (("Sleeve",), 2), (("Sleeve", "Notches"), 1)]
    assert drawing.layers[0].name == ""


def test_without_any_dialect_plain_ids_count(mm):
    drawing = mm(f'<g id="Sleeve">{DOT}</g>', dialects=())
    assert told(drawing) == [(("Sleeve",), 1)]


def test_a_dialect_that_fails_is_passed_over_with_a_warning(mm, dialects):
    def fails(element):
        raise KeyError("colour")

    bad = Dialect("bad", 1, lambda root: True, fails)
    worse = Dialect("worse", 0, fails, lambda element: None)
    drawing = mm(f'<g id="Sleeve">{DOT}</g>', dialects=(*dialects, bad, worse))
    assert told(drawing) == [(("Sleeve",), 1)]
    assert len(drawing.warnings) == 2
    assert "'bad'" in drawing.warnings[1]
    assert "'worse'" in drawing.warnings[0]


def test_the_first_dialect_that_speaks_reads_the_drawing(mm, dialects):
    mine = Dialect("mine", 5, lambda root: True, lambda element: LayerFacts("mine", hidden=True, locked=True))
    (layer,) = mm(f'<g id="Sleeve">{DOT}</g>', dialects=(*dialects, mine)).layers
    assert (layer.name, layer.hidden, layer.locked) == ("mine", True, True)


def test_layers_of_ours_do_not_change_what_dialect_the_drawing_is_in(mm):
    ours = f'<g {INK}"adjusted" data-svgfit-layer="adjusted" sodipodi:insensitive="true">{DOT}<g id="x">{DOT}</g></g>'
    drawing = mm(f'{ours}<g id="Sleeve">{DOT}</g>')
    assert [(layer.path, layer.ours) for layer in drawing.layers] == [
        (("adjusted",), "adjusted"),
        (("adjusted", "x"), "adjusted"),
        (("Sleeve",), None),
    ]
    assert drawing.layers[0].locked


def test_names_of_shapes(mm):
    inner = (
        '<path id="a" inkscape:label="A label" d="M0 0h1"><title>t</title></path>'
        '<path id="b" d="M0 0h1"><title> cap\n top </title></path><path id="c" d="M0 0h1"/><path d="M0 0h1"/>'
    )
    shapes = mm(f"<g id='L'>{inner}</g>").layers[0].shapes
    assert [shape.name for shape in shapes] == ["A label", "cap top", "c", None]
    assert [shape.id for shape in shapes] == ["a", "b", "c", None]


def test_own_data(mm):
    (shape,) = (
        mm('<path data-svgfit-piece="Sleeve" data-other="1" data-svgfit-line="cut" d="M0 0h1"/>').layers[0].shapes
    )
    assert shape.data == (("piece", "Sleeve"), ("line", "cut"))


@pytest.mark.parametrize(
    "hidden",
    [
        '<path style="display:none" d="M0 0h1"/>',
        '<path style="fill:red;display : none ;" d="M0 0h1"/>',
        '<path display="none" d="M0 0h1"/>',
        '<path visibility="hidden" d="M0 0h1"/>',
        '<g style="display:none"><path style="display:inline" d="M0 0h1"/></g>',
        '<g visibility="hidden"><path d="M0 0h1"/></g>',
        f"<defs>{DOT}</defs><clipPath id='c'>{DOT}</clipPath><mask id='m'>{DOT}</mask><symbol id='s'>{DOT}</symbol>",
        f"<pattern id='p'>{DOT}</pattern><marker id='k'>{DOT}</marker><metadata>{DOT}</metadata>",
        "<image width='5' height='5'/><style>g{}</style><x:y xmlns:x='urn:z'><path xmlns='' d='M0 0h1'/></x:y>",
    ],
)
def test_what_is_not_in_the_picture(mm, hidden):
    assert told(mm(f'<g id="L">{hidden}</g>')) == [(("L",), 0)]


def test_visible_again(mm):
    assert told(mm('<g id="L"><g visibility="hidden"><path visibility="visible" d="M0 0h1"/></g></g>'))[0][1] == 1


def test_hidden_layers_keep_their_shapes(mm):
    drawing = mm(f'<g display="none"><g id="L" style="display:inline">{DOT}<g id="M">{DOT}</g></g></g>')
    assert [(layer.name, layer.hidden, len(layer.shapes)) for layer in drawing.layers] == [
        ("L", True, 1),
        ("M", True, 1),
    ]
    drawing = mm(f'<g id="L" visibility="hidden">{DOT}</g><g id="M">{DOT}</g>')
    assert [(layer.hidden, len(layer.shapes)) for layer in drawing.layers] == [(True, 1), (False, 1)]


def test_use(mm):
    drawing = mm(
        '<defs><g id="n" transform="scale(2)"><path d="M5 5h1"/><path d="M0 0h1"/></g></defs>'
        '<g id="L"><use id="u" href="#n" x="10" y="1" transform="translate(100)"/><use xlink:href="#n"/></g>'
    )
    assert told(drawing) == [(("L",), 4)]
    shapes = drawing.layers[0].shapes
    assert shapes[0].curves[0].start == 120 + 11j
    assert shapes[2].curves[0].start == 10 + 10j
    assert [shape.id for shape in shapes] == ["u", "u", None, None]


def test_a_used_symbol_and_a_nested_svg(mm):
    inner = (
        '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
        '<use href="#s" x="5" width="50" height="50"/>'
        '<svg x="100" y="10" width="20" height="20" viewBox="0 0 10 10"><rect width="10" height="50%"/></svg>'
        '<svg viewBox="0 0 20 10"><rect width="20" height="10"/></svg>'
    )
    boxes = [shape.curves[0].bounds() for shape in mm(inner).layers[0].shapes]
    assert boxes == [pytest.approx((5, 0, 55, 50)), pytest.approx((100, 10, 120, 20)), pytest.approx((0, 0, 200, 100))]


def test_a_use_of_nothing_is_told(mm):
    drawing = mm('<use id="u" href="#gone"/><use href="other.svg#x"/>')
    assert len(drawing.warnings) == 2
    assert "'#gone'" in drawing.warnings[0]


@pytest.mark.parametrize(
    "inner",
    [
        '<use id="u" href="#u"/>',
        '<g id="g"><use href="#g"/></g>',
        '<defs><g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></defs><use href="#a"/>',
    ],
)
def test_a_use_that_shows_itself_is_refused(mm, inner):
    with pytest.raises(Refusal, match="shows"):
        mm(inner)


def test_uses_that_multiply_without_end_are_refused(mm):
    step = '<g id="a{0}">' + '<use href="#a{1}"/>' * 10 + "</g>"
    inner = "".join(step.format(k, k + 1) for k in range(12)) + '<g id="a12"><path d="M0 0h1"/></g>'
    with pytest.raises(Refusal, match="too many"):
        mm(f"<defs>{inner}</defs><use href='#a0'/>")


def test_switch_takes_the_first_that_suits(mm):
    inner = (
        f'<switch><foreignObject/><g requiredExtensions="x">{DOT}</g><g id="L">{DOT}</g><g id="M">{DOT}</g></switch>'
    )
    assert told(mm(inner)) == [(("L",), 1)]


def test_deep_nesting(read):
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">'
    deep = read(f"{head}{'<g>' * 1900}{DOT}{'</g>' * 1900}</svg>")
    assert told(deep) == [((), 1)]
    with pytest.raises(Refusal):
        read(f"{head}{'<g>' * 100_000}{DOT}{'</g>' * 100_000}</svg>")


def test_a_drawing_without_a_namespace(read):
    drawing = read(f'<svg width="9mm" height="9mm" viewBox="0 0 9 9"><g id="L">{DOT}</g></svg>')
    assert told(drawing) == [(("L",), 1)]


def test_a_prefixed_drawing(read):
    drawing = read(
        '<s:svg xmlns:s="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        '<s:g id="L"><s:rect width="3" height="3"><s:title>hem</s:title></s:rect>'
        '<rect width="3" height="3"/></s:g></s:svg>'
    )
    assert told(drawing) == [(("L",), 1)]
    assert drawing.layers[0].shapes[0].name == "hem"


# -- texts ----------------------------------------------------------------------------------------------------------


def texts(drawing):
    return [(each.text.content, each.text.at, each.text.size) for layer in drawing.layers for each in layer.texts]


def test_lines_of_a_text(mm):
    inner = (
        '<text x="10" y="20" font-size="5">Sleeve <tspan font-weight="bold">front</tspan>\n cut 2'
        '<tspan x="10" dy="6">on &amp;<!-- no --> fold</tspan>'
        '<tspan x="12" y="40" style="font-size:150%">end</tspan></text>'
    )
    assert texts(mm(inner)) == [
        ("Sleeve front cut 2", 10 + 20j, 5),
        ("on & fold", 10 + 26j, 5),
        ("end", 12 + 40j, 7.5),
    ]


def test_direction_size_and_anchor_after_transforms(mm):
    inner = '<text transform="scale(2)" x="1" y="2">a</text>'
    (found,) = mm(f'<g transform="rotate(90)" font-size="4" text-anchor="middle">{inner}</g>').layers[0].texts
    assert found.text.at == pytest.approx(-4 + 2j)
    assert found.text.direction == pytest.approx(1j)
    assert found.text.size == pytest.approx(8)
    assert found.text.anchor == "middle"


@pytest.mark.parametrize(
    ("size", "is_"),
    [
        ("", 16),
        ("12px", 12),
        ("12pt", 16),
        ("2em", 32),
        ("50%", 8),
        ("x-large", 24),
        ("1in", 96),
        ("smaller", 16 / 1.2),
        ("-1e300px", 16),
        ("-2em", 16),
    ],
)
def test_font_sizes(mm, size, is_):
    # CSS 2.1, section 15.7; 16 px for "medium" is common practice of browsers.
    (found,) = mm(f'<text style="font-size:{size}">a</text>' if size else "<text>a</text>").layers[0].texts
    assert found.text.size == pytest.approx(is_)


def test_hidden_texts_are_left_out(mm):
    assert texts(mm('<text display="none">a</text><text>b<tspan style="display:none">c</tspan></text>'))[0][0] == "b"


def test_first_of_many_places(mm):
    assert texts(mm('<text x="1 2 3" y="4,5">abc</text>')) == [("abc", 1 + 4j, 16)]


def test_a_named_shape_in_no_layer_is_a_layer_of_its_own(mm):
    drawing = mm(f'<path id="Sleeve stitch line" d="M0 0h1"/><g><rect id="t" width="5" height="5"/></g>{DOT}')
    assert told(drawing) == [((), 1), (("Sleeve stitch line",), 1), (("t",), 1)]


def test_layers_that_are_no_containers(mm):
    def member(element):
        of = element.get("member")
        return LayerFacts(f"layer {of}", shared=of) if of else None

    table = Dialect("table", 1, lambda root: True, member)
    drawing = mm(f'<g member="1">{DOT}</g><g member="2">{DOT}</g><g member="1">{DOT}{DOT}</g>', dialects=(table,))
    assert told(drawing) == [(("layer 1",), 3), (("layer 2",), 1)]
