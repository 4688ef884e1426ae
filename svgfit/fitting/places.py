"""Places on a piece, as a person writes them: a landmark, along an edge, a notch, a dart's tip, a point of the drawing.

``hem side``; ``side seam 4 in`` (from its front or underarm end); ``side seam 4 in from hem side``; ``armhole 60 %``;
``hem middle``; ``armhole notch``, ``armhole notch 2`` (counted from its front or underarm end); ``side seam dart``;
``point 120 mm, 340 mm`` (of the drawing, x to the right and y down). Any of them, and so far from it: ``underarm,
8 in down, 1 in left``, seen with the grain upright. Piece frame, mm, y down.
"""

from __future__ import annotations

import re

from msgspec import Struct

from svgfit.fitting.sewn import place_along, sewn_distance, sewn_length
from svgfit.model.length import both_ways, parse_length
from svgfit.model.piece import Piece
from svgfit.model.wording import closest_name, listed, name_key, suggestion

ON_OUTLINE = 1e-3
"""A place nearer than this to the stitch line (mm) lies on it."""
AT_CORNER = 0.5
"""A landmark nearer than this to an edge's end (mm) names it."""
_WAYS = {"up": -1j, "down": 1j, "right": 1 + 0j, "left": -1 + 0j}
_EXAMPLE = 'write for example "side seam 4 in", "underarm" or "underarm, 8 in down"'


class Place(Struct, frozen=True, kw_only=True):
    """A place on a piece, in its frame, mm."""

    piece: str
    """The piece's name."""
    at: complex
    """In the piece's frame."""
    edge: str | None = None
    """The edge that it was given along; None for a landmark, a dart's tip or a point."""
    text: str = ""
    """As a person wrote it."""


def find_place(piece: Piece, text: str) -> Place:
    """Find a place that a person wrote. Raises ValueError, with what is wrong and what to do, divided by a colon."""
    base, *steps = (part.strip() for part in text.split(","))
    if base.casefold().startswith("point ") and steps:
        base, steps = f"{base}, {steps[0]}", steps[1:]
    at, edge = _base(piece, base)
    for step in steps:
        at, edge = at + _step(piece, step), None
    return Place(piece=piece.name, at=at, edge=edge, text=text.strip())


def on_outline(piece: Piece, place: Place) -> float:
    """Return a place's parameter on ``piece.outline()``; raises ValueError where it lies elsewhere."""
    t, away = piece.outline().nearest(place.at)
    if away > ON_OUTLINE:
        raise ValueError(f"{place.text} lies {both_ways(away)} off the stitch line: name a place along an edge")
    return t % len(piece.outline())


def at_level(piece: Piece, edge: str, level: float) -> tuple[complex, ...]:
    """Find where an edge crosses a level (y of the piece's frame, mm), in the outline's order; () where it does not."""
    curve = piece.edge(edge).curve
    left, _, right, _ = curve.bounds()
    return tuple(curve.point(t) for t in curve.crossings(complex(left - 1, level), complex(right + 1, level)))


def edge_at(piece: Piece, at: complex) -> tuple[str, float]:
    """Find the edge nearest to a point, and how far along it, as sewn, the point's foot lies: mm from its front end."""
    edge = min(piece.edges, key=lambda edge: edge.curve.nearest(at)[1])
    return edge.name, sewn_distance(piece, edge.name, at)


def _base(piece: Piece, text: str) -> tuple[complex, str | None]:
    """Find what steps are counted from: the point, and the edge that it was given along."""
    for mark in piece.landmarks:
        if name_key(mark.name) == name_key(text):
            return mark.at, None
    if found := re.fullmatch(r"point\s+([^,]+),([^,]+)", text, re.IGNORECASE):
        return piece.placement.inverse().apply(complex(*(parse_length(one) for one in found.groups()))), None
    key = name_key(text)
    edges = [
        edge.name for edge in piece.edges if key == name_key(edge.name) or key.startswith(name_key(edge.name) + " ")
    ]
    if not edges:
        names = [mark.name for mark in piece.landmarks] + [edge.name for edge in piece.edges]
        near = closest_name(text, names)
        raise ValueError(f"{piece.name} has no {text!r}: {suggestion(near, f'it has {listed(names)}; {_EXAMPLE}')}")
    edge = max(edges, key=len)
    words = len(edge.split())
    return _along(piece, edge, " ".join(text.split()[words:])), edge


def _along(piece: Piece, edge: str, rest: str) -> complex:
    """Find a place along an edge, from what is written behind the edge's name."""
    length = sewn_length(piece, edge)
    if not rest:
        raise ValueError(f"{edge} does not say where along it: {_EXAMPLE}")
    if found := re.fullmatch(r"notch(?:\s+(\d+))?", rest, re.IGNORECASE):
        return _notch(piece, edge, int(found[1] or 1))
    if re.fullmatch(r"dart(?:\s+tip)?", rest, re.IGNORECASE):
        tips = [dart.apex for dart in piece.darts if dart.edge == edge]
        if len(tips) != 1:
            raise ValueError(f"{edge} has {len(tips) or 'no'} dart{'s' if len(tips) > 1 else ''}: name another place")
        return tips[0]
    distance, *ends = re.split(r"\s+from\s+", rest, maxsplit=1, flags=re.IGNORECASE)
    if distance.casefold() == "middle":
        along = length / 2
    elif found := re.fullmatch(r"(\d{1,3}(?:[.,]\d*)?)\s*%", distance):
        along = length * float(found[1].replace(",", ".")) / 100
    else:
        along = parse_length(distance)
    if not 0 <= along <= length:
        raise ValueError(f"{edge} is {both_ways(length)} long: {both_ways(along)} along it is no place on it")
    if ends and _is_far_end(piece, edge, ends[0]):
        along = length - along
    curve, t = place_along(piece, edge, along)
    return curve.point(t)


def _is_far_end(piece: Piece, edge: str, end: str) -> bool:
    """Tell whether a landmark is the end of an edge from which its distances are not counted."""
    curve = piece.edge(edge).from_front()
    names: list[str] = []
    for far, corner in ((False, curve.start), (True, curve.end)):
        there = [mark.name for mark in piece.landmarks if abs(mark.at - corner) < AT_CORNER]
        if any(name_key(name) == name_key(end) for name in there):
            return far
        names += there[:1]
    raise ValueError(f"{end!r} is no end of the {edge}: {f'its ends are {listed(names)}' if names else _EXAMPLE}")


def _notch(piece: Piece, edge: str, number: int) -> complex:
    """Find the notch of that number on an edge, counted from its front or underarm end."""
    points = [mark.at for mark in piece.notches(edge) if mark.at is not None]
    points.sort(key=lambda point: sewn_distance(piece, edge, point))
    if not 1 <= number <= len(points):
        there = f"{len(points)} notch{'es' if len(points) != 1 else ''}" if points else "no notch"
        raise ValueError(f"{edge} has {there}: {_EXAMPLE}")
    return points[number - 1]


def _step(piece: Piece, text: str) -> complex:
    """Read how far, and which way, a place lies from another: ``8 in down``."""
    distance, _, way = text.rpartition(" ")
    if way.casefold() not in _WAYS or not distance:
        raise ValueError(f"{text!r} does not say how far and which way: write for example 8 in down (up, left, right)")
    step = _WAYS[way.casefold()] * parse_length(distance)
    return complex(-step.real, step.imag) if piece.placement.mirrors else step
