"""What is printed of an adjusted nest in some of its sizes: their lines, notches, names and figures, and no others."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from lxml import etree

from svgfit.cli import main
from tests.render.pdf.reading import MM, collisions

ONE_PAGE = ("--paper", "700mmx900mm")
CAP_HEIGHTS = {"8": "5 7/16 in", "12": "5 7/8 in", "16": "6 5/16 in"}
"""In inches: the drawn 5.197, 5.512 and 5.827 (``svgfit measure``) and the plan's 1/4, 3/8 and 1/2 in."""


@pytest.fixture(scope="module")
def nest(tmp_path_factory, fitted) -> Path:
    """The demo's nest as ``svgfit adjust`` writes it."""
    out = tmp_path_factory.mktemp("nest") / "nest.svg"
    plan = str(fitted.parent / "smock-sizes.plan.toml")
    assert main(["adjust", str(fitted.parent / "smock-sizes.svg"), "--plan", plan, "-o", str(out), "--quiet"]) == 0
    return out


def page(made):
    return next(page for page in made if page.get_label() == "A1")


def names_on_lines(made) -> set[str]:
    lines = page(made).get_text().splitlines()
    return {line.strip("()") for line in lines if re.fullmatch(r"\(?\d+\)?", line)}


def bold_strokes(made) -> int:
    """How many strokes notches have: each is one with a longer end on either side, all as heavy."""
    black = [one for one in page(made).get_drawings() if one["color"] == (0.0, 0.0, 0.0)]
    return sum(one["width"] * MM > 1.1 for one in black)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(("options", "sizes"), [(("--size", "12"), ("12",)), (("--size", "8"), ("8",))])
def test_one_size_has_its_own_names_and_figures(options, sizes, nest, handout) -> None:
    made = handout(nest, *ONE_PAGE, *options)
    text = page(made).get_text()
    assert names_on_lines(made) == set(sizes)
    assert f"cap height {CAP_HEIGHTS[sizes[0]]}\n" in text
    assert not [one for one in CAP_HEIGHTS.values() if one != CAP_HEIGHTS[sizes[0]] and f"height {one}" in text]
    assert f"size {sizes[0]}" in text


@pytest.mark.slow
def test_some_sizes_have_their_names_and_the_figures_of_one_of_them(nest, handout) -> None:
    made = handout(nest, *ONE_PAGE, "--sizes", "8,16")
    text = page(made).get_text()
    assert names_on_lines(made) == {"8", "16"}
    assert f"size 16: cap height {CAP_HEIGHTS['16']}" in text
    assert "size 12" not in text
    assert "sizes 8, 16" in text


def test_all_sizes_say_whose_figures_they_are(nest, handout) -> None:
    text = page(handout(nest, *ONE_PAGE)).get_text()
    figures = [line for line in text.splitlines() if re.search(r"(height|width|length|seam|opening) .*\d in$", line)]
    assert len(figures) >= 6
    assert all(line.startswith("size 12: ") for line in figures)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("options", [("--size", "12"), ("--size", "16"), ("--sizes", "8,16"), ()])
def test_name_and_cut_instructions_are_always_there(options, nest, handout) -> None:
    words = page(handout(nest, *ONE_PAGE, *options)).get_text().splitlines()
    for word in ("Sleeve", "cut 2", "front", "back"):
        assert words.count(word) == 1


@pytest.mark.slow
def test_notches_are_those_of_the_size(nest, handout) -> None:
    assert bold_strokes(handout(nest, *ONE_PAGE)) == 5 * 4 * 3
    assert bold_strokes(handout(nest, *ONE_PAGE, "--size", "12")) == 4 * 3


def test_working_lines_are_those_of_the_size(nest, handout) -> None:
    made = handout(nest, *ONE_PAGE, "--size", "8", "--layers", "working-lines")
    assert "slash to raise the cap" in page(made).get_text()


