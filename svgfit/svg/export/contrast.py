"""Lines and writing that a black-and-white printer would lose: printed darker, in their own hue, and wide enough.

Only for print, and only what is too pale or too thin; everything else stays as it was drawn. How dark and how wide is
enough is in svgfit.rules.paper: a laser printer breaks a light line up into dots, and skips a hair line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib import import_module
from typing import Any

from msgspec import Struct

from svgfit.model.dialect import Element
from svgfit.rules.paper import FINEST_LINE, HIGHLIGHTER, PALEST
from svgfit.svg import styles
from svgfit.svg.line_style import in_user_units
from svgfit.svg.reader import Placed
from svgfit.svg.styles import Sheet

_WHITE = 0.98
"""What is lighter is white, meant not to be seen or to hide what lies beneath."""

Colour = tuple[float, float, float]
_BLACK: Colour = (0.0, 0.0, 0.0)


def make_printable(root: Element, placed: Iterable[Placed], mm_per_user_unit: float, sheet: Sheet | None) -> int:
    """Change the elements behind what is to be printed, in place; give how many had to be changed.

    ``root`` is theirs; it is only to be printed from afterwards. ``sheet`` is what ``paint_sheet`` found.
    """
    changed: set[Element] = set()
    for each in placed:
        painted = _Painted(each.item.element, each.item.owner, sheet)
        if each.texts:
            fresh = [part.darken("fill") for part in painted.written()]
        else:
            fresh = [_line(each, painted, mm_per_user_unit), _is_mark(each, painted) and painted.darken("fill")]
        if any(fresh):
            changed.add(each.item.element)
    for marker in root.iter("{*}marker"):
        for element in marker.iterdescendants("*"):
            painted = _Painted(element, element, sheet)
            painted.darken("stroke")
            painted.darken("fill")
    return len(changed)


def _line(each: Placed, painted: _Painted, mm_per_user_unit: float) -> bool:
    """Make the stroke of one shape dark and wide enough; tell whether it had to be changed."""
    colour, alpha = painted.paint("stroke"), painted.alpha("stroke")
    if colour is None or alpha <= 0:
        return False
    fixed = styles.value(painted.element, "vector-effect", painted.sheet) == "non-scaling-stroke"
    scale = mm_per_user_unit * (1.0 if fixed else each.item.matrix.size)
    width = in_user_units(each.item, painted.inherited("stroke-width") or "1", 1.0) * scale
    if width <= 0 or (alpha < 1 and width > HIGHLIGHTER):
        return False
    changed = painted.darken("stroke")
    if width < FINEST_LINE and luminance(colour) <= _WHITE and not painted.is_fixed("stroke-width"):
        painted.set({"stroke-width": f"{FINEST_LINE / scale:.6g}"})
        return True
    return changed


def _is_mark(each: Placed, painted: _Painted) -> bool:
    """Tell whether a shape is a line or a mark made by filling it: thin, and without a stroke of its own."""
    if each.shape is None or painted.paint("stroke") is not None or not painted.is_pale("fill"):
        return False
    around = [curve for curve in each.shape.curves if curve.is_closed(1e-3)]
    long = sum(curve.length(1e-2) for curve in around)
    return long > 0 and 2 * abs(sum(curve.area() for curve in around)) / long < HIGHLIGHTER


class _Painted(Struct, frozen=True):
    """An element and what styles say of its painting; ``owner``: the ``use`` that shows it, or itself."""

    element: Element
    owner: Element
    sheet: Sheet | None

    def written(self) -> Iterator[_Painted]:
        """Iterate over a text and the parts of it that have a fill of their own."""
        yield self
        for part in self.element.iterdescendants("*"):
            if styles.value(part, "fill", self.sheet) is not None:
                yield _Painted(part, self.owner, self.sheet)

    def inherited(self, name: str) -> str | None:
        """Look up an inherited property."""
        found = styles.inherited(self.element, name, self.sheet)
        return found if found is not None else styles.inherited(self.owner, name, self.sheet)

    def paint(self, what: str) -> Colour | None:
        """Read the colour of a ``stroke`` or a ``fill``; None for none, and for what is no plain colour."""
        text = self.inherited(what) or ("black" if what == "fill" else "none")
        if text.casefold() == "currentcolor":
            text = self.inherited("color") or "black"
        return _colour(text)

    def alpha(self, what: str) -> float:
        """Compute how opaque a paint is, with all that it lies in."""
        alpha = _share(self.inherited(f"{what}-opacity"))
        above: set[Element] = set()
        for start in (self.element, self.owner):
            at: Element | None = start
            while at is not None and at not in above:
                alpha *= _share(styles.value(at, "opacity", self.sheet))
                above.add(at)
                at = at.getparent()
        return alpha

    def is_fixed(self, name: str) -> bool:
        """Tell whether a sheet's ``!important`` decides: a typesetter puts that over the element's own style."""
        declared = self.sheet.declarations.get(self.element) if self.sheet is not None else None
        return declared is not None and name in declared.important

    def is_pale(self, what: str) -> bool:
        """Tell whether a paint would be lost; white is not meant to be seen."""
        colour, alpha = self.paint(what), self.alpha(what)
        if self.is_fixed(what):
            return False
        seen = colour is not None and alpha > 0 and luminance(colour) <= _WHITE
        return seen and colour is not None and _printed(colour, alpha) > PALEST + 1e-3

    def darken(self, what: str) -> bool:
        """Set a pale paint so that it comes out dark enough; tell whether it was pale."""
        colour, alpha = self.paint(what), self.alpha(what)
        if colour is None or not self.is_pale(what):
            return False
        more: dict[str, str] = {}
        if _printed(_BLACK, alpha) > PALEST:  # so faint that even black would be lost
            more[f"{what}-opacity"] = "1"
            alpha /= _share(self.inherited(f"{what}-opacity")) or 1.0
        low, high = 0.0, 1.0
        for _ in range(20):
            middle = (low + high) / 2
            low, high = (middle, high) if _printed(_dimmed(colour, middle), alpha) <= PALEST else (low, middle)
        dark = "".join(f"{int(part * 255):02x}" for part in _dimmed(colour, low))
        self.set({what: f"#{dark}", **more})
        return True

    def set(self, declared: dict[str, str]) -> None:
        """Put declarations into the element's ``style``, before whatever a sheet says."""
        kept = {**styles.declarations(self.element.get("style") or ""), **declared}
        texts = (f"{name}:{text} !important" if name in declared else f"{name}:{text}" for name, text in kept.items())
        self.element.set("style", ";".join(texts))


