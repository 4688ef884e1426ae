"""A drawn cut line after its stitch line changed: kept where that stayed, else drawn anew. Piece frame, mm, y down.

What is kept has its maker's own control points (moved, where a part of the piece was moved rigidly). What is drawn anew
lies as far off as it lay there before, and its corners have the form that they had, or the convention's word for it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import extend_to_intersection, intersections, own_crossings
from svgfit.geometry.offset import OffsetFolds, Widths, offset_curve
from svgfit.geometry.polygon import distances
from svgfit.model.length import range_text
from svgfit.model.piece import CornerForm, CutStep, Dart, Redrawn
from svgfit.pattern.cut_beside import Kept, cut_place, stretch_of
from svgfit.pattern.cut_corners import DRAWN_MANNERS, PLAIN, Corner, Manner, join_corner, no_room, usual_manner
from svgfit.pattern.cut_sides import Drawn, Frame, Side, sides_of, was_between
from svgfit.pattern.dart_roof import pressed_towards_end, with_roof
from svgfit.rules.allowances import CORNER_ALIKE, RAMP

_PAST, _ENDS = 5.0, 8.0
"""Parts of a cut line that follow one another run past each other by no more than so many mm, within so many segments.
"""
_BETTER = 0.05
"""A manner fits a drawn corner better than one tried before it from so many mm on."""
_SPECK = 0.02
"""A segment shorter than this, mm, at the end of a part is left out."""


class Span(Struct, frozen=True):
    """A stretch of the drawn cut line, and how it is moved."""

    start: float
    end: float
    motion: Affine


Part = Span | Curve


def redraw(line: Curve, before: Drawn, after: CutStep, frame: Frame) -> Redrawn:
    """Draw a cut line for the stitch line as a step left it, from the one drawn beside it as it was.

    ``before``: edges and darts that the line was drawn beside. Raises Refusal where it can't be drawn.
    """
    sides, stays, parts = _parted(line, sides_of(line, before, after, frame), frame)
    anew = tuple(side.new.name for k, side in enumerate(sides) if _is_new(parts[k], _corners_reach(sides, k)))
    if all(stays) and all(_is_still(own) for own in parts):
        return Redrawn(line=line)
    varied = tuple((side.new.name, widths) for side in sides if (widths := side.varied()) is not None)
    notes = tuple(
        f"{name}: its drawn seam allowance varies, {range_text(least, most)}; what is redrawn varies as it did"
        for name, (least, most) in varied
        if name in anew
    )
    return Redrawn(line=_assembled(line, sides, parts, stays, frame), anew=anew, varied=varied, notes=notes)


# -- what stays, edge by edge -----------------------------------------------------------------------------------------


def _parted(line: Curve, sides: Sequence[Side], frame: Frame) -> tuple[Sequence[Side], list[bool], list[list[Part]]]:
    """Part the cut line beside each edge into what is kept and what is new, and say which corners stay.

    An edge whose new stretch has no room beside what is kept is drawn anew as a whole: so much more of it can be
    cut off in a tight hollow.
    """
    stays = _corners_that_stay(sides)
    parts: list[list[Part]] = []
    for k, side in enumerate(sides):
        try:
            parts.append(_along(line, side, (stays[k - 1], stays[k]), frame))
        except OffsetFolds as folded:
            if not side.kept:
                raise no_room(frame.where, side.new.name, side.wide, folded.radius) from folded
            return _parted(line, [*sides[:k], replace(side, kept=()), *sides[k + 1 :]], frame)
    return sides, stays, parts


def _corners_that_stay(sides: Sequence[Side]) -> list[bool]:
    """Say of the corner after each edge whether it stays as drawn: both its edges stayed there, and alike."""
    stays: list[bool] = []
    for k, side in enumerate(sides):
        one, two = side.stays_at(end=True), sides[(k + 1) % len(sides)].stays_at(end=False)
        stays.append(one is not None and two is not None and _same_motion(one.motion, two.motion))
    return stays


def _same_motion(one: Affine, two: Affine) -> bool:
    return all(abs(one.apply(at) - two.apply(at)) < 1e-6 for at in (0j, 1000 + 0j, 1000j))


def _along(line: Curve, side: Side, stays: tuple[bool, bool], frame: Frame) -> list[Part]:
    """Give the cut line along one edge: what is kept of the drawn one, and new stretches between."""
    curve, beside = side.new.curve, side.beside
    n = float(len(curve))
    found: list[Part] = []
    at, last = 0.0, None
    if beside is not None:
        for one in side.kept:
            span = _span(line, side, one)
            if span is None:
                continue
            start, end, part = span
            stays_here = one.start <= 1e-9 and (stays[0] or side.varied() is not None)
            if not stays_here and start > at + 1e-9:
                found.append(_new_stretch(line, side, (at, start), (last, part), frame))
            found.append(part)
            at, last = (n if one.end >= n - 1e-9 and (stays[1] or side.varied() is not None) else end), part
    if at < n - 1e-9:
        found.append(_new_stretch(line, side, (at, n), (last, None), frame))
    return found


def _span(line: Curve, side: Side, one: Kept) -> tuple[float, float, Span] | None:
    """Find what of the drawn cut line runs beside a kept stretch, and between which parameters of the new edge."""
    beside = side.beside
    assert beside is not None
    first, last = beside.place(0), beside.place(-1)
    was_start, was_end = max(one.was_start, first), min(one.was_end, last)
    if was_end <= was_start + 1e-9:
        return None
    span = Span(
        cut_place(line, side.old.curve, beside, was_start),
        cut_place(line, side.old.curve, beside, was_end),
        one.motion,
    )
    if span.end <= span.start + 1e-9:
        return None
    moved = [
        new if was == asked else side.new.curve.nearest(one.motion.apply(side.old.curve.point(was)))[0]
        for was, asked, new in ((was_start, one.was_start, one.start), (was_end, one.was_end, one.end))
    ]
    return moved[0], moved[1], span


def curve_of(line: Curve, part: Part) -> Curve:
    """Give a part of the cut line as a curve."""
    return part if isinstance(part, Curve) else stretch_of(line, part.start, part.end).transform(part.motion)


def _new_stretch(
    line: Curve, side: Side, between: tuple[float, float], beside: tuple[Span | None, Span | None], frame: Frame
) -> Curve:
    """Draw the cut line anew beside a stretch of an edge, to meet what is kept on either side of it.

    Raises OffsetFolds where the stretch bends too tightly for its allowance.
    """
    stretch = side.new.curve.subcurve(*between)
    gaps = (
        None if beside[0] is None else abs(curve_of(line, beside[0]).end - stretch.start),
        None if beside[1] is None else abs(curve_of(line, beside[1]).start - stretch.end),
    )
    widths = _widths(side, stretch, between, gaps)
    signed = Widths(widths.places, frame.outwards * widths.distances)
    found = offset_curve(stretch, signed)
    for a, b, dart in side.roofs:
        if between[0] - 1e-6 <= a and b <= between[1] + 1e-6:
            found = _roofed(found, dart, frame)
    return found


def _roofed(found: Curve, dart: Dart, frame: Frame) -> Curve:
    towards = pressed_towards_end(dart, frame.kind)
    roof = None if towards is None else with_roof(found, dart, towards)
    return found if roof is None else roof


def _widths(
    side: Side, stretch: Curve, between: tuple[float, float], gaps: tuple[float | None, float | None]
) -> Widths:
    """Give how far off the new cut line lies along a stretch: as far as the drawn one lay there."""
    length = stretch.length(1e-3)
    if side.varied() is None:
        ends = [side.wide if gap is None else gap for gap in gaps]
        if max(abs(end - side.wide) for end in ends) < 1e-4:
            return Widths.even(side.wide)
        ramp = min(RAMP / max(length, 1e-6), 0.3)
        shares = np.array([0.0, ramp, 1 - ramp, 1.0])
        wide = np.array([ends[0], side.wide, side.wide, ends[1]])
    else:
        shares = np.linspace(0, 1, 33)
        start, end = (side.old.curve.length_between(0.0, place, 1e-3) for place in was_between(side, between))
        places = side.old.curve.at_lengths((start + shares * (end - start)).tolist(), 1e-3)
        wide = np.array([side.old_width(place) for place in places])
        for at, gap in ((0, gaps[0]), (-1, gaps[1])):
            wide[at] = wide[at] if gap is None else gap
    at = np.array(stretch.at_lengths((shares * length).tolist(), 1e-3))
    at[-1] = len(stretch)
    return Widths(at, wide)


def _corners_reach(sides: Sequence[Side], k: int) -> float:
    """Give how far a corner that is drawn anew may reach along an edge, mm."""
    return 2 * max(sides[(k + step) % len(sides)].wide for step in (-1, 0, 1))


def _is_new(parts: Sequence[Part], corner: float) -> bool:
    """Say whether a stretch along an edge is drawn anew, more than belongs to the corners at its ends."""
    last = len(parts) - 1
    return any(
        isinstance(part, Curve) and part.length(1e-2) > (corner if last and k in (0, last) else 1.0)
        for k, part in enumerate(parts)
    )


def _is_still(parts: Sequence[Part]) -> bool:
    return all(isinstance(part, Span) and _same_motion(part.motion, Affine()) for part in parts)


# -- all round --------------------------------------------------------------------------------------------------------


def _assembled(
    line: Curve, sides: Sequence[Side], parts: Sequence[list[Part]], stays: Sequence[bool], frame: Frame
) -> Curve:
    """Chain the stretches of all edges, and draw the corners that did not stay."""
    n = len(sides)
    drawn_anew = [k for k in range(n) if not stays[k]]
    turn = float(len(line))
    if not drawn_anew:
        return closed(_joined(line, _linked([part for own in parts for part in own], turn, round_all=True)))
    chains: list[list[Part]] = []
    for place, k in enumerate(drawn_anew):
        last = drawn_anew[(place + 1) % len(drawn_anew)]
        count = (last - k - 1) % n + 1
        chains.append([part for step in range(1, count + 1) for part in parts[(k + step) % n]])
    lines = [_joined(line, _linked(chain, turn)) for chain in chains]
    if len(lines) == 1:
        middle = max(1, len(lines[0]) // 2)
        halves = lines[0].split(float(middle)) if len(lines[0]) > 1 else lines[0].split(0.5)
        first, bridge, second = _corner(line, sides, drawn_anew[0], (halves[1], halves[0]), frame)
        return closed(Curve.chain([second, first, *([bridge] if bridge is not None else [])]))
    bridges: list[Curve | None] = []
    for place, k in enumerate(drawn_anew):  # the chain that ends at corner k is the one before
        first, bridge, second = _corner(line, sides, k, (lines[place - 1], lines[place]), frame)
        lines[place - 1], lines[place] = first, second
        bridges.append(bridge)
    loop: list[Curve] = []
    for place, own in enumerate(lines):
        bridge = bridges[(place + 1) % len(bridges)]
        loop += [own] if bridge is None else [own, bridge]
    return closed(Curve.chain(loop))


def closed(line: Curve) -> Curve:
    """Put a closed curve's start exactly on its end."""
    segments = line.segments.copy()
    segments[0, 0] = segments[-1, 3]
    return Curve(segments)


