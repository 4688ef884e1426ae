"""armhole-adjust: the armhole lowered, raised or scooped, front and back together, the side seams kept equal."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from svgfit.plugin import (
    Annotation,
    Check,
    Curve,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    Refusal,
    StepFacts,
    Words,
    at_least,
    at_most,
    both_ways,
    hookimpl,
    refuse_crossing,
    replace,
    rules,
    sewing,
    smallest_movement,
    swap,
)

from .reshape import ReshapedArmhole, Underarm, lower_armhole, scoop_armhole, underarm_of


def run(job: Job) -> Outcome:
    """Redraw both pieces at the underarm alike, then measure and check."""
    row = _row(job)
    before = _underarms(job, row)
    by, amount = _amount(job, row, before)
    if abs(amount) < 1e-9:
        checks = _length_check(job, job.pieces, row)
        return Outcome(job.pieces, _got(job, job.pieces, row), checks=checks, warnings=("the armhole is already so",))
    done = _both(job, before, by, amount)
    pieces = job.pieces
    notes: list[Annotation] = []
    warnings: list[str] = []
    for one, was in zip(done, before, strict=True):
        piece = one.under.piece
        refuse_crossing(piece, "the redrawn armhole would cross another edge")
        pieces = swap(pieces, piece)
        ends = (was.up().start, one.under.up().start) if by == "lower" else one.deepest
        notes.append(Annotation("arrow", piece.title, Curve.polyline(list(ends)), length=abs(ends[1] - ends[0])))
        if one.wavers:
            warnings.append(f"{piece.title}: the new armhole changes the side it bends to more often than the old one")
    checks = (
        *_checks(before, [one.under for one in done], seams=by == "lower", unit=job.unit),
        *_length_check(job, pieces, row),
    )
    return Outcome(pieces, _got(job, pieces, row), annotations=tuple(notes), checks=checks, warnings=tuple(warnings))


# -- which armhole ---------------------------------------------------------------------------------------------------


def _row(job: Job) -> sewing.SewnRow:
    """Find the armhole asked for, else the one that a sleeve is sewn into, else that of the one front and back."""
    if "armhole" in job.values:
        return _whole(job, sewing.sewn_row(job.pieces, job.values["armhole"], job.seams))
    rows = [sewing.armhole_row(piece, job.pieces, job.seams) for piece in job.pieces if piece.kind == "sleeve"]
    found = {tuple((part.piece.name, part.edge) for part in row.parts): row for row in rows if row is not None}
    if len(found) > 1:
        names = " and ".join("+".join(f"{name}/{edge}" for name, edge in key) for key in found)
        raise job.refuse(f"there are several armholes: {names}", "say which with armhole=")
    if found:
        return _whole(job, next(iter(found.values())))
    sides = [[one for one in job.pieces if one.kind == kind and one.has_edge("armhole")] for kind in ("front", "back")]
    if [len(side) for side in sides] != [1, 1]:
        raise job.refuse(
            "it takes the front and the back of one armhole together, and they are not both here",
            "give both drawings, or say which edges with armhole=Front/armhole+Back/armhole",
        )
    return sewing.sewn_row(job.pieces, [(side[0].name, "armhole") for side in sides], job.seams)


def _whole(job: Job, row: sewing.SewnRow) -> sewing.SewnRow:
    """Return the row, if it has two ends on two pieces."""
    if len({part.piece.name for part in row.parts}) < 2:
        names = "+".join(f"{part.piece.name}/{part.edge}" for part in row.parts)
        raise job.refuse(
            f"{names} is only one side of an armhole", "give front and back: armhole=Front/armhole+Back/armhole"
        )
    return row


def _underarms(job: Job, row: sewing.SewnRow) -> tuple[Underarm, Underarm]:
    """Find both ends of the row: the armholes' lower ends, each with its side seam."""
    first, last = row.parts[0], row.parts[-1]
    ends = (first, not first.turned), (last, last.turned)
    one, two = (underarm_of(part.piece, part.edge, at_front=at_front) for part, at_front in ends)
    return one, two


# -- how much --------------------------------------------------------------------------------------------------------


def _both(job: Job, ends: tuple[Underarm, Underarm], by: str, amount: float) -> tuple[ReshapedArmhole, ReshapedArmhole]:
    change: Callable[[Underarm, float], ReshapedArmhole] = lower_armhole if by == "lower" else scoop_armhole
    try:
        return change(ends[0], amount), change(ends[1], amount)
    except Refusal as refusal:
        where, what, todo = refusal.parts
        raise job.refuse(f"{where.rpartition(': ')[2]}: {what}", todo) from None


