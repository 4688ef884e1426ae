"""The pens of the teaching sheet: black only, told apart by weight, dash and ends. Millimetres on paper.

What is drawn through them keeps its weight whatever the scale of the pattern: it is to be read, not measured.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from svgfit.model.line_kind import BLACK, LineKind, Symbol
from svgfit.svg.markup import number

LIGHT, DARK = "#D9D9D9", "#A6A6A6"
"""Greys of 15 %, the lightest that a laser printer surely shows, and of 35 %."""


class Pen(Struct, frozen=True):
    """How one kind of line is drawn, and what the legend says of it."""

    name: str
    legend: str
    width: float
    dash: tuple[float, ...] = ()
    cap: str = "butt"
    symbol: Symbol = Symbol.LINE
    """How the legend shows it."""
    fill: str = "none"
    """The colour of what it fills."""


PENS: tuple[Pen, ...] = (
    Pen("paper", "edge of the paper piece: its stitch line", 0.35),
    Pen("new", "edge as it is now", 0.8),
    Pen("old", "edge as it was", 0.55, (0.01, 1.25), "round"),
    Pen("slash", "line to draw and to cut along", 0.6, (2.6, 1.2)),
    Pen("cut", "cut", 0.55),
    Pen("hinge", "hinge: not cut through, the part turns about it", 0.4, symbol=Symbol.RING),
    Pen("shade", "the part that moves", 0.0, symbol=Symbol.SHADE, fill=LIGHT),
    Pen("dark", "paper on paper: here the parts overlap", 0.0, symbol=Symbol.SHADE, fill=DARK),
    Pen("arrow", "the way that it moves", 0.45, symbol=Symbol.ARROW),
    Pen("tape", "sticky tape, with paper beneath an opening", 0.2, symbol=Symbol.TAPE),
    Pen("notch", "notch", 0.9, symbol=Symbol.TICK),
    Pen("grain", "grain line", 0.25, symbol=Symbol.DOUBLE_ARROW),
    Pen("guide", "bicep line, centre line, fold", 0.22, (5.0, 1.1, 1.1, 1.1)),
    Pen("cut line", "cut line, with the seam allowance", 0.22, (1.1, 0.8)),
    Pen("detail", "detail", 0.25),
    Pen("dimension", "figure measured here", 0.2, symbol=Symbol.DOUBLE_ARROW),
)
_FINER, _SHORTER = 0.75, 0.6
"""A plug-in's kind of line has this part of the weight and of the dashes that it has on a full-size pattern."""
_BY_NAME = {pen.name: pen for pen in PENS}


def pen_of(pen: str | Pen) -> Pen:
    """Find the pen of that name, or take the pen itself; KeyError for an unknown name."""
    return pen if isinstance(pen, Pen) else _BY_NAME[pen]


def own_pen(line: LineKind) -> Pen:
    """Make the pen of a plug-in's own kind of line."""
    dash = tuple(part * _SHORTER for part in line.dash)
    return Pen(f"own {line.name}", line.legend, line.width * _FINER, dash, line.cap)


def pens_of(used: Iterable[str | Pen]) -> tuple[Pen, ...]:
    """Give the pens that were used, each once, in the order of the legend: plug-ins' own behind the others, by name."""
    found = {pen.name: pen for pen in map(pen_of, used)}
    own = sorted(name for name in found if name not in _BY_NAME)
    return (*(pen for pen in PENS if pen.name in found), *(found[name] for name in own))


def style(pen: Pen, fill: str = "none") -> str:
    """Write the stroke's properties."""
    dash = ",".join(number(part, 3) for part in pen.dash) or "none"
    return (
        f"fill:{fill};stroke:{BLACK};stroke-width:{number(pen.width, 3)};stroke-dasharray:{dash};"
        f"stroke-linecap:{pen.cap};stroke-linejoin:round"
    )
