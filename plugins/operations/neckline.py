"""neckline: lower or higher at the centre, wider or narrower along the shoulder, front and back alike there.

Redrawn in the proportions that it had, square to the centre, and to the shoulder where that changed (from memory, no
source).
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    alterations,
    at_most,
    edgework,
    hookimpl,
    refuse_crossing,
    replace,
    rules,
    sewing,
    swap,
)

NECK, CENTRE, NECKLINE, SHOULDER = "neck point", "neck centre", "neckline", "shoulder"
LEAST = 10.0
"""So much of a centre, of a shoulder, and of the neckline's depth stays, mm."""


def run(job: Job) -> Outcome:
    """Move neck centre and neck point, draw the neckline between them, the other piece's neck point alike; measure."""
    piece = job.piece
    assert piece is not None
    depth = abs((piece.landmark(CENTRE) - piece.landmark(NECK)).imag)
    lower = job.values["amount"] if "amount" in job.values else job.values["depth"] - depth
    wider = job.values["wider"]
    pieces, got, notes = job.pieces, [], []
    for one in (piece, *(_sewn_at_shoulder(job, piece) if wider else ())):
        new = _redrawn(job, one, lower if one is piece else 0.0, wider)
        pieces = swap(pieces, new)
        title = "" if one is piece else f"{one.name} "
        got += [Measurement(f"{title}{name} length", sewing.sewn_length(new, name)) for name in (NECKLINE, SHOULDER)]
        notes.append(Annotation("old edge", one.title, one.edge(NECKLINE).curve))
    return Outcome(pieces, tuple(got), annotations=tuple(notes))


def _sewn_at_shoulder(job: Job, piece: Piece) -> Iterable[Piece]:
    """Find the pieces whose shoulder is sewn to this one's."""
    for seam in job.seams:
        for own, others in ((seam.a, seam.b), (seam.b, seam.a)):
            if own == ((piece.name, SHOULDER),):
                yield from (one for one in job.pieces if (one.name, SHOULDER) in others)


def _redrawn(job: Job, piece: Piece, lower: float, wider: float) -> Piece:
    """Draw one piece's neckline and shoulder anew."""
    centre = next((edge for edge in piece.edges if edge.fold or edge.name == "centre"), None)
    if centre is None or not (piece.has_edge(NECKLINE) and piece.has_edge(SHOULDER)):
        raise job.refuse(f"{piece.title} has no centre, neckline and shoulder", "name a front or back with all three")
    if any(dart.edge in (NECKLINE, SHOULDER) for dart in piece.darts):
        raise job.refuse(f"{piece.title} has a dart in its neckline or shoulder", "move that dart elsewhere first")
    neck, middle = piece.landmark(NECK), piece.landmark(CENTRE)
    depth = abs((middle - neck).imag)
    shoulder, fold = _from(piece, SHOULDER, neck), _from(piece, centre.name, middle)
    most, rises = min(shoulder.length(), fold.length()) - LEAST, depth - LEAST
    if not -rises <= lower <= fold.length() - LEAST or abs(wider) > shoulder.length() / 2:
        limits = f"raise by {at_most(max(rises, 0.0))}, lower by {at_most(fold.length() - LEAST)}"
        raise job.refuse(
            f"{piece.title}'s neckline can't be there",
            f"{limits}, widen by {at_most(min(most, shoulder.length() / 2))}",
        )
    corner = fold.point(fold.at_length(lower)) if lower > 0 else middle + lower * fold.tangent(0.0)
    point = shoulder.point(shoulder.at_length(wider)) if wider > 0 else neck + wider * shoulder.tangent(0.0)
    if any(mark.at is not None and abs(mark.at - neck) < wider for mark in piece.notches(SHOULDER)):
        raise job.refuse(f"{piece.title} has a notch where its neckline would lie", "use a smaller amount")
    old = piece.edge(NECKLINE).curve
    x = (point - corner).real / (neck - middle).real
    y = (point - corner).imag / (neck - middle).imag
    at = Affine(x, 0, 0, y, corner.real - x * middle.real, corner.imag - y * middle.imag)
    drawn = old.transform(at)
    curves = {
        NECKLINE: drawn,
        SHOULDER: _ended(piece, SHOULDER, shoulder, wider, point),
        centre.name: _ended(piece, centre.name, fold, lower, corner),
    }
    edges = [replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in piece.edges]
    moved = {NECK: point, CENTRE: corner}
    new = replace(
        piece.with_edges(edgework.close_outline(edges)),
        landmarks=tuple(replace(one, at=moved.get(one.name, one.at)) for one in piece.landmarks),
    )
    new = _ends(piece, new, fold.tangent(0.0), wider)
    final = new.edge(NECKLINE).curve
    marks = list(new.marks)
    for k, mark in enumerate(marks):
        if mark.edge == NECKLINE and mark.at is not None:
            here = final.nearest(at.apply(mark.at))[0]
            marks[k] = edgework.ride_along_edge(mark, old, old.nearest(mark.at)[0], final, here)
    new = alterations.lines_along(piece, replace(new, marks=tuple(marks)), centre.name)
    refuse_crossing(new, "the neckline would cross another edge")
    return new


