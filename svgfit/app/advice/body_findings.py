"""The first findings, in a fitter's order: shoulder, armhole depth, arm girth against bicep width. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from svgfit.app.advice.context import (
    ARMHOLE,
    AdviceContext,
    State,
    Tried,
    away,
    costs,
    grid,
    target,
    try_steps,
    written,
)
from svgfit.model.advice import DO, OPEN, PASS, UNKNOWN, Finding, Goal, Way
from svgfit.model.body import AS_DRAWN
from svgfit.model.plan import Step
from svgfit.model.vocabulary import EdgeName, Figure
from svgfit.plugin.abilities import none_loaded, ways_to
from svgfit.rules.armholes import FAR_INSIDE, MOVED_BY_MUCH, SHOULDER_CLOSE_ENOUGH
from svgfit.rules.body_measures import ARM, ARMSCYE, DEPTH, SHOULDER
from svgfit.rules.caps import BICEP_PLAUSIBLE
from svgfit.rules.matching import LEAST_COST

_OTHER_SIZE = "That is far off: another size, or another pattern, is likely nearer. Is the drawing in full size?"
BY_HAND, LEFT = "moved by hand", "left as it is"
BICEP_WAYS = ("height kept", "cap length kept", "at the underarm", "slash to the hem")
"""The ways to another bicep width that a person can pick, as operations call them."""
NO_WORDS = "What is done so is said by its operation."


def make_way(
    context: AdviceContext,
    state: State,
    name: str,
    does: str,
    steps: Sequence[Step | None],
    goals: Sequence[Goal] = (),
    *,
    aims: Sequence[str] = (),
) -> Way:
    """Make a way with what it costs, measured by really running its steps.

    A step that is None is one for which no operation is loaded. ``aims``: figures that are the aim itself.
    """
    had = tuple(one for one in steps if one is not None)
    if len(had) < len(steps):
        return Way(name, does, reason=none_loaded(context.registry))
    tried = try_steps(context, state.pieces, had)
    if tried.reason:
        return Way(name, does, had, reason=tried.reason)
    found = costs(state.figures, tried.figures, aims)
    if tried.outwards is not None and len(steps) == 1:
        does = f"{does} {_edge_moves(context, state, tried)}"
    return Way(name, does, had, found, warnings=tried.warnings, goals=tuple(goals))


def _edge_moves(context: AdviceContext, state: State, tried: Tried) -> str:
    """Say how far a cap that was only redrawn lies from where it was."""
    old, new = (
        context.piece(pieces, context.sleeve).edge(EdgeName.CAP).curve for pieces in (state.pieces, tried.pieces)
    )
    furthest = max(old.nearest(at)[1] for at in (new.point(k * len(new) / 48) for k in range(49)))
    out = tried.outwards or 0.0
    if furthest < LEAST_COST:
        return "The cap's edge moves by less than can be drawn."
    if out > furthest - LEAST_COST:
        return f"The cap's edge moves outwards by up to {context.spell(out)}."
    also = f", outwards by up to {context.spell(out)}" if out >= LEAST_COST else ""
    far = " That is another cap, no correction of this one." if furthest > MOVED_BY_MUCH else ""
    return f"The cap's edge moves inwards by up to {context.spell(furthest)}{also}.{far}"


# -- shoulder --------------------------------------------------------------------------------------------------------


def shoulder(context: AdviceContext, state: State) -> Finding:
    """Judge where the armhole seam sits; everything below is measured from there."""
    topic, body, pattern = Figure.SHOULDER, context.person.measures.get(SHOULDER), state.figures.get(Figure.SHOULDER)
    asked = context.person.sits
    sits = state.sits
    if body is None or pattern is None:
        missing = "Shoulder length is not on the sheet" if body is None else _no_shoulder(context)
        drawn = ", though it is to sit as drawn" if asked == AS_DRAWN else ""
        says = f"{missing}{drawn}: the armhole seam is taken to sit {_place(context, sits)}."
        return Finding(topic, UNKNOWN, (says,), pattern, body)
    if asked == AS_DRAWN:
        says = f"The seam stays where it is drawn, {_place(context, pattern - body)}; the cap begins there."
        inside = body - pattern
        look = (
            f"That is far inside: where the shoulder is not meant to be cut so narrow, lengthen it by "
            f"{context.spell(inside)}, or the sleeve's top lies on the shoulder and binds.",
        )
        as_drawn = Way("as drawn", says, sits=pattern - body)
        sentences = (says, *(look if inside > FAR_INSIDE else ()))
        return Finding(topic, PASS, sentences, pattern, body, difference=0.0, taken=as_drawn)
    off = pattern - body - sits
    wanted = (sits, sits)
    if abs(off) <= SHOULDER_CLOSE_ENOUGH:
        within = context.spell(SHOULDER_CLOSE_ENOUGH)
        says = f"The armhole seam sits {_place(context, sits)}, to within {within}: close enough."
        return Finding(topic, PASS, (says,), pattern, body, wanted, 0.0)
    says = (
        f"The pattern's shoulder is {context.spell(abs(off))} {'longer' if off > 0 else 'shorter'} than it should be "
        f"for a seam {_place(context, sits)}. All that follows hangs on where the seam sits, so settle this first.",
        f'To keep it as drawn for good, write "seam sits" = "{AS_DRAWN}" in the body sheet.',
    )
    moved = Way(
        BY_HAND,
        f"Draw the shoulder tip {context.spell(abs(off))} further {'in' if off > 0 else 'out'} on front and back, and "
        "the armholes from there: svgfit has no step for that. Then take the advice again; until then the figures of "
        "the armhole are those of the old one.",
        sits=sits,
    )
    left = Way(
        LEFT,
        f"The seam then sits {_place(context, pattern - body)}, and the cap has to be {context.spell(abs(off))} "
        f"{'lower' if off > 0 else 'higher'} for it.",
        sits=pattern - body,
    )
    return Finding(topic, OPEN, says, pattern, body, wanted, off, (left, moved))


def _no_shoulder(context: AdviceContext) -> str:
    if context.missing:
        return f"The pattern's shoulder is not known ({context.missing})"
    return "The pattern's shoulder seams run over a yoke and are not measured here"


def _place(context: AdviceContext, sits: float) -> str:
    if abs(sits) < LEAST_COST:
        return "at the shoulder tip"
    return f"{context.spell(abs(sits))} {'beyond the shoulder tip' if sits > 0 else 'inside the shoulder tip'}"


# -- armhole depth ---------------------------------------------------------------------------------------------------


def armhole_depth(context: AdviceContext, state: State) -> Finding:
    """Judge the armhole's depth below the arm: too shallow is let out; too deep may be the design, and is asked."""
    topic, body, pattern = "armhole depth", context.person.measures.get(DEPTH), state.figures.get("armhole depth")
    wanted = context.person.depth_ease or context.style.depth
    girth = _girth(context, state)
    if body is None or pattern is None or wanted is None:
        why = _depth_unknown(context, body, pattern)
        return Finding(topic, UNKNOWN, (f"{why}: the armhole is left as deep as it is.", *girth), pattern, body, wanted)
    off = away(context, pattern - body, wanted)
    says = (
        f"The armhole is {context.spell(abs(pattern - body))} {'deeper' if pattern >= body else 'less deep'} than the "
        f"body's; {context.style.name} wants {context.spell_range(wanted)} more.",
        *girth,
    )
    if off == 0.0:
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0)
    amount = _whole(context, -off)
    goal = Goal("armhole depth", pattern + amount)
    deeper = context.way(goal.name)
    steps = (None if deeper is None else deeper.change_step(None, written(context, amount)),)
    if off < 0:
        does = f"Lower the armhole of front and back by {context.spell(amount)}; the shoulder tips stay."
        way = make_way(context, state, "lowered", does, steps, (goal,), aims=("armhole depth",))
        says = (*says, "It would cut into the arm.", *((_OTHER_SIZE,) if amount > MOVED_BY_MUCH else ()))
        return Finding(topic, DO, says, pattern, body, wanted, off, (way,))
    does = f"Raise the armhole of front and back by {context.spell(-amount)}; the shoulder tips stay."
    way = make_way(context, state, "raised", does, steps, (goal,), aims=("armhole depth",))
    left = Way(LEFT, "A deep armhole may be meant. It ties the arm down: lifting it lifts the whole garment.")
    return Finding(topic, OPEN, says, pattern, body, wanted, off, (way, left))


