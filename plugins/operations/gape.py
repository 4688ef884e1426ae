"""gape: an edge that stands away from the body (neckline, armhole) is pinched flat, the pinch taken elsewhere.

From memory: the pinched wedge is closed about the bust point or blade and swung into the
nearest dart, which gets wider by its angle; or into a new dart; or it is closed to nothing at another edge. The centre
stays on its grain, what is sewn where the dart lies keeps its length.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Dart,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    SpreadPiece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    rules,
    sewing,
    slash_words,
    swap,
    true,
    unkept_promises,
)

WIDEST = 0.25
"""A pinch is at most so wide, as a share of how far it lies from what it turns about."""


def run(job: Job) -> Outcome:
    """Cut from the gape to the point and on, turn the one side until the pinch is closed, true; then measure."""
    piece = job.piece
    assert piece is not None
    gape = job.values["at"]
    edge = gape.edge or alterations.edge_at(piece, gape.at)[0]
    amount = _amount(job, piece, edge)
    how, dart = job.values["how"], None
    if how == "dart":
        dart = _nearest_dart(job, piece, gape.at)
        pivot = alterations.pivot_on(piece, dart, _point(job, piece, dart.apex))
    elif "to" not in job.values:
        raise job.refuse(f"how={how} needs the place where the pinch goes", "say it: to='side seam 4 in'")
    else:
        pivot = job.values["to"].at if how == "hinge" else _point(job, piece, None)
    radius = abs(gape.at - pivot)
    if amount > radius * WIDEST:
        most = both_ways(radius * WIDEST)
        raise job.refuse(
            "the pinch is wider than a quarter of what it closes", f"ask for at most {most}, or pinch twice"
        )
    bare = piece if dart is None else alterations.without_mouth(piece, dart)
    parted, line = _pinched(job, bare, gape.at, pivot, 2 * math.asin(amount / 2 / radius), dart)
    if dart is not None:
        parted = alterations.keep_dart(parted, dart, pivot)
    elif how == "new dart":
        short = job.values.get("tip", rules.darts.TIP_SHORT)
        parted, _ = alterations.open_dart(parted, job.values["to"].at, pivot, short)
    new, openings = true(parted, job.values.get("redraw"))
    alterations.refuse_bent_fold(piece, new)
    lost = sewing.sewn_length(piece, edge) - sewing.sewn_length(new, edge)
    warnings = list(unkept_promises(openings))
    if abs(lost - amount) > amount / 10:
        why = "the cut does not meet it squarely"
        warnings.append(f"{piece.title}: the {edge} lost {both_ways(lost)} of {both_ways(amount)} pinched, for {why}")
    warnings.append(
        f"{piece.title}: the {edge} is {both_ways(lost)} shorter: alter a facing, collar or sleeve sewn to it too"
    )
    return Outcome(
        swap(job.pieces, new),
        tuple(_got(new, edge, pivot, None if how == "hinge" else new.darts[-1])),
        openings,
        (
            Annotation("slash", piece.title, Curve.polyline(line), label=f"slash {job.do}"),
            Annotation("hinge", piece.title, Curve.polyline([pivot - 1, pivot + 1])),
        ),
        warnings=tuple(warnings),
        moved=parted.moved,
    )


def _amount(job: Job, piece: Piece, edge: str) -> float:
    """Return how much is pinched: as asked, or what the edge is longer than it is to be."""
    length = sewing.sewn_length(piece, edge)
    if "amount" in job.values:
        return job.values["amount"]
    if job.values["length"] > length - 1.0:
        raise job.refuse(f"the {edge} is {both_ways(length)} long", f"ask for less than {both_ways(length - 1.0)}")
    return length - job.values["length"]


def _point(job: Job, piece: Piece, otherwise: complex | None) -> complex:
    """Return what the pinch is turned about: as asked, the piece's landmark, or the dart's own tip."""
    if "bust-point" in job.values:
        return job.values["bust-point"].at
    named = alterations.fullest_point(piece)
    if named is None and otherwise is None:
        raise job.refuse("no bust point is known", "draw a landmark 'bust point', or say it: bust-point=")
    return named if named is not None else otherwise or 0j


def _nearest_dart(job: Job, piece: Piece, at: complex) -> Dart:
    """Return the dart whose tip is nearest to the gape."""
    if not piece.darts:
        raise job.refuse("the piece has no dart", "say how='new dart' or how=hinge, and where: to=")
    if "to" in job.values:
        raise job.refuse("to= is for a new dart or a hinge", "leave it out, or say how=")
    return min(piece.darts, key=lambda dart: abs(dart.apex - at))


def _pinched(
    job: Job, bare: Piece, gape: complex, pivot: complex, angle: float, dart: Dart | None
) -> tuple[SpreadPiece, list[complex]]:
    """Cut from the gape by way of the pivot to where it goes; turn the part that does not hold the fold or centre."""
    outline = bare.outline()
    stays = outline.nearest(alterations.standing_place(bare))[0]
    first = outline.nearest(gape)[0]
    ends = [job.values["to"].at] if dart is None else [dart.start, dart.end]
    lasts = (
        [alterations.on_outline(bare, job.values["to"])] if dart is None else [outline.nearest(one)[0] for one in ends]
    )
    via = () if job.values["how"] == "hinge" else (pivot,)
    n = len(outline)
    # The part that moves runs from the gape, away from what stays, to the nearer end of the dart's mouth.
    after = (stays - first) % n
    ahead = [(last - first) % n for last in lasts]
    forward = all(one < after for one in ahead)
    last = lasts[ahead.index(min(ahead) if forward else max(ahead))]
    middle = (first + ((last - first) % n) / 2) % n if forward else (last + ((first - last) % n) / 2) % n
    found = alterations.cut_between(bare, first, last, via, moves=outline.point(middle))
    # A part that lies ahead of the gape turns back over it, one behind it forwards: the pinch laps.
    way = outline.tangent(min(first, n - 1e-9)) * (-1 if forward else 1)
    turn = math.copysign(angle, ((gape - pivot).conjugate() * way).imag)
    return alterations.spread_each(bare, ((found, Affine.turn(turn, pivot)),)), list(found.line)


def _got(new: Piece, edge: str, pivot: complex, dart: Dart | None) -> Iterable[Measurement]:
    yield Measurement(f"{edge} length", sewing.sewn_length(new, edge))
    if dart is not None:
        yield Measurement("dart mouth", alterations.mouth_width(dart))
        yield Measurement("dart angle", math.degrees(alterations.angle(dart, pivot)), "deg")
        yield Measurement(f"{dart.edge} length", sewing.sewn_length(new, dart.edge))


def _words(facts: StepFacts) -> Words:
    return slash_words(
        facts,
        "Pinch out the gape",
        f"Turn the shaded part until the edge laps by {facts.amounts}: the dart opens by the same angle.",
        note="Alter a facing, collar or sleeve that is sewn to the edge by as much.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "gape",
            "Takes out what a neckline or armhole stands away, and turns it into a dart or to nothing.",
            (
                Parameter("at", "place", "the middle of the gape, along its edge"),
                Parameter("amount", "length", "how much is pinched out there", minimum=0.5),
                Parameter("length", "length", "how long the edge is to be instead", minimum=1.0),
                Parameter(
                    "how",
                    "text",
                    "where the pinch goes: into the nearest dart, into a new dart, or to nothing at a hinge",
                    default="dart",
                    choices=("dart", "new dart", "hinge"),
                ),
                Parameter("to", "place", "where the new dart or the hinge is", default_text="the nearest dart"),
                Parameter(
                    "bust-point",
                    "place",
                    "the point that it is turned about",
                    default_text="the landmark bust point or blade; else the dart's tip",
                ),
                Parameter("tip", "length", "how far short of that point a new dart ends", "3/4 in", minimum=0.0),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "at": "pinched at {}",
                    "how=dart": "the pinch into the nearest dart",
                    "how=new dart": "the pinch into a new dart",
                    "how=hinge": "the pinch to nothing at a hinge",
                    "to": "opening at {}",
                    "bust-point": "about {}",
                    "tip": "the new dart ending {} short of the point",
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": "pinch out {}",
                    "length": "until the edge is {}",
                },
                words=_words,
            ),
            kinds=("any",),
            one_of=(("at",), ("amount", "length")),
            answers=("neckline stands away", "armhole gapes", "back neckline stands off"),
        )
    ]
