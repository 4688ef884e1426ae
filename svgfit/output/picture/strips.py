"""A walk's drawings (both seams as straight strips; the lower cap on the lower armhole) as pictures by themselves."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.model.walk import Walk
from svgfit.output import strokes
from svgfit.output.blocks import draw
from svgfit.output.markup import number
from svgfit.output.scene import MEASUREMENTS
from svgfit.output.strips import walk_blocks

_SIZE = 4.0
"""Font size in the drawings' mm; about 16 px where a mm is 4 px."""
_WIDTH = 190.0
_EDGE = 4.0
_PER = 4
"""Pixels that a mm is where there is room for all."""


def strips_svg(walk: Walk, unit: str) -> Iterable[tuple[str, str, int, int]]:
    """What each drawing shows in words, its SVG, and its width and height in pixels."""
    for block in walk_blocks([walk], unit, _SIZE, _WIDTH):
        ink = draw(block, complex(_EDGE, _EDGE), block.width, 1.0)
        width, height = block.width + 2 * _EDGE, block.height + 2 * _EDGE
        across, down = round(width * _PER), round(height * _PER)
        said = ". ".join(line.text for line in block.writing)
        text = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{across}" height="{down}" '
            f'viewBox="0 0 {number(width, 3)} {number(height, 3)}">{strokes.join(ink, MEASUREMENTS)}</svg>'
        )
        yield said, text, across, down
