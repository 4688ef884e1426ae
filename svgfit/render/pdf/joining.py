"""Joining: frames and drawings, each typeset once, into one PDF.

Each drawing is one page as large as itself; it becomes one form that every true-to-size page shows a part of, clipped
to its tile. So the drawing is in the file once, however many pages it takes. pikepdf is imported only here.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from msgspec import Struct

from svgfit.render.pdf.tiling import PrintArea, Tile

_PT = 72 / 25.4
"""Points in a millimetre."""


class FullDrawing(Struct, frozen=True):
    """A drawing typeset at full size: one page, its upper left corner at ``left`` and ``top`` of the drawing, mm."""

    pdf: bytes
    left: float
    top: float
    area: PrintArea
    tiles: tuple[Tile, ...]


def join(frames: bytes, drawings: Sequence[FullDrawing], behind: Sequence[bytes] = ()) -> bytes:
    """Join ``frames``, with the drawings' tiles on its last pages in order, and the PDFs behind into one.

    The pages before the tiles are left as they are. A viewer is asked to print at actual size, on paper of the pages'
    size where there is such paper, and shows each page's name; the same input gives the same bytes.
    """
    import pikepdf

    with pikepdf.open(BytesIO(frames)) as pdf:
        count = sum(len(drawing.tiles) for drawing in drawings)
        first = len(pdf.pages) - count
        labels: list[Any] = [0, pikepdf.Dictionary(S=pikepdf.Name("/r"))] if first else []
        number = first
        with pdf.open_outline() as bookmarks:
            for place, drawing in enumerate(drawings):
                form, name = _form(pdf, drawing.pdf), pikepdf.Name(f"/Drawing{place}")
                for tile in drawing.tiles:
                    _show(pdf.pages[number], form, name, drawing, tile)
                    labels += [number, pikepdf.Dictionary(P=pikepdf.String(tile.name))]
                    bookmarks.root.append(pikepdf.OutlineItem(tile.name, number))
                    number += 1
            for extra in behind:
                with pikepdf.open(BytesIO(extra)) as more:
                    labels += [number, pikepdf.Dictionary(S=pikepdf.Name("/D"))]
                    pdf.pages.extend(more.pages)
                    number += len(more.pages)
        for page in pdf.pages:
            if "/TrimBox" not in page:  # those that show a part of a drawing have their own
                page.trimbox = page.mediabox
        pdf.Root.PageLabels = pikepdf.Dictionary(Nums=pikepdf.Array(labels))
        wishes: dict[str, Any] = {"PrintScaling": pikepdf.Name("/None"), "DisplayDocTitle": True}
        if not any(drawing.area.paper.fits_several for drawing in drawings):
            wishes["PickTrayByPDFSize"] = True
        pdf.Root.ViewerPreferences = pikepdf.Dictionary(**wishes)
        out = BytesIO()
        pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _form(pdf: Any, typeset: bytes) -> Any:
    """Take the one page of a PDF as a form of another."""
    import pikepdf

    with pikepdf.open(BytesIO(typeset)) as source:
        return pdf.make_indirect(pdf.copy_foreign(source.pages[0].as_form_xobject()))


def _show(page: Any, form: Any, name: Any, drawing: FullDrawing, tile: Tile) -> None:
    """Put the tile's part of the form beneath what is on the page."""
    area = drawing.area
    page_height, form_height = float(page.mediabox[3]), float(form.BBox[3])
    x, y = area.margin * _PT, page_height - (area.top + tile.height) * _PT
    shift = (area.margin - tile.left + drawing.left) * _PT
    rise = page_height - form_height - (area.top - tile.top + drawing.top) * _PT
    page.add_resource(form, "/XObject", name)
    clip = f"{x:.5f} {y:.5f} {tile.width * _PT:.5f} {tile.height * _PT:.5f} re W n"
    page.contents_add(f"q {clip} 1 0 0 1 {shift:.5f} {rise:.5f} cm {name} Do Q\n".encode(), prepend=True)
    page.trimbox = [x, y, x + tile.width * _PT, y + tile.height * _PT]
