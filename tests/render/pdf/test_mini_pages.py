"""Minis larger than their paper, on several pages: as pymupdf reads them, against the drawing and its scale."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely

from svgfit.app.teaching import lesson_of, mini_pdf
from svgfit.model.length import Units
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.mini import minis_of, read_mini
from svgfit.render.pdf.mini_pages import Laid
from tests.render.pdf.reading import MM, collisions, lengths, lines, opened, sizes, words
from tests.render.pdf.test_teaching import A4, LETTER, mini, run_of, text_of

NEAR = 0.02  # mm, the issue
CASES = [("smock", "1/2", A4), ("smock", "1/2", LETTER), ("nothing", "1/2", A4), ("nothing", "1/2", LETTER)]
"""The demo's sleeve, raised; and a whole smock's three pieces, of which nothing was changed."""


def is_tile(page) -> bool:
    return page.trimbox != page.mediabox


def tiled_minis(made) -> list[list]:
    """The pages of each tiled mini, by the piece that their heads name."""
    found: dict[str, list] = {}
    for page in made:
        if is_tile(page):
            head = page.get_text().split(" at 1/2: row ")[0].splitlines()[-1]
            found.setdefault(head, []).append(page)
    return list(found.values())


def shown(page) -> shapely.Polygon:
    """What a tile shows: pymupdf gives strokes as if nothing were clipped."""
    box = page.trimbox
    return shapely.box(box.x0 * MM, box.y0 * MM, box.x1 * MM, box.y1 * MM)


def put_together(pages) -> shapely.MultiLineString:
    """The edge (0.8 mm heavy, or 0.35 mm before a step) that a mini's pages show, each at its row and column."""
    found = []
    for page in pages:
        window = shown(page)
        left, top, right, bottom = window.bounds
        row, column = re.search(r"row (\w) of \w, column (\d) of", page.get_text()).groups()
        pens = {round((drawing["width"] or 0) * MM, 2) for drawing in page.get_drawings()}
        pen = 0.8 if 0.8 in pens else 0.35
        heavy = [
            shapely.LineString([(item[1].x * MM, item[1].y * MM), (item[2].x * MM, item[2].y * MM)])
            for drawing in page.get_drawings()
            if drawing["width"]
            and abs(drawing["width"] * MM - pen) < 1e-3
            and len(drawing["items"]) > 3  # not a page's own marks
            for item in drawing["items"]
        ]
        seen = shapely.intersection(shapely.MultiLineString(heavy), window)
        across, down = (int(column) - 1) * (right - left - 12), (ord(row) - 65) * (bottom - top - 12)
        found.append(shapely.affinity.translate(seen, across - left, down - top))
    return shapely.union_all(found)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "scale", "paper"), CASES)
def test_the_stitch_line_put_together_from_a_minis_pages_is_the_drawings_times_the_scale(name, scale, paper):
    made = mini(name, scale, paper)
    (run,) = run_of(name).sizes
    pieces = [one.new for one in minis_of(lesson_of(run_of(name), Units()), run)]
    groups = tiled_minis(made)
    assert len(groups) == len(pieces) >= 1
    for piece, pages in zip(pieces, groups, strict=True):
        assert len(pages) > 1
        found = put_together(pages)
        outline = piece.outline()
        factor = read_mini(scale).factor
        wanted = outline.points(np.arange(200 * len(outline) + 1) / 200)
        wanted = wanted.real * factor * (-1 if piece.placement.mirrors else 1) + 1j * wanted.imag * factor
        # laid on each other by their upper left corners alone: nothing of length or form is taken from svgfit
        left, top, _, _ = found.bounds
        wanted = wanted + complex(left - wanted.real.min(), top - wanted.imag.min())
        line = shapely.LineString([(at.real, at.imag) for at in wanted])
        assert shapely.hausdorff_distance(found, line) <= NEAR
        assert shapely.distance(found, shapely.points(wanted.real, wanted.imag)).max() <= NEAR


@pytest.mark.slow
@pytest.mark.parametrize(("name", "scale", "paper"), CASES)
def test_every_page_of_a_mini_has_its_scale_bar_a_check_line_and_what_to_trim(name, scale, paper):
    for page in mini(name, scale, paper):
        text = " ".join(page.get_text().split())
        assert "4 in at full size; on this paper the bar is 2 in long" in text
        bars = [
            abs(item[2].x - item[1].x) * MM
            for drawing in page.get_drawings()
            if abs((drawing["width"] or 0) * MM - 0.55) < 1e-3
            for item in drawing["items"]
            if item[0] == "l" and item[1].y > page.rect.height - 30 / MM
        ]
        assert any(abs(bar - 50.8) <= 0.01 for bar in bars)
        if is_tile(page):
            assert sum(abs(one - 50.8) <= 0.01 for one in lengths(page, level=True)) >= 2  # bar and check line
            assert "Trim the " in text or "Trim nothing." in text
            assert "not to cut cloth by" in text
            pixels = page.get_pixmap(dpi=100, colorspace="gray")
            ink = np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, -1) < 200
            ink[20:-20, 20:-20] = False  # 5 mm: less a printer may not print
            assert not ink.any()


@pytest.mark.slow
@pytest.mark.parametrize(("name", "scale", "paper"), CASES)
def test_words_and_strokes_of_a_tiled_mini_are_not_shrunk_and_keep_off_each_other(name, scale, paper):
    for page in mini(name, scale, paper):
        assert (seen_collisions(page) if is_tile(page) else collisions(page)) == []
        assert min(sizes(page)) >= 7.99
        pens = {round(drawing["width"] * MM, 2) for drawing in page.get_drawings() if drawing["width"]}
        assert pens & {0.8, 0.35} or not is_tile(page)
        assert min(pens) >= 0.17


def seen_collisions(page) -> list[str]:
    """Words on a tile that a stroke crosses or that lie on each other, of what the tile shows of the drawing."""
    window = shown(page)
    every = [(word, box.buffer(-0.05)) for word, box in words(page) if box.intersects(window.buffer(-0.1))]
    drawn = shapely.intersection(lines(page), window)
    found = [word for word, box in every if box.intersects(drawn)]
    pairs = [(one, other) for n, one in enumerate(every) for other in every[:n]]
    return found + [f"{one[0]} x {other[0]}" for one, other in pairs if one[1].intersects(other[1])]


def test_the_figures_of_a_tiled_mini_are_those_of_the_full_size():
    made = text_of(mini("smock", "1/2", A4))
    for figure in ("18 11/16 in", "was 5 1/2 in", "13 11/16 in"):
        assert figure in made


@pytest.mark.slow
def test_the_paper_is_turned_where_a_mini_fits_only_so():
    done = run_of("smock")
    wide = (420.0, 297.0)
    pages = opened(mini_pdf(done, wide, Units(), "1/2"))
    assert {(page.rect.width < page.rect.height, is_tile(page)) for page in pages} == {(True, False)}
    kept = opened(mini_pdf(done, wide, Units(), "1/2", Laid("landscape")))
    assert sum(map(is_tile, kept)) > 1
    assert all(page.rect.width > page.rect.height for page in kept)


@pytest.mark.slow
def test_a_mini_of_too_many_pages_is_refused_and_so_is_a_paper_without_room():
    done = run_of("nothing")
    with pytest.raises(Refusal, match=r"the minis 1/2 would take \d+ pages"):
        mini_pdf(done, (80.0, 110.0), Units(), "1/2", Laid(most=10))
    with pytest.raises(Refusal, match="too small"):
        mini_pdf(done, (55.0, 60.0), Units(), "1/2")