def _ends(before: Piece, new: Piece, way: complex, wider: float) -> Piece:
    """Let the neckline meet the centre square, and the shoulder square or, kept there, as it did."""
    corner, point = new.landmark(CENTRE), new.landmark(NECK)
    if alterations.off_square(before, NECKLINE, before.landmark(CENTRE), way) < rules.smoothness.CORNER:
        new = alterations.square_end(new, NECKLINE, corner, way, rules.truing.SQUARED)
    seam = _from(new, SHOULDER, point)
    if wider:
        return alterations.square_end(new, NECKLINE, point, seam.tangent(0.0), rules.truing.SQUARED)
    was, now = _from(before, NECKLINE, point), _from(new, NECKLINE, point)
    reach = min(rules.truing.SQUARED, alterations.room_at(new, NECKLINE, point))
    led = alterations.lead_to(now.reverse(), reach, point, -was.tangent(0.0))
    starts = abs(new.edge(NECKLINE).curve.start - point) < 1e-6
    edges = [
        replace(edge, curve=led.reverse() if starts else led) if edge.name == NECKLINE else edge for edge in new.edges
    ]
    return new.with_edges(edgework.close_outline(edges))


def _from(piece: Piece, name: str, at: complex) -> Curve:
    """Walk an edge from one of its ends."""
    curve = piece.edge(name).curve
    return curve if abs(curve.start - at) < abs(curve.end - at) else curve.reverse()


def _ended(piece: Piece, name: str, walked: Curve, by: float, end: complex) -> Curve:
    """Cut an edge off (or lengthen it straight) at the end that it is walked from."""
    if by == 0:
        return piece.edge(name).curve
    if by > 0:
        rest = walked.subcurve(walked.at_length(by), float(len(walked)))
    elif walked.is_straight():
        rest = Curve.polyline([end, walked.end])
    else:
        rest = Curve.chain([Curve.polyline([end, walked.start]), walked])
    return rest if abs(piece.edge(name).curve.start - walked.start) < 1e-9 else rest.reverse()


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Redraw the neckline",
        draw="Mark the new neck centre on the centre line, the new neck point on the shoulder, front and back alike.",
        cut="",
        move="",
        true="Draw the neckline in the shape that it had, square to the centre and the shoulder.",
        note="Collar and facing change with it: measure the neckline from shoulder to centre, front and back.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "neckline",
            "Lowers or raises the neckline at the centre; widens it along the shoulder, front and back alike there.",
            (
                Parameter("amount", "length", "how much lower at the centre; negative: higher; 0 in: only wider"),
                Parameter(
                    "depth", "length", "how far below the neck point the neckline's centre is to lie", minimum=LEAST
                ),
                Parameter("wider", "length", "how much wider on each shoulder; negative: narrower", default="0 in"),
            ),
            run,
            instructions=Instructions(
                asked={
                    "depth": "to lie {} below the neck point",
                    "amount": ("the neckline {} lower", "the neckline {} higher"),
                    "wider": ("{} wider on each shoulder", "{} narrower on each shoulder"),
                },
                words=_words,
            ),
            kinds=("front", "back"),
            one_of=(("amount", "depth"),),
            answers=("neckline chokes", "neckline is too high or too narrow", "neckline is too low or too wide"),
        )
    ]
