"""Flaws already in a drawn edge: steps, gaps, jogs and kinks, found and trued. Piece frame, mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.blend_choice import Gap
from svgfit.fitting.truing import close_gap, stops_on
from svgfit.geometry.bezier import Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import max_curvature
from svgfit.model.piece import Dart, Edge, Landmark, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening
from svgfit.model.vocabulary import LandmarkName
from svgfit.rules.smoothness import CHORDS, CHORDS_TIMES, KINK, ONE_FLAW
from svgfit.rules.truing import FLAW_REACHES, FLAW_WIDTHS, NO_ROOM

AT_FLAW = 1e-6
"""A notch no farther than this (a parameter) from a flaw's end stands on it."""
PASSED_OVER = "a notch or the cap top was so near that the new line runs over it: mark it again on the line"


class Flaw(Struct, frozen=True):
    """A stretch of an edge to be redrawn across, by parameters of the edge's curve (equal for a single kink)."""

    start: float
    """The parameter at which it begins."""
    end: float
    """The parameter at which it ends."""


def find_flaws(curve: Curve, start: float, end: float, darts: Sequence[Dart] = ()) -> list[Flaw]:
    """Find kinks between two parameters of an edge, in order, those close together taken as one flaw.

    The corners of ``darts`` are none, and neither are those of a row of chords that stands for a curve: there only what
    turns far more than its neighbours do is a kink.
    """
    nodes = np.array([k for k in range(1, len(curve)) if start < k < end], dtype=np.float64)
    for at in (at for dart in darts for at in (dart.start, dart.apex, dart.end)):
        nodes = nodes[np.abs(curve.points(nodes) - at) > 1e-3]
    if not len(nodes):
        return []
    turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
    flaws: list[Flaw] = []
    for node in nodes[turn > np.maximum(KINK, _turns_of_chords(curve, nodes))].tolist():
        if flaws and curve.length_between(flaws[-1].start, node, 1e-3) <= ONE_FLAW:
            flaws[-1] = Flaw(flaws[-1].start, node)
        else:
            flaws.append(Flaw(node, node))
    return flaws


def _turns_of_chords(curve: Curve, nodes: Real) -> Real:
    """Give the most that a row of chords may turn at each node, radians; 0 where a node is not in such a row.

    A row has at least CHORDS straight segments round the node; at its nodes it turns about as much as at the others.
    """
    found = np.zeros(len(nodes))
    along = np.abs(curve.segments[:, 3] - curve.segments[:, 0])
    straight = np.abs(np.diff(curve.segments, axis=1)).sum(axis=1) - along < 1e-6 * np.maximum(along, 1e-9)
    inner = np.flatnonzero(straight[1:] & straight[:-1]) + 1
    if len(inner) < CHORDS:
        return found
    places = inner.astype(np.float64)
    turns = np.abs(np.angle(curve.tangents(places) / curve.tangents(places, before=True)))
    for k in np.flatnonzero((nodes[:, None] == places).any(axis=1)).tolist():
        near = turns[np.abs(places - nodes[k]) <= CHORDS]
        found[k] = CHORDS_TIMES * float(np.median(near)) if len(near) > CHORDS else 0.0
    return found


def true_flaw(
    piece: Piece, edge: Edge, flaw: Flaw, reach: float | None, start: float, end: float, *, drawn: Curve | None = None
) -> tuple[Edge, Opening]:
    """Draw an edge anew across one flaw: ``reach`` mm on each side, between parameters ``start`` and ``end``.

    Without ``reach``: as far as it takes to come out even. ``drawn``: the edge before any flaw of it was trued, where
    others were; its own bends tell what is too tight a one. Neighbouring notches, the shoulder notch and the cap top
    bound it too, but one that stands at the flaw itself, or so near that the new line would waver, is passed over (told
    as ``unkept``) and is to be marked anew. Refuse a flaw at the end of the edge.
    """
    curve = edge.curve
    if flaw.start <= 1e-9 or flaw.end >= len(curve) - 1e-9:
        raise Refusal(
            f"{piece.where}: {edge.name}",
            "the gap lies at the end of the edge, where nothing can be blended",
            "draw both lines on to where they meet in a corner",
        )
    bend = _bend_between_flaws(curve if drawn is None else drawn)
    # A cap top that nobody named is only the highest point there is: it may lie elsewhere on the new line.
    named = replace(piece, landmarks=tuple(mark for mark in piece.landmarks if not _is_guessed_top(mark)))
    stops = [t for t in stops_on(named, edge) if not flaw.start - AT_FLAW < t < flaw.end + AT_FLAW]
    stretch = start, end
    within = _gap(edge, flaw, stretch, _bounds(flaw, stops, start, end), bend)
    trued, opening = _evenest(piece, edge, within, reach)
    if opening is None or opening.unkept:
        wide = _gap(edge, flaw, stretch, stretch, bend)
        other, passing = _evenest(piece, edge, wide, reach)
        if passing is not None and (opening is None or len(passing.unkept) < len(opening.unkept)):
            trued, opening = other, replace(passing, unkept=(*passing.unkept, PASSED_OVER))
        if opening is None:
            trued, opening = close_gap(piece, edge, wide, reach)  # no room at all, and says so
    trued = _joined(curve, stretch, trued)
    # What is gained is measured against the edge as drawn, the step in it too.
    return replace(edge, curve=trued), replace(opening, gain=trued.length() - curve.length())


