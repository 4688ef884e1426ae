"""Templates and their data: the package's own letters only, the same bytes every time, nothing read as markup."""

import os
from concurrent.futures import ThreadPoolExecutor

import pymupdf
import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.pdf.first_page import first_page
from svgfit.render.pdf.papers import read_paper
from svgfit.render.pdf.tiling import print_areas
from svgfit.render.pdf.typesetting import FullSize, typeset
from svgfit.render.typeface import typeface
from tests.render.pdf.reading import first_pages

SIZE = FullSize(100.0, 60.0)
SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    b'<path d="M0 0h50v50h-50z" fill="#ccc"/><text x="5" y="20" font-size="6" font-family="No, serif">R4</text></svg>'
)


def first(title: str, paper: str = "a3") -> pymupdf.Document:
    (area,) = print_areas(read_paper(paper), "landscape", 12.7, 12.0)
    return first_pages(first_page(area, title, "A3 paper"))


def test_only_the_letters_of_the_package_are_used_also_in_a_drawing() -> None:
    drawn = pymupdf.open(stream=typeset("drawing", SIZE, {"page.svg": SQUARE}))
    assert "R4" in drawn[0].get_text().split()
    faces = {font[3].split("+")[-1] for made in (drawn, first("x")) for font in made[0].get_fonts()}
    assert faces == {"DejaVuSans", "DejaVuSans-Bold"}
    assert all(made.extract_font(font[0])[3] for made in (drawn, first("x")) for font in made[0].get_fonts())


def test_the_letters_have_their_licence_beside_them() -> None:
    assert "Permission is hereby granted" in (typeface().folder / "LICENSE-DejaVu.txt").read_text()
    assert set(typeface().folder.glob("*.ttf")) == set(typeface().files)


def test_a_picture_of_50_mm_comes_out_at_50_mm() -> None:
    made = pymupdf.open(stream=typeset("drawing", SIZE, {"page.svg": SQUARE}))
    box = made[0].get_drawings()[0]["rect"]
    assert box.width == pytest.approx(50 / 25.4 * 72, abs=1e-3)


def test_the_same_data_gives_the_same_bytes_and_no_date() -> None:
    one, other = (typeset("drawing", SIZE, {"page.svg": SQUARE}) for _ in range(2))
    assert one == other
    assert b"CreationDate" not in one


def test_threads_that_typeset_at_once_leave_the_error_stream_as_it_was() -> None:
    before = os.fstat(2)
    with ThreadPoolExecutor(4) as threads:
        made = set(threads.map(lambda _: typeset("drawing", SIZE, {"page.svg": SQUARE}), range(24)))
    assert len(made) == 1
    after = os.fstat(2)
    assert (before.st_dev, before.st_ino) == (after.st_dev, after.st_ino)


def test_what_a_person_wrote_is_set_as_it_stands() -> None:
    words = 'Sleeve #1 *not bold* $x$ 3/8" \\n [b] _c_ @a <l> ß Ω'
    assert words in " ".join(first(words)[0].get_text().split())
    assert "one two three" in first("one\ttwo\nthree")[0].get_text()


def test_what_is_too_wide_is_cut_off_by_as_little_as_needed() -> None:
    made = first("wide " * 60, "a4")
    line = next(line for line in made[0].get_text().splitlines() if line.startswith("wide"))
    assert line.endswith("…")
    (box,) = made[0].search_for(line)[:1]
    room = (297 - 2 * 12.7 - 24) / 25.4 * 72
    assert room - 40 < box.width <= room


def test_what_typst_can_not_set_is_one_line() -> None:
    with pytest.raises(Refusal, match=r"the handout: can't be typeset \(failed to parse SVG.*\)"):
        typeset("drawing", SIZE, {"page.svg": b"<svg"})
