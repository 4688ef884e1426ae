"""Open lines joined end to end to closed loops, whatever their order and direction. Page mm."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import intersections
from svgfit.model.drawing import LineStyle
from svgfit.pattern.cleanup.slivers import moved_ends
from svgfit.rules.drawing_habits import WIDEST_GAP

Step = tuple[int, bool]
"""A line by its index, and whether it is walked from its end to its start."""


class Loop(Struct, frozen=True):
    """A closed loop of several lines."""

    curve: Curve
    lines: frozenset[int]
    """Which lines it is made of."""
    gaps: tuple[tuple[complex, complex], ...] = ()
    """Bridged straight, the largest first."""
    overrun: tuple[float, ...] = ()
    """How far lines ran on beyond corners where they were cut off, mm."""
    style: LineStyle = LineStyle()
    """How it is drawn, or the first of its lines."""


def find_loops(lines: Sequence[Curve], join: float) -> list[Loop]:
    """Find the closed loops of lines whose ends meet within ``join`` mm, the largest first.

    Where more than two ends meet, the loop that encloses most is the outline; lines that end in nothing are no part.
    """
    node = _meeting_places(lines, join)
    alive = {k for k in range(len(lines)) if node[2 * k] != node[2 * k + 1] or lines[k].length(1e-2) > 4 * join}
    around = _ends_at(node, alive)
    loose = [place for place, ends in around.items() if len(ends) == 1]
    while loose:
        ends = around[loose.pop()]
        for end in list(ends):
            alive.discard(end // 2)
            for mine in (end, end ^ 1):
                around[node[mine]].discard(mine)
                if len(around[node[mine]]) == 1:
                    loose.append(node[mine])
    cycles = _cycles(lines, node, around, alive)
    loops = [Loop(chain_lines(lines, cycle), frozenset(k for k, _ in cycle)) for cycle in cycles]
    loops = [loop for loop in loops if abs(loop.curve.area()) > join * join]
    return sorted(loops, key=lambda loop: -abs(loop.curve.area()))


def _meeting_places(lines: Sequence[Curve], join: float) -> list[int]:
    """Give the ends numbers (2k the start, 2k + 1 the end of line k): those with one number meet.

    Ends that meet exactly are put together first, and are then no longer free for others further off.
    """
    ends = [end for line in lines for end in (line.start, line.end)]
    lengths = [line.length(1e-2) for line in lines]
    node = list(range(len(ends)))
    for within in sorted({min(1e-3, join), join / 10, join}):
        free = _singles(node)
        grid: dict[tuple[int, int], list[int]] = {}
        for k in free:
            grid.setdefault((int(ends[k].real // within), int(ends[k].imag // within)), []).append(k)
        for (x, y), members in grid.items():
            near = [m for dx in (-1, 0, 1) for dy in (-1, 0, 1) for m in grid.get((x + dx, y + dy), ())]
            for k in members:
                for m in near:
                    if m <= k or abs(ends[k] - ends[m]) > within or (k ^ 1 == m and lengths[k // 2] <= 4 * within):
                        continue
                    _unite(node, k, m)
        node = [_root(node, k) for k in range(len(node))]
    return node


def _singles(node: Sequence[int]) -> list[int]:
    counts: dict[int, int] = {}
    for place in node:
        counts[place] = counts.get(place, 0) + 1
    return [k for k, place in enumerate(node) if counts[place] == 1]


def _root(node: list[int], k: int) -> int:
    while node[k] != k:
        node[k] = node[node[k]]
        k = node[k]
    return k


def _unite(node: list[int], first: int, second: int) -> None:
    a, b = _root(node, first), _root(node, second)
    node[max(a, b)] = min(a, b)


def _ends_at(node: Sequence[int], alive: set[int]) -> dict[int, set[int]]:
    around: dict[int, set[int]] = {}
    for end, place in enumerate(node):
        if end // 2 in alive:
            around.setdefault(place, set()).add(end)
    return around


def _cycles(
    lines: Sequence[Curve], node: Sequence[int], around: dict[int, set[int]], alive: set[int]
) -> list[list[Step]]:
    """Walk round every face of the net that the lines make, cut each walk where it comes to a place again."""
    following: dict[int, int] = {}
    for ends in around.values():
        if len(ends) < 2:
            continue
        # Each walk that arrives by one end leaves by the next one round the place.
        turned = sorted(ends) if len(ends) == 2 else sorted(ends, key=lambda end: _angle(lines[end // 2], end % 2 == 1))
        for k, end in enumerate(turned):
            following[end] = turned[(k + 1) % len(turned)]
    waiting = {end for k in alive for end in (2 * k, 2 * k + 1)}
    found: dict[frozenset[int], list[Step]] = {}
    while waiting:
        leaving = min(waiting)
        face: list[int] = []
        while leaving in waiting:
            waiting.discard(leaving)
            face.append(leaving)
            leaving = following[leaving ^ 1]
        for cycle in _parted(face, node):
            found.setdefault(frozenset(end // 2 for end in cycle), [(end // 2, end % 2 == 1) for end in cycle])
    return [cycle for lines_of, cycle in found.items() if len(lines_of) == len(cycle)]


def _parted(face: Sequence[int], node: Sequence[int]) -> list[list[int]]:
    """Part a closed walk where it comes to a place again, so that each part comes to each of its places once."""
    parts: list[list[int]] = []
    walk: list[int] = []
    for end in face:
        walk.append(end)
        arrived = node[end ^ 1]
        back = next((k for k, other in enumerate(walk) if node[other] == arrived), None)
        if back is not None:
            parts.append(walk[back:])
            walk = walk[:back]
    return parts


def _angle(line: Curve, from_end: bool) -> float:
    """Find the direction in which a line leaves the place of one of its ends, a little way on."""
    away = line.reverse() if from_end else line
    points = away.points(np.linspace(0, min(1.0, len(away)), 17))
    reach = min(3.0, abs(complex(points[-1]) - away.start) / 2)
    far = int(np.argmax(np.abs(points - away.start) >= reach))
    return float(np.angle(points[max(far, 1)] - away.start))


def chain_lines(lines: Sequence[Curve], steps: Sequence[Step], *, closed: bool = True) -> Curve:
    """Join lines walked in order into one curve, ends that are a little apart put in their middle."""
    walked = [lines[k].reverse() if turned else lines[k] for k, turned in steps]
    meeting = [(a.end + b.start) / 2 for a, b in itertools.pairwise(walked)]
    if closed:
        last = (walked[-1].end + walked[0].start) / 2
        starts, ends = [last, *meeting], [*meeting, last]
    else:
        starts, ends = [walked[0].start, *meeting], [*meeting, walked[-1].end]
    moved = [moved_ends(line, a, b) for line, a, b in zip(walked, starts, ends, strict=True)]
    return Curve.chain(moved)


def find_chains(lines: Sequence[Curve], join: float) -> list[Curve]:
    """Join lines whose ends meet within ``join`` mm into longer open ones: nearest ends first, each used once."""
    lengths = [line.length(1e-2) for line in lines]
    found = link_ends(len(lines), [(a, b) for _, a, b in near_ends(lines, join)])
    return [chain_lines(lines, _as_drawn(steps, lengths), closed=False) for steps in found]


def _as_drawn(steps: Sequence[Step], lengths: Sequence[float]) -> list[Step]:
    """Turn the steps to the direction in which the longest line among them was drawn."""
    if max(steps, key=lambda step: lengths[step[0]])[1]:
        return [(k, not turned) for k, turned in reversed(steps)]
    return list(steps)


def near_ends(lines: Sequence[Curve], within: float) -> list[tuple[float, int, int]]:
    """Pair near ends (2k the start, 2k + 1 the end of line k) of different lines, with distances, nearest first."""
    ends = [end for line in lines for end in (line.start, line.end)]
    grid: dict[tuple[int, int], list[int]] = {}
    for k, end in enumerate(ends):
        grid.setdefault((int(end.real // within), int(end.imag // within)), []).append(k)
    found: list[tuple[float, int, int]] = []
    for (x, y), members in grid.items():
        near = [m for dx in (-1, 0, 1) for dy in (-1, 0, 1) for m in grid.get((x + dx, y + dy), ())]
        for k in members:
            for m in near:
                if m // 2 > k // 2 and abs(ends[k] - ends[m]) <= within:
                    found.append((abs(ends[k] - ends[m]), k, m))
    return sorted(found)


def link_ends(count: int, pairs: Sequence[tuple[int, int]]) -> list[list[Step]]:
    """Link ``count`` lines to open chains by pairs of ends, the best pair first; no end twice, no chain closed."""
    partner: dict[int, int] = {}
    chain = list(range(count))
    for a, b in pairs:
        if a in partner or b in partner or _root(chain, a // 2) == _root(chain, b // 2):
            continue
        partner[a], partner[b] = b, a
        _unite(chain, a // 2, b // 2)
    chains: list[list[Step]] = []
    done: set[int] = set()
    for k in range(count):
        if k in done or (2 * k in partner and 2 * k + 1 in partner):
            continue
        leaving = 2 * k if 2 * k not in partner else 2 * k + 1
        steps: list[Step] = []
        while True:
            steps.append((leaving // 2, leaving % 2 == 1))
            done.add(leaving // 2)
            arrived = leaving ^ 1
            if arrived not in partner:
                break
            leaving = partner[arrived]
        chains.append(steps)
    return chains


def bridge_gaps(lines: Sequence[Curve], join: float) -> tuple[Loop, list[Curve]]:
    """Join open lines that do not all meet into one loop, gaps bridged straight; also the lines left out of it.

    Nearest ends first. Left out are lines with which there would be more to bridge than without (a tick beside the
    outline, a grain line inside it), unless they are the greater part of what is drawn.
    """
    lengths = [line.length(1e-2) for line in lines]
    used = sorted(range(len(lines)), key=lambda k: -lengths[k])[:MOST]
    ends = [end for line in lines for end in (line.start, line.end)]
    pairs = sorted(
        (abs(ends[a] - ends[b]), a, b)
        for k in used
        for m in used
        if m > k
        for a in (2 * k, 2 * k + 1)
        for b in (2 * m, 2 * m + 1)
    )
    steps, total = _round(len(lines), pairs, ends, used)
    while len(used) > 1:
        tries: list[tuple[float, int]] = []
        for k in used:
            rest = [m for m in used if m != k]
            if lengths[k] < sum(lengths[m] for m in rest):
                tries.append((_round(len(lines), pairs, ends, rest)[1], k))
        if not tries or min(tries)[0] >= total:
            break
        used = [m for m in used if m != min(tries)[1]]
        steps, total = _round(len(lines), pairs, ends, used)
    steps = _as_drawn(steps, lengths)
    loop = _bridged(lines, steps, join, frozenset(used))
    return loop, [line for k, line in enumerate(lines) if k not in loop.lines]


def _bridged(lines: Sequence[Curve], steps: Sequence[Step], join: float, used: frozenset[int]) -> Loop:
    walked = [lines[k].reverse() if turned else lines[k] for k, turned in steps]
    starts, ends = [line.start for line in walked], [line.end for line in walked]
    n = len(walked)
    overrun: list[float] = []
    for k in range(n if n > 1 else 0):
        crossing = (
            None if abs(starts[(k + 1) % n] - ends[k]) <= join else _crossed(walked[k], walked[(k + 1) % n], join)
        )
        if crossing is not None:
            walked[k], walked[(k + 1) % n], beyond = crossing
            ends[k] = starts[(k + 1) % n] = walked[k].end
            overrun.append(beyond)
    for k in range(n):
        if abs(starts[(k + 1) % n] - ends[k]) <= join:
            ends[k] = starts[(k + 1) % n] = (starts[(k + 1) % n] + ends[k]) / 2
    parts: list[Curve] = []
    gaps: list[tuple[complex, complex]] = []
    for k, line in enumerate(walked):
        parts.append(moved_ends(line, starts[k], ends[k]))
        after = starts[(k + 1) % n]
        if ends[k] != after:
            gaps.append((ends[k], after))
            parts.append(Curve.polyline([ends[k], after]))
    gaps.sort(key=lambda gap: -abs(gap[1] - gap[0]))
    return Loop(Curve.chain(parts), used, tuple(gaps), tuple(overrun))


def _crossed(first: Curve, second: Curve, join: float) -> tuple[Curve, Curve, float] | None:
    """Cut two lines off where they cross, or one ends on the other, just before the first's end and the second's start.

    Also how much the longer of the two ends is that is cut off, mm; None where they don't cross there.
    """
    lengths = [line.length(1e-2) for line in (first, second)]
    reach = [min(WIDEST_GAP, length / 3) for length in lengths]
    tail = first.at_length(lengths[0] - reach[0], 1e-2)
    head = second.at_length(reach[1], 1e-2)
    ends, begins = first.subcurve(tail, len(first)), second.subcurve(0, head)
    found = intersections(ends, begins) or [
        at for at, away in _touching(ends, begins) if away <= join and abs(ends.end - begins.start) > join
    ]
    if not found:
        return None
    t, u = max(found, key=lambda each: each[0] / len(ends) - each[1] / len(begins))
    beyond = max(ends.length_between(t, len(ends)), begins.length_between(0, u))
    kept = Curve.chain([first.subcurve(0, tail), ends.subcurve(0, t)]) if t > 0 else first.subcurve(0, tail)
    rest = Curve.chain([begins.subcurve(u, len(begins)), second.subcurve(head, len(second))])
    return kept, moved_ends(rest, kept.end, rest.end), beyond


def _touching(first: Curve, second: Curve) -> list[tuple[tuple[float, float], float]]:
    """Find where the second's start is nearest to the first, and the first's end to the second, and how near."""
    t, from_start = first.nearest(second.start)
    u, from_end = second.nearest(first.end)
    return [((t, 0.0), from_start), ((float(len(first)), u), from_end)]


MOST = 24
"""Of more open lines than this, only the longest are tried for an outline with gaps."""


def _round(
    count: int, pairs: Sequence[tuple[float, int, int]], ends: Sequence[complex], used: Sequence[int]
) -> tuple[list[Step], float]:
    """Find a way round some of the lines, and how much of it has to be bridged (mm)."""
    own = set(used)
    chains = link_ends(count, [(a, b) for _, a, b in pairs if a // 2 in own and b // 2 in own])
    steps = next(chain for chain in chains if chain[0][0] in own)
    left = [ends[2 * k + (0 if turned else 1)] for k, turned in steps]
    come = [ends[2 * k + (1 if turned else 0)] for k, turned in steps]
    return steps, sum(abs(a - b) for a, b in zip(left, [*come[1:], come[0]], strict=True))
