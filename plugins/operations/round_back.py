"""round-back: length let in at the centre back over the curve of the back, or taken out for an erect one.

The paper act (from memory, no source): cut level over the curve from the centre back to the armhole, a hinge; swing the
upper part up. A straight centre goes on straight, so that the neckline gets longer, which a dart or ease takes up; a
centre seam may bend with the back instead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Edge,
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
    at_most,
    both_ways,
    edgework,
    hookimpl,
    replace,
    rules,
    sewing,
    slash_words,
    spread,
    swap,
    true,
    unkept_promises,
)

NECK, NECKLINE = "neck centre", "neckline"


def run(job: Job) -> Outcome:
    """Swing the upper part about the armhole, draw the centre, take up what the neckline has too much; then measure."""
    piece = job.piece
    assert piece is not None
    centre = next((edge for edge in piece.edges if edge.fold or edge.name == "centre"), None)
    if centre is None or not piece.has_edge("armhole") or not piece.has_edge(NECKLINE):
        raise job.refuse("it needs a centre (or fold), an armhole and a neckline", "name a back with all three")
    straight = _is_straight(job, centre)
    amount = job.values["amount"] if "amount" in job.values else _from_length(job, piece, centre, straight=straight)
    level = _level(job, piece)
    start, hinge = (_crossing(job, piece, name, level) for name in (centre.name, "armhole"))
    most = 2 * abs(start - hinge) * math.sin(rules.truing.MOST_SWING / 2)
    if abs(amount) > most:
        raise job.refuse("that swings the upper part too far", f"ask for {at_most(most)}")
    outline = piece.outline()
    first, last = outline.nearest(start)[0] % len(outline), outline.nearest(hinge)[0] % len(outline)
    found = alterations.cut_between(piece, first, last, moves=piece.landmark(NECK))
    side = math.copysign(1.0, ((start - hinge).conjugate() * -1j).imag)  # the way in which the centre turns upwards
    parted = spread(piece, found, Affine.turn(side * 2 * math.asin(amount / 2 / abs(start - hinge)), hinge))
    new, openings = true(parted, job.values.get("redraw"))
    new = _straight_on(piece, new, centre, amount) if straight else _bent(new, centre, start)
    was, now = (sewing.sewn_length(one, NECKLINE) for one in (piece, new))
    warnings = [*unkept_promises(openings), *alterations.off_grain(piece, new)]
    if now - was > 0.1 and job.values["into"] == "dart":
        curve = new.edge(NECKLINE).curve
        new, _ = alterations.let_in_dart(
            new, NECKLINE, curve.at_length(curve.length() / 2), now - was, job.values["dart-length"]
        )
    elif abs(now - was) > 0.1:
        how = (
            "longer: ease it into what is sewn there"
            if now > was
            else "shorter: lengthen it, or shorten what is sewn there"
        )
        warnings.append(f"{new.title}: its neckline is {both_ways(abs(now - was))} {how}")
    trued = new.edge(centre.name).curve
    gain = sewing.sewn_length(new, centre.name) - sewing.sewn_length(piece, centre.name)
    return Outcome(
        swap(job.pieces, new),
        tuple(
            Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in (centre.name, NECKLINE, "armhole")
        ),
        tuple(replace(one, trued=trued, gain=gain) if one.edge == centre.name else one for one in openings),
        (
            Annotation("slash", piece.title, Curve.polyline(found.line), label=f"slash {job.do}"),
            Annotation("hinge", piece.title, Curve.polyline([hinge - 1, hinge + 1])),
        ),
        warnings=tuple(warnings),
        moved=parted.moved,
    )


def _is_straight(job: Job, centre: Edge) -> bool:
    """Tell whether the centre goes on straight: as asked, or where it is straight as drawn."""
    drawn = centre.curve.is_straight(0.1)
    wanted = job.values.get("centre", "straight" if drawn else "curved")
    if wanted == "straight" and not drawn:
        raise job.refuse(f"the {centre.name} is drawn curved, so it can't go on straight", "say centre=curved")
    if wanted == "curved" and centre.fold:
        raise job.refuse("a fold stays straight", "say centre=straight, or draw a seam at the centre back")
    return wanted == "straight"


def _from_length(job: Job, piece: Piece, centre: Edge, *, straight: bool) -> float:
    """Find the amount from how long the centre is to be."""
    if not straight:
        raise job.refuse("the length of a curved centre does not say how far to swing", "say amount=")
    return job.values["length"] - sewing.sewn_length(piece, centre.name)


def _level(job: Job, piece: Piece) -> float:
    """Find the level of the cut: as asked, or half-way down the armhole."""
    if "at" in job.values:
        return piece.landmark(NECK).imag + job.values["at"]
    return (piece.landmark("shoulder tip").imag + piece.landmark("underarm").imag) / 2


def _crossing(job: Job, piece: Piece, name: str, level: float) -> complex:
    """Find where an edge crosses the level, first from the shoulder down."""
    met = alterations.at_level(piece, name, level)
    tip, underarm, neck = (piece.landmark(one).imag for one in ("shoulder tip", "underarm", NECK))
    if not met or not max(tip, neck) + 1 < level < underarm - 1:
        span = f"{both_ways(max(tip - neck, 0.0))} and {at_most(underarm - neck)}"
        raise job.refuse(
            "the cut does not run from the centre to the armhole", f"say at=, between {span} below the neck"
        )
    return max(met, key=lambda point: sewing.sewn_distance(piece, name, point)) if name == "armhole" else met[0]


def _straight_on(before: Piece, new: Piece, centre: Edge, amount: float) -> Piece:
    """Let the centre go straight on by the amount, and the neckline on to it, square."""
    old = centre.curve
    neck = before.landmark(NECK)
    hem = old.end if abs(old.start - neck) < abs(old.end - neck) else old.start
    up = (neck - hem) / abs(neck - hem)
    corner = neck + amount * up
    line = Curve.polyline([corner, hem] if abs(old.start - neck) < abs(old.end - neck) else [hem, corner])
    moved = new.landmark(NECK)
    neckline = new.edge(NECKLINE).curve
    starts = abs(neckline.start - moved) < 1e-3
    towards = neckline.reverse() if starts else neckline
    way = corner - moved
    across = 1j * up
    reach = min(max(rules.truing.SQUARED, 2 * abs(way)), alterations.room_at(new, NECKLINE, moved))
    tangent = towards.tangent(float(len(towards)), before=True)
    across = across if (across.conjugate() * tangent).real > 0 else -across
    led = alterations.lead_to(towards, reach, corner, across)
    curves = {centre.name: line, NECKLINE: led.reverse() if starts else led}
    edges = [replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in new.edges]
    landmarks = tuple(replace(one, at=corner) if one.name == NECK else one for one in new.landmarks)
    done = replace(new.with_edges(edgework.close_outline(edges)), landmarks=landmarks)
    return alterations.lines_along(before, done, centre.name)


def _bent(new: Piece, centre: Edge, start: complex) -> Piece:
    """Draw a centre seam from below the cut to the swung neck in one even curve."""
    old, moved = centre.curve, new.landmark(NECK)
    begins = abs(old.start - moved) < abs(old.end - moved)
    up = old.reverse() if begins else old
    cut = up.nearest(start)[0]
    below = up.subcurve(0.0, cut)
    corner = new.landmark(NECK)
    reach = min(abs(corner - start), below.length() / 2)
    drawn = new.edge(centre.name).curve
    way = drawn.tangent(0.0) * -1 if begins else drawn.tangent(float(len(drawn)), before=True)
    led = alterations.lead_to(below, reach, corner, way)
    edges = [
        replace(edge, curve=led.reverse() if begins else led) if edge.name == centre.name else edge
        for edge in new.edges
    ]
    return new.with_edges(edgework.close_outline(edges))


def _words(facts: StepFacts) -> Words:
    way = "down over the other part" if facts.closes else "up until the cut opens"
    return slash_words(
        facts,
        "Take out length for an erect back" if facts.closes else "Let in length for a round back",
        f"Swing the shaded part about the armhole, {way} by {facts.amounts} at the centre.",
        note="A fold goes straight on; what the neckline has too much goes into a dart, or is eased. Collar and facing "
        "change with it.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "round-back",
            "Lets in length at the centre back over its curve, the armhole kept; negative takes it out (erect back).",
            (
                Parameter("amount", "length", "how much longer the centre gets; negative: shorter, for an erect back"),
                Parameter("length", "length", "how long the centre or fold is to be from neck to hem", minimum=1.0),
                Parameter(
                    "at",
                    "length",
                    "how far below the centre of the neckline to cut",
                    default_text="half-way down the armhole",
                ),
                Parameter(
                    "centre",
                    "text",
                    "how the centre goes on above the cut",
                    default_text="straight where it is drawn so, else curved",
                    choices=("straight", "curved"),
                ),
                Parameter(
                    "into",
                    "text",
                    "where what the neckline gets too much goes",
                    default="dart",
                    choices=("dart", "ease"),
                ),
                Parameter(
                    "dart-length",
                    "length",
                    "how long that dart is",
                    default=f"{rules.darts.NECK_DART / 25.4:g} in",
                    minimum=10.0,
                ),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "length": "to be {} long at the centre",
                    "centre=straight": "the centre straight",
                    "centre=curved": "the centre in a curve",
                    "into=dart": "the rest into a dart",
                    "dart-length": "a dart {} long",
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": ("let in {} at the centre back", "take out {} at the centre back"),
                    "at": "{} below the neck",
                    "into=ease": "the neckline eased",
                },
                words=_words,
            ),
            kinds=("back",),
            one_of=(("amount", "length"),),
            answers=(
                "drags from the neck to the armhole over the shoulder blades",
                "the hem rises at the back",
                "the neckline pulls to the back or stands off at the nape",
                "folds across between the shoulder blades (erect back)",
            ),
        )
    ]
