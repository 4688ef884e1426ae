"""Style sheets: which rules count, in what order, and that broken or endless ones do no harm."""

import time

import pytest

from svgfit.model.refusal import Refusal
from svgfit.svg import styles, stylesheet
from svgfit.svg.stylesheet import _applies

DOT = '<path d="M0 0h1"/>'


def shown(drawing):
    """Ids of the shapes that are in the picture."""
    return [shape.id for layer in drawing.layers for shape in layer.shapes if not layer.hidden]


@pytest.fixture
def seen(mm):
    """seen(css, attributes): whether a path with these attributes and this sheet is in the picture."""

    def run(css, attributes=""):
        return shown(mm(f'<style>{css}</style><g><g><path id="p" class="a b" {attributes} d="M0 0h1"/></g></g>')) == [
            "p"
        ]

    return run


# The order of the cascade: https://www.w3.org/TR/css-cascade-4/#cascade-sort; specificity:
# https://www.w3.org/TR/selectors-3/#specificity; a presentation attribute comes before every rule:
# https://www.w3.org/TR/SVG2/styling.html#PresentationAttributes
@pytest.mark.parametrize(
    ("css", "attributes", "is_seen"),
    [
        (".a{display:none}", "", False),
        (".c{display:none}", "", True),
        ("path{display:none}", 'display="inline"', False),
        ("path{display:inline}", 'display="none"', True),
        ("path{display:none}", 'style="display:inline"', True),
        ("path{display:none!important}", 'style="display:inline"', False),
        ("path{display:none!important}", 'style="display:inline!important"', True),
        ("path{display:none ! important} #p{display:inline}", "", False),
        ("#p{display:inline} .a.b{display:none}", "", True),
        (".a{display:none} .b{display:inline}", "", True),
        (".a{display:inline} .b{display:none}", "", False),
        ("g g>.a{display:none} .b{display:inline}", "", False),
        ("svg > path{display:none}", "", True),
        ("path[d^='M0']{display:none}", "", False),
        ("g:first-child{display:none}", "", False),
        ("PATH{display:none}", "", True),  # names in XML keep their case
        ("path{DISPLAY:NONE}", "", False),
        ("path{visibility:hidden}", "", False),
        ("g{visibility:hidden} path{visibility:visible}", "", True),
        ("g{visibility:hidden} path{visibility:visibel}", "", False),
        ("path{display:contents}", "", False),
        ("g{display:contents}", "", True),
        ("/* path{display:none} */", "", True),
        ("path{/* display:none; */fill:red}", "", True),
        ("", 'style="/* display:none; */fill:red"', True),
        ("", "style=\"font-family:'a;display:none'\"", True),
        ("<![CDATA[ g > path { display : none } ]]>", "", False),
        ("&lt;!-- path{display:none} -->", "", False),
        ("<!-- path{display:none} -->", "", True),
    ],
)
def test_the_cascade(seen, css, attributes, is_seen):
    assert seen(css, attributes) is is_seen


# https://www.w3.org/TR/css-syntax-3/#error-handling: what is broken is passed over, the rest counts.
@pytest.mark.parametrize(
    ("css", "is_seen"),
    [
        ("path{display:none", False),
        ("path{display:none; transform:rotate(}", False),
        ("path{nonsense; ;:;display:none}", False),
        ("path, path:unheard-of{display:none}", True),
        ("path::before{display:none}", True),
        ("path:not(.x,){display:none} .a >{display:none} +{display:none} g|{display:none}", True),
        ("path:nth-child(n of *){display:none} .b{display:none}", False),
        ("} path{display:none}", True),
        ("path:hover{display:none}", True),
        ("*|path[*|x]{display:none} .a{display:none}", False),
        ("@charset 'x'; @font-face{src:url(x)} @keyframes k{to{display:none}} .a{display:none}", False),
        ("@font-face{display:none}", True),
        (":not(" * 500 + "a" + ")" * 500 + "{display:none}", True),
        ("(" * 50_000, True),
    ],
)
def test_broken_sheets_never_refuse(seen, css, is_seen):
    assert seen(css) is is_seen


@pytest.mark.parametrize(
    ("head", "is_seen"),
    [
        ("<style>", False),
        ('<style type="text/css" media="screen">', False),
        ('<style media="all">', False),
        ('<style media="screen, print">', False),
        ('<style media="print">', True),
        ('<style media="only print">', True),
        ('<style media="not print">', False),
        ('<style type="text/less">', True),
        ('<h:style xmlns:h="http://www.w3.org/1999/xhtml">', False),
        ('<x:style xmlns:x="urn:x">', True),
        ("<style>@media print{", True),
        ("<style>@media screen{", False),
        ("<style>@media all and (prefers-color-scheme: dark){", True),
        ("<style>@media (prefers-color-scheme: light){", False),
        ("<style>@supports (display: grid){", False),
    ],
)
def test_what_a_sheet_is_for(mm, head, is_seen):
    name = head[1:].split(">")[0].split()[0]
    inner = f'{head}path{{display:none}}{"}" * head.count("{")}</{name}><path id="p" d="M0 0h1"/>'
    assert (shown(mm(inner)) == ["p"]) is is_seen


def test_media_queries():
    # https://www.w3.org/TR/mediaqueries-4/#mq-syntax
    told = {"": True, "handheld": False, "screen and (min-width: 9cm)": None, "print and (color)": False, "(((": None}
    assert {media: _applies(media) for media in told} == told


