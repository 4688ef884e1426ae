"""Tiles whose lines are cut at their edges: what goes on where, and how much two tiles overlap.

All in page mm, the same frame for each page. A page's *window* is what its lines fill: the same for all tiles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.formats.layered_svg import SubPath
from svgfit.formats.pdf.records import Line, Writing, ends_of
from svgfit.geometry.box import Box

Look = tuple[object, ...]
"""What one line has on both sides of a seam: layer and style."""
_AT_EDGE = 0.1
"""An end nearer to the window's edge than this, mm, is cut there."""
_GOES_OUT = 0.02
"""… where it goes out at a steeper slope than this."""
_MEET = 0.15
"""Ends nearer than this, mm, go on in each other."""
_ALONG = 0.3
"""… where their directions differ by less than this, radians (a curve may bend at the seam)."""
_WIDEST = 80.0
"""Tiles overlap by no more than this, mm."""
_STEEP = 0.08
"""A line that crosses a seam nearer to square than this slope says nothing of the overlap."""
_CHORDS = 12


class End(Struct, frozen=True):
    """Where a line is cut at one side of the window."""

    at: complex
    way: complex
    """Unit vector out of the window."""
    look: Look


class Side(Struct, frozen=True):
    """One page as seen across one axis: ends cut before and behind, and its lines as chords. Axis: x runs along it."""

    before: tuple[End, ...]
    behind: tuple[End, ...]
    chords: NDArray[np.complex128]
    """(n, 2): lines in chords, turned so that the axis is x."""
    looks: NDArray[np.int64]
    """(n,): number of the look of each chord."""


class Tiles(Struct, frozen=True):
    """All pages, looked at along one axis (0: across, 1: down)."""

    start: float
    """Where the window begins and ends along the axis."""
    end: float
    sides: tuple[Side, ...]
    looks: Mapping[Look, int]
    """Numbers of the looks."""


def window_of(pages: Sequence[Sequence[Line | Writing]]) -> Box:
    """Return the box that all pages' lines fill, by their nodes."""
    points = [point for marks in pages for mark in marks if isinstance(mark, Line) for point in _nodes(mark)]
    across, down = [point.real for point in points], [point.imag for point in points]
    return min(across), min(down), max(across), max(down)


def look_of(mark: Line) -> Look:
    """Return what a line keeps across a seam."""
    style = mark.style
    return mark.layer, style.stroke, round(style.width, 2), tuple(round(part, 1) for part in style.dash)


def tiles_along(pages: Sequence[Sequence[Line | Writing]], window: Box, axis: int) -> Tiles:
    """Look at the pages along an axis."""
    if axis:  # mirrored in the diagonal, so that the axis is x
        window = window[1], window[0], window[3], window[2]
    looks = _look_numbers(pages)
    return Tiles(window[0], window[2], tuple(_side(marks, window, axis, looks) for marks in pages), looks)