# -- colours -----------------------------------------------------------------------------------------------------------


def _colour(text: str) -> Colour | None:
    if text.casefold() in ("none", "transparent"):
        return None
    found: Any = import_module("tinycss2.color3").parse_color(text)
    if found is None or isinstance(found, str) or found.alpha <= 0:
        return None
    red, green, blue = (min(max(part, 0.0), 1.0) for part in found[:3])
    return red, green, blue


def _share(text: str | None) -> float:
    """Read a number of 0 to 1, or a percentage; 1 for what is neither."""
    try:
        value = float(text.rstrip("% ")) / (100.0 if text.rstrip().endswith("%") else 1.0) if text else 1.0
    except ValueError:
        return 1.0
    return min(max(value, 0.0), 1.0)


def luminance(colour: Colour) -> float:
    """Compute the relative luminance of an sRGB colour (WCAG 2.1, "relative luminance")."""
    red, green, blue = map(_linear, colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _printed(colour: Colour, alpha: float) -> float:
    """Compute the luminance of a colour where it lies on white paper."""
    red, green, blue = (1 - (1 - part) * alpha for part in colour)
    return luminance((red, green, blue))


def _dimmed(colour: Colour, by: float) -> Colour:
    """Dim a colour to so much of its light, in the same hue."""
    red, green, blue = (_coded(_linear(part) * by) for part in colour)
    return red, green, blue


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _coded(light: float) -> float:
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
