"""underarm-lift: underarm points of front, back and sleeve raised and moved out, so that the arm can be lifted.

From memory: the points of bodice and sleeve go up by so much and out by half of it, alike;
armhole and cap are redrawn from the lower notches down, the seams from the new points.
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
    rules,
    sewing,
    sleeves,
    smallest_movement,
    swap,
)

SEAMS = {"sleeve": {"underarm front": 1, "underarm back": -1}, "front": {"side seam": -1}, "back": {"side seam": 1}}
"""The seams that end at the underarm, by kind of piece, and which way is out of the piece there."""
SHARES = {"armhole": 0.5, "cap": 0.25}
"""How much of an edge without a notch is redrawn."""


def run(job: Job) -> Outcome:
    """Lift the underarm points of sleeve, front and back; then measure."""
    sleeve = job.piece
    assert sleeve is not None
    row = sewing.armhole_row(sleeve, job.pieces, job.seams)
    if row is None:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"it needs the armhole, and {why}", todo)
    pieces = (sleeve, *(part.piece for part in row.parts if part.piece.kind in SEAMS))
    if sorted(piece.kind for piece in pieces) != ["back", "front", "sleeve"]:
        raise job.refuse("its armhole has not one front and one back", "move its underarm points with shift")
    lift = job.values["amount"] if "amount" in job.values else _lift_to(job, sleeve)
    after = tuple(_lifted(job, piece, lift) for piece in pieces)
    result = job.pieces
    for piece in after:
        result = swap(result, piece)
    now = sewing.armhole_row(after[0], result, job.seams)
    assert now is not None
    figures = [one for one in job.measure(result, job.seams)[sleeve.title] if one.name == "cap ease"]
    got = (
        *(Measurement(f"sleeve {seam}", sewing.sewn_length(after[0], seam)) for seam in SEAMS["sleeve"]),
        *(Measurement(f"side seam {one.kind}", sewing.sewn_length(one, "side seam")) for one in after[1:]),
        Measurement("bicep width", sleeves.bicep_width(after[0])),
        Measurement("cap length", sewing.sewn_length(after[0], "cap")),
        Measurement("whole armhole", now.length),
        *figures,
    )
    told = (
        f"{sleeve.title}: the armhole changed by {{}}, the cap by {{}}: look at the ease, and match the notches again"
    )
    by = (now.length - row.length, sewing.sewn_length(after[0], "cap") - sewing.sewn_length(sleeve, "cap"))
    warnings = (told.format(*map(_signed, by)),) if abs(by[1] - by[0]) > 1.0 else ()
    return Outcome(result, got, annotations=tuple(_notes(pieces, after)), warnings=warnings)


def _signed(length: float) -> str:
    return f"{'+' if length >= 0 else '-'}{both_ways(abs(length))}"


def _lifted(job: Job, piece: Piece, lift: float) -> Piece:
    """Move a piece's underarm points up and out, its seams and armhole or cap with them."""
    out, over = job.values.get("out", rules.widths.LIFT_OUT_SHARE * lift), job.values.get("taper")
    moves: dict[str, alterations.Movements] = {}
    for seam, way in SEAMS[piece.kind].items():
        if not piece.has_edge(seam):
            raise job.refuse(f"{piece.title} has no {seam}", "move its underarm points with shift")
        length = sewing.sewn_length(piece, seam)
        if over is not None and over > length:
            raise job.refuse(
                f"taper={both_ways(over)} is more than the {seam} of {piece.title}, {both_ways(length)}", "give less"
            )
        knots = ((0.0, complex(way * out, -lift)), (length if over is None else over, 0j))
        moves[seam] = alterations.level_moves(piece, seam, knots)
    new = alterations.shift_seams(piece, moves, share=SHARES)
    refuse_crossing(new, "the lifted underarm's edge would cross another")
    return new


def _lift_to(job: Job, sleeve: Piece) -> float:
    """Find the lift with which the sleeve's front underarm seam gets its length."""
    old = sewing.sewn_length(sleeve, "underarm front")
    wanted = job.values["length"] - old
    furthest = 1.5 * abs(wanted) + 1.0
    found = smallest_movement(
        lambda lift: sewing.sewn_length(_lifted(job, sleeve, lift), "underarm front") - old,
        wanted,
        (-furthest if wanted < 0 else 0.0, furthest if wanted > 0 else 0.0),
        accuracy=1e-6,
    )
    if found.movement is None:
        reach = f"{both_ways(old + found.least)} to {both_ways(old + found.most)}"
        raise job.refuse(f"a lift brings the front underarm seam from {reach} only", "ask for another length")
    return found.movement


def _notes(before: Iterable[Piece], after: Iterable[Piece]) -> Iterable[Annotation]:
    """Draw the old seams and how the points moved."""
    for old, new in zip(before, after, strict=True):
        for seam in SEAMS[old.kind]:
            way = Curve.polyline([alterations.seam_point(one, seam, 0.0) for one in (old, new)])
            yield Annotation("old edge", old.title, old.edge(seam).curve)
            yield Annotation("arrow", old.title, way, length=way.length())
        edge = "cap" if old.kind == "sleeve" else "armhole"
        yield Annotation("old edge", old.title, old.edge(edge).curve)


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Lift the underarm",
        draw="From each underarm point of front, back and sleeve measure up and out as the arrows say, and mark it.",
        cut="",
        move="",
        true="Draw the armhole, and the cap, from the lower notch to the new point; then the seams from there down.",
        note="Higher and narrower under the arm, the garment stays down when the arm is lifted; with the arm hanging "
        "there are folds under it.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "underarm-lift",
            "Raises the underarm points of front, back and sleeve alike, for reach.",
            (
                Parameter("amount", "length", "how far the points go up; negative: down"),
                Parameter("length", "length", "how long the sleeve's front underarm seam is to be", minimum=1.0),
                Parameter(
                    "out",
                    "length",
                    "how far they go out of each piece; negative: in",
                    default_text="half of how far up",
                ),
                Parameter(
                    "taper",
                    "length",
                    "how far down the seams the change runs out",
                    default_text="to the hem",
                    minimum=10.0,
                ),
            ),
            run,
            instructions=Instructions(
                asked={
                    "amount": ("lift the underarm by {}", "lower the underarm by {}"),
                    "length": "lift the underarm until the sleeve's seam is {} long",
                    "out": ("{} out", "{} in"),
                    "taper": "running out {} down the seams",
                },
                words=_words,
            ),
            kinds=("sleeve",),
            one_of=(("amount", "length"),),
            answers=("garment rises when the arm is lifted", "can't lift the arm", "sleeve binds under the arm"),
        )
    ]
