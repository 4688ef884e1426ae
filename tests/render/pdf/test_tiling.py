import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from svgfit.geometry.curve import Curve
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.inking import Inking, ink_of
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import Inked, print_areas, row_name, tile

A4 = read_paper("a4")


def full(width: int, height: int) -> Inked:
    return Inked(0.0, 0.0, 1.0, np.ones((height, width), np.bool_))


def test_a_tile_for_a4_and_letter_is_7_and_a_quarter_by_10_in() -> None:
    # the issue: 7 1/4 x 10 in fits both within half an inch
    (area,) = print_areas(read_paper("a4+letter"), "portrait", 12.7, 12.0)
    assert area.height == pytest.approx(254.0)
    assert area.width >= 7.25 * 25.4


def test_pages_of_the_grid_overlap_and_reach_over_all_ink() -> None:
    tiling = tile(full(500, 700), print_areas(A4, "portrait", 12.7, 12.0))
    assert (tiling.rows, tiling.columns, tiling.blank) == (3, 3, 0)
    first, below, right = tiling.at(0, 0), tiling.at(1, 0), tiling.at(0, 1)
    assert None not in (first, below, right)
    assert first.left + first.width - right.left == pytest.approx(12.0)
    assert first.top + first.height - below.top == pytest.approx(12.0)
    last = tiling.tiles[-1]
    assert first.left <= 0 <= 500 <= last.left + last.width
    assert first.top <= 0 <= 700 <= last.top + last.height


def test_the_paper_is_turned_the_way_that_needs_fewer_pages() -> None:
    assert tile(full(260, 180), print_areas(A4, None, 12.7, 12.0)).area.orientation == "landscape"
    assert tile(full(180, 260), print_areas(A4, None, 12.7, 12.0)).area.orientation == "portrait"
    assert len(tile(full(260, 180), print_areas(A4, "portrait", 12.7, 12.0)).tiles) == 2


def test_a_page_with_nothing_on_it_is_left_out() -> None:
    cells = np.zeros((800, 800), np.bool_)
    cells[:30], cells[:, :30] = True, True
    tiling = tile(Inked(0.0, 0.0, 1.0, cells), print_areas(A4, "portrait", 12.7, 12.0))
    assert {one.name for one in tiling.tiles} == {f"A{n + 1}" for n in range(tiling.columns)} | {
        f"{row_name(n)}1" for n in range(tiling.rows)
    }


def test_a_page_whose_ink_all_shows_on_its_neighbour_is_left_out() -> None:
    cells = np.zeros((600, 600), np.bool_)
    cells[:, 0] = cells[0, :] = True
    cells[100:110, :] = True
    with_line = tile(Inked(0.0, 0.0, 1.0, cells), print_areas(A4, "portrait", 12.7, 12.0))
    edge = with_line.at(1, 0)
    assert edge is not None
    start = math.ceil(with_line.left + with_line.area.width - 12 + 1)
    cells = cells.copy()
    cells[300:310, start : start + 8] = True  # within the strip that column 1 shows too
    again = tile(Inked(0.0, 0.0, 1.0, cells), print_areas(A4, "portrait", 12.7, 12.0))
    assert [one.name for one in again.tiles] == [one.name for one in with_line.tiles]


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(
    places=st.lists(st.tuples(st.integers(0, 699), st.integers(0, 899)), min_size=1, max_size=30),
    overlap=st.sampled_from([0.0, 1.0, 12.0, 30.0]),
    margin=st.sampled_from([0.0, 6.0, 12.7, 25.0]),
)
def test_no_ink_is_on_no_page(places: list[tuple[int, int]], overlap: float, margin: float) -> None:
    cells = np.zeros((900, 700), np.bool_)
    for x, y in places:
        cells[y, x] = True
    cells[0, 0] = cells[-1, -1] = True
    tiling = tile(Inked(5.0, -7.0, 1.0, cells), print_areas(A4, None, margin, overlap))
    for y, x in np.argwhere(cells).tolist():
        for at in (complex(5 + x + 0.1, y - 7 + 0.1), complex(5 + x + 0.9, y - 7 + 0.9)):
            assert any(
                one.left - 1e-6 <= at.real <= one.left + one.width + 1e-6
                and one.top - 1e-6 <= at.imag <= one.top + one.height + 1e-6
                for one in tiling.tiles
            )


