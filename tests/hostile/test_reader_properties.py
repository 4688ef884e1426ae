"""Drawings that nobody drew, made by hypothesis: each is read or refused; what changes nothing, changes nothing.

The same ones on every run. For new ones, and ten times as many: ``pytest tests/hostile --hypothesis-profile=look``.
"""

from pathlib import Path
from random import Random
from xml.sax.saxutils import escape, quoteattr

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from svgfit.model.refusal import Refusal
from svgfit.svg import read_drawing
from tests.fuzz import mutating
from tests.hostile.promises import hold, stock_dialects

DRAWINGS = sorted((Path(__file__).parents[1] / "dialects").glob("*.svg"))
SPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    ' xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


@pytest.fixture(scope="module")
def dialects():
    return stock_dialects()


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("drawn") / "d.svg"


# -- strategies -----------------------------------------------------------------------------------------------------

LETTERS = st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="\ufffe\uffff")
WORDS = st.text(LETTERS, max_size=12)
LENGTHS = (
    st.sampled_from(("5", "20mm", "10%", "1.5em", ".25in", "-3"))
    | st.builds(str.__add__, st.sampled_from(mutating.NUMBERS), st.sampled_from(mutating.UNITS))
    | st.sampled_from(mutating.WORDS)
)
SHAPES = (
    '<path d="M0 0h5v5" id="p"/>', '<path d="M1 1A3 2 20 0 1 5 5z"/>',
    '<rect x="10%" width="5mm" height="2em" rx="1"/>',
    '<circle id="a" cx="5" cy="50%" r="1q"/>', '<ellipse rx="5" ry="auto"/>', '<polygon points="0 0 5 0 5 5"/>',
    '<line x2="1in" y2="50%" class="a"/>', '<text x="1em" y="5%">袖<tspan x="3" dy="1em">b</tspan></text>',
    '<use href="#a" x="5%" y="1em"/>', '<symbol id="b" viewBox="0 0 9 9"><rect width="9" height="5"/></symbol>',
    '<use xlink:href="#b" width="50%" height="9"/>',
    '<svg x="5" width="50%" height="5" viewBox="1 1 9 9"><path d="M2 2h2"/></svg>',
    '<rect style="transform-box:fill-box;transform-origin:center;transform:rotate(30deg)" width="4" height="2"/>',
)  # fmt: skip
"""What is drawn for certain, so that the rest has something to act on."""
PLAIN = {name: values for name, values in mutating.VALUES.items() if not name.startswith(("{", "data-svgfit"))}
NAMES = st.lists(
    st.sampled_from([*PLAIN, *mutating.LENGTHS, "href", "xlink:href", "inkscape:label"]), max_size=3, unique=True
)


@st.composite
def attributes(draw):
    """Some attributes with values that mean something, or nearly."""
    parts = []
    for name in draw(NAMES):
        if name.endswith("href"):
            value = draw(st.sampled_from(("#a", "#b", "#Layer 1", "#", "x.svg#a")))
        elif name == "inkscape:label":
            value = draw(WORDS)
        elif name in PLAIN and (name not in mutating.LENGTHS or draw(st.booleans())):
            value = draw(st.sampled_from(PLAIN[name]) | WORDS)
        else:
            value = draw(LENGTHS)
        parts.append(f" {name}={quoteattr(value)}")
    return "".join(parts)


def element(tag, given_attributes, inner):
    return f"<{tag}{given_attributes}>{inner}</{tag}>" if inner else f"<{tag}{given_attributes}/>"


GROUPS = ("g",) * 9 + mutating.TAGS[:6]
"""What lies round others: mostly what shows them."""


def elements(leaves):
    """Elements in elements, mostly such as draw something, and ``leaves``."""
    tags = st.sampled_from([tag for tag in mutating.TAGS if tag != "style"])
    others = leaves | st.builds(element, tags, attributes(), st.just("") | WORDS.map(escape))
    drawn = st.sampled_from((*SHAPES, "", "", "")).flatmap(lambda shape: st.just(shape) if shape else others)

    def around(inside):
        inner = st.lists(inside, min_size=1, max_size=4).map("".join)
        return st.builds(element, st.sampled_from(GROUPS), attributes(), inner)

    return st.recursive(drawn, around, max_leaves=12)


