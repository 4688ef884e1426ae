"""The ways to more or less cap ease, beside redrawing the cap within ordinary limits. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Callable

from svgfit.app.advice.context import AdviceContext, State, away, grid, redraw, target, try_steps, written
from svgfit.app.advice.ways import NO_WORDS, make_way
from svgfit.model.advice import Goal, Way
from svgfit.model.body import Range
from svgfit.model.plan import Step
from svgfit.model.vocabulary import Figure
from svgfit.plugin.abilities import none_loaded
from svgfit.rules.body_measures import ARM
from svgfit.rules.caps import REDRAWN_FURTHER

TURNED = "corners turned"
_AIM = ("cap ease", "cap length")
_TRIES = 6
"""How often a height or a width that brings the ease is looked for."""


def other_ways(
    context: AdviceContext, state: State, wanted: Range, end: float, text: str, *, further: bool = True
) -> tuple[Way, ...]:
    """Try every other way to an ease of ``end`` (``text`` in a plan) or within ``wanted``; return those that were run.

    ``further``: whether the cap can't be redrawn to it within the ordinary limits.
    """
    more = state.figures[Figure.CAP_EASE] < end
    ways = [_further(context, state, end, text)] if further and more else []
    ways.append(_whole(context, state, end, text))
    if more:
        ways.append(_slashed(context, state, end, text))
    ways += _armhole(context, state, end, text, more)
    ways.append(_height(context, state, wanted, end, more))
    if not more:
        ways.append(_narrower(context, state, wanted, end))
    ways.append(_turned(context, state, end, text))
    return tuple(ways)


def _whole(context: AdviceContext, state: State, end: float, text: str) -> Way:
    does = "Redraw the cap from underarm to underarm; below the notches it then no longer follows the armhole."
    steps = (redraw(context, text, "whole cap redrawn"),)
    return make_way(context, state, "whole cap redrawn", does, steps, (Goal("cap ease", end),))


def _turned(context: AdviceContext, state: State, end: float, text: str) -> Way:
    way = context.way("cap ease", TURNED)
    if way is None:
        return Way(TURNED, NO_WORDS, reason=none_loaded(context.registry))
    less = end < state.figures[Figure.CAP_EASE]
    does, steps = way.does(less=less), (way.step(context.sleeve, text),)
    low, high = way.reach.between or (-math.inf, math.inf)
    if not low <= end - state.figures[Figure.CAP_EASE] <= high:
        return Way(TURNED, does, steps, reason="turning them does not change the ease by that much")
    return make_way(context, state, TURNED, does, steps, (Goal("cap ease", end),), aims=_AIM)


def _armhole(context: AdviceContext, state: State, end: float, text: str, more: bool) -> list[Way]:
    """Make the armhole as long as the cap, less the ease; what rounding leaves is redrawn in the cap."""
    armhole = state.figures[Figure.CAP_LENGTH] - end
    length, spelt = target(context, armhole, (armhole, armhole))
    by = f"{'shorter' if more else 'longer'}, to {spelt}"
    lowered, scooped = "armhole lowered", "armhole scooped"
    named = [("armhole raised" if more else lowered, lowered, f"Make the armhole {by}, at the underarm.")]
    if not more:
        named.append((scooped, scooped, f"Make the armhole {by}, by scooping its lower curve out further."))
    goals = (Goal("cap ease", end), Goal("armhole", length))
    return [
        make_way(
            context,
            state,
            name,
            does,
            (context.step("armhole length", spelt, manner), redraw(context, text)),
            goals,
            aims=_AIM,
        )
        for name, manner, does in named
    ]


def _height(context: AdviceContext, state: State, wanted: Range, end: float, more: bool) -> Way:
    """Make the cap higher or lower than the body wants, as far as brings the ease into its range."""
    name, word = ("cap higher", "higher") if more else ("cap lower", "lower")
    does = f"Make the cap {word}, until its ease is right."

    def steps(height: float) -> tuple[Step | None, ...]:
        return (context.step("cap height", written(context, height)),)

    return _searched(
        context, state, name, does, steps, (Figure.CAP_HEIGHT, state.figures[Figure.CAP_HEIGHT]), wanted, end
    )


def _narrower(context: AdviceContext, state: State, wanted: Range, end: float) -> Way:
    """Make the bicep narrower than the arm wants, at the same height, as far as brings the ease into its range."""
    does = "Make the bicep narrower, at the same height, until the ease is right."

    def steps(width: float) -> tuple[Step | None, ...]:
        return (context.step("bicep width", written(context, width), "height kept"),)

    start = (Figure.BICEP_WIDTH, state.figures[Figure.BICEP_WIDTH])
    way = _searched(context, state, "bicep narrower", does, steps, start, wanted, end)
    arm, width = context.person.measures.get(ARM), next((goal.target for goal in way.goals), start[1])
    if arm is not None and width < arm and not way.reason:
        return Way(
            way.name, does, way.steps, reason=f"the bicep would be {context.spell(arm - width)} narrower than the arm"
        )
    return way


def _searched(
    context: AdviceContext,
    state: State,
    name: str,
    does: str,
    steps: Callable[[float], tuple[Step | None, ...]],
    start: tuple[str, float],
    wanted: Range,
    end: float,
) -> Way:
    """Change the figure ``start``, in the unit's steps, until the ease lies in ``wanted``: secant from the last two.

    Where even a sixteenth overshoots the range, the cap is redrawn for the rest.
    """
    figure, last = start
    ease, slope = state.figures[Figure.CAP_EASE], 1.0
    inside = min(1.5 * grid(context), (wanted[1] - wanted[0]) / 2)  # so that rounding does not leave the range again
    aim = end - inside if ease > end else end + inside
    value = last
    if None in steps(last):
        return Way(name, does, reason=none_loaded(context.registry))
    for _ in range(_TRIES):
        value = round((last + (aim - ease) / slope) / grid(context)) * grid(context)
        if value <= 0 or abs(value - last) < grid(context) / 2:
            break
        these = tuple(filter(None, steps(value)))
        tried = try_steps(context, state.pieces, these)
        if tried.reason:
            return Way(name, does, these, reason=tried.reason)
        got = tried.figures[Figure.CAP_EASE]
        if away(context, got, wanted) == 0.0:
            return make_way(context, state, name, does, these, (Goal(figure, value),), aims=_AIM)
        slope = (got - ease) / (value - last) if abs(got - ease) > 1e-6 else slope
        last, ease = value, got
    if value <= 0:
        return Way(name, does, (), reason=f"the {figure} would have to be less than nothing")
    text = target(context, ease, wanted)[1]
    both = (*steps(last), redraw(context, text))
    return make_way(context, state, name, does, both, (Goal(figure, last), Goal("cap ease", end)), aims=_AIM)


def _further(context: AdviceContext, state: State, end: float, text: str) -> Way:
    """Redraw the cap beyond the ordinary limit, as little as reaches the ease."""
    does = "Redraw the cap between its notches, its edge further out than is ordinary: it may look full."
    way = Way("redrawn further", does)
    for further in REDRAWN_FURTHER:
        steps = (redraw(context, text, outwards=further),)
        goals = (Goal("cap ease", end),)
        way = make_way(context, state, "redrawn further", does, steps, goals, aims=_AIM)
        if not way.reason:
            break
    return way


def _slashed(context: AdviceContext, state: State, end: float, text: str) -> Way:
    """Slash down the middle, hinged at the hem, as wide as brings the cap near the ease; then redraw to it."""
    does = "Slash down the middle to the hem, open it at the cap, redraw the cap to the ease: the bicep gets wider."
    name, lacking = "slash to the hem", end - state.figures[Figure.CAP_EASE]
    wanted_height = next((goal.target for goal in state.goals if goal.name == Figure.CAP_HEIGHT), None)
    # Opened at its top the cap gets higher: back to the height that was settled, before its ease is drawn.
    level = () if wanted_height is None else (context.step("cap height", written(context, wanted_height)),)
    way = Way(name, does)
    for part in (1.0, 1.25, 0.75):
        width, spelt = target(context, 0.0, (state.figures[Figure.BICEP_WIDTH] + part * lacking, 1e9))
        steps = (
            context.step("bicep width", spelt, "slash to the hem"),
            *level,
            redraw(context, text),
        )
        goals = (Goal("bicep width", width), Goal("cap ease", end))
        way = make_way(context, state, name, does, steps, goals, aims=_AIM)
        if not way.reason:
            break
    return way
