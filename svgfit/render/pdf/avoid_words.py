"""Lines and marks round the drawing's words: a line is broken where it meets one, a mark moves along its edge.

Only for what svgfit itself draws on a page; nothing of the drawing is ever broken. All in mm, y down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.box import Box

_AIR = 0.7
"""Between a word and a line that is broken for it."""
_LEAST = 1.0
"""A stretch shorter than this, between two words, is left out."""
_STEP, _MOST = 0.01, 0.2
"""By what part of the edge a mark moves at a time, and at most."""

Point = tuple[float, float]


def stretches(start: Point, end: Point, words: Iterable[Box]) -> list[tuple[Point, Point]]:
    """Cut a level or upright line where it meets boxes round words, and give what is left."""
    along = 0 if start[1] == end[1] else 1
    across, at = 1 - along, start[1 - along]
    low, high = sorted((start[along], end[along]))
    free: list[tuple[float, float]] = []
    near = [box for box in words if box[across] - _AIR < at < box[across + 2] + _AIR]
    for box in sorted(near, key=lambda one: one[along]):
        first, last = box[along] - _AIR, box[along + 2] + _AIR
        if last > low and first < high:
            free.append((low, first))
            low = max(low, last)
    free.append((low, high))
    ends = [(a, b) for a, b in free if b - a >= min(_LEAST, abs(end[along] - start[along]))]
    return [((a, at), (b, at)) if along == 0 else ((at, a), (at, b)) for a, b in ends]


def place(start: float, size: float, share: float, at: float, half: float, words: Sequence[Box], level: bool) -> float:
    """Find where a mark stands along an edge: at a ``share`` of it, or the nearest place there that keeps off words.

    The edge runs ``size`` mm from ``start``, across the page (``level``) or down it, at ``at``; the mark reaches
    ``half`` mm every way. Where words leave no place, the one with fewest.
    """
    along = 0 if level else 1
    near = [box for box in words if box[1 - along] - half - _AIR < at < box[3 - along] + half + _AIR]
    tries = [sign * n * _STEP for n in range(int(_MOST / _STEP) + 1) for sign in ((1, -1) if n else (1,))]
    spots = [start + (share + shift) * size for shift in tries]

    def met(spot: float) -> int:
        return sum(box[along] - half - _AIR < spot < box[along + 2] + half + _AIR for box in near)

    return min(spots, key=met)
