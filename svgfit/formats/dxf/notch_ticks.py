"""Notches that are points, as the ticks that svgfit reads: square to the seam, between cut line and stitch line. mm."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import encloses
from svgfit.rules.notches import FARTHEST_FROM_SEAM, ON_LINE, SHORTEST_DRAWN, TICK


class Ticks(Struct, frozen=True, eq=False):
    """Ticks, and the points that lie on no line, each with its distance from the nearest one."""

    curves: tuple[Curve, ...]
    astray: tuple[tuple[complex, float], ...]


def notch_ticks(points: Sequence[complex], cut: Sequence[Curve], stitch: Sequence[Curve]) -> Ticks:
    """Draw a tick for each point: to the other line's nearest point, or inwards where there is one line only.

    From a point on the cut line the tick runs to its foot on the stitch line, so that it is square to the seam there.
    """
    made: list[Curve] = []
    astray: list[tuple[complex, float]] = []
    for point in points:
        found = [(_foot(point, lines), lines) for lines in (stitch, cut) if lines]
        if not found:
            continue
        (foot, away, line, t), own = min(found, key=lambda each: each[0][1])
        if away > 2 * ON_LINE:
            astray.append((point, away))
            continue
        other = cut if own is stitch else stitch
        across = _foot(point, other) if other else None
        if across and SHORTEST_DRAWN <= across[1] <= FARTHEST_FROM_SEAM:
            made.append(Curve.polyline([point, across[0]] if own is cut else [across[0], point]))
            continue
        inwards = _inwards(line, t, foot)
        start, end = (point, point + TICK * inwards) if own is cut else (point - TICK * inwards, point)
        made.append(Curve.polyline([start, end]))
    return Ticks(tuple(made), tuple(astray))


def _foot(point: complex, lines: Sequence[Curve]) -> tuple[complex, float, Curve, float]:
    """Find the nearest place on lines: the point, its distance, the line and the parameter."""
    near = [(line.nearest(point), line) for line in lines]
    (t, away), line = min(near, key=lambda each: each[0][1])
    return line.point(t), away, line, t


def _inwards(line: Curve, t: float, at: complex) -> complex:
    """Find the unit normal that points into the piece."""
    normal = 1j * line.tangent(t)
    return normal if encloses(line, at + 0.2 * normal) else -normal
