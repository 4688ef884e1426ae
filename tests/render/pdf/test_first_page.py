"""Squares and bars as an independent reader of PDFs finds them, on every paper."""

from functools import lru_cache

import pytest

from svgfit.render.pdf.first_page import first_page, reductions
from svgfit.render.pdf.papers import NAMES, read_paper
from svgfit.render.pdf.tiling import print_areas
from tests.render.pdf.reading import closed, collisions, first_pages, lengths, outside, sizes

PAPERS = (*NAMES, "a4+letter", "24x36in", "300mmx300mm")
SMALL = ("120mmx150mm", "100mmx90mm", "60mmx400mm")
WITHIN = 0.01  # mm, the issue


@lru_cache
def first(paper: str, orientation: str, margin: float = 12.7):
    (area,) = print_areas(read_paper(paper), orientation, margin, 12.0)
    made = first_pages(first_page(area, "Smock for the player of the miller", "A4 paper"))
    return area, made


def has(found: list[float], wanted: float) -> bool:
    return any(abs(one - wanted) <= WITHIN for one in found)


@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
@pytest.mark.parametrize("paper", PAPERS)
def test_squares_and_bars_are_true_on_every_paper(paper: str, orientation: str) -> None:
    area, made = first(paper, orientation)
    assert len(made) == 1
    page = made[0]
    squares = closed(page)
    for side in (100, 101.6):
        assert any(abs(wide - side) <= WITHIN and abs(high - side) <= WITHIN for wide, high in squares)
    across, down = lengths(page, level=True), lengths(page, level=False)
    assert has(across, 150)
    assert has(across, 152.4)
    room = area.paper.height - 25.4
    longest, inches = int((room + 1e-6) // 10) * 10, int((room + 1e-6) // 25.4) * 25.4
    assert has(down, longest)
    assert has(down, inches)


@pytest.mark.slow_after(15)
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
@pytest.mark.parametrize("paper", [*PAPERS, *SMALL])
def test_words_keep_off_lines_and_off_each_other_and_all_is_within_the_margins(paper: str, orientation: str) -> None:
    area, made = first(paper, orientation, 12.7 if paper not in SMALL else 5.0)
    for page in made:
        assert collisions(page) == []
        assert min(sizes(page), default=8) >= 7.99
        inset = area.margin - 0.3  # half a stroke
        assert outside(page, inset, inset, area.paper.width - inset, area.paper.height - inset) == []


@pytest.mark.parametrize("paper", SMALL)
def test_a_small_paper_has_smaller_squares_on_more_pages(paper: str) -> None:
    _, made = first(paper, "portrait", 5.0)
    squares = [pair for page in made for pair in closed(page) if abs(pair[0] - pair[1]) < WITHIN]
    assert any(has([wide], side) for wide, _ in squares for side in (100, 50, 20))
    assert any(has([wide], side) for wide, _ in squares for side in (101.6, 50.8, 25.4))


def test_what_fit_to_page_makes_of_a_print() -> None:
    # the issue: 94.07 % or 97.27 % between A4 and Letter; ISO 216 and ANSI/ASME Y14.1 give the sides
    assert [f"{100 * part:.2f}" for part, _ in reductions()] == ["100.00", "97.27", "94.07"]
    _, made = first("a4", "portrait")
    text = " ".join(made[0].get_text().split())
    for told in ("97.27 %", "94.07 %", "93.75 %", "94.1 mm", "3 7/8 in", "254.0 mm", "--scale 90", "actual size"):
        assert told in text
