"""The kinds of lines on a page, with what the legend says of each.

Kinds differ by weight, dash and ends first, so that a black-and-white print can be read; the colours are from the set
for all kinds of colour vision by Okabe and Ito (B. Wong, Nature Methods 8, 441, 2011, doi:10.1038/nmeth.1618).
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

BLACK, GREEN, BLUE, VERMILION = "#000000", "#009E73", "#0072B2", "#D55E00"
WHITE = "#FFFFFF"


class Symbol(StrEnum):
    """A way to show a kind of line, or a shade, in a legend."""

    LINE = "line"
    """The line itself."""
    ARROW = "arrow"
    """With a head at its end."""
    DOUBLE_ARROW = "double arrow"
    """With a head at both."""
    DIMENSION = "dimension"
    """As a length is drawn: heads and ticks."""
    RING = "ring"
    """A small ring: a point."""
    TICK = "tick"
    """A stroke across an edge."""
    LEADER = "leader"
    """From a label to what it speaks of."""
    TAPE = "tape"
    """A strip with marks on it."""
    SHADE = "shade"
    """An area that is tinted."""


class LineKind(Struct, frozen=True):
    """One kind of line. Weight and dashes in mm on a full-size pattern; smaller ones have them finer."""

    name: str
    """As annotations name it; no two alike."""
    legend: str
    """What the legend says; "" for a kind that needs no explaining."""
    colour: str
    """"#RRGGBB"."""
    width: float
    """Its weight, mm."""
    dash: tuple[float, ...] = ()
    """Lengths of dashes and gaps in turn, mm; () for a line without gaps."""
    cap: str = "butt"
    """The ends of its dashes: "butt", "round" or "square"."""
    symbol: Symbol = Symbol.LINE
    """How the legend shows it; a plug-in's own is a line."""
    layer: str = ""
    """The name of the layer that a plug-in's own is drawn on, beside svgfit's three; "": the working lines."""


def alike(one: LineKind, other: LineKind) -> bool:
    """Tell whether two lines can't be told apart in black and white: by weight, and by dashes, within a quarter.

    A quarter: a judgement, held against the weights and dashes of svgfit's own kinds (no source).
    """

    def near(a: float, b: float) -> bool:
        return max(a, b) <= 1.25 * min(a, b)

    if one.symbol != other.symbol or len(one.dash) != len(other.dash):
        return False
    return near(one.width, other.width) and all(near(a, b) for a, b in zip(one.dash, other.dash, strict=True))


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
