"""ease-spread: both lower corners of the cap turned about the underarm, so that the cap edge gains or loses length."""

from __future__ import annotations

import math
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
    Reach,
    Refusal,
    SearchResult,
    Slash,
    StepFacts,
    Words,
    at_least,
    at_most,
    both_ways,
    hookimpl,
    parts_moved,
    replace,
    rules,
    sewing,
    slash_words,
    sleeves,
    smallest_movement,
    spread,
    swap,
    true,
    unkept_promises,
)

OVER_TOP = 0.1
"""A turned edge that rises less than this (mm) over the cap top makes no hump: a hair, and no pencil shows it."""
ELSEWHERE = ((0.9, 0.0), (0.8, 50.0), (0.9, 50.0))
"""Other slashes to be named where the one asked for reaches too little: (at, drop in mm); from trials on many caps."""


class Corner(Struct, frozen=True):
    """One lower corner of the cap: where it is cut, and about which hinge it turns."""

    side: str
    slash: Slash
    hinge: complex
    end: complex
    """The point of the cap edge at the slash."""

    @property
    def radius(self) -> float:
        """From the hinge to the cut end, mm."""
        return abs(self.end - self.hinge)

    def turn(self, width: float) -> Affine:
        """Return the turn that opens the cut by ``width`` mm straight across (negative: overlaps)."""
        angle = 2 * math.asin(width / (2 * self.radius))
        return Affine.turn(angle if self.side == "front" else -angle, self.hinge)


class Turned(Struct, frozen=True):
    """Both corners turned and trued."""

    piece: Piece
    openings: tuple[Opening, ...]
    annotations: tuple[Annotation, ...]
    turns: tuple[tuple[Slash, Affine], ...]


def run(job: Job) -> Outcome:
    """Turn by the amount asked, or by the smallest amount that brings the length asked."""
    piece = job.piece
    assert piece is not None
    before = sewing.sewn_length(piece, "cap")
    if "amount" in job.values:
        done = _turn(job, piece, job.values["amount"])
    else:
        target = job.values["cap-length"] if "cap-length" in job.values else _armholes(job) + job.values["ease"]
        done = _reach(job, piece, target - before)
    pieces = swap(job.pieces, done.piece)
    return Outcome(
        pieces,
        _got(job, pieces, done.piece, before),
        done.openings,
        done.annotations,
        warnings=unkept_promises(done.openings),
        moved=parts_moved(piece, done.turns),
    )


def _turn(job: Job, piece: Piece, amount: float) -> Turned:
    """Turn both corners, sharing ``amount`` mm out between front and back."""
    back_share = job.values["share-back"]
    openings: list[Opening] = []
    notes: list[Annotation] = []
    turns: list[tuple[Slash, Affine]] = []
    top = piece.edge("cap").curve.bounds()[1]
    new = piece
    for side, width in (("front", amount * (1 - back_share)), ("back", amount * back_share)):
        corner = _corner(job, piece, side)
        if abs(width) >= corner.radius / 2:
            raise job.refuse(
                f"an opening of {both_ways(abs(width))} is too large for a corner of {both_ways(corner.radius)}",
                "use a smaller amount",
            )
        if abs(width) < 1e-12:
            continue
        motion = corner.turn(width)
        turns.append((corner.slash, motion))
        parted = spread(new, corner.slash, motion)
        for fragment in parted.fragments[0]:
            if fragment.moved:
                _refuse_over(job, top, fragment.curve)
        new, made = true(parted, job.values.get("redraw"))
        openings += [replace(one, at=one.at - _gained_before(one, openings)) for one in made]
        line = Curve.polyline(
            list(parted.cut.line if abs(parted.cut.line[0] - corner.end) < 1e-6 else parted.cut.line[::-1])
        )
        notes.append(Annotation("slash", piece.title, line, label="slash to turn the corner"))
        notes.append(Annotation("hinge", piece.title, point=corner.hinge))
        notes.append(
            Annotation("arrow", piece.title, Curve.polyline([corner.end, motion.apply(corner.end)]), length=width)
        )
    _refuse_over(job, top, new.edge("cap").curve)
    return Turned(new, tuple(openings), tuple(notes), tuple(turns))


