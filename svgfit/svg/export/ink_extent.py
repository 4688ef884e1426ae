"""How far the ink of an element reaches beyond its lines: rather more than less, for finding the paper it needs."""

from __future__ import annotations

import re

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.line_style import in_user_units
from svgfit.svg.reader import FARTHEST
from svgfit.svg.styles import Sheet
from svgfit.svg.stylesheet import read_sheet
from svgfit.svg.traverse import Item

_UNSEEN = frozenset({"none", "transparent", "white", "#fff", "#ffffff", "rgb(255,255,255)", "rgb(100%,100%,100%)"})
_NOTHING = frozenset({"0", "0.0", "0%"})
_MITRE = 4.0
"""A sharp corner's point reaches so many half widths, as far as programs let it by themselves
(https://www.w3.org/TR/SVG2/painting.html#StrokeMiterlimitProperty)."""
_MARKERS = ("marker", "marker-start", "marker-mid", "marker-end")
_PAINT = frozenset(
    {
        *(
            "stroke",
            "stroke-width",
            "stroke-opacity",
            "stroke-linejoin",
            "stroke-dasharray",
            "vector-effect",
            *_MARKERS,
        ),
        *("fill", "fill-opacity", "opacity", "color"),
    }
)


class Reach(Struct, frozen=True):
    """What an element's painting adds to its lines."""

    radius: float
    """How far ink reaches from the lines, mm; 0 where they are not painted."""
    stroked: bool
    filled: bool
    """White counts as no ink."""


def paint_sheet(file: str, root: Element) -> Sheet | None:
    """Read what style sheets say of painting: of that nothing else asks. Raises Refusal as ``read_sheet``."""
    return read_sheet(file, root, _PAINT)


def reach(item: Item, mm_per_user_unit: float, sheet: Sheet | None) -> Reach:
    """Measure the reach of one shape's ink. Never refuses: what cannot be read counts as SVG's own default.

    ``sheet`` is what ``paint_sheet`` found.
    """

    def inherited(name: str) -> str | None:
        return _inherited(item, name, sheet)

    stroke, fill = inherited("stroke") or "none", inherited("fill") or "black"
    stroked = not _is_unseen(stroke) and inherited("stroke-opacity") not in _NOTHING
    filled = not _is_unseen(fill) and inherited("fill-opacity") not in _NOTHING
    scale = item.matrix.size * mm_per_user_unit
    width = in_user_units(item, inherited("stroke-width") or "1", 1.0) * scale
    radius = 0.0
    if stroked:
        round_off = (inherited("stroke-linejoin") or "miter") in ("round", "bevel")
        radius = width / 2 * (1.5 if round_off else _MITRE)
    radius = max([radius, *(_marker(item, inherited(name), width, scale) for name in _MARKERS)])
    radius = radius if radius < FARTHEST else FARTHEST  # so also where it is no number
    return Reach(radius, stroked or radius > 0, filled)


def _inherited(item: Item, name: str, sheet: Sheet | None) -> str | None:
    found = styles.inherited(item.element, name, sheet)
    if found is None and item.owner is not item.element:
        found = styles.inherited(item.owner, name, sheet)
    return found.strip().casefold() if found else None


def _is_unseen(paint: str) -> bool:
    return paint.replace(" ", "") in _UNSEEN


def _marker(item: Item, address: str | None, width: float, scale: float) -> float:
    """Measure how far a marker reaches: twice its own box, whatever its point of reference."""
    found = re.search(r"#([^)'\"]+)", address) if address and "url(" in address else None
    marker = _by_id(item.element, found[1]) if found else None
    if marker is None:
        return 0.0
    unit = scale if marker.get("markerUnits") == "userSpaceOnUse" else width
    sides = [in_user_units(item, marker.get(side) or "3", 3.0) for side in ("markerWidth", "markerHeight")]
    return 2 * max(sides) * unit


def _by_id(element: Element, name: str) -> Element | None:
    root = element.getroottree().getroot()
    return next(iter(root.xpath("//*[@id=$name]", name=name)), None)
