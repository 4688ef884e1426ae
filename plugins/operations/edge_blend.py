"""edge-blend: trues what is already in the drawing: steps, gaps, jogs and kinks in a named edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.plugin import (
    Edge,
    Instructions,
    Job,
    Landmark,
    Mark,
    Measurement,
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
    rules,
    sewing,
    sleeves,
    swap,
    unkept_promises,
)


def run(job: Job) -> Outcome:
    """Redraw each flaw of the edge smoothly, from its front or underarm end on."""
    piece = job.piece
    assert piece is not None
    edge = piece.edge(job.values["edge"])
    drawn, before = edge.curve, sewing.sewn_length(piece, edge.name)
    openings: list[Opening] = []
    while flaws := _flaws(job, piece, edge):
        if len(openings) > len(drawn):
            raise job.refuse(f"{edge.name} can't be drawn smooth", "redraw it by hand")
        start, end = _stretch(job, piece, edge)
        if len(flaws) > 1:  # half way to the next one, which has its turn
            between = edge.curve.length_between(0.0, flaws[0].end), edge.curve.length_between(0.0, flaws[1].start)
            end = min(end, edge.curve.at_length(sum(between) / 2))
        edge, opening = edgework.true_flaw(piece, edge, flaws[0], job.values.get("redraw"), start, end, drawn=drawn)
        openings.append(opening)
        piece = _put(piece, edge)
    if not openings:
        raise job.refuse(f"there is no step, gap, jog or kink of more than 1° in {edge.name}", "nothing needs truing")
    refuse_crossing(piece, "the trued edge would cross another edge")
    after = sewing.sewn_length(piece, edge.name)
    got = [(f"{edge.name} length", after), (f"{edge.name} length gained", after - before)]
    if piece.kind == "sleeve" and edge.name == "cap":
        got.append(("cap height", sleeves.cap_height(piece)))
    measured = tuple(Measurement(name, value) for name, value in got)
    return Outcome(swap(job.pieces, piece), measured, tuple(openings), warnings=unkept_promises(openings))


def _flaws(job: Job, piece: Piece, edge: Edge) -> list[edgework.Flaw]:
    """Find what is left to true in the edge, gaps first."""
    start, end = _stretch(job, piece, edge)
    return _bridged_gaps(edge, piece.gaps) or edgework.find_flaws(edge.curve, start, end, piece.darts)


def _stretch(job: Job, piece: Piece, edge: Edge) -> tuple[float, float]:
    """Return the parameters between which flaws are looked for, from the two lengths asked (darts closed)."""
    whole = sewing.sewn_length(piece, edge.name)
    first, last = job.values.get("from", 0.0), job.values.get("to", max(whole, job.values.get("from", 0.0) + 1.0))
    if not 0 <= first < last:
        raise job.refuse(
            f"from {both_ways(first)} to {both_ways(last)} is no stretch of the edge", "give from less than to"
        )
    n = float(len(edge.curve))
    t0, t1 = (sewing.place_along(piece, edge.name, min(at, whole))[1] for at in (first, last))
    return (n - t1, n - t0) if edge.backwards else (t0, t1)


def _put(piece: Piece, edge: Edge) -> Piece:
    """Put an edge into the piece, its notches and landmarks back on it, and forget its closed gaps."""
    old = piece.edge(edge.name)
    gaps = tuple(gap for gap in piece.gaps if not _bridged_gaps(old, (gap,)))

    def ride(mark: Mark) -> Mark:
        if mark.edge != edge.name or mark.at is None:
            return mark
        there = edge.curve.nearest(mark.at)[0]
        return edgework.ride_along_edge(mark, old.curve, old.curve.nearest(mark.at)[0], edge.curve, there)

    edges = tuple(edge if one.name == edge.name else one for one in piece.edges)
    top = sleeves.cap_apex(replace(piece, edges=edges)) if edge.name == "cap" and piece.kind == "sleeve" else None

    def follow(mark: Landmark) -> Landmark:
        if top is not None and mark.name == "cap top" and mark.guessed:
            return replace(mark, at=edge.from_front().point(top))
        on_it = old.curve.nearest(mark.at)[1] < 1e-3
        return replace(mark, at=edge.curve.point(edge.curve.nearest(mark.at)[0])) if on_it else mark

    return replace(
        piece,
        edges=edges,
        gaps=gaps,
        marks=tuple(ride(mark) for mark in piece.marks),
        landmarks=tuple(follow(mark) for mark in piece.landmarks),
    )


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how a flaw in an edge is redrawn."""
    edge = facts.row.asked.get("edge", "edge")
    off = f", at most {facts.length(facts.aside)} off the old line" if facts.aside > 0.3 else ""
    return Words(
        title=f"True the {edge}",
        draw=f"Lay the piece on new paper and draw round it. Look along the {edge}: here it steps, gaps or kinks.",
        cut="",
        move="",
        true=f"Lay a curved ruler so that it runs into the edge on both sides of the flaw, through its middle, and "
        f"draw the edge again (heavy; dotted: as it was){off}.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "edge": "true the {}",
        "from": "from {} along it",
        "to": "to {} along it",
        "redraw": "redrawing at most {} on each side",
    },
    words=_words,
)


def _bridged_gaps(edge: Edge, gaps: Sequence[tuple[complex, complex]]) -> list[edgework.Flaw]:
    """Find the gaps of an open outline that lie on this edge, as flaws."""
    found: list[edgework.Flaw] = []
    for a, b in gaps:
        (t, away), (u, off) = edge.curve.nearest(a), edge.curve.nearest(b)
        if away < 1e-3 and off < 1e-3:
            found.append(edgework.Flaw(min(t, u), max(t, u)))
    return found


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
                Parameter(
                    "redraw",
                    "length",
                    "how far is redrawn on each side of a flaw",
                    default_text=f"{both_ways(rules.truing.FLAW_REACHES[0])}, and up to "
                    f"{both_ways(rules.truing.FLAW_REACHES[-1])} where the edge would waver else",
                    minimum=1.0,
                    also=("reach",),
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("any",),
            one_of=(("edge",),),
            open_outline=True,
            closes_gaps="edge",
        )
    ]
