"""Upright boxes: (left, top, right, bottom), y down, in whatever unit the caller works in. Plain tuples, no numpy."""

from __future__ import annotations

from collections.abc import Iterable

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


def box_around(boxes: Iterable[Box]) -> Box:
    """Return the smallest box around boxes, of which there is one at least.

    >>> box_around([(0, 0, 2, 1), (1, -1, 3, 0)])
    (0, -1, 3, 1)
    """
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def box_of_points(points: Iterable[complex]) -> Box:
    """Return the smallest box around points, of which there is one at least.

    >>> box_of_points([3 + 1j, 2j])
    (0.0, 1.0, 3.0, 2.0)
    """
    across, down = zip(*((at.real, at.imag) for at in points), strict=True)
    return min(across), min(down), max(across), max(down)


def widen_box(box: Box, by: float) -> Box:
    """Move every side of a box outwards."""
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def box_centre(box: Box) -> complex:
    """Return the middle of a box."""
    return complex((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)


def longer_side(box: Box) -> float:
    """Return the larger of width and height."""
    return max(box[2] - box[0], box[3] - box[1])


def box_holds(box: Box, at: complex) -> bool:
    """Return whether a point lies in a box or on its edge."""
    return box[0] <= at.real <= box[2] and box[1] <= at.imag <= box[3]


def box_contains(outer: Box, inner: Box) -> bool:
    """Return whether a box lies within another; their sides may touch."""
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]


def boxes_meet(one: Box, other: Box) -> bool:
    """Return whether two boxes share a point, be it on their sides."""
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def boxes_overlap(one: Box, other: Box) -> bool:
    """Return whether two boxes share more than a side.

    >>> boxes_overlap((0, 0, 2, 2), (2, 0, 3, 1)), boxes_meet((0, 0, 2, 2), (2, 0, 3, 1))
    (False, True)
    """
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
