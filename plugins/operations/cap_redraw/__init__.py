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
    Measurement,
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
    hookimpl,
    replace,
    rules,
    sewing,
    sleeves,
    swap,
)

from .redraw import (
    CapEdge,
    RedrawnCap,
    cap_gains,
    cap_reach,
    prepare_cap,
    redraw_cap,
    redraw_halves,
    shoulder_along,
    with_redrawn_cap,
)

SEEN = 25.4 / 32
"""A shoulder notch that moves by less (mm) is not told of: half of what anyone marks."""


class Goal(Struct, frozen=True, kw_only=True):
    """What is asked: an end, and how front and back are to share what it takes."""

    end: float
    start: float
    """The end as it is now."""
    words: str
    """What the end is called, for messages."""
    halves: Callable[[float], tuple[float, float]] | None = None
    """What front and back must gain up to the shoulder for any such end; None: as is least displacement."""
    back: float | None = None
    """How long the back's part is to be up to the shoulder notch, which moves there; None: it keeps its share."""
    drawn: float | None = None
    """The back's part of the ease as drawn, where it has one."""
    warnings: tuple[str, ...] = ()


def run(job: Job) -> Outcome:
    """Displace the edge to the length asked, then look how far it moved and what shape it has."""
    piece = job.piece
    assert piece is not None
    whole = _whole(job)
    cap = prepare_cap(piece, whole=whole)
    goal = _goal(job, piece)
    new = _redrawn(cap, goal)
    if new is None:
        raise _out_of_reach(job, cap, goal, whole=whole)
    off = sleeves.displacement(cap.curve, new.curve)
    _refuse_too_far(job, cap, goal, off, whole=whole)
    warnings, slash = [*goal.warnings], None
    if off.outwards > rules.caps.REDRAWN_SIMPLY and "outwards" not in job.values:
        slash = sleeves.hem_slash(piece, _gain(cap, new))
        warnings.append(f"{piece.title}: {_far(off.outwards, slash)}")
    warnings += [f"{piece.title}: {words}" for words in (*_hollowed(job, cap, new, off), *_misshapen(cap, new))]
    new, moved = _with_shoulder(cap, new, goal)
    after = with_redrawn_cap(cap, new)
    pieces = swap(job.pieces, after)
    notes = _notes(piece, cap, slash) if new.curve is not cap.curve else ()
    return Outcome(pieces, _got(job, pieces, piece, after, off, moved), annotations=notes, warnings=tuple(warnings))


def _hollowed(job: Job, cap: CapEdge, new: RedrawnCap, off: sleeves.Displacement) -> list[str]:
    """Say how far inwards the edge moves, where that is far, and how much width it costs."""
    limit, lost = rules.caps.REDRAWN_INWARDS, sleeves.width_lost(cap.curve, new.curve)
    if "inwards" in job.values or (off.inwards <= limit and lost <= 2 * limit):
        return []
    width = f", and the cap is {both_ways(lost)} narrower half way up" if lost > limit else ""
    return [f"the cap's edge moves {both_ways(off.inwards)} inwards, more than {both_ways(limit)}{width}"]


def _misshapen(cap: CapEdge, new: RedrawnCap) -> list[str]:
    """Say what is odd about the new edge's shape, whatever was asked."""
    faults: list[str] = []
    if lean := sleeves.overhang(cap.curve, new.curve):
        faults.append(
            f"the redrawn cap overhangs: above a neck its side leans outwards by {math.degrees(lean):.0f}°, and no "
            "armhole takes such a cap; ask for less, or change the cap height (cap-raise) or the bicep (bicep-widen)"
        )
    faults += [
        f"the redrawn cap bends back by {math.degrees(hollow.turn):.0f}° {both_ways(hollow.at)} along it, a hollow or "
        "hump that it did not have"
        for hollow in sleeves.new_hollows(cap.curve, new.curve)
    ]
    if (times := sleeves.times_tighter(cap.curve, new.curve)) > rules.caps.TIGHTER_REPORTED:
        faults.append(f"the redrawn cap bends {times:.1f} times as tightly as its sharpest bend before")
    return faults


