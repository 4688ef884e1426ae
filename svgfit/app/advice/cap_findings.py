"""The findings at the cap, in a fitter's order: its height, its ease, how it is pitched, its notches. Lengths in mm."""

from __future__ import annotations

import math

from svgfit.app.advice.body_findings import LEFT, make_way
from svgfit.app.advice.context import (
    ARMHOLE,
    SMALL,
    AdviceContext,
    State,
    away,
    grid,
    redraw,
    target,
    try_steps,
    written,
)
from svgfit.app.advice.ease_options import other_ways
from svgfit.app.targets import SHARE
from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.notch_moves import notch_mismatch
from svgfit.model.advice import CANT, DO, OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.body import Range
from svgfit.model.length import format_length, parse_length
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Figure
from svgfit.plugin.abilities import notch_matcher
from svgfit.rules.armholes import LOWERED_REPORTED
from svgfit.rules.body_measures import LENGTH, TIP
from svgfit.rules.ease import CAP_HEIGHT, GATHERED, LEAST_SHARED_OUT, SHARE_BACK, SHARE_CLOSE_ENOUGH, TOO_SHORT
from svgfit.rules.matching import LEAST_COST

FURTHEST = "as far as it goes"
_LOOK = (
    "How the sleeve hangs can't be measured with a tape. Look at the test garment from the side, the arm hanging: "
    "where the arm presses against the front of the sleeve and folds gather behind it, the arm hangs further forward "
    "than the sleeve; then move the shoulder notch to the front on the cap, a little at a time. Where the arm presses "
    "against the back, the other way."
)


# -- cap height ------------------------------------------------------------------------------------------------------


def cap_height(context: AdviceContext, state: State) -> Finding:
    """Judge the cap height against shoulder tip to bicep line, from where the seam sits, with a little over."""
    topic, body, pattern = Figure.CAP_HEIGHT, context.person.measures.get(TIP), state.figures[Figure.CAP_HEIGHT]
    if body is None:
        says = "Shoulder tip to bicep line is not on the sheet: the cap is left as high as it is. Take it, write it in."
        return Finding(topic, UNKNOWN, (says,), pattern)
    sits = state.sits
    over = context.person.height_ease or CAP_HEIGHT
    wanted = (over[0] - sits, over[1] - sits)
    off = away(context, pattern - body, wanted)
    from_seam = f", less {context.spell(sits)} because the seam sits beyond it" if sits >= LEAST_COST else ""
    from_seam = f", and {context.spell(-sits)} because the seam sits inside it" if sits <= -LEAST_COST else from_seam
    says = (
        f"From the shoulder tip to the bicep line the arm measures {context.spell(body)}{from_seam}; with "
        f"{context.spell_range(over)} over, the cap should be "
        f"{context.spell_range((body + wanted[0], body + wanted[1]))} high. It is {context.spell(pattern)}.",
        *_in_a_lowered_armhole(context, state),
    )
    if off == 0.0:
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0)
    end, text = target(context, pattern, (body + wanted[0], body + wanted[1]))
    if end <= 0:
        why = "That leaves no cap at all: check where the seam sits, and the measure."
        return Finding(topic, CANT, (*says, why), pattern, body, wanted, off)
    arm = context.person.measures.get(LENGTH)
    if arm is not None and end >= arm:
        why = (
            f"No cap is as high as its arm is long, {context.spell(arm)}: check where the seam sits, and the measures."
        )
        return Finding(topic, CANT, (*says, why), pattern, body, wanted, off)
    verb, name = ("Raise", "raised") if off < 0 else ("Lower", "lowered")
    by = context.way(topic)
    how = f": {by.reach.does}" if by is not None and by.reach.does else "."
    does = f"{verb} the cap by {context.spell(abs(end - pattern))}, to {text}{how}"
    steps = (context.step(topic, text),)
    way = make_way(context, state, name, does, steps, (Goal("cap height", end),), aims=("cap height",))
    if way.reason and by is not None and not context.brief:
        furthest = _as_far_as_it_goes(context, state, pattern, end)
        return Finding(topic, OPEN, says, pattern, body, wanted, off, (way, *furthest))
    low = "Too low a cap pulls up the sleeve and drags from the underarm; too high a one breaks into a fold at the top."
    return Finding(topic, DO, (*says, low), pattern, body, wanted, off, (way,))


