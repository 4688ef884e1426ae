"""Drawings that stand by themselves: an SVG file of one picture or of one block of writing."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.render.annotate.block import Block
from svgfit.render.annotate.tables import draw
from svgfit.svg.markup import ROUGH, Node, element, number, serialise


def document(body: Iterable[Node], width: float, height: float, *, per_mm: int | None = None) -> str:
    """An SVG, ``width`` by ``height`` mm, of markup in millimetres; ``per_mm``: it asks for so many pixels instead."""
    size = (number(width, ROUGH), number(height, ROUGH))
    across, down = (f"{side}mm" for side in size) if per_mm is None else pixels(width, height, per_mm)
    attributes: list[tuple[str, str | None]] = [
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("width", str(across)),
        ("height", str(down)),
        ("viewBox", f"0 0 {size[0]} {size[1]}"),
    ]
    return serialise(element("svg", attributes, *body))


def pixels(width: float, height: float, per_mm: int) -> tuple[int, int]:
    """Whole pixels of a picture."""
    return round(width * per_mm), round(height * per_mm)


def block_document(block: Block, edge: complex, scale: float, *, per_mm: int | None = None) -> tuple[str, float, float]:
    """A block with ``edge`` mm of white left and right, over and under it: its SVG, and width and height in mm.

    ``scale``: how fine its lines are, as in svgfit.render.annotate.tables.draw.
    """
    width, height = block.width + 2 * edge.real, block.height + 2 * edge.imag
    body = [node for mark in draw(block, edge, block.width, scale) for node in mark.nodes]
    return document(body, width, height, per_mm=per_mm), width, height
