"""Search for the smallest movement that brings a wanted gain: people ask what a seam should gain, not how far."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

Gain = Callable[[float], float | None]
"""What a movement (signed, mm) brings (mm); None where that movement can't be made."""


class SearchResult(Struct, frozen=True):
    """A movement that reaches the target, or None with the range of gains that the movements tried can reach."""

    movement: float | None
    """The smallest movement that reaches it, in the unit of the search; None where none does."""
    least: float
    """The least gain that the movements tried give, mm."""
    most: float
    """The greatest."""


def smallest_movement(
    gain: Gain, target: float, furthest: tuple[float, float], *, accuracy: float = 1e-3, steps: int = 8
) -> SearchResult:
    """Find the smallest movement between ``furthest`` (a negative and a positive limit, mm) that gains ``target`` mm.

    Both ways are searched outwards in ``steps`` steps; the first step whose ends lie on both sides of the target is
    narrowed by regula falsi with halving (Illinois; Dowell and Jarratt, BIT 11, 1971) to ``accuracy`` mm of gain.
    A movement of nothing brings nothing; a limit of 0 leaves that way out. The gain need not be monotone, but smooth.
    """
    if abs(target) <= accuracy / 10:
        return SearchResult(0.0, 0.0, 0.0)
    last: list[tuple[float, float] | None] = [(0.0, 0.0) if limit else None for limit in furthest]
    least = most = 0.0
    for k in range(1, steps + 1):
        reached: list[float] = []
        for way, limit in enumerate(furthest):
            before = last[way]
            if before is None:
                continue
            movement = limit * k / steps
            value = gain(movement)
            stop = value is None
            if value is None:
                movement, value = _furthest(gain, before, movement)
            least, most = min(least, value), max(most, value)
            if (before[1] - target) * (value - target) <= 0:
                exact = _narrow_down(gain, target, before, (movement, value), accuracy)
                reached += [exact] if exact is not None else []
            last[way] = None if stop else (movement, value)
        if reached:
            return SearchResult(min(reached, key=abs), least, most)
        if last == [None, None]:
            break
    return SearchResult(None, least, most)


def _furthest(gain: Gain, good: tuple[float, float], bad: float) -> tuple[float, float]:
    """Find the furthest movement that can be made before ``bad``, by halving five times."""
    for _ in range(5):
        middle = (good[0] + bad) / 2
        value = gain(middle)
        good, bad = (good, middle) if value is None else ((middle, value), bad)
    return good


def _narrow_down(
    gain: Gain, target: float, first: tuple[float, float], second: tuple[float, float], accuracy: float
) -> float | None:
    """Narrow a movement down between two (movement, gain) on both sides of ``target``; None where one can't be made."""
    (a, fa), (b, fb) = (first[0], first[1] - target), (second[0], second[1] - target)
    if abs(fb) <= accuracy:
        return b
    for _ in range(60):
        middle = b - fb * (b - a) / (fb - fa) if fb != fa else (a + b) / 2
        value = gain(middle)
        if value is None:
            return None
        f = value - target
        if abs(f) <= accuracy:
            return middle
        if f * fb < 0:
            a, fa = b, fb
        else:
            fa /= 2
        b, fb = middle, f
    return None
