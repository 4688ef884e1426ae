"""The layers of a drawing as they are seen, each on a page of its own, true to size."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct

from svgfit.geometry.box import Box, box_around
from svgfit.model.length import both_ways
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.typesetting import TypesetDrawing
from svgfit.render.text_metrics import text_box, text_width
from svgfit.svg.export.print_svg import to_print, unhide
from svgfit.svg.reader import Drawing, Tree

_LARGEST = 5080.0
"""mm: no side of a PDF's page is longer than 14400 points (PDF 1.7, annex C.2)."""
_STROKE = 2.0
"""Lines are about so wide at most, mm, beside what they run along."""


class PaintedLayers(Struct, frozen=True):
    """Painted layers: a PDF with a page for each, and the page mm of its pages' upper left corner."""

    pdf: bytes
    corner: complex


def paint_layers(drawing: Drawing, tree: Tree, chosen: Collection[int] | None = None) -> PaintedLayers:
    """Paint each of the drawing's layers on a page as large as its sheet, or as what reaches beyond that.

    ``chosen``: numbers of the layers to paint; None: all. Hidden ones are painted as if they were not. Uses up the
    tree. Raises Refusal for a drawing without anything on it, one too large for a page, and one that can't be painted.
    """
    numbers = range(len(drawing.layers)) if chosen is None else sorted(chosen)
    box = _page(drawing)
    for number in numbers:
        if drawing.layers[number].hidden:
            for each in tree.placed[number]:
                unhide(each.item.owner)
    shown = [{each.item.owner for each in tree.placed[number]} for number in numbers]
    svgs = [to_print(drawing.canvas, tree, owners, box, text_width)[0] for owners in shown]
    typeset = TypesetDrawing.of_layers(drawing.canvas.file, svgs, box[2], box[3])
    try:
        return PaintedLayers(typeset.result(), complex(box[0], box[1]))
    finally:
        typeset.end()


def _page(drawing: Drawing) -> Box:
    """Find the page: left, top, width and height in page mm."""
    canvas = drawing.canvas
    boxes = [curve.bounds() for layer in drawing.layers for shape in layer.shapes for curve in shape.curves]
    boxes += [text_box(text.text) for layer in drawing.layers for text in layer.texts]
    if not boxes:
        raise Refusal(canvas.file, "there is nothing drawn on it", "draw something")
    left, top, right, bottom = box_around(boxes)
    drawn = (left - _STROKE, top - _STROKE, right + _STROKE, bottom + _STROKE)
    page = (0.0, 0.0, canvas.width, canvas.height)
    outside = left < 0 or top < 0 or right > canvas.width or bottom > canvas.height
    left, top, right, bottom = box_around([page, drawn]) if outside and canvas.width else drawn if outside else page
    longest = max(right - left, bottom - top)
    if longest > _LARGEST:
        what = f"is {both_ways(longest)} long, and a page of a PDF is at most {both_ways(_LARGEST)}"
        raise Refusal(canvas.file, what, "move what lies far off nearer")
    return left, top, right - left, bottom - top
