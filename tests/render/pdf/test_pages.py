"""The true-to-size pages of whole handouts, as pymupdf reads them."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pymupdf
import pytest
import shapely

from svgfit.app.handout import prepare_handout
from svgfit.app.open_drawings import ReadingOptions
from svgfit.app.session import Session, open_drawings
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.vocabulary import Unit
from svgfit.render.layer_selection import read_parts
from svgfit.render.pdf.build import Handout, Made, Pages, make_handout
from svgfit.render.pdf.choosing import Chosen, Wanted
from svgfit.render.pdf.first_page import first_page
from svgfit.render.pdf.frames import frame
from svgfit.render.pdf.overview import overview
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import Inked, print_areas
from svgfit.render.pdf.tiling import tile as tiled
from svgfit.render.pdf.typesetting import typeset
from tests.render.pdf.reading import MM, collisions, lengths, lines, opened, outside, sizes, words

NEAR = 0.02  # mm, the issue


def tiles(made: pymupdf.Document) -> list[pymupdf.Page]:
    return [page for page in made if page.get_label()[:1].isupper()]


def printed(files: list[str], how: Handout) -> Made:
    return make_handout(prepare_handout(Session(files, ReadingOptions()), how).ready, how)


def tile_box(page) -> tuple[float, float, float, float]:
    box = page.trimbox  # which pymupdf gives from the upper left corner
    return box.x0 * MM, box.y0 * MM, box.x1 * MM, box.y1 * MM


def points_of(file: Path, field: str, options: dict) -> list[complex]:
    """Points of the stitch or cut lines in page mm, 900 a line."""
    pieces = open_drawings(file, **options).read.raw_pieces
    if options.get("from_adjusted"):
        pieces = tuple(piece for piece in pieces if piece.attributes is not None)
    curves = [curve for piece in pieces for shape in getattr(piece, field) for curve in shape.curves]
    assert curves
    return [complex(at) for curve in curves for at in curve.points(np.linspace(0, len(curve), 900))]


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(
    ("name", "field", "paper", "how", "options"),
    [
        ("smock-fitted.svg", "stitch", "a4", {}, {"from_adjusted": True}),
        ("smock-fitted.svg", "cut", "letter", {"overlap": 0.0, "orientation": "portrait"}, {"from_adjusted": True}),
        ("smock.svg", "stitch", "a4+letter", {}, {}),
        ("smock-sizes.svg", "stitch", "a3", {"wanted": Wanted(size="12")}, {"size": "12"}),
        ("teaching-sleeve.svg", "stitch", "120mmx150mm", {"margin": 5.0, "overlap": 8.0}, {}),
        ("smock-sleeve-cut-line.svg", "cut", "legal", {}, {}),
    ],
)
def test_the_line_put_together_from_all_pages_is_the_drawing(name, field, paper, how, options, fitted) -> None:
    file = fitted.parent / name
    made = printed([str(file)], Handout(read_paper(paper), **how))
    (tiling,) = made.tilings
    pages = tiles(opened(made.pdf))
    assert [page.get_label() for page in pages] == [tile.name for tile in tiling.tiles]
    points = np.array(points_of(file, field, options))
    found = np.zeros(len(points), bool)
    for page, tile in zip(pages, tiling.tiles, strict=True):
        left, top, right, bottom = tile_box(page)
        assert (right - left, bottom - top) == pytest.approx((tile.width, tile.height), abs=0.01)
        here = points + complex(left - tile.left, top - tile.top)
        inside = (here.real > left) & (here.real < right) & (here.imag > top) & (here.imag < bottom)
        shown = here[inside]
        away = shapely.distance(lines(page), shapely.points(shown.real, shown.imag))
        assert away.max(initial=0) <= NEAR
        found |= inside
    assert found.all()


def test_nothing_of_the_piece_is_in_a_margin_and_every_page_is_full(drawing, handout) -> None:
    made = handout(drawing('<path d="M-50-50h700v900h-700z" fill="#f00"/>'), "--quiet", "--orientation", "portrait")
    pages = tiles(made)
    last = pages[-1].get_label()
    assert len(pages) == 20
    for page in pages:
        pixels = page.get_pixmap(dpi=144, colorspace=pymupdf.csRGB)
        seen = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width, 3).astype(int)
        red = seen[:, :, 0] - seen[:, :, 1] > 60
        left, top, right, bottom = (2 * side / MM for side in tile_box(page))
        inside = np.zeros_like(red)
        inside[round(top) + 1 : round(bottom) - 1, round(left) + 1 : round(right) - 1] = True
        outside = np.ones_like(red)
        outside[int(top) - 1 : int(bottom) + 2, int(left) - 1 : int(right) + 2] = False  # a pixel is 0.18 mm
        assert not (red & outside).any()
        assert (seen[:, :, 0] < 128)[outside].any()  # the words are there
        row, column = page.get_label()
        if row not in f"A{last[0]}" and column not in f"1{last[1]}":
            assert red[inside].mean() > 0.98  # all but the marks


def test_no_page_is_missing_and_none_is_blank(drawing, handout) -> None:
    """Against the drawing as pymupdf itself draws it, from the SVG."""
    file = drawing(
        '<g fill="none" stroke="#000"><path d="M20 20 580 780" stroke-width="3"/><circle cx="500" cy="80" r="40"/>'
        '<path d="M300 700q40-60 90 20t30 40" stroke-width="14"/></g><rect x="20" y="600" width="90" height="30"/>'
    )
    made = handout(file, "--paper", "a4", "--orientation", "portrait")
    (tiling,) = printed([str(file)], Handout(read_paper("a4"), "portrait")).tilings
    assert tiling.blank > 0
    assert f"{tiling.blank} blank left out" in made.said
    page = pymupdf.open(file)[0]
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(600 / page.rect.width, 800 / page.rect.height), colorspace="gray")
    ink = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, -1)[:800, :600] < 200
    shown = np.zeros_like(ink)
    for tile in tiling.tiles:
        rows = slice(max(0, int(tile.top)), max(0, int(tile.top + tile.height)))
        columns = slice(max(0, int(tile.left)), max(0, int(tile.left + tile.width)))
        assert ink[rows, columns].any(), tile.name
        shown[rows, columns] = True
    assert ink.sum() > 5000
    assert not (ink & ~shown).any()


def test_halves_of_edge_marks_meet(fitted) -> None:
    made = printed([str(fitted)], Handout(read_paper("a4")))
    (tiling,) = made.tilings
    bases: dict[str, set[tuple[float, float]]] = {}
    for page, tile in zip(tiles(opened(made.pdf)), tiling.tiles, strict=True):
        left, top, _, bottom = tile_box(page)
        found = set()
        for drawn in page.get_drawings():
            corners = [item for item in drawn["items"] if item[0] == "l"]
            size = sorted((drawn["rect"].width * MM, drawn["rect"].height * MM))
            if len(corners) == 3 and size == pytest.approx([4, 8], abs=0.01):
                ends = [complex(item[1].x, item[1].y) * MM for item in corners]
                a, b = max(((p, q) for p in ends for q in ends), key=lambda pair: abs(pair[0] - pair[1]))
                middle = (a + b) / 2
                assert left - 0.01 <= min(p.real for p in ends)
                assert max(p.imag for p in ends) <= bottom + 0.01
                found.add((round(middle.real - left + tile.left, 2), round(middle.imag - top + tile.top, 2)))
        bases[tile.name] = found
    for tile in tiling.tiles:
        for beside in (tiling.at(tile.row, tile.column + 1), tiling.at(tile.row + 1, tile.column)):
            if beside is not None:
                shared = [
                    a
                    for a in bases[tile.name]
                    for b in bases[beside.name]
                    if abs(a[0] - b[0]) + abs(a[1] - b[1]) < 0.03
                ]
                assert len(shared) == 2, (tile.name, beside.name)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize(("unit", "length"), [("mm", 50), ("in", 50.8)])
def test_every_page_has_its_name_a_check_line_and_what_to_trim(unit, length, fitted, handout) -> None:
    made = handout(fitted, "--unit", unit, "--paper", "a4", "--orientation", "portrait")
    for page in tiles(made):
        text = page.get_text()
        assert page.get_label() in text.split()
        assert any(abs(one - length) <= 0.01 for one in lengths(page, level=True))
        assert ("Trim the " in text) or ("Trim nothing." in text)
    first = tiles(made)[0].get_text()
    assert "Trim the right and the lower edge." in first
    assert "Trim here, then lay this edge on A2." in first
    assert "Trim nothing." in tiles(made)[-1].get_text()


@pytest.mark.slow
@pytest.mark.parametrize("units", [Units(), Units(Unit.MM)])
@pytest.mark.parametrize("paper", ["a4", "letter", "a4+letter", "a3", "100mmx140mm", "60mmx400mm"])
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
@pytest.mark.parametrize("margin", [0.0, 5.0, 12.7])
def test_words_on_frames_and_overview_keep_off_lines_and_off_each_other(paper, orientation, margin, units) -> None:
    (area,) = print_areas(read_paper(paper), orientation, margin, 12.0)
    size = 2.2 * area.height - 24, 2.7 * area.width - 24
    tiling = tiled(Inked(0.0, 0.0, 1.0, np.ones(tuple(map(int, size)), np.bool_)), (area,))
    title = "Smock of the miller’s player, with long sleeves and a stand collar, drawn for the second act"
    box = Curve.polyline([0j, size[1] + 0j, complex(size[1], size[0]), 0j])
    chosen = Chosen(("adjusted",), (), (box,), (("Sleeve", (0.0, 0.0, size[1], size[0])),), (), ())
    frames = tuple(frame(tiling, one, title, units) for one in tiling.tiles)
    first = first_page(area, title, "A4 paper")
    made = opened(typeset("handout", Pages("", first, (overview(tiling, chosen, title, units),), frames)))
    front = len(made) - len(tiling.tiles)
    assert front >= 2
    for number, page in enumerate(made):
        assert collisions(page) == []
        assert min(sizes(page)) >= 7.99
        assert outside(page, 0.5, 0.5, area.paper.width - 0.5, area.paper.height - 0.5) == [] or margin < 0.5
        if number >= front:
            shows = shapely.box(margin, area.top, margin + area.width, area.top + area.height)
            assert not [word for word, there in words(page) if shows.buffer(-0.01).intersects(there)]


@pytest.mark.parametrize(("wide", "high"), [(30000, 900), (900, 30000), (9000, 9000)])
def test_on_the_map_of_very_many_pages_rows_and_columns_are_still_told_apart(wide, high) -> None:
    tiling = tiled(
        Inked(0.0, 0.0, 10.0, np.ones((high // 10, wide // 10), np.bool_)),
        print_areas(read_paper("a4"), None, 12.7, 12.0),
    )
    line = Curve.polyline([0j, complex(wide, high)])
    chosen = Chosen(("original",), (), (line,), (), (), ())
    first = first_page(tiling.area, "roll", "A4 paper")
    made = opened(typeset("handout", Pages("", first, (overview(tiling, chosen, "roll", Units(Unit.MM)),), ())))
    assert collisions(made[1]) == []
    assert {"1", "A"} <= {word for word, _ in words(made[1])}


def test_the_overview_of_a_nest_tells_which_pages_a_piece_is_on(fitted, handout) -> None:
    made = handout(fitted.parent / "smock-sizes.svg", "--paper", "letter", "--size", "12", "--orientation", "landscape")
    page = next(page for page in made if "the pages" in page.get_text())
    assert collisions(page) == []
    text = page.get_text()
    for name in ("Front: A1", "Back: ", "Sleeve: "):
        assert name in text
    assert "One with nothing on it is left out and crossed out here." in " ".join(text.split())


def test_made_for_print(fitted, handout) -> None:
    made = handout(fitted)
    assert made.metadata["title"] == "smock-fitted"
    for page in made:
        for font in page.get_fonts():
            assert made.extract_font(font[0])[3], font  # embedded
            assert "DejaVuSans" in font[3]
        assert page.mediabox == page.cropbox
    for page in tiles(made):
        box, paper = page.trimbox, page.mediabox
        assert paper.width - box.width == pytest.approx(25.4 / MM, abs=0.01)
        assert paper.height - box.height == pytest.approx(25.4 / MM, abs=0.01)
    assert [len(page.search_for("cap height")) for page in tiles(made)].count(1) == 1  # once, not with its halo
    with pikepdf.open(BytesIO(made.bytes)) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        shared = {page.resources.XObject[name].objgen for page in pdf.pages[2:] for name in page.resources.XObject}
        assert len(shared) == 1  # one drawing, however many pages show it


@pytest.mark.slow
def test_the_same_drawing_gives_the_same_bytes(fitted, handout) -> None:
    assert handout(fitted).bytes == handout(fitted).bytes


def test_what_colour_there_is_prints_dark_enough_in_grey(fitted, handout) -> None:
    made = handout(fitted, "--layers", "adjusted,measurements,working-lines")
    for page in made:
        for drawn in page.get_drawings():
            for paint in (drawn.get("color"), drawn.get("fill")):
                if paint and paint != (1.0, 1.0, 1.0):
                    red, green, blue = paint
                    assert 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.6  # Rec. 709 luma


def test_layers_chosen(fitted) -> None:
    assert read_parts("Working lines, ORIGINAL") == ("original", "working-lines")
