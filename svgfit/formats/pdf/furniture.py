"""What stands on each page by itself, and is no part of the drawing: frames, arrows, page numbers."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from svgfit.formats.layered_svg import SubPath
from svgfit.formats.pdf.records import Line, Writing, extent
from svgfit.model.wording import listed
from svgfit.rules.interchange import ON_MANY_PAGES

MOSTLY = 0.6
"""… but a plain upright or level line of at least this share: a side of a piece may run straight through many pages."""
_STEP = 0.25
"""Places within about this, mm, are one."""


def without_furniture(pages: Sequence[Sequence[Line | Writing]]) -> list[list[Line | Writing]]:
    """Leave out of each page's marks (in page mm) what stands at one place of many pages; texts whatever they say."""
    if len(pages) < 2:
        return [list(marks) for marks in pages]
    seen = Counter(key for marks in pages for key in {_key(mark) for mark in marks})

    def is_furniture(mark: Line | Writing) -> bool:
        share = MOSTLY if isinstance(mark, Line) and _is_level_line(mark) else ON_MANY_PAGES
        return seen[_key(mark)] >= max(2.0, share * len(pages))

    return [[mark for mark in marks if not is_furniture(mark)] for marks in pages]


def count_furniture(before: Sequence[Sequence[Line | Writing]], after: Sequence[Sequence[Line | Writing]]) -> str:
    """Say how many lines and texts of the pages are left out as furniture; "" for none."""

    def count(pages: Sequence[Sequence[Line | Writing]], kind: type[Line | Writing]) -> int:
        return sum(isinstance(mark, kind) for marks in pages for mark in marks)

    counts = {name: count(before, kind) - count(after, kind) for kind, name in ((Line, "lines"), (Writing, "texts"))}
    there = [f"{number} {name}" for name, number in counts.items() if number]
    return f"{listed(there)} in one place of many pages (frames, page numbers) are left out" if there else ""


def _key(mark: Line | Writing) -> tuple[object, ...]:
    if isinstance(mark, Writing):
        return "text", round(mark.at.real / 2), round(mark.at.imag / 2), round(abs(mark.up), 1)
    shape = tuple((len(path.segments), path.closed) for path in mark.subpaths)
    return shape, mark.style.stroke, mark.style.fill, *(round(side / _STEP) for side in extent(mark))


def _is_level_line(mark: Line) -> bool:
    """Say whether a mark is one straight open line, upright or level."""
    if len(mark.subpaths) != 1 or mark.subpaths[0].closed:
        return False
    path: SubPath = mark.subpaths[0]
    ends = [path.start, *(segment[-1] for segment in path.segments)]
    wide = max(end.real for end in ends) - min(end.real for end in ends)
    high = max(end.imag for end in ends) - min(end.imag for end in ends)
    return min(wide, high) < 0.05 and math.hypot(wide, high) > 1.0
