"""The findings at the cap, in a fitter's order: its height, then its ease. Lengths in mm."""

from __future__ import annotations

import math

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
from svgfit.app.advice.ways import FURTHEST, LEFT, make_way
from svgfit.model.advice import CANT, DO, OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.body import Range
from svgfit.model.length import parse_length
from svgfit.model.operation import replace
from svgfit.model.vocabulary import Figure
from svgfit.rules.armholes import LOWERED_REPORTED
from svgfit.rules.body_measures import LENGTH, TIP
from svgfit.rules.ease import EASE_CLOSE_ENOUGH, GATHERED, HEIGHT_CLOSE_ENOUGH, TOO_SHORT
from svgfit.rules.matching import LEAST_COST

# -- cap height ------------------------------------------------------------------------------------------------------


def cap_height(context: AdviceContext, state: State) -> Finding:
    """Judge the cap height against shoulder tip to bicep line, from where the seam sits, as its style has it."""
    topic, body, pattern = Figure.CAP_HEIGHT, context.person.measures.get(TIP), state.with_hand(Figure.CAP_HEIGHT)
    if body is None:
        says = "Shoulder tip to bicep line is not on the sheet: the cap is left as high as it is. Take it, write it in."
        return Finding(topic, UNKNOWN, (says,), pattern)
    over, by_hand = context.person.height_ease or context.style.height, state.by_hand.get(topic, 0.0)
    wanted = (over[0] - state.sits[1], over[1] - state.sits[0])
    off = away(context, pattern - body, wanted)
    minds = _in_a_lowered_armhole(context, state)
    says = (*_height_says(context, state, body, wanted), *minds)
    if abs(off) <= HEIGHT_CLOSE_ENOUGH:
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0, minds=minds)
    end, text = target(context, pattern - by_hand, (body + wanted[0] - by_hand, body + wanted[1] - by_hand))
    if end <= 0:
        why = "That leaves no cap at all: check where the seam sits, and the measure."
        return Finding(topic, CANT, (*says, why), pattern, body, wanted, off, minds=(why,))
    arm = context.person.measures.get(LENGTH)
    if arm is not None and end + by_hand >= arm:
        why = (
            f"No cap is as high as its arm is long, {context.spell(arm)}: check where the seam sits, and the measures."
        )
        return Finding(topic, CANT, (*says, why), pattern, body, wanted, off, minds=(why,))
    return _change_height(
        context, state, Finding(topic, DO, says, pattern, body, wanted, off, minds=minds), (end, text)
    )


def _change_height(context: AdviceContext, state: State, finding: Finding, wanted: tuple[float, str]) -> Finding:
    """Return the finding with the ways to a height: its mm, and as a plan writes it."""
    topic, off, (end, text) = finding.topic, finding.difference or 0.0, wanted
    pattern = state.figures[topic]
    verb, name = ("Raise", "raised") if off < 0 else ("Lower", "lowered")
    by = context.way(topic)
    how = f": {by.does(less=end < pattern)}" if by is not None and by.reach.does else "."
    does = f"{verb} the cap by {context.spell(abs(end - pattern))}, to {text}{how}"
    steps = (context.step(topic, text),)
    way = make_way(context, state, name, does, steps, (Goal("cap height", end),), aims=("cap height",))
    low = "Too low a cap pulls up the sleeve and drags from the underarm; too high a one breaks into a fold at the top."
    says = (*finding.says, low)
    if off < 0 and (context.person.height_ease or context.style.height)[0] < 0:
        left = Way(LEFT, f"A cap may be so low on purpose: {context.style.name} is made to lift the arm in.")
        return replace(finding, says=says, status=OPEN, ways=(way, left))
    if way.reason and by is not None and not context.brief:
        furthest = _as_far_as_it_goes(context, state, pattern, end)
        return replace(finding, status=OPEN, ways=(way, *furthest))
    return replace(finding, says=says, ways=(way,))


