"""The ``d`` of a path (https://www.w3.org/TR/SVG11/paths.html#PathDataBNF) as chains of cubics.

What cannot be read is drawn up to the error, as https://www.w3.org/TR/SVG2/paths.html#PathDataErrorHandling says, and
what is drawn comes with the error: half an outline is worse than none where nobody is told. Tests compare the paths
with svgpathtools.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache

from msgspec import Struct

from svgfit.geometry import arcs

_NUM = r"(?>[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"
_SEP = r"[ \t\r\n\f,]*+"
_NUMBER = re.compile(_NUM)
_READABLE = re.compile(rf"(?:{_SEP}(?:{_NUM}|[MmZzLlHhVvCcSsQqTtAa]))*+{_SEP}")
_COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")


MOST_SEGMENTS = 50_000
"""No line on a sewing pattern has more segments than this (a guard against files made to fill the memory)."""


class Subpath(Struct, frozen=True):
    """One chain: its start, then three points a cubic. ``closed`` where it was drawn closed or its ends meet."""

    points: list[complex]
    closed: bool


class PathError(ValueError):
    """An element that cannot be drawn; the message says why."""


class Broken(PathError):
    """An element that cannot be read as a whole: ``drawn`` is what comes before the error, () for nothing."""

    def __init__(self, what: str, drawn: Sequence[Subpath] = ()) -> None:
        super().__init__(what)
        self.drawn: tuple[Subpath, ...] = tuple(drawn)


def read_path(d: str, accuracy: float, meets: float) -> list[Subpath]:
    """Read the subpaths of a path, in its own user units.

    Arcs become cubics within ``accuracy``; ends nearer than ``meets`` are put on each other. Lines and quadratics are
    exact. Subpaths without any extent are left out. Raises Broken, with what is drawn before the error, for what cannot
    be read; PathError for more segments than any pattern has.
    """
    if d.strip() == "none":
        return []
    readable = _READABLE.match(d)
    end = readable.end() if readable else 0
    at = end if end < len(d) else None  # of the first error, None for none
    if d[:end].lstrip(" \t\r\n\f,")[:1] not in ("M", "m", ""):
        at = end = 0
    pen = Pen(accuracy, meets)
    segments = 0
    for found in _COMMAND.finditer(d, 0, end):
        letter, text = found.groups()
        upper = letter.upper()
        size = _SIZES[upper]
        numbers, left_over = _arc_numbers(text) if upper == "A" else _whole(upper, text)
        segments += max(1, len(numbers) // (size or 1))
        if segments > MOST_SEGMENTS:
            raise PathError(f"it has more than {MOST_SEGMENTS} segments")
        if numbers or size == 0:
            _COMMANDS[upper](pen, numbers, letter != upper)
        if left_over is not None:
            at = found.start() + 1 + left_over if numbers or size == 0 else found.start()
            break
    pen.finish(closed=False)
    if at is not None:
        found = d[at : at + 30].strip() or d.strip()[-30:]
        raise Broken(f"its path data cannot be read from character {at + 1} on ({found!r})", pen.subpaths)
    return pen.subpaths


class Pen:
    """Collector of subpaths while one element is read."""

    __slots__ = ("accuracy", "at", "chain", "cubic", "meets", "quadratic", "start", "subpaths")

    def __init__(self, accuracy: float, meets: float) -> None:
        self.accuracy: float = accuracy
        self.meets: float = meets
        self.at: complex = 0j
        self.start: complex = 0j
        self.chain: list[complex] = []
        self.cubic: complex | None = None
        """The last cubic's second handle, for the smooth command that may follow."""
        self.quadratic: complex | None = None
        self.subpaths: list[Subpath] = []

    def move(self, to: complex) -> None:
        """Begin a new subpath."""
        self.finish(closed=False)
        self.at = self.start = to

    def curve(self, one: complex, two: complex, to: complex) -> None:
        """Draw a cubic."""
        if not self.chain:
            self.chain.append(self.at)
        if not self.at == one == two == to:
            self.chain += (one, two, to)
            self.at = to

    def line(self, to: complex) -> None:
        """Draw a straight line, as an exact cubic."""
        third = (to - self.at) / 3
        self.curve(self.at + third, to - third, to)
        self.cubic = self.quadratic = None

    def bow(self, control: complex, to: complex) -> None:
        """Draw a quadratic, as an exact cubic."""
        at = self.at
        self.curve(at + (control - at) * 2 / 3, to + (control - to) * 2 / 3, to)
        self.cubic, self.quadratic = None, control

    def finish(self, *, closed: bool) -> None:
        """End the subpath; a closed one gets its last line, or its ends put on each other where they meet."""
        chain, self.chain = self.chain, []
        self.cubic = self.quadratic = None
        if len(chain) > 1:
            start, gap = chain[0], abs(chain[-1] - chain[0])
            meet = gap <= self.meets and max(abs(point - start) for point in chain[1:-1]) > self.meets
            if meet:
                chain[-1] = start
            elif closed:
                third = (start - chain[-1]) / 3
                chain += (chain[-1] + third, start - third, start)
            self.subpaths.append(Subpath(chain, closed or meet))
        if closed:
            self.at = self.start