def _linked(parts: Sequence[Part], turn: float, *, round_all: bool = False) -> list[Part]:
    """Make one span of spans of the drawn line that follow one another: between them lies nothing, or a corner."""
    found: list[Part] = []
    for part in parts:
        last = found[-1] if found else None
        if isinstance(part, Span) and isinstance(last, Span) and _same_motion(part.motion, last.motion):
            end = part.end
            while end < last.end - 1e-9:
                end += turn
            found[-1] = replace(last, end=end)
        else:
            found.append(part)
    first, last = found[0], found[-1]
    if round_all and len(found) > 1 and isinstance(first, Span) and isinstance(last, Span):
        end = first.end
        while end < last.end - 1e-9:
            end += turn
        found = [*found[1:-1], replace(last, end=end)]
    return found


def _joined(line: Curve, parts: Sequence[Part]) -> Curve:
    """Chain parts of a cut line: what is new ends exactly where what is kept begins, else both run to their meeting."""
    curves = [curve_of(line, part) for part in parts]
    done = [curves[0]]
    for k, following in enumerate(curves[1:], 1):
        last, following = _not_past(done.pop(), following)
        if abs(following.start - last.end) < 1e-3:
            if isinstance(parts[k], Span):
                done += [_ending_at(last, following.start), following]
            else:
                done += [last, _ending_at(following.reverse(), last.end).reverse()]
        elif (met := extend_to_intersection(last, following)) is not None:
            done += met
        else:
            done += [last, Curve.polyline([last.end, following.start]), following]
    return Curve.chain(done)


