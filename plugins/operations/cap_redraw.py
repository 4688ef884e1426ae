"""cap-redraw: the cap edge drawn fuller or flatter to the length asked; underarm points, height and width stay."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from msgspec import Struct

from svgfit.plugin import (
    Annotation,
    Curve,
    Instructions,
    Job,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Reach,
    StepFacts,
    Words,
    at_least,
    at_most,
    both_ways,
    format_length,
    hookimpl,
    rules,
    sewing,
    sleeves,
    swap,
)


class Goal(Struct, frozen=True):
    """What is asked: an end, and what front and back must gain up to the shoulder for any such end."""

    end: float
    start: float
    """The end as it is now."""
    words: str
    """What the end is called, for messages."""
    gains: Callable[[float], tuple[float, float]]
    warnings: tuple[str, ...] = ()


def run(job: Job) -> Outcome:
    """Bend the edge to the lengths asked, then look how far it moved."""
    piece = job.piece
    assert piece is not None
    whole = _whole(job)
    cap = sleeves.prepare_cap(piece, whole=whole)
    goal = _goal(job, piece)
    new = _recurved(cap, goal, goal.end)
    if new is None:
        raise _out_of_reach(job, cap, goal, whole=whole)
    out = sleeves.furthest_outwards(cap, new.curve)
    allowed = job.values.get("outwards", rules.caps.REDRAWN_AT_MOST if "ease" in job.values else None)
    if allowed is not None and out > allowed + 1e-6:
        raise _choices(job, cap, goal, out, allowed, whole=whole)
    warnings, slash = [*goal.warnings], None
    if out > rules.caps.REDRAWN_SIMPLY and "outwards" not in job.values:
        slash = sleeves.hem_slash(piece, _gain(cap, new))
        warnings.append(f"{piece.title}: {_far(out, slash)}")
    warnings += [f"{piece.title}: {words}" for words in _misshapen(cap, new)]
    after = sleeves.with_redrawn_cap(cap, new)
    pieces = swap(job.pieces, after)
    notes = _notes(piece, cap, slash) if new.curve is not cap.curve else ()
    return Outcome(pieces, _got(job, pieces, piece, after, out), annotations=notes, warnings=tuple(warnings))


def _misshapen(cap: sleeves.CapEdge, new: sleeves.RedrawnCap) -> list[str]:
    """Say what is odd about the new edge's shape, whatever was asked."""
    faults: list[str] = []
    if lean := sleeves.overhang(cap, new):
        faults.append(
            f"the redrawn cap overhangs: above a neck its side leans outwards by {math.degrees(lean):.0f}°, and no "
            "armhole takes such a cap; ask for less, or change the cap height (cap-raise) or the bicep (bicep-widen)"
        )
    if (more := new.curve.inflections() - cap.curve.inflections()) > 0:
        faults.append(f"the redrawn cap changes the side it bends to {more} times more than before")
    if (times := sleeves.times_tighter(cap, new.curve)) > rules.caps.TIGHTER_REPORTED:
        faults.append(f"the redrawn cap bends {times:.1f} times as tightly as its sharpest bend before")
    return faults


def _whole(job: Job) -> bool:
    within = job.values["within"].casefold()
    if within not in ("notches", "whole"):
        raise job.refuse(f"within is {within!r}", "give notches (only the cap above the notches) or whole")
    return within == "whole"


def _goal(job: Job, piece: Piece) -> Goal:
    share = job.values["share-back"]
    front, back = (half.length() for half in sleeves.cap_halves(piece))
    length = front + back
    if "ease" not in job.values:
        end = job.values["cap-length"] if "cap-length" in job.values else length + job.values["amount"]
        return Goal(end, length, "cap length", lambda to: ((to - length) * (1 - share), (to - length) * share))
    measured = {one.name: one.value for one in job.measure(job.pieces, job.seams)[piece.title]}
    if "cap ease" not in measured:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"ease needs the armholes, and {why}", f"{todo}; or ask for cap-length")
    ease, words = measured["cap ease"], "cap ease"
    sides = measured.get("cap ease front"), measured.get("cap ease back")
    if sides[0] is not None and sides[1] is not None and abs(sides[0] + sides[1] - ease) < 0.01:
        own_front, own_back = sides[0], sides[1]
        return Goal(job.values["ease"], ease, words, lambda to: (to * (1 - share) - own_front, to * share - own_back))
    shared = (
        f"{piece.title}: which part of the armhole is the front's is not known, so the change is shared, not the ease"
    )
    return Goal(job.values["ease"], ease, words, lambda to: ((to - ease) * (1 - share), (to - ease) * share), (shared,))