def _amount(job: Job, row: sewing.SewnRow, ends: tuple[Underarm, Underarm]) -> tuple[str, float]:
    """Choose lowering or scooping, and how much: as asked, or the least that gives the length asked."""
    for by in ("lower", "scoop"):
        if by in job.values:
            if "by" in job.values:
                raise job.refuse(f"by goes with length, and {by} already says how", "leave by out")
            return by, job.values[by]
    by = job.values.get("by", "lower")
    if by not in ("lower", "scoop"):
        return by, 0.0
    wanted = job.values["length"] - row.length

    def gain(amount: float) -> float | None:
        try:
            done = _both(job, ends, by, amount)
        except Refusal:
            return None
        return sum(
            sewing.sewn_length(one.under.piece, one.under.edge) - sewing.sewn_length(was.piece, was.edge)
            for one, was in zip(done, ends, strict=True)
        )

    shorter = min(end.up().length() for end in ends)
    most = shorter / 2 if by == "lower" else shorter / 4
    found = smallest_movement(gain, wanted, (-most / 2, most), accuracy=2e-3)
    if found.movement is None:
        what = "lowering or raising" if by == "lower" else "scooping or filling out"
        raise job.refuse(
            f"the armhole is {both_ways(row.length)} long, and {what} reaches {at_least(row.length + found.least)} to "
            f"{at_most(row.length + found.most)}",
            "ask for a length between these, or do both: lower it first, then scoop",
        )
    return by, found.movement


# -- what came of it -------------------------------------------------------------------------------------------------


def _checks(before: tuple[Underarm, Underarm], after: list[Underarm], *, seams: bool, unit: str) -> tuple[Check, ...]:
    """Check that the side seams are as equal as they were and the halves still meet smoothly at the underarm."""
    names = " and ".join(f"{end.piece.title}/{end.seam}" for end in after)
    checks: list[Check] = []
    if seams:
        was, (a, b) = ([sewing.sewn_length(end.piece, end.seam) for end in ends] for ends in (before, after))
        apart = abs(a - b)
        kept = abs((a - b) - (was[0] - was[1])) <= 1e-6
        equal = "equally long" if apart < 0.005 else f"{both_ways(apart)} apart"
        status = "fail" if not kept else "pass" if apart <= rules.matching.CAREFUL else "warn"
        values = {"a": a, "b": b, "difference": a - b}
        checks.append(_with_origin(Check("side seams", status, f"{names} are {equal}", values)))
    was_angle, angle = (sum(end.corner() for end in ends) for ends in (before, after))
    off, grown = abs(angle - math.pi), abs(angle - math.pi) > abs(was_angle - math.pi) + 1e-3
    smooth = off <= rules.smoothness.AS_SEWN
    status = "pass" if smooth else "fail" if grown else "warn"
    how = "smoothly" if smooth else f"at {math.degrees(angle):.1f}° (180° is smooth)"
    message = f"the armhole's halves meet {how} at the underarm"
    checks.append(_with_origin(Check("armhole at the underarm", status, message, {"degrees": math.degrees(angle)})))
    return tuple(checks)


def _with_origin(check: Check) -> Check:
    """Say whence a mismatch comes: one that is only warned of was there before."""
    origins = {"warn": "before the run", "fail": "the run"}
    return replace(check, origin=origins[check.status]) if check.status in origins else check


def _length(pieces: tuple[Piece, ...], row: sewing.SewnRow) -> tuple[tuple[str, float], ...]:
    """Measure every part's length as sewn, in mm, by the piece's name."""
    found: list[tuple[str, float]] = []
    for part in row.parts:
        old = part.piece
        piece = next(one for one in pieces if (one.file, one.name, one.size) == (old.file, old.name, old.size))
        found.append((f"{piece.name} {part.edge} length", sewing.sewn_length(piece, part.edge)))
    return tuple(found)


def _length_check(job: Job, pieces: tuple[Piece, ...], row: sewing.SewnRow) -> tuple[Check, ...]:
    """Check that the length asked was met."""
    if "length" not in job.values:
        return ()
    asked, got = job.values["length"], sum(length for _, length in _length(pieces, row))
    status = "pass" if abs(asked - got) <= rules.matching.LEAST_COST else "fail"  # half a sixteenth: it can't be seen
    met = status == "pass"
    message = f"the armhole is {both_ways(got)} long, {'as asked' if met else f'and {both_ways(asked)} was asked'}"
    return (Check("end: armhole-adjust length", status, message, {"asked": asked, "got": got}),)


