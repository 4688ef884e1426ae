"""Lines that sizes share: a hem drawn once for all of them, or only in the largest size's layer. Page mm.

Where a line ends on another, within ``join`` mm, that one is divided there; a size whose own lines end on the outline
of another size is completed by the stretch of it between them.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from msgspec import Struct

from svgfit.geometry.box import box_holds, widen_box
from svgfit.geometry.curve import Curve
from svgfit.pattern.join_paths import Loop, chain_lines, find_chains, find_loops
from svgfit.rules.drawing_habits import MOST_OPEN, SHARED_LEAVES, SHORTEST_OUTLINE, SMALLEST_SIZE

MOST = 300
"""Among more open lines than this nobody drew shared ones by hand, and looking for them would take long."""


class Borrowed(Struct, frozen=True):
    """What a size lacks of its outline and another size has."""

    size: str
    """The other size."""
    lines: tuple[Curve, ...]

    @property
    def length(self) -> float:
        """How much is borrowed, mm."""
        return sum(line.length(1e-2) for line in self.lines)


def split_at_junctions(lines: Sequence[Curve], join: float) -> tuple[list[Curve], list[int]]:
    """Divide open lines where others end on them; also which of ``lines`` each part is of."""
    if not 1 < len(lines) <= MOST:
        return list(lines), list(range(len(lines)))
    boxes = [widen_box(line.control_box(), join) for line in lines]
    ends = [end for line in lines for end in (line.start, line.end)]
    free = [
        k
        for k, end in enumerate(ends)
        if all(abs(end - other) > join for m, other in enumerate(ends) if m // 2 != k // 2)
    ]
    cuts: dict[int, list[float]] = {}
    for k in free:
        for m, line in enumerate(lines):
            if m == k // 2 or not box_holds(boxes[m], ends[k]):
                continue
            t, away = line.nearest(ends[k], 1e-4)
            if away <= join and min(abs(ends[k] - line.start), abs(ends[k] - line.end)) > join:
                cuts.setdefault(m, []).append(line.snap_to_node(t, join))
    parts: list[Curve] = []
    of: list[int] = []
    for m, line in enumerate(lines):
        places = [0.0, *sorted(set(cuts.get(m, []))), float(len(line))]
        for a, b in itertools.pairwise(places):
            if b > a:
                parts.append(line.subcurve(a, b))
                of.append(m)
    return parts, of


def borrow(own: Sequence[Curve], others: Mapping[str, Sequence[Curve]], join: float) -> Borrowed | None:
    """Find what completes a size's open lines: the stretches of another size's outline on which they end.

    None where the lines make a loop by themselves, end elsewhere, or are too many.
    """
    open_lines = [line for line in own if not line.is_closed(join)]
    if not open_lines or len(open_lines) > MOST or len(open_lines) < len(own):
        return None
    if any(abs(loop.curve.area()) > join * join for loop in find_loops(split_at_junctions(open_lines, join)[0], join)):
        return None
    chains = find_chains(open_lines, join)
    ends = [end for chain in chains for end in (chain.start, chain.end)]
    if len(ends) > MOST:
        return None
    best: tuple[float, Borrowed] | None = None
    for size, lines in others.items():
        for loop in _outlines(lines, join):
            places = [loop.nearest(end, 1e-4) for end in ends]
            if any(away > join for _, away in places):
                continue
            for stretches in _between([t for t, _ in places], loop):
                area = max((abs(one.curve.area()) for one in find_loops([*chains, *stretches], join)), default=0.0)
                if area > SMALLEST_SIZE * abs(loop.area()) and (best is None or area > best[0]):
                    best = area, Borrowed(size, tuple(stretches))
    return best[1] if best is not None else None


def nearly_closed(lines: Sequence[Curve], join: float) -> list[Curve]:
    """Find the open lines that make most of an outline, and close them straight: what they enclose is then like it.

    For telling that there are several, and how large; not for measuring.
    """
    if len(lines) > MOST:
        return []
    found: list[Curve] = []
    for chain in find_chains(lines, join):
        length, gap = chain.length(1e-2), abs(chain.end - chain.start)
        if length >= SHORTEST_OUTLINE and join < gap <= MOST_OPEN * (length + gap):
            found.append(Curve.chain([chain, Curve.polyline([chain.end, chain.start])]))
    return found


def closed_along(lines: Sequence[Curve], loop: Curve, join: float) -> list[Curve]:
    """Close chains of lines that make no loop, and end on one, along it: the way that encloses more.

    For telling that there are several outlines, and how large; not for measuring.
    """
    if len(lines) > MOST:
        return []
    least = SHARED_LEAVES * loop.length(1e-2)
    found: list[Curve] = []
    for chain in find_chains(lines, join):
        ends = [loop.nearest(end) for end in (chain.start, chain.end)]
        if chain.is_closed() or chain.length(1e-2) < least or max(away for _, away in ends) > 2 * join:
            continue
        stretches = [part for parts in _between([t for t, _ in ends], loop) for part in parts]
        turned = [abs(part.end - chain.end) < abs(part.start - chain.end) for part in stretches]
        ways = [chain_lines([chain, one], [(0, False), (1, way)]) for one, way in zip(stretches, turned, strict=True)]
        found += [max(ways, key=lambda way: abs(way.area()))] if ways else []
    return found


def _outlines(lines: Sequence[Curve], join: float) -> list[Curve]:
    """Find the outlines that a size's lines make."""
    closed = [line for line in lines if line.is_closed()]
    loops = find_loops([line for line in lines if not line.is_closed()], join)
    return [*closed, *(loop.curve for loop in loops)]


def _between(places: Sequence[float], loop: Curve) -> list[list[Curve]]:
    """Cut a closed curve at places and give every second stretch, beginning with the first or with the second."""
    at = sorted(places)
    stretches: list[Curve | None] = [loop.subcurve(a, b) if b - a > 1e-9 else None for a, b in itertools.pairwise(at)]
    around = [
        part for a, b in ((at[-1], float(len(loop))), (0.0, at[0])) if b - a > 1e-9 for part in [loop.subcurve(a, b)]
    ]
    stretches.append(chain_lines(around, [(k, False) for k in range(len(around))], closed=False) if around else None)
    return [[part for part in stretches[first::2] if part is not None] for first in (0, 1)]


def joined_with_shared(lines: Sequence[Curve], join: float) -> tuple[list[Loop], list[Curve], list[int]]:
    """Join lines to loops where some end on others: the loops, the divided lines, and which line each is part of."""
    parts, of = split_at_junctions(lines, join)
    return (find_loops(parts, join) if len(parts) > len(lines) else []), parts, of
