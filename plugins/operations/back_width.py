"""back-width: a back or front made broader or narrower across, half-way down the armhole, the armhole's length kept.

The paper act (from memory, no source): cut down from the shoulder's middle and out to the side seam below the underarm,
and slide the part with the armhole out, the side seam drawn into the old one; or cut down to the hem, a hinge, and
swing it; or cut right through and slide it. What the shoulder gets too much goes into a dart or is eased.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from svgfit.plugin import (
    REDRAW,
    Affine,
    Annotation,
    Curve,
    Instructions,
    Job,
    Measurement,
    Opening,
    Operation,
    Outcome,
    Parameter,
    Piece,
    SpreadPiece,
    StepFacts,
    Words,
    alterations,
    at_most,
    both_ways,
    hookimpl,
    rules,
    sewing,
    slash_words,
    spread,
    swap,
    true,
    unkept_promises,
)

NEEDED = ("shoulder", "armhole", "side seam", "hem")
"""Edges without which it can't be done."""
ACCURACY = 1e-3
"""How near (mm) the half's width comes to what is wanted."""


class Plan(Struct, frozen=True):
    """How the piece is cut, and about which hinge the outer part swings (None: it moves)."""

    found: alterations.Cut
    hinge: complex | None
    level: float
    """Where the width is measured."""


def run(job: Job) -> Outcome:
    """Cut, move the outer part until it is as wide as asked, take up what the shoulder has too much; then measure."""
    piece = job.piece
    assert piece is not None
    if missing := [name for name in NEEDED if not piece.has_edge(name)]:
        raise job.refuse(f"it has no {missing[0]}", "name a front or back with shoulder, armhole, side seam and hem")
    plan = _plan(job, piece)
    was = half_width(job, piece, plan.level)
    by = _by(job, was)
    parted, new, openings = _widened(job, piece, plan, was + by)
    before, after = (sewing.sewn_length(one, "shoulder") for one in (piece, new))
    warnings = [*unkept_promises(openings), *alterations.off_grain(piece, new)]
    if job.values["into"] == "dart" and after - before > 0.1:
        curve, start = new.edge("shoulder").curve, parted.cut.line
        at = curve.nearest(min((start[0], start[-1]), key=lambda end: curve.nearest(end)[1]))[0]
        new, _ = alterations.let_in_dart(new, "shoulder", at, after - before, job.values["dart-length"])
    elif abs(after - before) > 0.1:
        way = "longer: ease it into" if after > before else "shorter than it was: shorten"
        warnings.append(f"{new.title}: its shoulder is {both_ways(abs(after - before))} {way} what is sewn to it")
    hinge = (
        ()
        if plan.hinge is None
        else (Annotation("hinge", piece.title, Curve.polyline([plan.hinge - 1, plan.hinge + 1])),)
    )
    return Outcome(
        swap(job.pieces, new),
        (
            Measurement(f"{piece.kind} width", 2 * half_width(job, new, plan.level)),
            *(Measurement(f"{name} length", sewing.sewn_length(new, name)) for name in NEEDED),
        ),
        openings,
        (
            Annotation("slash", piece.title, Curve.polyline(plan.found.line), label=f"slash {job.do}"),
            *hinge,
        ),
        warnings=tuple(warnings),
        moved=parted.moved,
    )


def half_width(job: Job, piece: Piece, level: float) -> float:
    """Measure from the centre to the armhole at a level."""
    met = alterations.at_level(piece, "armhole", level)
    if not met:
        raise job.refuse("the armhole does not cross the level half-way down it", "mark shoulder tip and underarm")
    centre = piece.landmark("neck centre").real
    return min(abs(point.real - centre) for point in met)


def _by(job: Job, was: float) -> float:
    """Find by how much the half gets wider: from the whole amount, one half's, or the width to end with."""
    if "amount" in job.values:
        by = job.values["amount"] / 2
    else:
        by = job.values["each"] if "each" in job.values else job.values["width"] / 2 - was
    most = was * rules.truing.MOST_SWING
    if abs(by) > most:
        raise job.refuse("that is too much for one step", f"ask for {at_most(2 * most)} across the whole")
    return by


