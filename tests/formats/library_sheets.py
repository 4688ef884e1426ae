"""A maker's sheet of ten sizes of sleeve, front and back, drawn by libraries that know nothing of patterns.

What is on the sheet is a list of strokes and words in mm, y down; each library draws it on one page or on tiles.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator, Sequence
from functools import partial

from msgspec import Struct

from svgfit.geometry.curve import Curve
from tests.formats.dxf_files import nodes_of
from tests.pattern import nests

WIDE, HIGH = 1600.0, 900.0
MM = 72 / 25.4
"""Points in a millimetre."""
TILE, MARGIN = (190.0, 270.0), 10.0
"""What a page shows of the sheet, and the paper round it, mm."""


class Stroke(Struct, frozen=True):
    curve: Curve
    colour: str = "#000000"
    dash: tuple[float, ...] = ()
    width: float = 0.35
    layer: str = ""

    @property
    def rgb(self) -> tuple[float, float, float]:
        red, green, blue = (int(self.colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
        return red, green, blue


class Words(Struct, frozen=True):
    text: str
    at: complex
    size: float = 14.0
    layer: str = ""


Thing = Stroke | Words


def look(by: str, k: int) -> dict[str, object]:
    """How the lines of the size of a number are drawn."""
    if by == "dash":
        return {"dash": tuple(float(part) for part in nests.DASHES[k].split(",") if part)}
    return {"colour": nests.COLOURS[k]} if by == "colour" else {}


def drawn(pieces: Sequence[nests.Sized], by: str, *, key: bool = False, layers: bool = False) -> list[Thing]:
    """Outlines in each size's look, notches; grain lines and names of pieces once; the key beside them if wanted."""
    sizes = list(dict.fromkeys(one.size for one in pieces))

    def of(size: str) -> str:
        return f"Size {size}" if layers else ""

    found: list[Thing] = [Stroke(p.outline, **look(by, sizes.index(p.size)), layer=of(p.size)) for p in pieces]
    found += [Stroke(tick, layer=of(p.size)) for p in pieces for tick in p.drawn("notch", "shoulder notch")]
    every = "All sizes" if layers else ""
    first = [one for one in pieces if one.size == sizes[0]]
    found += [Stroke(line, layer=every) for one in first for line in one.drawn("grain line")]
    for one in first:
        at = nests.PLACES[one.name] + (-120 if one.name == "Back" else 20) + 150j
        found.append(Words(one.name, at, layer=every))
        if one.name != "Sleeve":
            found += [Stroke(line, layer=every) for line in one.drawn("fold line")]
            found.append(Words("cut 1 on fold", at + 20j, 6.0, layer=every))
    if key:
        for k, size in enumerate(sizes):
            y = 20 + 8 * k
            found.append(Stroke(Curve.polyline([complex(20, y), complex(45, y)]), **look(by, k)))
            found.append(Words(f"Size {size}", complex(48, y + 1.7), 5.0))
    return found


def windows(overlap: float = 0.0) -> Iterator[complex]:
    """The upper left corners of what tiles show, row by row."""
    across, down = (
        math.ceil((side - overlap) / (tile - overlap)) for side, tile in zip((WIDE, HIGH), TILE, strict=True)
    )
    for row, column in itertools.product(range(down), range(across)):
        yield complex(column * (TILE[0] - overlap), row * (TILE[1] - overlap))


PAGE = ((TILE[0] + 2 * MARGIN) * MM, (TILE[1] + 2 * MARGIN) * MM)


# -- reportlab ---------------------------------------------------------------------------------------------------------


