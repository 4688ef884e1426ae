"""Truing: an edge redrawn smoothly through the middle of each opening that a slash left in it.

What a trued edge promises is said in ``true`` and held by tests/fitting/test_truing_promises.py.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from msgspec.structs import replace

from svgfit.fitting.blend_choice import ON_NODE, SWAY, Gap, TruedEdge, assess, choose_blend
from svgfit.fitting.gradual import Parting, draw_across
from svgfit.fitting.ride_along import close_outline, move_mark
from svgfit.fitting.spread import Fragment, SpreadPiece
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import max_curvature, turning_within
from svgfit.geometry.intersect import self_crossing
from svgfit.model.length import both_ways, on_page
from svgfit.model.operation import Parameter
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind
from svgfit.rules.truing import GENTLE, HINGE_LEAST, NO_ROOM, OFF_GRAIN

REDRAW = Parameter(
    "redraw",
    "length",
    "how far the edge may be redrawn on each side of a cut",
    default_text=f"{both_ways(38.1)} for a step of {both_ways(6.35)} aside, twice as far for one four times as wide; "
    "up to the next notch",
    minimum=1.0,
    also=("reach",),
)
"""The parameter of every operation that trues."""
PEAK = 0.1
"""An edge that turns by more than this (radians) where it is cut comes to a peak there."""
STRAIGHT = 0.1
"""A stretch that leaves its chord by no more than this (mm) is a straight line."""


def true(spread: SpreadPiece, reach: float | None = None) -> tuple[Piece, tuple[Opening, ...]]:
    """Redraw a spread piece's edges smoothly across its openings; return the piece and what became of each.

    ``reach``: mm along the edge on each side of a cut end that may be redrawn; not given, as far as the opening's width
    needs (``gradual.reach_for``).
    Promises: tangent on both sides; through the middle of the opening; between the neighbouring notches, shoulder
    notch, cap top and corners; the rest of the edge as it was, moved; no loop; few nodes (``gradual``); no inflection
    more where its ends allow that; a smooth function of the movement. What could not be kept stands in
    ``Opening.unkept``. A hinge's kink in a seam is redrawn too. An edge that runs straight from one corner of it to the
    next where it was cut is one straight line again (``straight_run``), and its notches stand on that. Refuse where
    there is no room, or where the trued edge would cross another.
    """
    edges: list[Edge] = []
    openings: list[Opening] = []
    straightened: set[str] = set()
    for edge, fragments in zip(spread.before.edges, spread.fragments, strict=True):
        if len(fragments) == 1:
            edges.append(replace(edge, curve=fragments[0].curve))
            continue
        curve, made = _true_edge(spread, edge, fragments, reach)
        edges.append(replace(edge, curve=curve))
        openings.extend(made)
        if any(straight_run(edge.curve, fragment.end) for fragment in fragments[:-1]):
            straightened.add(edge.name)
    piece = spread.piece.with_edges(close_outline(edges))
    piece = replace(piece, marks=tuple(_on_straight(piece, mark, straightened) for mark in piece.marks))
    refuse_crossing(piece, "the trued edge would cross another edge")
    return piece, tuple(openings)


def unkept_promises(openings: Sequence[Opening]) -> tuple[str, ...]:
    """Warn of the promises that these openings could not keep."""
    return tuple(f"{opening.piece}: {opening.edge}: {why}" for opening in openings for why in opening.unkept)


def refuse_crossing(piece: Piece, what: str) -> None:
    """Refuse a piece whose outline crosses itself."""
    crossing = self_crossing(piece.outline())
    if crossing is not None:
        page = piece.placement.apply(crossing)
        raise Refusal(
            piece.where,
            f"{what}, {on_page(page)}",
            "use a smaller amount, redraw less of the edge (reach), or slash elsewhere",
        )


def refuse_bent_fold(before: Piece, after: Piece) -> None:
    """Refuse a piece whose fold was one straight line and is none any more: a fold is never cut open."""
    folds = {edge.name: edge.curve for edge in after.edges if edge.fold}
    for edge in before.edges:
        now = folds.get(edge.name)
        if now is not None and edge.curve.is_straight() and not now.is_straight():
            raise Refusal(
                before.where,
                f"the {edge.name} would no longer be straight, and a fold is never cut open",
                "unfold the piece first, or cut square to the fold and move along it",
            )


def refuse_turned_over(before: Piece, after: Piece) -> None:
    """Refuse a piece whose outline runs the other way round than it did: an edge was moved right over another."""
    if before.outline().area() * after.outline().area() <= 0:
        what = "an edge would be moved right over to the other side of the piece"
        raise Refusal(before.where, what, "use a smaller amount, or the other sign")


def off_grain(before: Piece, after: Piece) -> tuple[str, ...]:
    """Warn of straight folds and centres that ran along the grain and no longer do (by more than OFF_GRAIN).

    The grain is the piece's grain line as it lies in each of the two; without one it is upright in the piece's frame.
    """
    found: list[str] = []
    for edge in before.edges:
        if not (edge.fold or edge.name == EdgeName.CENTRE) or not after.has_edge(edge.name):
            continue
        now = after.edge(edge.name).curve
        if edge.curve.is_straight(STRAIGHT) and now.is_straight(STRAIGHT) and _slant(before, edge.curve) < OFF_GRAIN:
            slant = _slant(after, now)
            if slant >= OFF_GRAIN:
                found.append(
                    f"{after.title}: the {edge.name} ran along the grain and now lies {math.degrees(slant):.1f}° off "
                    "it: cut square to it and move along it, or draw a new grain line along it"
                )
    return tuple(found)


def _slant(piece: Piece, curve: Curve) -> float:
    """Measure by how much a line turns from the grain, radians, 0 to a right angle."""
    lines = [mark.curves[0] for mark in piece.marks if mark.kind == MarkKind.GRAIN_LINE and mark.curves]
    grain = lines[0].end - lines[0].start if lines else 1j
    turn = abs(cmath.phase((curve.end - curve.start) / grain))
    return min(turn, math.pi - turn)


def stops_on(piece: Piece, edge: Edge) -> list[float]:
    """List what truing may not pass on an edge (parameters): notches, shoulder notch, cap top, the mouths of darts."""
    points = [mark.at for mark in piece.marks if mark.edge == edge.name and mark.at is not None]
    points += [mark.at for mark in piece.landmarks if mark.name in (LandmarkName.CAP_TOP, LandmarkName.SHOULDER_NOTCH)]
    points += [at for dart in piece.darts if dart.edge == edge.name for at in (dart.start, dart.end)]
    found = [edge.curve.nearest(point) for point in points]
    return sorted(t for t, away in found if away < 0.5)


def _true_edge(
    spread: SpreadPiece, edge: Edge, fragments: tuple[Fragment, ...], reach: float | None
) -> tuple[Curve, list[Opening]]:
    """Redraw one edge across every opening, one after another, and mend the kinks at hinges."""
    stops = stops_on(spread.before, edge)
    result = fragments[0].curve
    openings: list[Opening] = []
    for k in range(1, len(fragments)):
        left, right = fragments[k - 1], fragments[k]
        if abs(left.curve.end - right.curve.start) < 1e-9:
            result = _round_hinge(edge, (left, right), result, stops)
            continue
        gap = _gap(spread, edge, fragments, k, result, stops)
        run = straight_run(edge.curve, left.end)
        if run is not None:
            result, opening = _straight_across(spread.before, edge, (left, right), run, gap)
            openings.append(opening)
            continue
        _refuse_without_room(spread.before, edge, gap)
        result, opening = _lead_across(spread.before, edge, (left, right), gap, reach)
        openings.append(opening)
    return result, openings


def straight_run(edge: Curve, cut: float) -> tuple[float, float] | None:
    """Find where an edge runs straight on both sides of a cut, from corner to corner; None where it does not.

    Corners are the edge's ends, and nodes where it turns by more than ``PEAK``. Parameters of the edge.
    """
    n = len(edge)
    first, last = math.ceil(cut - 1e-9) - 1, math.floor(cut + 1e-9) + 1
    while first > 0 and not _turns(edge, first):
        first -= 1
    while last < n and not _turns(edge, last):
        last += 1
    if first < 0 or last > n or _turns(edge, cut):
        return None
    return (float(first), float(last)) if edge.subcurve(first, last).is_straight(STRAIGHT) else None


def _turns(edge: Curve, t: float) -> bool:
    """Tell whether an edge has a corner at a place inside it."""
    return 0 < t < len(edge) and abs(cmath.phase(edge.tangent(t) / edge.tangent(t, before=True))) > PEAK


def _straight_across(
    piece: Piece, edge: Edge, sides: tuple[Fragment, Fragment], run: tuple[float, float], gap: Gap
) -> tuple[Curve, Opening]:
    """Draw one straight line from the corner before an opening to the corner behind it."""
    before, after = sides
    start = edge.curve.point(run[0])
    start = before.motion.apply(start) if before.motion is not None else start
    leaves = gap.left.nearest(start)[0] if run[0] >= before.start - 1e-9 else float(len(gap.left) - 1)
    joins = edge.curve.point(min(run[1], after.end))
    joins = after.motion.apply(joins) if after.motion is not None else joins
    runs_on = after.curve.nearest(joins)[0]
    line = Curve.polyline([gap.left.point(leaves), joins])
    removed = gap.left.length_between(leaves, float(len(gap.left))) + after.curve.length_between(0.0, runs_on)
    ahead = [gap.left.subcurve(0.0, leaves)] if leaves > 1e-9 else []
    behind = [after.curve.subcurve(runs_on, float(len(after.curve)))] if runs_on < len(after.curve) - 1e-9 else []
    opening = Opening(
        piece=piece.title,
        edge=edge.name,
        at=gap.at,
        first=gap.left.end,
        second=after.curve.start,
        width=gap.width,
        gain=line.length() - removed,
        trued=line,
    )
    return Curve.chain([*ahead, line, *behind]), opening


def _on_straight(piece: Piece, mark: Mark, names: set[str]) -> Mark:
    """Put a notch back on its edge, where that was drawn straight beside it."""
    if mark.edge not in names or mark.at is None:
        return mark
    curve = piece.edge(mark.edge).curve
    t, away = curve.nearest(mark.at)
    return move_mark(mark, Affine.shift(curve.point(t) - mark.at)) if away > ON_NODE else mark


def _round_hinge(edge: Edge, sides: tuple[Fragment, Fragment], result: Curve, stops: list[float]) -> Curve:
    """Redraw a seam where a hinge on it kinked it: straight where it ran straight, else gradually, through the hinge.

    A turn by an angle is led over on each side so far that the seam bends by about 1/GENTLE more (s″ of a smooth step;
    from memory), up to the next notch.
    """
    left, right = sides
    one, other = (side.motion or Affine() for side in sides)
    turned = other.then(one.inverse())
    angle = abs(math.atan2(turned.b, turned.a))
    whole, hinge = edge.curve, left.end
    if angle < 1e-12:
        return Curve.chain([result, right.curve])
    if straight_run(whole, hinge) == (0.0, float(len(whole))):
        return Curve.polyline([result.start, right.curve.end])
    before = [t for t in stops if left.start < t < hinge and whole.length_between(t, hinge) > NO_ROOM]
    behind = [t for t in stops if hinge < t < right.end and whole.length_between(hinge, t) > NO_ROOM]
    rooms = (
        whole.length_between(max(before, default=left.start), hinge) * (1.0 if before else 0.95),
        whole.length_between(hinge, min(behind, default=right.end)) * (1.0 if behind else 0.95),
    )
    return _led_round(whole, hinge, (one, other), (result, right.curve), rooms)[0]


def _led_round(
    whole: Curve, cut: float, motions: tuple[Affine, Affine], sides: tuple[Curve, Curve], rooms: tuple[float, float]
) -> tuple[Curve, Curve]:
    """Lead an edge round a turn at one of its places; return all of it, and what was drawn anew."""
    turned = motions[1].then(motions[0].inverse())
    reach = max(HINGE_LEAST, abs(math.atan2(turned.b, turned.a)) * GENTLE)
    left, right = sides
    parting = Parting(edge=whole, cut=cut, motions=motions, left=left, right=right, rooms=rooms, reach=reach)
    crossing = draw_across(parting)
    ahead = [left.subcurve(0.0, crossing.start)] if crossing.start > 1e-9 else []
    after = [right.subcurve(crossing.end, float(len(right)))] if crossing.end < len(right) - 1e-9 else []
    return Curve.chain([*ahead, crossing.curve, *after]), crossing.curve


def round_bend(piece: Piece, name: str, node: int) -> tuple[Piece, Opening]:
    """Redraw an edge round the bend at one of its nodes, gradually, as a seam is that carries a hinge.

    As far on each side as the bend asks for, up to the next notch or corner. Refuse where there is no room.
    """
    edge = piece.edge(name)
    curve, (left, right) = edge.curve, edge.curve.split(float(node))
    bend = cmath.phase(right.tangent(0.0) / left.tangent(float(len(left)), before=True))
    turn = Affine.turn(bend, left.end)
    stops = stops_on(piece, edge)
    before = max((t for t in stops if t < node - 1e-6), default=None)
    behind = min((t for t in stops if t > node + 1e-6), default=None)
    rooms = (
        0.95 * left.length() if before is None else curve.length_between(before, node),
        0.95 * right.length() if behind is None else curve.length_between(node, behind),
    )
    along = left.length()
    at = curve.length() - along if edge.backwards else along
    if min(rooms) < NO_ROOM:
        where = f"{name}, {both_ways(at)} along it"
        raise Refusal(piece.where, f"a notch or corner stands right at a bend ({where})", "move the notch")
    even = Curve.chain([left, right.transform(turn.inverse())])
    new, trued = _led_round(even, float(node), (Affine(), turn), (left, right), rooms)
    opening = Opening(
        piece=piece.title,
        edge=name,
        at=at,
        first=left.end,
        second=left.end,
        width=0.0,
        gain=new.length() - curve.length(),
        trued=trued,
    )
    edges = tuple(replace(one, curve=new) if one.name == name else one for one in piece.edges)
    return piece.with_edges(edges), opening


def _gap(
    spread: SpreadPiece, edge: Edge, fragments: tuple[Fragment, ...], k: int, left: Curve, stops: list[float]
) -> Gap:
    """Describe one opening: its two sides, the room on each (mm), where it lies and how wide it is."""
    before, after = fragments[k - 1], fragments[k]
    first = max([t for t in stops if before.start < t <= before.end], default=None)
    last = min([t for t in stops if after.start <= t < after.end], default=None)
    whole = edge.curve
    left_room = (
        whole.length_between(first, before.end)
        if first is not None
        else whole.length_between(before.start, before.end) * (0.95 if k == 1 else 0.475)
    )
    right_room = (
        whole.length_between(after.start, last)
        if last is not None
        else whole.length_between(after.start, after.end) * (0.95 if k == len(fragments) - 1 else 0.475)
    )
    width = _signed_width(spread, edge, before, after)
    along = whole.length_between(0.0, before.end)
    at = whole.length() - along if edge.backwards else along
    return Gap(
        left=left,
        right=after.curve,
        left_room=left_room,
        right_room=right_room,
        at=at,
        width=width,
        own_bend=max(turning_within(whole), *(max_curvature(fragment.curve) for fragment in fragments)),
    )


def _signed_width(spread: SpreadPiece, edge: Edge, before: Fragment, after: Fragment) -> float:
    """Measure straight across between the cut ends, mm; negative where the one part went over the other."""
    step, at = after.curve.start - before.curve.end, edge.curve.point(before.end)
    lines = [line for found, _ in spread.cuts for line in (found.line, found.line[::-1])]
    line = min(lines, key=lambda line: abs(line[0] - at))
    across = 1j * (line[1] - line[0])
    if float(dot(across, edge.curve.tangent(before.end))) < 0:
        across = -across
    back = before.motion.inverse() if before.motion is not None else Affine()
    return abs(step) if float(dot(back.apply_vector(step), across)) >= 0 else -abs(step)


def _lead_across(
    piece: Piece, edge: Edge, sides: tuple[Fragment, Fragment], gap: Gap, reach: float | None
) -> tuple[Curve, Opening]:
    """Lead the edge gradually across one opening; across a drawn peak, which has to be rounded, blend."""
    cut = sides[0].end
    if _turns(edge.curve, cut):
        return close_gap(piece, edge, gap, reach)
    one, other = (side.motion or Affine() for side in sides)
    crossing = draw_across(
        Parting(
            edge=edge.curve,
            cut=cut,
            motions=(one, other),
            left=gap.left,
            right=gap.right,
            rooms=(gap.left_room, gap.right_room),
            reach=reach,
        )
    )
    cuts = crossing.start, crossing.end, crossing.redrawn
    return _opened(piece, edge, gap, assess(gap, crossing.curve, cuts))


def _refuse_without_room(piece: Piece, edge: Edge, gap: Gap) -> None:
    if min(gap.left_room, gap.right_room) < NO_ROOM:
        raise Refusal(
            piece.where,
            f"a notch or corner stands right at what is to be trued ({edge.name}, {both_ways(gap.at)} along it)",
            "slash elsewhere, or move the notch",
        )


def close_gap(piece: Piece, edge: Edge, gap: Gap, reach: float | None) -> tuple[Curve, Opening]:
    """Redraw one opening as a flaw: return the whole edge so far with its new stretch, and the opening's record."""
    _refuse_without_room(piece, edge, gap)
    return _opened(piece, edge, gap, choose_blend(gap, reach))


