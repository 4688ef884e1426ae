"""What failed, where nobody can miss it: a black frame on the page that is printed first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.wording import fill_lines
from svgfit.render.pdf import marks

MOST = 3
"""More failed checks than these are counted, not listed."""
_INSIDE = 3.5
"""Between the frame and its words, mm."""
_FRAME = 1.0
_LEAD = 1.5
"""From one line of words to the next, in font sizes."""
_HEAD = 12.0
_WIDEST = 190.0
_NARROWEST = 45.0
_SIZES = (marks.PLAIN, marks.SMALL)

Region = tuple[float, float, float, float]
"""Left, top, width and height of free room on a page, mm."""


class FailureBox(Struct, frozen=True):
    """The box, its words broken into lines."""

    head: tuple[str, ...]
    lines: tuple[str, ...]
    width: float
    size: float
    """Of the words, in points."""

    @property
    def height(self) -> float:
        """In mm."""
        rows = len(self.head) * _HEAD + len(self.lines) * self.size
        return rows * _LEAD * marks.POINT + 2 * _INSIDE

    def drawn(self, x: float, y: float) -> str:
        """The markup with the frame's upper left corner at a place."""
        right, bottom = x + self.width, y + self.height
        parts = [marks.outline([(x, y), (right, y), (right, bottom), (x, bottom)], _FRAME)]
        at = y + _INSIDE + 1.0
        for texts, size, bold in ((self.head, _HEAD, True), (self.lines, self.size, False)):
            for text in texts:
                parts.append(marks.words(x + _INSIDE, at, text, size, bold=bold))
                at += size * _LEAD * marks.POINT
        return "".join(parts)


def heading(failed: Sequence[str]) -> str:
    """What is said first."""
    return f"{'A check' if len(failed) == 1 else f'{len(failed)} checks'} failed; don't cut yet"


def cut_short(failed: Sequence[str]) -> tuple[str, ...]:
    """The first of them, and how many there are besides."""
    more = len(failed) - MOST
    return (*failed[:MOST], *([f"and {more} more"] if more > 0 else []))


def failure_box(failed: Sequence[str], width: float, size: float = marks.PLAIN) -> FailureBox:
    """The box for what failed, a line a check, ``width`` mm wide."""
    room = width - 2 * _INSIDE
    lines = tuple(line for text in cut_short(failed) for line in _wrapped(text, room, size))
    return FailureBox(tuple(_wrapped(heading(failed), room, _HEAD, bold=True)), lines, width, size)


def placed_box(failed: Sequence[str], regions: Iterable[Region]) -> str | None:
    """The box in the first of the free regions that holds it; None where none does."""
    rooms = list(regions)
    for size in _SIZES:
        for left, top, width, height in rooms:
            if width < _NARROWEST:
                continue
            box = failure_box(failed, min(width - _FRAME, _WIDEST), size)
            if box.height + _FRAME <= height:
                return box.drawn(left + _FRAME / 2, top + _FRAME / 2)
    return None


def _wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Lines no wider than ``width`` mm, broken at spaces, a word that is wider anywhere."""
    return fill_lines(text, lambda line: marks.width_of(line, size, bold=bold) <= width, break_words=True)
