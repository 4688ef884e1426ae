"""Where a slash runs, in words and figures that a person can measure off: read from the working line itself."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.wording import listed
from svgfit.render.pdf.facts import length
from svgfit.render.pdf.parts import Slit

_STRAIGHT = 0.05
"""Two points that differ by less (mm) across or down lie on one upright or level line."""


class Ruled(Struct, frozen=True):
    """A figure to measure off when drawing the line: between two points of the piece's frame."""

    start: complex
    end: complex
    value: float
    """In mm."""


def route(piece: Piece, found: Sequence[Slit], unit: str) -> str:
    """How the slashes run; "" where there are none. Slashes that run alike are told once."""
    told = [_one(piece, slit, unit) for slit in found]
    texts = list(dict.fromkeys(text for text, _, _ in told))
    if len(texts) == 1:
        figures = list(dict.fromkeys(figure for _, figure, _ in told))
        if len(figures) > 1:
            figures = [f"{figure} ({side})" for _, figure, side in told if side]
        both = "on both sides " if len(told) == 2 and all(side for _, _, side in told) else ""
        return both + texts[0].format(listed(figures))
    return "; ".join(f"in the {side} {text.format(one)}" if side else text.format(one) for text, one, side in told)


def _one(piece: Piece, slit: Slit, unit: str) -> tuple[str, str, str]:
    """How a slash runs, with "{}" for its figure; the figure; and the side it lies on."""
    points = slit.points
    side = _side(piece, points[0])
    middle = _middle(piece)
    if len(points) == 2 and abs(points[0].imag - points[1].imag) < _STRAIGHT:
        above = _level(piece) - points[0].imag
        if piece.kind == "sleeve" and abs(above) > _STRAIGHT:
            return f"level, {{}} {'above' if above > 0 else 'below'} the bicep line", length(above, unit), ""
        return f"level, from {_edge_at(piece, points[0])} to {_edge_at(piece, points[1])}", "", ""
    target = _target(piece, slit)
    if abs(points[0].real - points[1].real) < _STRAIGHT:
        away = abs(points[0].real - middle) if middle is not None else 0.0
        beside = ", {} beside the centre line" if away > _STRAIGHT else ", along the centre line"
        beside = beside if middle is not None and piece.kind == "sleeve" else ""
        start = f"from {_edge_at(piece, points[0])} straight down{beside}"
        if len(points) == 2:
            return f"{start}, to {target}", length(away, unit), side
        if len(points) == 3 and abs(points[1].imag - points[2].imag) < _STRAIGHT:
            return f"{start}, then level to {target}", length(away, unit), side
    return f"from {_edge_at(piece, points[0])} to {target}, as drawn", "", side


def rulers(piece: Piece, found: Sequence[Slit]) -> tuple[Ruled, ...]:
    """What to measure to find the slashes: heights over the bicep line, distances from the centre line."""
    ruled: list[Ruled] = []
    middle = _middle(piece)
    if piece.kind != "sleeve" or middle is None:
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
    """The bicep line's y."""
    found = [at.imag for side in ("front", "back") if (at := piece.find_landmark(f"underarm {side}")) is not None]
    return sum(found) / len(found) if found else 0.0


def _middle(piece: Piece) -> float | None:
    """The centre line's x."""
    top = piece.find_landmark("cap top")
    return None if top is None else top.real


def _side(piece: Piece, at: complex) -> str:
    middle = _middle(piece)
    if middle is None or abs(at.real - middle) < 1.0:
        return ""
    return "front" if at.real > middle else "back"


def _target(piece: Piece, slit: Slit) -> str:
    """What a slash ends at."""
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
    """The edge on which a point lies."""
    found = [(edge.curve.nearest(at)[1], edge.name) for edge in piece.edges]
    name = min(found)[1] if found else "edge"
    return f"the {name} edge" if name in ("cap", "hem") else f"the {name}"
