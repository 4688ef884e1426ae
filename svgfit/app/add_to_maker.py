"""Svgfit's layers added to the maker's own file, which stays as it was to the byte."""

from __future__ import annotations

from svgfit.app.foreign_files import convert_foreign
from svgfit.app.session import Session
from svgfit.formats.pdf.added_layers import Painted, add_layers
from svgfit.geometry.box import box_around
from svgfit.model.drawing import Canvas, Layer
from svgfit.model.file_format import Converted
from svgfit.model.refusal import Refusal
from svgfit.model.wording import listed
from svgfit.render.pdf.painted_layers import paint_layers
from svgfit.svg import parse_file, read_bytes, read_parsed, splice

_SAME_SHEET = 0.02
"""Sheets whose sides differ by no more than this, mm, are one sheet."""


def add_to_maker(session: Session, maker: str) -> tuple[bytes, tuple[str, ...]]:
    """Add the layers that svgfit wrote into the session's one drawing to the PDF that it was made of; what to mind.

    Raises Refusal where the drawing has no such layers, or was made of another file.
    """
    (file,) = session.files
    drawing, tree = session.fresh_copy(file)
    ours = {number: layer for number, layer in enumerate(drawing.layers) if layer.ours is not None and _full(layer)}
    if not ours:
        raise Refusal(file, "has no layers of svgfit's", f"run svgfit adjust {maker} first, and give what it wrote")
    data = read_bytes(maker)
    found = convert_foreign(maker, data, session.registry, session.options.wishes)
    if found is None or not found.places:
        raise Refusal(
            maker, "is no PDF to whose pages layers can be added", "give the PDF that the drawing was made of"
        )
    warnings = _same_sheet(session, maker, found)
    painted = paint_layers(drawing, tree, ours)
    names = tuple(layer.name for layer in ours.values())
    pdf = add_layers(maker, data, Painted(pdf=painted.pdf, names=names, corner=painted.corner), found.places)
    read = (f"{maker}: {text}" for text in found.warnings)
    return pdf, (*read, *warnings, *_beyond(drawing.canvas, list(ours.values())))


def _full(layer: Layer) -> bool:
    return bool(layer.shapes or layer.texts)


def _same_sheet(session: Session, maker: str, found: Converted) -> tuple[str, ...]:
    """Prove that the drawing was made of this file: without our layers it has the same bytes, or at least its size."""
    (file,) = session.files
    drawing = session.drawing(file)
    if splice(drawing, (), discard_edits=True) == found.svg:
        return ()
    other, _ = read_parsed(parse_file(maker, found.svg), dialects=session.registry.dialects())
    one, two = drawing.canvas, other.canvas
    if max(abs(one.width - two.width), abs(one.height - two.height)) > _SAME_SHEET:
        raise Refusal(file, f"was not made of {maker}: its page has another size", "give the PDF that it was made of")
    return (f"{file}: was changed since it was made of {maker}; look whether svgfit's lines lie on the maker's",)


def _beyond(canvas: Canvas, layers: list[Layer]) -> tuple[str, ...]:
    """Tell of layers that reach beyond the sheet, where a page can't show them."""
    out: list[str] = []
    for layer in layers:
        boxes = [curve.bounds() for shape in layer.shapes for curve in shape.curves]
        if boxes:
            left, top, right, bottom = box_around(boxes)
            if left < -1 or top < -1 or right > canvas.width + 1 or bottom > canvas.height + 1:
                out.append(layer.name)
    if not out:
        return ()
    return (f"{canvas.file}: {listed(out)} reach beyond the sheet; what lies there is on no page of the PDF",)
