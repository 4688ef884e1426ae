"""The plot of what cap height trades against bicep width and ease, as a drawing of its own. In mm."""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, Units, sixteenths
from svgfit.model.line_kind import BLACK, WHITE
from svgfit.model.tradeoff import Trade
from svgfit.model.vocabulary import Unit
from svgfit.render.annotate.block import wrap
from svgfit.render.text_metrics import letters, text_width
from svgfit.rules.lettering import CHART, CHART_TITLE
from svgfit.svg.markup import ROUGH, Node, element, line_data, number, on_one_line, serialise

_WIDTH, _HEIGHT = 190.0, 162.0
_LEFT, _TOP, _RIGHT, _BOTTOM = 24.0, 24.0, 172.0, 112.0
_DASHES = ("none", "6,1.6", "3,1.4", "6,1.2,1,1.2", "1,1.2")


class _Axes(Struct, frozen=True):
    """Millimetres of the sleeve to millimetres of the page."""

    left: float
    right: float
    low: float
    high: float

    def at(self, height: float, width: float) -> complex:
        x = _LEFT + (height - self.left) / (self.right - self.left) * (_RIGHT - _LEFT)
        y = _BOTTOM - (width - self.low) / (self.high - self.low) * (_BOTTOM - _TOP)
        return complex(x, y)


def trade_plot(trade: Trade, units: Units) -> str:
    """Plot a trade-off as an SVG document, true to size (mm): a line for each ease, the sleeve as it is as a dot.

    Lines differ by dash and are named at their ends.
    """
    heights = [height for _, row in trade.rows for height, _ in row]
    widths = [width for width, _ in trade.rows]
    axes = _Axes(min(heights), max(heights), min(widths), max(widths))
    name = f"{trade.sleeve} ({trade.size})" if trade.size else trade.sleeve
    title = f"{name}: what cap height trades against bicep and ease"
    body = [
        (element("rect", [("width", "100%"), ("height", "100%"), ("style", f"fill:{WHITE}")]),),
        letters(title, complex(8, 9), CHART_TITLE, bold=True, halo=False),
        letters(f"in an armhole of {units.length(trade.armhole)}", complex(8, 15), CHART, halo=False),
        *_frame(axes, units),
        *_lines(trade, axes, units),
        *_now(trade, axes),
        *_words(trade, units),
    ]
    root: list[tuple[str, str | None]] = [
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("width", f"{_WIDTH:g}mm"),
        ("height", f"{_HEIGHT:g}mm"),
        ("viewBox", f"0 0 {_WIDTH:g} {_HEIGHT:g}"),
    ]
    head = (element("title", (), on_one_line(f"{name}: cap height, bicep width and ease")),)
    within = [part for line in (head, *body) for part in ("\n", *line)]
    return serialise(element("svg", root, *within, "\n")) + "\n"


def _stroke(width: float, dash: str = "none") -> str:
    return f"fill:none;stroke:{BLACK};stroke-width:{width:g};stroke-dasharray:{dash}"


def _line(points: Sequence[complex], width: float, dash: str = "none") -> tuple[Node, ...]:
    return (element("path", [("d", line_data(points)), ("style", _stroke(width, dash))]),)


def _frame(axes: _Axes, units: Units) -> Iterable[tuple[Node, ...]]:
    yield _line([complex(_LEFT, _TOP), complex(_LEFT, _BOTTOM), complex(_RIGHT, _BOTTOM)], 0.4)
    for value in _round_values(axes.left, axes.right, units):
        foot = axes.at(value, axes.low)
        yield _line([foot, foot + 1.5j], 0.4)
        yield _line([foot, complex(foot.real, _TOP)], 0.1)
        yield letters(_figure(value, units), foot + 5.5j, CHART, anchor="middle", halo=False)
    for value in _round_values(axes.low, axes.high, units):
        foot = axes.at(axes.left, value)
        yield _line([foot, foot - 1.5], 0.4)
        yield _line([foot, complex(_RIGHT, foot.imag)], 0.1)
        yield letters(_figure(value, units), foot - 2.5 + 1.2j, CHART, anchor="end", halo=False)
    yield letters(
        f"cap height, {units.unit}", complex(_RIGHT, _BOTTOM + 10.5), CHART, anchor="end", bold=True, halo=False
    )
    yield letters(f"bicep width, {units.unit}", complex(8, _TOP - 3), CHART, bold=True, halo=False)


