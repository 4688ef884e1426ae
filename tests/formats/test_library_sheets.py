"""Ten sizes of sleeve, front and back in files that general libraries write: every piece as it was drawn, or asked for.

The truth is what is drawn here. Cairo's tests are skipped where its library is absent, unless SVGFIT_NEED_INKSCAPE is
set: Inkscape brings it along.
"""

from __future__ import annotations

import os
import re

import pytest
from msgspec.structs import replace

from svgfit import Refusal, open_drawings
from svgfit.formats.pdf.page_grid import page_grid
from svgfit.formats.pdf.read import read_pdf
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.file_format import Wishes
from tests.formats import library_sheets
from tests.formats.dxf_files import INCH, TradeFile
from tests.formats.library_sheets import SHEETS, TILES, Stroke, Words, drawn
from tests.pattern import nests

NEEDED = bool(os.environ.get("SVGFIT_NEED_INKSCAPE"))
FLAT = '[layers]\n"stitch line" = ["drawing"]\n'
A_LAYER_A_SIZE = '[layers]\n"stitch line" = ["Size {size}"]\n'
FEW = ("10", "12", "14")
LOOKS = ("dash", "colour")


def library(name):
    """A library by name, if it is there."""
    if name == "cairo" and not library_sheets.has_cairo() and not NEEDED:
        pytest.skip("cairo is not installed")
    return name


def opened(tmp_path, data, convention, **options):
    path = tmp_path / f"maker.{'pdf' if data[:4] == b'%PDF' else 'dxf'}"
    path.write_bytes(data)
    (tmp_path / "svgfit.toml").write_text(convention)
    return open_drawings(path, unit="mm", **options)


def seam_of(piece):
    return piece.edge("cap" if piece.name.casefold() == "sleeve" else "armhole")


def notches(piece):
    """Each notch's kind and how far along its seam from its front end, mm; it must stand on it."""
    found = []
    for mark in piece.marks:
        if "notch" in mark.kind:
            assert mark.edge == seam_of(piece).name
            curve = seam_of(piece).from_front()
            t, away = curve.nearest(mark.at)
            assert away < 0.01
            found.append((str(mark.kind), curve.length_between(0, t)))
    return sorted(found)


def right(session, pieces, within=0.02):
    """Every piece is there once, by name and size, with its seam's length and its notches where they were drawn."""
    found = {(piece.name.casefold(), piece.size): piece for piece in session.pieces}
    assert len(found) == len(session.pieces)
    assert set(found) == {(one.name.casefold(), one.size) for one in pieces}
    for one in pieces:
        piece = found[one.name.casefold(), one.size]
        assert piece.kind == one.piece.kind
        assert seam_of(piece).curve.length() == pytest.approx(one.seam, abs=within)
        there, truth = notches(piece), notches(one.piece)
        assert [kind for kind, _ in there] == [kind for kind, _ in truth]
        assert [place for _, place in there] == pytest.approx([place for _, place in truth], abs=0.2)


def test_cairo_is_there_where_inkscape_is_needed():
    assert library_sheets.has_cairo() or not NEEDED


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("by", LOOKS)
@pytest.mark.parametrize("name", SHEETS)
def test_a_key_beside_the_drawing_tells_thirty_pieces_apart(tmp_path, name, by):
    pieces = nests.nest()
    data = SHEETS[library(name)](drawn(pieces, by, key=True))
    right(opened(tmp_path, data, FLAT), pieces)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("by", LOOKS)
@pytest.mark.parametrize("name", SHEETS)
def test_without_a_key_the_sizes_are_asked_for_the_smallest_first(tmp_path, name, by):
    pieces = nests.nest()
    data = SHEETS[library(name)](drawn(pieces, by))
    with pytest.raises(Refusal, match="10 outlines of like size lie on its layer") as refused:
        _ = opened(tmp_path, data, FLAT).pieces
    asked = re.search(r"sizes = \{ by .*\}", str(refused.value))[0]
    samples = re.findall(r'"size \d+" = "([^"]+)"', asked)
    if by == "dash":
        assert samples == [dash.replace(",", " ") or "solid" for dash in nests.DASHES]
    else:
        assert samples == list(nests.COLOURS)
    for k, size in enumerate(nests.SIZES, 1):
        asked = asked.replace(f'"size {k}"', size)
    right(opened(tmp_path, data, f"{asked}\n{FLAT}"), pieces)


