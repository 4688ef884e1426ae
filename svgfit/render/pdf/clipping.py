"""What of a line or a shape lies within a picture's frame. Points as complex arrays, millimetres on paper."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box


def clip_line(points: Complex, box: Box) -> list[Complex]:
    """The stretches of a polyline within the box (left, top, right, bottom)."""
    stretches: list[list[complex]] = []
    whole: list[complex] = points.tolist()
    for start, end in pairwise(whole):
        inside = _within(start, end, box)
        if inside is None:
            continue
        first, last = inside
        if stretches and abs(stretches[-1][-1] - first) < 1e-9:
            stretches[-1].append(last)
        else:
            stretches.append([first, last])
    return [np.array(stretch, np.complex128) for stretch in stretches]


def _within(start: complex, end: complex, box: Box) -> tuple[complex, complex] | None:
    """The stretch of one straight line within the box, by the parameters at which it enters and leaves."""
    low, high = 0.0, 1.0
    way = end - start
    for at, step, near, far in ((start.real, way.real, box[0], box[2]), (start.imag, way.imag, box[1], box[3])):
        if step == 0.0:
            if not near <= at <= far:
                return None
            continue
        one, other = sorted(((near - at) / step, (far - at) / step))
        low, high = max(low, one), min(high, other)
    return (start + way * low, start + way * high) if low < high else None


def clip_shape(points: Complex, box: Box) -> Complex:
    """The part of a closed shape within the box (one side of the box after another; empty where none is)."""
    left, top, right, bottom = box
    sides: tuple[Callable[[complex], float], ...] = (
        lambda at: at.real - left,
        lambda at: right - at.real,
        lambda at: at.imag - top,
        lambda at: bottom - at.imag,
    )
    around: list[complex] = points.tolist()
    for side in sides:
        kept: list[complex] = []
        for start, end in zip(around, around[1:] + around[:1], strict=True):
            one, other = side(start), side(end)
            if one >= 0:
                kept.append(start)
            if one * other < 0:
                kept.append(start + (end - start) * one / (one - other))
        around = kept
    return np.array(around, np.complex128)
