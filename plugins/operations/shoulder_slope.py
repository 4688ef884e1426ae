"""shoulder-slope: shoulders squarer or more sloping than the pattern's; the tip raised or lowered, the neck kept.

The armhole keeps its shape and moves along, so that the sleeve still fits; or its upper part is redrawn and its depth
changes. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    refuse_crossing,
    sewing,
    swap,
)

ANSWERS = (
    "square shoulders",
    "sloping shoulders",
    "diagonal folds from the neck to the armhole",
    "folds from the shoulder tip across the chest",
    "folds at the underarm below a sloping shoulder",
    "one shoulder is low",
)
MOVED, KEPT = "moved", "kept"


def run(job: Job) -> Outcome:
    """Move the tip of every shoulder asked for, with its armhole; then measure."""
    found = alterations.shoulders(job.pieces, job.values.get("pieces", ()))
    if not found:
        raise job.refuse(
            "none of the pieces asked for has a shoulder seam that meets an armhole",
            "name a front or back that has one; a yoke is moved with shift",
        )
    drop = sum(one.drop for one in found) / len(found)
    amount = job.values["amount"] if "amount" in job.values else drop - job.values["drop"]
    whole = job.values["armhole"] == MOVED
    kept = job.values.get("shoulder", "redrawn" if whole else KEPT) == KEPT
    pieces, notes = job.pieces, []
    for one in found:
        by = _turned(job, one, amount) if kept else -1j * amount
        keep = None if whole else alterations.upper_armhole(one.piece)
        new = alterations.move_tip(one, by, keep=keep, laid=(one.beside_underarm,) if whole else ())
        refuse_crossing(new, "the moved shoulder or armhole would cross another edge")
        pieces = swap(pieces, new)
        edges = ("shoulder", "armhole", one.beside_underarm) if whole else ("shoulder", "armhole")
        notes += [Annotation("old edge", new.title, one.piece.edge(name).curve) for name in edges]
        notes.append(Annotation("arrow", new.title, Curve.polyline([one.tip, one.tip + by]), length=amount))
    names = [one.piece.name for one in found]
    got = [
        Measurement(f"{piece.name} {edge}", sewing.sewn_length(piece, edge))
        for edge in ("shoulder", "armhole")
        for piece in pieces
        if piece.name in names
    ]
    drops = [one.drop for one in alterations.shoulders(pieces, names)]
    got.append(Measurement("shoulder drop", sum(drops) / len(drops)))
    return Outcome(pieces, tuple(got), annotations=tuple(notes))


def _turned(job: Job, one: alterations.Shoulder, amount: float) -> complex:
    """Return how the tip moves where the seam as sewn turns about the neck point until it lies ``amount`` mm higher."""
    seam = -one.ways[0]
    radius, fall = abs(seam), seam.imag - amount
    if abs(fall) >= radius:
        what = f"{one.piece.title}'s shoulder, {both_ways(radius)} long, can't be turned so far"
        least, most = both_ways(radius + seam.imag), both_ways(radius - seam.imag)
        raise job.refuse(what, f"raise the tip by less than {least}, or lower it by less than {most}")
    return complex(math.copysign(math.sqrt(radius * radius - fall * fall), seam.real), fall) - seam


def _words(facts: StepFacts) -> Words:
    down = bool(facts.moved) and facts.moved[0] < 0
    way = "down" if down else "up"
    if facts.row.asked.get("armhole", MOVED) == MOVED:
        draw = (
            f"Mark a new shoulder tip {facts.amounts} {way} from the old, along the grain, and a new underarm point as "
            "far from its own."
        )
        true = (
            "Slide a tracing of the armhole until it runs from tip to underarm point and draw round it; then draw the "
            "shoulder to the neck point and the side seam to its foot."
        )
        note = "The armhole keeps its shape and length, so the sleeve fits as before; the side seams change alike."
    else:
        draw = f"Turn the shoulder seam about the neck point until its tip lies {facts.amounts} further {way}; mark it."
        true = "Redraw the armhole from the new tip, running into the old line at its lowest notch."
        note = "The armhole is longer or shorter: walk the cap against it."
    return Words(title=f"Shoulder tip {way}", draw=draw, cut="", move="", true=true, note=note)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "shoulder-slope",
            "Raises or lowers shoulder tips, for square or sloping shoulders; the armhole moves along or is redrawn.",
            (
                Parameter("amount", "length", "how far the tip goes up, along the grain; negative: down"),
                Parameter(
                    "drop",
                    "length",
                    "how far below the neck point the tips are to lie as drawn, on average",
                ),
                Parameter(
                    "armhole",
                    "text",
                    "moved along as it is, the side seam with its underarm point; or its upper part redrawn",
                    default=MOVED,
                    choices=(MOVED, "redrawn"),
                ),
                Parameter(
                    "shoulder",
                    "text",
                    "kept: its length stays, the tip turns about the neck point; redrawn: the tip goes straight up or "
                    "down",
                    default_text="kept where the armhole is redrawn; redrawn where it moves along, so that the "
                    "underarm point stays as far out",
                    choices=(KEPT, "redrawn"),
                ),
                Parameter("pieces", "pieces", "which fronts and backs", default_text="all that have a shoulder seam"),
            ),
            run,
            instructions=Instructions(
                asked={
                    "shoulder=redrawn": "the tip straight up or down",
                    "amount": ("raise the shoulder tips by {}", "lower the shoulder tips by {}"),
                    "drop": "bring the shoulder tips to {} below the neck point",
                    "armhole=redrawn": "with the upper armhole redrawn",
                    "armhole=moved": "with the armhole moved along",
                    "shoulder=kept": "the shoulder's length kept",
                    "pieces": "on {}",
                },
                words=_words,
            ),
            one_of=(("amount", "drop"),),
            answers=ANSWERS,
        )
    ]
