"""Elements as records: written once, and digested as their text would be, read back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from svgfit.svg.markup import Chain, Node, PathData, element, filled, line_data, number, serialise
from svgfit.svg.path_data import read_path
from svgfit.svg.svgfit_layers import digest, stamp

NS = "http://www.w3.org/2000/svg"
SPACES = (
    ("xmlns", NS),
    ("xmlns:inkscape", "http://www.inkscape.org/namespaces/inkscape"),
    ("xmlns:xlink", "http://www.w3.org/1999/xlink"),
    ("xmlns:s", NS),
    ("xmlns:other", "urn:other"),
    ("data-svgfit-layer", "adjusted"),
)

finite = st.floats(-1e6, 1e6) | st.integers(-20_000, 20_000).map(lambda n: n / 20_000)
points = st.builds(complex, finite, finite)
near = st.integers(-2, 2).map(complex)  # so that lines of no length and ends that meet come up
spots = points | near
steps = st.tuples(spots) | st.tuples(spots, spots, spots)
chains = st.builds(Chain, spots, st.lists(steps, max_size=5).map(tuple), st.booleans())
paths = st.builds(PathData, st.lists(chains, min_size=1, max_size=3).map(tuple), st.sampled_from((3, 6, 9)))
signs = st.text(max_size=12) | st.text('a1 \t\r\n"<&>é\x00\x1f\x85\ud800\ufffe袖', max_size=8)
styles = st.lists(
    st.sampled_from(
        ("fill:none", "stroke:#000", "stroke: #000000", "display:none", "-inkscape-x:1", "x:2 !important", "d:path('')")
    ),
    max_size=4,
).map(";".join)
values = signs | st.sampled_from(("matrix(1 0 0 1 2.50 3)", "rotate(30)", "#FFF", "1.50,2", "12e1")) | styles
names = st.sampled_from(
    [
        *("x", "points", "transform", "fill", "id", "class", "visibility", "data-svgfit-for", "data-name"),
        *("font-family", "inkscape:label", "inkscape:groupmode", "xlink:href", "other:x", "xml:space"),
    ]
)


@st.composite
def attributes(draw: st.DrawFn) -> tuple[tuple[str, str | PathData], ...]:
    found = draw(st.dictionaries(names, values, max_size=4))
    if draw(st.booleans()):
        found["style"] = draw(styles | signs)
    if draw(st.booleans()):
        found["d"] = draw(paths | signs)
    return tuple(found.items())


tags = st.sampled_from(("g", "path", "text", "tspan", "title", "rect", "s:path", "s:text", "other:grid"))
leaves = st.builds(Node, tags, attributes(), st.lists(signs, max_size=2).map(tuple))
nodes = st.recursive(
    leaves,
    lambda inner: st.builds(Node, tags, attributes(), st.lists(inner | signs, max_size=4).map(tuple)),
    max_leaves=12,
)


@st.composite
def layers(draw: st.DrawFn) -> Node:
    taken = {"inkscape:label": "adjusted", **dict(draw(attributes()))}
    children = tuple(draw(st.lists(nodes | signs, max_size=5)))
    return Node(draw(st.sampled_from(("g", "s:g"))), (*SPACES, *taken.items()), children)


@pytest.mark.slow
@given(layers())
def test_a_record_has_the_digest_of_its_text_read_back(layer: Node) -> None:
    text = serialise(layer)
    assert text.isascii()
    read = etree.fromstring(text)
    assert digest(layer) == digest(read)
    assert stamp(layer) == stamp(text)
    assert stamp(layer, ("data-svgfit-root", "empty")) == stamp(text, ("data-svgfit-root", "empty"))


@given(layers(), st.integers(0, 1_000_000))
def test_another_record_has_another_digest(layer: Node, at: int) -> None:
    """A point of a path moved by a hundredth of a millimetre, or a path more."""
    d = line_data([0j, 5 + 5j])
    moved = line_data([0.01 + 0j, 5 + 5j])
    k = at % (len(layer.children) + 1)
    before, after = layer.children[:k], layer.children[k:]
    one, other = (
        Node(layer.tag, layer.attributes, (*before, element("path", [("d", data)]), *after)) for data in (d, moved)
    )
    assert len({digest(layer), digest(one), digest(other)}) == 3


@given(paths)
def test_path_data_reads_back(data: PathData) -> None:
    for chain in data.chains:
        if not chain.steps:
            continue
        read = read_path(PathData((chain,), data.places).text, 1e-5, 0.0)
        ends = {complex(round(step[-1].real, data.places), round(step[-1].imag, data.places)) for step in chain.steps}
        start = complex(round(chain.start.real, data.places), round(chain.start.imag, data.places))
        drawn = {point for found in read for point in found.points[::3]}
        assert drawn <= ends | {start}
        assert drawn == ends | {start} or not drawn  # nothing of no length


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9)), st.integers(1, 12))
def test_zeros_are_trimmed_as_for_a_number_by_itself(numbers: list[float], places: int) -> None:
    form = ",".join("#" * len(numbers))
    assert filled(form, numbers, places) == ",".join(number(value, places) for value in numbers)
    assert all(math.isclose(float(number(value, 12)), value, abs_tol=1e-11, rel_tol=1e-9) for value in numbers)


def test_texts_are_told_from_nothing() -> None:
    assert serialise(element("text", [("x", None)])) == "<text/>"
    assert serialise(element("text", [("x", "1")], "")) == '<text x="1"></text>'
    assert serialise([element("a", ()), element("b", ())]) == "<a/><b/>"


def test_undeclared_prefixes_are_refused() -> None:
    inner = Node("path", (("foo:bar", "1"),))
    with pytest.raises(ValueError, match="declare its namespaces"):
        stamp(Node("g", SPACES, (inner,)))
    with pytest.raises(ValueError, match="declare its namespaces"):
        stamp(Node("g", SPACES, (Node("g", (("xmlns", NS),)),)))


@given(
    st.floats(-1e15, 1e15) | st.integers(-(10**7), 10**7).map(lambda k: k / 2000),
    st.integers(1, 12),
)
def test_numbers_are_digested_as_they_are_read_back(value: float, places: int) -> None:
    chain = Chain(complex(value, -value), ((complex(0.0, 5e6),),))
    layer = element("g", [("data-svgfit-layer", "adjusted")], element("path", [("d", PathData((chain,), places))]))
    text = PathData((chain,), places).text
    assert digest(layer) == digest(element("g", layer.attributes, element("path", [("d", text)])))
