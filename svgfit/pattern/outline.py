"""From the shapes on a stitch or cut line layer to one closed outline. Page mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.model.drawing import LineStyle, Shape
from svgfit.model.length import both_ways, on_page
from svgfit.model.refusal import Refusal
from svgfit.pattern.cleanup.duplicates import covered, middle_of_ring, same_curve, without_doubles, without_overlaps
from svgfit.pattern.cleanup.slivers import clean_line, moved_ends, without_specks
from svgfit.pattern.join_paths import Loop, bridge_gaps, find_chains, find_loops
from svgfit.pattern.recognise.darts import Mouth
from svgfit.rules.drawing_habits import ENDS_MEET, LIKE_SIZE, LISTED_SIZE, MOST_BRIDGED

__all__ = ["ENDS_MEET", "Outline", "find_outline", "same_curve", "without_specks"]

MOST = 5000
"""More separate open lines than this are no outline that anybody drew."""
MOST_LISTED = 24
"""Of more outlines than this a message lists only the smallest."""


class Outline(Struct, frozen=True):
    """A closed loop, and where it had to be bridged (the largest gap first)."""

    loop: Curve
    """The line, closed, page mm; gaps and mouths of darts are bridged straight."""
    gaps: tuple[tuple[complex, complex], ...] = ()
    """Start and end of what had to be bridged."""
    notes: tuple[str, ...] = ()
    """What was left out or done to it, in words for people."""
    mouths: tuple[Mouth, ...] = ()
    """Darts cut out of the drawn line; in ``loop`` their mouths are bridged."""

    @property
    def bridges(self) -> tuple[tuple[complex, complex], ...]:
        """Everything that is bridged, gaps and mouths of darts: no corners of the piece."""
        return (*self.gaps, *((mouth.start, mouth.end) for mouth in self.mouths))


def find_outline(shapes: Sequence[Shape], where: str, join: float = ENDS_MEET) -> Outline:
    """Find the piece's outline among the shapes of its line layer.

    The closed curve, or the loop of open ones, that encloses most. Open lines are joined in any order and direction:
    ends within ``join`` mm meet, the strokes of a dashed line are made one line, a larger gap is bridged straight and
    told. What is drawn twice counts once; what joins nothing is left out, with a note. Refuses a layer without a line.
    """
    found, lines, looks, notes = _drawn_lines(shapes, join)
    if not found and not lines:
        raise Refusal(where, "no line is drawn on its line layer", "draw the outline there as one closed path")
    if len(lines) > MOST:
        what = f"its line layer holds {len(lines)} separate open lines"
        raise Refusal(where, what, "join them in the program that drew them")
    loose: list[Curve] = []
    nearly: list[Loop] = []
    if lines:
        alike, taken = _joined_alike(lines, looks, join)
        kept, single = _single(lines, range(len(lines)))
        rest = [k for k, number in enumerate(kept) if number not in taken]
        looks, lines = [looks[k] for k in kept], single
        mixed = [_of(loop, rest, looks) for loop in find_loops([lines[k] for k in rest], join)]
        found += [*alike, *mixed]
        used = {k for loop in mixed for k in loop.lines}
        rest = [k for k in rest if k not in used]
        loose = [lines[k] for k in rest]
        shared = _with_shared(found, lines, looks, join) if loose else None
        if shared is not None:
            found, loose = shared
        elif rest:
            nearly = _nearly_closed(loose, [looks[k] for k in rest], join, found)
    best = max(found, key=lambda loop: abs(loop.curve.area()), default=None)
    if best is not None:
        loose = [line for line in loose if not covered(line, best.curve, join)]
    if loose:
        best, loose = _with_loose(best, loose, join, notes)
    if best is None:
        raise Refusal(where, "no line is drawn on its line layer", "draw the outline there as one closed path")
    others = [loop for loop in found if loop is not best and not same_curve(loop.curve, best.curve)]
    _refuse_several(where, best, [*others, *(one for one in nearly if not covered(one.curve, best.curve, join))])
    if others:
        notes.append(f"{len(others)} more closed line(s) on its layer left out")
    if loose:
        longest = max(loose, key=lambda line: line.length(1e-2))
        notes.append(
            f"{len(loose)} stray line(s) on its layer left out, the longest {both_ways(longest.length(1e-2))} long, "
            f"{on_page(longest.start)}"
        )
    return Outline(best.curve, best.gaps, tuple(notes))


def _joined_alike(lines: Sequence[Curve], looks: Sequence[LineStyle], join: float) -> tuple[list[Loop], set[int]]:
    """Join to closed loops what is drawn alike; also the numbers of the lines they are made of.

    An edge that sizes share is drawn once for each of them: it is a double only of what is drawn like it.
    """
    alike: dict[LineStyle, list[int]] = {}
    for k, style in enumerate(looks):
        alike.setdefault(style, []).append(k)
    found: list[Loop] = []
    for members in alike.values() if len(alike) > 1 else ():
        kept, single = _single(lines, members)
        found += [_of(loop, kept, looks) for loop in find_loops(single, join)]
    return found, {k for loop in found for k in loop.lines}


def _single(lines: Sequence[Curve], members: Sequence[int]) -> tuple[list[int], list[Curve]]:
    """Choose those of the lines, by number, that are no doubles among them; also them without their overlaps."""
    single = without_doubles([lines[k] for k in members])
    kept = {id(line) for line in single}
    return [k for k in members if id(lines[k]) in kept], without_overlaps(single)


def _of(loop: Loop, numbers: Sequence[int], looks: Sequence[LineStyle]) -> Loop:
    """Give a loop's lines the numbers that they have among all lines, and note how its first one is drawn."""
    own = frozenset(numbers[k] for k in loop.lines)
    return Loop(loop.curve, own, style=looks[min(own)])