def _not_past(last: Curve, following: Curve) -> tuple[Curve, Curve]:
    """Trim two parts that run past each other, in a hollow or by a rounding, from where they cross first."""
    first, count = max(0.0, len(last) - _ENDS), float(min(len(following), _ENDS))
    tail, head = last.subcurve(first, float(len(last))), following.subcurve(0.0, count)
    joint = float(len(tail))
    beside = Curve.chain([tail, head]) if abs(tail.end - head.start) < 1e-3 else None
    met = intersections(tail, head) if beside is None else [(t, u - joint) for t, u in own_crossings(beside, 40)]
    for t, u in met:
        near = abs(tail.point(t) - tail.end) < _PAST and abs(head.point(max(u, 0.0)) - head.start) < _PAST
        if near and 1e-6 < t < joint and u < len(head) - 1e-6 and (u > 1e-6 or t < joint - 1e-6):
            return last.subcurve(0.0, first + t), following.subcurve(
                u, float(len(following))
            ) if u > 1e-6 else following
    return last, following


def _ending_at(curve: Curve, end: complex) -> Curve:
    """Move a curve's end by a rounding, its last handle with it; a last speck of a segment is left out."""
    count = len(curve)
    while count > 1 and abs(curve.segments[count - 1, 3] - curve.segments[count - 1, 0]) < _SPECK:
        count -= 1
    segments = curve.segments[:count].copy()
    segments[-1, 2:] += end - segments[-1, 3]
    return Curve(segments)


