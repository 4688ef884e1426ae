"""A drawing as one page of a PDF, true to size, its layers to be switched: looked at through another library."""

from __future__ import annotations

import pymupdf
import pytest

import svgfit as library
from tests.cli.conftest import DEMOS

MM = 25.4 / 72
HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="400mm" height="300mm" viewBox="0 0 400 300">'
)


def layer(name: str, inside: str, number: int, style: str = "") -> str:
    return f'<g id="l{number}" inkscape:groupmode="layer" inkscape:label="{name}" style="{style}">{inside}</g>'


def line(y: float, style: str = "stroke:#ff0000;stroke-width:1", x: float = 10) -> str:
    return f'<path style="fill:none;{style}" d="M{x},{y} h300"/>'


@pytest.fixture
def written(svgfit, tmp_path):
    """Converts a drawing, its layers given, and opens what was written."""

    def convert(*layers: str) -> pymupdf.Document:
        path, out = tmp_path / "drawn.svg", tmp_path / "drawn.pdf"
        path.write_text(HEAD + "".join(layers) + "</svg>", encoding="utf-8")
        assert svgfit("convert", path, "-o", out, "--force").status == 0
        return pymupdf.open(out)

    return convert


def lines_of(document: pymupdf.Document) -> dict[str, list[dict]]:
    found: dict[str, list[dict]] = {}
    for each in document[0].get_drawings():
        found.setdefault(each["layer"], []).append(each)
    return found


def test_lines_colours_and_dashes_stand_on_their_layers(written):
    dashed = line(50, "stroke:#0000ff;stroke-width:0.5;stroke-dasharray:6,3")
    document = written(layer("Tab cut line", line(20), 1), layer("Tab stitch line", dashed, 2))
    assert len(document) == 1
    assert (document[0].rect.width * MM, document[0].rect.height * MM) == pytest.approx((400, 300), abs=0.01)
    found = lines_of(document)
    (cut,), (stitch,) = found["Tab cut line"], found["Tab stitch line"]
    assert cut["rect"].x0 * MM == pytest.approx(10, abs=0.01)
    assert cut["rect"].width * MM == pytest.approx(300, abs=0.01)
    assert cut["rect"].y0 * MM == pytest.approx(20, abs=0.01)
    assert cut["color"] == pytest.approx((1, 0, 0), abs=0.01)
    assert cut["width"] * MM == pytest.approx(1, abs=0.01)
    assert stitch["color"] == pytest.approx((0, 0, 1), abs=0.01)
    assert stitch["dashes"] != "[] 0"


def test_sublayers_follow_their_layer(written):
    """What is on a sublayer lies within its layer's marks too: one switch takes a whole size away."""
    sizes = [layer(f"Size {size}", layer("Tab cut line", line(20 + size), size), 100 + size) for size in (10, 12)]
    document = written(*sizes)
    entries = [(each["depth"], each["text"]) for each in document.layer_ui_configs()]
    assert entries == [(0, "Size 12"), (1, "Tab cut line"), (0, "Size 10"), (1, "Tab cut line")]
    assert document[0].read_contents().count(b"BDC") == 4
    assert [round(each["rect"].y0 * MM) for each in document[0].get_drawings()] == [30, 32]
    (ten,) = (xref for xref, each in document.get_ocgs().items() if each["name"] == "Size 10")
    document.set_layer(-1, off=[ten])
    with pymupdf.open(stream=document.tobytes()) as switched:
        assert shown(switched, 30, 32) == [32]


def shown(document: pymupdf.Document, *rows: int) -> list[int]:
    """Those of the rows, mm from the top, that a page shows ink in."""
    picture = document[0].get_pixmap(dpi=127, colorspace=pymupdf.csGRAY)
    starts = {row: round(row * 127 / 25.4) * picture.stride for row in rows}
    return [row for row, at in starts.items() if min(picture.samples[at : at + picture.width]) < 200]


def test_a_hidden_layer_is_there_and_off(written):
    document = written(layer("Tab cut line", line(20), 1), layer("Notes", line(60), 2, "display:none"))
    (notes,) = (xref for xref, each in document.get_ocgs().items() if each["name"] == "Notes")
    assert document.get_layer(-1)["off"] == [notes]
    assert shown(document, 20, 60) == [20]
    document.set_layer(-1, on=list(document.get_ocgs()), off=[])
    with pymupdf.open(stream=document.tobytes()) as switched:
        assert shown(switched, 20, 40, 60) == [20, 60]


def test_what_reaches_beyond_the_sheet_is_on_the_page(written):
    document = written(layer("Tab cut line", line(20, x=200), 1))
    assert document[0].rect.width * MM == pytest.approx(502, abs=0.01)
    assert document[0].rect.height * MM == pytest.approx(300, abs=0.01)


def test_letters_can_be_searched_in_any_language(written):
    text = '<text x="20" y="40" style="font-size:8px">Ärmel, рукав</text>'
    document = written(layer("Tab cut line", line(20), 1), layer("Tab text", text, 2))
    assert document[0].search_for("Ärmel, рукав")


def test_the_same_drawing_gives_the_same_bytes(svgfit, tmp_path):
    for name in ("one.pdf", "two.pdf"):
        assert svgfit("convert", DEMOS / "smock.svg", "-o", tmp_path / name).status == 0
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_our_own_layers_are_among_them(svgfit, tmp_path):
    drawing, out = tmp_path / "adjusted.svg", tmp_path / "adjusted.pdf"
    assert svgfit("adjust", DEMOS / "smock.svg", "--do", "cap-raise amount=1/4in", "-o", drawing).status == 0
    assert svgfit("convert", drawing, "-o", out).status == 0
    with pymupdf.open(out) as document:
        names = {each["name"] for each in document.get_ocgs().values()}
        assert {"adjusted", "measurements", "working lines", "Sleeve cut line"} <= names
        assert document[0].search_for("cap height")


def test_the_page_is_read_back_as_the_same_pieces(svgfit, tmp_path):
    out = tmp_path / "smock.pdf"
    assert svgfit("convert", DEMOS / "smock.svg", "-o", out).status == 0
    there = {(row.name, row.kind): row.measurements for row in library.open_drawings(out).measurements()}
    for row in library.open_drawings(DEMOS / "smock.svg").measurements():
        figures = {figure.name: figure.before for figure in row.measurements}
        found = {figure.name: figure.before for figure in there[row.name, row.kind]}
        assert found == pytest.approx(figures, abs=0.002)


@pytest.mark.parametrize(("inside", "why"), [("", "nothing drawn"), (line(20, x=6000), "a page of a PDF is at most")])
def test_what_is_no_page_is_refused(svgfit, tmp_path, inside, why):
    path, out = tmp_path / "drawn.svg", tmp_path / "drawn.pdf"
    path.write_text(HEAD + layer("Tab cut line", inside, 1) + "</svg>", encoding="utf-8")
    done = svgfit("convert", path, "-o", out)
    assert (done.status, out.exists()) == (2, False)
    assert why in done.err
    assert done.err.count("\n") == 1