SHEETS = st.lists(st.sampled_from(mutating.SHEETS), min_size=1, max_size=3).map(
    lambda rules: f"<style>{escape(' '.join(rules))}</style>"
)
ELEMENTS, PLAIN_ELEMENTS = elements(SHEETS), elements(st.nothing())
SIZES = st.sampled_from(
    (
        'width="420mm" height="300mm" viewBox="0 0 420 300"',
        'width="420" height="300"',
        'viewBox="-5 -5 10 10"',
        "",
    )
)


@st.composite
def texts(draw):
    """A whole drawing."""
    return f"<svg {SPACES} {draw(SIZES)}>{''.join(draw(st.lists(ELEMENTS, min_size=1, max_size=5)))}</svg>"


# -- whatever comes in ----------------------------------------------------------------------------------------------


@UNHURRIED
@given(data=st.binary(max_size=300))
def test_any_bytes(data, path, dialects):
    assert not hold(data, path, dialects)


@UNHURRIED
@given(text=texts(), scale=st.sampled_from((None, 96.0, 1e-3, 25.4e3)))
def test_any_tree(text, scale, path, dialects):
    hold(text.encode(), path, dialects, scale)


@UNHURRIED
@given(drawing=st.sampled_from(DRAWINGS), seed=st.integers(0, 2**32), times=st.integers(1, 8))
def test_any_change_of_a_drawing(drawing, seed, times, path, dialects):
    def cut(data, longest):
        at = random.randrange(len(data) + 1)
        return (data[:at] + data[at + random.randrange(9) :])[:longest]

    data, random = drawing.read_bytes(), Random(seed)
    for _ in range(times):
        data = mutating.mutated(data, 8192, random, cut)
    hold(data, path, dialects, None)
    hold(data, path, dialects)


# -- what changes nothing -------------------------------------------------------------------------------------------


def seen(text, path, dialects):
    """All that is read, as something to compare; None where it is refused."""
    path.write_bytes(text)
    try:
        drawing = read_drawing(path, scale=96, dialects=dialects)
    except Refusal:
        return None
    return [
        (
            layer.path,
            layer.hidden,
            layer.locked,
            [(shape.id, shape.closed, [curve.segments.tolist() for curve in shape.curves]) for shape in layer.shapes],
            [(drawn.text.content, drawn.text.at, drawn.text.size) for drawn in layer.texts],
        )
        for layer in drawing.layers
    ]


@UNHURRIED
@given(text=texts(), codec=st.sampled_from(("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "gb18030")))
def test_the_encoding_changes_nothing(text, codec, path, dialects):
    declared = f'<?xml version="1.0" encoding="{codec.removesuffix("-sig")[:7]}"?>'
    assert seen((declared + text).encode(codec), path, dialects) == seen(text.encode(), path, dialects)


@UNHURRIED
@given(inner=st.lists(PLAIN_ELEMENTS, min_size=1, max_size=3).map("".join))
def test_a_group_that_says_nothing_changes_nothing(inner, path):
    with_group = seen(f'<svg {SPACES} width="9in" height="9in"><g>{inner}</g></svg>'.encode(), path, ())
    assert with_group == seen(f'<svg {SPACES} width="9in" height="9in">{inner}</svg>'.encode(), path, ())


@UNHURRIED
@given(inner=st.lists(PLAIN_ELEMENTS, min_size=1, max_size=3).map("".join), x=st.integers(-9, 9), y=st.integers(-9, 9))
def test_a_group_that_is_moved_moves_all_in_it(inner, x, y, path):
    still, moved = (
        seen(f'<svg {SPACES} width="9in" height="9in"><g{how}>{inner}</g></svg>'.encode(), path, ())
        for how in ("", f' transform="translate({x} {y})"')
    )
    assume(still is not None and moved is not None)  # what is moved may lie just too far away
    step = complex(x, y) * 25.4 / 96
    assert places(moved) == pytest.approx([at + step for at in places(still)], abs=1e-6)


def places(layers):
    """Every control point, and where each line of writing begins, in order."""
    found = []
    for *_, shapes, writing in layers:
        found += [point for *_, curves in shapes for curve in curves for cubic in curve for point in cubic]
        found += [at for _, at, _ in writing]
    return found
