"""What findings have settled, and what a later way would undo of it; what is not met in the end. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.app.advice.context import Bench, Held, State, Tried, away, target
from svgfit.model.advice import CANT, Finding, Goal, Way
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
"""The figure that each topic settles."""


def hold(finding: Finding, state: State) -> State:
    """Return the state with what the finding has settled; also what was left outside what is wanted gets no worse."""
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
    if finding.status == CANT:  # nothing is settled: a way that brings it nearer undoes nothing
        return state
    low, high = (finding.body + end for end in finding.wanted)
    return replace(state, held=(*state.held, Held(finding.topic, figure, min(low, now), max(high, now))))


def judged(bench: Bench, state: State, way: Way) -> Way:
    """Return the way with what it gives up of what is settled; a reason where that must not be given up."""
    if way.reason:
        return way
    lost: list[str] = []
    for held, after in _undone(bench, state, way):
        reason = _never(bench, held, after)
        if reason:
            return replace(way, reason=reason)
        lost.append(held.figure)
    return replace(way, gives_up=tuple(lost))


def _undone(bench: Bench, state: State, way: Way) -> list[tuple[Held, float]]:
    after = {cost.name: cost.after for cost in way.costs}
    pairs = [(held, after[held.figure]) for held in state.held if held.figure in after]
    return [(held, value) for held, value in pairs if away(bench, value, (held.low, held.high)) != 0.0]


def _never(bench: Bench, held: Held, after: float) -> str:
    """Say why this must not be undone; "" where a person may want to."""
    if held.figure == "armhole depth" and after < held.low:
        short = bench.speak(held.low - after)
        return f"the armhole would be {short} less deep than was settled above, and cut into the arm"
    if held.figure == Figure.CAP_HEIGHT and not held.low - HEIGHT_OFF_BY_FAR <= after <= held.high + HEIGHT_OFF_BY_FAR:
        high = after > held.high
        off, end = (after - held.high, held.high) if high else (held.low - after, held.low)
        word, look = ("higher", "break into folds at its top") if high else ("lower", "pull up the whole sleeve")
        return f"the cap would be {bench.speak(off)} {word} than the arm asks for ({bench.speak(end)}), and {look}"
    return ""


def give_up(bench: Bench, state: State, new: State, way: Way, tried: Tried) -> State:
    """Return the state after a way, its ends those that still hold, and what it gives up kept apart, to be told."""
    own = {goal.name for goal in way.goals}
    lost = [held for held in state.held if held.figure in way.gives_up]
    stated = {goal.name: goal for goal in state.goals}
    told = tuple(
        stated.get(held.figure) or _goal(bench, held.figure, tried.figures[held.figure], (held.low, held.high))
        for held in lost
    )
    goals: list[Goal] = []
    for goal in new.goals:
        got = tried.figures.get(goal.name)
        if goal.name in way.gives_up:
            continue
        moved = (
            goal.name not in own and goal.unit == MeasureUnit.MM and got is not None and abs(got - goal.target) > 0.01
        )
        goals.append(replace(goal, target=got) if moved else goal)  # moved within what is wanted
    why = f"given up for {way.name}"
    given = (*state.given_up, *(replace(goal, why=why, text=_text(bench, goal)) for goal in told))
    return replace(
        new,
        goals=tuple(goals),
        held=tuple(held for held in new.held if held not in lost),
        given_up=given,
    )


def unmet(bench: Bench, findings: Sequence[Finding], end: State, done: Tried) -> tuple[Goal, ...]:
    """List what the body (or the style) wants and the steps don't give: what can't be had, and what was given up."""
    found = list(end.given_up)
    for finding in findings:
        figure = FIGURES.get(finding.topic)
        if finding.status != CANT or figure is None or finding.wanted is None:
            continue
        base = (finding.body or 0.0) if finding.topic not in (Figure.CAP_EASE, "pitch") else 0.0
        wanted = (base + finding.wanted[0], base + finding.wanted[1])
        value = finding.pattern or 0.0
        if figure == "share back":
            share = min(max(value, wanted[0]), wanted[1])
            found.append(Goal(figure, share, "share", why="can't be had", text=f"{share:g}"))
        else:
            found.append(replace(_goal(bench, figure, value, wanted), why="can't be had"))
    return tuple(replace(goal, got=done.figures.get(goal.name), met=False) for goal in found)


def _goal(bench: Bench, figure: str, value: float, wanted: tuple[float, float]) -> Goal:
    mm, text = target(bench, value, wanted)
    return Goal(figure, mm, text=text)


def _text(bench: Bench, goal: Goal) -> str:
    return goal.text or (f"{goal.target:.2f} mm" if goal.unit == MeasureUnit.MM else f"{goal.target:g}")