def _whole(context: AdviceContext, amount: float) -> float:
    """Round an amount away from nothing to the unit's steps, so that the end is not just missed."""
    return math.copysign(math.ceil(abs(amount) / grid(context) - 1e-6) * grid(context), amount)


def _girth(context: AdviceContext, state: State) -> tuple[str, ...]:
    girth, armhole = context.person.measures.get(ARMSCYE), state.figures.get(ARMHOLE)
    if girth is None or armhole is None:
        return ()
    differs, found = context.spell(abs(armhole - girth)), f"the armhole measures {context.spell(armhole)} round"
    if armhole >= girth:
        return (f"{found[0].upper()}{found[1:]}, {differs} more than the arm where it joins the body.",)
    return (f"Look out: {found}, {differs} less than the arm where it joins the body.",)


def _depth_unknown(context: AdviceContext, body: float | None, pattern: float | None) -> str:
    if body is None:
        return "Armhole depth is not on the sheet"
    if pattern is None and context.others:
        return "The back neck lies on another piece than the armhole, so the armhole's depth is not measured here"
    if pattern is None:
        return f"The armhole's depth is not known ({context.missing or 'one back with neck and underarm is needed'})"
    return (
        f"For {context.style.name} no practice is known here; write for example "
        '"armhole depth ease" = "1 in" in the body sheet'
    )


