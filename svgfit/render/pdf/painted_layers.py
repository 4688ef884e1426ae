"""The layers of a drawing as they are seen, each on a page of its own, true to size."""

from __future__ import annotations

from svgfit.geometry.box import Box, box_around
from svgfit.model.length import both_ways
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.typesetting import TypesetDrawing
from svgfit.render.text_metrics import text_box, text_width
from svgfit.svg.export.print_svg import to_print
from svgfit.svg.export.unhide import unhide
from svgfit.svg.reader import Drawing, Tree

_LARGEST = 5080.0
"""mm: no side of a PDF's page is longer than 14400 points (PDF 1.7, annex C.2)."""
_STROKE = 2.0
"""Lines are about so wide at most, mm, beside what they run along."""


def paint_layers(drawing: Drawing, tree: Tree) -> bytes:
    """Paint each of the drawing's layers on a page as large as its sheet, or as what reaches beyond that; a PDF.

    Hidden layers are painted as if they were not. Uses up the tree. Raises Refusal for a drawing without anything on
    it, one that is too large for a page, and one that can't be painted.
    """
    box = _page(drawing)
    for layer, placed in zip(drawing.layers, tree.placed, strict=True):
        if layer.hidden:
            for each in placed:
                unhide(each.item.owner)
    svgs = [
        to_print(drawing.canvas, tree, {each.item.owner for each in placed}, box, text_width)[0]
        for placed in tree.placed
    ]
    typeset = TypesetDrawing.of_layers(drawing.canvas.file, svgs, box[2], box[3])
    try:
        return typeset.result()
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