def _whole(job: Job) -> bool:
    return job.values["within"] == "whole"


def _goal(job: Job, piece: Piece) -> Goal:
    front, back = (half.length() for half in sleeves.cap_halves(piece))
    measured = {one.name: one.value for one in job.measure(job.pieces, job.seams)[piece.title]}
    ease, sides = measured.get("cap ease"), None
    if ease is not None and "cap ease front" in measured and "cap ease back" in measured:
        sides = measured["cap ease front"], measured["cap ease back"]
        sides = sides if abs(sum(sides) - ease) < 0.01 else None
    if "ease" in job.values:
        if ease is None:
            why, todo = sewing.why_unsewn(job.pieces)
            raise job.refuse(f"ease needs the armholes, and {why}", f"{todo}; or ask for cap-length")
        end, start, words = job.values["ease"], ease, "cap ease"
    else:
        start, words = front + back, "cap length"
        end = job.values["cap-length"] if "cap-length" in job.values else start + job.values["amount"]
    parts, warnings = _parts(job, piece, sides)
    drawn = sides[1] / sum(sides) if sides is not None and _has_parts(sides) else None
    goal = Goal(end=end, start=start, words=words, drawn=drawn, warnings=warnings)
    share = job.values.get("share-back")
    if share is not None and sides is not None and "ease" in job.values:
        own = sides
        return replace(goal, halves=lambda to: (to * (1 - share) - own[0], to * share - own[1]))
    if share is not None:
        return replace(goal, halves=lambda to: ((to - start) * (1 - share), (to - start) * share))
    to_back = parts[1] / sum(parts)
    if piece.find_landmark("shoulder notch") is not None:
        return replace(goal, back=back + (end - start) * to_back)
    if drawn is not None:  # no notch that could move, so the shape keeps the parts
        return replace(goal, halves=lambda to: ((to - start) * (1 - to_back), (to - start) * to_back))
    return goal


def _parts(job: Job, piece: Piece, sides: tuple[float, float] | None) -> tuple[tuple[float, float], tuple[str, ...]]:
    """Return the parts in which front and back get the change: as the ease was drawn, else half and half.

    With what is to be told of that.
    """
    half = (1.0, 1.0)
    if "share-back" in job.values and (sides is not None or "ease" not in job.values):
        return half, ()
    if sides is None:
        said = "which part of the armhole is the front's is not known, so the change is shared, not the ease"
        return half, (f"{piece.title}: {said}",) if "ease" in job.values else ()
    if _has_parts(sides):
        return sides, ()
    if abs(sides[0] - sides[1]) <= rules.ease.SHARE_SLACK:
        return half, ()
    front, back = (both_ways(side) for side in sides)
    said = f"an ease of {front} in front and {back} in the back gives no parts to keep: each gets half of the change"
    return half, (f"{piece.title}: {said}",)


def _has_parts(sides: tuple[float, float]) -> bool:
    """Tell whether front and back each have a part of an ease that is large enough to be parted."""
    return min(sides) >= 0 and sum(sides) >= rules.ease.LEAST_PARTED


def _redrawn(cap: CapEdge, goal: Goal) -> RedrawnCap | None:
    if goal.halves is None:
        return redraw_cap(cap, goal.end - goal.start)
    return redraw_halves(cap, *_half_gains(cap, goal, goal.end))


def _half_gains(cap: CapEdge, goal: Goal, end: float) -> tuple[float, float]:
    """Return what the two halves must gain up to the cap top for an end."""
    assert goal.halves is not None
    return cap_gains(cap, sleeves.shoulder_point(cap.piece), *goal.halves(end))


def _with_shoulder(cap: CapEdge, new: RedrawnCap, goal: Goal) -> tuple[RedrawnCap, float]:
    """Put the shoulder notch where the ease is parted as drawn; with how far towards the front that moves it, mm."""
    if goal.back is None or new.curve is cap.curve:
        return new, 0.0
    stands = shoulder_along(cap, new, sleeves.shoulder_point(cap.piece))
    along = sum(new.halves) - goal.back
    return replace(new, shoulder=along), stands - along