# -- bicep -----------------------------------------------------------------------------------------------------------


def bicep(context: AdviceContext, state: State) -> Finding:
    """Judge the bicep width against the arm girth with its wearing ease."""
    topic, body, pattern = "bicep", context.person.measures.get(ARM), state.figures[Figure.BICEP_WIDTH]
    wanted = context.person.bicep_ease or context.style.bicep
    if body is None:
        says = "Upper arm girth is not on the sheet: the bicep width is left as it is. Take it and write it in."
        return Finding(topic, UNKNOWN, (says,), pattern, None, wanted)
    if wanted is None:
        says = (
            f"Practice names no wearing ease at the bicep for {context.style.name}: the pattern has "
            f'{context.spell(pattern - body)}. Write for example "bicep ease" = "2 in" in the body sheet.'
        )
        return Finding(topic, UNKNOWN, (says,), pattern, body)
    off = away(context, pattern - body, wanted)
    says = (
        f"The sleeve is {_more(context, pattern - body)} than the arm at the bicep; {context.style.name} wants "
        f"{context.spell_range(wanted)} of wearing ease.",
    )
    if not BICEP_PLAUSIBLE[0] * body <= pattern <= BICEP_PLAUSIBLE[1] * body:
        says = (*says, "That is far off: is it this person's garment, and the drawing in full size?")
    if off == 0.0:
        return Finding(topic, PASS, says, pattern, body, wanted, 0.0)
    end, text = target(context, pattern, (body + wanted[0], body + wanted[1]))
    ways = () if context.brief else bicep_ways(context, state, end, text)
    if off > 0:
        ways = (*ways, Way(LEFT, "Width to spare does no harm where it is meant; the cap then sits softer."))
    change = "narrower" if off > 0 else "wider"
    says = (*says, f"It should be {context.spell(abs(end - pattern))} {change}: {text}. There are several ways.")
    return Finding(topic, OPEN, says, pattern, body, wanted, off, ways)


def bicep_ways(context: AdviceContext, state: State, width: float, text: str) -> tuple[Way, ...]:
    """Try every way to that width which operations call by a name, and say of the usual ones that are not loaded so."""
    goal = Goal("bicep width", width)
    loaded = {way.reach.manner: way for way in ways_to(context.registry, goal.name) if way.reach.parameter}
    found: list[Way] = []
    for name in dict.fromkeys((*BICEP_WAYS, *filter(None, loaded))):
        way = loaded.get(name)
        steps = (None if way is None else way.step(context.sleeve, text),)
        does = NO_WORDS if way is None else way.reach.does
        found.append(make_way(context, state, name, does, steps, (goal,), aims=(goal.name,)))
    return tuple(found)


def _more(context: AdviceContext, ease: float) -> str:
    return f"{context.spell(abs(ease))} {'wider' if ease >= 0 else 'narrower'}"