def _with_shared(
    found: Sequence[Loop], lines: Sequence[Curve], looks: Sequence[LineStyle], join: float
) -> tuple[list[Loop], list[Curve]] | None:
    """Divide lines where others end on them, as on a hem that sizes share; None where that makes no larger outline."""
    from svgfit.pattern.shared_lines import joined_with_shared  # here because few outlines have such lines

    loops, parts, of = joined_with_shared(lines, join)
    best = max(loops, key=lambda loop: abs(loop.curve.area()), default=None)
    before = max((abs(loop.curve.area()) for loop in found), default=0.0)
    if best is None or abs(best.curve.area()) <= 1.02 * before:
        return None
    closed = [loop for loop in found if not loop.lines]
    styled = [Loop(loop.curve, loop.lines, style=looks[of[min(loop.lines)]]) for loop in loops]
    own = {of[k] for k in best.lines}  # what is left over of a line that is divided is no stray
    used = {k for loop in loops for k in loop.lines}
    return [*closed, *styled], [part for k, part in enumerate(parts) if k not in used and of[k] not in own]


def _nearly_closed(
    lines: Sequence[Curve], looks: Sequence[LineStyle], join: float, found: Sequence[Loop]
) -> list[Loop]:
    """Find outlines that lack an edge among lines that make no loop, those drawn alike together, closed straight.

    Or along the largest outline ``found``, drawn otherwise, on which they end: a hem or a fold that sizes share.
    """
    from svgfit.pattern.shared_lines import closed_along, nearly_closed  # here because most outlines are closed

    alike: dict[LineStyle, list[Curve]] = {}
    for line, style in zip(lines, looks, strict=True):
        alike.setdefault(style, []).append(line)
    best = max(found, key=lambda loop: abs(loop.curve.area()), default=None)
    nearly: list[Loop] = []
    for style, own in alike.items():
        curves = nearly_closed(own, join)
        if not curves and best is not None and style != best.style:
            curves = closed_along(own, best.curve, join)
        nearly += [Loop(curve, frozenset(), style=style) for curve in curves]
    return nearly


