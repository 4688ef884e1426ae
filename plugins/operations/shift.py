"""shift: a corner, a stretch of an edge or an edge moved by so much, running out along the edges beside it.

What a fitter redraws without a cut (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

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
    hookimpl,
    refuse_crossing,
    sewing,
    swap,
)

CORNER = 0.01
"""A place nearer than this to an edge's end (mm) is the corner."""
STRAIGHT = 0.1
"""An edge that leaves its chord by no more than this (mm) is straight."""
WAYS = {"up": -1j, "down": 1j, "right": 1 + 0j, "left": -1 + 0j}


def run(job: Job) -> Outcome:
    """Say by how much each edge moves where, move them; then measure."""
    piece = job.piece
    assert piece is not None
    first, last = _stretch(job, piece)
    by = _by(job, piece, first)
    ends = [_end(job, piece, place) for place in job.values.get("runs-out", ())]
    knots = {first[0]: [alterations.Knot(first[1], by), alterations.Knot(last[1], by)]}
    used = _run_on(job, piece, knots, by, ends)
    for place, end in zip(job.values.get("runs-out", ()), ends, strict=True):
        if end not in used:
            raise job.refuse(
                f"the movement does not run out at {place.text}: it moves the {', '.join(knots)}",
                "name a place of these edges beyond what moves, one on each side",
            )
    moves = {
        name: alterations.Movements(_in_order(found), _is_even(job, piece, name, found))
        for name, found in knots.items()
    }
    new = alterations.shift_edges(piece, moves)
    refuse_crossing(new, "the moved edge would cross another")
    alterations.refuse_bent_fold(piece, new)
    alterations.refuse_turned_over(piece, new)
    at = sewing.place_along(piece, *first)
    point = at[0].point(at[1])
    return Outcome(
        swap(job.pieces, new),
        tuple(Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in moves),
        annotations=(
            *(Annotation("old edge", piece.title, piece.edge(name).curve) for name in moves),
            Annotation("arrow", piece.title, Curve.polyline([point, point + by]), length=abs(by)),
        ),
        warnings=alterations.off_grain(piece, new),
    )


def _end(job: Job, piece: Piece, place: alterations.Place) -> tuple[str, float]:
    """Find where a movement runs out: an edge and how far along it; refuse a place that lies on none."""
    try:
        alterations.on_outline(piece, place)
    except ValueError as error:
        raise job.refuse(*str(error).split(": ", 1)) from None
    name = place.edge or alterations.edge_at(piece, place.at)[0]
    return name, sewing.sewn_distance(piece, name, place.at)


def _stretch(job: Job, piece: Piece) -> tuple[tuple[str, float], tuple[str, float]]:
    """Find what moves by the whole amount: an edge and from where to where, mm along it as sewn."""
    if "edge" in job.values:
        owner, name = job.values["edge"]
        if owner != piece.name:
            raise job.refuse(f"the edge is one of {owner}", f"name one of {piece.name}")
        return (name, 0.0), (name, sewing.sewn_length(piece, name))
    places = [job.values["at"], *([job.values["to"]] if "to" in job.values else [])]
    found: list[tuple[str, float]] = []
    for place in places:
        name, along = _end(job, piece, place)
        meet = [edge.name for edge in piece.edges if _has_end(edge.curve, place.at)]
        if place.edge is None and job.values["way"] not in WAYS and len(meet) > 1:
            raise job.refuse(
                f"{place.text} is the corner of {' and '.join(meet)}, so {job.values['way']} is no one way",
                f"write way=up, down, left or right, or a place along one of them, such as {meet[0]} 0 in",
            )
        found.append((name, along))
    if len({name for name, _ in found}) > 1:
        raise job.refuse("the stretch runs over a corner", "name two places of one edge")
    found.sort()
    return found[0], found[-1]


def _by(job: Job, piece: Piece, first: tuple[str, float]) -> complex:
    """Return how far and which way it moves, in the piece's frame."""
    way = job.values["way"]
    if way in WAYS:
        step = WAYS[way]
        return job.values["amount"] * (complex(-step.real, step.imag) if piece.placement.mirrors else step)
    name, along = first
    curve, t = sewing.place_along(piece, name, along)
    if way == "along":
        return job.values["amount"] * (-curve.tangent(t) if t < len(curve) / 2 else curve.tangent(t, before=True))
    outward = 1j * curve.tangent(min(t, len(curve) - 1e-9))
    inside = piece.outline().area() > 0
    backwards = piece.edge(name).backwards
    return job.values["amount"] * (-outward if inside != backwards else outward)