@pytest.mark.slow
@pytest.mark.parametrize(("by", "overlap"), [("dash", 10.0), ("colour", 0.0)])
@pytest.mark.parametrize("name", TILES)
def test_thirty_pieces_on_tiles(tmp_path, name, by, overlap):
    """The key is on a tile that no outline reaches; blank tiles are there too."""
    library(name)
    pieces = nests.nest()
    data = TILES[name](drawn(pieces, by, key=True), overlap)
    right(opened(tmp_path, data, FLAT), pieces)


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("name", ["MuPDF", "ezdxf"])
def test_thirty_pieces_a_layer_a_size(tmp_path, name):
    pieces = nests.nest()
    session = opened(tmp_path, SHEETS[name](drawn(pieces, "", layers=True)), A_LAYER_A_SIZE)
    right(session, pieces)


@pytest.mark.slow
@pytest.mark.parametrize(("mm", "units"), [(1.0, "METRIC"), (INCH, "ENGLISH")])
def test_thirty_pieces_by_the_interchange_standard(tmp_path, mm, units):
    pieces = nests.nest()
    file = TradeFile(mm=mm, units=units)
    for one in pieces:
        file.piece(replace(one.piece, name=one.name, size=one.size), 3)
    right(opened(tmp_path, file.data(), ""), pieces)


# -- tiles -------------------------------------------------------------------------------------------------------------


def test_shapes_that_are_alike_are_no_contradiction(tmp_path):
    """Front and back have grain and fold lines as long as each other's, on tiles far apart."""
    pieces = nests.nest(FEW)
    data = TILES["reportlab, drawn on each"](drawn(pieces, "colour", key=True))
    session = opened(tmp_path, data, FLAT)
    right(session, pieces)
    assert not [warning for warning in session.warnings if "left out" in warning]


def frame(left, top, right, bottom):
    corners = [complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom)]
    return Stroke(Curve.polyline([*corners, corners[0]]))


MIDDLE, CORNER = 760 + 400j, 20 + 30j
LARGE = [frame(230, 100, 1500, 800), frame(240, 115, 1480, 790), Words("Panel", MIDDLE), Words("Key", CORNER)]
SAMPLE = Stroke(Curve.polyline([20 + 40j, 45 + 40j]))


@pytest.mark.parametrize("before", [False, True])
def test_a_tile_out_of_which_nothing_reaches_lies_where_the_count_says(before):
    """A key in a corner. With an overview before them the count does not come out."""
    small = Affine.scale(0.1, 0.1)
    overview = [replace(one, curve=one.curve.transform(small)) for one in LARGE if isinstance(one, Stroke)]
    data = library_sheets.tiles_by_reportlab([*LARGE, SAMPLE], form=False, before=overview if before else ())
    found = read_pdf("maker.pdf", data, Wishes())
    texts = re.findall(r'<text[^>]* x="(.*?)" y="(.*?)"[^>]*>(.*?)<', found.svg.decode())
    at = {words: complex(float(x), float(y)) for x, y, words in texts}
    if before:
        assert found.warnings == ("pages 1 and 2 are left out: nothing there goes on on another page",)
        assert set(at) == {"Panel"}
    else:
        assert found.warnings == ()
        assert at["Panel"] - at["Key"] == pytest.approx(MIDDLE - CORNER, abs=0.01)
        assert "1 page out of which nothing reaches lies where the count of pages says" in found.notes[0]


@pytest.mark.parametrize("order", ["rows", "columns", "rows from below", "columns from the right"])
@pytest.mark.parametrize(("across", "down"), [(4, 3), (2, 5)])
def test_the_grid_is_found_by_some_of_its_tiles(order, across, down):
    cells = [(k % across, k // across) for k in range(across * down)]
    if "columns" in order:
        cells = [(k // down, k % down) for k in range(across * down)]
    if "below" in order:
        cells = [(column, down - 1 - row) for column, row in cells]
    if "right" in order:
        cells = [(across - 1 - column, row) for column, row in cells]
    places = [complex(190.3 * column, 270.1 * row) for column, row in cells]
    some = {number: places[number] for number in (1, across * down // 2, across * down - 1)}
    some |= {number: places[number] for number in range(3, across * down, 3)}
    place = page_grid(len(places), some)
    assert [place(number) for number in range(len(places))] == pytest.approx(places, abs=0.01)
    assert page_grid(len(places) + 1, some) is None
    assert page_grid(len(places), {number + 1: shift for number, shift in some.items()}) is None
    assert page_grid(len(places), some | {0: 55 + 10j}) is None
    assert page_grid(len(places), {1: places[1]}) is None
