"""gape-close: an edge that stands away from the body (neckline, armhole) is pinched flat, the pinch turned elsewhere.

``how=dart``: the cut runs from the gape to the bust point and on to another edge; one side turns about the bust point
until the gape is closed, and where it opens there is a dart. ``how=hinge``: the wedge is closed to nothing at the other
edge. The centre stays on its grain. Common practice, no source.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Dart,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Slash,
    SpreadPiece,
    both_ways,
    hookimpl,
    replace,
    sewing,
    spread,
    swap,
    true,
    unkept_promises,
)


def run(job: Job) -> Outcome:
    """Cut, turn the side's part until the pinch is closed, true the edge, open the dart; then measure."""
    piece, amount, dart = job.piece, job.values["amount"], job.values["how"] == "dart"
    assert piece is not None
    edge, into = own_edge(job, "edge"), own_edge(job, "into")
    if edge == into:
        raise job.refuse(f"the pinch can't be turned into the {edge} itself", "name another edge behind into=")
    gape, end = place(piece, edge, job.values.get("at")), place(piece, into, job.values.get("into-at"))
    pivot = piece.landmark(job.values["tip"]) if dart else end
    if amount > abs(gape - pivot) / 4:
        raise job.refuse("the pinch is wider than a quarter of what it closes", "pinch less, or in two places")
    side = piece.landmark("underarm")
    turn = math.copysign(2 * math.asin(amount / 2 / abs(gape - pivot)), cross(pivot - gape, side - gape))
    motion = Affine.turn(turn, about=pivot)
    line = (beyond(gape, pivot), pivot, *((beyond(end, pivot),) if dart else ()))
    parted = spread(piece, Slash(line, moves=side, hinge=None if dart else end), motion)
    new, openings = true(parted)
    openings = tuple(one for one in openings if not dart or one.edge == edge)
    got: list[Measurement] = []
    if dart:
        new = with_dart(parted, new, into, end, pivot)
        opened = new.darts[-1]
        angle = math.degrees(abs(cmath.phase((opened.start - pivot) / (opened.end - pivot))))
        got += [Measurement("dart mouth", abs(opened.start - opened.end)), Measurement("dart angle", angle, "deg")]
    got += [Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in (edge, into)]
    lost = sewing.sewn_length(piece, edge) - sewing.sewn_length(new, edge)
    warnings = list(unkept_promises(openings))
    if abs(lost - amount) > amount / 10:
        why = "the cut does not meet it squarely: move it with at="
        warnings.append(f"{piece.title}: the {edge} lost {both_ways(lost)} of {both_ways(amount)} pinched, for {why}")
    cut = Curve.polyline([gape, pivot, end] if dart else [gape, end])
    return Outcome(
        pieces=swap(job.pieces, new),
        got=tuple(got),
        openings=openings,
        annotations=(Annotation("slash", piece.title, cut, label=f"slash {job.do}"),),
        warnings=tuple(warnings),
        moved=parted.moved,
    )


def own_edge(job: Job, name: str) -> str:
    """Return the edge that a parameter names; refuse one of another piece."""
    assert job.piece is not None
    piece, edge = job.values[name]
    if piece != job.piece.title:
        raise job.refuse(f"{name} names an edge of {piece}", f"name one of {job.piece.title}")
    return edge


def place(piece: Piece, edge: str, distance: float | None) -> complex:
    """Find a point of an edge: so far from its front or underarm end, or its middle."""
    half = sewing.sewn_length(piece, edge) / 2
    curve, at = sewing.place_along(piece, edge, half if distance is None else distance)
    return curve.point(at)


def beyond(point: complex, pivot: complex) -> complex:
    """Return a point of the edge, a little outside the piece."""
    return point + (point - pivot) / abs(point - pivot)


def cross(a: complex, b: complex) -> float:
    """Tell by its sign on which side of ``a`` ``b`` lies."""
    return (a.conjugate() * b).imag


def with_dart(parted: SpreadPiece, trued: Piece, name: str, end: complex, tip: complex) -> Piece:
    """Draw an edge with the dart that opened in it, cut out: along the edge to one leg, to the tip, and on."""
    old, now = parted.before.edge(name).curve, trued.edge(name).curve
    first, second = old.split(old.nearest(end)[0])
    if abs(now.start - old.start) < 1e-9:
        second = second.transform(parted.motion)
    else:
        first = first.transform(parted.motion)
    curve = Curve.chain([first, Curve.polyline([first.end, tip, second.start]), second])
    edges = tuple(replace(edge, curve=curve) if edge.name == name else edge for edge in trued.edges)
    dart = Dart(edge=name, start=first.end, apex=tip, end=second.start)
    return replace(trued.with_edges(edges), darts=(*trued.darts, dart))


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Called once, when svgfit loads this file."""
    parameters = (
        Parameter("amount", "length", "how much is pinched at the edge", minimum=1.0),
        Parameter("edge", "edge", "the edge that gapes", default="neckline"),
        Parameter("at", "length", "where, from its front or underarm end", default_text="in its middle"),
        Parameter("into", "edge", "the edge that the pinch is turned to", default="side seam"),
        Parameter("into-at", "length", "where, from its front or underarm end", default_text="in its middle"),
        Parameter("how", "text", "a dart there, or nothing but a hinge", default="dart", choices=("dart", "hinge")),
        Parameter("tip", "text", "for a dart: the landmark at its tip", default="bust point"),
    )
    summary = "Closes a gape of a neckline or armhole, and turns what was pinched into a dart or to nothing."
    return [Operation("gape-close", summary, parameters, run, kinds=("front", "back"), one_of=(("amount",),))]