def test_figures_that_cannot_be_had_are_left_out_and_told(nest, handout, tmp_path) -> None:
    edited = tmp_path / "edited.svg"
    edited.write_text(nest.read_text().replace(">cut 2</text>", ">cut 4</text>"))
    made = handout(edited, *ONE_PAGE, "--size", "8")
    assert names_on_lines(made) == {"8"}
    assert "cap height" not in page(made).get_text()
    assert "Sleeve is printed without its figures, which can't be had for this size" in made.warned
    assert "--size 12 prints them" in made.warned
    assert "cap height" in page(handout(edited, *ONE_PAGE, "--size", "12")).get_text()


def test_the_lines_printed_are_those_of_the_file(nest, handout, tmp_path) -> None:
    """A plan that gives other lines than stand in the drawing gives no figures for them."""
    other = tmp_path / "other.svg"
    other.write_text(nest.read_text().replace("&quot;8&quot;,&quot;1/4 in", "&quot;8&quot;,&quot;5/16 in"))
    assert other.read_text() != nest.read_text()
    made = handout(other, *ONE_PAGE, "--size", "8")
    assert "printed without its figures" in made.warned


def test_everything_of_ours_in_a_nest_says_its_size(nest) -> None:
    root = etree.parse(str(nest)).getroot()
    own = [layer for layer in root if layer.get("data-svgfit-layer") in ("working-lines", "adjusted")]
    for layer in own:
        marks = [mark for mark in layer if not str(mark.tag).endswith("title")]
        assert marks
        assert all("data-svgfit-size" in mark.attrib or "data-svgfit-for-size" in mark.attrib for mark in marks)


def test_a_label_belongs_to_the_piece_it_was_written_for(fitted, handout) -> None:
    """Also where it stands inside another piece's frame, and whatever its words are."""
    text = page(handout(fitted, "--paper", "a0", "--pieces", "Sleeve")).get_text()
    for name in ("underarm seam front", "underarm seam back", "cap length front", "cap height", "bicep width"):
        assert name in text


def map_page(made):
    return next(page for page in made if "the pages" in page.get_text())


def key_samples(page) -> dict[str, list[float]]:
    """For each size in the key its dashes, mm: of the line that ends just before its words."""
    found: dict[str, list[float]] = {}
    for x, y in [word[:2] for word in page.get_text("words") if word[4] == "size" and word[1] > 100]:  # not the title
        number = page.get_textbox((x, y - 1, x + 50, y + 8)).split()[1]
        lines = [one for one in page.get_drawings() if one["type"] == "s" and abs(one["rect"].y0 - y) < 8]
        sample = max((one for one in lines if one["rect"].x1 <= x), key=lambda one: one["rect"].x1)
        found[number] = [round(float(part) * MM, 2) for part in sample["dashes"].split("]")[0].strip("[ ").split()]
    return found


def test_the_key_of_a_drawn_nest_stands_beneath_the_map(fitted, handout) -> None:
    """The dashes as drawn in the demo, mm."""
    drawn = {"8": [1.5, 1.5], "10": [6, 2], "12": [], "14": [8, 2, 1.5, 2], "16": [12, 2.5]}
    file = fitted.parent / "smock-sizes.svg"
    every = key_samples(map_page(handout(file)))
    assert every == {size: pytest.approx(dashes, abs=0.011) for size, dashes in drawn.items()}
    assert not collisions(map_page(handout(file)))
    assert set(key_samples(map_page(handout(file, "--size", "12")))) == {"12"}


def test_there_is_no_key_where_lines_do_not_tell_sizes_apart(fitted, handout, tmp_path) -> None:
    alike = tmp_path / "alike.svg"
    alike.write_text(re.sub(r"stroke-dasharray:[\d.,]+", "", (fitted.parent / "smock-sizes.svg").read_text()))
    assert "size" not in map_page(handout(alike)).get_text().split()
    assert "size" not in map_page(handout(fitted)).get_text().split()


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(("paper", "asked"), [("a4", True), ("letter", True), ("a4+letter", False)])
def test_a_page_that_fits_two_papers_asks_for_no_tray_of_its_size(paper, asked, fitted, handout) -> None:
    with pikepdf.open(BytesIO(handout(fitted, "--paper", paper).bytes)) as pdf:
        wishes = pdf.Root.ViewerPreferences
        assert (wishes.get("/PickTrayByPDFSize") is True) is asked
        assert wishes.PrintScaling == "/None"