def _gained_before(opening: Opening, others: Iterable[Opening]) -> float:
    """Return what the edge gained at openings before this one, mm: an opening is told by its place on the old edge."""
    return sum(one.gain for one in others if one.edge == opening.edge and one.at < opening.at)


def _refuse_over(job: Job, top: float, curve: Curve) -> None:
    """Refuse what rises over the cap top, ``top`` its y in the piece's frame."""
    over = top - curve.bounds()[1]
    if over > OVER_TOP:
        raise job.refuse(
            f"the turned edge would rise {both_ways(over)} over the cap top and give the cap two humps",
            "use a smaller at (further from the centre line) or a smaller amount",
        )


def _corner(job: Job, piece: Piece, side: str) -> Corner:
    """Lay the slash: down from the cap edge at ``at`` of the half bicep, then level to the hinge."""
    underarm, top = piece.landmark(f"underarm {side}"), piece.landmark("cap top")
    x = underarm.real + (top.real - underarm.real) * job.values["at"]
    seam = piece.edge(f"underarm {side}").from_front()
    drop = job.values["hinge-down"]
    if drop >= 0.9 * seam.length():
        raise job.refuse(
            f"a hinge {both_ways(drop)} below the underarm point lies off the seam",
            "put the hinge nearer to the underarm point (drop)",
        )
    hinge = seam.point(seam.at_length(drop)) if drop > 0 else underarm
    cap = piece.edge("cap").from_front()
    above, below = complex(x, top.imag - 50.0), complex(x, hinge.imag)
    met = cap.crossings(above, complex(x, sleeves.bicep_level(piece) + 1000.0))
    if not met:
        raise job.refuse(f"the slash at {job.values['at']:g} misses the cap edge", "use an at between 0.05 and 0.95")
    end = cap.point(min(met, key=lambda t: cap.point(t).imag))
    near = cap.point(0.02) if side == "front" else cap.point(len(cap) - 0.02)
    return Corner(side, Slash((above, below, hinge), moves=near, hinge=hinge), hinge, end)


def _reach(job: Job, piece: Piece, wanted: float) -> Turned:
    """Find the smallest movement that changes the cap's length by ``wanted`` mm; refuse with the range there is."""
    found = _search(job, piece, wanted)
    if found.movement is not None:
        return _turn(job, piece, found.movement)
    before = sewing.sewn_length(piece, "cap")
    raise job.refuse(
        f"the cap would have to change by {both_ways(wanted, signed=True)}, and turning its corners up to "
        f"{math.degrees(rules.caps.FURTHEST_TURN):.0f}° at {job.values['at']:g} with the hinge "
        f"{both_ways(job.values['hinge-down'])} down reaches "
        f"{at_least(found.least, signed=True)} to {at_most(found.most, signed=True)}, so a cap length of "
        f"{at_least(before + found.least)} to {at_most(before + found.most)}",
        ", or ".join(_other_ways(job, piece, wanted)),
    )


def _search(job: Job, piece: Piece, wanted: float, steps: int = 8) -> SearchResult:
    """Search for the movement that brings ``wanted`` mm, turns up to FURTHEST_TURN tried."""
    before = sewing.sewn_length(piece, "cap")
    share = max(job.values["share-back"], 1 - job.values["share-back"])
    radius = min(_corner(job, piece, side).radius for side in ("front", "back"))
    furthest = 2 * radius * math.sin(rules.caps.FURTHEST_TURN / 2) / share

    def gain(amount: float) -> float | None:
        try:
            return sewing.sewn_length(_turn(job, piece, amount).piece, "cap") - before
        except Refusal:
            return None

    return smallest_movement(gain, wanted, (-furthest, furthest), steps=steps)