def _gain(cap: CapEdge, new: RedrawnCap) -> float:
    return sum(new.halves) - sum(cap.halves)


def _far(out: float, slash: sleeves.HemSlash | None) -> str:
    text = f"the cap's edge moves {both_ways(out)} outwards, more than {both_ways(rules.caps.REDRAWN_SIMPLY)}"
    if slash is None:
        return text
    return (
        f"{text}; a slash down the centre to a hinge at the hem, opened {both_ways(slash.opening)} at the cap, would "
        f"bring the same length and cost the bicep {both_ways(slash.bicep)} (shown beside it)"
    )


def _refuse_too_far(job: Job, cap: CapEdge, goal: Goal, off: sleeves.Displacement, *, whole: bool) -> None:
    """Refuse an edge that moves further outwards or inwards than is allowed, and list what else would do."""
    for word, far, usual in (
        ("outwards", off.outwards, rules.caps.REDRAWN_AT_MOST),
        ("inwards", off.inwards, rules.caps.REDRAWN_INWARDS_AT_MOST),
    ):
        allowed = job.values.get(word, usual if "ease" in job.values else math.inf)
        if far <= allowed + 1e-6:
            continue
        ways = _fuller_otherwise(cap, goal) if word == "outwards" else ["lower the cap (cap-raise)"]
        ways += [] if word == "outwards" else ["narrow the bicep (bicep-widen)"]
        if not whole and (less := _by_whole(cap, goal, word)) is not None and less < far - 0.5:
            ways.append(f"redraw the whole cap, {both_ways(less)} {word} (within=whole)")
        raise job.refuse(
            f"a {goal.words} of {both_ways(goal.end)} takes the cap's edge {both_ways(far)} {word}, more than "
            f"{both_ways(allowed)}",
            ", ".join([*ways, f"or allow it with {word}"]),
        )


def _by_whole(cap: CapEdge, goal: Goal, word: str) -> float | None:
    """Return how far the whole cap, redrawn, would move that way; None where it can't be had."""
    every = prepare_cap(cap.piece, whole=True)
    other = _redrawn(every, goal)
    if other is None:
        return None
    off = sleeves.displacement(every.curve, other.curve)
    return off.outwards if word == "outwards" else off.inwards


def _fuller_otherwise(cap: CapEdge, goal: Goal) -> list[str]:
    """List what else would make the edge that much longer, each with what it costs."""
    piece, wanted = cap.piece, goal.end - goal.start
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
    return ways


def _out_of_reach(job: Job, cap: CapEdge, goal: Goal, *, whole: bool) -> Exception:
    """Make the refusal of an end that redrawing does not reach, with the range that it does, and the share in it."""
    part = "the whole cap" if whole else "the cap between its notches"
    found = _range(cap, goal)
    other = "" if whole else "redraw the whole cap (within=whole), "
    if found is not None and found[0] <= goal.end <= found[1]:
        return job.refuse(
            f"a {goal.words} of {both_ways(goal.end)} would make the cap's edge cross another edge",
            f"ask for less change, {other}or change the cap height (cap-raise) or the bicep (bicep-widen)",
        )
    share = "" if goal.halves is None or "share-back" not in job.values else f"{job.values['share-back']:g}"
    by = f" with {share} of it in the back" if share else ""
    reaches = (
        f"redrawing {part}{by} reaches no {goal.words} near what it is"
        if found is None
        else f"redrawing {part}{by} reaches {at_least(found[0])} to {at_most(found[1])}"
    )
    ask = "" if found is None else "ask for more, " if goal.end < found[0] else "ask for less, "
    as_drawn = "" if goal.drawn is None else f" ({goal.drawn:.2f} of it in the back)"
    leave = f"leave share-back out and keep the parts as drawn{as_drawn}, " if share else ""
    return job.refuse(
        f"a {goal.words} of {both_ways(goal.end)} is out of reach: {reaches}",
        f"{ask}{leave}{other}or change the cap height (cap-raise) or the bicep (bicep-widen)",
    )