def _got(job: Job, pieces: tuple[Piece, ...], row: sewing.SewnRow) -> tuple[Measurement, ...]:
    parts = _length(pieces, row)
    got = [*parts, ("armhole length", sum(length for _, length in parts))]
    for title, measured in job.measure(pieces, job.seams).items():
        sleeve = next(piece for piece in pieces if piece.title == title)
        if sleeve.kind == "sleeve":
            got += [(f"{sleeve.name} cap ease", one.value) for one in measured if one.name == "cap ease"]
    return tuple(Measurement(name, value) for name, value in got)


# -- teaching words -------------------------------------------------------------------------------------------------


TRACE = "Lay the piece on new paper and draw round it."


def _words(facts: StepFacts) -> Words:
    """Say how an armhole is lowered, raised or hollowed, front and back alike."""
    amount = facts.moved[0] if facts.moved else facts.aside
    inwards = facts.lies[:1] != ("outside",)
    figure = facts.length(amount)
    first = f" First mark where the new curve begins: {facts.begins}." if facts.begins else ""
    if "scoop" in facts.row.asked or facts.row.asked.get("by") == "scoop":
        way = "into the piece" if inwards else "out of the piece"
        draw = f"{TRACE}{first} Where the lower curve is deepest, mark a point {figure} {way}, square to the edge."
        end = "through that point and into the old edge at both ends; the underarm point stays"
    else:
        way = "down" if inwards else "up"
        mark = "Then mark" if first else "Mark"
        draw = (
            f"{TRACE}{first} {mark} the new underarm point on the side seam, {figure} {way} along it; on front and "
            "back alike."
        )
        start = "where you marked its beginning" if first else "the upper armhole"
        end = (
            f"from {start} to the new point, running smoothly on from the old edge, and meet the side seam square there"
        )
    return Words(
        title="Adjust the armhole",
        draw=draw,
        cut="",
        move="",
        true=f"Redraw the armhole (heavy; dotted: as it was): {end}. The shoulder stays, and notches keep their length "
        "from it.",
        note="Front and back change alike, so that the side seams stay equal. Then walk the cap against the new "
        "armhole: its ease has changed.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "lower": ("lower the armhole by {}", "raise the armhole by {}"),
        "scoop": ("hollow the armhole by {}", "fill the armhole out by {}"),
        "length": "bring the whole armhole to {}",
        "by=lower": "by moving the underarm point",
        "by=scoop": "by hollowing the lower curve",
        "armhole": "on {}",
    },
    begins_on="armhole",
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "armhole-adjust",
            "Lowers, raises or scoops the armhole: front and back together, the side seams kept equal, the shoulders "
            "as they are.",
            (
                Parameter(
                    "lower",
                    "length",
                    "how far down the side seams the underarm point moves (measured along them); negative raises it "
                    "along their direction. The armhole is redrawn from about its lowest notch down (a little above "
                    "it, where it runs along the grain); notches keep their length from the shoulder",
                ),
                Parameter(
                    "scoop",
                    "length",
                    "how much the lower curve is hollowed into the piece, at its deepest; negative fills it out. "
                    "The underarm point and the upper armhole stay",
                ),
                Parameter("length", "length", "the length of the whole armhole to end with", minimum=1.0),
                Parameter(
                    "by",
                    "text",
                    "how the length is to be had: lower or scoop",
                    default_text="lower",
                    choices=("lower", "scoop"),
                ),
                Parameter(
                    "armhole",
                    "edges",
                    "the armhole's edges in sewing order, joined with +; only the two pieces at the underarm change",
                    default_text="those into which the seam map sews the sleeve, else front and back",
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            one_of=(("lower", "scoop", "length"),),
            answers=("armhole cuts in under the arm",),
            reaches=(
                Reach("armhole depth", change="lower", keeps=("shoulder",)),
                Reach(
                    "armhole length", "length", given=(("by", "lower"),), keeps=("shoulder",), manner="armhole lowered"
                ),
                Reach(
                    "armhole length",
                    "length",
                    given=(("by", "scoop"),),
                    keeps=("shoulder", "armhole depth"),
                    manner="armhole scooped",
                ),
            ),
        )
    ]
