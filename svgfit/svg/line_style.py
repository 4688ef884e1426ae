"""How lines are drawn: stroke colour, width and dashes, by attributes, ``style`` and style sheets."""

from __future__ import annotations

import re
from importlib import import_module
from typing import Any

from svgfit.model.dialect import Element
from svgfit.model.drawing import LineStyle
from svgfit.model.refusal import Refusal
from svgfit.svg import styles
from svgfit.svg.path_data import Broken, PathError
from svgfit.svg.source import Source
from svgfit.svg.styles import Sheet, may_have_sheet
from svgfit.svg.traverse import Item

_PROPERTIES = ("stroke", "stroke-width", "stroke-dasharray", "fill", "color")
_HEX = r"#([0-9a-f]{3}|[0-9a-f]{6})"


def style_sheet(source: Source, root: Element) -> Sheet | None:
    """Read what the drawing's style sheets say of lines; None where they say nothing, or too much to work out."""
    if not may_have_sheet(source.utf8):
        return None
    from svgfit.svg.stylesheet import read_sheet  # here because most drawings have none

    try:
        return read_sheet(source.file, root, frozenset(_PROPERTIES))
    except Refusal:  # how a line looks is no reason to refuse what can be read
        return None


class StyleReader:
    """Reader of the line styles of one drawing; what elements inherit is looked up once for each parent."""

    def __init__(self, sheet: Sheet | None, mm_per_user_unit: float) -> None:
        """Begin with nothing looked up. ``sheet``: as ``style_sheet`` gave it."""
        self._sheet = sheet
        self._per = mm_per_user_unit
        self._above: dict[tuple[Element, str], str | None] = {}
        self._colours: dict[str, str | None] = {}

    def read(self, item: Item) -> LineStyle:
        """Read a shape's style, lengths in mm to a hundredth. What can't be read counts as SVG's own default."""
        stroke = self._paint(item, self._inherited(item, "stroke") or "none")
        fill = self._paint(item, self._inherited(item, "fill") or "black")
        if stroke is None:
            return LineStyle(filled=fill is not None)
        scale = item.matrix.size * self._per
        width = round(in_user_units(item, self._inherited(item, "stroke-width") or "1", 1.0) * scale, 2)
        parts = (self._inherited(item, "stroke-dasharray") or "none").replace(",", " ").split()
        dash = () if parts == ["none"] else tuple(round(in_user_units(item, part, 0.0) * scale, 2) for part in parts)
        if len(dash) % 2:  # an odd row is gone through twice: https://www.w3.org/TR/SVG2/painting.html#StrokeDashing
            dash = dash * 2
        return LineStyle(stroke, width, dash if sum(dash) > 0 else (), fill is not None)

    def _inherited(self, item: Item, name: str) -> str | None:
        found = self._of(item.element, name)
        if found is None and item.owner is not item.element:
            found = self._of(item.owner, name)
        return found.strip().casefold() if found else None

    def _of(self, element: Element, name: str) -> str | None:
        own = styles.value(element, name, self._sheet)
        if own is not None and own.lower() not in styles.INHERITING:
            return own
        parent = element.getparent()
        if parent is None:
            return None
        key = (parent, name)
        if key not in self._above:
            self._above[key] = styles.inherited(parent, name, self._sheet)
        return self._above[key]

    def _paint(self, item: Item, text: str) -> str | None:
        """Give a paint as "#rrggbb"; None for none and for what is not seen; as it is written where it is no colour."""
        if text == "currentcolor":
            text = self._inherited(item, "color") or "black"
        if text not in self._colours:
            self._colours[text] = _colour(text)
        return self._colours[text]


def in_user_units(item: Item, text: str, default: float) -> float:
    """Read a width in the element's own units; ``default`` where it can't be read."""
    try:
        return abs(item.frame.length(text, "stroke-width", item.element))
    except (Broken, PathError):
        return default


def _colour(text: str) -> str | None:
    if text in ("none", "transparent"):
        return None
    if found := re.fullmatch(_HEX, text):
        return text if len(found[1]) == 6 else "#" + "".join(2 * letter for letter in found[1])
    if text == "black":
        return "#000000"
    parsed: Any = import_module("tinycss2.color3").parse_color(text)  # few drawings name their colours otherwise
    if parsed is None or isinstance(parsed, str):
        return text
    return (
        "#" + "".join(f"{round(255 * min(max(part, 0.0), 1.0)):02x}" for part in parsed[:3]) if parsed.alpha else None
    )
