"""The one error a person sees: where, what, what to do."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from svgfit.model.length import Units


class Refusal(Exception):
    """An error that stops svgfit. Printed as ``svgfit: WHERE: WHAT; WHAT TO DO`` on one line, exit status 2.

    ``where`` names the file and, where known, line, layer, piece and element id, most general first. Lengths in it
    (``both_ways``) are in mm and inches until ``spoken_in`` says in which unit its reader thinks.
    """

    def __init__(self, where: str, what: str, todo: str = "") -> None:
        self.parts: tuple[str, str, str] = (where, what, todo)
        """As given, with lengths marked: for whoever makes another message of it."""
        super().__init__(self.line())

    @property
    def where(self) -> str:
        """Where it is: file, line, layer, piece, element."""
        return _both_ways(self.parts[0])

    @property
    def what(self) -> str:
        """What is wrong."""
        return _both_ways(self.parts[1])

    @property
    def todo(self) -> str:
        """What to do about it; "" where nobody can say."""
        return _both_ways(self.parts[2])

    def __reduce__(self) -> tuple[type[Refusal], tuple[str, str, str]]:
        """Tell pickle how to make it again, so that it comes out of another process as it is."""
        return type(self), self.parts

    def line(self, units: Units | None = None) -> str:
        """Write the message on one line, whatever its parts hold; its lengths as ``units`` say."""
        where, what, todo = self.parts
        text = f"{where}: {what}" if where else what
        text = f"{text}; {todo}" if todo else text
        return " ".join((_both_ways(text) if units is None else units.speak(text)).split())

    @property
    def reason(self) -> str:
        """What is wrong and what to do, lengths marked: for a warning or a check that tells it on."""
        _, what, todo = self.parts
        return f"{what}; {todo}" if todo else what

    def within(self, where: str) -> Refusal:
        """Return the same refusal with a more general place put before its own (once)."""
        own, what, todo = self.parts
        if own.startswith(where):
            return self
        return type(self)(f"{where}: {own}" if own else where, what, todo)

    def spoken_in(self, units: Units) -> Refusal:
        """Return the same refusal with its lengths as a person reads them."""
        return type(self)(*map(units.speak, self.parts))


class BrokenPlugin(Refusal):
    """A refusal for a fault of a plug-in: no other way is tried in its place, the person is to know of it."""


class NoPiece(Refusal):
    """The refusal of a piece that can't be made of what is drawn: it is no other piece's fault."""


class NoSuchName(Refusal):
    """The refusal of a name that a piece does not have: where code asks for it, that code's line is told too."""


@contextmanager
def speaking_in(units: Units) -> Generator[None]:
    """Write whatever is refused meanwhile in a person's unit."""
    try:
        yield
    except Refusal as refusal:
        raise refusal.spoken_in(units) from refusal


def _both_ways(text: str) -> str:
    from svgfit.model.length import both_ways_text  # here because ``--help`` refuses nothing

    return both_ways_text(text)
