"""Which tile lies where: found by trying every number of columns, in both orders, with pages left out.

Pages are taken to be numbered row by row or column by column; that is how all tiled files are that we know of.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from msgspec import Struct

from svgfit.formats.pdf.seams import Seam, Tiles, fit

_FEWEST = 2
"""Fewer lines that go on prove nothing."""
_SLIPS = 0.02
"""So many of all ends may go on nowhere: a line that only just reaches an edge."""
_TRIED = 2
"""With so many overlaps, the likeliest, unusual layouts are tried."""
_MOST_LEFT_OUT = 8
"""No more pages are left out in a row."""
_BEAM = 12
"""So many half-done layouts are kept at a time."""
_MOST_COLUMNS = 40
_CLOSE = 0.03
"""Layouts whose lines meet within this many mm more of each other are as good: files are rounded to 0.04 mm or less."""
_PLENTY = 12
"""So many lines that go on, and none that doesn't, are no chance."""


class Layout(Struct, frozen=True):
    """Where each page lies, and what proves it."""

    cells: tuple[tuple[int, int], ...]
    """Column and row of each page."""
    on: int
    """Lines that go on from a page to its neighbour."""
    lost: int
    """Ends at a page's edge that go on nowhere."""
    away: float
    """How far the ends that go on lie from the lines that they go on in, mm, on average."""
    gaps: int
    """Cells before the last page that hold none."""
    links: frozenset[tuple[int, int]]
    """Pairs of neighbours that at least one line connects."""
    over: tuple[float, float]
    """By how much pages overlap across and down, mm."""

    @property
    def is_proved(self) -> bool:
        """Whether enough lines go on, and as good as none doesn't."""
        return self.on >= _FEWEST and self.lost <= _SLIPS * self.on

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """Order layouts, the best first."""
        return self.lost, int(self.away / _CLOSE), -self.on, self.gaps


class Search:
    """Layouts of pages with one overlap across and one down; what two pages have to do with each other is kept."""

    def __init__(self, axes: tuple[Tiles, Tiles], over: tuple[float, float], back: tuple[bool, bool]) -> None:
        """Look at the pages along both axes, across and down; along those of ``back`` they are numbered backwards."""
        self._tiles, self._over, self._back = axes, over, back
        self.count: int = len(axes[0].sides)
        self.fit: Callable[[int, int, int], Seam] = cache(self._fit)

    def _fit(self, axis: int, one: int, other: int) -> Seam:
        tiles = self._tiles[axis]
        if self._back[axis]:
            one, other = other, one
        return fit(tiles.sides[one], tiles.sides[other], tiles, self._over[axis])

    def ends(self, axis: int, page: int) -> tuple[int, int]:
        """Count the ends cut before and behind a page along an axis."""
        side = self._tiles[axis].sides[page]
        before, behind = len(side.before), len(side.behind)
        return (behind, before) if self._back[axis] else (before, behind)

    def score(self, places: Sequence[int], wide: int, order: int) -> Layout:
        """Rate a layout: page ``k`` is at cell ``places[k]`` of rows (order 0) or columns (1) of ``wide`` cells."""
        at = {place: page for page, place in enumerate(places)}
        on = lost = ends = 0
        away = 0.0
        links: set[tuple[int, int]] = set()
        for page, place in enumerate(places):
            for axis, step in ((order, 1), (1 - order, wide)):
                edge = axis == order and (place + 1) % wide == 0
                first = axis == order and place % wide == 0
                behind = None if edge else at.get(place + step)
                before = None if first else at.get(place - step)
                if behind is not None:
                    seam = self.fit(axis, page, behind)
                    on, lost, away, ends = on + seam.on, lost + seam.lost, away + seam.away, ends + seam.ends
                    if seam.on:
                        links.add((page, behind))
                else:
                    lost += self.ends(axis, page)[1]
                if before is None:
                    lost += self.ends(axis, page)[0]
        cells = [(place % wide, place // wide)[:: 1 - 2 * order] for place in places]
        most = [max(cell[axis] for cell in cells) for axis in (0, 1)]
        turned = tuple(
            (most[0] - column if self._back[0] else column, most[1] - row if self._back[1] else row)
            for column, row in cells
        )
        return Layout(turned, on, lost, away / max(ends, 1), places[-1] + 1 - len(places), frozenset(links), self._over)

    def without_gaps(self, wide: int, order: int) -> Layout:
        """Rate the layout in which every page follows the one before."""
        return self.score(range(self.count), wide, order)

    def with_gaps(self, wide: int, order: int) -> Layout:
        """Find the best layout in which cells without lines may have no page; always one."""
        kept: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, (gap,)) for gap in range(wide)]
        for page in range(1, self.count):
            grown: list[tuple[int, int, tuple[int, ...]]] = []
            for lost, on, places in kept:
                near = range(max(0, page - 2 * wide - 2), page)  # pages that can lie beside or above the next one
                at = {places[number]: number for number in near}
                for place in range(places[-1] + 1, places[-1] + min(wide, _MOST_LEFT_OUT) + 2):
                    more_on, more_lost = self._added(at, place, page, wide, order)
                    grown.append((lost + more_lost, on - more_on, (*places, place)))
            kept = sorted(grown, key=lambda state: (state[0], state[1], state[2][-1]))[:_BEAM]
        return min((self.score(places, wide, order) for _, _, places in kept), key=_rank)

    def _added(self, at: dict[int, int], place: int, page: int, wide: int, order: int) -> tuple[int, int]:
        """Count what goes on and what is lost by a page at a cell, as far as that is known from those before it.

        ``at``: the pages before it by their cells, those of the last rows at least, in order.
        """
        on = lost = 0
        last = next(reversed(at))
        if place == last + 1 and place % wide:
            seam = self.fit(order, page - 1, page)
            on, lost = on + seam.on, lost + seam.lost
        else:
            lost += self.ends(order, page - 1)[1] + self.ends(order, page)[0]
        above = at.get(place - wide)
        if above is not None:
            seam = self.fit(1 - order, above, page)
            on, lost = on + seam.on, lost + seam.lost
        else:
            lost += self.ends(1 - order, page)[0]
        for skipped in range(last + 1, place):
            if (under := at.get(skipped - wide)) is not None:
                lost += self.ends(1 - order, under)[1]
        return on, lost


