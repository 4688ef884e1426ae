"""Lengths in SVG attributes.

The table is that of CSS Values and Units 3, section 6.2 (https://www.w3.org/TR/css-values-3/#absolute-lengths):
1in = 96px = 2.54cm = 25.4mm = 72pt = 6pc, 1Q = 1/40 cm. Everything is kept as exact fractions until the last step.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec import Struct

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*(%|[A-Za-z]*)\s*")

# Millimetres in a unit, as numerator and denominator.
_MM = {
    "mm": (1, 1),
    "cm": (10, 1),
    "q": (1, 4),
    "in": (254, 10),
    "pt": (254, 720),
    "pc": (254, 60),
    "px": (254, 960),
    "": (254, 960),
}
PAGE: dict[str, Callable[[tuple[float, float]], float]] = {
    "vw": lambda page: page[0],
    "vh": lambda page: page[1],
    "vi": lambda page: page[0],
    "vb": lambda page: page[1],
    "vmin": min,
    "vmax": max,
}
"""Units that are hundredths of something of the page (https://www.w3.org/TR/css-values-4/#viewport-relative-lengths)."""
_PARTS = frozenset({"%", "em", "rem", "ex", "rex", "ch", "rch", "ic", "ric", "cap", "rcap", "lh", "rlh"})
PHYSICAL = frozenset({"mm", "cm", "q", "in", "pt", "pc"})
"""Units that say a real size; ``px`` and plain numbers do not."""


class SvgLength(Struct, frozen=True):
    """A number and its unit, in lower case; "" for a plain number."""

    value: float
    unit: str

    @property
    def physical(self) -> bool:
        """Whether the unit says a real size."""
        return self.unit in PHYSICAL

    @property
    def absolute(self) -> bool:
        """Whether it stands for itself, without a viewport or a font."""
        return self.unit in _MM

    @property
    def relative(self) -> bool:
        """Whether it is a part of something else that is known by its name: the viewport, the font, the page."""
        return self.unit in PAGE or self.unit in _PARTS

    def mm(self) -> float:
        """Convert to millimetres, ``px`` taken as 1/96 in; only for absolute lengths.

        >>> read_length("50mm").mm(), read_length("2in").mm(), read_length("96px").mm(), read_length("72pt").mm()
        (50.0, 50.8, 25.4, 25.4)
        """
        over, under = _MM[self.unit]
        return self.value * over / under

    def user_units(self, percent_of: float, font_size: float = 16.0, page: tuple[float, float] = (0.0, 0.0)) -> float:
        """Convert to user units (CSS px), percentages of ``percent_of``.

        ``em`` and ``ic`` are of ``font_size``, ``ex`` and ``ch`` of half of it (what
        https://www.w3.org/TR/css-values-4/#font-relative-lengths gives where the font is not known), ``vw`` and the
        like of the ``page``'s width and height in CSS px, (0, 0) where it has none.

        Raises ValueError for a unit that is not known, or that refers to what is not known.
        """
        if self.unit in ("", "px"):
            return self.value
        if self.unit in _MM:
            over, under = _MM[self.unit]
            return self.value * over * 960 / (under * 254)
        if self.unit == "%":
            return self.value / 100 * percent_of
        if self.unit in ("em", "rem", "ic"):
            return self.value * font_size
        if self.unit in ("ex", "ch"):
            return self.value * font_size / 2
        if self.unit in PAGE and page[0] > 0 and page[1] > 0:
            return self.value / 100 * PAGE[self.unit](page)
        raise ValueError(f"{self.value:g}{self.unit}")


def read_length(text: str) -> SvgLength:
    """Parse a length as SVG attributes write it; raises ValueError for anything else.

    >>> read_length(" 12.5 mm")
    SvgLength(value=12.5, unit='mm')
    """
    found = _LENGTH.fullmatch(text)
    if not found:
        raise ValueError(text)
    return SvgLength(float(found[1]), found[2].lower())
