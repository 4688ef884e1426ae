"""Knowing a shoulder yoke: it lies between front and back, and the armhole runs over it. Page mm.

Half a yoke, its centre back on the fold or at a centre line, has five edges in order: centre, back seam, armhole, front
seam, neckline. A whole one has six: neckline, and on each half front seam and armhole, and the back seam, which is
parted at its middle here, so that each half meets its half of the back.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, PieceKind
from svgfit.pattern.corners import find_sides, hollowness, midpoint, runs_between
from svgfit.pattern.cut_only import cut_sides
from svgfit.pattern.languages import in_english
from svgfit.pattern.outline import Outline
from svgfit.pattern.recognise.choose import drawn_outline, plain_piece
from svgfit.pattern.recognise.named_edges import with_directions

OTHER_SIDE = " other side"
"""After the names of the second half's edges, of a whole yoke."""
CORNERS = ("neck centre", "neck point", "armhole front", "armhole back", "back centre")
WHAT_TO_MARK = "mark " + ", ".join(f'"{name}"' for name in CORNERS[:-1]) + f' and "{CORNERS[-1]}" on a landmarks layer'


def suits_yoke(drawn: DrawnPiece) -> float:
    """Give 1 where the name says yoke (and neither skirt, hip nor trouser), else 0."""
    name = in_english(drawn.name)
    if PieceKind.YOKE not in name:
        return 0.0
    words = set(re.findall(r"[^\W\d_]+", name))
    return 1.0 if PieceKind.YOKE in words and not words & {"skirt", "hip", "trouser", "trousers", "waist"} else 0.0


def recognise_yoke(drawn: DrawnPiece) -> Piece:
    """Recognise a yoke; raises Refusal, with what to add, where its edges can't be told."""
    outline, cut_only = drawn_outline(drawn)
    marked = [at for name, at in drawn.landmarks if name in CORNERS]
    sides = find_sides(outline.loop, outline.bridges, extra=marked)
    if cut_only:
        sides = cut_sides(outline.loop, outline.bridges, drawn.allowances, 5, marked)
    notes: list[str] = []
    if len(marked) == len(CORNERS):
        edges = _by_landmarks(drawn, sides)
    elif drawn.fold or drawn.centre:
        edges = _half(drawn, sides, notes)
    else:
        edges = _whole(drawn, sides, outline, notes)
    return plain_piece(drawn, "yoke", outline, cut_only, with_directions(edges), notes)


def _by_landmarks(drawn: DrawnPiece, sides: Sequence[Curve]) -> list[Edge]:
    named = dict(drawn.landmarks)
    runs = runs_between(drawn.where, sides, [(name, named[name]) for name in CORNERS])
    names = ("neckline", "front seam", "armhole", "back seam", "fold" if drawn.fold else "centre")
    return [Edge(name, run, fold=name == EdgeName.FOLD) for name, run in zip(names, runs, strict=True)]


def _half(drawn: DrawnPiece, sides: Sequence[Curve], notes: list[str]) -> list[Edge]:
    """Name the edges of half a yoke by their order from the fold or centre."""
    inner = (*drawn.fold, *drawn.centre)
    near = [(line.nearest(midpoint(side))[1], k) for k, side in enumerate(sides) for line in inner]
    away, centre = min(near)
    if len(sides) != 5 or away > 20:
        what = f"half a yoke has five corners, this one has {len(sides)}"
        raise Refusal(drawn.where, what if away <= 20 else "no edge lies on its fold or centre line", WHAT_TO_MARK)
    ring = [sides[(centre + k) % 5] for k in range(5)]
    # Of the two edges at the centre the neckline is the hollow one.
    clockwise = Curve.chain(sides).area() > 0
    neck_first = hollowness(ring[1], clockwise) > hollowness(ring[4], clockwise)
    if max(hollowness(ring[1], clockwise), hollowness(ring[4], clockwise)) <= 0.02:
        raise Refusal(drawn.where, "its neckline can't be told from its back seam: neither is hollow", WHAT_TO_MARK)
    notes.append("edges: by their order from the centre back, the hollow one there is the neckline")
    names = ["fold" if drawn.fold else "centre", "back seam", "armhole", "front seam", "neckline"]
    names = [names[0], *names[:0:-1]] if neck_first else names
    return [Edge(name, side, fold=name == EdgeName.FOLD) for name, side in zip(names, ring, strict=True)]


def _whole(drawn: DrawnPiece, sides: Sequence[Curve], outline: Outline, notes: list[str]) -> list[Edge]:
    """Name the edges of a whole yoke by their order from the neckline, which is the hollowest."""
    if len(sides) != 6:
        raise Refusal(
            drawn.where,
            f"no fold or centre line is drawn, and a whole yoke has six corners, this one has {len(sides)}",
            f"draw the fold line, or {WHAT_TO_MARK}",
        )
    clockwise = outline.loop.area() > 0
    depth, neck = max((hollowness(side, clockwise), k) for k, side in enumerate(sides))
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
