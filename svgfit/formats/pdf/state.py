"""The graphics state of a content stream (ISO 32000-1, 8.4), and what a dash array comes to."""

from __future__ import annotations

from msgspec import Struct

from svgfit.formats.layered_svg import LineStyle
from svgfit.formats.pdf.fonts import UNKNOWN, Font
from svgfit.formats.pdf.records import EVERYWHERE
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box

HAIR = 0.05
"""Width, mm, at which a line of no width is drawn: as thin as the printer can."""


class Ink(Struct, frozen=True):
    """How lines look, in the user space's unit: what a form inherits."""

    stroke: str = "#000000"
    fill: str = "#000000"
    width: float = 1.0
    dash: tuple[float, ...] = ()
    offset: float = 0.0
    stroke_ink: bool = False
    """Whether the stroke's colour is one tint of an ink: the more, the darker."""
    fill_ink: bool = False


class TextState(Struct, frozen=True):
    """How texts are set (9.3)."""

    font: Font = UNKNOWN
    size: float = 0.0
    letter_gap: float = 0.0
    word_gap: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0


class State(Struct, frozen=True):
    """All that q keeps and Q brings back."""

    ctm: Affine
    ink: Ink = Ink()
    text: TextState = TextState()
    clip: Box = EVERYWHERE
    """In the content's frame."""

    def style(self, *, stroked: bool, filled: bool) -> LineStyle:
        """Return how a line drawn now looks, in the content's frame."""
        size, ink = self.ctm.size, self.ink
        return LineStyle(
            stroke=ink.stroke if stroked else None,
            width=ink.width * size,
            dash=tuple(part * size for part in ink.dash) if stroked else (),
            offset=ink.offset * size if stroked else 0.0,
            fill=ink.fill if filled else None,
        )


def dash_of(parts: tuple[float, ...], offset: float) -> tuple[tuple[float, ...], float]:
    """Return dashes and gaps in turn and where they begin; nothing for what comes to a solid line.

    >>> dash_of((3.0,), 0.0), dash_of((0.0, 0.0), 1.0), dash_of((3.0, 0.0), 0.0)
    (((3.0, 3.0), 0.0), ((), 0.0), ((), 0.0))
    """
    if any(part < 0 for part in parts) or not any(part > 0 for part in parts):
        return (), 0.0
    dashes = parts * 2 if len(parts) % 2 else parts
    return (dashes, offset) if any(dashes[1::2]) else ((), 0.0)