def _side(marks: Sequence[Line | Writing], window: Box, axis: int, numbers: Mapping[Look, int]) -> Side:
    before: list[End] = []
    behind: list[End] = []
    chords: list[complex] = []
    looks: list[int] = []
    for mark in marks:
        if not isinstance(mark, Line) or mark.style.stroke is None:
            continue
        look = look_of(mark)
        number = numbers[look]
        for path in mark.subpaths:
            turned = _turned(path, axis)
            if not path.closed:
                for at, way in ends_of(turned):
                    edge = _edge_of(at, way, window)
                    if edge == 0:
                        before.append(End(at, way, look))
                    elif edge == 2:
                        behind.append(End(at, way, look))
            own = _chords(turned)
            chords += own
            looks += [number] * (len(own) // 2)
    pairs = np.array(chords, dtype=complex).reshape(-1, 2)
    return Side(tuple(before), tuple(behind), pairs, np.array(looks, dtype=np.int64))


def _edge_of(at: complex, way: complex, window: Box) -> int | None:
    """Tell at which edge of the window (by its place in the box) a line that goes out there is cut; None for none."""
    away = (at.real - window[0], at.imag - window[1], window[2] - at.real, window[3] - at.imag)
    out = (-way.real, -way.imag, way.real, way.imag)
    found = [edge for edge in range(4) if abs(away[edge]) < _AT_EDGE and out[edge] > _GOES_OUT]
    return min(found, key=lambda edge: abs(away[edge])) if found else None


def _turned(path: SubPath, axis: int) -> SubPath:
    """Mirror a stretch in the diagonal, for the axis that runs down."""
    if axis == 0:
        return path
    segments = tuple(tuple(complex(point.imag, point.real) for point in segment) for segment in path.segments)
    return SubPath(complex(path.start.imag, path.start.real), segments, path.closed)


def _chords(path: SubPath) -> list[complex]:
    """Return the stretch as chords, start and end in turn."""
    found: list[complex] = []
    at = path.start
    for segment in path.segments:
        if len(segment) == 1:
            nodes = [at, segment[0]]
        else:
            one, two, end = segment
            steps = [k / _CHORDS for k in range(_CHORDS + 1)]
            nodes = [
                (1 - t) ** 3 * at + 3 * t * (1 - t) ** 2 * one + 3 * t * t * (1 - t) * two + t**3 * end for t in steps
            ]
        for one_end, other in pairwise(nodes):
            found += [one_end, other]
        at = segment[-1]
    if path.closed and at != path.start:
        found += [at, path.start]
    return found


def _nodes(mark: Line) -> Iterator[complex]:
    for path in mark.subpaths:
        yield path.start
        yield from (segment[-1] for segment in path.segments)


# -- how much tiles overlap ------------------------------------------------------------------------------------------


def overlaps(tiles: Tiles) -> list[float]:
    """Return overlaps, mm, that lines running slantwise over seams speak for, the likeliest first; 0 is always one.

    Every end cut at one page's far side is laid on the lines of every other page at its own height: how far inside they
    are met there is how much the two may overlap. True neighbours agree; others are spread over everything.
    """
    votes: list[float] = []
    for one, side in enumerate(tiles.sides):
        for other, across in enumerate(tiles.sides):
            if one != other:
                votes += _votes(side.behind, across, tiles.looks, tiles.start, +1)
                votes += _votes(side.before, across, tiles.looks, tiles.end, -1)
    found = np.sort(np.array([vote for vote in votes if -_MEET <= vote <= _WIDEST]))
    if not len(found):
        return [0.0]
    counts = np.searchsorted(found, found + 0.2) - np.arange(len(found))
    likely: list[float] = []
    for place in np.argsort(-counts, kind="stable"):
        group = found[place : place + counts[place]]
        middle = max(0.0, float(np.median(group)))
        if all(abs(middle - other) > 0.5 for other in likely):
            likely.append(middle)
        if len(likely) == 6:
            break
    return likely if any(each < 0.5 for each in likely) else [*likely, 0.0]


def _votes(ends: Sequence[End], across: Side, looks: Mapping[Look, int], edge: float, sign: int) -> list[float]:
    if not len(across.chords):
        return []
    first, last = across.chords[:, 0], across.chords[:, 1]
    found: list[float] = []
    for end in ends:
        if abs(end.way.imag) < _STEEP:
            continue
        same = across.looks == looks[end.look]
        low, high = first[same].imag - end.at.imag, last[same].imag - end.at.imag
        crosses = (low * high <= 0) & (low != high)
        share = low[crosses] / (low[crosses] - high[crosses])
        a, b = first[same][crosses], last[same][crosses]
        ways = (b - a) / np.abs(b - a)
        agrees = np.abs((ways * np.conjugate(end.way)).imag) < _ALONG
        found += (sign * ((a + share * (b - a)).real[agrees] - edge)).tolist()
    return found


# -- what goes on ----------------------------------------------------------------------------------------------------


class Seam(Struct, frozen=True):
    """How the lines of two neighbours fit."""

    on: int
    """Lines that go on from the one to the other, each counted once."""
    lost: int
    """Ends at the seam that lie on no line of the other."""
    away: float
    """How far in all the ends that go on lie from the other's lines, mm."""
    ends: int
    """How many those are."""


def fit(one: Side, other: Side, tiles: Tiles, over: float) -> Seam:
    """Lay ``other`` behind ``one`` with an overlap and look which lines go on."""
    step = tiles.end - tiles.start - over
    behind = [_distance(end, -step, other, tiles.looks) for end in one.behind]
    before = [_distance(end, +step, one, tiles.looks) for end in other.before]
    met = [[away for away in ends if away < _MEET] for ends in (behind, before)]
    count = sum(map(len, met))
    lost = len(behind) + len(before) - count
    return Seam(max(map(len, met)), lost, sum(map(sum, met)), count)


def _distance(end: End, shift: float, other: Side, looks: Mapping[Look, int]) -> float:
    """Measure how far an end, moved along the axis, lies from the next line of its look that runs the same way."""
    same = other.looks == looks[end.look]
    a, b = other.chords[same, 0], other.chords[same, 1]
    if not len(a):
        return math.inf
    at = end.at + shift
    along = b - a
    length = np.maximum(np.abs(along), 1e-12)
    part = np.clip(((at - a) * np.conjugate(along)).real / length**2, 0, 1)
    away = np.abs(a + part * along - at)
    ways = np.abs((along / length * np.conjugate(end.way)).imag) < _ALONG
    return float(np.where(ways | (length < 0.3), away, math.inf).min())


def _look_numbers(pages: Sequence[Sequence[Line | Writing]]) -> dict[Look, int]:
    """Give each look a number."""
    found: dict[Look, int] = {}
    for marks in pages:
        for mark in marks:
            if isinstance(mark, Line) and mark.style.stroke is not None:
                found.setdefault(look_of(mark), len(found))
    return found