def by_reportlab(things: Sequence[Thing]) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(WIDE * MM, HIGH * MM))
    _on_canvas(canvas, things)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def tiles_by_reportlab(
    things: Sequence[Thing], overlap: float = 0.0, *, form: bool = True, before: Sequence[Thing] = ()
) -> bytes:
    """Every page shows a part of the whole sheet, one form or drawn anew each time; ``before``: a page more."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=PAGE)
    if form:
        canvas.beginForm("sheet", 0, 0, WIDE * MM, HIGH * MM)
        _on_canvas(canvas, things)
        canvas.endForm()
    if before:
        canvas.translate(0, PAGE[1] - HIGH * MM)
        _on_canvas(canvas, before)
        canvas.showPage()
    for at in windows(overlap):
        canvas.saveState()
        window = canvas.beginPath()
        window.rect(MARGIN * MM, MARGIN * MM, TILE[0] * MM, TILE[1] * MM)
        canvas.clipPath(window, stroke=0)
        canvas.translate((MARGIN - at.real) * MM, (MARGIN + TILE[1] + at.imag - HIGH) * MM)
        if form:
            canvas.doForm("sheet")
        else:
            _on_canvas(canvas, things)
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _on_canvas(canvas, things: Sequence[Thing]) -> None:
    def at(point: complex) -> tuple[float, float]:
        return point.real * MM, (HIGH - point.imag) * MM

    for thing in things:
        if isinstance(thing, Words):
            canvas.setFont("Helvetica", thing.size * MM)
            canvas.drawString(*at(thing.at), thing.text)
            continue
        canvas.setStrokeColorRGB(*thing.rgb)
        canvas.setLineWidth(thing.width * MM)
        canvas.setDash([part * MM for part in thing.dash])
        path = canvas.beginPath()
        path.moveTo(*at(thing.curve.start))
        for _, one, two, end in thing.curve.segments.tolist():
            path.curveTo(*at(one), *at(two), *at(end))
        if thing.curve.is_closed():
            path.close()
        canvas.drawPath(path)


# -- cairo -------------------------------------------------------------------------------------------------------------


def by_cairo(things: Sequence[Thing]) -> bytes:
    import cairocffi as cairo

    out = io.BytesIO()
    surface = cairo.PDFSurface(out, WIDE * MM, HIGH * MM)
    context = cairo.Context(surface)
    context.scale(MM, MM)
    _in_context(context, things)
    surface.finish()
    return out.getvalue()


def tiles_by_cairo(things: Sequence[Thing], overlap: float = 0.0) -> bytes:
    """Every page draws the whole sheet behind a clip; cairo leaves out what is not seen there."""
    import cairocffi as cairo

    out = io.BytesIO()
    surface = cairo.PDFSurface(out, *PAGE)
    context = cairo.Context(surface)
    for at in windows(overlap):
        context.save()
        context.scale(MM, MM)
        context.rectangle(MARGIN, MARGIN, *TILE)
        context.clip()
        context.translate(MARGIN - at.real, MARGIN - at.imag)
        _in_context(context, things)
        context.restore()
        context.show_page()
    surface.finish()
    return out.getvalue()


def _in_context(context, things: Sequence[Thing]) -> None:
    for thing in things:
        if isinstance(thing, Words):
            context.set_source_rgb(0, 0, 0)
            context.set_font_size(thing.size)
            context.move_to(thing.at.real, thing.at.imag)
            context.show_text(thing.text)
            continue
        context.set_source_rgb(*thing.rgb)
        context.set_line_width(thing.width)
        context.set_dash(list(thing.dash))
        context.move_to(thing.curve.start.real, thing.curve.start.imag)
        for _, one, two, end in thing.curve.segments.tolist():
            context.curve_to(one.real, one.imag, two.real, two.imag, end.real, end.imag)
        if thing.curve.is_closed():
            context.close_path()
        context.stroke()


# -- MuPDF -------------------------------------------------------------------------------------------------------------


def by_mupdf(things: Sequence[Thing]) -> bytes:
    """With a layer for each that is named."""
    import pymupdf

    with pymupdf.open() as document:
        _on_page(document, things)
        return document.tobytes(deflate=True)


def tiles_by_mupdf(things: Sequence[Thing], overlap: float = 0.0) -> bytes:
    """Every page shows a part of one page as a form."""
    import pymupdf

    with pymupdf.open() as source, pymupdf.open() as document:
        _on_page(source, things)
        for at in windows(overlap):
            page = document.new_page(width=PAGE[0], height=PAGE[1])
            shown = pymupdf.Rect(at.real * MM, at.imag * MM, (at.real + TILE[0]) * MM, (at.imag + TILE[1]) * MM)
            shown &= source[0].rect
            left = top = MARGIN * MM
            there = pymupdf.Rect(left, top, left + shown.width, top + shown.height)
            page.show_pdf_page(there, source, 0, clip=shown)
        return document.tobytes(deflate=True, garbage=3)


def _on_page(document, things: Sequence[Thing]) -> None:
    groups = {name: document.add_ocg(name) for name in dict.fromkeys(thing.layer for thing in things) if name}
    page = document.new_page(width=WIDE * MM, height=HIGH * MM)

    def at(point: complex) -> tuple[float, float]:
        return point.real * MM, point.imag * MM

    for thing in things:
        group = groups.get(thing.layer, 0)
        if isinstance(thing, Words):
            page.insert_text(at(thing.at), thing.text, fontsize=thing.size * MM, oc=group)
            continue
        shape = page.new_shape()
        for segment in thing.curve.segments.tolist():
            shape.draw_bezier(*(at(point) for point in segment))
        dash = f"[{' '.join(f'{part * MM:.5g}' for part in thing.dash)}] 0"
        closed = thing.curve.is_closed()
        shape.finish(color=thing.rgb, width=thing.width * MM, dashes=dash, closePath=closed, oc=group)
        shape.commit()


# -- ezdxf -------------------------------------------------------------------------------------------------------------


def by_ezdxf(things: Sequence[Thing], mm: float = 1.0, chord: float = 3.0) -> bytes:
    """Polylines of short chords, with colours and line types; ``mm``: millimetres in the file's unit."""
    import ezdxf

    document = ezdxf.new("R2010", units={1.0: 4, 25.4: 1}[mm])
    space = document.modelspace()

    def at(point: complex) -> tuple[float, float]:
        return point.real / mm, -point.imag / mm

    for thing in things:
        layer = thing.layer or "drawing"
        if layer not in document.layers:
            document.layers.add(layer)
        if isinstance(thing, Words):
            space.add_text(thing.text, height=0.7 * thing.size / mm, dxfattribs={"layer": layer}).set_placement(
                at(thing.at)
            )
            continue
        line_type = " ".join(f"{part:g}" for part in thing.dash) or "Continuous"
        if line_type not in document.linetypes:
            lengths = [part / mm * (1 if k % 2 == 0 else -1) for k, part in enumerate(thing.dash)]
            document.linetypes.add(line_type, [sum(map(abs, lengths)), *lengths])
        closed = thing.curve.is_closed()
        nodes = [point for point, _ in nodes_of([thing.curve], chord)]
        line = space.add_lwpolyline(
            [at(point) for point in (nodes if closed else [*nodes, thing.curve.end])],
            close=closed,
            dxfattribs={"layer": layer, "linetype": line_type},
        )
        line.rgb = tuple(round(255 * part) for part in thing.rgb)
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


# -- what each library can do ------------------------------------------------------------------------------------------

SHEETS = {"reportlab": by_reportlab, "cairo": by_cairo, "MuPDF": by_mupdf, "ezdxf": by_ezdxf}
TILES = {
    "reportlab": tiles_by_reportlab,
    "reportlab, drawn on each": partial(tiles_by_reportlab, form=False),
    "cairo": tiles_by_cairo,
    "MuPDF": tiles_by_mupdf,
}


def has_cairo() -> bool:
    """Say whether the library that cairo's wheel only binds is there; Inkscape brings it along."""
    try:
        import cairocffi  # noqa: F401
    except (ImportError, OSError):
        return False
    return True