def _other_ways(job: Job, piece: Piece, wanted: float) -> list[str]:
    """List what brings such a change, with figures: another slash, else another way to change the cap."""
    ways: list[str] = []
    for at, drop in ELSEWHERE:
        there = replace(job, values={**job.values, "at": at, "hinge-down": drop})
        try:
            found = _search(there, piece, wanted, steps=2)
        except Refusal:
            continue
        if found.movement is not None:
            hinge = f" hinge-down='{drop:g} mm'" if drop else ""
            ways.append(f"give at={at:g}{hinge}, which brings it by {both_ways(found.movement, signed=True)}")
            break
    if wanted > 0 and (up := sleeves.raise_needed(piece, wanted)) is not None:
        ways.append(f"raise the cap by {both_ways(up)} (cap-raise)")
    if wanted > 0 and (wider := sleeves.widening_needed(piece, wanted)) is not None:
        ways.append(f"widen the bicep by {both_ways(wider)} (bicep-widen)")
    length = sewing.sewn_length(piece, "cap") + wanted
    return [*ways, f"redraw the cap to {both_ways(length)} (cap-redraw)"]


def _armholes(job: Job) -> float:
    """Work out the armholes' length from the ease measured before; refuse where no armhole is known."""
    assert job.piece is not None
    measured = {one.name: one.value for one in job.measure(job.pieces, job.seams)[job.piece.title]}
    if "cap ease" not in measured:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"ease needs the armholes, and {why}", f"{todo}; or ask for cap-length")
    return measured["cap length"] - measured["cap ease"]


def _got(job: Job, pieces: tuple[Piece, ...], piece: Piece, before: float) -> tuple[Measurement, ...]:
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[piece.title]}
    length = measured["cap length"]
    got = [("cap length", length), ("cap length gained", length - before)]
    got += [("cap ease", measured["cap ease"])] if "cap ease" in measured else []
    got += [("cap height", sleeves.cap_height(piece)), ("bicep width", sleeves.bicep_width(piece))]
    return tuple(Measurement(name, value) for name, value in got)


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how the lower corners of a cap are turned."""
    way = (
        "inwards, over the rest, until its cut edge overlaps by" if facts.closes else "outwards until the cut opens by"
    )
    return slash_words(
        facts,
        "Take ease out of the cap" if facts.closes else "Add ease to the cap",
        f"Turn each shaded corner about its hinge {way} {facts.amounts}, straight across between the cut ends.",
        "What the paper moves is not what the edge gains: the corner moves mostly across the seam. So the edge is "
        "measured after it is trued, and that figure counts.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "amount": ("open the cap by {} in all", "close the cap by {} in all"),
        "ease": ("bring the cap to {} more than its armhole", "bring the cap to {} less than its armhole"),
        "cap-length": "bring the edge of the cap to {}",
        "at": "cutting down from {} of the way from the underarm point to the centre line",
        "hinge-down": "turning about a point {} down the underarm seam",
        "share-back": "with {} of it in the back",
        "redraw": "redrawing at most {} on each side of a cut",
    },
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "ease-spread",
            "Adds or takes out cap ease: both lower corners of the cap turn about the underarm, the edge trued.",
            (
                Parameter(
                    "amount",
                    "length",
                    "how far the paper moves: both openings together, straight across; negative overlaps",
                ),
                Parameter("ease", "length", "the cap ease to end with (needs the armholes)", end="cap ease"),
                Parameter(
                    "cap-length", "length", "the length of the cap edge to end with", minimum=1.0, end="cap length"
                ),
                Parameter(
                    "at",
                    "number",
                    "where the slash starts on the cap edge, along the half bicep from underarm (0) to centre line "
                    "(1); it runs straight down, then level to the hinge",
                    default=f"{rules.caps.SLASH_ALONG_BICEP:g}",
                    minimum=0.05,
                    maximum=0.98,
                ),
                Parameter(
                    "hinge-down",
                    "length",
                    "how far down the underarm seam the hinge lies",
                    default="0 mm",
                    minimum=0.0,
                    also=("drop",),
                ),
                Parameter(
                    "share-back",
                    "number",
                    "the back's share of the amount",
                    default="0.5",
                    minimum=0.0,
                    maximum=1.0,
                ),
                REDRAW,
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            one_of=(("amount", "ease", "cap-length"),),
            reaches=(
                Reach(
                    "cap ease",
                    "ease",
                    keeps=("cap height", "bicep width"),
                    manner="corners turned",
                    does="Turn the lower corners of the cap outwards about the underarm.",
                    does_less="Turn the lower corners of the cap inwards about the underarm, over the rest.",
                    share="share-back",
                    between=rules.caps.TURN_GAINS,
                ),
            ),
        )
    ]
