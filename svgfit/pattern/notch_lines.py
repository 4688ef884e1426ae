"""How a notch is drawn from its seam allowance: the one place that knows. Piece frame, mm.

A notch is cut at the cut line (svgfit.rules.notches), so where the allowance changes, what was drawn at the old
cut line goes to the new one. How people draw them: from the stitch line to the cut line or over it, a short tick in
from the cut line, or a mark on the stitch line alone; other forms (a triangle, a T, a dot) keep their size.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.pattern.recognise.figures import gather
from svgfit.rules.notches import SHORTEST_DRAWN, TICK, TOUCHES


def with_allowance(piece: Piece, names: Collection[str], width: float) -> Piece:
    """Set the seam allowance of the edges named to ``width`` mm, and draw their notches to it."""
    edges = {edge.name: edge for edge in piece.edges if edge.name in names}
    marks = tuple(
        _to_cut_line(piece, mark, edges[mark.edge], width) if mark.edge in edges else mark for mark in piece.marks
    )
    new = tuple(replace(edge, allowance=width) if edge.name in names else edge for edge in piece.edges)
    return replace(piece, edges=new, marks=marks).after_step(anew=tuple(edges))


def plain_notch(piece: Piece, mark: Mark) -> Curve | None:
    """Draw a notch that nobody drew: from stitch line to cut line; without an allowance, a tick inwards."""
    if mark.at is None or mark.edge is None or not piece.has_edge(mark.edge):
        return None
    edge = piece.edge(mark.edge)
    far = -TICK if edge.allowance == 0 else edge.allowance or TICK
    return Curve.polyline([mark.at, mark.at + far * _outwards(piece, edge, mark.at)])


def _outwards(piece: Piece, edge: Edge, at: complex) -> complex:
    """Find the unit vector square to the edge, out of the piece."""
    return -1j * edge.curve.tangent(edge.curve.nearest(at)[0]) * math.copysign(1.0, piece.outline().area())


def _to_cut_line(piece: Piece, mark: Mark, edge: Edge, width: float) -> Mark:
    if mark.at is None or edge.allowance is None or abs(width - edge.allowance) < 1e-9:
        return mark
    out = _outwards(piece, edge, mark.at)
    if is_stroke(mark):
        return replace(mark, curves=(_redrawn_to(mark.curves[0], mark.at, out, edge.allowance, width),))
    curves: list[Curve] = []
    for group in gather(mark.curves, lambda _: out):
        curves += _form_to([mark.curves[k] for k in group], mark.at, out, edge.allowance, width)
    return replace(mark, curves=tuple(curves))


def is_stroke(mark: Mark) -> bool:
    """Return whether a notch is drawn as one straight stroke, not as a triangle, a T or a dot."""
    return len(mark.curves) == 1 and mark.curves[0].is_straight() and not mark.curves[0].is_closed()


def _form_to(curves: Sequence[Curve], at: complex, out: complex, old: float, new: float) -> list[Curve]:
    """Draw a form at ``at`` to a cut line ``new`` mm away, not ``old``: as large as it was, unless it joins both lines.

    One on the stitch line stays there, one on the cut line goes with that.
    """
    high = np.concatenate([np.asarray(dot(out, curve.segments - at), dtype=np.float64).ravel() for curve in curves])
    low, top = float(high.min()), float(high.max())
    if low <= TOUCHES and top >= old - TOUCHES and old >= SHORTEST_DRAWN:
        return [_redrawn_to(curve, at, out, old, new) for curve in curves]
    by = (new - old) * out if (low + top) / 2 > old / 2 or old < SHORTEST_DRAWN else 0j
    return [Curve(curve.segments + by) for curve in curves]


def _redrawn_to(curve: Curve, at: complex, out: complex, old: float, new: float) -> Curve:
    """Draw one line of a notch at ``at``, ``out`` pointing outwards, to a cut line ``new`` mm away, not ``old``."""
    high = np.asarray(dot(out, curve.segments - at), dtype=np.float64)
    low, top = float(high.min()), float(high.max())
    if top <= min(old / 2, new) and old >= SHORTEST_DRAWN:  # a mark on the stitch line alone
        return curve
    if low > old / 2 or old < SHORTEST_DRAWN:  # a tick at the cut line: as it is, at the new one
        return Curve(curve.segments + (new - old) * out)
    # From the stitch line to the cut line or over it: as far over as before, what lies between in its proportion.
    there = np.where(high <= 0, high, np.where(high < old, high * new / old, high + new - old))
    if float(there.max() - there.min()) < SHORTEST_DRAWN:
        end = at + float(there.max()) * out
        return Curve.polyline([end, end - TICK * out])
    return Curve(curve.segments + (there - high) * out)
