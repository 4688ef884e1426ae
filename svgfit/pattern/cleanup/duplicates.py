"""Lines drawn more than once: fill and stroke, a copy, an expanded stroke's two sides. Page mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from svgfit.geometry.box import box_holds, widen_box
from svgfit.geometry.curve import Curve
from svgfit.rules.drawing_habits import DRAWN_TWICE, WIDEST_STROKE

MOST = 300
"""Among more open lines than this nobody drew doubles by hand, and looking for them would take long."""


def same_curve(first: Curve, second: Curve, accuracy: float = DRAWN_TWICE) -> bool:
    """Say whether two closed curves are the same line drawn twice (boxes and areas agree)."""
    boxes = max(abs(a - b) for a, b in zip(first.bounds(), second.bounds(), strict=True))
    return boxes <= accuracy and abs(abs(first.area()) - abs(second.area())) <= accuracy * first.length(1e-2)


def covered(line: Curve, by: Curve, accuracy: float = DRAWN_TWICE) -> bool:
    """Say whether a line lies on another all along, within ``accuracy`` mm."""
    if _is_part(line, by):
        return True
    t = np.linspace(0, len(line), 4 * len(line) + 1)
    points: list[complex] = line.points(t).tolist()
    # The ends and the middle first: they tell most lines apart.
    ordered = [points[0], points[-1], points[len(points) // 2], *points[1:-1]]
    return all(by.nearest(point, 1e-4)[1] <= accuracy for point in ordered)


def _is_part(line: Curve, of: Curve) -> bool:
    """Say whether each segment of a line is one of another's, either way round."""
    known = {segment.tobytes() for segment in of.segments}
    return all(each.tobytes() in known or each[::-1].tobytes() in known for each in line.segments)


def without_doubles(lines: Sequence[Curve]) -> list[Curve]:
    """Drop the lines that lie on a longer one, or on an earlier one as long."""
    if len(lines) < 2 or len(lines) > MOST:
        return list(lines)
    hulls = np.array([line.control_box() for line in lines])
    ends = np.array([(line.start, line.end) for line in lines])
    lengths = [line.length(1e-2) for line in lines]
    order = sorted(range(len(lines)), key=lambda k: (-round(lengths[k], 1), k))
    kept: list[int] = []
    for k in order:
        if kept:
            box = hulls[kept]
            held = np.ones(len(kept), dtype=bool)
            for point in ends[k].tolist():
                held &= (box[:, 0] - DRAWN_TWICE <= point.real) & (point.real <= box[:, 2] + DRAWN_TWICE)
                held &= (box[:, 1] - DRAWN_TWICE <= point.imag) & (point.imag <= box[:, 3] + DRAWN_TWICE)
            if any(covered(lines[k], lines[kept[m]]) for m in np.flatnonzero(held).tolist()):
                continue
        kept.append(k)
    return [lines[k] for k in sorted(kept)]


def without_overlaps(lines: Sequence[Curve], accuracy: float = DRAWN_TWICE) -> list[Curve]:
    """Cut lines back where one ends on another that begins on it: both draw the stretch between."""
    cut = list(lines)
    if len(lines) > 40:  # a dashed line, or one in hundreds of parts: nobody drew its overlaps by hand
        return cut
    for k in range(len(cut)):
        for m in range(len(cut)):
            if m != k:
                cut[k] = _cut_back(_cut_back(cut[k], cut[m], accuracy).reverse(), cut[m], accuracy).reverse()
    return cut


def _cut_back(line: Curve, other: Curve, accuracy: float) -> Curve:
    """Drop the line's last stretch where the other line draws it too, from one of its own ends on."""
    end = line.end
    if (
        not box_holds(widen_box(other.control_box(), accuracy), end)
        or min(abs(end - other.start), abs(end - other.end)) <= 1e-3
    ):
        return line
    u, away = other.nearest(end, 1e-4)
    if away > accuracy:
        return line
    if not 1e-9 < u < len(other) - 1e-9:
        return line
    first, second = other.split(u)
    for begin, back in ((other.start, first), (other.end, second)):
        if not box_holds(widen_box(line.control_box(), accuracy), begin):
            continue
        t, off = line.nearest(begin, 1e-4)
        if off <= accuracy and 1e-6 < t < len(line) - 1e-6 and covered(back, line, accuracy):
            return line.subcurve(0.0, t)
    return line


def middle_of_ring(first: Curve, second: Curve) -> Curve | None:
    """Draw the line half way between two closed curves that are the sides of one stroke; None where they are not.

    Only where both have the same nodes, one for one, as programs write them: then the middle needs no fitting.
    """
    if len(first) != len(second) or len(first) > 500:
        return None
    other = second if first.area() * second.area() > 0 else second.reverse()
    nodes, opposite = first.segments[:, 0], other.segments[:, 0]
    n = len(nodes)
    shift = min(range(n), key=lambda k: float(np.abs(np.roll(opposite, -k) - nodes).max()))
    turned = np.roll(other.segments, -shift, axis=0)
    halfway = np.arange(n, dtype=np.float64) + 0.5
    width = np.array([Curve(turned).nearest(point, 1e-4)[1] for point in first.points(halfway).tolist()])
    if not 0 < float(width.max()) <= WIDEST_STROKE or float(width.min()) < 0.7 * float(width.max()):
        return None
    return Curve((first.segments + turned) / 2)
