"""Where a slash runs and where a redrawn armhole leaves the old, in words and figures that a person can measure off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.fitting.sewn import has_dart, sewn_distance, sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, PieceKind
from svgfit.model.wording import listed
from svgfit.render.pdf.parts import Slit
from svgfit.render.pdf.step_sentences import length

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
    value: float
    """In mm."""


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
    points = slit.points
    side = _side(piece, points[0])
    middle = _middle(piece)
    if len(points) == 2 and abs(points[0].imag - points[1].imag) < _STRAIGHT:
        above = _level(piece) - points[0].imag
        if piece.kind == PieceKind.SLEEVE and abs(above) > _STRAIGHT:
            return f"level, {{}} {'above' if above > 0 else 'below'} the bicep line", length(above, units), ""
        return f"level, from {_edge_at(piece, points[0])} to {_edge_at(piece, points[1])}", "", ""
    target = _target(piece, slit)
    if abs(points[0].real - points[1].real) < _STRAIGHT:
        away = abs(points[0].real - middle) if middle is not None else 0.0
        beside = ", {} beside the centre line" if away > _STRAIGHT else ", along the centre line"
        beside = beside if middle is not None and piece.kind == PieceKind.SLEEVE else ""
        start = f"from {_edge_at(piece, points[0])} straight down{beside}"
        if len(points) == 2:
            return f"{start}, to {target}", length(away, units), side
        if len(points) == 3 and abs(points[1].imag - points[2].imag) < _STRAIGHT:
            return f"{start}, then level to {target}", length(away, units), side
    return f"from {_edge_at(piece, points[0])} to {target}, as drawn", "", side


def rulers(piece: Piece, found: Sequence[Slit]) -> tuple[Ruled, ...]:
    """Find what to measure for the slashes: heights over the bicep line, distances from the centre line."""
    ruled: list[Ruled] = []
    middle = _middle(piece)
    if piece.kind != PieceKind.SLEEVE or middle is None:
        return ()
    level = _level(piece)
    for slit in found:
        points = slit.points
        if len(points) == 2 and abs(points[0].imag - points[1].imag) < _STRAIGHT:
            x = min(points[0].real, points[1].real) * 0.25 + middle * 0.75
            if abs(level - points[0].imag) > 1.0:
                ruled.append(Ruled(complex(x, level), complex(x, points[0].imag), abs(level - points[0].imag)))
        elif abs(points[0].real - points[1].real) < _STRAIGHT and abs(points[0].real - middle) > 1.0:
            y = points[0].imag + (points[1].imag - points[0].imag) * 0.45
            ruled.append(Ruled(complex(middle, y), complex(points[0].real, y), abs(points[0].real - middle)))
    return tuple(ruled)


def _level(piece: Piece) -> float:
    """Find the bicep line's y."""
    names = (LandmarkName.UNDERARM_FRONT, LandmarkName.UNDERARM_BACK)
    found = [at.imag for name in names if (at := piece.find_landmark(name)) is not None]
    return sum(found) / len(found) if found else 0.0


def _middle(piece: Piece) -> float | None:
    """Find the centre line's x."""
    top = piece.find_landmark(LandmarkName.CAP_TOP)
    return None if top is None else top.real


def _side(piece: Piece, at: complex) -> str:
    middle = _middle(piece)
    if middle is None or abs(at.real - middle) < 1.0:
        return ""
    return "front" if at.real > middle else "back"


def _target(piece: Piece, slit: Slit) -> str:
    """Say what a slash ends at."""
    if slit.hinge is None:
        return _edge_at(piece, slit.points[-1])
    near = [(abs(mark.at - slit.hinge), mark.name) for mark in piece.landmarks]
    if near and min(near)[0] < 0.5:
        name = min(near)[1]
        return (
            f"the hinge at the {name.split()[0]} point" if name.startswith("underarm") else f"the hinge at the {name}"
        )
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
    notches = [mark.at for mark in after.marks if mark.kind == MarkKind.NOTCH and mark.edge == edge]
    away = sorted(sewn - sewn_distance(after, edge, at) - start for at in notches if at is not None)
    near = min(away, key=abs, default=None)
    if near is not None:
        which = "notch" if len(away) == 1 else "upper notch" if near == away[0] else "lower notch"
        beside = f"{words} ({length(near, units)} {'above' if near > 0 else 'below'} the {which})"
        words = f"at the {which}, {words}" if abs(near) < _AT else beside
    return Beginning(off[0][1], words)
