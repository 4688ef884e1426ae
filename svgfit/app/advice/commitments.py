"""Commitments: figures that findings have decided, what a later way would undo, what is not met. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.app.advice.context import AdviceContext, Commitment, State, Tried, away, target
from svgfit.model.advice import CANT, Finding, Goal, Way
from svgfit.model.length import exact_length
from svgfit.model.operation import replace
from svgfit.model.vocabulary import Figure, MeasureUnit
from svgfit.rules.caps import HEIGHT_OFF_BY_FAR

FIGURES: dict[str, str] = {
    "armhole depth": "armhole depth",
    "bicep": "bicep width",
    Figure.CAP_HEIGHT: Figure.CAP_HEIGHT,
    Figure.CAP_EASE: Figure.CAP_EASE,
    "pitch": "share back",
}
"""The figure that each topic decides."""


def hold(finding: Finding, state: State) -> State:
    """Return the state with the finding's figure committed; a figure left outside its range is to get no worse."""
    figure = FIGURES.get(finding.topic)
    now = state.figures.get(figure) if figure else None
    if (
        figure is None
        or now is None
        or finding.body is None
        or finding.wanted is None
        or finding.topic == Figure.CAP_EASE
    ):
        return state
    if finding.status == CANT:  # nothing is decided: a way that brings it nearer undoes nothing
        return state
    base = finding.body - state.by_hand.get(figure, 0.0)
    low, high = (base + end for end in finding.wanted)
    found = Commitment(finding.topic, figure, min(low, now), max(high, now), base)
    return replace(state, commitments=(*state.commitments, found))


def judged(context: AdviceContext, state: State, way: Way) -> Way:
    """Return the way with the commitments that it gives up; with a reason where one must not be given up."""
    if way.reason:
        return way
    lost: list[str] = []
    for commitment, after in _undone(context, state, way):
        reason = _never(context, commitment, after)
        if reason:
            return replace(way, reason=reason)
        lost.append(commitment.figure)
    return replace(way, gives_up=tuple(lost))


def _undone(context: AdviceContext, state: State, way: Way) -> list[tuple[Commitment, float]]:
    after = {cost.name: cost.after for cost in way.costs}
    pairs = [(commitment, after[commitment.figure]) for commitment in state.commitments if commitment.figure in after]
    return [
        (commitment, value)
        for commitment, value in pairs
        if away(context, value, (commitment.low, commitment.high)) != 0.0
    ]


def _never(context: AdviceContext, commitment: Commitment, after: float) -> str:
    """Say why this must not be undone; "" where a person may want to."""
    if commitment.figure == "armhole depth" and after < commitment.low:
        short = context.spell(commitment.low - after)
        cuts = ", and cut into the arm" if after < commitment.body else ""
        return f"the armhole would be {short} less deep than was settled above{cuts}"
    if (
        commitment.figure == Figure.CAP_HEIGHT
        and not commitment.low - HEIGHT_OFF_BY_FAR <= after <= commitment.high + HEIGHT_OFF_BY_FAR
    ):
        high = after > commitment.high
        off, end = (after - commitment.high, commitment.high) if high else (commitment.low - after, commitment.low)
        word, look = ("higher", "break into folds at its top") if high else ("lower", "pull up the whole sleeve")
        return f"the cap would be {context.spell(off)} {word} than the arm asks for ({context.spell(end)}), and {look}"
    return ""


def give_up(context: AdviceContext, state: State, new: State, way: Way, tried: Tried) -> State:
    """Return the state after a way: its ends are those that still hold; what it gives up is kept to be reported."""
    aims = {goal.name for goal in way.goals}
    lost = [commitment for commitment in state.commitments if commitment.figure in way.gives_up]
    stated = {goal.name: goal for goal in state.goals}
    dropped = tuple(
        stated.get(commitment.figure)
        or _goal(context, commitment.figure, tried.figures[commitment.figure], (commitment.low, commitment.high))
        for commitment in lost
    )
    goals: list[Goal] = []
    for goal in new.goals:
        got = tried.figures.get(goal.name)
        if goal.name in way.gives_up:
            continue
        moved = (
            goal.name not in aims and goal.unit == MeasureUnit.MM and got is not None and abs(got - goal.target) > 0.01
        )
        goals.append(replace(goal, target=got) if moved else goal)  # moved within what is wanted
    why = f"given up for {way.name}"
    given = (*state.given_up, *(replace(goal, why=why, text=_text(context, goal)) for goal in dropped))
    return replace(
        new,
        goals=tuple(goals),
        commitments=tuple(commitment for commitment in new.commitments if commitment not in lost),
        given_up=given,
    )


def unmet(context: AdviceContext, findings: Sequence[Finding], end: State, done: Tried) -> tuple[Goal, ...]:
    """List what the body (or the style) asks for and the steps don't give: what can't be had, and what was given up."""
    found = list(end.given_up)
    for finding in findings:
        figure = FIGURES.get(finding.topic)
        if finding.status != CANT or figure is None or finding.wanted is None:
            continue
        base = (finding.body or 0.0) if finding.topic not in (Figure.CAP_EASE, "pitch") else 0.0
        base -= end.by_hand.get(figure, 0.0)
        wanted = (base + finding.wanted[0], base + finding.wanted[1])
        value = (finding.pattern or 0.0) - end.by_hand.get(figure, 0.0)
        if figure == "share back":
            share = min(max(value, wanted[0]), wanted[1])
            found.append(Goal(figure, share, "share", why="can't be had", text=f"{share:g}"))
        else:
            found.append(replace(_goal(context, figure, value, wanted), why="can't be had"))
    return tuple(replace(goal, got=done.figures.get(goal.name), met=False) for goal in found)


def _goal(context: AdviceContext, figure: str, value: float, wanted: tuple[float, float]) -> Goal:
    mm, text = target(context, value, wanted)
    return Goal(figure, mm, text=text)


def _text(context: AdviceContext, goal: Goal) -> str:
    return goal.text or (exact_length(goal.target, context.unit) if goal.unit == MeasureUnit.MM else f"{goal.target:g}")