def _joined(curve: Curve, stretch: tuple[float, float], trued: Curve) -> Curve:
    """Put a trued stretch, between two parameters, back between what lies before and after it."""
    (start, end), n = stretch, float(len(curve))
    before = [curve.subcurve(0.0, start)] if start > 1e-9 else []
    after = [curve.subcurve(end, n)] if end < n - 1e-9 else []
    return Curve.chain([*before, trued, *after]) if before or after else trued


def _is_guessed_top(mark: Landmark) -> bool:
    return mark.name == LandmarkName.CAP_TOP and mark.guessed


def _evenest(piece: Piece, edge: Edge, gap: Gap, reach: float | None) -> tuple[Curve, Opening | None]:
    """Redraw a flaw by the first reach that keeps every promise, else by the one that keeps most; None without room."""
    if min(gap.left_room, gap.right_room) < NO_ROOM:
        return edge.curve, None
    best: tuple[Curve, Opening] | None = None
    wide = [far for far in FLAW_REACHES if far >= FLAW_WIDTHS * gap.width] or [FLAW_REACHES[-1]]
    for far in (reach,) if reach is not None else wide:
        found = close_gap(piece, edge, gap, far)
        if best is None or len(found[1].unkept) < len(best[1].unkept):
            best = found
        if not found[1].unkept:
            break
    assert best is not None
    return best


def _bounds(flaw: Flaw, stops: Sequence[float], start: float, end: float) -> tuple[float, float]:
    """Find between which parameters an edge may be redrawn about a flaw."""
    low = max([start, *(t for t in stops if t < flaw.start)])
    high = min([end, *(t for t in stops if t > flaw.end)])
    return low, high


def _gap(edge: Edge, flaw: Flaw, stretch: tuple[float, float], bounds: tuple[float, float], bend: float) -> Gap:
    """Describe a flaw as an opening of a stretch of the edge, with the room between two bounds (all parameters).

    What lies beyond the stretch, other flaws maybe, is no part of it. ``bend``: the edge's own sharpest, 1/mm.
    """
    curve, (low, high), (start, end) = edge.curve, bounds, stretch
    left, right = curve.subcurve(start, flaw.start), curve.subcurve(flaw.end, end)
    along, n = curve.length_between(0.0, flaw.start), float(len(curve))
    return Gap(
        left=left,
        right=right,
        left_room=min(curve.length_between(low, flaw.start), 0.95 * along),
        right_room=min(curve.length_between(flaw.end, high), 0.95 * curve.length_between(flaw.end, n)),
        at=curve.length() - along if edge.backwards else along,
        width=abs(right.start - left.end),
        own_bend=bend,
    )


def _bend_between_flaws(curve: Curve) -> float:
    """Find the sharpest bend (1/mm) of an edge, its flaws left out."""
    places = [0.0]
    for flaw in find_flaws(curve, 0.0, float(len(curve))):
        places += [flaw.start, flaw.end]
    places.append(float(len(curve)))
    kept = list(zip(places[::2], places[1::2], strict=True))
    nodes = np.array([k for k in range(1, len(curve)) if any(a < k < b for a, b in kept)], dtype=np.float64)
    chords = 0.0
    if len(nodes):  # of a row of chords the bend of the curve that it stands for
        turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
        long = np.abs(curve.points(nodes - 1) - curve.points(nodes)) + np.abs(
            curve.points(nodes + 1) - curve.points(nodes)
        )
        chords = float((2 * turn / np.maximum(long, 1e-9)).max())
    return max([chords, *(max_curvature(curve.subcurve(a, b)) for a, b in kept if b > a)])