def _recurved(cap: sleeves.CapEdge, goal: Goal, end: float) -> sleeves.RedrawnCap | None:
    return sleeves.redraw_cap(cap, *sleeves.cap_gains(cap, sleeves.shoulder_point(cap.piece), *goal.gains(end)))


def _gain(cap: sleeves.CapEdge, new: sleeves.RedrawnCap) -> float:
    return sum(new.halves) - sum(cap.halves)


def _far(out: float, slash: sleeves.HemSlash | None) -> str:
    text = f"the cap's edge moves {both_ways(out)} outwards, more than {both_ways(rules.caps.REDRAWN_SIMPLY)}"
    if slash is None:
        return text
    return (
        f"{text}; a slash down the centre to a hinge at the hem, opened {both_ways(slash.opening)} at the cap, would "
        f"bring the same length and cost the bicep {both_ways(slash.bicep)} (shown beside it)"
    )


def _choices(job: Job, cap: sleeves.CapEdge, goal: Goal, out: float, allowed: float, *, whole: bool) -> Exception:
    """Make the refusal that lists what else would do, each with what it costs."""
    piece, wanted = cap.piece, sum(goal.gains(goal.end))
    ways: list[str] = []
    if (up := sleeves.raise_needed(piece, wanted)) is not None:
        ways.append(f"raise the cap by {both_ways(up)} (cap-raise)")
    if (wider := sleeves.widening_needed(piece, wanted)) is not None:
        ways.append(f"widen the bicep by {both_ways(wider)} (bicep-widen)")
    if (slash := sleeves.hem_slash(piece, wanted)) is not None:
        ways.append(
            f"slash down the centre to a hinge at the hem, opened {both_ways(slash.opening)}, "
            f"which costs the bicep {both_ways(slash.bicep)} (bicep-widen how=hem)"
        )
    if not whole:
        every = sleeves.prepare_cap(piece, whole=True)
        other = _recurved(every, goal, goal.end)
        further = sleeves.furthest_outwards(every, other.curve) if other is not None else out
        if further < out - 0.5:
            ways.append(f"redraw the whole cap, {both_ways(further)} outwards (within=whole)")
    ways.append("or allow it with outwards")
    return job.refuse(
        f"a {goal.words} of {both_ways(goal.end)} takes the cap's edge {both_ways(out)} outwards, more than "
        f"{both_ways(allowed)}",
        ", ".join(ways),
    )


def _out_of_reach(job: Job, cap: sleeves.CapEdge, goal: Goal, *, whole: bool) -> Exception:
    shoulder = sleeves.shoulder_point(cap.piece)
    found = sleeves.cap_range(cap, lambda end: sleeves.cap_gains(cap, shoulder, *goal.gains(end)), goal.start, goal.end)
    part = "the whole cap" if whole else "the cap between its notches"
    reaches = (
        f"redrawing {part} with {job.values['share-back']:g} of it in the back reaches no {goal.words} near what it is"
        if found is None
        else f"redrawing {part} reaches {at_least(found[0])} to {at_most(found[1])}"
    )
    other = "" if whole else "redraw the whole cap (within=whole), "
    ask = "one nearer to what it is" if found is None else "more" if goal.end < found[0] else "less"
    return job.refuse(
        f"a {goal.words} of {both_ways(goal.end)} is out of reach: {reaches}",
        f"ask for {ask}, {other}or change the cap height (cap-raise) or the bicep (bicep-widen)",
    )


def _notes(piece: Piece, cap: sleeves.CapEdge, slash: sleeves.HemSlash | None) -> tuple[Annotation, ...]:
    """Return the edge as it was; beside it the slash that would do instead."""
    old = Annotation("old edge", piece.title, cap.curve.subcurve(cap.start, cap.end))
    if slash is None:
        return (old,)
    front, back = slash.sides()
    label = "or else: slash to the hem, opened by"
    return (
        old,
        Annotation("slash", piece.title, Curve.polyline([slash.top, slash.hinge]), label=label, length=slash.opening),
        Annotation("hinge", piece.title, point=slash.hinge),
        Annotation("construction", piece.title, Curve.polyline([front, slash.hinge, back])),
    )


