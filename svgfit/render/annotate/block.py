"""A block of writing for the page, as a record: what stands in it and where, seen from its own top left. In mm."""

from __future__ import annotations

from msgspec import Struct

from svgfit.render.annotate.line_kinds import LineKind

ROW = 1.55
"""Height of a table row, in font sizes."""


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
    """A drawn line of the block's own: points from one to the next, in the named line kind."""

    kind: str
    points: tuple[complex, ...]


class Block(Struct, frozen=True):
    """Width and height in mm and what stands in it."""

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
