"""Svgfit's layers added to a maker's PDF: its bytes stay, the layers lie true on its lines, and can be switched."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pikepdf
import pymupdf
import pytest
from pikepdf import Array, Dictionary, Name

import svgfit as library
from svgfit.formats.pdf.added_layers import Painted, add_layers
from tests.cli.conftest import DEMOS
from tests.formats.pdf.making import MM, Document, convert, drawing
from tests.formats.pdf.tiling import tiled

HEIGHT = 914.4
"""Of the demo's page, about, mm."""
PLAN = "cap-raise amount=1/4in"


def smock_content() -> tuple[str, list[str]]:
    """The demo's pieces as content of a page, mm times MM, each line on its layer; the names of the layers."""
    content: list[str] = []
    names: list[str] = []
    for piece in library.open_drawings(DEMOS / "smock.svg").pieces:
        place = piece.placement
        lines = {"stitch line": piece.outline(), "cut line": piece.cut.line}
        lines |= {"grain line": next(m.curves[0] for m in piece.marks if m.kind == "grain line")}
        fold = next((edge.curve for edge in piece.edges if edge.fold), None)
        lines |= {"fold line": fold} if fold is not None else {}
        for role, curve in lines.items():
            segments = curve.transform(place).segments.tolist()
            path = [f"{_point(segments[0][0])} m", *(" ".join(map(_point, each[1:])) + " c" for each in segments)]
            content.append(f"/OC /L{len(names)} BDC {' '.join(path)} S EMC")
            names.append(f"{piece.name} {role}")
        for mark in (mark for mark in piece.marks if "notch" in mark.kind):
            ends = [place.apply(point) for point in (mark.curves[0].start, mark.curves[0].end)]
            content.append(f"/OC /L{len(names)} BDC {_point(ends[0])} m {_point(ends[1])} l S EMC")
        names.append(f"{piece.name} notches")
    return "\n".join(content), names


def problems(pdf: pikepdf.Pdf) -> list[str]:
    """List what qpdf finds wrong; pikepdf 10 gave the method another name."""
    found = getattr(pdf, "check_pdf_syntax", None) or pdf.check
    return list(found())


def _point(at: complex) -> str:
    return f"{at.real * MM:.5f} {(HEIGHT - at.imag) * MM:.5f}"


def maker_pdf(kind: str) -> bytes:
    """A maker's PDF of one page."""
    content, names = smock_content()
    box = (0, 0, 1300 * MM, HEIGHT * MM)
    made = Document()
    if kind == "turned, half as large a unit":
        content = f"0.5 0 0 0.5 {7 * MM} {9 * MM} cm\n{content}"
        outer = (7 * MM, 9 * MM, 657 * MM, (9 + HEIGHT / 2) * MM)
        page = made.page(content, box=(0, 0, 700 * MM, 500 * MM), layers=names)
        page.CropBox, page.Rotate, page.UserUnit = Array(outer), 90, 2
    else:
        page = made.page(content, box=box, layers=names)
    groups = list(made.groups.values())
    shown = Dictionary(Order=Array(groups))
    if kind == "layers off unless named":
        shown.BaseState, shown.ON = Name.OFF, Array(groups)
    made.pdf.Root.OCProperties = Dictionary(OCGs=Array(groups), D=shown)
    if kind == "resources of the tree":
        made.pdf.Root.Pages.Resources = page.Resources
        del page["/Resources"]
    if kind == "several streams, unbalanced":
        parts = content.split("\n")
        streams = [made.pdf.make_stream(part.encode()) for part in ("q 1 0 0 1 0 0 cm", *parts)]
        page.Contents = Array(streams)
    out = BytesIO()
    mode = pikepdf.ObjectStreamMode
    streams = mode.generate if kind == "references in a stream" else mode.disable
    made.pdf.save(out, object_stream_mode=streams, deterministic_id=True)
    return out.getvalue()


KINDS = (
    "a table of references",
    "references in a stream",
    "turned, half as large a unit",
    "layers off unless named",
    "resources of the tree",
    "several streams, unbalanced",
)


@pytest.fixture
def added(svgfit, tmp_path):
    """Adjusts the demo out of a maker's PDF and adds the layers to it: the maker's bytes and what was written."""

    def run(kind: str) -> tuple[bytes, Path]:
        maker, fitted, out = (tmp_path / name for name in ("maker.pdf", "fitted.svg", "fitted.pdf"))
        maker.write_bytes(maker_pdf(kind))
        done = svgfit("adjust", maker, "--do", PLAN, "-o", fitted)
        assert done.status == 0, done.err
        done = svgfit("convert", fitted, "-o", out, "--onto", maker)
        assert done.status == 0, done.err
        assert "changed since" not in done.err
        return maker.read_bytes(), out

    return run


