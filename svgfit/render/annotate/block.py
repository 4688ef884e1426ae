"""Blocks of writing for the page (tables, lists, legend) as records, and how they are drawn. In mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.line_kind import BLACK, WHITE, LineKind, Symbol
from svgfit.model.wording import fill_lines
from svgfit.render.annotate import svg_shapes
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.labels import leader
from svgfit.render.annotate.line_kinds import fill_style, kind_of, stroke_style
from svgfit.render.annotate.scene import MEASUREMENTS
from svgfit.render.text_metrics import ASCENT, letters, text_width
from svgfit.svg.markup import ROUGH, Node, element, line_data, number, serialise

ROW = 1.55
"""Height of a table row, in font sizes."""
SWATCH = 22.0
"""Length of a legend's sample, full size, mm."""


class Written(Struct, frozen=True):
    """A piece of writing: its baseline's point, seen from the block's origin."""

    text: str
    at: complex
    anchor: str = "start"
    bold: bool = False


class Rule(Struct, frozen=True):
    """A level line across the block."""

    y: float
    weight: float


class Swatch(Struct, frozen=True):
    """A sample of a line kind."""

    kind: LineKind
    at: complex


class Stroke(Struct, frozen=True):
    """A line drawn within the block: points from one to the next, in the named line kind."""

    kind: str
    points: tuple[complex, ...]


