"""longer: a sleeve cut level below the bicep line, its lower part moved down (or up) along the grain."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Operation,
    Outcome,
    Parameter,
    Slash,
    StepFacts,
    Words,
    hookimpl,
    sewing,
    slash_words,
    sleeves,
    spread,
    swap,
    true,
)


def run(job: Job) -> Outcome:
    """Slash, shift, true; then measure."""
    piece = job.piece
    assert piece is not None  # svgfit has chosen one: the operation names its kinds
    amount, below = job.values["amount"], job.values["below"]
    left, _, right, bottom = piece.outline().bounds()
    level = sleeves.bicep_level(piece) + below  # y runs down, so below the bicep line is more
    if level >= bottom:
        raise job.refuse(f"a cut {below:.0f} mm below the bicep line runs below the hem", "use a smaller below")
    if -amount >= bottom - level:
        raise job.refuse("the overlap is larger than the part below the cut", "use a smaller amount")
    slash = Slash((complex(left - 10, level), complex(right + 10, level)), moves=piece.edge("hem").curve.start)
    parted = spread(piece, slash, Affine.shift(complex(0, amount)))
    new, openings = true(parted)
    line = Curve.polyline([parted.cut.line[0], parted.cut.line[-1]])
    middle = sum(parted.cut.line) / len(parted.cut.line)
    return Outcome(
        pieces=swap(job.pieces, new),
        got=(("underarm seam front", sewing.sewn_length(new, "underarm front")),),
        openings=openings,
        annotations=(
            Annotation("slash", piece.title, line, label=f"slash {job.do}"),
            Annotation("arrow", piece.title, Curve.polyline([middle, middle + 1j * amount]), length=amount),
        ),
        warnings=tuple(f"{piece.title}: {opening.edge}: {why}" for opening in openings for why in opening.unkept),
        moved=parted.moved,
    )


def words(facts: StepFacts) -> Words:
    """Say how a person does it with paper and scissors, for the teaching sheet."""
    way = "up, over the other part, until it overlaps" if facts.closes else "down until the cut opens"
    title = "Shorten the sleeve" if facts.closes else "Lengthen the sleeve"
    return slash_words(facts, title, f"Slide the shaded part {way} by {facts.amounts}, along the grain.")


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Called once, when svgfit loads this file. The operation has the file's name."""
    return [
        Operation(
            "longer",
            "Lengthens (or shortens) a sleeve at a level line below the bicep, both underarm seams trued.",
            (
                Parameter("amount", "length", "how far the lower part moves down; negative shortens"),
                Parameter("below", "length", "how far below the bicep line to cut", default="8 in", minimum=1.0),
            ),
            run,
            kinds=("sleeve",),
            one_of=(("amount",),),
            instructions=Instructions(
                asked={
                    "amount": ("lengthen the sleeve by {}", "shorten the sleeve by {}"),
                    "below": "cutting {} below the bicep line",
                },
                words=words,
            ),
        )
    ]