def _in_a_lowered_armhole(context: AdviceContext, state: State) -> tuple[str, ...]:
    """Say what a cap does in an armhole that the plan has lowered by much: the height still goes by the arm."""
    deeper = context.way("armhole depth")
    asked = ("", "") if deeper is None else (deeper.operation.name, deeper.reach.change)
    lowered = sum(
        parse_length(text) for one in state.steps for name, text in one.asked if (one.do, name) == asked and text
    )
    if lowered <= LOWERED_REPORTED:
        return ()
    return (
        f"The armhole was lowered by {context.spell(lowered)}, the arm was not: the height still goes by the arm. So "
        "low a cap in so deep an armhole lets the arm lift, and what its edge lacks has to come from ease and bicep.",
    )


def _as_far_as_it_goes(context: AdviceContext, state: State, pattern: float, end: float) -> tuple[Way, ...]:
    """Return the height nearest to ``end`` that the cap can be brought to; () where it can't be moved at all."""
    one = grid(context)
    works, fails = round(pattern / one), round(end / one)
    while abs(works - fails) > 1:
        middle = (works + fails) // 2
        tried = context.step("cap height", written(context, middle * one))
        refused = tried is None or try_steps(context, state.pieces, (tried,)).reason
        works, fails = (works, middle) if refused else (middle, fails)
    height = works * one
    if abs(height - pattern) < one:
        return ()
    text, verb = written(context, height), "Raise" if height > pattern else "Lower"
    does = f"{verb} the cap as far as it goes, to {text}: {context.spell(abs(end - height))} short of what is wanted."
    steps = (context.step("cap height", text),)
    return (make_way(context, state, FURTHEST, does, steps, (Goal("cap height", height),), aims=("cap height",)),)


# -- cap ease --------------------------------------------------------------------------------------------------------


def cap_ease(context: AdviceContext, state: State) -> Finding:
    """Judge the ease, once the height is right: what the style takes, and what to do where it is more or less."""
    topic, pattern = Figure.CAP_EASE, state.figures.get(Figure.CAP_EASE)
    wanted = context.person.cap_ease or context.style.cap
    if pattern is None:
        says = f"The cap's ease is not known: {context.missing or 'the armhole is not measured'}."
        return Finding(topic, UNKNOWN, (says,), None, None, wanted)
    armhole = state.figures[ARMHOLE]
    who = "the sheet" if context.person.cap_ease else context.style.name
    says = (
        f"The cap is {context.spell(abs(pattern))} {'longer' if pattern >= 0 else 'shorter'} than the armhole "
        f"({100 * pattern / armhole:.1f} % of it); {who} wants {context.spell_range(wanted)}"
        f"{_practice(context)}.",
    )
    fine = wanted if context.person.cap_ease else context.style.still or context.style.cap
    if away(context, pattern, fine) == 0.0:
        return Finding(topic, PASS, (*says, *_much(pattern, wanted)), pattern, armhole, wanted, 0.0)
    off = away(context, pattern, wanted)
    end, text = target(context, pattern, wanted)
    goal = (Goal("cap ease", end),)
    fuller = "fuller" if off < 0 else "flatter"
    does = f"Redraw the cap {fuller} between its notches, at the same height, to {text} of ease."
    plain = make_way(context, state, "redrawn", does, (redraw(context, text),), goal, aims=("cap ease", "cap length"))
    chosen = any(choice.startswith(topic) for choice in context.choices)
    if not plain.reason and not plain.warnings and not chosen:
        return Finding(topic, DO, says, pattern, armhole, wanted, off, (plain,))
    ways = (
        plain,
        *(() if context.brief else other_ways(context, state, wanted, end, text, further=bool(plain.reason))),
    )
    too_short = pattern < -TOO_SHORT - SMALL and pattern < fine[0] - SMALL
    why = f"a cap {context.spell(-pattern)} shorter than its armhole can't be sewn in as it is" if too_short else ""
    ways = (*ways, Way(LEFT, _left(context, pattern), reason=why))
    status = DO if not plain.reason else OPEN
    return Finding(topic, status, says, pattern, armhole, wanted, off, ways)


def _practice(context: AdviceContext) -> str:
    share = context.style.share
    if share is None or context.person.cap_ease:
        return ""
    return f", and {100 * share[0]:.0f} to {100 * share[1]:.0f} % by another count (from memory)"


def _much(ease: float, wanted: Range) -> tuple[str, ...]:
    if ease < GATHERED - SMALL:
        return ()
    return ("So much ease can't be eased in: it is gathered, pleated or darted.",)


