"""The PNG, read by another library: size, scale, what is on it."""

from __future__ import annotations

import struct
from pathlib import Path

import pymupdf
import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.html.sheet import chosen_parts, parts_of, window_of
from svgfit.render.png import png
from svgfit.svg import Drawing, read_drawing
from svgfit.svg.tree import parse

HEAD = 'xmlns="http://www.w3.org/2000/svg"'
SQUARE = '<rect x="20" y="30" width="100" height="50"/>'
OURS = '<g data-svgfit-layer="{}" style="display:none"><rect x="{}" y="10" width="20" height="10"/></g>'


def drawing(folder: Path, body: str, head: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"') -> Drawing:
    file = folder / "a.svg"
    file.write_text(f"<svg {HEAD} {head}>{body}</svg>", encoding="utf-8")
    return read_drawing(file, scale=None if head else 25.4, dialects=())


def picture(made: Drawing, parts, **asked) -> bytes:
    return png(made, parse(made.source), parts, **asked)


def dark(data: bytes) -> tuple[int, int, int, int, int]:
    """Width and height, and of what is dark: left, top, and how many pixels."""
    page = pymupdf.Pixmap(pymupdf.csGRAY, pymupdf.Pixmap(data))
    if page.alpha:
        page = pymupdf.Pixmap(page, 0)
    found = [k for k, value in enumerate(page.samples) if value < 128]
    columns = [k % page.stride for k in found]
    return page.width, page.height, min(columns, default=-1), min(found, default=-1) // page.stride, len(found)


def test_so_many_pixels_across(tmp_path: Path) -> None:
    assert dark(picture(drawing(tmp_path, SQUARE), ("original",), width=400))[:2] == (400, 200)


@pytest.mark.parametrize("dpi", [25.4, 127.0, 254.0])
def test_by_dpi_it_is_true_to_size_and_says_so(tmp_path: Path, dpi: float) -> None:
    data = picture(drawing(tmp_path, SQUARE), ("original",), dpi=dpi)
    per = dpi / 25.4
    assert dark(data) == (200 * per, 100 * per, 20 * per, 30 * per, 100 * 50 * per * per)
    at = data.index(b"pHYs") + 4  # PNG specification, third edition, 11.3.4.3: pixels in a unit across, down; 1: metre
    across, down, unit = struct.unpack(">IIB", data[at : at + 9])
    assert across == down == pytest.approx(dpi / 0.0254, abs=0.5)
    assert unit == 1


def test_a_drawing_of_other_units_is_true_to_size_too(tmp_path: Path) -> None:
    """96 user units are an inch, and the page begins elsewhere: the square of 96 x 48 is 1 x 1/2 in."""
    made = drawing(
        tmp_path, '<rect x="106" y="68" width="96" height="48"/>', 'width="4in" height="2in" viewBox="10 20 384 192"'
    )
    assert dark(picture(made, ("original",), dpi=100)) == (400, 200, 100, 50, 100 * 50)


def test_the_ground_is_white_and_nothing_else_is_there(tmp_path: Path) -> None:
    page = pymupdf.Pixmap(picture(drawing(tmp_path, SQUARE), ("original",), width=200))
    assert page.pixel(1, 1)[:3] == (255, 255, 255)
    assert page.pixel(50, 50)[:3] == (0, 0, 0)


def test_layers_are_chosen_and_shown_also_where_the_editor_hid_them(tmp_path: Path) -> None:
    body = SQUARE + OURS.format("adjusted", 130) + OURS.format("measurements", 160)
    made = drawing(tmp_path, body)
    assert parts_of(made) == ("original", "adjusted", "measurements")
    area = {part: dark(picture(made, (part,), width=200))[2:] for part in parts_of(made)}
    assert area == {"original": (20, 30, 5000), "adjusted": (130, 10, 200), "measurements": (160, 10, 200)}
    assert dark(picture(made, parts_of(made), width=200))[4] == 5400


def test_chosen_layers_are_spelled_as_people_do(tmp_path: Path) -> None:
    made = drawing(tmp_path, SQUARE + OURS.format("working-lines", 130))
    assert chosen_parts(made, None) == ("original", "working-lines")
    assert chosen_parts(made, " Working  Lines ") == chosen_parts(made, "working-lines") == ("working-lines",)
    assert chosen_parts(made, "working lines,original") == ("original", "working-lines")


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ("notes", "there is no layer 'notes'"),
        ("adjusted", "has no layer of svgfit's that is called a"),
        (" , ", "no layer"),
    ],
)
def test_layers_that_are_not_there_are_refused(tmp_path: Path, wanted: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        chosen_parts(drawing(tmp_path, SQUARE), wanted)


def test_what_of_ours_lies_outside_the_page_is_shown(tmp_path: Path) -> None:
    made = drawing(tmp_path, SQUARE + OURS.format("measurements", 250))
    window = window_of(made, parts_of(made))
    assert (window.left, window.top, window.width, window.height) == (0, 0, 280, 100)
    assert dark(picture(made, parts_of(made), width=280))[4] == 5200
    assert window_of(made, ("original",)).width == 200


def test_without_a_page_it_is_what_is_drawn(tmp_path: Path) -> None:
    made = drawing(tmp_path, SQUARE, "")
    window = window_of(made, ("original",))
    assert (window.left, window.top, window.width, window.height) == (10, 20, 120, 70)
    assert dark(picture(made, ("original",), width=120))[2:] == (10, 10, 5000)


def test_nothing_drawn_and_no_page_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="nothing is drawn"):
        window_of(drawing(tmp_path, "", ""), ("original",))


@pytest.mark.parametrize(("asked", "words"), [({"dpi": 20_000.0}, "more than"), ({"dpi": 0.01}, "less than a pixel")])
def test_no_pixels_or_far_too_many_are_refused(tmp_path: Path, asked: dict[str, float], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        picture(drawing(tmp_path, SQUARE), ("original",), **asked)


def test_words_are_drawn_in_any_face_that_they_ask_for(tmp_path: Path) -> None:
    """Also one that nobody has: the package's letters stand in."""
    for face in ("Arial, sans-serif", "No Such Face", "serif"):
        made = drawing(tmp_path, f'<text x="10" y="60" font-size="30" style="font-family:{face}">Hem</text>')
        assert dark(picture(made, ("original",), width=400))[4] > 500


@pytest.mark.slow
def test_the_same_drawing_gives_the_same_bytes(tmp_path: Path) -> None:
    made = drawing(tmp_path, SQUARE + "<text x='10' y='20'>Hem</text>")
    assert picture(made, ("original",), width=300) == picture(made, ("original",), width=300)
