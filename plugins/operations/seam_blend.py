"""seam-blend: edges trued across a seam as sewn: underarm, shoulder at neck and armhole, hem at the side seam."""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    Check,
    Instructions,
    Job,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    StepFacts,
    Words,
    both_ways,
    edgework,
    hookimpl,
    refuse_crossing,
    rules,
    sewing,
    swap,
)


def run(job: Job) -> Outcome:
    """Lay the pieces together as sewn at each place asked for, and draw one smooth line across the seam."""
    asked = _asked(job)
    wanted = [place for place in asked if abs(place.off()) > rules.smoothness.KINK]
    if not wanted:
        names = " and ".join(_titled(place) for place in asked)
        raise job.refuse(f"{names}: the edge runs on smoothly as sewn, within 1°", "nothing needs truing")
    pieces = job.pieces
    checks: list[Check] = []
    got: dict[str, float] = {}
    warnings: list[str] = []
    for place in wanted:
        now = next(one for one in edgework.seam_joints(pieces, job.seams) if _key(one) == _key(place))
        done = edgework.true_joint(now, job.values.get("redraw"))
        for piece in done.pieces:
            refuse_crossing(piece, "the trued edge would cross another edge")
            pieces = swap(pieces, piece)
        warnings += [f"{_owners(place)}: {text}" for text in done.unkept]
        after = next(one for one in edgework.seam_joints(pieces, job.seams) if _key(one) == _key(place))
        checks.append(_check(place, after))
        got |= _lengths(after)
        got[f"{_titled(place)}: off the seam"] = done.shorter
    return Outcome(
        pieces,
        tuple(Measurement(name, value) for name, value in got.items()),
        checks=tuple(checks),
        warnings=tuple(warnings),
    )


def _asked(job: Job) -> list[edgework.SeamJoint]:
    """Find the places asked for; refuse what is not there with those that are."""
    every = edgework.seam_joints(job.pieces, job.seams)
    if not every:
        why, todo = sewing.why_unsewn(job.pieces)
        raise job.refuse(f"no edge runs on across a seam here: {why}", todo)
    edge, seam = job.values["edge"].casefold(), job.values.get("seam", "").casefold()
    found = [
        one
        for one in every
        if edge in (one.edge.casefold(), one.one.edge.casefold(), one.other.edge.casefold())
        and seam in ("", one.seam.casefold(), one.one.seam.casefold(), one.other.seam.casefold())
    ]
    if not found:
        there = "; ".join(dict.fromkeys(f"edge='{one.edge}' seam='{one.seam}'" for one in every))
        across = f" across {job.values['seam']}" if seam else ""
        raise job.refuse(f"{job.values['edge']} does not run on{across} into another edge", f"there are: {there}")
    return found


def _key(place: edgework.SeamJoint) -> tuple[str, ...]:
    ends = (place.one, place.other)
    return tuple(text for end in ends for text in (end.piece.title, end.edge, end.seam, str(end.seam_at_front)))


def _owners(place: edgework.SeamJoint) -> str:
    return " and ".join(dict.fromkeys(end.piece.name for end in (place.one, place.other)))


def _titled(place: edgework.SeamJoint) -> str:
    return f"{_owners(place)} {place.name}"


def _lengths(place: edgework.SeamJoint) -> dict[str, float]:
    """Measure the edges and seams that changed, as sewn."""
    ends = (place.one, place.other)
    return {
        f"{end.piece.name} {name} length": sewing.sewn_length(end.piece, name)
        for name_of in ("edge", "seam")
        for end in ends
        for name in (getattr(end, name_of),)
    }


def _check(before: edgework.SeamJoint, after: edgework.SeamJoint) -> Check:
    """Check that the corners make half a turn now, and the seam's two rows differ as they did."""
    together, was = (math.degrees(place.off() + math.pi) for place in (after, before))
    apart = _apart(after) - _apart(before)
    smooth = abs(after.off()) <= rules.smoothness.KINK and abs(apart) < 1e-3
    values = {"together": together, "before": was, "seams apart": _apart(after)}
    message = f"together {together:.1f}°, before {was:.1f}°: {'smooth' if smooth else 'not smooth'}"
    kept = "the two seams differ as they did"
    if abs(apart) >= 1e-3:
        kept = f"the two seams differ by {both_ways(abs(apart))} more or less than they did"
    return Check(_titled(after), "pass" if smooth else "fail", f"{message}; {kept}", values)


def _apart(place: edgework.SeamJoint) -> float:
    return sewing.sewn_length(place.one.piece, place.one.seam) - sewing.sewn_length(place.other.piece, place.other.seam)


# -- teaching words -------------------------------------------------------------------------------------------------


def _words(facts: StepFacts) -> Words:
    """Say how an edge is trued over a seam that is pinned."""
    edge = facts.row.asked.get("edge", "edge")
    seam = facts.row.asked.get("seam", "seam")
    off = f", at most {facts.length(facts.aside)} from it" if facts.aside > 0.3 else ""
    return Words(
        title=f"True the {edge} across the {seam}",
        draw=f"Lay both pieces together along the {seam}, stitch line on stitch line, as they are sewn, and pin "
        f"them. The {edge} should run on from one to the other in one smooth line.",
        cut="",
        move="",
        true=f"Lay a curved ruler so that it runs into the {edge} on both sides, and draw one line across the {seam} "
        f"(heavy; dotted: as it was){off}. Cut both along it, or add paper where it lies outside.",
        note=f"Both sides of the {seam} change by the same amount. Then walk what is sewn to the {edge}: it has "
        "another length now.",
    )


INSTRUCTIONS = Instructions(
    asked={"edge": "true the {}", "seam": "across the {}", "redraw": "redrawing {} on each side"},
    words=_words,
    together=2,
)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    return [
        Operation(
            "seam-blend",
            "Trues an edge across a seam as sewn, both pieces together: the armhole at the underarm or the shoulder, "
            "the neckline at the shoulder, a hem at the side seam, a sleeve's cap and hem at its underarm seam.",
            (
                Parameter("edge", "text", "the edge that runs on: armhole, neckline, hem, cap"),
                Parameter(
                    "seam",
                    "text",
                    "the seam that it runs across: side seam, shoulder, underarm",
                    default_text="every seam that it runs across",
                ),
                Parameter(
                    "redraw",
                    "length",
                    "how far is redrawn on each side of the seam, the next notch at most",
                    default_text=f"{both_ways(rules.truing.SEAM_REACHES[0])}, and up to "
                    f"{both_ways(rules.truing.SEAM_REACHES[-1])} where the corner is sharp",
                    minimum=1.0,
                    also=("reach",),
                ),
            ),
            run,
            instructions=INSTRUCTIONS,
            one_of=(("edge",),),
            trues_seams=True,
        )
    ]