def _left(context: AdviceContext, ease: float) -> str:
    if ease >= GATHERED - SMALL:
        return f"Leave {context.spell(ease)} of ease and gather it, pleat it or put it into darts at the cap."
    if ease < 0:
        return f"Leave the cap {context.spell(-ease)} shorter than the armhole; the armhole is then eased onto the cap."
    return f"Leave {context.spell(ease)} of ease, if cloth and look take it: try it on a test sleeve."


# -- pitch -----------------------------------------------------------------------------------------------------------


def pitch(context: AdviceContext, state: State) -> Finding:
    """Judge how the ease is shared between front and back, which is where on the cap the shoulder notch stands."""
    topic, share, ease = "pitch", state.figures.get("share back"), state.figures.get(Figure.CAP_EASE)
    asked = context.person.share_back
    wanted = SHARE_BACK if asked is None else (asked, asked)
    if ease is None or Figure.CAP_EASE_BACK not in state.figures:
        why = context.missing or "front and back of the armhole can't be told apart"
        says = f"The back's share of the ease is not known: {why}."
        return Finding(topic, UNKNOWN, (says, _LOOK), None, None, wanted)
    if abs(ease) < LEAST_SHARED_OUT - SMALL or share is None:
        says = f"With {context.spell(ease)} of ease there is nothing to part between front and back."
        return Finding(topic, PASS, (says, _LOOK), share, None, wanted, 0.0)
    practice = f"{100 * wanted[0]:.0f} to {100 * wanted[1]:.0f} %" if asked is None else f"{100 * asked:.0f} %"
    who = "practice" if asked is None else "the sheet"
    says = f"The back takes {100 * share:.0f} % of the ease; {who} wants {practice}."
    if asked is not None and not SHARE_BACK[0] - 0.005 <= asked <= SHARE_BACK[1] + 0.005:
        usual = f"{100 * SHARE_BACK[0]:.0f} to {100 * SHARE_BACK[1]:.0f} %"
        says += f" Look out: practice gives the back {usual}; check the sheet's share back."
    off = share - min(max(share, wanted[0]), wanted[1])
    if abs(off) * abs(ease) <= SHARE_CLOSE_ENOUGH:
        if abs(off) >= 0.005:
            near = context.spell(SHARE_CLOSE_ENOUGH)
            says += f" What it is off by is less than {near} of ease: close enough."
        return Finding(topic, PASS, (says, _LOOK), share, None, wanted, 0.0)
    end = round(min(max(share, wanted[0]), wanted[1]), 4)
    steps = (context.step(SHARE, f"{end:g}"),)
    does = f"Move the shoulder notch on the cap so that the back takes {100 * end:.0f} %; nothing else changes."
    way = make_way(context, state, "notch moved", does, steps, (Goal("share back", end, "share"),))
    left = Way(LEFT, "Leave the shoulder notch, if the sleeve hangs well on the test garment.")
    return Finding(topic, OPEN if way.reason else DO, (says, _LOOK), share, None, wanted, off, (way, left))


# -- notches ---------------------------------------------------------------------------------------------------------


def notches(context: AdviceContext, state: State) -> Finding | None:
    """Check that cap and armhole match below the notches, last of all; None where they do, or are not known."""
    row = armhole_row(context.piece(state.pieces, context.sleeve), state.pieces, context.seams)
    matcher = notch_matcher(context.registry)
    if row is None or context.brief or matcher is None:
        return None
    apart = notch_mismatch(context.piece(state.pieces, context.sleeve), row)
    if apart <= context.careful + 1e-6:
        return None
    says = (
        f"From underarm to notch cap and armhole are now up to {format_length(apart, context.unit)} apart; careful "
        f"work keeps to {context.spell(context.careful)}.",
    )
    does = "Move the cap's notches to where the armhole's meet them; no edge changes."
    way = make_way(context, state, "matched", does, (Step(matcher, context.sleeve),), ())
    left = Way(LEFT, "Leave the notches, and mark where they meet when the seam is pinned.")
    return Finding("notches", OPEN if way.reason else DO, says, ways=(way, left))


def ease_limits(context: AdviceContext, wanted: Range | None = None) -> tuple[str, str]:
    """Return least and most for a plan's last check: the style's, the sheet's or ``wanted``, a sixteenth wider."""
    low, high = wanted or context.person.cap_ease or context.style.still or context.style.cap
    one = grid(context)
    return written(context, (math.floor(low / one) - 1) * one), written(context, (math.ceil(high / one) + 1) * one)
