"""Where a tile lies by its page's number, where those that shapes hold in place lie in rows and columns. mm."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

_SAME = 0.5
"""Pages whose places differ by less than this along an axis, mm, are of one column or row."""


def page_grid(count: int, shifts: Mapping[int, complex]) -> Callable[[int], complex] | None:
    """Find where a page lies by its number (from 0) in the grid that ``count`` tiles fill, from the shifts of some.

    None unless one numbering fits all of them, along rows or columns and from whichever corner, and the tiles fill
    it to the last: with a page before them that is none, or one left out, it doesn't come out even.
    """
    across, down = _lines([each.real for each in shifts.values()]), _lines([each.imag for each in shifts.values()])
    if across is None or down is None:
        return None
    cells = {number: (across.index(shift.real), down.index(shift.imag)) for number, shift in shifts.items()}
    for along, one, two in itertools.product((0, 1), (1, -1), (1, -1)):
        steps = {number: (one * cell[along], two * cell[1 - along]) for number, cell in cells.items()}
        length = _row_length(steps)
        if length is None or count % length:
            continue
        rest = {(number % length - i, number // length - j) for number, (i, j) in steps.items()}
        if len(rest) == 1:
            ((first, row),) = rest
            return _placing(length, (along, one, two), (first, row), (across, down))
    return None


class _Lines(Struct, frozen=True):
    """Columns or rows at one distance."""

    start: float
    step: float

    def index(self, at: float) -> int:
        return round((at - self.start) / self.step)


def _lines(places: Sequence[float]) -> _Lines | None:
    """Find the distance of columns or rows; None where there is only one, or they don't lie at one distance."""
    known = sorted(places)
    gaps = [gap for one, other in itertools.pairwise(known) if (gap := other - one) > _SAME]
    if not gaps:
        return None
    wide = known[-1] - known[0]
    step = wide / round(wide / min(gaps))
    away = max(abs(at - known[0] - step * round((at - known[0]) / step)) for at in known)
    return _Lines(known[0], step) if away < _SAME else None


def _row_length(steps: Mapping[int, tuple[int, int]]) -> int | None:
    """Say how many tiles a row has in which numbers rise by one from tile to tile; None where that fits no length."""
    (first, (i, j)), *others = steps.items()
    lengths = {(number - first - (col - i)) / (row - j) for number, (col, row) in others if row != j}
    level = all(number - first == col - i for number, (col, row) in others if row == j)
    length = lengths.pop() if len(lengths) == 1 else 0.0
    return int(length) if level and length >= 2 and length == int(length) else None


def _placing(
    length: int, order: tuple[int, int, int], start: tuple[int, int], lines: tuple[_Lines, _Lines]
) -> Callable[[int], complex]:
    along, one, two = order

    def place(number: int) -> complex:
        steps = (one * (number % length - start[0]), two * (number // length - start[1]))
        column, row = steps if along == 0 else steps[::-1]
        return complex(lines[0].start + column * lines[0].step, lines[1].start + row * lines[1].step)

    return place
