"""Move what is drawn on a piece: marks that ride along a redrawn edge, darts, texts, whole pieces. Frame mm, y down."""

from __future__ import annotations

import cmath
import itertools
from collections.abc import Callable, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, derivative, position
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic_with_error
from svgfit.model.drawing import Text
from svgfit.model.piece import Dart, Edge, Mark, Piece

ON_EDGE = 0.01
"""A landmark nearer than this to an edge (mm) lies on it."""
Deformation = Callable[[Complex], Complex]
"""A smooth motion of the plane, not rigid: where points (an array) come to lie."""


def for_one_point(move: Deformation) -> Callable[[complex], complex]:
    """Make a deformation of arrays one of single points."""
    return lambda point: complex(move(np.array([point]))[0])


def ride_along_edge(mark: Mark, old: Curve, at: float, new: Curve, there: float) -> Mark:
    """Move a notch from parameter ``at`` of a curve to ``there`` on another, turned with the curve; its size stays.

    Both curves must run the same way. A mark without a place moves as if it stood at ``at``.
    """
    turn = cmath.phase(new.tangent(there) / old.tangent(at))
    point = new.point(there)
    motion = Affine.turn(turn, old.point(at)).then(Affine.shift(point - old.point(at)))
    return replace(move_mark(mark, motion), at=point if mark.at is not None else None)


def move_mark(mark: Mark, motion: Affine) -> Mark:
    """Move a mark of any kind rigidly; the size of a text stays."""
    return replace(
        mark,
        curves=tuple(curve.transform(motion) for curve in mark.curves),
        at=None if mark.at is None else motion.apply(mark.at),
        text=None if mark.text is None else move_text(mark.text, motion),
    )


def move_text(text: Text, motion: Affine) -> Text:
    """Move a text and turn it along; its size stays."""
    direction = motion.apply_vector(text.direction)
    return replace(text, at=motion.apply(text.at), direction=direction / abs(direction))


def move_dart(dart: Dart, move: Callable[[complex], complex]) -> Dart:
    """Move each point of a dart."""
    return replace(dart, start=move(dart.start), apex=move(dart.apex), end=move(dart.end))


def move_piece(piece: Piece, motion: Affine) -> Piece:
    """Move a piece rigidly within its frame, with everything on it; its placement stays."""
    return replace(
        piece,
        edges=tuple(replace(edge, curve=edge.curve.transform(motion)) for edge in piece.edges),
        marks=tuple(move_mark(mark, motion) for mark in piece.marks),
        landmarks=tuple(replace(mark, at=motion.apply(mark.at)) for mark in piece.landmarks),
        gaps=tuple((motion.apply(a), motion.apply(b)) for a, b in piece.gaps),
        darts=tuple(move_dart(dart, motion.apply) for dart in piece.darts),
    )


def with_edge(piece: Piece, name: str, from_front: Curve) -> Piece:
    """Put another curve in place of one edge's, given from its front or underarm end."""
    edges = tuple(_in_edge_order(edge, from_front) if edge.name == name else edge for edge in piece.edges)
    return piece.with_edges(edges)


def _in_edge_order(edge: Edge, from_front: Curve) -> Edge:
    """Put a curve that runs from the front or underarm end into an edge, in the outline's order."""
    return replace(edge, curve=from_front.reverse() if edge.backwards else from_front)


def close_outline(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Put each edge's start exactly on the end before it (they differ by rounding only)."""
    joined: list[Edge] = []
    for k, edge in enumerate(edges):
        before = edges[k - 1].curve.end
        if edge.curve.start != before and abs(edge.curve.start - before) < 1e-6:
            segments = edge.curve.segments.copy()
            segments[0, 0] = before
            edge = replace(edge, curve=Curve(segments))
        joined.append(edge)
    return tuple(joined)


def reshape_curve(curve: Curve, move: Deformation, accuracy: float = 5e-3, evenly: int | None = None) -> Curve:
    """Move every point of a curve by ``move``, within ``accuracy`` mm: as few fitted cubics as that takes.

    Nodes and corners stay nodes and corners, ends go exactly where ``move`` puts them. ``evenly``: each segment as this
    many cubics instead, whatever the accuracy, so that the result follows ``move`` without jumps (for searches).
    """
    if evenly is not None:
        shares = np.linspace(0, 1, evenly + 1)
        pairs = list(itertools.pairwise(shares.tolist()))
        return Curve(np.array([_with_speeds(segment, move, a, b) for segment in curve.segments for a, b in pairs]))
    done: list[Complex] = []
    waiting = [(float(k), float(k + 1), 0) for k in range(len(curve))][::-1]
    while waiting:
        a, b, depth = waiting.pop()
        cubic, error = _fitted(curve, move, a, b, 0.2 * accuracy)
        if error <= accuracy or depth > 8:
            done.append(cubic)
            continue
        middle = (a + b) / 2
        waiting += [(middle, b, depth + 1), (a, middle, depth + 1)]
    return Curve.chain(Curve(cubic[None, :]) for cubic in done)


def _fitted(curve: Curve, move: Deformation, a: float, b: float, enough: float) -> tuple[Complex, float]:
    """Fit one cubic to a moved stretch; return it and the largest distance of a moved point from it (mm)."""
    old = curve.points(np.linspace(a, b, 13))
    ways = np.array([curve.tangent(a), curve.tangent(b, before=True)])
    ends, step = old[[0, -1]], 1e-4
    new = move(ends + step * ways) - move(ends - step * ways)
    new = new / np.abs(new)
    return fit_cubic_with_error(move(old), complex(new[0]), complex(new[1]), enough=enough)


def _with_speeds(segment: Complex, move: Deformation, a: float, b: float) -> Complex:
    """Make one cubic of a moved stretch of a cubic, with the moved stretch's own velocity at both ends."""
    ends = position(segment[None, :], np.array([a, b]))
    speed = derivative(segment[None, :], np.array([a, b])) * (b - a)
    ways, step = speed / np.abs(speed), 1e-3
    moved, way = move(ends), (move(ends + step * ways) - move(ends - step * ways)) / (2 * step) * np.abs(speed)
    return np.array([moved[0], moved[0] + way[0] / 3, moved[1] - way[1] / 3, moved[1]])
