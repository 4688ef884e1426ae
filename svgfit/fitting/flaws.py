"""Flaws already in a drawn edge: steps, gaps, jogs and kinks, found and trued. Piece frame, mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.fitting.blend_choice import Gap
from svgfit.fitting.truing import close_gap, stops_on
from svgfit.geometry.curve import Curve
from svgfit.geometry.fairness import max_curvature
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening
from svgfit.rules.smoothness import KINK, ONE_FLAW


class Flaw(Struct, frozen=True):
    """A stretch of an edge to be redrawn across, by parameters of the edge's curve (equal for a single kink)."""

    start: float
    end: float


def find_flaws(curve: Curve, start: float, end: float, darts: Sequence[Dart] = ()) -> list[Flaw]:
    """Find kinks between two parameters of an edge, in order, those close together taken as one flaw.

    The corners of ``darts`` are none.
    """
    nodes = np.array([k for k in range(1, len(curve)) if start < k < end], dtype=np.float64)
    for at in (at for dart in darts for at in (dart.start, dart.apex, dart.end)):
        nodes = nodes[np.abs(curve.points(nodes) - at) > 1e-3]
    if not len(nodes):
        return []
    turn = np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))
    flaws: list[Flaw] = []
    for node in nodes[turn > KINK].tolist():
        if flaws and curve.length_between(flaws[-1].start, node, 1e-3) <= ONE_FLAW:
            flaws[-1] = Flaw(flaws[-1].start, node)
        else:
            flaws.append(Flaw(node, node))
    return flaws


def bridged_gaps(edge: Edge, gaps: Sequence[tuple[complex, complex]]) -> list[Flaw]:
    """Find the gaps of an open outline that lie on this edge, as flaws."""
    found: list[Flaw] = []
    for a, b in gaps:
        (t, away), (u, off) = edge.curve.nearest(a), edge.curve.nearest(b)
        if away < 1e-3 and off < 1e-3:
            found.append(Flaw(min(t, u), max(t, u)))
    return found


def true_flaw(
    piece: Piece, edge: Edge, flaw: Flaw, reach: float, start: float, end: float, *, drawn: Curve | None = None
) -> tuple[Edge, Opening]:
    """Draw an edge anew across one flaw: ``reach`` mm on each side, between parameters ``start`` and ``end``.

    ``drawn``: the edge before any flaw of it was trued, where others were; its own bends tell what is too tight a one.
    Neighbouring notches, the shoulder notch and the cap top bound it too. Refuse where nothing is left between them.
    """
    curve = edge.curve
    if flaw.start <= 1e-9 or flaw.end >= len(curve) - 1e-9:
        raise Refusal(
            f"{piece.where}: {edge.name}",
            "the gap lies at the end of the edge, where nothing can be blended",
            "draw both lines on to where they meet in a corner",
        )
    stops = [t for t in stops_on(piece, edge) if not flaw.start < t < flaw.end]
    low = max([start, *(t for t in stops if t <= flaw.start)])
    high = min([end, *(t for t in stops if t >= flaw.end)])
    left, right = curve.subcurve(0.0, flaw.start), curve.subcurve(flaw.end, float(len(curve)))
    along = left.length()
    gap = Gap(
        left=left,
        right=right,
        left_room=min(curve.length_between(low, flaw.start), 0.95 * along),
        right_room=min(curve.length_between(flaw.end, high), 0.95 * right.length()),
        at=curve.length() - along if edge.backwards else along,
        width=abs(right.start - left.end),
        own_bend=_bend_between_flaws(curve if drawn is None else drawn),
    )
    trued, opening = close_gap(piece, edge, gap, reach)
    return Edge(edge.name, trued, edge.allowance, edge.fold, edge.backwards), opening


def _bend_between_flaws(curve: Curve) -> float:
    """Find the sharpest bend (1/mm) of an edge, its flaws left out."""
    places = [0.0]
    for flaw in find_flaws(curve, 0.0, float(len(curve))):
        places += [flaw.start, flaw.end]
    places.append(float(len(curve)))
    kept = zip(places[::2], places[1::2], strict=True)
    return max((max_curvature(curve.subcurve(a, b)) for a, b in kept if b > a), default=0.0)
