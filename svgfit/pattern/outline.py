"""From the shapes on a stitch or cut line layer to one closed outline. Page mm."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.length import both_ways, on_page
from svgfit.model.refusal import Refusal
from svgfit.pattern.cleanup.duplicates import covered, middle_of_ring, same_curve, without_doubles, without_overlaps
from svgfit.pattern.cleanup.slivers import clean_line, moved_ends, without_specks
from svgfit.pattern.join_paths import Loop, bridge_gaps, find_chains, find_loops
from svgfit.pattern.recognise.darts import Mouth
from svgfit.rules.drawing_habits import ENDS_MEET, MOST_BRIDGED

__all__ = ["ENDS_MEET", "Outline", "find_outline", "same_curve", "without_specks"]

MOST = 5000
"""More separate open lines than this are no outline that anybody drew."""


class Outline(Struct, frozen=True):
    """A closed loop, and where it had to be bridged (the largest gap first)."""

    loop: Curve
    gaps: tuple[tuple[complex, complex], ...] = ()
    notes: tuple[str, ...] = ()
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
    closed, lines, notes = _drawn_lines(shapes, join)
    if not closed and not lines:
        raise Refusal(where, "no line is drawn on its line layer", "draw the outline there as one closed path")
    if len(lines) > MOST:
        what = f"its line layer holds {len(lines)} separate open lines"
        raise Refusal(where, what, "join them in the program that drew them")
    found = [Loop(curve, frozenset()) for curve in closed]
    loose: list[Curve] = []
    if lines:
        lines = without_overlaps(without_doubles(lines))
        joined = find_loops(lines, join)
        used = {k for loop in joined for k in loop.lines}
        found += joined
        loose = [line for k, line in enumerate(lines) if k not in used]
    best = max(found, key=lambda loop: abs(loop.curve.area()), default=None)
    if best is not None:
        loose = [line for line in loose if not covered(line, best.curve, join)]
    if loose:
        best, loose = _with_loose(best, loose, join, notes)
    if best is None:
        raise Refusal(where, "no line is drawn on its line layer", "draw the outline there as one closed path")
    others = sum(1 for loop in found if loop is not best and not same_curve(loop.curve, best.curve))
    if others:
        notes.append(f"{others} more closed line(s) on its layer left out")
    if loose:
        longest = max(loose, key=lambda line: line.length(1e-2))
        notes.append(
            f"{len(loose)} stray line(s) on its layer left out, the longest {both_ways(longest.length(1e-2))} long, "
            f"{on_page(longest.start)}"
        )
    return Outline(best.curve, best.gaps, tuple(notes))


def _drawn_lines(shapes: Sequence[Shape], join: float) -> tuple[list[Curve], list[Curve], list[str]]:
    """Collect closed lines, open ones, and what there is to say of them."""
    closed: list[Curve] = []
    lines: list[Curve] = []
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
            (own if shut else lines).append(line)
        middle = middle_of_ring(own[0], own[1]) if len(own) == 2 else None
        if middle is not None:
            own = [middle]
            notes.append("outline: the middle between the two sides of an expanded stroke")
        closed += own
    return closed, lines, notes


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
        return loop, strays
    return best, chains