@pytest.mark.parametrize("kind", [KINDS[0], *(pytest.param(kind, marks=pytest.mark.slow) for kind in KINDS[1:])])
def test_the_makers_bytes_stay_and_the_layers_lie_true(added, kind):
    before, out = added(kind)
    after = out.read_bytes()
    assert after[: len(before)] == before
    with pikepdf.open(out) as pdf:
        assert not problems(pdf)
        assert not pdf.get_warnings()
    with pymupdf.open(stream=before) as old, pymupdf.open(out) as new:
        assert not new.is_repaired
        own = [each["name"] for each in old.get_ocgs().values()]
        assert sorted(each["name"] for each in new.get_ocgs().values()) == sorted(
            [*own, "adjusted", "measurements", "working lines"]
        )
        theirs = [each for each in new[0].get_drawings() if each["layer"] in own]
        assert [tuple(each["rect"]) for each in theirs] == [tuple(each["rect"]) for each in old[0].get_drawings()]
        adjusted = [each["rect"] for each in new[0].get_drawings() if each["layer"] == "adjusted"]
        assert adjusted
        # The hem of the sleeve stays where it was: the adjusted cut line's lower corners lie on the maker's.
        (cut,) = (each["rect"] for each in theirs if each["layer"] == "Sleeve cut line")
        nearest = min(adjusted, key=lambda rect: abs(rect.width - cut.width) + abs(rect.height - cut.height))
        unit = 2 if "turned" in kind else 1
        for side in ("x0", "x1", "y1"):  # of the page before it is turned
            assert getattr(nearest, side) * unit / MM == pytest.approx(getattr(cut, side) * unit / MM, abs=0.3)
        assert new[0].search_for("cap height")
        off = new.get_layer(-1).get("off", [])
        assert not set(off) & set(new.get_ocgs())


def test_without_our_layers_the_page_looks_as_before(added):
    before, out = added(KINDS[0])
    with pymupdf.open(stream=before) as old, pymupdf.open(out) as new:
        ours = {"adjusted", "measurements", "working lines"}
        new.set_layer(-1, off=[xref for xref, each in new.get_ocgs().items() if each["name"] in ours])
        with pymupdf.open(stream=new.tobytes()) as switched:
            assert switched[0].get_pixmap(dpi=30).samples == old[0].get_pixmap(dpi=30).samples
            assert switched[0].get_pixmap(dpi=30).samples != pymupdf.open(out)[0].get_pixmap(dpi=30).samples


def test_what_is_written_reads_as_the_makers_pattern_with_more_layers(added):
    """Read again, the maker's lines measure as before."""
    before, out = added(KINDS[0])
    (out.parent / "old.pdf").write_bytes(before)
    rows = [library.open_drawings(each).measurements() for each in (out.parent / "old.pdf", out)]
    figures = [{(row.name, f.name): f.before for row in each for f in row.measurements} for each in rows]
    assert {key: figures[1][key] for key in figures[0]} == pytest.approx(figures[0], abs=0.001)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda data: data[:-30], "does not begin or end as a PDF does"),
        (lambda data: b"junk\n" + data, "does not begin or end as a PDF does"),
    ],
)
def test_a_damaged_file_is_refused(svgfit, tmp_path, change, why):
    maker, fitted, out = (tmp_path / name for name in ("maker.pdf", "fitted.svg", "fitted.pdf"))
    maker.write_bytes(maker_pdf(KINDS[0]))
    assert svgfit("adjust", maker, "--do", PLAN, "-o", fitted).status == 0
    maker.write_bytes(change(maker.read_bytes()))
    done = svgfit("convert", fitted, "-o", out, "--onto", maker)
    assert (done.status, out.exists()) == (2, False)
    assert why in done.err or "is damaged or no PDF" in done.err  # as far as pikepdf's version can mend it


def by_hand(*objects: bytes) -> bytes:
    """A PDF written word by word, as programs do that write a stream's length behind it."""
    kept = b"<</Properties<</Gr\xf6sse 5 0 R>> >>"
    page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 400 400]/Resources%s/Contents 4 0 R>>" % kept
    stream = b"<</Length 5 0 R>>\nstream\n10 10 m 100 300 l S\nendstream"
    parts = [b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[3 0 R]/Count 1>>", page, stream, b"20", *objects]
    out, places = b"%PDF-1.4\n", b"0000000000 65535 f \n"
    for number, body in enumerate(parts, 1):
        places += b"%010d 00000 n \n" % len(out)
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    end = b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(parts) + 1, len(out))
    return out + b"xref\n0 %d\n%s" % (len(parts) + 1, places) + end


