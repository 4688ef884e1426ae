"""dart-pivot: a dart turned, wholly or in part, into another edge.

From memory: cut from the new place to the point that both darts point at, and close the
old dart about that point; the tips are drawn back from it. The angle there and every length as sewn stay.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from svgfit.plugin import (
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
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    sewing,
    swap,
    true,
    unkept_promises,
)

TOLD = 0.1
"""A length that changes by more than this, mm, is told."""
CORNER = 0.1
"""A turn of more than this, degrees, is a corner."""


def run(job: Job) -> Outcome:
    """Turn the dart, true the edge that it left; then measure."""
    piece = job.piece
    assert piece is not None
    dart = alterations.dart_on(piece, _edge(job, piece), job.values["number"])
    pivot = alterations.pivot_on(piece, dart, _point(job, piece, dart))
    short = job.values.get("tip", abs(dart.apex - pivot))
    bare = alterations.without_mouth(piece, dart)
    to = _new_place(job, bare)
    share = _share(job, dart, pivot, abs(bare.outline().point(to) - pivot))
    stays = job.values["stays"].at if "stays" in job.values else alterations.standing_place(bare)
    swung = alterations.swing_dart(piece, dart, to, pivot=pivot, stays=stays, share=share, tip=short)
    new, openings = true(swung.parted)
    new, gain = alterations.true_closed(new, dart, pivot, swung.closed)
    opened = next(one for one in new.darts if one == swung.opened)
    got = [
        Measurement("dart mouth", alterations.mouth_width(opened)),
        Measurement("dart angle", math.degrees(alterations.angle(opened, pivot)), "deg"),
        *(Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in {dart.edge: 0, opened.edge: 0}),
    ]
    cut = Curve.polyline([bare.outline().point(to), pivot])
    return Outcome(
        swap(job.pieces, new),
        tuple(got),
        openings,
        (
            Annotation("slash", piece.title, cut, label=f"slash {job.do}"),
            Annotation("hinge", piece.title, Curve.polyline([pivot - 1, pivot + 1])),
        ),
        warnings=(*unkept_promises(openings), *_told(job, piece, new, dart, swung.closed, gain)),
        moved=swung.parted.moved,
    )


def _edge(job: Job, piece: Piece) -> str | None:
    """Return the edge of the dart, where it is said; refuse one of another piece."""
    if "dart" not in job.values:
        return None
    owner, name = job.values["dart"]
    if owner != piece.name:
        raise job.refuse(f"the dart's edge is one of {owner}", f"name one of {piece.name}")
    return name


def _point(job: Job, piece: Piece, dart: Dart) -> complex:
    """Return what both darts point at: as asked, the piece's landmark, or the dart's own tip."""
    if "bust-point" in job.values:
        return job.values["bust-point"].at
    named = alterations.fullest_point(piece)
    return dart.apex if named is None else named


def _new_place(job: Job, bare: Piece) -> float:
    """Return where the new dart opens, a parameter of the outline without the old; refuse a corner and the fold."""
    place = job.values["to"]
    try:
        t = alterations.on_outline(bare, place)
    except ValueError as error:
        raise job.refuse(*str(error).split(": ", 1)) from None
    edge = next(one for one in bare.edges if one.curve.nearest(place.at)[1] < 1e-2)
    if edge.fold:
        raise job.refuse(f"a dart can't open in the {edge.name}, which is a fold", "name a place along another edge")
    if min(abs(edge.curve.start - place.at), abs(edge.curve.end - place.at)) < 1.0:
        raise job.refuse("a dart needs some of the edge on both sides of it", "name a place off the corner")
    return t


def _share(job: Job, dart: Dart, pivot: complex, radius: float) -> float:
    """Return how much of the dart's angle is turned: from a share, an amount at its mouth, or the new mouth's width."""
    asked = [name for name in ("amount", "share", "mouth") if name in job.values]
    if len(asked) > 1:
        raise job.refuse(f"{' and '.join(asked)} are two ways to say how much is turned", "give one of them")
    whole, mouth = alterations.angle(dart, pivot), alterations.mouth_width(dart)
    old, most = mouth / 2 / math.sin(whole / 2), 2 * radius * math.sin(whole / 2)
    if "share" in job.values:
        return job.values["share"]
    if "amount" in job.values:
        if job.values["amount"] > mouth + 1e-6:
            raise job.refuse(f"the dart is only {both_ways(mouth)} wide", f"turn at most {both_ways(mouth)} of it")
        return 1 - 2 * math.asin(max(mouth - job.values["amount"], 0.0) / 2 / old) / whole
    if "mouth" in job.values:
        if job.values["mouth"] > most + 1e-6:
            what = f"the whole dart is {both_ways(most)} wide at the new place"
            raise job.refuse(what, f"ask for at most {both_ways(most)}")
        return min(1.0, 2 * math.asin(min(job.values["mouth"], most) / 2 / radius) / whole)
    return 1.0


def _told(job: Job, piece: Piece, new: Piece, dart: Dart, closed: complex, gain: float) -> Iterable[str]:
    """Tell what the truing of the old place changed, and a point that the dart did not quite point at."""
    if abs(gain) > TOLD:
        how = "longer" if gain > 0 else "shorter"
        yield f"{piece.title}: the {dart.edge} is {both_ways(abs(gain))} {how} by its truing where the dart was closed"
    asked = _point(job, piece, dart)
    off = abs(alterations.pivot_on(piece, dart, asked) - asked)
    if off > 1.0:
        yield f"{piece.title}: the dart passes {both_ways(off)} beside the point: it was turned about its middle line"
    curve = new.edge(dart.edge).curve
    t = round(curve.nearest(closed)[0])
    if 0 < t < len(curve) and abs(curve.point(t) - closed) < 1e-3 and all(one.edge != dart.edge for one in new.darts):
        corner = math.degrees(abs(cmath.phase(curve.tangent(t) / curve.tangent(t, before=True))))
        if corner > CORNER:
            yield (
                f"{piece.title}: the {dart.edge} has a corner of {corner:.1f}° where the dart was closed, as it had "
                "when sewn: fold the dart before you true the seam, or blend the edge there"
            )


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Turn the dart",
        draw=f"Draw the line from the new place to the point: {facts.where}."
        if facts.where
        else "Draw the line from the new place to the point that the dart points at; draw the dart's legs on to it.",
        cut="Cut along the line to the point, and along one leg of the old dart, but leave a thread of paper there.",
        move="Swing the shaded part until the old dart is as far closed as you want, and tape it down on paper.",
        true="Draw the new dart's legs to its tip, drawn back from the point. Fold the dart as it is pressed and cut "
        "along the seam's cut line, so that it gets its roof.",
        note="Angles stay, mouths do not: the further from the point, the wider. What is sewn keeps its length.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "dart-pivot",
            "Turns a dart, wholly or in part, about the point it points at into another edge.",
            (
                Parameter("dart", "edge", "the edge that the dart is in", default_text="the piece's only dart"),
                Parameter("number", "count", "which of its darts, from its front or underarm end", "1", minimum=1),
                Parameter("to", "place", "where the new dart opens"),
                Parameter(
                    "amount", "length", "how much of the dart's mouth is closed", default_text="all", minimum=0.1
                ),
                Parameter("share", "number", "how much of it, as a share", default_text="all", minimum=0.01, maximum=1),
                Parameter("mouth", "length", "how wide the new dart is to be", default_text="as it comes", minimum=0.1),
                Parameter(
                    "bust-point",
                    "place",
                    "the point that both darts point at",
                    default_text="the landmark bust point or blade; else the dart's tip",
                ),
                Parameter(
                    "tip",
                    "length",
                    "how far short of that point the new dart ends",
                    default_text="as far as the old one",
                    minimum=0.0,
                ),
                Parameter(
                    "stays",
                    "place",
                    "a place of the edge on the part that does not move",
                    default_text="the fold or centre; else where the grain line is",
                ),
            ),
            run,
            instructions=Instructions(
                asked={
                    "dart": "the dart in the {}",
                    "number": "the dart of number {}",
                    "to": "to open at {}",
                    "bust-point": "about {}",
                    "tip": "ending {} short of the point",
                    "stays": "keeping the part with {}",
                    "amount": "closing {} of it",
                    "share": "a share of {}",
                    "mouth": "until the new one is {} wide",
                },
                words=_words,
            ),
            kinds=("any",),
            one_of=(("to",),),
            answers=("dart in the wrong place", "fullness where it is not wanted"),
        )
    ]
