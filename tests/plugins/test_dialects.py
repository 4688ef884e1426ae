"""Each program's layers: names, hidden, locked. How programs write them is from memory of their files."""

from pathlib import Path

import pytest
from lxml import etree

from svgfit.plugin.registry import open_registry
from svgfit.svg import read_drawing
from svgfit.svg.id_names import spaced, unescaped

FILES = Path(__file__).parent.parent / "dialects"
NAMES = ["Sleeve stitch line", "Sleeve notches", "test square"]
LOCKED = {"inkscape", "inkscape_old", "illustrator_save"}


@pytest.fixture(scope="module")
def dialects():
    return open_registry().dialects()


@pytest.mark.parametrize("file", sorted(FILES.glob("*.svg")), ids=lambda file: file.stem)
def test_layers_as_the_program_shows_them(file, dialects):
    layers = read_drawing(file, scale=25.4, dialects=dialects).layers
    named = list(layers)
    more = ["a/b_c"] if file.stem == "illustrator_save" else []
    assert [layer.name for layer in named] == NAMES + more
    assert [layer.name for layer in named if layer.hidden] == more
    assert [layer.name for layer in named if layer.locked] == (["test square"] if file.stem in LOCKED else [])
    assert all(layer.shapes for layer in named[:3])


def speaker(file, dialects):
    from svgfit.svg.source import load_source
    from svgfit.svg.tree import parse

    root = parse(load_source(file))
    return next(each.name for each in sorted(dialects, key=lambda each: each.order) if each.speaks(root))


@pytest.mark.parametrize("file", sorted(FILES.glob("*.svg")), ids=lambda file: file.stem)
def test_the_right_reader_speaks(file, dialects):
    others = {"vectornator": "layername", "inkpad": "layername", "plain": "ids"}
    assert speaker(file, dialects) == others.get(file.stem, file.stem.split("_")[0])


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("notes_x5F_v1__x28_old_x29_", "notes_v1 (old)"),
        ("Sleeve_notches_1_", "Sleeve notches"),
        ("a_x5F_x28_b", "a_x28 b"),
        ("_x35__x2F_8", "5/8"),
        ("plain", "plain"),
    ],
)
def test_ids_are_read_once_from_left_to_right(written, name):
    assert spaced(written) == name


def test_four_digit_escapes_keep_underscores():
    assert unescaped("cap_x0020_top_1") == "cap top_1"


def test_an_escape_that_is_no_character_stays():
    assert unescaped("a_xD800_b") == "a_xD800_b"


@pytest.mark.parametrize("file", sorted(FILES.glob("*.svg")), ids=lambda file: file.stem)
def test_what_is_not_displayed_is_hidden_in_every_dialect(file, dialects, tmp_path):
    """As docs/drawings.md says; ``locked`` only where the dialect declares a mark for it."""
    text = file.read_text(encoding="utf-8")
    asked = next(each for each in dialects if each.name == speaker(file, dialects))
    root = etree.fromstring(text.encode())
    square = next(element for element in root.iter("*") if is_layer(asked, element, "test square"))
    square.set("style", "display:none")
    (tmp_path / "hidden.svg").write_bytes(etree.tostring(root.getroottree()))
    layers = read_drawing(tmp_path / "hidden.svg", scale=25.4, dialects=dialects).layers
    assert [layer.hidden for layer in layers if layer.name == "test square"] == [True]
    assert not any(layer.locked for layer in layers) or asked.locked_by


def is_layer(dialect, element, name):
    found = dialect.layer(element)
    return found is not None and found.name == name


def test_each_mark_for_a_lock_that_is_declared_is_read(dialects, tmp_path):
    visio = (
        (FILES / "visio.svg")
        .read_text(encoding="utf-8")
        .replace('v:name="test square"', 'v:lock="true" v:name="test square"')
    )
    (tmp_path / "visio.svg").write_text(visio, encoding="utf-8")
    files = [FILES / "inkscape.svg", FILES / "illustrator_save.svg", tmp_path / "visio.svg"]
    locked = {
        speaker(file, dialects)
        for file in files
        if any(layer.locked for layer in read_drawing(file, scale=25.4, dialects=dialects).layers)
    }
    assert locked == {each.name for each in dialects if each.locked_by}