def test_rows_beyond_z() -> None:
    assert [row_name(n) for n in (0, 25, 26, 51, 52, 701, 702)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


@pytest.mark.parametrize(
    ("margin", "overlap", "line"),
    [
        (12.7, 190.0, "is too small: within margins of 12.7 mm"),
        (100.0, 12.0, "is too small"),
        (-1.0, 12.0, "--margin: -1.0 mm (-1/16 in) is not possible"),
        (12.7, -1.0, "--overlap: -1.0 mm (-1/16 in) is not possible"),
    ],
)
def test_no_room_on_the_paper_is_one_line(margin: float, overlap: float, line: str) -> None:
    with pytest.raises(Refusal) as refusal:
        print_areas(A4, None, margin, overlap)
    assert line in refusal.value.line()


def circle(middle: complex, radius: float) -> Curve:
    k = 4 / 3 * math.tan(math.pi / 8)
    corners = [1, 1j, -1, -1j, 1]
    return Curve(np.array([[middle + radius * p for p in (a, a + k * b, b + k * a, b)] for a, b in pairwise(corners)]))


def test_ink_lies_along_lines_and_not_inside_them() -> None:
    ink = ink_of([Inking((circle(100 + 100j, 80.0),), 0.5, stroked=True, filled=False)], [])
    assert ink is not None
    assert (ink.left, ink.top) == pytest.approx((19, 19), abs=2)
    assert (ink.width, ink.height) == pytest.approx((162, 162), abs=4)
    middle = ink.cells[60:100, 60:100]
    assert not middle.any()
    angles = np.linspace(0, 2 * np.pi, 1000)
    for at in 100 + 100j + 80 * np.exp(1j * angles):
        assert ink.cells[int(at.imag - ink.top), int(at.real - ink.left)]


def test_what_is_filled_is_ink_inside_and_a_hole_is_none() -> None:
    ring = (circle(100 + 100j, 80.0), circle(100 + 100j, 40.0).reverse())
    ink = ink_of([Inking(ring, 0.0, stroked=False, filled=True)], [])
    assert ink is not None
    share = ink.cells.sum() / (math.pi * (80**2 - 40**2))
    assert 1.0 <= share <= 1.12  # the lines round it count too, and a cell beside them
    assert not ink.cells[int(100 - ink.top), int(100 - ink.left)]


def test_a_thick_line_and_a_text_are_ink_all_over() -> None:
    thick = ink_of([Inking((Curve.polyline([0j, 100 + 0j]),), 10.0, stroked=True, filled=False)], [])
    assert thick is not None
    assert thick.height == pytest.approx(21, abs=2)
    text = ink_of([], [(10.0, 20.0, 60.0, 30.0)])
    assert text is not None
    assert text.cells.all()
    assert (text.width, text.height) == pytest.approx((50, 10), abs=1.1)


def test_no_ink_at_all() -> None:
    assert ink_of([Inking((circle(0j, 5.0),), 0.0, stroked=False, filled=False)], []) is None


def test_the_grid_is_laid_so_that_it_cuts_few_words_and_takes_no_more_pages() -> None:
    ways = print_areas(A4, "portrait", 12.7, 12.0)
    even = tile(full(310, 700), ways)
    join = even.tiles[0].left + even.area.width
    words = [(join - 20.0, 10.0, join + 15.0, 14.0), (join - 70.0, 30.0, join - 50.0, 34.0)]
    laid = tile(full(310, 700), ways, words)
    cut = laid.tiles[0].left + laid.area.width
    assert all(not box[0] < cut < box[2] for box in words)
    assert len(laid.tiles) == len(even.tiles)
    assert laid.left <= 0 <= 310 <= laid.tiles[-1].left + laid.area.width
    assert tile(full(310, 700), ways, [(0.0, 0.0, 310.0, 4.0)]).left == even.left  # nothing is gained: stays even
