"""Drawn marks: a curve in its kind, arrowheads, rings, ticks, dimension lines. Page millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.line_kind import WHITE, LineKind
from svgfit.model.vocabulary import AnnotationKind
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.line_kinds import fill_style, kind_of, name_of, stroke_style
from svgfit.svg.markup import ROUGH, Attributes, Node, element, line_data, number, path_data

HEAD, HALF = 3.6, 0.75
"""Length of an arrowhead and half its breadth, full size."""


def curves(
    layer: str,
    kind: str | LineKind,
    lines: Sequence[Curve],
    scale: float,
    *,
    places: int = ROUGH,
    data: Attributes = (),
) -> Ink:
    """Draw one path of one or several curves."""
    style = stroke_style(kind_of(kind), scale)
    return Ink(layer, (element("path", [("d", path_data(lines, places)), ("style", style), *data]),), name_of(kind))


def straight(layer: str, kind: str | LineKind, points: Sequence[complex], scale: float, data: Attributes = ()) -> Ink:
    """Draw one path from point to point."""
    style = stroke_style(kind_of(kind), scale)
    return Ink(layer, (element("path", [("d", line_data(points)), ("style", style), *data]),), name_of(kind))


def head(layer: str, kind: str, tip: complex, direction: complex, scale: float, *, wide: float = 1.0) -> Ink:
    """Draw a slender filled arrowhead, its tip at ``tip``, flying along the unit vector ``direction``."""
    back, side = tip - direction * HEAD * scale, 1j * direction * HALF * wide * scale
    d = line_data([tip, back + side, back + direction * HEAD * scale * 0.18, back - side], close=True)
    return Ink(layer, (element("path", [("d", d), ("style", fill_style(kind_of(kind).colour))]),), kind)


def ring(layer: str, kind: str, at: complex, scale: float) -> Ink:
    """Draw a small white ring with a dot in its centre."""
    colour = kind_of(kind).colour

    def circle(radius: float, style: str) -> Node:
        place: list[tuple[str, str | None]] = [("cx", number(at.real, ROUGH)), ("cy", number(at.imag, ROUGH))]
        return element("circle", [*place, ("r", number(radius * scale, ROUGH)), ("style", style)])

    outer = stroke_style(kind_of(kind), scale).replace("fill:none", f"fill:{WHITE};fill-opacity:1")
    return Ink(layer, (circle(2.0, outer), circle(0.6, fill_style(colour))), kind)


def arrow(layer: str, start: complex, end: complex, scale: float, kind: str = AnnotationKind.ARROW) -> tuple[Ink, ...]:
    """Draw an arrow from where a point was to where it went; a very short way gets a smaller head."""
    size = abs(end - start)
    if size < 0.2 * scale:
        return ()
    way = (end - start) / size
    smaller = min(1.0, size / (HEAD * 1.6 * scale)) * scale
    shaft = end - way * HEAD * smaller * 0.8
    return straight(layer, kind, [start, shaft], scale), head(layer, kind, end, way, smaller, wide=1.6)


def dimension_line(
    layer: str, start: complex, end: complex, scale: float, gap: tuple[float, float] | None
) -> tuple[Ink, ...]:
    """Draw a thin line with heads at both ends, open between two distances from its start for its text."""
    size = abs(end - start)
    way = (end - start) / size
    parts = [(start, end)]
    if gap is not None:
        parts = [(start, start + way * max(gap[0], 0.0)), (start + way * min(gap[1], size), end)]
    lines = [straight(layer, "dimension", list(part), scale) for part in parts if abs(part[1] - part[0]) > 0.3 * scale]
    return (*lines, head(layer, "dimension", start, -way, scale), head(layer, "dimension", end, way, scale))


def cross(layer: str, kind: str | LineKind, at: complex, scale: float, data: Attributes = ()) -> Ink:
    """Draw a small slanting cross."""
    arm = 1.6 * scale
    d = line_data(*([at - arm * way, at + arm * way] for way in (1 + 1j, 1 - 1j)))
    return Ink(
        layer,
        (element("path", [("d", d), ("style", stroke_style(kind_of(kind), scale, solid=True)), *data]),),
        name_of(kind),
    )
