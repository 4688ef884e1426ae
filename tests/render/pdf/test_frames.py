"""What svgfit draws round a page keeps off the drawing's own words: lines are broken there, edge marks move along."""

import numpy as np
import pymupdf
import shapely

from svgfit.geometry.box import Box
from svgfit.model.length import Units
from svgfit.render.pdf.build import Pages
from svgfit.render.pdf.first_page import first_page
from svgfit.render.pdf.frames import frame
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import Inked, layouts, tile
from svgfit.render.pdf.typesetting import typeset
from tests.render.pdf.reading import MM, opened, strokes

LAYOUT = layouts(read_paper("a4"), "portrait", 12.7, 12.0)[0]
LEFT, TOP = LAYOUT.margin, LAYOUT.top
RIGHT, BOTTOM = LEFT + LAYOUT.width, TOP + LAYOUT.height


def framed(*words: Box) -> pymupdf.Page:
    """Frame the first of four pages; ``words`` are boxes on that page, mm."""
    rows, columns = int(1.5 * LAYOUT.height), int(1.5 * LAYOUT.width)
    tiling = tile(Inked(0.0, 0.0, 1.0, np.ones((rows, columns), np.bool_)), (LAYOUT,))
    x, y = tiling.tiles[0].left - LEFT, tiling.tiles[0].top - TOP
    boxes = [(box[0] + x, box[1] + y, box[2] + x, box[3] + y) for box in words]
    one = frame(tiling, tiling.tiles[0], "Smock", Units(), boxes)
    return opened(typeset("handout", Pages("", first_page(LAYOUT, "", "A4 paper"), (), (one,))))[-1]


def marks(page: pymupdf.Page) -> list[tuple[float, float, float, float]]:
    """Return the box of each half diamond, mm."""
    boxes = [tuple(round(side * MM, 1) for side in drawn["rect"]) for drawn in page.get_drawings()]
    return sorted(box for box in boxes if sorted((round(box[2] - box[0]), round(box[3] - box[1]))) == [4, 8])


def test_lines_are_broken_and_marks_move_where_words_are() -> None:
    quarter = TOP + 0.25 * (BOTTOM - TOP)
    words = [(RIGHT - 9, quarter - 4, RIGHT + 9, quarter + 4), (60, BOTTOM - 4, 80, BOTTOM + 4)]
    page = framed(*words, (64, BOTTOM - 3, 84, BOTTOM + 3))
    drawn = [shapely.LineString([(at.real, at.imag) for at in stroke]) for stroke in strokes(page)]
    assert [line for line in drawn for word in words if line.intersects(shapely.box(*word))] == []
    ends = {
        round(at.real, 1)
        for a, b, *_ in strokes(page)
        for at in (a, b)
        if abs(a.imag - BOTTOM) + abs(b.imag - BOTTOM) < 0.02
    }
    assert {59.3, 84.7} <= ends
    assert not {60.0, 80.0, 84.0} & ends
    assert len(marks(page)) == 4


def test_a_mark_stands_where_it_is_asked_for_when_words_leave_no_place() -> None:
    plain = marks(framed())
    assert len(plain) == 4
    assert marks(framed((0.0, BOTTOM - 4, 210.0, BOTTOM + 4))) == plain
    moved = marks(framed((RIGHT - 4, TOP + 0.25 * (BOTTOM - TOP) - 2, RIGHT + 4, TOP + 0.25 * (BOTTOM - TOP) + 2)))
    assert len(set(moved) - set(plain)) == 1
