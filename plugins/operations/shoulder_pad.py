"""shoulder-pad: room for a pad. The tips of front and back rise by half its thickness each, the cap by all of it.

From memory: nothing is added at the neck; armhole and cap are redrawn above their lowest
notches, so that what lies below is sewn as before.
"""

from __future__ import annotations

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
    Piece,
    StepFacts,
    Words,
    alterations,
    both_ways,
    hookimpl,
    refuse_crossing,
    sewing,
    sleeves,
    swap,
)

ANSWERS = (
    "strain over the shoulder with a pad",
    "shoulder pad pulls the neckline",
    "cap collapses over a shoulder pad",
    "room for a shoulder pad",
)


def run(job: Job) -> Outcome:
    """Raise the tips of every shoulder and the cap of every sleeve sewn there; then measure."""
    found = alterations.shoulders(job.pieces)
    if not found:
        raise job.refuse("no front or back has a shoulder seam that meets an armhole", "give the drawings of both")
    names = [one.piece.name for one in found]
    caps = alterations.sleeves_at(names, job.pieces, job.seams)
    if "height" in job.values and len(caps) != 1:
        raise job.refuse(f"{len(caps) or 'no'} sleeves are sewn there", "ask for an amount instead of a cap height")
    amount = job.values["amount"] if "amount" in job.values else job.values["height"] - sleeves.cap_height(caps[0])
    out = job.values.get("out", 0.0)
    pieces = job.pieces
    notes: list[Annotation] = []
    for one in found:
        by = complex(one.outwards * out, -amount / 2)
        new = alterations.move_tip(one, by, keep=alterations.upper_armhole(one.piece))
        pieces = _taken(pieces, one.piece, new, ("shoulder", "armhole"), notes)
        notes.append(Annotation("arrow", new.title, Curve.polyline([one.tip, one.tip + by]), length=amount / 2))
    for sleeve in caps:
        top = sleeve.edge("cap").from_front().point(sleeves.cap_apex(sleeve))
        pieces = _taken(pieces, sleeve, _raised(job, sleeve, amount), ("cap",), notes)
        notes.append(Annotation("arrow", sleeve.title, Curve.polyline([top, top - 1j * amount]), length=amount))
    return Outcome(pieces, tuple(_got(job, pieces, names)), annotations=tuple(notes))


def _taken(
    pieces: tuple[Piece, ...], old: Piece, new: Piece, edges: Iterable[str], notes: list[Annotation]
) -> tuple[Piece, ...]:
    """Put a changed piece in place of the old one, with its old edges noted."""
    refuse_crossing(new, "the redrawn edge would cross another")
    notes += [Annotation("old edge", new.title, old.edge(name).curve) for name in edges]
    return swap(pieces, new)


def _raised(job: Job, sleeve: Piece, amount: float) -> Piece:
    """Raise a cap's top along the grain; the movement runs out at the lowest notches, half-way up where none is."""
    whole = sewing.sewn_length(sleeve, "cap")
    cap = sleeve.edge("cap").from_front()
    top = sewing.sewn_distance(sleeve, "cap", cap.point(sleeves.cap_apex(sleeve)))
    notches = [sewing.sewn_distance(sleeve, "cap", mark.at) for mark in sleeve.notches("cap") if mark.at is not None]
    low = min((at for at in notches if at < top), default=top / 2)
    high = max((at for at in notches if at > top), default=(top + whole) / 2)
    room = min(sleeves.bicep_level(sleeve) - cap.point(cap.at_length(at)).imag for at in (low, high))
    if amount <= -(most := sleeves.cap_height(sleeve) - room):
        raise job.refuse(f"{sleeve.title}'s cap stands only {both_ways(most)} over its notches", "ask for less")
    knots = (
        alterations.Knot(low, 0j, level=True),
        alterations.Knot(top, -1j * amount, level=True),
        alterations.Knot(high, 0j, level=True),
    )
    return alterations.shift_edges(sleeve, {"cap": alterations.Movements(knots)})


def _got(job: Job, pieces: tuple[Piece, ...], names: list[str]) -> Iterable[Measurement]:
    """Measure shoulders, armholes and caps."""
    for edge in ("shoulder", "armhole"):
        for piece in pieces:
            if piece.name in names:
                yield Measurement(f"{piece.name} {edge}", sewing.sewn_length(piece, edge))
    measured = job.measure(pieces, job.seams)
    for sleeve in alterations.sleeves_at(names, pieces, job.seams):
        for one in measured[sleeve.title]:
            if one.name in ("cap height", "cap ease"):
                yield Measurement(f"{sleeve.name} {one.name}", one.value)


def _words(facts: StepFacts) -> Words:
    way = "down" if facts.moved and facts.moved[0] < 0 else "up"
    return Words(
        title="Room for a shoulder pad" if way == "up" else "Take a shoulder pad's room out",
        draw=f"Mark the new shoulder tip (on the sleeve, the new cap top) {facts.amounts} {way} from the old.",
        cut="",
        move="",
        true="Draw the shoulder to the neck point, and armhole and cap into the old lines at their lowest notches.",
        note="Front and back take half of the pad's thickness each, the cap takes all of it. Below the notches all is "
        "sewn as before; walk the cap against the armhole above them.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "shoulder-pad",
            "Makes room for a shoulder pad: the shoulder tips raised by half its thickness, the cap by all of it.",
            (
                Parameter("amount", "length", "how thick the pad is; negative takes its room out"),
                Parameter("height", "length", "the cap height to end with", minimum=1.0),
                Parameter(
                    "out",
                    "length",
                    "how far the tips go out too, often half the thickness; negative: in",
                    default_text="they go straight up",
                ),
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("make room for a shoulder pad {} thick", "take out the room of a shoulder pad {} thick"),
                    "height": "make room for a shoulder pad until the cap is {} high",
                    "out": ("with the tips {} out", "with the tips {} in"),
                },
                words=_words,
            ),
            one_of=(("amount", "height"),),
            answers=ANSWERS,
        )
    ]