# -- corners ----------------------------------------------------------------------------------------------------------


def _corner(
    line: Curve, sides: Sequence[Side], k: int, lines: tuple[Curve, Curve], frame: Frame
) -> tuple[Curve, Curve | None, Curve]:
    """Draw the corner after an edge anew, between the cut lines that end and begin there."""
    one, two = sides[k], sides[(k + 1) % len(sides)]
    corner = Corner(
        one=one.new, two=two.new, first=lines[0], second=lines[1], first_wide=one.wide, second_wide=two.wide
    )
    manner = usual_manner(corner, frame.corners)
    if frame.corners == CornerForm.AS_DRAWN:
        manner = _drawn_manner(line, one, two, frame) or manner
    return join_corner(corner, manner)


def _drawn_manner(line: Curve, one: Side, two: Side, frame: Frame) -> Manner | None:
    """Find the manner in which a corner was drawn; None where no cut line runs up to it, or it is of none."""
    if one.beside is None or two.beside is None:
        return None
    a, b = float(one.beside.cuts[-1]), float(two.beside.cuts[0])
    while b < a - 1e-9:
        b += len(line)
    if b > a + len(line) / 2:
        return None
    if b <= a + 1e-9:
        return PLAIN
    drawn = stretch_of(line, a, b)
    points = drawn.points(np.linspace(0, len(drawn), 12 * len(drawn) + 1))
    corner = _as_it_was(line, one, two, frame)
    if min(corner.first_wide, corner.second_wide) < 0.01:
        return PLAIN
    best: tuple[float, Manner] | None = None
    for manner in DRAWN_MANNERS:
        first, bridge, second = join_corner(corner, manner)
        made = Curve.chain([first, *([bridge] if bridge is not None else []), second])
        fine = made.points(np.linspace(0, len(made), 24 * len(made) + 1))
        ends = first.end, second.start
        off = max(float(distances(points, fine).max()), *(drawn.nearest(at)[1] for at in ends))
        if best is None or off < best[0] - _BETTER:
            best = off, manner
        if best[0] <= _BETTER:
            break
    assert best is not None
    return best[1] if best[0] <= CORNER_ALIKE else None


def _as_it_was(line: Curve, one: Side, two: Side, frame: Frame) -> Corner:
    """Give a corner as it was, its cut lines run on beside their edges to the corner."""
    assert one.beside is not None
    assert two.beside is not None
    ends = one.beside.place(-1), two.beside.place(0)
    widths = one.old_width(ends[0]), two.old_width(ends[1])
    before = stretch_of(line, float(one.beside.cuts[0]), float(one.beside.cuts[-1]))
    after = stretch_of(line, float(two.beside.cuts[0]), float(two.beside.cuts[-1]))
    # Of a line whose width varies nobody knows how it would go on: it is run on straight.
    rest = begin = None
    if one.varied_before is None:
        rest = _rest(one.old.curve, ends[0], float(len(one.old.curve)), frame.outwards * widths[0])
    if two.varied_before is None:
        begin = _rest(two.old.curve, 0.0, ends[1], frame.outwards * widths[1])
    return Corner(
        one=one.old,
        two=two.old,
        first=before if rest is None else _met(before, rest),
        second=after if begin is None else _met(begin, after),
        first_wide=widths[0],
        second_wide=widths[1],
    )


def _met(first: Curve, second: Curve) -> Curve:
    return Curve.chain([first, second]) if abs(first.end - second.start) < 1 else first


def _rest(edge: Curve, start: float, end: float, distance: float) -> Curve | None:
    if end - start < 1e-6:
        return None
    try:
        return offset_curve(edge.subcurve(start, end), distance)
    except OffsetFolds:
        return None


# -- what is told -----------------------------------------------------------------------------------------------------
