"""Knows shoulder yokes: they lie between front and back, and the armhole runs over them. Page mm.

Half a yoke, its centre back on the fold or at a centre line, has five edges in order: centre, back seam, armhole, front
seam, neckline. A whole one has six: neckline, and on each half front seam and armhole, and the back seam, which is
parted at its middle here, so that each half meets its half of the back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from svgfit.plugin import (
    DrawnPiece,
    Edge,
    Piece,
    Recogniser,
    Refusal,
    hookimpl,
    recognising,
)

OTHER_SIDE = " other side"
"""After the names of the second half's edges, of a whole yoke."""
CORNERS = ("neck centre", "neck point", "armhole front", "armhole back", "back centre")
WHAT_TO_MARK = "mark " + ", ".join(f'"{name}"' for name in CORNERS[:-1]) + f' and "{CORNERS[-1]}" on a landmarks layer'


def suits(drawn: DrawnPiece) -> float:
    """Give 1 where the name says yoke (and neither skirt, hip nor trouser), else 0."""
    words = set(re.findall(r"[^\W\d_]+", recognising.in_english(drawn.name)))
    return 1.0 if "yoke" in words and not words & {"skirt", "hip", "trouser", "trousers", "waist"} else 0.0


def recognise(drawn: DrawnPiece) -> Piece:
    """Recognise a yoke; raises Refusal, with what to add, where its edges can't be told."""
    marked = [at for name, at in drawn.landmarks if name in CORNERS]
    found = recognising.drawn_sides(drawn, 5, marked)
    notes: list[str] = []
    if len(marked) == len(CORNERS):
        edges = _by_landmarks(drawn, found)
    elif drawn.fold or drawn.centre:
        edges = _half(drawn, found, notes)
    else:
        edges = _whole(drawn, found, notes)
    return recognising.finished_piece(drawn, "yoke", found, edges, notes)


def _by_landmarks(drawn: DrawnPiece, found: recognising.DrawnSides) -> list[Edge]:
    named = dict(drawn.landmarks)
    runs = recognising.runs_between(drawn.where, found.sides, [(name, named[name]) for name in CORNERS])
    names = ("neckline", "front seam", "armhole", "back seam", "fold" if drawn.fold else "centre")
    return [Edge(name, run, fold=name == "fold") for name, run in zip(names, runs, strict=True)]


def _half(drawn: DrawnPiece, found: recognising.DrawnSides, notes: list[str]) -> list[Edge]:
    """Name the edges of half a yoke by their order from the fold or centre."""
    sides, inner = found.sides, (*drawn.fold, *drawn.centre)
    near = [(line.nearest(recognising.midpoint(side))[1], k) for k, side in enumerate(sides) for line in inner]
    away, centre = min(near)
    if len(sides) != 5 or away > 20:
        what = f"half a yoke has five corners, this one has {len(sides)}"
        raise Refusal(drawn.where, what if away <= 20 else "no edge lies on its fold or centre line", WHAT_TO_MARK)
    ring = [sides[(centre + k) % 5] for k in range(5)]
    # Of the two edges at the centre the neckline is the hollow one.
    first, last = (recognising.hollowness(ring[k], found.clockwise) for k in (1, 4))
    if max(first, last) <= 0.02:
        raise Refusal(drawn.where, "its neckline can't be told from its back seam: neither is hollow", WHAT_TO_MARK)
    notes.append("edges: by their order from the centre back, the hollow one there is the neckline")
    names = ["fold" if drawn.fold else "centre", "back seam", "armhole", "front seam", "neckline"]
    names = [names[0], *names[:0:-1]] if first > last else names
    return [Edge(name, side, fold=name == "fold") for name, side in zip(names, ring, strict=True)]


def _whole(drawn: DrawnPiece, found: recognising.DrawnSides, notes: list[str]) -> list[Edge]:
    """Name the edges of a whole yoke by their order from the neckline, which is the hollowest."""
    sides = found.sides
    if len(sides) != 6:
        raise Refusal(
            drawn.where,
            f"no fold or centre line is drawn, and a whole yoke has six corners, this one has {len(sides)}",
            f"draw the fold line, or {WHAT_TO_MARK}",
        )
    depth, neck = max((recognising.hollowness(side, found.clockwise), k) for k, side in enumerate(sides))
    if depth <= 0.05:
        raise Refusal(drawn.where, "its neckline can't be told: no edge is hollow", WHAT_TO_MARK)
    ring = [sides[(neck + k) % 6] for k in range(6)]
    back = ring[3]
    first, second = back.split(back.at_length(back.length() / 2))
    notes.append("edges: by their order from the neckline, the hollowest; the back seam is divided at its middle")
    names = ("neckline", "front seam", "armhole", "back seam")
    edges = [Edge(name, side) for name, side in zip(names, (*ring[:3], first), strict=True)]
    edges += [Edge(f"{name}{OTHER_SIDE}", side) for name, side in zip(names[:0:-1], (second, *ring[4:]), strict=True)]
    return edges


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer the recogniser of yokes."""
    return [Recogniser("yoke", ("yoke",), suits, recognise)]
