"""Range of ends (cap lengths, eases) that redrawing a cap can reach, for refusal messages. mm."""

from __future__ import annotations

from collections.abc import Callable

from svgfit.fitting.cap_redraw import CapEdge, overhang, redraw_cap
from svgfit.model.length import rounded_limit

STEP, SHORTER, LONGER = 0.03, 2, 6
"""Looked for in steps of this share of the cap's length, so many down and up."""
GRID, TRIES = 25.4 / 16, 5


def cap_range(
    cap: CapEdge, gains: Callable[[float], tuple[float, float]], start: float, refused: float
) -> tuple[float, float] | None:
    """Find the least and most of an end (mm) that can be had, around ``start``; None where nothing near it can.

    ``gains``: what front and back must gain for an end. ``refused``: an end that can't be had, nor is any beyond it
    looked at. A cap that would overhang is none to be had.
    """
    step = STEP * sum(cap.halves)

    def can(end: float) -> bool:
        beyond = (end - start) * (refused - start) > 0 and abs(end - start) >= abs(refused - start)
        new = None if beyond else redraw_cap(cap, *gains(end))
        return new is not None and overhang(cap, new) == 0.0

    first = next((start + k * step for k in sorted(range(-2, 3), key=abs) if can(start + k * step)), None)
    if first is None:
        return None
    low, high = _furthest_end(can, first, -step, SHORTER), _furthest_end(can, first, step, LONGER)
    return _limit_as_printed(can, low, first, least=True), _limit_as_printed(can, high, first, least=False)


def _limit_as_printed(can: Callable[[float], bool], end: float, first: float, *, least: bool) -> float:
    """Move a limit a little inwards until what is printed of it, rounded, can be had: shapes fail here and there."""
    inwards = GRID if least else -GRID
    for _ in range(TRIES):
        if (first - end) * inwards <= 0 or all(can(printed) for printed in rounded_limit(end, least=least)):
            break
        end += inwards
    return end


def _furthest_end(can: Callable[[float], bool], good: float, step: float, count: int) -> float:
    """Go from an end that can be had by steps, then by halving, to the furthest that can."""
    for _ in range(count):
        if not can(good + step):
            break
        good += step
    else:
        return good
    for _ in range(5):
        step /= 2
        good = good + step if can(good + step) else good
    return good
