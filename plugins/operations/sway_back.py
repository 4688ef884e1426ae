"""sway-back: length taken out at the centre back waist, nothing at the side seam; the centre straight again.

The paper act (from memory, no source): cut level from the centre back waist to the side seam, lap at the centre, the
side seam a hinge; the centre is drawn straight again from neck to hem, lies along the grain, and neck and hem meet it
square.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable

from svgfit.plugin import (
    REDRAW,
    Affine,
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
    at_most,
    both_ways,
    edgework,
    hookimpl,
    parts_moved,
    rules,
    sewing,
    slash_words,
    spread,
    swap,
    true,
    unkept_promises,
)

NECK, HEM, SIDE = "neck centre", "hem centre", "side seam"


def run(job: Job) -> Outcome:
    """Lap (or open) the cut at the centre, straighten the centre, set it upright; then measure."""
    piece = job.piece
    assert piece is not None
    centre = next((edge.name for edge in piece.edges if edge.fold or edge.name == "centre"), None)
    if centre is None or not piece.has_edge(SIDE):
        raise job.refuse("it needs a centre (or fold) and a side seam", "name a back with both")
    level = _level(job, piece)
    start, hinge = (_crossing(job, piece, name, level) for name in (centre, SIDE))
    angle = _angle(job, piece, centre, start, hinge)
    outline = piece.outline()
    first, last = outline.nearest(start)[0] % len(outline), outline.nearest(hinge)[0] % len(outline)
    found = alterations.cut_between(piece, first, last, moves=piece.landmark(HEM))
    side = math.copysign(1.0, ((start - hinge).conjugate() * -1j).imag)  # the way in which the centre turns upwards
    turn = Affine.turn(side * angle, hinge)
    parted = spread(piece, found, turn)
    new, openings = true(parted, job.values.get("redraw"))
    ways = [one.landmark(NECK) - one.landmark(HEM) for one in (piece, new)]
    upright = Affine.turn(cmath.phase(ways[0] / ways[1]), hinge)
    new = alterations.lines_along(piece, edgework.move_piece(new, upright), centre)
    for name, corner in (("neckline", NECK), ("hem", HEM)):
        new = alterations.square_again(piece, new, name, corner, ways[0])
    mark = Curve.polyline([hinge - 1, hinge + 1])
    return Outcome(
        swap(job.pieces, new),
        tuple(Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in (centre, SIDE, "hem")),
        openings,
        (
            Annotation("slash", piece.title, Curve.polyline(found.line), label=f"slash {job.do}"),
            Annotation("hinge", piece.title, mark),
        ),
        warnings=(*unkept_promises(openings), *alterations.off_grain(piece, new)),
        moved=parts_moved(piece, ((found, turn),), upright),
    )


def _level(job: Job, piece: Piece) -> float:
    """Find the waist: as asked, or where a line is drawn that is called so."""
    if "at" in job.values:
        return piece.landmark("underarm").imag + job.values["at"]
    for mark in piece.marks:
        if mark.curves and "waist" in (mark.name or "").casefold():
            return (mark.curves[0].start.imag + mark.curves[0].end.imag) / 2
    raise job.refuse(
        "where the waist lies is not known", "say at=, how far below the underarm point, or draw a line called waist"
    )


def _crossing(job: Job, piece: Piece, name: str, level: float) -> complex:
    """Find the one place where an edge crosses a level."""
    met = alterations.at_level(piece, name, level)
    _, top, _, bottom = piece.edge(name).curve.bounds()
    if len(met) != 1 or not top + 1 < level < bottom - 1:
        underarm = piece.landmark("underarm").imag
        most = at_most(max(bottom - underarm, 0.0))
        raise job.refuse(
            f"the level of the waist does not cross the {name} once", f"say at=, {most} below the underarm"
        )
    return met[0]


def _angle(job: Job, piece: Piece, centre: str, start: complex, hinge: complex) -> float:
    """Find by how much the lower part turns, radians, positive where it laps: from the amount, or the new length."""
    radius = abs(start - hinge)
    most = 2 * radius * math.sin(rules.truing.MOST_SWING / 2)
    neck, hem = (piece.landmark(name) - hinge for name in (NECK, HEM))
    if "amount" in job.values:
        if abs(job.values["amount"]) > most:
            raise job.refuse("that turns the lower part too far", f"ask for {at_most(most)}")
        return 2 * math.asin(job.values["amount"] / 2 / radius)
    if not piece.edge(centre).curve.is_straight():
        raise job.refuse(f"the {centre} is not straight, so its length does not say how far to turn", "say amount=")
    # The centre is the side of a triangle, the hinge its corner before it (the law of cosines).
    between = abs(cmath.phase(hem / neck))
    share = (abs(neck) ** 2 + abs(hem) ** 2 - job.values["length"] ** 2) / (2 * abs(neck) * abs(hem))
    angle = between - math.acos(share) if -1 < share < 1 else math.inf
    if abs(angle) > rules.truing.MOST_SWING:
        now = sewing.sewn_length(piece, centre)
        raise job.refuse(
            f"a {centre} of that length can't be had there",
            f"{centre} now {both_ways(now)}: ask for {at_most(most)} more or less",
        )
    return angle


def _words(facts: StepFacts) -> Words:
    way = "up over the other part" if facts.closes else "down until the cut opens"
    return slash_words(
        facts,
        "Take out length at the centre back" if facts.closes else "Add length at the centre back",
        f"Turn the shaded part about the side seam, {way} by {facts.amounts} at the centre.",
        note="Draw the centre straight again from neck to hem, and the grain along it; square neck and hem to it. What "
        "is sewn to the lower edge at the waist changes alike.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "sway-back",
            "Takes length out at the centre back waist, to nothing at the side seam; the centre straight again.",
            (
                Parameter("amount", "length", "how much is taken out at the centre; negative adds"),
                Parameter("length", "length", "how long the centre or fold is to be from neck to hem", minimum=1.0),
                Parameter(
                    "at",
                    "length",
                    "how far below the underarm point the waist lies",
                    default_text="at the drawn line called waist; without one it is refused",
                ),
                REDRAW,
            ),
            run,
            instructions=Instructions(
                asked={
                    "length": "to be {} long at the centre",
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": ("take out {} at the centre", "add {} at the centre"),
                    "at": "{} below the underarm",
                },
                words=_words,
            ),
            kinds=("back",),
            one_of=(("amount", "length"),),
            answers=(
                "folds across the back above the seat",
                "the back is too long between neck and waist",
                "cloth pools at the centre back waist",
            ),
        )
    ]