def best_layouts(
    axes: tuple[Tiles, Tiles], overs: Sequence[tuple[float, float]], wanted: tuple[int, int] | None
) -> list[Layout]:
    """Return layouts that differ in what is joined to what, the best first; of the ``wanted`` columns and rows only.

    Pages numbered from right to left or from below are tried where the usual orders do not fit (turned pages are so),
    pages that are left out where no order fits.
    """
    usual = [Search(axes, over, (False, False)) for over in overs]
    found = _rated(usual, wanted)
    if not _is_proved(found):
        backwards = ((True, False), (False, True), (True, True))
        found += _rated([Search(axes, over, back) for over in overs[:_TRIED] for back in backwards], wanted)
    for search in usual[:_TRIED]:
        if not _is_proved(found):
            found += [search.with_gaps(wide, order) for wide, order in _widths(search.count, wanted)]
    kept: dict[object, Layout] = {}
    for layout in sorted(found, key=_rank):
        kept.setdefault((layout.links, layout.over) if layout.links else layout.cells, layout)
    return list(kept.values())


def _rank(layout: Layout) -> tuple[int, int, int, int]:
    return layout.rank


def _is_proved(layouts: Sequence[Layout]) -> bool:
    return min(layouts, key=_rank).is_proved


def _rated(searches: Sequence[Search], wanted: tuple[int, int] | None) -> list[Layout]:
    """Rate every layout without gaps; where one is certain, others only where another overlap could do as well."""
    widths: list[tuple[int, int]] = _widths(searches[0].count, wanted)
    found: list[Layout] = []
    for search in searches:
        found += [search.without_gaps(wide, order) for wide, order in widths]
        best = min(found, key=_rank)
        if best.is_proved and best.on >= _PLENTY and len(widths) > 2:
            widths = [(1 + max(cell[axis] for cell in best.cells), axis) for axis in (0, 1)]
    return found


def _widths(count: int, wanted: tuple[int, int] | None) -> list[tuple[int, int]]:
    """List lengths of a row and of a column to try, each with its order; a row as long as all pages is tried once."""
    if wanted is not None:
        return [(wanted[0], 0), (wanted[1], 1)]
    most: int = min(count, _MOST_COLUMNS)
    return [(wide, order) for order in (0, 1) for wide in range(1, most + 1) if order == 0 or 1 < wide < most]
