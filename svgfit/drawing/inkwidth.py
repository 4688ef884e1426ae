"""How far the ink of an element reaches beyond its lines: rather more than less, for finding the paper it needs."""

from __future__ import annotations

import re

from msgspec import Struct

from svgfit.drawing import styles
from svgfit.drawing.pathdata import Broken, PathError
from svgfit.drawing.walk import Item
from svgfit.model.dialect import Element

_UNSEEN = frozenset({"none", "transparent", "white", "#fff", "#ffffff", "rgb(255,255,255)", "rgb(100%,100%,100%)"})
_NOTHING = frozenset({"0", "0.0", "0%"})
_MITRE = 4.0
"""A sharp corner's point reaches so many half widths, as far as programs let it by themselves
(https://www.w3.org/TR/SVG2/painting.html#StrokeMiterlimitProperty)."""
_MARKERS = ("marker", "marker-start", "marker-mid", "marker-end")


class Reach(Struct, frozen=True):
    """What an element's painting adds to its lines."""

    radius: float
    """How far ink reaches from the lines, mm; 0 where they are not painted."""
    stroked: bool
    filled: bool
    """White counts as no ink."""


def reach(item: Item, mm_per_user_unit: float) -> Reach:
    """The reach of one shape's ink. Never refuses: what cannot be read counts as SVG's own default."""
    stroke, fill = _said(item, "stroke") or "none", _said(item, "fill") or "black"
    stroked = not _is_unseen(stroke) and _said(item, "stroke-opacity") not in _NOTHING
    filled = not _is_unseen(fill) and _said(item, "fill-opacity") not in _NOTHING
    scale = item.matrix.size * mm_per_user_unit
    width = _length(item, _said(item, "stroke-width") or "1", 1.0) * scale
    radius = 0.0
    if stroked:
        round_off = (_said(item, "stroke-linejoin") or "miter") in ("round", "bevel")
        radius = width / 2 * (1.5 if round_off else _MITRE)
    radius = max([radius, *(_marker(item, name, width, scale) for name in _MARKERS)])
    return Reach(radius, stroked or radius > 0, filled)


class Dash(Struct, frozen=True):
    """How a line is drawn."""

    width: float
    """mm, to a hundredth."""
    lengths: tuple[float, ...]
    """Lengths of dashes and gaps in turn, mm, to a hundredth; () for a line without gaps."""


def dash(item: Item, mm_per_user_unit: float) -> Dash:
    """A shape's weight and dashes. Never refuses: what cannot be read counts as SVG's own default."""
    scale = item.matrix.size * mm_per_user_unit
    width = round(_length(item, _said(item, "stroke-width") or "1", 1.0) * scale, 2)
    parts = (_said(item, "stroke-dasharray") or "none").replace(",", " ").split()
    lengths = () if parts == ["none"] else tuple(round(_length(item, part, 0.0) * scale, 2) for part in parts)
    if len(lengths) % 2:  # an odd row is gone through twice: https://www.w3.org/TR/SVG2/painting.html#StrokeDashing
        lengths = lengths * 2
    return Dash(width, lengths if sum(lengths) > 0 else ())


def _said(item: Item, name: str) -> str | None:
    found = styles.inherited(item.element, name, item.frame.sheet)
    if found is None and item.owner is not item.element:
        found = styles.inherited(item.owner, name, item.frame.sheet)
    return found.strip().casefold() if found else None


def _is_unseen(paint: str) -> bool:
    return paint.replace(" ", "") in _UNSEEN


def _length(item: Item, text: str, default: float) -> float:
    try:
        return abs(item.frame.length(text, "stroke-width", item.element))
    except (Broken, PathError):
        return default


def _marker(item: Item, name: str, width: float, scale: float) -> float:
    """How far an arrowhead or another marker reaches: twice its own box, whatever its point of reference."""
    said = styles.inherited(item.element, name, item.frame.sheet)
    found = re.search(r"#([^)'\"]+)", said) if said and "url(" in said else None
    marker = _by_id(item.element, found[1]) if found else None
    if marker is None:
        return 0.0
    unit = scale if marker.get("markerUnits") == "userSpaceOnUse" else width
    sides = [_length(item, marker.get(side) or "3", 3.0) for side in ("markerWidth", "markerHeight")]
    return 2 * max(sides) * unit


def _by_id(element: Element, name: str) -> Element | None:
    root = element.getroottree().getroot()
    return next(iter(root.xpath("//*[@id=$name]", name=name)), None)