class Block(Struct, frozen=True):
    """A block: its width and height in mm and its content, placed from its own top left."""

    width: float
    height: float
    size: float
    writing: tuple[Written, ...] = ()
    rules: tuple[Rule, ...] = ()
    swatches: tuple[Swatch, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    title: str = ""
    inside: tuple[str, ...] = ()
    """Titles of pieces within which it may stand if the page has no room."""


# -- tables and lists --------------------------------------------------------------------------------------------------


def column_widths(cells: Sequence[Sequence[str]], size: float) -> list[float]:
    """Measure the columns of a table, the first row of which is bold."""
    return [max(text_width(line[k], size, bold=not n) for n, line in enumerate(cells)) for k in range(len(cells[0]))]


def table_block(
    title: str,
    cells: Sequence[Sequence[str]],
    rights: Sequence[float],
    size: float,
    *,
    indents: Sequence[float] | None = None,
    narrow: bool = False,
    inside: tuple[str, ...] = (),
) -> Block:
    """Lay out a table: a bold row of heads, then a name and its figures in each row, figures ending at ``rights``.

    ``indents`` are those of the names; ``narrow``: each name stands on a line by itself, above its figures.
    """
    writing: list[Written] = []
    y = size * ASCENT
    for n, line in enumerate(cells):
        if n:
            y += size * (ROW + (0.5 if n == 1 else 0.4 if narrow else 0.0))
        writing.append(Written(line[0], complex(indents[n] if indents else 0.0, y), bold=not n))
        if n and narrow:
            y += size * 1.15
        writing += [
            Written(text, complex(rights[k], y), "end", bold=not n) for k, text in enumerate(line) if k and text
        ]
    height = y + size * (ROW - ASCENT)
    rules = (Rule(size * 1.28, 0.35), Rule(height, 0.6), Rule(-size * 0.35, 0.6))
    return Block(rights[-1], height, size, tuple(writing), rules, title=title, inside=inside)


def list_rules(size: float) -> tuple[Rule, ...]:
    """Rule over and under the title of a block that is no table."""
    return Rule(size * 1.28, 0.35), Rule(-size * 0.35, 0.6)


def wrap(text: str, width: float, size: float) -> list[str]:
    """Break a text into lines no wider than ``width`` mm, broken at spaces (a word that is wider stands alone)."""
    return fill_lines(text, lambda line: text_width(line, size) <= width) or [""]


# -- drawing -----------------------------------------------------------------------------------------------------------


def draw(block: Block, origin: complex, width: float, scale: float) -> tuple[Ink, ...]:
    """Draw the block at its place, on white, its rules ``width`` mm long."""
    edge = block.size * 0.5
    back = element(
        "rect",
        [
            ("x", number(origin.real - edge, ROUGH)),
            ("y", number(origin.imag - edge, ROUGH)),
            ("width", number(width + 2 * edge, ROUGH)),
            ("height", number(block.height + 2 * edge, ROUGH)),
            ("style", fill_style(WHITE)),
        ],
    )
    ink = [Ink(MEASUREMENTS, (back,))]
    for rule in block.rules:
        style = f"fill:none;stroke:{BLACK};stroke-width:{number(rule.weight * scale, ROUGH)};stroke-dasharray:none"
        ends = [origin + 1j * rule.y, origin + width + 1j * rule.y]
        ink.append(Ink(MEASUREMENTS, (element("path", [("d", line_data(ends)), ("style", style)]),)))
    for kind in dict.fromkeys(stroke.kind for stroke in block.strokes):  # one path a kind: many strokes are shading
        d = line_data(*([origin + at for at in one.points] for one in block.strokes if one.kind == kind))
        style = stroke_style(kind_of(kind), scale)
        ink.append(Ink(MEASUREMENTS, (element("path", [("d", d), ("style", style)]),)))
    for swatch in block.swatches:
        ink.extend(_sample(swatch.kind, origin + swatch.at, scale))
    for line in block.writing:
        nodes = letters(line.text, origin + line.at, block.size, anchor=line.anchor, bold=line.bold, halo=False)
        ink.append(Ink(MEASUREMENTS, nodes))
    return tuple(ink)


def _sample(kind: LineKind, at: complex, scale: float) -> Iterable[Ink]:
    """Draw what the kind looks like, on ``SWATCH`` mm."""
    end = at + SWATCH * scale
    if kind.symbol == Symbol.ARROW:
        return svg_shapes.arrow(MEASUREMENTS, at, end, scale, kind.name)
    if kind.symbol == Symbol.DIMENSION:
        return svg_shapes.dimension_line(MEASUREMENTS, at, end, scale, None)
    if kind.symbol == Symbol.RING:
        return (svg_shapes.ring(MEASUREMENTS, kind.name, (at + end) / 2, scale),)
    if kind.symbol == Symbol.LEADER:
        return leader(MEASUREMENTS, at + scale, end, scale)
    if kind.symbol == Symbol.TICK:
        middle = (at + end) / 2
        tick = svg_shapes.straight(MEASUREMENTS, kind.name, [middle - 2.6j * scale, middle + 2.6j * scale], scale)
        return tick, svg_shapes.straight(
            MEASUREMENTS, "leader", [at + 4 * scale + 2j * scale, end - 4 * scale + 2j * scale], scale
        )
    line = svg_shapes.straight(MEASUREMENTS, kind, [at, end], scale)
    if kind.symbol == Symbol.DOUBLE_ARROW:
        heads = [
            svg_shapes.head(MEASUREMENTS, kind.name, tip, way, scale * 1.4)
            for tip, way in ((at, -1 + 0j), (end, 1 + 0j))
        ]
        return (line, *heads)
    return (line,)


def document(body: Iterable[Node], width: float, height: float, *, per_mm: int | None = None) -> str:
    """Write an SVG, ``width`` by ``height`` mm, of nodes in mm; ``per_mm``: it asks for so many pixels instead."""
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
    """Count the whole pixels of a picture."""
    return round(width * per_mm), round(height * per_mm)


def block_document(block: Block, edge: complex, scale: float, *, per_mm: int | None = None) -> tuple[str, float, float]:
    """Write a block with ``edge`` mm of white left and right, over and under it: its SVG, and width and height in mm.

    ``scale``: how fine its lines are, as in ``draw``.
    """
    width, height = block.width + 2 * edge.real, block.height + 2 * edge.imag
    body = [node for mark in draw(block, edge, block.width, scale) for node in mark.nodes]
    return document(body, width, height, per_mm=per_mm), width, height
