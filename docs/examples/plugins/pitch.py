"""pitch: a sleeve hung anew. All notches of its cap turn along it, no line is cut; the sleeve remembers by how much.

For an arm that hangs more to the front (or back) than the sleeve: folds run from one side of the cap. What is kept with
the piece is read back by ``--from adjusted``, so that a later run knows how far the sleeve is turned already. A walk
compares the notches as they stand, so it finds them apart by that. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Measurer,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Refusal,
    hookimpl,
    parse_length,
    sewing,
    swap,
)

FACT = "pitch: to the front"


def turned(piece: Piece) -> float:
    """Read how far a sleeve is turned already, mm towards the front; 0 where nothing is kept."""
    kept = piece.fact(FACT)
    try:
        return parse_length(kept) if kept else 0.0
    except ValueError as error:
        raise Refusal(piece.where, f"the pitch kept with it can't be read: {error}", "start from the drawing") from None


def run(job: Job) -> Outcome:
    """Slide every notch of the cap by the same, keep the sum; then measure."""
    piece = job.piece
    assert piece is not None
    already = turned(piece)
    by = job.values["to"] - already if "to" in job.values else job.values["amount"]
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
    whole = already + (sum(moves) / len(moves) if moves else 0.0)
    piece = piece.with_fact(FACT, f"{whole:.6f} mm" if abs(whole) > 1e-6 else None)
    return Outcome(
        pieces=swap(job.pieces, piece),
        got=(Measurement("turned to the front in all", whole),),
        annotations=tuple(arrows),
        warnings=(f"{piece.title}: turned on purpose: its notches meet the armhole's no more",) if whole else (),
    )


def measure(piece: Piece) -> Iterable[Measurement]:
    """Tell of a sleeve that is turned by how much."""
    if piece.fact(FACT) is not None:
        yield Measurement("pitch to the front", turned(piece))


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


@hookimpl
def svgfit_measurers() -> Iterable[Measurer]:
    """Called once too: a file may implement several hooks."""
    return [Measurer("pitch", ("sleeve",), measure)]
