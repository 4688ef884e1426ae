"""How much ease which kind of garment takes: common practice as data, to be set otherwise, never law. Lengths in mm.

Cap ease in inches: common practice, no source. The shares of the armhole and the bicep's wearing ease: from memory.
"""

from __future__ import annotations

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH
from svgfit.model.refusal import Refusal

GATHERED = 3 * MM_PER_INCH
"""From this much cap ease on a person is warned, unless the cap is to be gathered; common practice, no source."""
SHARE_BACK = (0.5, 0.6)
"""The back takes half to three fifths of the ease; common practice, no source."""


class Style(Struct, frozen=True):
    """What one kind of garment takes."""

    name: str
    cap: tuple[float, float]
    """Cap ease, least and most."""
    still: tuple[float, float] | None = None
    """Cap ease that is still no cause for a warning, where that is more than ``cap``."""
    share: tuple[float, float] | None = None
    """Cap ease as a part of the armhole, where practice names one."""
    bicep: tuple[float, float] | None = None
    """Wearing ease at the bicep, least and most; None where practice names none here."""

    def allows(self, ease: float) -> bool:
        """Whether a cap ease of that much is no cause for a warning (to 1/100 mm)."""
        low, high = self.still or self.cap
        return low - 0.01 <= ease <= high + 0.01


def _inches(low: float, high: float) -> tuple[float, float]:
    return low * MM_PER_INCH, high * MM_PER_INCH


STYLES: tuple[Style, ...] = (
    Style("flat-felled shirt", _inches(0, 0.25), still=_inches(-0.25, 0.25), bicep=_inches(3, 4)),
    Style("shirt", _inches(0, 1), share=(0.0, 0.02), bicep=_inches(3, 4)),
    Style("blouse", _inches(0.75, 1), share=(0.03, 0.05)),
    Style("fitted woven", _inches(1, 1.875), bicep=_inches(1.5, 2.5)),
    Style("tailored jacket", _inches(1, 1.5), still=_inches(1, 2.5), share=(0.05, 0.08)),
    Style("coat", _inches(2, 2), still=_inches(1.5, 2.5), bicep=_inches(4, 5)),
    Style("knit", _inches(0, 0.75), bicep=(-2 * MM_PER_INCH, 0.0)),
    Style("leather", _inches(0, 0.25)),
)


def find_style(name: str, styles: tuple[Style, ...] = STYLES) -> Style:
    """The style of that name (case, spaces and hyphens alike); refuses with the names there are."""
    for style in styles:
        if _plain(style.name) == _plain(name):
            return style
    raise Refusal("", f"there is no style {name!r}", f"choose one of: {', '.join(style.name for style in styles)}")


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