def _height_says(context: AdviceContext, state: State, body: float, wanted: Range) -> tuple[str, ...]:
    """Say how high the cap should be for this body, style and seam, and how high it is."""
    low, high = state.sits
    seam = ""
    if high - low >= LEAST_COST:
        seam = f", less up to {context.spell(high)} where the seam sits beyond it"
    elif low >= LEAST_COST:
        seam = f", less {context.spell(low)} because the seam sits beyond it"
    elif low <= -LEAST_COST:
        seam = f", and {context.spell(-low)} because the seam sits inside it"
    over = context.person.height_ease or context.style.height
    pattern, by_hand = state.figures[Figure.CAP_HEIGHT], state.by_hand.get(Figure.CAP_HEIGHT, 0.0)
    span = context.spell_range((body + wanted[0], body + wanted[1]))
    if over[0] >= 0:
        should = f"with {context.spell_range(over)} over, the cap should be {span} high"
    else:
        lower = context.spell(-over[0])
        more = f"to {context.spell(over[1])} higher" if over[1] > 0 else f"to {context.spell(-over[1])} lower"
        should = f"a cap for {context.style.name} is {lower} lower {more} than that, on purpose: {span}"
    work = f", and {context.spell(pattern + by_hand)} with the work by hand" if by_hand else ""
    return (
        f"From the shoulder tip to the bicep line the arm measures {context.spell(body)}{seam}; {should}. It is "
        f"{context.spell(pattern)}{work}.",
    )


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
    topic = Figure.CAP_EASE
    wanted = context.own_ease or context.style.cap
    if topic not in state.figures:
        says = f"The cap's ease is not known: {context.missing or 'the armhole is not measured'}."
        return Finding(topic, UNKNOWN, (says,), None, None, wanted)
    pattern, armhole, by_hand = state.with_hand(topic), state.with_hand(ARMHOLE), state.by_hand.get(topic, 0.0)
    who = "the sheet" if context.person.cap_ease else "svgfit.toml" if context.own_ease else context.style.name
    says = (
        f"The cap is {context.spell(abs(pattern))} {'longer' if pattern >= 0 else 'shorter'} than the armhole "
        f"({100 * pattern / armhole:.1f} % of it{_about(context, by_hand)}); {who} wants {context.spell_range(wanted)}"
        f"{_practice(context)}.",
    )
    fine = wanted if context.own_ease else context.style.still or context.style.cap
    if away(context, pattern, fine) == 0.0:
        much = _much(pattern, wanted)
        usual = wanted if away(context, pattern, wanted) == 0.0 else fine  # as much as is still no cause for a warning
        return Finding(topic, PASS, (*says, *much), pattern, armhole, usual, 0.0, minds=much)
    off = away(context, pattern, wanted)
    as_drawn = (wanted[0] - by_hand, wanted[1] - by_hand)
    end, text = target(context, pattern - by_hand, as_drawn)
    goal = (Goal("cap ease", end),)
    fuller = "fuller" if off < 0 else "flatter"
    drawn = " as drawn" if by_hand else ""
    does = f"Redraw the cap {fuller} between its notches, at the same height, to {text} of ease{drawn}."
    plain = make_way(context, state, "redrawn", does, (redraw(context, text),), goal, aims=("cap ease", "cap length"))
    chosen = any(choice.startswith(topic) for choice in context.choices)
    if not plain.reason and not plain.warnings and not chosen:
        return Finding(topic, DO, says, pattern, armhole, wanted, off, (plain,))
    ways = (
        plain,
        *(() if context.brief else other_ways(context, state, as_drawn, end, text, further=bool(plain.reason))),
    )
    too_short = pattern < -TOO_SHORT - SMALL and pattern < fine[0] - SMALL
    why = f"a cap {context.spell(-pattern)} shorter than its armhole can't be sewn in as it is" if too_short else ""
    near = "" if why or pattern < 0 or abs(off) > EASE_CLOSE_ENOUGH + LEAST_COST else _near(context, off)
    ways = (*ways, Way(LEFT, _left(context, pattern), reason=why, because=near))
    status = OPEN if plain.reason or near else DO
    return Finding(topic, status, says, pattern, armhole, wanted, off, ways)


def _about(context: AdviceContext, by_hand: float) -> str:
    return f", with about {context.spell(abs(by_hand))} {'less' if by_hand < 0 else 'more'} by hand" if by_hand else ""


def _near(context: AdviceContext, off: float) -> str:
    by = context.spell(abs(off))
    return f"{by} more is eased in as well" if off > 0 else f"it lacks {by} only, and no cap is bent for that"


def _practice(context: AdviceContext) -> str:
    share = context.style.share
    if share is None or context.own_ease:
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


def ease_limits(context: AdviceContext, by_hand: float = 0.0, wanted: Range | None = None) -> tuple[str, str]:
    """Return least and most for a plan's last check: the style's, the sheet's or ``wanted``, a sixteenth wider.

    ``by_hand``: what work by hand, which no run does, adds to the ease.
    """
    low, high = wanted or context.own_ease or context.style.still or context.style.cap
    low, high = low - by_hand, high - by_hand
    one = grid(context)
    return written(context, (math.floor(low / one + 1e-6) - 1) * one), written(
        context, (math.ceil(high / one - 1e-6) + 1) * one
    )