def _opened(piece: Piece, edge: Edge, gap: Gap, trued: TruedEdge) -> tuple[Curve, Opening]:
    """Say what became of an opening, and which promises its new stretch could not keep."""
    broken: list[str] = []
    if trued.extra > 0 and trued.was_straight:
        broken.append(
            "the edge was straight where it was cut, and its parts are no longer in one line: it leads over from the "
            "one to the other in a slight S; draw one straight line where it is to stay straight"
        )
    elif trued.extra > 0:
        times = "once" if trued.extra == 1 else f"{trued.extra} times"
        broken.append(
            f"the trued curve wavers: it changes the side it bends to {times} more than before; redrawing more of the "
            "edge (a longer reach) may avoid that"
        )
    if trued.sway > SWAY:
        broken.append(
            f"the trued curve swings to and fro, by {math.degrees(trued.sway):.0f}° more than its ends ask for"
        )
    if trued.tight:
        broken.append("a bend more than three times as tight as the edge's own")
    opening = Opening(
        piece=piece.title,
        edge=edge.name,
        at=gap.at,
        first=gap.left.end,
        second=gap.right.start,
        width=gap.width,
        gain=trued.curve.length() - trued.removed,
        trued=trued.curve,
        unkept=tuple(broken),
    )
    return trued.whole, opening
