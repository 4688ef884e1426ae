"""Cuffs: a kind of piece of its own, with edges, measurements and an operation, all in one file.

A cuff here is a band of four edges. Its sleeve edge, which is sewn round the sleeve's hem, is the long edge with the
notches; where neither has any, the longer one; where they are alike too, a guess, which svgfit tells with every figure.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    DrawnPiece,
    Edge,
    Measurement,
    Measurer,
    Piece,
    Recogniser,
    Refusal,
    hookimpl,
    recognising,
    sewing,
)

NAMES = ("sleeve edge", "end back", "wrist edge", "end front")
ALIKE = 0.5
"""Long edges that differ by less than this, mm, are alike."""
MARK = 'name them in svgfit.toml: [pieces.Cuff] edges = { "sleeve edge" = 1, "wrist edge" = 3 }'


def suits(drawn: DrawnPiece) -> float:
    """Give 1 where the name says cuff, else 0."""
    return 1.0 if "cuff" in recognising.in_english(drawn.name).split() else 0.0


def recognise(drawn: DrawnPiece) -> Piece:
    """Name the four edges, from the sleeve edge on; raise Refusal where there are not four."""
    found = recognising.drawn_sides(drawn, 4)
    if len(found.sides) != 4:
        raise Refusal(drawn.where, f"a cuff has four corners, this one has {len(found.sides)}", MARK)
    lengths = [side.length(1e-3) for side in found.sides]
    first = 0 if lengths[0] + lengths[2] > lengths[1] + lengths[3] else 1
    notched = [_notches_on(drawn, found, k) for k in (first, first + 2)]
    unsure: list[str] = []
    if notched[0] != notched[1]:
        start = first if notched[0] > notched[1] else first + 2
    else:
        start = first if lengths[first] >= lengths[first + 2] else first + 2
        if abs(lengths[first] - lengths[first + 2]) < ALIKE:
            unsure.append("sleeve edge: a guess, both long edges are alike; put its notches on it")
    ring = [found.sides[(start + k) % 4] for k in range(4)]
    edges = [Edge(name, side) for name, side in zip(NAMES, ring, strict=True)]
    return recognising.finished_piece(drawn, "cuff", found, edges, unsure=unsure)


def _notches_on(drawn: DrawnPiece, found: recognising.DrawnSides, side: int) -> int:
    """Count the notches of which this side is the nearest."""
    points = [curve.point(len(curve) / 2) for shape in drawn.notches for curve in shape.curves]
    nearest = [min(range(4), key=lambda k, at=at: found.sides[k].nearest(at)[1]) for at in points]
    return nearest.count(side)


def measure(piece: Piece) -> Iterable[Measurement]:
    """Measure both long edges and, between their middles, how deep the cuff is."""
    sleeve, wrist = piece.edge("sleeve edge").curve, piece.edge("wrist edge").curve
    yield Measurement("cuff length", sewing.sewn_length(piece, "sleeve edge"))
    yield Measurement("cuff length at the wrist", sewing.sewn_length(piece, "wrist edge"))
    yield Measurement("cuff depth", wrist.nearest(recognising.midpoint(sleeve))[1])


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Called once, when svgfit loads this file."""
    return [Recogniser("cuff", ("cuff",), suits, recognise)]


@hookimpl
def svgfit_measurers() -> Iterable[Measurer]:
    """Called once too: a file may implement several hooks."""
    return [Measurer("cuff", ("cuff",), measure)]
