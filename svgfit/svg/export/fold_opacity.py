"""An opacity of one line or one filled shape, said as that of its stroke or fill.

It looks the same: one paint has nothing of the shape's own beneath it. But ``opacity`` makes renderers draw each such
shape on a sheet of its own, as large as the shape, which for long lines takes a hundred times as long.
"""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.path_data import read_path
from svgfit.svg.shapes import SHAPES
from svgfit.svg.styles import Sheet
from svgfit.svg.tree import XLINK_HREF

_MARKERS = ("marker", "marker-start", "marker-mid", "marker-end")
_ELSEWHERE = frozenset({"defs", "symbol", "marker", "pattern", "mask", "clipPath"})
_ROUNDING = 1e-12
_BLENDS = ("mix-blend-mode", "paint-order")


def fold_opacity(root: Element, sheet: Sheet | None) -> None:
    """Fold the opacity of every shape that has one paint alone into that, in place; ``root`` is a copy.

    Shapes that something else shows are left: what they inherit depends on where. ``sheet``: what style sheets say
    of opacities and paints.
    """
    addresses = (element.get("href") or element.get(XLINK_HREF) or "" for element in root.iter("*"))
    named = {address.strip()[1:] for address in addresses if address.strip()[1:]}
    for element in root.iter("*"):
        if _kind(element) not in SHAPES or "!" in (element.get("style") or ""):
            continue
        opacity = _share(styles.value(element, "opacity", sheet))
        if opacity is None or opacity >= 1:
            continue
        declared = sheet.declarations.get(element) if sheet is not None else None
        if (declared is not None and declared.important) or _is_elsewhere(element, named):
            continue
        paint = _only_paint(element, sheet)
        own = _share(styles.inherited(element, f"{paint}-opacity", sheet) or "1") if paint else None
        if own is None:
            continue
        kept = styles.declarations(element.get("style") or "")
        kept.update({"opacity": "1", f"{paint}-opacity": f"{own * opacity:.6g}"})
        element.set("style", ";".join(f"{name}:{text}" for name, text in kept.items()))


def _only_paint(element: Element, sheet: Sheet | None) -> str:
    """Return ``fill`` or ``stroke`` where that is all that is painted of a shape; "" where it is not, or not known."""
    if any((styles.inherited(element, name, sheet) or "none") != "none" for name in _MARKERS):
        return ""
    if any(name in (element.get("style") or "") for name in _BLENDS):
        return ""
    filled = (styles.inherited(element, "fill", sheet) or "black").casefold() != "none"
    stroked = (styles.inherited(element, "stroke", sheet) or "none").casefold() != "none"
    if filled and stroked and _is_straight(element):
        return "stroke"
    return "" if filled == stroked else "fill" if filled else "stroke"


def _is_straight(element: Element) -> bool:
    """Tell whether a shape is nothing but straight lines from one point to another, with nothing to fill."""
    if _kind(element) == "line":
        return True
    if _kind(element) != "path" or "d:" in (element.get("style") or "").replace(" ", ""):
        return False
    try:
        subpaths = read_path(element.get("d") or "", 1.0, 0.0)
    except ValueError:
        return False
    return all(_is_on_a_line(subpath.points) for subpath in subpaths)


def _is_on_a_line(points: Sequence[complex]) -> bool:
    ways = [point - points[0] for point in points]
    longest = max(ways, key=abs)
    return all(abs((way * longest.conjugate()).imag) <= _ROUNDING * abs(longest) ** 2 for way in ways)


def _is_elsewhere(element: Element, named: set[str]) -> bool:
    """Tell whether a shape is, or may be, shown at another place than where it stands."""
    at: Element | None = element
    while at is not None:
        if _kind(at) in _ELSEWHERE or (at.get("id") or "") in named:
            return True
        at = at.getparent()
    return False


def _share(text: str | None) -> float | None:
    """Read a number of 0 to 1, or a percentage; None for what is neither."""
    try:
        value = float(text.rstrip("% ")) / (100.0 if text.rstrip().endswith("%") else 1.0) if text else None
    except ValueError:
        return None
    return value if value is not None and 0 <= value <= 1 else None


def _kind(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]
