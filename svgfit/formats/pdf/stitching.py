"""Lines cut at the edges of tiles, made whole again. Sheet mm, y down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct

from svgfit.formats.layered_svg import LineStyle, SubPath
from svgfit.formats.pdf.optional_content import Key
from svgfit.formats.pdf.records import Line, ends_of
from svgfit.formats.pdf.seams import Look, look_of

_MEET = 0.15
"""Ends of lines that lie beside each other by less than this, mm, are one …"""
_FARTHEST = 1.5
"""… though one ends before the other by up to this, mm: a slant line, rounded, meets a seam at another place."""
_STRAIGHT = 0.01
"""Two straight stretches that leave one line by less than this, mm, are drawn as one."""


EndKey = tuple[int, int]
"""An end of a stretch: the stretch's number, and 0 for its start, 1 for its end."""


class Stretch(Struct, frozen=True):
    """An open or closed stretch of line, and how it looks."""

    path: SubPath
    style: LineStyle
    layer: Key | None
    look: Look
    page: int


# -- cutting ---------------------------------------------------------------------------------------------------------


def cut_off(path: SubPath, axis: int, bound: float, *, above: bool) -> list[SubPath]:
    """Keep of a stretch what lies on one side of an upright (axis 0) or level (1) line: ``above`` it in coordinates."""
    segments = list(_segments(path))
    values = [_coordinate(point, axis) for each in segments for point in each]
    inside = [(value >= bound) if above else (value <= bound) for value in values]
    if all(inside):
        return [path]
    if not any(inside):
        return []
    runs: list[list[tuple[complex, ...]]] = []
    joined = False
    for segment in segments:
        for part in _split(segment, axis, bound):
            middle = _coordinate(_point_on(part, 0.5), axis)
            if (middle >= bound) != above:
                joined = False
                continue
            if joined:
                runs[-1].append(part)
            else:
                runs.append([part])
            joined = True
    if path.closed and len(runs) > 1 and joined and runs[0][0][0] == path.start:
        runs[0] = runs.pop() + runs[0]
    return [SubPath(run[0][0], tuple(part[1:] for part in run)) for run in runs]


def _segments(path: SubPath) -> Iterator[tuple[complex, ...]]:
    """Yield each segment with its start, the closing one too."""
    at = path.start
    for segment in path.segments:
        yield at, *segment
        at = segment[-1]
    if path.closed and at != path.start:
        yield at, path.start


def _coordinate(point: complex, axis: int) -> float:
    return point.real if axis == 0 else point.imag