def _plan(job: Job, piece: Piece) -> Plan:
    """Find the cut: from the shoulder's middle down, and where it ends."""
    tip, underarm = piece.landmark("shoulder tip"), piece.landmark("underarm")
    level = (tip.imag + underarm.imag) / 2
    seam = piece.edge("shoulder").curve
    start = seam.point(seam.at_length(seam.length() / 2))
    via: tuple[complex, ...] = ()
    hem = piece.edge("hem").curve
    if job.values["how"] == "side":
        side = piece.edge("side seam").from_front()
        end = side.point(side.at_length(rules.armholes.WIDTH_CUT * side.length()))
        via = (complex(start.real, end.imag),)
    else:
        bottom = hem.bounds()[3] + 1
        met = [hem.point(t) for t in hem.crossings(start, complex(start.real, bottom))]
        if not met:
            raise job.refuse("straight below the shoulder's middle lies no hem", "say how=side")
        end = met[-1]
    outline = piece.outline()
    first, last = outline.nearest(start)[0] % len(outline), outline.nearest(end)[0] % len(outline)
    found = alterations.cut_between(piece, first, last, via, moves=tip)
    return Plan(found, end if job.values["how"] == "hem" else None, level)


def _widened(job: Job, piece: Piece, plan: Plan, wanted: float) -> tuple[SpreadPiece, Piece, tuple[Opening, ...]]:
    """Move the outer part until the half is so wide at the level (secants, any textbook of numerics, from memory)."""
    out = 1.0 if piece.landmark("shoulder tip").real > piece.landmark("neck centre").real else -1.0
    was = half_width(job, piece, plan.level)
    arm = 1.0 if plan.hinge is None else plan.hinge.imag - plan.level

    def tried(move: float) -> tuple[SpreadPiece, Piece, tuple[Opening, ...]]:
        motion = Affine.shift(out * move) if plan.hinge is None else Affine.turn(out * move / arm, plan.hinge)
        parted = spread(piece, plan.found, motion)
        return parted, *true(parted, job.values.get("redraw"))

    moves, offs = [0.0, wanted - was], [was - wanted]
    done = tried(moves[-1])
    for _ in range(8):
        offs.append(half_width(job, done[1], plan.level) - wanted)
        if abs(offs[-1]) < ACCURACY or offs[-1] == offs[-2]:
            break
        moves.append(moves[-1] - offs[-1] * (moves[-1] - moves[-2]) / (offs[-1] - offs[-2]))
        done = tried(moves[-1])
    return done


def _words(facts: StepFacts) -> Words:
    way = "in over the other part" if facts.closes else "out until the piece is wide enough"
    return slash_words(
        facts,
        "Make it narrower across" if facts.closes else "Make it broader across",
        f"Move the shaded part {way}; measure across half-way down the armhole.",
        note="What the shoulder gets too much is eased, or taken up by a dart.",
    )


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "back-width",
            "Makes a back (or a front's chest) broader or narrower half-way down the armhole, whose length is kept.",
            (
                Parameter("amount", "length", "how much broader both halves together get; negative: narrower"),
                Parameter("each", "length", "how much broader one half gets; negative: narrower"),
                Parameter("width", "length", "how broad both halves together are to be", minimum=1.0),
                Parameter(
                    "how",
                    "text",
                    "slide the part with the armhole, cut out to the side seam; swing it at the hem; or slide it all",
                    default="side",
                    choices=("side", "hem", "through"),
                ),
                Parameter(
                    "into",
                    "text",
                    "where what the shoulder gets too much goes",
                    default="ease",
                    choices=("ease", "dart"),
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
                    "width": "to be {} broad",
                    "how=side": "cutting out to the side seam",
                    "how=hem": "swinging the part with the armhole at the hem",
                    "how=through": "all the way through",
                    "into=ease": "the rest left as ease",
                    "dart-length": "a dart {} long",
                    "redraw": "redrawing at most {} on each side of a cut",
                    "amount": ("broader by {}", "narrower by {}"),
                    "each": ("each half broader by {}", "each half narrower by {}"),
                    "into=dart": "the rest into a shoulder dart",
                },
                words=_words,
            ),
            kinds=("back", "front"),
            one_of=(("amount", "each", "width"),),
            answers=(
                "strain across the shoulder blades",
                "strain across the chest between the armholes",
                "upright folds beside the armhole, the back too broad",
                "the armhole seam pulls towards the back",
            ),
        )
    ]
