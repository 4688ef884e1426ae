"""edge-blend: trues what is already in the drawing: steps, gaps, jogs and kinks in a named edge."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import (
    Edge,
    Instructions,
    Job,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    StepFacts,
    Words,
    both_ways,
    edgework,
    hookimpl,
    refuse_crossing,
    replace,
    swap,
    unkept_promises,
)


def run(job: Job) -> Outcome:
    """Redraw each flaw of the edge smoothly, from its front or underarm end on."""
    piece = job.piece
    assert piece is not None
    edge = piece.edge(job.values["edge"])
    drawn, before = edge.curve, edge.curve.length()
    openings: list[Opening] = []
    while True:
        start, end = _stretch(job, edge, before)
        flaws = edgework.bridged_gaps(edge, piece.gaps) or edgework.find_flaws(edge.curve, start, end, piece.darts)
        if not flaws:
            break
        edge, opening = edgework.true_flaw(piece, edge, flaws[0], job.values["reach"], start, end, drawn=drawn)
        openings.append(opening)
        piece = _put(piece, edge)
    if not openings:
        raise job.refuse(f"there is no step, gap, jog or kink of more than 1° in {edge.name}", "nothing needs truing")
    refuse_crossing(piece, "the trued edge would cross another edge")
    return Outcome(
        swap(job.pieces, piece),
        ((f"{edge.name} length", edge.curve.length()),),
        tuple(openings),
        warnings=unkept_promises(openings),
    )


def _stretch(job: Job, edge: Edge, whole: float) -> tuple[float, float]:
    """Return the parameters between which flaws are looked for, from the two lengths asked."""
    first, last = job.values.get("from", 0.0), job.values.get("to", whole)
    if not 0 <= first < last:
        raise job.refuse(
            f"from {both_ways(first)} to {both_ways(last)} is no stretch of the edge", "give from less than to"
        )
    length = edge.curve.length()
    if edge.backwards:
        first, last = length - last, length - first
    return edge.curve.at_length(max(first, 0.0)), edge.curve.at_length(min(last, length))


def _put(piece: Piece, edge: Edge) -> Piece:
    """Put an edge into the piece, its notches back on it, and forget its closed gaps."""
    edges = tuple(edge if old.name == edge.name else old for old in piece.edges)
    old = piece.edge(edge.name)
    gaps = tuple(gap for gap in piece.gaps if not edgework.bridged_gaps(old, (gap,)))
    marks = tuple(
        replace(mark, at=edge.curve.point(edge.curve.nearest(mark.at)[0]))
        if mark.edge == edge.name and mark.at is not None
        else mark
        for mark in piece.marks
    )
    return replace(piece, edges=edges, gaps=gaps, marks=marks)


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how a flaw in an edge is redrawn."""
    edge = facts.row.asked.get("edge", "edge")
    off = f", at most {facts.length(facts.aside)} off the old line" if facts.aside > 0.3 else ""
    return Words(
        f"True the {edge}",
        f"Lay the piece on new paper and draw round it. Look along the {edge}: here it steps, gaps or kinks.",
        "",
        "",
        f"Lay a curved ruler so that it runs into the edge on both sides of the flaw, through its middle, and draw the "
        f"edge anew (heavy; dotted: as it was){off}.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "edge": "true the {}",
        "from": "from {} along it",
        "to": "to {} along it",
        "reach": "redrawing at most {} on each side",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "edge-blend",
            "Trues an edge as drawn: its steps, gaps, jogs and kinks are redrawn smoothly through their middle.",
            (
                Parameter("edge", "text", "the edge to true, such as cap, armhole or hem"),
                Parameter("from", "length", "where to start looking, along the edge", default_text="the edge's start"),
                Parameter("to", "length", "where to stop", default_text="the edge's end"),
                Parameter("reach", "length", "how far is redrawn on each side of a flaw", default="20 mm", minimum=1.0),
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve", "front", "back", "yoke", "other"),
            one_of=(("edge",),),
            open_outline=True,
            closes_gaps="edge",
        )
    ]