def _round_values(low: float, high: float, units: Units) -> list[float]:
    """List half inches or centimetres between two lengths."""
    step = MM_PER_INCH / 2 if units.unit == Unit.IN else 10.0
    while (high - low) / step > 9:
        step *= 2
    return [k * step for k in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _figure(value: float, units: Units) -> str:
    return sixteenths(value) if units.unit == Unit.IN else f"{value / 10:g}" if units.unit == Unit.CM else f"{value:g}"


def _eases(units: Units) -> list[float]:
    return [k * MM_PER_INCH / 2 for k in range(5)] if units.unit == Unit.IN else [0.0, 10.0, 20.0, 30.0, 45.0]


def _lines(trade: Trade, axes: _Axes, units: Units) -> Iterable[tuple[Node, ...]]:
    """Draw a line for each ease, named on itself, near its upper end."""
    for ease, dash in zip(_eases(units), _DASHES, strict=True):
        points = [axes.at(height, width) for height, width in trade.curve_for(ease)]
        if len(points) < 2:
            continue
        yield _line(points, 0.5, dash)
        text = f"ease {_figure(ease, units)} {units.unit}" if ease else "no ease"
        at, way = _along(points, 0.2)
        yield letters(text, at - 1.1j * way, CHART, anchor="middle", degrees=math.degrees(cmath.phase(way)))


def _along(points: Sequence[complex], share: float) -> tuple[complex, complex]:
    """Find the point at a share of a row of points, from its upper end, and the way downhill to the right there."""
    row = sorted(points, key=lambda at: at.imag)
    steps = [abs(b - a) for a, b in itertools.pairwise(row)]
    left = share * sum(steps)
    for (a, b), step in zip(itertools.pairwise(row), steps, strict=True):
        if left <= step:
            return a + (b - a) * left / step, (b - a) / step
        left -= step
    return row[-1], 1 + 0j


def _now(trade: Trade, axes: _Axes) -> Iterable[tuple[Node, ...]]:
    at = axes.at(trade.height, trade.width)
    place: list[tuple[str, str | None]] = [("cx", number(at.real, ROUGH)), ("cy", number(at.imag, ROUGH))]
    yield (element("circle", [*place, ("r", "1.3"), ("style", f"fill:{BLACK};stroke:{WHITE};stroke-width:0.4")]),)
    words, start = "as drawn", at + 2.2 + 1.2j
    ground: list[tuple[str, str | None]] = [
        ("x", number(start.real - 0.6, ROUGH)),
        ("y", number(start.imag - CHART * 0.85, ROUGH)),
        ("width", number(text_width(words, CHART, bold=True) + 1.2, ROUGH)),
        ("height", number(CHART * 1.15, ROUGH)),
        ("style", f"fill:{WHITE}"),
    ]
    yield (element("rect", ground),)  # so that no line crosses the words
    yield letters(words, start, CHART, bold=True)


def _words(trade: Trade, units: Units) -> Iterable[tuple[Node, ...]]:
    text = (
        "Each line joins the cap heights and bicep widths that give the same ease in this armhole. A higher cap, or a "
        f"wider bicep, adds ease; along a line, what the cap gains in height the bicep gives up. As drawn: cap height "
        f"{units.length(trade.height)}, bicep width {units.length(trade.width)}, ease "
        f"{units.length(trade.ease)}. Found by widening with the cap height kept, then raising or lowering the "
        "cap; measured on the drawing, not on a body; the lines are drawn smooth through what was measured. Sew a test "
        "garment before you cut good cloth."
    )
    for row, line in enumerate(wrap(text, _WIDTH - 16, CHART)):
        yield letters(line, complex(8, _BOTTOM + 18 + row * 5), CHART, halo=False)
