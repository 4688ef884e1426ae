"""Where a slash runs and where a redrawn armhole leaves the old, in words and figures that a person can measure off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.fitting.sewn import has_dart, sewn_distance, sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import EdgeName, Side
from svgfit.model.wording import listed
from svgfit.render.pdf.parts import Slit
from svgfit.render.pdf.step_sentences import length
from svgfit.render.sleeve_points import sleeve_points

_OFF = 0.01
"""An edge that lies nearer than this (mm) to the old one is the old one."""
_AT = 4.0
"""So near (mm along the edge) to a notch it is told as at the notch."""
_LEAST = 3.0
"""An edge that is new from less than this (mm) below the shoulder is all new."""
_PLACES = 160
_STRAIGHT = 0.05
"""Two points that differ by less (mm) across or down lie on one upright or level line."""


class Ruled(Struct, frozen=True):
    """A figure to measure off when drawing the line: between two points of the piece's frame."""

    start: complex
    end: complex

    @property
    def value(self) -> float:
        """In mm."""
        return abs(self.end - self.start)


def route(piece: Piece, found: Sequence[Slit], units: Units) -> str:
    """Say how the slashes run; "" where there are none. Slashes that run alike are told once."""
    ways = [_one(piece, slit, units) for slit in found]
    texts = list(dict.fromkeys(text for text, _, _ in ways))
    if len(texts) == 1:
        figures = list(dict.fromkeys(figure for _, figure, _ in ways))
        if len(figures) > 1:
            figures = [f"{figure} ({side})" for _, figure, side in ways if side]
        both = "on both sides " if len(ways) == 2 and all(side for _, _, side in ways) else ""
        return both + texts[0].format(listed(figures))
    return "; ".join(f"in the {side} {text.format(one)}" if side else text.format(one) for text, one, side in ways)


def _one(piece: Piece, slit: Slit, units: Units) -> tuple[str, str, str]:
    """Say how a slash runs, with "{}" for its figure; give the figure, and the side it lies on."""
    points, sleeve = slit.points, sleeve_points(piece)
    beside = 0.0 if sleeve is None else points[0].real - sleeve.top.real
    side = "" if abs(beside) < 1.0 else Side.FRONT if beside > 0 else Side.BACK
    start, target = f"from {_edge_at(piece, points[0])}", _target(piece, slit)
    if len(points) == 2 and _is_level(*points):
        above = 0.0 if sleeve is None else sleeve.level - points[0].imag
        if abs(above) > _STRAIGHT:
            return f"level, {{}} {'above' if above > 0 else 'below'} the bicep line", length(above, units), ""
        return f"level, {start} to {_edge_at(piece, points[1])}", "", ""
    if len(points) in (2, 3) and _is_upright(points[0], points[1]):
        down = f"{start} straight down"
        if sleeve is not None:
            down += ", {} beside the centre line" if abs(beside) > _STRAIGHT else ", along the centre line"
        if len(points) == 2:
            return f"{down}, to {target}", length(beside, units), side
        if _is_level(*points[1:]):
            return f"{down}, then level to {target}", length(beside, units), side
    return f"{start} to {target}, as drawn", "", side


def rulers(piece: Piece, found: Sequence[Slit]) -> tuple[Ruled, ...]:
    """Find what to measure for the slashes: heights over the bicep line, distances from the centre line."""
    ruled: list[Ruled] = []
    sleeve = sleeve_points(piece)
    if sleeve is None:
        return ()
    level, middle = sleeve.level, sleeve.top.real
    for points in (slit.points for slit in found):
        if len(points) == 2 and _is_level(*points):
            x = min(points[0].real, points[1].real) * 0.25 + middle * 0.75
            ruled.append(Ruled(complex(x, level), complex(x, points[0].imag)))
        elif _is_upright(points[0], points[1]):
            y = points[0].imag + (points[1].imag - points[0].imag) * 0.45
            ruled.append(Ruled(complex(middle, y), complex(points[0].real, y)))
    return tuple(one for one in ruled if one.value > 1.0)


def _is_level(start: complex, end: complex) -> bool:
    return abs(start.imag - end.imag) < _STRAIGHT


def _is_upright(start: complex, end: complex) -> bool:
    return abs(start.real - end.real) < _STRAIGHT


def _target(piece: Piece, slit: Slit) -> str:
    """Say what a slash ends at."""
    if slit.hinge is None:
        return _edge_at(piece, slit.points[-1])
    near = [(abs(mark.at - slit.hinge), mark.name) for mark in piece.landmarks]
    if near and min(near)[0] < 0.5:
        name = min(near)[1]
        return f"the hinge at the {'underarm point' if name.startswith('underarm') else name}"
    return f"the hinge on {_edge_at(piece, slit.hinge)}"


def _edge_at(piece: Piece, at: complex) -> str:
    """Name the edge on which a point lies."""
    found = [(edge.curve.nearest(at)[1], edge.name) for edge in piece.edges]
    name = min(found)[1] if found else "edge"
    return f"the {name} edge" if name in (EdgeName.CAP, EdgeName.HEM) else f"the {name}"


# -- a redrawn armhole ------------------------------------------------------------------------------------------------


class Beginning(Struct, frozen=True):
    """Where the new armhole leaves the old."""

    at: complex
    words: str


def begins(before: Piece, after: Piece, edge: str, units: Units) -> Beginning | None:
    """Find where a new armhole leaves the old, seen from the shoulder; None where none or all of it is new."""
    if not before.has_edge(edge) or not after.has_edge(edge):
        return None
    old, new = before.edge(edge).from_front(), after.edge(edge).from_front()
    whole = new.length()
    spots = [(part * whole, new.point(new.at_length(part * whole))) for part in np.linspace(1.0, 0.0, _PLACES).tolist()]
    off = [(from_underarm, spot) for from_underarm, spot in spots if old.nearest(spot)[1] > _OFF]
    if not off or off[0][0] > whole - _LEAST:
        return None
    sewn = sewn_length(after, edge)
    start = sewn - sewn_distance(after, edge, off[0][1])
    closed = ", darts closed" if has_dart(after, edge) else ""
    words = f"{length(start, units)} from the shoulder, measured along the edge{closed}"
    notches = [mark.at for mark in after.notches(edge) if mark.at is not None]
    away = sorted(sewn - sewn_distance(after, edge, at) - start for at in notches)
    near = min(away, key=abs, default=None)
    if near is not None:
        which = "notch" if len(away) == 1 else "upper notch" if near == away[0] else "lower notch"
        beside = f"{words} ({length(near, units)} {'above' if near > 0 else 'below'} the {which})"
        words = f"at the {which}, {words}" if abs(near) < _AT else beside
    return Beginning(off[0][1], words)
