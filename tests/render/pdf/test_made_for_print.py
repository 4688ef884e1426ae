"""A whole handout as a printer gets it: kinds of line without colour, faces, words to search, title, page boxes."""

from __future__ import annotations

import re
from io import BytesIO
from itertools import combinations

import pikepdf
import pymupdf
import pytest

from svgfit.cli import main
from svgfit.model.line_kind import KINDS
from svgfit.render.pdf.pen import PENS
from tests.render.pdf.printed import luminance
from tests.render.pdf.reading import MM

PALEST = 0.3  # relative luminance; judgement, no source; docs/handout.md says so


@pytest.fixture(scope="module")
def whole(fitted, tmp_path_factory) -> pymupdf.Document:
    """The demo's handout with all layers, minis and the teaching sheet."""
    out = tmp_path_factory.mktemp("print") / "whole.pdf"
    how = ("--layers", "adjusted,measurements,working-lines", "--mini", "1/4")
    assert main(["handout", str(fitted), "-o", str(out), "--quiet", *how]) == 0
    return pymupdf.open(out)


Look = tuple[float, tuple[float, ...], int]


def looks(page, level: int = 0) -> dict[Look, set[tuple[float, ...]]]:
    """Width (mm), dash (mm) and end of every stroke of a page but white ones, and the colours in which it comes.

    ``level`` 1: only what is clipped to the page's part of the drawing, without what stands round that.
    """
    found: dict[Look, set[tuple[float, ...]]] = {}
    for one in page.get_drawings(extended=True):
        if one["type"] in ("s", "fs") and one["level"] >= level and luminance(one["color"]) < 0.98:
            dash = tuple(round(float(part) * MM, 2) for part in re.findall(r"[\d.]+", one["dashes"].partition("]")[0]))
            look = (round(one["width"] * MM, 3), dash, one["lineCap"][0])
            found.setdefault(look, set()).add(tuple(one["color"]))
    return found


def apart(one: Look, other: Look) -> bool:
    """Whether two looks are told apart without colour: dashed or not, how long the dashes, how heavy."""
    (width, dash, _), (width_too, dash_too, _) = one, other
    if len(dash) != len(dash_too):
        return True
    if dash and max(dash[0] / dash_too[0], dash_too[0] / dash[0]) > 1.5:
        return True
    return max(width / width_too, width_too / width) >= 1.25


def tiles(pdf: pymupdf.Document) -> list[pymupdf.Page]:
    return [page for page in pdf if page.get_label()[:1].isupper()]


@pytest.mark.slow
def test_every_line_and_word_of_ours_is_dark_enough_for_a_laser_printer(whole) -> None:
    for page in whole:
        for colours in looks(page).values():
            assert max(map(luminance, colours)) <= PALEST
        assert max(luminance(span["color"]) for span in page.get_texttrace()) <= PALEST


def test_kinds_of_line_are_told_apart_without_colour_on_the_page_itself(whole) -> None:
    """As measured in the PDF: every stroke of the drawing is one of the kinds, and of one colour."""
    own = [looks(page, level=1) for page in tiles(whole)]
    (scale,) = {round(look[0] / 0.95, 3) for found in own for look in found if 0.9 < look[0] < 1.05}
    widths = [(kind.name, kind.width * scale, kind.dash) for kind in KINDS]
    widths.append(("extension of a dimension", 0.7 * 0.28 * scale, ()))
    seen: set[str] = set()
    for found in own:
        for (width, dash, _), colours in found.items():
            kinds = [name for name, at, dashes in widths if abs(at - width) < 0.006 and len(dashes) == len(dash)]
            assert kinds, (width, dash)
            assert len(colours) == 1
            assert width >= 0.2
            seen.update(kinds)
    assert len(seen) >= 10


def test_no_line_is_finer_than_a_printer_draws(whole) -> None:
    assert min(look[0] for page in whole for look in looks(page)) >= 0.17  # rules of tables: 0.5 pt


@pytest.mark.parametrize("every", [KINDS, PENS], ids=["on the drawing", "on the teaching sheet"])
def test_no_two_kinds_look_alike_in_grey(every) -> None:
    drawn = [kind for kind in every if kind.width]
    alike = [
        (one.name, other.name)
        for one, other in combinations(drawn, 2)
        if one.symbol == other.symbol and not apart((one.width, one.dash, 0), (other.width, other.dash, 0))
    ]
    assert alike == []
    assert len(drawn) > 10


def test_the_pens_of_teaching_sheet_and_mini_are_as_they_are_declared(whole) -> None:
    declared = {(pen.width, tuple(round(part, 2) for part in pen.dash)) for pen in PENS}
    pages = [page for page in whole if "Step" in page.get_text() and "Walk" not in page.get_text()]
    assert len(pages) == 2
    for page in pages:
        found = {(round(width, 2), dash) for width, dash, _ in looks(page)}
        rules = {(width, dash) for width, dash in found if not dash and width in (0.18, 0.32)}  # of tables: 0.5, 0.9 pt
        assert found - rules <= declared
        assert len(found & declared) >= 5


def test_only_our_face_is_used_and_it_is_in_the_file(whole) -> None:
    faces = set()
    for page in whole:
        for number, _, kind, name, *_ in page.get_fonts():
            assert whole.extract_font(number)[3], name
            assert kind in ("Type0", "TrueType")
            faces.add(name.rpartition("+")[2])
    assert faces == {"DejaVuSans", "DejaVuSans-Bold"}


@pytest.mark.parametrize(
    "words",
    ["cap height 5 7/8 in", "Trim here, then lay this edge on", "100 mm square", "Raise the cap", "Minis 1/4"],
)
def test_what_is_written_is_found_by_a_search(words, whole) -> None:
    assert any(page.search_for(words) for page in whole)


def test_title_page_names_and_boxes(whole) -> None:
    assert whole.metadata["title"] == "smock-fitted"
    assert not whole.metadata["creationDate"]  # the same drawing, the same file
    with pikepdf.open(BytesIO(whole.tobytes())) as pdf:
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        assert [str(each.title) for each in pdf.open_outline().root] == [page.get_label() for page in tiles(whole)]
        for page, seen in zip(pdf.pages, whole, strict=True):
            media, trim = ([float(side) for side in box] for box in (page.mediabox, page.trimbox))
            assert media == pytest.approx([0, 0, 297 / MM, 210 / MM], abs=0.01) or media == pytest.approx(
                [0, 0, 210 / MM, 297 / MM], abs=0.01
            )
            assert "/TrimBox" in page
            inside = seen.get_label()[:1].isupper()
            room = 12.7 / MM if inside else 0.0
            assert trim[:2] == pytest.approx([room, room], abs=0.01)
            assert trim[2:] == pytest.approx([media[2] - room, media[3] - room], abs=0.01)


@pytest.mark.slow
def test_pages_of_a_tiled_mini_keep_the_box_of_what_they_show(fitted, handout) -> None:
    made = handout(fitted, "--mini", "1/2", "--paper", "a4")
    tiled = [page for page in made if "at 1/2: row " in page.get_text()]
    assert len(tiled) >= 2
    for page in tiled:
        assert page.trimbox.x0 * MM == pytest.approx(12.7, abs=0.01)
        assert (page.rect.width - page.trimbox.x1) * MM == pytest.approx(12.7, abs=0.01)
