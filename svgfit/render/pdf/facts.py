"""What the teaching sheet's words about a step are made from, and what they come to."""

from __future__ import annotations

from msgspec import Struct

from svgfit.model.length import format_length
from svgfit.model.report import Opening, StepRow


class Words(Struct, frozen=True):
    """The words of one step."""

    title: str
    draw: str
    cut: str
    move: str
    true: str
    note: str = ""
    """What a class should know about it."""


class Facts(Struct, frozen=True):
    """What the words speak of."""

    row: StepRow
    openings: tuple[Opening, ...]
    where: str
    """How the slash runs, from the drawing: "level, 3 in above the bicep line"."""
    hinged: bool
    unit: str
    summary: str = ""
    """What the operation says of itself."""
    moved: tuple[float, ...] = ()
    """Lengths of its arrows, mm, with their sign."""
    aside: float = 0.0
    """How far the new edge lies beside the old at most, mm, where nothing was cut."""
    figures: tuple[str, ...] = ()
    """Names of the figures that the step changed, as the table under its pictures has them."""
    begins: str = ""
    """Where a redrawn edge leaves the old one: "at the notch, 4 in from the shoulder along the edge"."""
    lies: tuple[str, ...] = ()
    """On which sides of the old it lies there: "outside", "inside" or both."""


def length(mm: float, unit: str) -> str:
    """A figure for a caption."""
    return format_length(abs(mm), unit, decimal=False)