def _pairs(numbers: list[float], size: int) -> Iterator[tuple[complex, ...]]:
    points = [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    return zip(*[iter(points)] * size, strict=True)


def _move(pen: Pen, numbers: list[float], relative: bool) -> None:
    for k, (to,) in enumerate(_pairs(numbers, 1)):
        to = pen.at + to if relative else to
        if k:
            pen.line(to)
        else:
            pen.move(to)


def _line(pen: Pen, numbers: list[float], relative: bool) -> None:
    for (to,) in _pairs(numbers, 1):
        pen.line(pen.at + to if relative else to)


def _across(pen: Pen, numbers: list[float], relative: bool) -> None:
    for x in numbers:
        pen.line(complex(pen.at.real + x if relative else x, pen.at.imag))


def _down(pen: Pen, numbers: list[float], relative: bool) -> None:
    for y in numbers:
        pen.line(complex(pen.at.real, pen.at.imag + y if relative else y))


def _cubic(pen: Pen, numbers: list[float], relative: bool) -> None:
    for one, two, to in _pairs(numbers, 3):
        base = pen.at if relative else 0j
        pen.curve(base + one, base + two, base + to)
        pen.cubic, pen.quadratic = base + two, None


def _smooth_cubic(pen: Pen, numbers: list[float], relative: bool) -> None:
    for two, to in _pairs(numbers, 2):
        base = pen.at if relative else 0j
        one = pen.at if pen.cubic is None else 2 * pen.at - pen.cubic
        pen.curve(one, base + two, base + to)
        pen.cubic, pen.quadratic = base + two, None


def _quadratic(pen: Pen, numbers: list[float], relative: bool) -> None:
    for control, to in _pairs(numbers, 2):
        base = pen.at if relative else 0j
        pen.bow(base + control, base + to)


def _smooth_quadratic(pen: Pen, numbers: list[float], relative: bool) -> None:
    for (to,) in _pairs(numbers, 1):
        control = pen.at if pen.quadratic is None else 2 * pen.at - pen.quadratic
        pen.bow(control, pen.at + to if relative else to)


def _arc(pen: Pen, numbers: list[float], relative: bool) -> None:
    for rx, ry, turned, large, sweep, x, y in zip(*[iter(numbers)] * 7, strict=True):
        to = complex(x, y) + (pen.at if relative else 0j)
        if len(pen.chain) > 3 * MOST_SEGMENTS:
            raise PathError(f"it has more than {MOST_SEGMENTS} segments")
        points = arcs.arc(pen.at, (rx, ry), turned, (large != 0, sweep != 0), to, pen.accuracy)
        for one, two, then in zip(*[iter(points)] * 3, strict=True):
            pen.curve(one, two, then)
        pen.cubic = pen.quadratic = None


def _close(pen: Pen, _numbers: list[float], _relative: bool) -> None:
    pen.finish(closed=True)


@cache
def _arc_pattern() -> re.Pattern[str]:
    """Compile the pattern of an arc's numbers: flags need no space behind them, as in "a25 25 0 0150 0"."""
    return re.compile(_SEP + _SEP.join([rf"({_NUM})"] * 3 + [r"([01])"] * 2 + [rf"({_NUM})"] * 2))


def _arc_numbers(text: str) -> tuple[list[float], int | None]:
    """Read the numbers of all whole arcs, and where the first thing that belongs to none stands; None for nowhere."""
    pattern = _arc_pattern()
    numbers: list[float] = []
    at = 0
    while found := pattern.match(text, at):
        numbers += map(float, found.groups())
        at = found.end()
    return numbers, None if numbers and not text[at:].strip(" \t\r\n\f,") else at


def _whole(letter: str, text: str) -> tuple[list[float], int | None]:
    """Read likewise the numbers of any other command, whose text holds nothing but numbers."""
    numbers = list(map(float, _NUMBER.findall(text)))
    size = _SIZES[letter]
    many = len(numbers) // size * size if size else 0
    if many == len(numbers) and (many or not size):
        return numbers, None
    starts = [found.start() for found in _NUMBER.finditer(text)]
    return numbers[:many], starts[many] if starts else 0


_COMMANDS: dict[str, Callable[[Pen, list[float], bool], None]] = {
    "M": _move,
    "L": _line,
    "H": _across,
    "V": _down,
    "C": _cubic,
    "S": _smooth_cubic,
    "Q": _quadratic,
    "T": _smooth_quadratic,
    "A": _arc,
    "Z": _close,
}
_SIZES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
