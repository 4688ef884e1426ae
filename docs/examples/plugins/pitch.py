"""pitch: a sleeve hung anew. All match points of its cap turn along it, no line is cut; the sleeve remembers how far.

For an arm that hangs more to the front (or back) than the sleeve: folds run from one side of the cap. The notches are
moved on the drawing; the underarm seam can't be, so the piece keeps svgfit's own fact, ``CapTurn``. It goes round with
the adjusted drawing: a later run knows how far the sleeve is turned already, and walks and checks take it as meant.
Common practice, no source.
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
    hookimpl,
    sewing,
    swap,
)


def run(job: Job) -> Outcome:
    """Slide every notch of the cap by the same, keep the sum; then measure."""
    piece = job.piece
    assert piece is not None
    turned = CapTurn.of(piece)  # nothing, where nobody turned it
    if len({turned.shoulder, turned.notches, turned.underarm}) > 1:
        raise job.refuse(f"it is turned in parts already: {turned.words()}", "go on from the drawn outline")
    by = job.values["to"] - turned.underarm if "to" in job.values else job.values["amount"]
    matched = [mark for mark in piece.marks if mark.edge == "cap" and mark.at is not None]
    if not matched:
        raise job.refuse("the cap has no notch that could be turned", "draw its shoulder notch")
    arrows: list[Annotation] = []
    moves: list[float] = []
    for mark in matched if by else ():
        piece, new = sewing.slide_notch(piece, mark, -by)  # along the cap from its front, so to the front is less
        ends = [point for point in (mark.at, new.at) if point is not None]
        before, after = (sewing.sewn_distance(piece, "cap", point) for point in ends)
        moves.append(before - after)
        arrows.append(Annotation("arrow", piece.title, Curve.polyline(ends), length=by))
    turned = CapTurn.whole(turned.underarm + (sum(moves) / len(moves) if moves else 0.0))
    return Outcome(
        pieces=swap(job.pieces, turned.kept_on(piece)),
        got=(Measurement("turned to the front in all", turned.underarm),),
        annotations=tuple(arrows),
        warnings=(f"{piece.title}: {turned.words()}; walks and checks take it as meant",) if turned else (),
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Called once, when svgfit loads this file."""
    return [
        Operation(
            "pitch",
            "Turns the notches of a sleeve's cap along it, so that the sleeve hangs more to the front (or back).",
            (
                Parameter("amount", "length", "how far they turn to the front; negative: to the back"),
                Parameter("to", "length", "how far they are to be turned in all, with what earlier runs did"),
            ),
            run,
            kinds=("sleeve",),
            one_of=(("amount", "to"),),
            instructions=Instructions(
                asked={
                    "amount": ("turn the cap's notches {} to the front", "turn the cap's notches {} to the back"),
                    "to": ("turn the cap's notches to {} to the front", "turn the cap's notches to {} to the back"),
                },
                lists_notches=True,
            ),
        )
    ]