def _point_on(part: tuple[complex, ...], t: float) -> complex:
    if len(part) == 2:
        return part[0] + t * (part[1] - part[0])
    a, b, c, d = part
    return (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t * t * (1 - t) * c + t**3 * d


def _split(part: tuple[complex, ...], axis: int, bound: float) -> list[tuple[complex, ...]]:
    """Split a segment where it crosses the line."""
    values = [_coordinate(point, axis) - bound for point in part]
    if min(values) >= 0 or max(values) <= 0:
        return [part]
    if len(part) == 2:
        places = [values[0] / (values[0] - values[1])]
    else:
        a, b, c, d = values
        roots = np.roots([d - 3 * c + 3 * b - a, 3 * (c - 2 * b + a), 3 * (b - a), a])
        places = sorted(float(root.real) for root in roots if abs(root.imag) < 1e-9 and 1e-9 < root.real < 1 - 1e-9)
    found: list[tuple[complex, ...]] = []
    rest, begun = part, 0.0
    for place in places:
        first, rest = _halves(rest, (place - begun) / (1 - begun))
        found.append(first)
        begun = place
    return [*found, rest]


def _halves(part: tuple[complex, ...], t: float) -> tuple[tuple[complex, ...], tuple[complex, ...]]:
    """Split a segment at ``t`` (de Casteljau)."""
    points: list[complex] = list(part)
    left: list[complex] = [part[0]]
    right: list[complex] = [part[-1]]
    while len(points) > 1:
        points = [one + t * (other - one) for one, other in pairwise(points)]
        left.append(points[0])
        right.append(points[-1])
    return tuple(left), tuple(reversed(right))


# -- joining ---------------------------------------------------------------------------------------------------------


def stitch(stretches: Sequence[Stretch]) -> list[Line]:
    """Join stretches of different pages whose ends meet, of one look and running on into each other."""
    partner = _partners(stretches)
    found: list[Line] = []
    used: set[int] = set()
    starts = [number for number in range(len(stretches)) if (number, 0) not in partner or (number, 1) not in partner]
    for number in (*starts, *range(len(stretches))):
        if number in used:
            continue
        side = 0 if (number, 0) not in partner else 1 if (number, 1) not in partner else 0
        chain, closed = _chain(stretches, partner, used, (number, side))
        one = stretches[number]
        found.append(Line((_whole(chain, closed=closed),), one.style, one.layer))
    return found


def _chain(
    stretches: Sequence[Stretch],
    partner: dict[tuple[int, int], tuple[int, int]],
    used: set[int],
    begin: tuple[int, int],
) -> tuple[list[SubPath], bool]:
    """Follow stretches from one of their ends; say whether the way comes back."""
    number, side = begin
    chain: list[SubPath] = []
    while True:
        used.add(number)
        path = stretches[number].path
        chain.append(path if side == 0 else _reverse(path))
        following = partner.get((number, 1 - side))
        if following is None:
            return chain, False
        if following[0] in used:
            return chain, following == begin
        number, side = following


def _partners(stretches: Sequence[Stretch]) -> dict[EndKey, EndKey]:
    """Pair ends of different pages that meet, the nearest first."""
    places: dict[tuple[int, int], list[EndKey]] = defaultdict(list)
    ends: dict[EndKey, tuple[complex, complex]] = {}
    for number, each in enumerate(stretches):
        if each.path.closed or not each.path.segments:
            continue
        for side, (at, way) in enumerate(ends_of(each.path)):
            ends[number, side] = at, way
            places[round(at.real / _FARTHEST), round(at.imag / _FARTHEST)].append((number, side))
    pairs: list[tuple[float, EndKey, EndKey]] = []
    for one, (at, way) in ends.items():
        column, row = round(at.real / _FARTHEST), round(at.imag / _FARTHEST)
        for other in (end for x in (-1, 0, 1) for y in (-1, 0, 1) for end in places.get((column + x, row + y), ())):
            a, b = stretches[one[0]], stretches[other[0]]
            if one < other and a.look == b.look and a.page != b.page:
                there, its = ends[other]
                gap = (there - at) * way.conjugate()
                if abs(gap.imag) < _MEET and abs(gap.real) < _FARTHEST and (way * its.conjugate()).real < -0.95:
                    pairs.append((abs(gap), one, other))
    found: dict[EndKey, EndKey] = {}
    for _, one, other in sorted(pairs):
        if one not in found and other not in found:
            found[one], found[other] = other, one
    return found


def _reverse(path: SubPath) -> SubPath:
    nodes = [path.start, *(segment[-1] for segment in path.segments)]
    turned = [(*reversed(segment[:-1]), before) for segment, before in zip(path.segments, nodes, strict=False)]
    return SubPath(nodes[-1], tuple(reversed(turned)), path.closed)


def _whole(chain: Sequence[SubPath], *, closed: bool) -> SubPath:
    """Make one stretch of several; a straight line that was cut is one segment again."""
    if len(chain) == 1 and not closed:
        return chain[0]
    segments: list[tuple[complex, ...]] = list(chain[0].segments)
    start = chain[0].start
    nodes = [start, *(segment[-1] for segment in segments)]
    for path in chain[1:]:
        first, *rest = path.segments
        before = nodes[-2]
        if len(first) == 1 and len(segments[-1]) == 1 and _in_line(before, nodes[-1], first[0]):
            segments[-1], nodes[-1] = first, first[-1]
        else:
            segments.append(first)
            nodes.append(first[-1])
        for segment in rest:
            segments.append(segment)
            nodes.append(segment[-1])
    straight = closed and len(segments) > 2 and len(segments[0]) == len(segments[-1]) == 1
    if straight and _in_line(nodes[-2], start, segments[0][0]):
        start = nodes[-2]
        segments = segments[:-1]
    if closed and segments and abs(segments[-1][-1] - start) < _FARTHEST:
        segments[-1] = (*segments[-1][:-1], start)
    return SubPath(start, tuple(segments), closed)


def _in_line(before: complex, at: complex, after: complex) -> bool:
    whole = after - before
    return abs(whole) > 0 and abs(((at - before) * whole.conjugate()).imag) / abs(whole) < _STRAIGHT


def stretches_of(mark: Line, path: SubPath, page: int) -> Stretch:
    """Take one stretch of a line."""
    return Stretch(path, mark.style, mark.layer, look_of(mark), page)
