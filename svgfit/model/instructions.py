"""How a person does a step with paper and scissors: the teaching words that stand beside each operation.

Plain words, figures put in. An operation without instructions gets general words that hold for every slash.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from svgfit.model.length import format_figure, format_length
from svgfit.model.report import Opening, StepRow
from svgfit.model.vocabulary import MeasureUnit


class Words(Struct, frozen=True, kw_only=True):
    """The words of one step on one piece; ``cut`` and ``move`` are "" where nothing is cut."""

    title: str
    """What the step is called: "Lengthen the sleeve"."""
    draw: str
    """How the line is drawn."""
    cut: str
    """How it is cut; "" where nothing is."""
    move: str
    """How the part is moved and taped; "" where nothing is cut."""
    true: str
    """How the edge is redrawn."""
    note: str = ""
    """What a class should know about it."""


class StepFacts(Struct, frozen=True):
    """What a step did to one piece, measured: what its words speak of. Lengths in mm."""

    row: StepRow
    """The step as the report has it: what was asked, what was got."""
    openings: tuple[Opening, ...]
    """The openings of this piece."""
    where: str
    """How the slash runs, from the drawing: "level, 3 in above the bicep line"."""
    hinged: bool
    """Whether the slash ends at a hinge."""
    unit: str
    """The person's: "in", "mm" or "cm"."""
    summary: str = ""
    """What the operation says of itself."""
    moved: tuple[float, ...] = ()
    """Lengths of its arrows, with their sign."""
    aside: float = 0.0
    """How far the new edge lies beside the old at most, where nothing was cut."""
    figures: tuple[str, ...] = ()
    """Names of the figures that the step changed, as the table under its pictures has them."""
    begins: str = ""
    """Where a redrawn edge leaves the old one: "at the notch, 4 in from the shoulder along the edge"."""
    lies: tuple[str, ...] = ()
    """On which sides of the old it lies there: "outside", "inside" or both."""

    def length(self, mm: float) -> str:
        """Write a length without its sign, in the person's unit: "3/8 in"."""
        return format_length(abs(mm), self.unit)

    def got(self, name: str) -> str:
        """Write a figure that the step got; "" where it has none of that name."""
        if name not in self.row.got:
            return ""
        value, measured_in = self.row.got[name], self.row.unit_of(name)
        return self.length(value) if measured_in == MeasureUnit.MM else format_figure(value, measured_in, self.unit)

    @property
    def amounts(self) -> str:
        """How far it opened or overlapped: "3/8 in", or front and back where they differ."""
        return " and ".join(dict.fromkeys(self.length(width) for width in self._widths()))

    @property
    def closes(self) -> bool:
        """Whether the parts overlap."""
        return sum(self._widths()) < 0

    def _widths(self) -> list[float]:
        return [opening.width for opening in self.openings] or list(self.moved)


class Instructions(Struct, frozen=True):
    """An operation's teaching words, and what its pictures need."""

    title: str = ""
    """What a step is called that has no pictures; "": the operation's name in words."""
    asked: Mapping[str, str | tuple[str, str]] = {}
    """How a parameter is asked in a sentence, "{}" for its value: by name (``amount``), or by name and value
    (``how=height``); two forms, the second for a value below nothing."""
    asked_first: tuple[str, str] = ("", "")
    """A parameter, and what is said first of all where it is not asked."""
    together: int = 1
    """So many of the first parts are said in one go, without commas."""
    words: Callable[[StepFacts], Words] | None = None
    """The words of a step on a piece, made from what came of it; must not print, read or write anything."""
    begins_on: str = ""
    """The edge of which it is marked and said where the new line leaves the old."""
    tells_farthest: bool = False
    """Whether the close-up says that the new edge lies farthest from the old there."""
    lists_notches: bool = False
    """Whether a table says how far each notch moves."""


THROUGH = "Cut along the line from edge to edge. Shaded: the part that moves."
HINGED = "Cut from the edge to the hinge, but not through it: leave a thread of paper. Shaded: what moves."
TAPE_OPEN = "Tape it down on paper laid beneath."
TAPE_OVER = "Tape it down where it lies."
TRUE = (
    "Redraw the edge smoothly across the step and through its middle: a little is added on one side, a little "
    "comes off on the other (dotted: as the paper lies)."
)


def slash_words(facts: StepFacts, title: str, move: str, note: str = "") -> Words:
    """Return the words of a step that cuts: how the line is drawn, cut, taped and trued, ``move`` being its own."""
    return Words(
        title=title,
        draw=f"Draw the line: {facts.where}." if facts.where else "Draw the line.",
        cut=HINGED if facts.hinged else THROUGH,
        move=f"{move} {TAPE_OVER if facts.closes else TAPE_OPEN}",
        true=TRUE,
        note=note,
    )


def general_words(facts: StepFacts) -> Words:
    """Return words for any operation, from what came of the step and what the operation says of itself."""
    title = facts.row.do.replace("-", " ").capitalize()
    if facts.openings and facts.where:
        way = "until it overlaps" if facts.closes else "until the cut opens"
        return slash_words(facts, title, f"Move the shaded part {way} by {facts.amounts}.", facts.summary)
    return Words(
        title=title, draw="As it was.", cut="", move="", true="As it is now (dotted: as it was).", note=facts.summary
    )