def _run_on(
    job: Job,
    piece: Piece,
    knots: dict[str, list[alterations.Knot]],
    by: complex,
    ends: Sequence[tuple[str, float]],
) -> set[tuple[str, float]]:
    """Let the movement run out: on the edge itself, or, where a corner moves, along the edge beyond it.

    Return the places that were asked for and serve.
    """
    used: set[tuple[str, float]] = set()
    (name, moved) = next(iter(knots.items()))
    length = sewing.sewn_length(piece, name)
    low, high = moved[0].at, moved[-1].at
    for near, at, far in ((True, low, 0.0), (False, high, length)):
        if abs(at - far) > CORNER:
            runs = [along for edge, along in ends if edge == name and (along < low if near else along > high)]
            end = (max if near else min)(runs, default=far)
            knots[name].append(alterations.Knot(end, 0j))
            used.add((name, end))
            continue
        curve = piece.edge(name).from_front()
        corner = curve.start if near else curve.end
        beyond = [edge for edge in piece.edges if edge.name != name and _has_end(edge.curve, corner)]
        if not beyond:
            raise job.refuse("there is no edge beyond the corner", "name another place")
        other = beyond[0]
        whole = sewing.sewn_length(piece, other.name)
        starts = abs(other.from_front().start - corner) < CORNER
        runs = [along for edge, along in ends if edge == other.name and CORNER < along < whole - CORNER]
        stop = (min if starts else max)(runs, default=whole if starts else 0.0)
        knots[other.name] = [alterations.Knot(0.0 if starts else whole, by), alterations.Knot(stop, 0j)]
        used.add((other.name, stop))
    return used


def _is_even(job: Job, piece: Piece, name: str, knots: Sequence[alterations.Knot]) -> bool:
    """Tell whether a movement runs out evenly: as asked, or where a straight edge moves from end to end."""
    ends = all(knot.at < CORNER or knot.at > sewing.sewn_length(piece, name) - CORNER for knot in knots)
    own = ends and piece.edge(name).curve.is_straight(STRAIGHT)
    return job.values["how"] == "straight" or (job.values["how"] == "as drawn" and own)


def _has_end(curve: Curve, point: complex) -> bool:
    return min(abs(curve.start - point), abs(curve.end - point)) < CORNER


def _in_order(knots: Sequence[alterations.Knot]) -> tuple[alterations.Knot, ...]:
    """Order knots along their edge, each place once."""
    found: dict[float, alterations.Knot] = {round(knot.at, 6): knot for knot in knots}
    return tuple(found[at] for at in sorted(found))


def _words(facts: StepFacts) -> Words:
    return Words(
        title="Move the edge",
        draw=f"Measure {facts.amounts} from the old line, the way the arrow points, and mark it.",
        cut="",
        move="",
        true="Draw the new line through the mark; let it run into the old one where the movement ends.",
    )


ASKED = Instructions(
    asked={
        "amount": ("move the edge by {}", "move the edge back by {}"),
        "at": "moving {}",
        "to": "as far as {}",
        "edge": "the whole {}",
        "way=up": "upwards",
        "way=down": "downwards",
        "way=left": "to the left",
        "way=right": "to the right",
        "way=along": "on beyond the edge's end",
        "way=out": "square to the edge",
        "runs-out": "running out at {}",
        "how=as drawn": "straight edges staying straight",
        "how=curved": "in a curve",
        "how=straight": "evenly",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "shift",
            "Moves a corner, a stretch of an edge or an edge by so much; the edges beside it run out to nothing.",
            (
                Parameter("at", "place", "what moves: a corner or a place of an edge"),
                Parameter("to", "place", "the other end of a stretch that moves", default_text="only that place"),
                Parameter("edge", "edge", "an edge that moves as a whole"),
                Parameter("amount", "length", "how far it moves; negative: the other way"),
                Parameter(
                    "way",
                    "text",
                    "which way, with the grain upright: along: on beyond the edge's end; out: square to the edge",
                    default="out",
                    choices=("up", "down", "left", "right", "along", "out"),
                ),
                Parameter(
                    "runs-out",
                    "places",
                    "where the movement has run out",
                    default_text="at the next corners",
                ),
                Parameter(
                    "how",
                    "text",
                    "how it runs out: straight edges straight and others in a curve, or all of them so",
                    default="as drawn",
                    choices=("as drawn", "curved", "straight"),
                ),
            ),
            run,
            instructions=ASKED,
            kinds=("any",),
            one_of=(("at", "edge"), ("amount",)),
        )
    ]
