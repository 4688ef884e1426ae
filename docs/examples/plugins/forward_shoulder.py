"""forward-shoulder: the shoulder seam lies too far back (or forward) at the tip. Front, back and sleeve in one step.

A wedge is cut off the front's shoulder, nothing wide at the neck, and taped to the back's; the sleeve's shoulder notch
moves along. So the front's armhole loses what the back's gains, and the neck stays. Common practice, no source.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    edgework,
    hookimpl,
    replace,
    sewing,
    sleeves,
    swap,
)

TIP, NECK, SHOULDER = "shoulder tip", "neck point", "shoulder"


def run(job: Job) -> Outcome:
    """Cut the wedge off the one piece, tape it to the other, move the sleeve's notch; then measure."""
    sleeve, forward = job.piece, job.values["amount"]
    assert sleeve is not None
    row = sewing.armhole_row(sleeve, job.pieces, job.seams)
    if row is None:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    if [part.piece.kind for part in row.parts] != ["front", "back"] or forward == 0:
        raise job.refuse("it moves one shoulder seam, of one front and one back", "name an amount, and sew only these")
    loses, gains = (part.piece for part in (row.parts if forward > 0 else reversed(row.parts)))
    shorter, strip = lose(job, loses, abs(forward))
    longer = gain(job, gains, strip.transform(as_sewn(loses, gains)))
    turned = move_notch(job, sleeve, forward)
    pieces = swap(swap(swap(job.pieces, shorter), longer), turned)
    way = Curve.polyline([sleeves.shoulder_point(sleeve), sleeves.shoulder_point(turned)])
    seams = (Annotation("old edge", old.title, old.edge(SHOULDER).curve) for old in (loses, gains))
    corner = edgework.find_flaws(longer.edge("armhole").curve, 0, len(longer.edge("armhole").curve), longer.darts)
    return Outcome(
        pieces=pieces,
        got=tuple(measured(pieces, row, job)),
        annotations=(*seams, Annotation("arrow", turned.title, way, length=forward)),
        warnings=(f"{longer.title}: its armhole has a corner at the old shoulder seam: blend it",) if corner else (),
    )


def lose(job: Job, piece: Piece, by: float) -> tuple[Piece, Curve]:
    """Cut ``by`` mm off the shoulder end of an armhole; return also the strip cut off, towards the old tip."""
    curve = towards_tip(piece, piece.edge("armhole").curve)
    at = curve.at_length(curve.length() - by)
    above = [mark for mark in piece.notches("armhole") if mark.at and curve.nearest(mark.at)[0] >= at]
    if by >= curve.length() or above:
        raise job.refuse(f"{piece.title} has a notch, or no armhole, where the seam would lie", "use a smaller amount")
    return with_shoulder(job, piece, curve.subcurve(0.0, at)), curve.subcurve(at, float(len(curve)))


def gain(job: Job, piece: Piece, strip: Curve) -> Piece:
    """Lengthen an armhole beyond its tip by a strip that ends there."""
    return with_shoulder(job, piece, Curve.chain([towards_tip(piece, piece.edge("armhole").curve), strip.reverse()]))


def as_sewn(one: Piece, other: Piece) -> Affine:
    """Lay a piece on another as their shoulders are sewn: tip on tip, seam along seam."""
    ways = [piece.landmark(NECK) - piece.landmark(TIP) for piece in (one, other)]
    turn = Affine.turn(cmath.phase(ways[1] / ways[0]))
    return Affine.shift(-one.landmark(TIP)).then(turn).then(Affine.shift(other.landmark(TIP)))


def with_shoulder(job: Job, piece: Piece, armhole: Curve) -> Piece:
    """End the armhole at a new tip, and turn the shoulder seam about the neck point to it, its notches with it."""
    old, new, neck = piece.landmark(TIP), armhole.end, piece.landmark(NECK)
    if any(dart.edge == SHOULDER for dart in piece.darts):
        raise job.refuse(f"{piece.title} has a dart in its shoulder", "move that dart out of the shoulder first")
    ratio = (new - neck) / (old - neck)
    about = Affine.shift(-neck).then(Affine.scale(abs(ratio))).then(Affine.turn(cmath.phase(ratio)))
    seam, shoulder = piece.edge(SHOULDER).curve, piece.edge(SHOULDER).curve.transform(about.then(Affine.shift(neck)))
    drawn = armhole if piece.edge("armhole").curve.start == armhole.start else armhole.reverse()
    curves = {"armhole": drawn, SHOULDER: shoulder}
    edges = tuple(replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in piece.edges)
    marks = list(piece.marks)
    for k, mark in enumerate(marks):
        if mark.edge == SHOULDER and mark.at is not None:
            at = seam.nearest(mark.at)[0]
            marks[k] = edgework.ride_along_edge(mark, seam, at, shoulder, at)
    landmarks = tuple(replace(one, at=new) if one.name == TIP else one for one in piece.landmarks)
    return replace(piece.with_edges(edges), marks=tuple(marks), landmarks=landmarks)


def towards_tip(piece: Piece, curve: Curve) -> Curve:
    """Walk an edge from its other end to the shoulder tip."""
    tip = piece.landmark(TIP)
    return curve.reverse() if abs(curve.start - tip) < abs(curve.end - tip) else curve


def move_notch(job: Job, sleeve: Piece, forward: float) -> Piece:
    """Move the sleeve's shoulder notch along the cap, towards the front; other notches stay."""
    old = sewing.sewn_distance(sleeve, "cap", sleeves.shoulder_point(sleeve))
    new = old - forward
    others = [sewing.sewn_distance(sleeve, "cap", mark.at) for mark in sleeve.notches("cap") if mark.at is not None]
    if any(min(old, new) <= other <= max(old, new) for other in others):
        raise job.refuse("the shoulder notch would pass another notch of the cap", "use a smaller amount")
    return sewing.with_shoulder_notch(sleeve, new)


def measured(pieces: tuple[Piece, ...], row: sewing.SewnRow, job: Job) -> Iterable[Measurement]:
    """Measure both armholes and both shoulder seams, and the cap's ease in each half."""
    now = {piece.title: piece for piece in pieces}
    for edge in ("armhole", SHOULDER):
        for part in row.parts:
            length = sewing.sewn_length(now[part.piece.title], edge)
            yield Measurement(f"{edge} {part.piece.kind}", length)
    assert job.piece is not None
    figures = job.measure(pieces, job.seams)[job.piece.title]
    yield from (one for one in figures if one.name in ("cap ease front", "cap ease back"))


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Called once, when svgfit loads this file."""
    amount = Parameter("amount", "length", "how far the seam moves to the front at the tip; negative: to the back")
    summary = "Moves the shoulder seam at its tip: front and back armhole, and the sleeve's notch, in one step."
    return [Operation("forward-shoulder", summary, (amount,), run, kinds=("sleeve",), one_of=(("amount",),))]
