"""The person a pattern is to fit: measures and wishes. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

Range = tuple[float, float]
AS_DRAWN = "as drawn"
"""Where the armhole seam sits: where the pattern's shoulder ends."""


class Measure(Struct, frozen=True):
    """A body measure: its name, how it is taken, what svgfit uses it for."""

    name: str
    taken: str
    """How to take it, in one or two sentences."""
    used: str
    """What the advice does with it."""
    between: Range
    """Beyond these it is a slip of the pen; set wide by judgement, no source."""
    also: tuple[str, ...] = ()
    """Other names that people give it."""
    standard: str = ""
    """Its name in ISO 8559-1:2017, where that has it."""
    number: str = ""
    """Its number there, where a published list quotes it (the standard itself was not at hand)."""


class Person(Struct, frozen=True):
    """One person of a body sheet."""

    name: str
    where: str = ""
    """For messages: the sheet, and the line where it is known."""
    measures: Mapping[str, float] = field(default_factory=dict[str, float])
    """By the names of ``svgfit.rules.body_measures``."""
    style: str | None = None
    unit: str | None = None
    size: str | None = None
    bicep_ease: Range | None = None
    cap_ease: Range | None = None
    height_ease: Range | None = None
    depth_ease: Range | None = None
    back_ease: Range | None = None
    bust_ease: Range | None = None
    length_ease: Range | None = None
    """How much longer than from where the seam sits to the wrist a long sleeve is."""
    sits: float | str | None = None
    """How far beyond the shoulder tip the seam sits, or ``AS_DRAWN``; None: as the style says."""
    share_back: float | None = None
    choices: tuple[str, ...] = ()
    """Ways that the person picked, such as "bicep: height kept"."""


class BodySheet(Struct, frozen=True):
    """The content of a body sheet."""

    where: str
    people: tuple[Person, ...]
