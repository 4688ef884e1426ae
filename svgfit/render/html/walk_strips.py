"""A walk's drawings (both seams as straight strips; the lower cap on the lower armhole) as pictures by themselves."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.model.walk import Walk
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.svg_file import block_document, pixels
from svgfit.rules.lettering import STRIP_ON_SCREEN

_WIDTH = 190.0
_EDGE = 4.0
_PER = 4
"""Pixels that a mm is where there is room for all."""


def strips_svg(walk: Walk, unit: str) -> Iterable[tuple[str, str, int, int]]:
    """What each drawing shows in words, its SVG, and its width and height in pixels."""
    for block in walk_blocks([walk], unit, STRIP_ON_SCREEN, _WIDTH, scaled=False):
        text, width, height = block_document(block, complex(_EDGE, _EDGE), 1.0, per_mm=_PER)
        yield ". ".join(line.text for line in block.writing), text, *pixels(width, height, _PER)