def test_what_is_not_followed_is_told(mm, read):
    drawing = mm("<style>@import url(other.css); @media (max-width: 9cm){path{display:none}}</style>" + DOT)
    assert len(drawing.warnings) == 2
    assert "another file" in drawing.warnings[0]
    assert "(max-width: 9cm)" in drawing.warnings[1]
    assert shown(drawing) == [None]
    assert mm("<style>@import url(https://example.org/fonts.css); path{fill:red}</style>" + DOT).warnings == ()
    head = '<?xml-stylesheet href="far.css"?><svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">'
    assert "another file" in read(f"{head}{DOT}</svg>").warnings[0]


def test_namespaces_of_a_sheet(seen):
    assert not seen("@namespace s url(http://www.w3.org/2000/svg); s|path{display:none}")
    assert seen("@namespace h url(http://www.w3.org/1999/xhtml); h|path{display:none}")


def test_a_sheet_reaches_what_a_use_shows(mm):
    inner = '<defs><g id="n"><path class="no" d="M0 0h1"/><path d="M0 0h1"/></g></defs><use id="u" href="#n"/>'
    assert shown(mm(f"<style>.no{{display:none}}</style>{inner}")) == ["u"]


def test_a_layer_hidden_by_a_sheet(mm):
    drawing = mm(f'<style>#Old{{display:none}}</style><g id="Old">{DOT}</g><g id="New">{DOT}</g>')
    assert [(layer.name, layer.hidden) for layer in drawing.layers] == [("Old", True), ("New", False)]


def test_sizes_by_css(shape):
    # https://www.w3.org/TR/SVG2/geometry.html: these properties come before the attributes of the same name.
    css = "<style>rect{x:1px;y:2px;width:30px;height:1in;rx:auto} circle{r:4px}</style>"
    assert shape(css + '<rect width="5" height="5" style="height:40px"/>').curves[0].bounds() == (1, 2, 31, 42)
    assert shape(css + '<circle cx="10" cy="10" r="1"/>').curves[0].bounds() == pytest.approx((6, 6, 14, 14))
    assert shape('<path style="d:path(\'M 1 2 h 3\')" d="M0 0h9"/>').curves[0].bounds() == (1, 2, 4, 2)


def test_texts_by_css(mm):
    css = "<style>text{font:italic bold 5px/2 Sans;text-anchor:middle} .s{font-size:7px} tspan{display:none}</style>"
    texts = mm(f'{css}<text>a</text><text class="s">b<tspan>c</tspan></text>').layers[0].texts
    assert [(each.text.content, each.text.size, each.text.anchor) for each in texts] == [
        ("a", 5, "middle"),
        ("b", 7, "middle"),
    ]


@pytest.mark.parametrize(
    ("css", "attributes", "wide"),
    [
        ("svg{width:100mm}", 'width="200mm" height="200mm"', 100),
        ("svg{width:100%;height:auto}", 'width="200mm" height="200mm"', 200),
        ("svg{width:90vw}", 'width="200mm"', 200),
        ("", 'style="width:150mm;height:150mm"', 150),
    ],
)
def test_the_size_of_the_drawing_by_css(read, css, attributes, wide):
    drawing = read(
        f'<svg xmlns="http://www.w3.org/2000/svg" {attributes} viewBox="0 0 50 50"><style>{css}</style>{DOT}</svg>'
    )
    assert drawing.canvas.width == pytest.approx(wide)


@pytest.mark.slow
def test_many_elements_and_many_rules_in_seconds(mm):
    rules = "".join(f".c{k}{{display:none}} g > .d{k}{{visibility:hidden}}" for k in range(100))
    inner = "".join(f'<path class="c{k % 200}" d="M0 0h1"/>' for k in range(99_000))
    start = time.process_time()
    drawing = mm(f"<style>{rules}</style>{inner}")
    assert time.process_time() - start < 8
    assert len(drawing.layers[0].shapes) == 49_500


@pytest.mark.parametrize(
    ("css", "inner"),
    [
        ("rect ~ path{display:none}", DOT * 2000),
        ("path:nth-last-of-type(3n){display:none}", DOT * 2000),
        ("rect " + "g " * 30 + "path{display:none}", "<g>" * 1500 + DOT + "</g>" * 1500),
        ("".join(f"[a{k}]{{display:none}}" for k in range(600)), DOT * 2000),
    ],
)
def test_endless_matching_is_refused(mm, monkeypatch, css, inner):
    monkeypatch.setattr(stylesheet, "MOST_STEPS", 1_000_000)
    start = time.process_time()
    with pytest.raises(Refusal, match="style sheet"):
        mm(f"<style>{css}</style>{inner}")
    assert time.process_time() - start < 20


def test_a_sheet_that_only_colours_is_not_matched(mm, monkeypatch):
    import cssselect2

    monkeypatch.setattr(cssselect2, "compile_selector_list", None)
    assert shown(mm(f"<style>path{{fill:red;stroke:none}}</style>{DOT}")) == [None]


def test_font_shorthand():
    # https://www.w3.org/TR/css-fonts-4/#font-prop
    assert styles.of_font("12px Arial") == ("12px", "normal")
    assert styles.of_font("small-caps bold 80%/120% serif") == ("80%", "120%")
    assert styles.of_font("caption") == (None, None)
