"""Dashed lines that a program wrote as single strokes, made one line with its dashes again. Page mm, y down.

Such strokes follow one another in the file as along the line; so a stroke goes on in the next one, or the line ends.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median

from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.layered_svg import SubPath
from svgfit.formats.pdf.records import Line, Writing, ends_of, points_of

_FEWEST = 6
"""Fewer strokes than this are no dashed line."""
_LONGEST = 40.0
"""A dash is no longer than this, mm …"""
_WIDEST = 15.0
"""… and a gap no wider."""
_TOUCH = 0.05
"""Strokes whose ends are nearer than this, mm, are one dash: programs split them at nodes."""
_AHEAD = 0.6
"""A stroke goes on within this of straight ahead, radians; what turns more has a corner in the gap."""
_ALIKE = 0.2
"""Dashes and gaps that repeat differ by no more than this part of them (and 0.1 mm)."""
_REPEATS = 0.7
"""So many of them must repeat: the last ones before a corner or the end may be cut short."""


class _Stroke(Struct, frozen=True):
    path: SubPath
    length: float
    ways: tuple[complex, complex]
    """Unit vectors along which it runs, at its start and at its end."""


def join_exploded(marks: Sequence[Line | Writing]) -> list[Line | Writing]:
    """Join strokes that follow one another as the dashes of a line do; all else stays as it is, in its order."""
    found: list[Line | Writing] = []
    run: list[Line] = []
    for mark in marks:
        if isinstance(mark, Line) and _may_be_dashes(mark):
            if run and (run[-1].layer, run[-1].style) != (mark.layer, mark.style):
                found += _joined(run)
                run = []
            run.append(mark)
        else:
            found += _joined(run)
            run = []
            found.append(mark)
    found += _joined(run)
    known = {id(mark) for mark in marks}
    new = [mark for mark in found if isinstance(mark, Line) and mark.style.dash and id(mark) not in known]
    alike = {id(mark): kind for mark, kind in zip(new, _of_one_kind(new), strict=True)}
    return [alike.get(id(mark), mark) for mark in found]


def _may_be_dashes(mark: Line) -> bool:
    style = mark.style
    return (
        style.stroke is not None and style.fill is None and not style.dash and not any(p.closed for p in mark.subpaths)
    )


def _joined(run: Sequence[Line]) -> Iterator[Line]:
    """Yield the lines of one look that follow each other in the file: dashes joined, what is none as it was."""
    strokes = [(number, _stroke(path)) for number, line in enumerate(run) for path in line.subpaths]
    if len(strokes) < _FEWEST:
        yield from run
        return
    begins: dict[int, list[Line]] = {}
    taken: set[int] = set()
    for first, last in _chains([stroke for _, stroke in strokes]):
        own = [stroke for _, stroke in strokes[first:last]]
        dash = _pattern(own) if len(own) >= _FEWEST else ()
        if dash:
            line = run[strokes[first][0]]
            whole = replace(line, subpaths=(_bridged(own),), style=replace(line.style, dash=dash))
            begins.setdefault(strokes[first][0], []).append(whole)
            taken.update(range(first, last))
    left: dict[int, list[SubPath]] = {}
    for place, (number, stroke) in enumerate(strokes):
        if place not in taken:
            left.setdefault(number, []).append(stroke.path)
    for number, line in enumerate(run):
        yield from begins.get(number, ())
        rest = left.get(number, [])
        if rest:
            yield line if len(rest) == len(line.subpaths) else replace(line, subpaths=tuple(rest))


def _chains(strokes: Sequence[_Stroke]) -> Iterator[tuple[int, int]]:
    """Yield where strokes that go on in each other begin and end, each a slice of them all."""
    first = 0
    for place in range(1, len(strokes)):
        if not _goes_on(strokes[max(first, place - 12) : place], strokes[place]):
            yield first, place
            first = place
    yield first, len(strokes)


def _stroke(path: SubPath) -> _Stroke:
    length = sum(abs(b - a) for a, b in pairwise(points_of(path)))
    (_, before), (_, behind) = ends_of(path)
    return _Stroke(path, length, (-before, behind))


def _goes_on(chain: Sequence[_Stroke], other: _Stroke) -> bool:
    """Say whether a chain of dashes goes on in a stroke: near, ahead, and over a gap like those before."""
    last = chain[-1]
    gap = other.path.start - last.path.end
    if max(last.length, other.length) > _LONGEST or abs(gap) > _WIDEST:
        return False
    if abs(gap) < _TOUCH:
        return True
    known = [abs(b.path.start - a.path.end) for a, b in pairwise(chain[-12:])]
    if max(known, default=0.0) > _TOUCH and abs(gap) > 1.6 * max(known) + 0.2:
        return False
    way = gap / abs(gap)
    out, into = last.ways[1], other.ways[0]
    if _turn(out, way) < _AHEAD and _turn(way, into) < _AHEAD:
        return True
    return _corner(last, other) is not None


def _turn(one: complex, other: complex) -> float:
    return abs(cmath.phase(other / one)) if one and other else cmath.pi


def _corner(one: _Stroke, other: _Stroke) -> complex | None:
    """Find the corner that lies in the gap, where both strokes meet if they run on; None for none."""
    a, b = one.path.end, other.path.start
    out, into = one.ways[1], other.ways[0]
    across = (out.conjugate() * into).imag
    if abs(across) < 0.3:
        return None
    along = ((b - a).conjugate() * into).imag / across
    back = (out.conjugate() * (b - a)).imag / across
    reach = 1.5 * abs(b - a) + 0.2
    return a + along * out if -0.2 <= along <= reach and -0.2 <= back <= reach else None


def _pattern(strokes: Sequence[_Stroke]) -> tuple[float, ...]:
    """Measure dashes and gaps in turn, as many as repeat, the longest dash first; () where nothing repeats."""
    dashes: list[float] = [strokes[0].length]
    gaps: list[float] = []
    for one, other in pairwise(strokes):
        gap = abs(other.path.start - one.path.end)
        if gap < _TOUCH:
            dashes[-1] += other.length
        else:
            gaps.append(gap)
            dashes.append(other.length)
    for period in (1, 2, 3):
        usual = [(median(dashes[k::period]), median(gaps[k::period])) for k in range(period) if gaps[k::period]]
        if len(usual) < period or len(dashes) < 3 * period:
            break
        good = [_alike(dash, usual[k % period][0]) for k, dash in enumerate(dashes)]
        even = [_alike(gap, usual[k % period][1]) for k, gap in enumerate(gaps)]
        if all(found.count(True) >= _REPEATS * len(found) for found in (good, even)):
            turned = max(usual[k:] + usual[:k] for k in range(period))
            return tuple(round(part, 1) for pair in turned for part in pair)
    return ()


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= _ALIKE * other + 0.1


def _of_one_kind(lines: Sequence[Line]) -> list[Line]:
    """Give joined lines whose dashes are alike the same dashes: those of the longest one."""
    kinds: list[tuple[float, ...]] = []
    for line in sorted(lines, key=lambda line: -len(line.subpaths[0].segments)):
        if not any(_same_kind(line.style.dash, kind) for kind in kinds):
            kinds.append(line.style.dash)
    alike = [next(kind for kind in kinds if _same_kind(line.style.dash, kind)) for line in lines]
    return [replace(line, style=replace(line.style, dash=kind)) for line, kind in zip(lines, alike, strict=True)]


def _same_kind(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == len(other) and all(_alike(a, b) for a, b in zip(one, other, strict=True))


def _bridged(strokes: Sequence[_Stroke]) -> SubPath:
    """Draw one line through all strokes, its gaps bridged tangent to both sides, or by the corner in them."""
    segments: list[tuple[complex, ...]] = []
    for one, other in pairwise(strokes):
        segments += [*one.path.segments, *_bridge(one, other)]
    segments += strokes[-1].path.segments
    closed = len(strokes) > _FEWEST and _goes_on(strokes, strokes[0])
    if closed:
        segments += _bridge(strokes[-1], strokes[0])
    return SubPath(strokes[0].path.start, tuple(segments), closed)


def _bridge(one: _Stroke, other: _Stroke) -> list[tuple[complex, ...]]:
    a, b = one.path.end, other.path.start
    gap = b - a
    if abs(gap) < _TOUCH:
        return []
    if _turn(one.ways[1], gap) < _AHEAD and _turn(gap, other.ways[0]) < _AHEAD:
        third = abs(gap) / 3
        return [(a + third * one.ways[1], b - third * other.ways[0], b)]
    corner = _corner(one, other)
    return [(corner,), (b,)] if corner is not None else [(b,)]
