"""slash: a piece cut from one place to another and opened, or lapped, at a hinge or all the way through.

What every alteration by paper and scissors is (from memory); for those that have no operation of their own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
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
    both_ways,
    hookimpl,
    sewing,
    slash_words,
    swap,
    true,
    unkept_promises,
)


def run(job: Job) -> Outcome:
    """Cut at every place, move the one side, true what opened; then measure."""
    piece = job.piece
    assert piece is not None
    starts, end = job.values["from"], job.values["to"]
    through = job.values["how"] == "through"
    if through and (len(starts) > 1 or "angle" in job.values):
        raise job.refuse("a cut that goes through is one, and moves by an amount", "leave the rest out, or how=hinge")
    last = _on_edge(job, piece, end)
    via = (job.values["via"].at,) if "via" in job.values else ()
    turns: list[tuple[alterations.Cut, Affine]] = []
    notes: list[Annotation] = []
    for start in starts:
        first = _on_edge(job, piece, start)
        moves = job.values["moves"].at if "moves" in job.values else alterations.part_to_move(piece, first, last, via)
        found = alterations.cut_between(piece, first, last, via, moves=moves)
        motion = _shift(job, found) if through else _turn(job, piece, found, start, end)
        turns.append((found, motion))
        notes.append(Annotation("slash", piece.title, Curve.polyline(found.line), label=f"slash {job.do}"))
        if not through:
            notes.append(Annotation("hinge", piece.title, Curve.polyline([end.at - 1, end.at + 1])))
    parted = alterations.spread_each(piece, turns)
    new, openings = true(parted, job.values.get("redraw"))
    alterations.refuse_bent_fold(piece, new)
    alterations.refuse_turned_over(piece, new)
    changed = [edge.name for edge, old in zip(new.edges, piece.edges, strict=True) if edge.curve is not old.curve]
    return Outcome(
        swap(job.pieces, new),
        tuple(
            Measurement(f"{name} length", length)
            for name in changed
            if abs((length := sewing.sewn_length(new, name)) - sewing.sewn_length(piece, name)) > 1e-6
        ),
        openings,
        tuple(notes),
        warnings=(*unkept_promises(openings), *alterations.off_grain(piece, new)),
        moved=parted.moved,
    )


def _on_edge(job: Job, piece: Piece, place: alterations.Place) -> float:
    """Return a place's parameter of the outline; refuse one that is elsewhere."""
    try:
        t = alterations.on_outline(piece, place)
    except ValueError as error:
        raise job.refuse(*str(error).split(": ", 1)) from None
    return t


def _shift(job: Job, found: alterations.Cut) -> Affine:
    """Move square to the cut, or along the grain; positive opens. Refuse a lap over all of the part that moves."""
    across = found.line[-1] - found.line[0]
    inside = found.loop.point((found.start + found.end) / 2 % len(found.loop)) - found.line[0]
    way = 1j * across / abs(across)
    if (way.conjugate() * inside).real < 0:
        way = -way
    if job.values["along"] == "grain":
        way = complex(0, math.copysign(1.0, way.imag))
    room = max(((point - found.line[0]) * way.conjugate()).real for point in found.region().tolist())
    if -job.values["amount"] > room - 1e-6:
        raise job.refuse("the overlap is larger than the part that moves", f"ask for less than {both_ways(room)}")
    return Affine.shift(job.values["amount"] * way)


def _turn(job: Job, piece: Piece, found: alterations.Cut, start: alterations.Place, end: alterations.Place) -> Affine:
    """Turn about the hinge until the cut is open by so much at its far end; negative laps."""
    radius = abs(start.at - end.at)
    if "angle" in job.values:
        angle = job.values["angle"]
    elif abs(job.values["amount"]) > radius:
        raise job.refuse("the opening is wider than the cut is long", "ask for less, or cut longer")
    else:
        angle = 2 * math.asin(job.values["amount"] / 2 / radius)
    inside = found.loop.point((found.start + found.end) / 2 % len(found.loop)) - end.at
    side = ((start.at - end.at).conjugate() * inside).imag
    return Affine.turn(math.copysign(1.0, side) * angle, end.at)


def _words(facts: StepFacts) -> Words:
    way = "over the other part, until it laps" if facts.closes else "aside until the cut opens"
    title = "Slash and lap" if facts.closes else "Slash and spread"
    return slash_words(facts, title, f"Move the shaded part {way} by {facts.amounts}; a hinge keeps a thread of paper.")


ASKED = Instructions(
    asked={
        "amount": ("open a cut by {}", "lap a cut by {}"),
        "angle": ("open a cut by {}", "lap a cut by {}"),
        "from": "cutting from {}",
        "to": "as far as {}",
        "via": "by way of {}",
        "how=hinge": "leaving a hinge",
        "how=through": "all the way through",
        "along=square": "square to the cut",
        "along=grain": "along the grain",
        "moves": "moving the part with {}",
        "redraw": "redrawing at most {} on each side of a cut",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "slash",
            "Cuts a piece from one place to another, to a hinge or through, and opens or laps it; edges trued.",
            (
                Parameter("from", "places", "where the cut begins; several, joined with +, run to one hinge"),
                Parameter("to", "place", "where it ends: the hinge, or the far side of a cut that goes through"),
                Parameter("via", "place", "a place inside the piece by way of which it runs", default_text="straight"),
                Parameter("amount", "length", "how far it opens where it begins; negative laps"),
                Parameter("angle", "angle", "how far the part turns about the hinge; negative laps"),
                Parameter("how", "text", "to a hinge, or through", default="hinge", choices=("hinge", "through")),
                Parameter(
                    "along",
                    "text",
                    "which way a cut that goes through opens",
                    default="square",
                    choices=("square", "grain"),
                ),
                Parameter(
                    "moves",
                    "place",
                    "a place of the edge on the part that moves",
                    default_text="the part without the grain line, fold or centre; else the smaller one",
                ),
                REDRAW,
            ),
            run,
            instructions=ASKED,
            kinds=("any",),
            one_of=(("from",), ("to",), ("amount", "angle")),
        )
    ]
