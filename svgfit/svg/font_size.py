"""Font size and line height as far as lengths need them (https://www.w3.org/TR/css-fonts-4/#font-size-prop)."""

from __future__ import annotations

from svgfit.model.dialect import Element
from svgfit.svg import styles
from svgfit.svg.styles import Sheet
from svgfit.svg.units import SvgLength, read_length

MEDIUM = 16.0
# CSS 2.1, section 15.7 gives the keywords; the sizes are those that browsers use.
_KEYWORDS = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": MEDIUM,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
}
_DEEPEST = 256


def font_size(element: Element, sheet: Sheet | None = None, page: tuple[float, float] = (0.0, 0.0)) -> float:
    """Compute an element's font size in user units; relative sizes are followed up to what they refer to.

    What cannot be read counts as not said. ``page`` in user units, for sizes in parts of it.
    """
    factor = 1.0
    at: Element | None = element
    for _ in range(_DEEPEST):
        if at is None:
            break
        text = (styles.value(at, "font-size", sheet) or "inherit").lower()
        above = at.getparent()
        if text in styles.INHERITING:
            pass
        elif text in _KEYWORDS or text == "initial":
            return factor * _KEYWORDS.get(text, MEDIUM)
        elif text in ("smaller", "larger"):
            factor *= 1.2 if text == "larger" else 1 / 1.2
        else:
            try:
                length = _not_negative(text)
                if length.unit == "rem":
                    root = at.getroottree().getroot()
                    return factor * length.value * (MEDIUM if at is root else font_size(root, sheet, page))
                if length.unit in _OF_THE_FONT:
                    factor *= length.user_units(1.0, 1.0)
                else:
                    return factor * length.user_units(0.0, page=page)
            except ValueError:
                pass
        at = above
    return factor * MEDIUM


def _not_negative(text: str) -> SvgLength:
    """Read a length; raises ValueError for a negative one too, which sizes of letters and lines can't be.

    https://www.w3.org/TR/css-fonts-4/#font-size-prop: negative lengths are invalid, and so not said.
    """
    length = read_length(text)
    if length.value < 0:
        raise ValueError(text)
    return length


_OF_THE_FONT = frozenset({"%", "em", "ex", "ch", "ic"})


def line_height(element: Element, sheet: Sheet | None = None, page: tuple[float, float] = (0.0, 0.0)) -> float:
    """Compute the line height in user units; raises ValueError for ``normal``, which only the font knows."""
    at: Element | None = element
    while at is not None:
        text = (styles.value(at, "line-height", sheet) or "inherit").lower()
        if text not in styles.INHERITING:
            length = _not_negative(text)
            if length.unit == "":
                return length.value * font_size(element, sheet, page)
            size = font_size(at, sheet, page)
            return length.user_units(size, size, page)
        at = at.getparent()
    raise ValueError("normal")
