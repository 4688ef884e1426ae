"""The legend of teaching sheet and minis: a sample of every pen used, with what it means."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.render.annotate.line_kinds import Symbol
from svgfit.render.pdf.pen import PENS, Pen
from svgfit.render.pdf.picture import Image, Picture

WIDTH, HEIGHT = 16.0, 5.0
"""Size of a sample, mm."""


class Sample(Struct, frozen=True):
    """A pen and what it means."""

    picture: Image
    words: str


def legend(used: Iterable[str]) -> tuple[Sample, ...]:
    """Draw a sample of each pen used, in the order of the pens."""
    wanted = set(used)
    return tuple(Sample(Image(_sample(pen).drawn().svg, WIDTH), pen.legend) for pen in PENS if pen.name in wanted)


def _sample(pen: Pen) -> Picture:
    picture = Picture(Affine(), WIDTH, HEIGHT)
    left, right, middle = complex(0.6, HEIGHT / 2), complex(WIDTH - 0.6, HEIGHT / 2), complex(WIDTH, HEIGHT) / 2
    box = Curve.polyline([0.6 + 0.6j, 15.4 + 0.6j, 15.4 + 4.4j, 0.6 + 4.4j, 0.6 + 0.6j])
    match pen.symbol:
        case Symbol.SHADE | Symbol.DARK:
            return picture.shape(pen.symbol, box)
        case Symbol.RING:
            return picture.ring(middle)
        case Symbol.TICK:
            return picture.line("paper", left, right).line(pen.name, middle - 1.3j, middle + 1.3j)
        case Symbol.TAPE:
            return picture.line("cut", left, right).tape(middle, middle, 1 + 0j)
        case Symbol.ARROW | Symbol.DOUBLE_ARROW | Symbol.DIMENSION:
            return picture.arrow(left, right, pen.name, both=pen.symbol != Symbol.ARROW)
        case _:
            return picture.line(pen.name, left, right)
