"""How a page is drawn: the size of letters, and each kind of line as properties of an element.

Weights and dashes are millimetres on a full-size pattern; ``scale`` makes them finer for a small one.
"""

from __future__ import annotations

from msgspec import Struct

from svgfit.model.length import Units
from svgfit.model.line_kind import KINDS, WITHIN_BLOCKS, LineKind
from svgfit.model.vocabulary import AnnotationKind
from svgfit.rules.lettering import FULL_SIZE
from svgfit.svg.markup import number


class PageStyle(Struct, frozen=True):
    """How a page is drawn, and in which unit lengths are written on it."""

    size: float
    """Font size, mm."""
    scale: float = 1.0
    """Of weights, dashes and heads; 1 on a full-size pattern."""
    units: Units = Units()

    @classmethod
    def of_letters(cls, size: float, units: Units) -> PageStyle:
        """Make lines as fine as the letters are small."""
        return cls(size, size / FULL_SIZE, units)

    def with_size(self, size: float) -> PageStyle:
        """Give the same style with other letters and the same lines."""
        return PageStyle(size, self.scale, self.units)


_BY_NAME = {kind.name: kind for kind in (*KINDS, *WITHIN_BLOCKS)}


def kind_of(kind: str | LineKind) -> LineKind:
    """Find the kind of that name; an unknown name is drawn as a construction line, a plug-in's own kind is itself."""
    return kind if isinstance(kind, LineKind) else _BY_NAME.get(kind, _BY_NAME[AnnotationKind.CONSTRUCTION])


def name_of(kind: str | LineKind) -> str:
    """Name a kind, as the legend looks it up."""
    return kind.name if isinstance(kind, LineKind) else kind


def stroke_style(kind: LineKind, scale: float, *, ends: str | None = None, solid: bool = False) -> str:
    """Say every property that a program's own default or the drawing's style sheet could otherwise change."""
    dash = "none" if solid or not kind.dash else ",".join(number(part * scale, 3) for part in kind.dash)
    return (
        f"fill:none;stroke:{kind.colour};stroke-width:{number(kind.width * scale, 3)};stroke-dasharray:{dash};"
        f"stroke-linecap:{ends or kind.cap};stroke-linejoin:round;stroke-opacity:1;opacity:1"
    )


def fill_style(colour: str) -> str:
    """Fill a shape without an outline."""
    return f"fill:{colour};fill-opacity:1;stroke:none;opacity:1"
