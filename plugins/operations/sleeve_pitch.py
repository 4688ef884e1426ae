"""sleeve-pitch: a sleeve hung anew. Its match points turn along the cap, no line is cut; the sleeve remembers how far.

For an arm that hangs more to the front (or back) than the sleeve. The notches are moved on the drawing; that the
underarm seam no longer meets the side seam can't be drawn, so the piece keeps it (``CapTurn``): walks and checks take
it as meant, and a later step knows how far the sleeve is turned already. From memory.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    CapTurn,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    StepFacts,
    Words,
    both_ways,
    hookimpl,
    sewing,
    sleeves,
    swap,
)

ANSWERS = (
    "folds from one side of the cap",
    "arm hangs forward of the sleeve",
    "arm hangs behind the sleeve",
    "drags from the front of the cap to the elbow",
    "drags from the back of the cap to the wrist",
    "sleeve twists",
)
UPPER = "upper"


def run(job: Job) -> Outcome:
    """Slide every notch of the cap by the same, keep the sum; then measure."""
    piece = job.piece
    assert piece is not None
    turned = CapTurn.of(piece)  # nothing, where nobody turned it
    if abs(turned.shoulder - turned.notches) > 1e-6:
        raise job.refuse(f"its notches are turned apart already: {turned.words()}", "go on from the drawn outline")
    by = job.values["to"] - turned.notches if "to" in job.values else job.values["amount"]
    matched = [mark for mark in piece.marks if mark.edge == "cap" and mark.at is not None]
    if not matched:
        raise job.refuse("the cap has no notch that could be turned", "draw its shoulder notch")
    places = sorted(sewing.sewn_distance(piece, "cap", mark.at) for mark in matched if mark.at is not None)
    front, back = places[0], sewing.sewn_length(piece, "cap") - places[-1]
    if by and not -back < by < front:
        what = f"a notch would run off the cap: the nearest stand {both_ways(front)} from its front end and "
        raise job.refuse(f"{what}{both_ways(back)} from its back end", "turn by less, to the front or to the back")
    notes: list[Annotation] = []
    moves: list[float] = []
    for mark in matched if by else ():
        piece, new = sewing.slide_notch(piece, mark, -by)  # along the cap from its front, so to the front is less
        ends = [point for point in (mark.at, new.at) if point is not None]
        before, after = (sewing.sewn_distance(piece, "cap", point) for point in ends)
        moves.append(before - after)
        notes.append(Annotation("arrow", piece.title, Curve.polyline(ends), length=by))
    got = sum(moves) / len(moves) if moves else 0.0
    upper = turned.notches + got
    under = turned.underarm + (0.0 if job.values["which"] == UPPER else got)
    turned = CapTurn(shoulder=upper, notches=upper, underarm=under)
    new = turned.kept_on(piece)
    return Outcome(
        swap(job.pieces, new),
        (
            Measurement("turned to the front in all", turned.notches),
            Measurement("underarm turned to the front", turned.underarm),
            Measurement("shoulder notch from the front underarm point", sleeves.shoulder_distance(new)),
        ),
        annotations=tuple(notes),
        warnings=(f"{new.title}: {turned.words()}; walks and checks take it as meant",) if turned else (),
    )


def _words(facts: StepFacts) -> Words:
    way = "back" if facts.moved and facts.moved[0] < 0 else "front"
    other = "behind" if way == "back" else "before"
    under = (
        "The underarm seam still meets the side seam: what the cap gains on one side below the notch it loses on the "
        "other."
        if facts.row.asked.get("which") == UPPER
        else f"The underarm seam is sewn {facts.amounts} {other} the side seam."
    )
    return Words(
        title="Turn the sleeve in its armhole",
        draw=f"Mark every notch of the cap {facts.amounts} nearer to the {way}, measured along the seam.",
        cut="",
        move="",
        true="No line changes. Cross out the old notches.",
        note=f"{under} Baste the sleeve in and look at how it hangs before the notches are cut.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "sleeve-pitch",
            "Turns the match points of a sleeve's cap along it, so that the sleeve hangs more to the front (or back).",
            (
                Parameter("amount", "length", "how far they turn to the front; negative: to the back"),
                Parameter("to", "length", "how far they are to be turned in all, with what earlier steps did"),
                Parameter(
                    "which",
                    "text",
                    "all match points, the underarm seam with them; or the upper ones: shoulder notch and notches",
                    default="all",
                    choices=("all", UPPER),
                ),
            ),
            run,
            kinds=("sleeve",),
            one_of=(("amount", "to"),),
            instructions=Instructions(
                asked={
                    "amount": ("turn the cap's notches {} to the front", "turn the cap's notches {} to the back"),
                    "to": ("turn the cap's notches to {} to the front", "turn the cap's notches to {} to the back"),
                    "which=upper": "the underarm seam kept where it is",
                    "which=all": "the underarm seam with them",
                },
                words=_words,
                lists_notches=True,
            ),
            answers=ANSWERS,
        )
    ]