def _got(job: Job, pieces: tuple[Piece, ...], before: Piece, after: Piece, out: float) -> tuple[tuple[str, float], ...]:
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[after.title]}
    length = measured["cap length"]
    got = [("cap length", length), ("cap length gained", length - sewing.sewn_length(before, "cap"))]
    got += [("cap ease", measured["cap ease"])] if "cap ease" in measured else []
    return (
        *got,
        ("cap height", sleeves.cap_height(after)),
        ("bicep width", sleeves.bicep_width(after)),
        ("furthest outwards", out),
    )


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how a cap is drawn fuller or flatter between fixed points."""
    got = facts.row.got
    gained = got.get("cap length gained", 0.0)
    way = facts.lies[0] if len(facts.lies) == 1 else "beside"
    whole = facts.row.asked.get("within", "notches") == "whole"
    where = "from underarm point to underarm point" if whole else "from the front notch to the lower back notch"
    below = "" if whole else " Below the notches the old edge stays."
    longer = f"{facts.length(gained)} {'longer' if gained >= 0 else 'shorter'}"
    return Words(
        "Redraw the cap",
        f"Lay the sleeve on new paper, pin it at both underarm points and draw round it. Mark the cap top: cap height "
        f"and bicep width stay. The new edge is to be {longer} than this one.",
        "",
        "",
        f"Draw the new edge (heavy) {where}, {way} the old (dotted): {facts.length(facts.aside)} from it where "
        f"they lie farthest apart, running smoothly into it at both ends.{below} Stand a tape measure on its edge "
        f"along the whole cap: it must show {facts.got('cap length')}.",
        "Only the edge changes here, so what the tape shows is what counts, not how far the pencil moved.",
    )


INSTRUCTIONS = Instructions(
    asked={
        "ease": ("draw the cap {} longer than its armhole", "draw the cap {} shorter than its armhole"),
        "cap-length": "draw the edge of the cap {} long",
        "amount": ("draw the edge of the cap {} longer", "draw the edge of the cap {} shorter"),
        "within=notches": "between the notches only",
        "within=whole": "over its whole length",
        "share-back": "with {} of it in the back",
        "outwards": "at most {} outwards",
    },
    tells_farthest=True,
    words=_words,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    limits = (rules.caps.REDRAWN_SIMPLY, rules.caps.REDRAWN_AT_MOST)
    simply, furthest = (format_length(limit, "in", decimal=False) for limit in limits)
    return [
        Operation(
            "cap-redraw",
            "Draws the cap's edge fuller or flatter to the length asked, with the least change of curvature; underarm "
            "points, cap height and bicep width stay, and so do notches' lengths from the underarm.",
            (
                Parameter("ease", "length", "the cap ease to end with (needs the armholes)", end="cap ease"),
                Parameter(
                    "cap-length", "length", "the length of the cap edge to end with", minimum=1.0, end="cap length"
                ),
                Parameter("amount", "length", "how much longer the cap edge gets; negative shortens"),
                Parameter(
                    "within",
                    "text",
                    "notches: only between the front's notch and the back's lower notch, the cap below them untouched; "
                    "whole: the whole cap edge",
                    default="notches",
                    choices=("notches", "whole"),
                ),
                Parameter(
                    "share-back",
                    "number",
                    "the back's part: of the ease to end with, or of the change where amount or cap-length is given",
                    default="0.5",
                    minimum=0.0,
                    maximum=1.0,
                ),
                Parameter(
                    "outwards",
                    "length",
                    "how far the edge may move outwards",
                    default_text=f"for ease up to {simply}, to {furthest} with a warning, beyond refused with the "
                    f"choices; for amount and cap-length any, with a warning beyond {simply}",
                    minimum=0.0,
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            one_of=(("ease", "cap-length", "amount"),),
            reaches=tuple(
                Reach(
                    figure,
                    parameter,
                    given=(("within", within),),
                    keeps=("cap height", "bicep width"),
                    manner=manner,
                    rank=rank,
                    share="share-back",
                    limit="outwards",
                )
                for figure, parameter in (("cap ease", "ease"), ("cap length", "cap-length"))
                for rank, (within, manner) in enumerate((("notches", "redrawn"), ("whole", "whole cap redrawn")))
            ),
        )
    ]