@pytest.mark.parametrize("objects", [(), (b"null", b"(text)", b"true", b"7.5")], ids=len)
def test_a_stream_whose_length_is_an_object_of_its_own_is_no_damage(objects):
    maker = by_hand(*objects)
    painted = Document()
    painted.page("100 100 m 200 300 l S", box=(0, 0, 400, 400))
    layers = Painted(pdf=painted.bytes(), names=("ours",))
    after = add_layers("maker.pdf", maker, layers, convert(maker).places)
    assert after.startswith(maker)
    with pikepdf.open(BytesIO(after)) as pdf:
        assert not problems(pdf)
        assert not pdf.get_warnings()
    assert {layer.name: len(layer.shapes) for layer in drawing(after).layers} == {"drawing": 1, "ours": 1}


def test_another_file_and_a_drawing_without_our_layers_are_refused(svgfit, tmp_path):
    maker, other, fitted, out = (tmp_path / name for name in ("maker.pdf", "b.pdf", "fitted.svg", "fitted.pdf"))
    maker.write_bytes(maker_pdf(KINDS[0]))
    assert svgfit("convert", maker, "-o", fitted).status == 0
    assert "has no layers of svgfit's" in svgfit("convert", fitted, "-o", out, "--onto", maker).err
    assert svgfit("adjust", maker, "--do", PLAN, "-o", fitted, "--force").status == 0
    small = Document()
    small.page("10 10 m 100 100 l S", box=(0, 0, 300, 300))
    small.pdf.save(other)
    assert "its page has another size" in svgfit("convert", fitted, "-o", out, "--onto", other).err
    assert not out.exists()


def test_a_drawing_saved_since_is_told(svgfit, tmp_path):
    maker, fitted, out = (tmp_path / name for name in ("maker.pdf", "fitted.svg", "fitted.pdf"))
    maker.write_bytes(maker_pdf(KINDS[0]))
    assert svgfit("adjust", maker, "--do", PLAN, "-o", fitted).status == 0
    fitted.write_bytes(fitted.read_bytes().replace(b"</svg>", b"<!-- saved -->\n</svg>"))
    done = svgfit("convert", fitted, "-o", out, "--onto", maker)
    assert done.status == 0
    assert "was changed since" in done.err


def test_what_the_maker_s_file_is_read_without_is_told(svgfit, tmp_path):
    """Layers are added to no page that is left out."""
    maker, fitted, out = (tmp_path / name for name in ("maker.pdf", "fitted.svg", "fitted.pdf"))
    with pikepdf.open(BytesIO(maker_pdf(KINDS[0]))) as pdf:
        small = Document()
        small.page("10 10 m 100 100 l S", box=(0, 0, 300, 300))
        with pikepdf.open(BytesIO(small.bytes())) as other:
            pdf.pages.extend(other.pages)
            pdf.save(maker)
    assert svgfit("adjust", maker, "--do", PLAN, "-o", fitted).status == 0
    done = svgfit("convert", fitted, "-o", out, "--onto", maker)
    assert done.status == 0
    assert "maker.pdf: page 2 is left out, which has another size than the others" in " ".join(done.err.split())


@pytest.mark.parametrize("keys", [{}, {"overlap": 10.0}, {"Rotate": 90}], ids=str)
@pytest.mark.parametrize("how", ["cut", "clip", "form"])
def test_a_layer_goes_on_from_tile_to_tile(how, keys):
    """A line over the whole sheet, added to its tiles, is that line again where the tiles are put together."""
    maker = tiled(how=how, **keys)
    sheet, places = drawing(maker).canvas, convert(maker).places
    start, end = 30 + 40j, complex(sheet.width - 30, sheet.height - 40)
    painted = Document()
    ends = [f"{at.real * MM:.5f} {(sheet.height - at.imag) * MM:.5f}" for at in (start, end)]
    painted.page(f"{ends[0]} m {ends[1]} l S", box=(0, 0, sheet.width * MM, sheet.height * MM))
    out = BytesIO()
    painted.pdf.save(out)
    after = add_layers("a.pdf", maker, Painted(pdf=out.getvalue(), names=("ours",)), places)
    assert after.startswith(maker)
    with pikepdf.open(BytesIO(after)) as pdf:
        assert not problems(pdf)
    (ours,) = (layer for layer in drawing(after).layers if layer.name == "ours")
    (curve,) = (curve for shape in ours.shapes for curve in shape.curves)
    found = sorted((curve.start, curve.end), key=abs)
    assert [found[0].real, found[0].imag] == pytest.approx([30, 40], abs=0.05)
    assert [found[1].real, found[1].imag] == pytest.approx([end.real, end.imag], abs=0.05)
