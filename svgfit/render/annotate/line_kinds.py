"""How a page is drawn: the size of letters, and the line kinds with what the legend says of each.

Kinds differ by weight, dash and ends first, so that a black-and-white print can be read; the colours are from the set
for all kinds of colour vision by Okabe and Ito (B. Wong, Nature Methods 8, 441, 2011, doi:10.1038/nmeth.1618).
Weights and dashes are millimetres on a full-size pattern; ``scale`` makes them finer for a small one.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from svgfit.model.length import Units
from svgfit.model.vocabulary import AnnotationKind
from svgfit.rules.lettering import FULL_SIZE
from svgfit.svg.markup import number

BLACK, GREEN, BLUE, VERMILION = "#000000", "#009E73", "#0072B2", "#D55E00"
WHITE = "#FFFFFF"


class Symbol(StrEnum):
    """A way to show a kind of line, or a shade, in a legend."""

    LINE = "line"
    ARROW = "arrow"
    DOUBLE_ARROW = "double arrow"
    DIMENSION = "dimension"
    RING = "ring"
    TICK = "tick"
    LEADER = "leader"
    TAPE = "tape"
    SHADE = "shade"


class PageStyle(Struct, frozen=True):
    """How a page is drawn, and in which unit lengths are written on it."""

    size: float
    """Font size, mm."""
    scale: float = 1.0
    """Of weights, dashes and heads; 1 on a full-size pattern."""
    units: Units = Units()

    @classmethod
    def of_letters(cls, size: float, units: Units) -> PageStyle:
        """Make lines as fine as the letters are small."""
        return cls(size, size / FULL_SIZE, units)

    def with_size(self, size: float) -> PageStyle:
        """Give the same style with other letters and the same lines."""
        return PageStyle(size, self.scale, self.units)


class LineKind(Struct, frozen=True):
    """One kind of line."""

    name: str
    legend: str
    """What the legend says; "" for a kind that needs no explaining."""
    colour: str
    width: float
    dash: tuple[float, ...] = ()
    cap: str = "butt"
    symbol: Symbol = Symbol.LINE
    """How the legend shows it."""


KINDS: tuple[LineKind, ...] = (
    LineKind("cut", "cut line, adjusted", BLACK, 0.95),
    LineKind("stitch", "stitch line, adjusted: sew and measure here", BLUE, 0.75, (7.0, 2.2)),
    LineKind("notch", "notch: mark this one", BLACK, 1.1, symbol=Symbol.TICK),
    LineKind("grain line", "grain line", BLACK, 0.45, symbol=Symbol.DOUBLE_ARROW),
    LineKind("guide", "bicep, centre or fold line on the piece", BLACK, 0.35, (9.0, 1.6, 2.0, 1.6)),
    LineKind("detail", "detail, moved along", BLACK, 0.35),
    LineKind("slash", "slash: cut here", VERMILION, 0.5, (2.6, 1.4)),
    LineKind("hinge", "hinge: the part turns about it", VERMILION, 0.5, symbol=Symbol.RING),
    LineKind("arrow", "how the part moved", GREEN, 0.7, symbol=Symbol.ARROW),
    LineKind("old edge", "edge as it was", VERMILION, 0.6, (0.01, 1.5), "round"),
    LineKind("cut end", "cut end of an edge", VERMILION, 1.1, (1.2, 0.7)),
    LineKind("construction", "construction line", BLUE, 0.3, (8.0, 1.3, 0.8, 1.3, 0.8, 1.3)),
    LineKind("dimension", "dimension", BLACK, 0.28, symbol=Symbol.DIMENSION),
    LineKind("leader", "what a figure belongs to", BLACK, 0.22, symbol=Symbol.LEADER),
)
WITHIN_BLOCKS = (
    LineKind("strip", "", BLACK, 0.45),
    LineKind("shading", "", BLACK, 0.2),
    LineKind("met", "", BLACK, 0.3, (1.2, 0.9)),
    LineKind("strip notch", "", BLACK, 1.1),
    LineKind("armhole", "", BLACK, 0.55, (3.2, 1.2)),
)
"""Kinds of a block's own little drawings, which say themselves what they are."""
_BY_NAME = {kind.name: kind for kind in (*KINDS, *WITHIN_BLOCKS)}


def kind_of(name: str) -> LineKind:
    """Find the kind of that name; an unknown name (a plug-in's own) is drawn as a construction line."""
    return _BY_NAME.get(name, _BY_NAME[AnnotationKind.CONSTRUCTION])


def stroke_style(kind: LineKind, scale: float, *, ends: str | None = None, solid: bool = False) -> str:
    """Say every property that a program's own default or the drawing's style sheet could otherwise change."""
    dash = "none" if solid or not kind.dash else ",".join(number(part * scale, 3) for part in kind.dash)
    return (
        f"fill:none;stroke:{kind.colour};stroke-width:{number(kind.width * scale, 3)};stroke-dasharray:{dash};"
        f"stroke-linecap:{ends or kind.cap};stroke-linejoin:round;stroke-opacity:1;opacity:1"
    )


def fill_style(colour: str) -> str:
    """Fill a shape without an outline."""
    return f"fill:{colour};fill-opacity:1;stroke:none;opacity:1"