def _range(cap: CapEdge, goal: Goal) -> tuple[float, float] | None:
    """Find the least and most of the end that redrawing reaches; None where the halves reach none together."""
    if goal.halves is None:
        least, most = cap_reach(cap)
        return goal.start + least, goal.start + most
    low, high = -math.inf, math.inf
    now, then = _half_gains(cap, goal, goal.start), _half_gains(cap, goal, goal.start + 1)
    for side in (0, 1):
        least, most = cap_reach(cap, side)
        by = then[side] - now[side]  # the halves' gains are linear in the end
        if abs(by) < 1e-9:
            if not least - 1e-6 <= now[side] <= most + 1e-6:
                return None
            continue
        ends = sorted(goal.start + (limit - now[side]) / by for limit in (least, most))
        low, high = max(low, ends[0]), min(high, ends[1])
    return (low, high) if low <= high else None


def _notes(piece: Piece, cap: CapEdge, slash: sleeves.HemSlash | None) -> tuple[Annotation, ...]:
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


def _got(
    job: Job,
    pieces: tuple[Piece, ...],
    before: Piece,
    after: Piece,
    off: sleeves.Displacement,
    moved: float,
) -> tuple[Measurement, ...]:
    measured = {one.name: one.value for one in job.measure(pieces, job.seams)[after.title]}
    length = measured["cap length"]
    got = [("cap length", length), ("cap length gained", length - sewing.sewn_length(before, "cap"))]
    got += [("cap ease", measured["cap ease"])] if "cap ease" in measured else []
    got += [("shoulder notch towards the front", moved)] if abs(moved) > SEEN else []
    got += [("cap height", sleeves.cap_height(after)), ("bicep width", sleeves.bicep_width(after))]
    got += [("furthest outwards", off.outwards), ("furthest inwards", off.inwards)]
    return tuple(Measurement(name, value) for name, value in got)


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
        title="Redraw the cap",
        draw=f"Lay the sleeve on new paper, pin it at both underarm points and draw round it. Mark the cap top: cap "
        f"height and bicep width stay. The new edge is to be {longer} than this one.",
        cut="",
        move="",
        true=f"Draw the new edge (heavy) {where}, {way} the old (dotted): {facts.length(facts.aside)} from it where "
        f"they lie farthest apart, running smoothly into it at both ends.{below} Stand a tape measure on its edge "
        f"along the whole cap: it must show {facts.got('cap length')}.",
        note="Only the edge changes here, so what the tape shows is what counts, not how far the pencil moved.",
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
        "inwards": "at most {} inwards",
    },
    tells_farthest=True,
    words=_words,
)


def _parameters() -> tuple[Parameter, ...]:
    """List what can be asked, the limits of the rules written into the defaults."""
    caps = rules.caps
    limits = (caps.REDRAWN_SIMPLY, caps.REDRAWN_AT_MOST, caps.REDRAWN_INWARDS, caps.REDRAWN_INWARDS_AT_MOST)
    simply, furthest, inwards, hollowest = (both_ways(limit) for limit in limits)
    return (
        Parameter("ease", "length", "the cap ease to end with (needs the armholes)", end="cap ease"),
        Parameter("cap-length", "length", "the length of the cap edge to end with", minimum=1.0, end="cap length"),
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
            "the back's part: of the ease to end with, or of the change where amount or cap-length is given; "
            "the edge is then shaped to it",
            default_text="the ease stays shared as drawn, the shoulder notch moving along the edge",
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
        Parameter(
            "inwards",
            "length",
            "how far the edge may move inwards",
            default_text=f"for ease up to {inwards}, to {hollowest} with a warning, beyond refused; for amount "
            f"and cap-length any, with a warning beyond {inwards}",
            minimum=0.0,
        ),
    )


REACHES = tuple(
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
)
"""The figures that it brings about, between the notches first."""


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "cap-redraw",
            "Draws the cap's edge fuller or flatter to the length asked, as near to the drawn one as can be; underarm "
            "points, cap height and bicep width stay, and so do notches' lengths from the underarm.",
            _parameters(),
            run,
            instructions=INSTRUCTIONS,
            kinds=("sleeve",),
            one_of=(("ease", "cap-length", "amount"),),
            reaches=REACHES,
        )
    ]
