"""Assertions about pieces. Piece frame, mm, y down; each says in its message which piece, where, and by how much."""

from __future__ import annotations

import math

import numpy as np

from svgfit.fitting.sewn import sewn_length
from svgfit.model.piece import Mark, Piece
from svgfit.pattern.cut_line import cut_line
from svgfit.rules.smoothness import KINK


def assert_smooth(
    piece: Piece, edge: str, at: complex | None = None, *, near: float = 25.0, turn: float = math.degrees(KINK)
) -> None:
    """Assert that an edge has no kink: it turns nowhere by more than ``turn`` degrees.

    ``at``: only its turns within ``near`` mm of that point are looked at. Raises AssertionError where it does, Refusal
    where there is no such edge.
    """
    curve = piece.edge(edge).curve
    for k in range(1, len(curve)):
        point = curve.point(float(k))
        if at is not None and abs(point - at) > near:
            continue
        before, after = curve.tangent(float(k), before=True), curve.tangent(float(k))
        kink = math.degrees(abs(float(np.angle(after / before))))
        assert kink <= turn, f"{piece.title}: {edge} turns by {kink:.2f}° at {_place(point)}, more than {turn:.2f}°"


def assert_on_edge(piece: Piece, place: complex | Mark, edge: str, *, within: float = 0.1) -> None:
    """Assert that a point, or a notch, lies on an edge, to ``within`` mm."""
    point = place.at if isinstance(place, Mark) else place
    assert point is not None, f"{piece.title}: the mark has no point on the stitch line"
    away = piece.edge(edge).curve.nearest(point)[1]
    assert away <= within, f"{piece.title}: {_place(point)} lies {away:.3g} mm off its {edge}, more than {within:g} mm"


def assert_length(piece: Piece, edge: str, length: float, *, within: float = 0.5) -> None:
    """Assert that an edge, as sewn (darts closed), is ``length`` mm long, to ``within`` mm."""
    found = sewn_length(piece, edge)
    off = abs(found - length)
    assert off <= within, (
        f"{piece.title}: its {edge} is {found:.3f} mm long, not {length:.3f} mm (within {within:g} mm)"
    )


def assert_at_allowance(piece: Piece, *, within: float = 0.1) -> None:
    """Assert that the cut line lies outside the stitch line, and along the middle of each edge at its allowance.

    Raises AssertionError where it does not, to ``within`` mm, or where the piece has no cut line; Refusal where an
    allowance has no room.
    """
    line = cut_line(piece)
    assert line is not None, f"{piece.title} has no cut line: an edge's seam allowance is not known, or none has any"
    assert abs(line.area()) > abs(piece.outline().area()), f"{piece.title}: its cut line lies inside its stitch line"
    for edge in piece.edges:
        if edge.fold or not edge.allowance:
            continue
        whole = edge.curve.length()
        for share in (0.4, 0.5, 0.6):
            point = edge.curve.point(edge.curve.at_length(share * whole))
            away = line.nearest(point)[1]
            assert abs(away - edge.allowance) <= within, (
                f"{piece.title}: at {_place(point)} the cut line lies {away:.3f} mm from its {edge.name}, "
                f"not {edge.allowance:.3f} mm"
            )


def assert_unchanged(before: Piece, after: Piece, *edges: str, within: float = 1e-6) -> None:
    """Assert that edges (not given: all of them, and the marks) are as they were, to ``within`` mm."""
    for name in edges or tuple(edge.name for edge in before.edges):
        old, new = before.edge(name).curve.segments, after.edge(name).curve.segments
        same = old.shape == new.shape and float(np.abs(old - new).max(initial=0.0)) <= within
        assert same, f"{before.title}: its {name} is not as it was"
    if not edges:
        old_marks = [(mark.kind, mark.edge, mark.at) for mark in before.marks]
        assert old_marks == [(mark.kind, mark.edge, mark.at) for mark in after.marks], f"{before.title}: marks changed"


def _place(point: complex) -> str:
    return f"({point.real:.1f}, {point.imag:.1f})"