def _refuse_several(where: str, best: Loop, others: Sequence[Loop]) -> None:
    """Raise Refusal where more than one outline of like size is drawn, with the style and extent of each."""
    area = abs(best.curve.area())
    apart = [loop for loop in others if not _is_part(loop, best)]
    if not any(abs(loop.curve.area()) >= LIKE_SIZE * area for loop in apart):
        return
    # Here because few layers hold several, and these stand above this.
    from svgfit.pattern.line_sizes import by_area, describe, sizes_to_say
    from svgfit.pattern.piece_places import extent

    drawn = by_area([best, *(loop for loop in apart if abs(loop.curve.area()) >= LISTED_SIZE * area)])
    listed = "; ".join(f"{describe(loop.style)}, {extent(loop.curve)}" for loop in drawn[:MOST_LISTED])
    more = f"; and {len(drawn) - MOST_LISTED} more" if len(drawn) > MOST_LISTED else ""
    say = sizes_to_say([loop.style for loop in drawn])
    todo = "put each on a layer of its own, named for its size, or for its line if one is the cut line"
    if say is not None:
        todo += "; if they are sizes, write at the very top of svgfit.toml, with the sizes' names in place of "
        todo += f"size 1 and so on: {say}"
    what = f"{len(drawn)} outlines of like size lie on its layer where one is wanted: {listed}{more}"
    raise Refusal(where, what, todo)


def _is_part(loop: Loop, of: Loop) -> bool:
    """Say whether a loop is part of another that a line divides: most of it runs along that one, drawn alike.

    What is drawn closed by itself, or otherwise, is an outline of its own: sizes of a band share three of four edges.
    """
    if not loop.lines or loop.style != of.style:
        return False
    points = loop.curve.points(np.linspace(0, len(loop.curve), 129)[:-1])
    ring = of.curve.points(np.linspace(0, len(of.curve), 32 * len(of.curve) + 1))
    return float((distances(points, ring) <= 2 * ENDS_MEET).mean()) > 0.5


def _drawn_lines(shapes: Sequence[Shape], join: float) -> tuple[list[Loop], list[Curve], list[LineStyle], list[str]]:
    """Collect closed lines, open ones and how each is drawn, and what there is to say of them."""
    closed: list[Loop] = []
    lines: list[Curve] = []
    looks: list[LineStyle] = []
    notes: list[str] = []
    for shape in shapes:
        own: list[Curve] = []
        for curve, drawn_shut in zip(shape.curves, shape.closed, strict=True):
            shut = drawn_shut or abs(curve.end - curve.start) <= 1e-6
            line = clean_line(curve, shut)
            if line is None:
                continue
            if not shut and abs(line.end - line.start) <= join:
                meet = (line.start + line.end) / 2
                whole = clean_line(moved_ends(line, meet, meet), True)
                if whole is not None and abs(whole.area()) > 20 * join * join:
                    line, shut = whole, True
            if shut:
                own.append(line)
            else:
                lines.append(line)
                looks.append(shape.style)
        middle = middle_of_ring(own[0], own[1]) if len(own) == 2 else None
        if middle is not None:
            own = [middle]
            notes.append("outline: the middle between the two sides of an expanded stroke")
        closed += [Loop(line, frozenset(), style=shape.style) for line in own]
    return closed, lines, looks, notes


def _with_loose(
    best: Loop | None, lines: list[Curve], join: float, notes: list[str]
) -> tuple[Loop | None, list[Curve]]:
    """Find the outline where some open lines make no loop: dashes joined, else gaps bridged; and the strays.

    A bridged loop counts only where nothing closed is nearly as large, and little of it is bridge.
    """
    from svgfit.pattern.cleanup.dashes import join_dashes  # here because few outlines are drawn in loose lines

    chains = find_chains(lines, join)
    dashed = join_dashes(chains)
    if dashed is not None:
        chains, count = dashed
        shut = [line for line in chains if line.is_closed()]
        largest = max(shut, key=lambda line: abs(line.area()), default=None)
        if largest is not None and (best is None or abs(largest.area()) > abs(best.curve.area())):
            notes.append(f"outline: joined from {count} strokes of a dashed line")
            return Loop(largest, frozenset()), [line for line in chains if not line.is_closed()]
    loop, strays = bridge_gaps(chains, join)
    bridged = sum(abs(b - a) for a, b in loop.gaps)
    if best is None or (
        abs(loop.curve.area()) > 1.5 * abs(best.curve.area()) and bridged < MOST_BRIDGED * loop.curve.length(1e-2)
    ):
        if dashed is not None:
            notes.append(f"outline: joined from {dashed[1]} strokes of a dashed line")
        if loop.overrun:
            corners = f"{len(loop.overrun)} corner{'s' if len(loop.overrun) > 1 else ''}"
            far = both_ways(max(loop.overrun))
            notes.append(f"outline: its lines run on beyond {corners}, by up to {far}; cut off where they cross")
        return loop, strays
    return best, chains
