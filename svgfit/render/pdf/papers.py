"""Papers: what a printer is loaded with, by name or by width and height."""

from __future__ import annotations

import re

from msgspec import Struct

from svgfit.model.length import MM_PER_INCH, Units, both_ways, parse_length
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import Unit
from svgfit.model.wording import closest
from svgfit.rules.paper import LEGAL

_WHERE = "--paper"
MM = Units(Unit.MM)
LARGEST = 5000.0
"""No paper is longer than this, mm: a page of a PDF ends at 200 in (ISO 32000-1, annex C.2)."""
SMALLEST = 50.0
"""… nor shorter than this, mm: nothing could be read on it."""


class Paper(Struct, frozen=True):
    """A sheet, mm, and the name to speak of it by."""

    name: str
    width: float
    height: float

    @property
    def fits_several(self) -> bool:
        """Whether this is what papers such as a4 and letter have in common: nobody has paper of that size."""
        return "+" in self.name

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.width, self.height

    @property
    def portrait(self) -> Paper:
        """The same sheet, standing."""
        return Paper(self.name, *sorted(self.size))

    @property
    def landscape(self) -> Paper:
        """The same sheet, lying."""
        return Paper(self.name, *sorted(self.size, reverse=True))

    def described(self, units: Units = MM) -> str:
        """Describe it by name and size, such as ``a4, 210 x 297 mm``."""
        if units.unit == Unit.IN:
            wide, high = (units.plain(side).removesuffix(" in") for side in self.size)
            size = f"{wide} x {high} in"
        else:
            size = f"{self.width:g} x {self.height:g} mm"
        return f"{self.name}, {size}" if self.name else size


def _inches(name: str, width: float, height: float) -> Paper:
    return Paper(name, width * MM_PER_INCH, height * MM_PER_INCH)


# ISO 216 for the A sizes; ANSI/ASME Y14.1 for letter, tabloid and arch E.
_PAPERS = (
    Paper("a4", 210, 297),
    Paper("a3", 297, 420),
    Paper("a2", 420, 594),
    Paper("a1", 594, 841),
    Paper("a0", 841, 1189),
    _inches("letter", 8.5, 11),
    Paper("legal", *LEGAL),
    _inches("tabloid", 11, 17),
    _inches("arch-e", 36, 48),
)
NAMES = tuple(paper.name for paper in _PAPERS)
_BY_NAME = {paper.name: paper for paper in _PAPERS}


_HAND = 432.0 + 1.0
"""Paper no longer than A3 or tabloid (mm) is what a person reads and works on at a desk."""


def for_hands(paper: Paper) -> Paper:
    """Keep the paper, or where it is larger than A3 take A4, and letter where it is a paper in inches.

    What is read in class, or cut up there, is no use on a plotter's roll.

    >>> for_hands(read_paper("a0")).name, for_hands(read_paper("arch-e")).name, for_hands(read_paper("a3")).name
    ('a4', 'letter', 'a3')
    """
    if max(paper.size) <= _HAND:
        return paper
    halves = [2 * side / MM_PER_INCH for side in paper.size]
    return _BY_NAME["letter" if all(abs(half - round(half)) < 1e-6 for half in halves) else "a4"]


def read_paper(text: str) -> Paper:
    """Read a paper: a name, ``WIDTHxHEIGHT`` with units, or what fits on several (``a4+letter``).

    Raises Refusal for anything else, with the nearest name.

    >>> read_paper("A4+letter").described(), read_paper("24x36 in").width
    ('a4+letter, 210 x 279.4 mm', 609.6)
    """
    plain = re.sub(r"[\s_]+", " ", text.strip().casefold())
    if "+" in plain:
        parts = [_one(part.strip(), text).portrait for part in plain.split("+")]
        name = "+".join(part.name or part.described() for part in parts)
        return Paper(name, min(part.width for part in parts), min(part.height for part in parts))
    return _one(plain, text)


def _one(name: str, text: str) -> Paper:
    known = _BY_NAME.get(name.replace(" ", "-"))
    if known is not None:
        return known
    if "x" in name.replace("×", "x") and any(sign.isdigit() for sign in name.split("x")[0]):
        return _measured(name.replace("×", "x"), text)
    near = closest(name, NAMES, 0.5)
    known_names = f"the papers are {', '.join(NAMES)}, or a width and height such as 610mmx914mm"
    todo = f"did you mean {near}?" if near else known_names
    raise Refusal(_WHERE, f"there is no paper {text!r}", todo)


def _measured(name: str, text: str) -> Paper:
    first, _, second = name.partition("x")
    unit = re.search(r"[a-z\"″”]+\s*$", second)
    if re.fullmatch(r"[\d\s./,]+", first) and unit:
        first += unit[0]
    try:
        width, height = parse_length(first), parse_length(second)
    except ValueError as fault:
        raise Refusal(_WHERE, str(fault), "write for example 610mmx914mm or 24x36in") from None
    for side in (width, height):
        if not SMALLEST <= side <= LARGEST:
            what = f"no paper is {both_ways(side)} on a side"
            raise Refusal(_WHERE, what, f"give between {both_ways(SMALLEST)} and {both_ways(LARGEST)}")
    return Paper("", width, height)
