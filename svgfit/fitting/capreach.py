"""Which ends a cap edge can be bent to: for saying so where one is out of reach."""

from __future__ import annotations

from collections.abc import Callable

from svgfit.fitting.recurve import Cap, recurve

STEP, SHORTER, LONGER = 0.02, 3, 9
"""Looked for in steps of this share of the cap's length, so many down and up."""


def cap_reach(cap: Cap, gains: Callable[[float], tuple[float, float]], start: float) -> tuple[float, float] | None:
    """The least and most of an end (mm) that can be had, around ``start``; None where nothing near it can.

    ``gains``: what front and back must gain for an end.
    """
    step = STEP * sum(cap.halves)

    def can(end: float) -> bool:
        return recurve(cap, *gains(end)) is not None

    tried = sorted(range(-SHORTER, LONGER + 1), key=abs)
    first = next((k for k in tried[:5] if can(start + k * step)), None)
    if first is None:
        return None
    low, high = (_furthest(can, start + first * step, way * step, count) for way, count in ((-1, SHORTER), (1, LONGER)))
    return low, high


def _furthest(can: Callable[[float], bool], good: float, step: float, count: int) -> float:
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
