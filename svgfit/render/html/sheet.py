"""Which part of a drawing is shown, and in which window of the page: SVG text that stands by itself."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from msgspec import Struct

from svgfit.geometry.box import Box, box_around
from svgfit.model.dialect import Element
from svgfit.model.drawing import Layer
from svgfit.model.refusal import Refusal
from svgfit.render.layer_selection import ORIGINAL, PARTS, check_there, read_parts
from svgfit.render.text_metrics import text_box
from svgfit.svg.export.drawable import drawable
from svgfit.svg.export.sanitise import cleaned, serialised
from svgfit.svg.reader import Drawing
from svgfit.svg.source import OUR_MARK

_OUTSIDE = 1.0
"""What stands over the page's edge by less than this, mm, needs no larger window."""
_FITTED = ("x", "y", "preserveAspectRatio")
"""Of the root, what says where its page lies: the sheet is fitted to its window instead."""
_ROOM = 10.0
"""White round what does not lie on a page, mm."""


class Window(Struct, frozen=True):
    """An upright part of the page, in page mm."""

    left: float
    top: float
    width: float
    height: float


def parts_of(drawing: Drawing) -> tuple[str, ...]:
    """List which of ``PARTS`` the drawing has."""
    here = {layer.kind for layer in drawing.svgfit_layers}
    return tuple(part for part in PARTS if part == ORIGINAL or part in here)


def chosen_parts(drawing: Drawing, wanted: str | None) -> tuple[str, ...]:
    """Choose the parts named in ``wanted`` ("original,adjusted"; None: all). Refusal for one that is not there."""
    here, named = parts_of(drawing), read_parts(wanted)
    if named is None:
        return here
    check_there(drawing.canvas.file, named, here)
    return named


def window_of(drawing: Drawing, parts: Collection[str]) -> Window:
    """Choose the page, widened to what of ours lies outside it; without a page, what is drawn with a margin."""
    canvas = drawing.canvas
    shown = [layer for layer in drawing.layers if (layer.ours or ORIGINAL) in parts]
    ours = [box for layer in shown if layer.ours for box in _boxes(layer)]
    if canvas.width > 0 and canvas.height > 0:
        page: Box = (0.0, 0.0, canvas.width, canvas.height)
        out = [box for box in ours if _overhang(page, box) > _OUTSIDE]
        if not out:
            return Window(0.0, 0.0, canvas.width, canvas.height)
        whole = box_around([*out, page])
        left, top, right, bottom = (
            edge if edge == on_page else edge + way * _ROOM
            for edge, on_page, way in zip(whole, page, (-1, -1, 1, 1), strict=True)
        )
        return Window(left, top, right - left, bottom - top)
    boxes = [*ours, *(box for layer in shown if not layer.ours and not layer.hidden for box in _boxes(layer))]
    if not boxes:
        raise Refusal(canvas.file, "nothing is drawn in it", "check that it is the right drawing")
    left, top, right, bottom = box_around(boxes)
    return Window(left - _ROOM, top - _ROOM, right - left + 2 * _ROOM, bottom - top + 2 * _ROOM)


def sheet(
    drawing: Drawing,
    root: Element,
    parts: Collection[str],
    window: Window,
    width: int,
    height: int,
    left_out: Collection[Element] = (),
) -> str:
    """Write the parts as one SVG of ``width`` by ``height`` pixels that shows the window; our layers are visible.

    ``root`` is the drawing's tree, which is left as it is; of it ``left_out`` is not shown. Raises
    Refusal for what shows far too much to be drawn.
    """

    def is_shown(child: Element) -> bool:
        mark = child.get(OUR_MARK)
        if mark is not None:
            return mark in parts
        return ORIGINAL in parts or child.tag.rpartition("}")[2] in ("defs", "style")

    made = drawable(drawing.canvas.file, cleaned(root, is_shown, without=_FITTED, left_out=left_out))
    for child in made:
        if child.get(OUR_MARK) is not None:
            child.set("style", "display:inline;opacity:1")
    corner = drawing.canvas.to_root.apply(complex(window.left, window.top))
    per = drawing.canvas.to_root.size
    made.set("viewBox", f"{corner.real:.6f} {corner.imag:.6f} {window.width * per:.6f} {window.height * per:.6f}")
    made.set("width", str(width))
    made.set("height", str(height))
    if made.get("style"):
        size = f"width:{width}px!important;height:{height}px!important"
        made.set("style", f"{made.get('style').rstrip().rstrip(';')};{size}")
    return serialised(made)


def box_of(layers: Iterable[Layer], piece: str, size: str | None) -> Box | None:
    """Box what our layers hold of one adjusted piece, page mm; None where they hold none."""
    wanted = {("piece", piece), *([("size", size)] if size else [])}
    curves = [
        curve.bounds()
        for layer in layers
        if layer.ours
        for shape in layer.shapes
        if wanted <= set(shape.data)
        for curve in shape.curves
    ]
    return box_around(curves) if curves else None


def _boxes(layer: Layer) -> Iterable[Box]:
    for shape in layer.shapes:
        for curve in shape.curves:
            yield curve.bounds()
    for text in layer.texts:
        yield text_box(text.text)


def _overhang(page: Box, box: Box) -> float:
    return max(page[0] - box[0], page[1] - box[1], box[2] - page[2], box[3] - page[3])
