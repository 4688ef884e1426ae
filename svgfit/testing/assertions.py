"""Assertions about pieces. Piece frame, mm, y down; each says in its message which piece, where, and by how much."""

from __future__ import annotations

import math

import numpy as np

from svgfit.fitting.sewn import sewn_length
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.pattern.cut_line import cut_line
from svgfit.pattern.cut_sides import mouth_of
from svgfit.pattern.recognise.darts import over_mouths
from svgfit.rules.smoothness import KINK

CORNER = 1e-3
"""Within this distance, mm, a node of an edge is the corner of a dart."""


def assert_smooth(
    piece: Piece, edge: str, at: complex | None = None, *, near: float = 25.0, turn: float = math.degrees(KINK)
) -> None:
    """Assert that an edge has no kink: it turns nowhere by more than ``turn`` degrees.

    ``at``: only its turns within ``near`` mm of that point are looked at. The corners of darts are no kinks. Raises
    AssertionError where it does, Refusal where there is no such edge.
    """
    __tracebackhide__ = True
    curve = piece.edge(edge).curve
    corners = [at for dart in piece.darts if dart.edge == edge for at in (dart.start, dart.apex, dart.end)]
    for k in range(1, len(curve)):
        point = curve.point(float(k))
        if (at is not None and abs(point - at) > near) or any(abs(point - one) <= CORNER for one in corners):
            continue
        before, after = curve.tangent(float(k), before=True), curve.tangent(float(k))
        kink = math.degrees(abs(float(np.angle(after / before))))
        assert kink <= turn, f"{piece.title}: {edge} turns by {kink:.2f}° at {_place(point)}, more than {turn:.2f}°"


def assert_on_edge(piece: Piece, place: complex | Mark, edge: str, *, within: float = 0.1) -> None:
    """Assert that a point, or a notch, lies on an edge, to ``within`` mm."""
    __tracebackhide__ = True
    point = place.at if isinstance(place, Mark) else place
    assert point is not None, f"{piece.title}: the mark has no point on the stitch line"
    away = piece.edge(edge).curve.nearest(point)[1]
    assert away <= within, f"{piece.title}: {_place(point)} lies {away:.3g} mm off its {edge}, more than {within:g} mm"


def assert_length(piece: Piece, edge: str, length: float, *, within: float = 0.5) -> None:
    """Assert that an edge, as sewn (darts closed), is ``length`` mm long, to ``within`` mm."""
    __tracebackhide__ = True
    found = sewn_length(piece, edge)
    off = abs(found - length)
    assert off <= within, (
        f"{piece.title}: its {edge} is {found:.3f} mm long, not {length:.3f} mm (within {within:g} mm)"
    )


def assert_at_allowance(piece: Piece, *, within: float = 0.1) -> None:
    """Assert that the cut line lies outside the stitch line, and along the middle of each edge at its allowance.

    The mouths of darts are passed over: there the cut line runs as their roof. Raises AssertionError where it does not,
    to ``within`` mm, or where the piece has no cut line; Refusal where an allowance has no room.
    """
    __tracebackhide__ = True
    line = cut_line(piece)
    assert line is not None, f"{piece.title} has no cut line: an edge's seam allowance is not known, or none has any"
    assert abs(line.area()) > abs(piece.outline().area()), f"{piece.title}: its cut line lies inside its stitch line"
    for edge in piece.edges:
        if edge.fold or not edge.allowance:
            continue
        for point in _beside_darts(piece, edge):
            away = line.nearest(point)[1]
            assert abs(away - edge.allowance) <= within, (
                f"{piece.title}: at {_place(point)} the cut line lies {away:.3f} mm from its {edge.name}, "
                f"not {edge.allowance:.3f} mm"
            )


def assert_unchanged(before: Piece, after: Piece, *edges: str, within: float = 1e-6) -> None:
    """Assert that edges (not given: all of them, and the marks) are as they were, to ``within`` mm."""
    __tracebackhide__ = True
    for name in edges or tuple(edge.name for edge in before.edges):
        old, new = before.edge(name).curve.segments, after.edge(name).curve.segments
        same = old.shape == new.shape and float(np.abs(old - new).max(initial=0.0)) <= within
        assert same, f"{before.title}: its {name} is not as it was"
    if not edges:
        old_marks = [(mark.kind, mark.edge, mark.at) for mark in before.marks]
        assert old_marks == [(mark.kind, mark.edge, mark.at) for mark in after.marks], f"{before.title}: marks changed"


def _beside_darts(piece: Piece, edge: Edge) -> list[complex]:
    """Find places of an edge's middle part, all but those where the cut line is the roof of a dart."""
    curve = over_mouths(edge, piece.darts)
    darts = [dart for dart in piece.darts if dart.edge == edge.name]
    shares = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8) if darts else (0.4, 0.5, 0.6)
    mouths = [mouth_of(curve, dart, edge.allowance or 0.0) for dart in darts]
    places = curve.at_lengths([share * curve.length() for share in shares])
    found = [curve.point(at) for at in places if not any(first <= at <= last for first, last in mouths)]
    assert found, f"{piece.title}: its {edge.name} has no place to look at beside its darts"
    return found


def _place(point: complex) -> str:
    return f"({point.real:.1f}, {point.imag:.1f})"
