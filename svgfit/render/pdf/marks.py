"""Typst markup for what stands at a place of its own on a page. Lengths in mm from the upper left corner, y down.

Words take the room of their capitals: ``y`` is where those begin, and ``CAPITALS`` font sizes below is the baseline.
"""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.render.pdf.typesetting import millimetres, quoted
from svgfit.render.text_metrics import text_width
from svgfit.rules.lettering import HANDOUT_PLAIN, HANDOUT_SMALL, HANDOUT_TITLE

POINT = 25.4 / 72
"""Millimetres in a point."""
SMALL, PLAIN, LARGE = HANDOUT_SMALL, HANDOUT_PLAIN, HANDOUT_TITLE
"""Font sizes in points."""
CAPITALS = 0.73
"""Height of capitals in font sizes (DejaVu Sans)."""
THIN, MEDIUM, THICK = 0.2, 0.35, 0.6
"""Weights of lines, mm."""
GREY = "luma(45%)"
"""A grey that a laser printer still draws as a line."""
START = '#set text(top-edge: "cap-height", bottom-edge: "baseline")\n#set par(leading: 0.65em, spacing: 0.9em)\n'
"""What the markup of a whole document begins with."""
_WIDE = 2000.0

Point = tuple[float, float]


def page(width: float, height: float, margin: float = 0.0) -> str:
    """A new page."""
    return (
        f"#set page(width: {millimetres(width)}, height: {millimetres(height)}, margin: {millimetres(margin)})\n"
        "#pagebreak(weak: true)\n"
    )


def at(x: float, y: float, content: str) -> str:
    """Content (code, not markup) with its upper left corner at a place."""
    return f"#place(top + left, dx: {millimetres(x)}, dy: {millimetres(y)}, {content})\n"


def words(
    x: float, y: float, text: str, size: float = SMALL, *, bold: bool = False, anchor: str = "start", turn: int = 0
) -> str:
    """One line of words; ``turn`` in degrees about its place, clockwise."""
    weight = ', weight: "bold"' if bold else ""
    written = f"text(size: {size:g}pt{weight}, {quoted(text)})"
    shift = {"start": 0.0, "middle": _WIDE / 2, "end": _WIDE}[anchor]
    side = {"start": "left", "middle": "center", "end": "right"}[anchor]
    line = f"box(width: {millimetres(_WIDE)}, align({side}, {written}))"
    line = f"move(dx: {millimetres(-shift)}, {line})"
    if turn:
        line = f"rotate({turn}deg, origin: top + left, {line})"
    return at(x, y, f"box(width: 0mm, height: 0mm, {line})")


def width_of(text: str, size: float = SMALL, *, bold: bool = False) -> float:
    """How wide words are, mm, rather more than less."""
    return text_width(text, size * POINT, bold=bold)


def shortened(text: str, width: float, size: float = SMALL, *, bold: bool = False) -> str:
    """The words, cut off with … where they are wider than ``width`` mm; "" where there is no room at all."""
    if width_of(text, size, bold=bold) <= width:
        return text
    while text and width_of(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…" if text else ""


def line(start: Point, end: Point, weight: float = MEDIUM, *, dash: str = "", colour: str = "black") -> str:
    """A straight line; ``dash`` is one of typst's names for dashes."""
    dashed = f', dash: "{dash}"' if dash else ""
    stroke = f"(paint: {colour}, thickness: {millimetres(weight)}{dashed})"
    ends = f"start: ({_pair(start)}), end: ({_pair(end)})"
    return at(0, 0, f"line({ends}, stroke: {stroke})")


def outline(points: Sequence[Point], weight: float = MEDIUM, *, fill: str = "none") -> str:
    """A closed polygon."""
    corners = ", ".join(f"({_pair(point)})" for point in points)
    stroke = f'(paint: black, thickness: {millimetres(weight)}, join: "miter")'
    return at(0, 0, f"polygon({corners}, fill: {fill}, stroke: {stroke})")


def _pair(point: Point) -> str:
    return f"{millimetres(point[0])}, {millimetres(point[1])}"
