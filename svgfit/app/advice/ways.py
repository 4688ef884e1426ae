"""Ways to an end: made by really running their steps, with what they cost; which of them a fitter would try first."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.app.advice.context import AdviceContext, State, Tried, costs, try_steps
from svgfit.model.advice import CANT, DO, OPEN, Finding, Goal, Way, title_of
from svgfit.model.length import MM_PER_INCH
from svgfit.model.operation import replace
from svgfit.model.plan import Step
from svgfit.model.vocabulary import EdgeName
from svgfit.plugin.abilities import none_loaded
from svgfit.rules.armholes import MOVED_BY_MUCH
from svgfit.rules.caps import REDRAWN_AT_MOST, REDRAWN_SIMPLY
from svgfit.rules.matching import LEAST_COST

BY_HAND, LEFT, FURTHEST = "moved by hand", "left as it is", "as far as it goes"
RECOMMENDED = "recommended"
"""What a person picks who takes the recommended way wherever there is a choice."""
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
    moves = 0.0
    if tried.outwards is not None and len(steps) == 1:
        says, moves = edge_moves(context, state, tried)
        does = f"{does} {says}"
    return Way(name, does, had, found, warnings=tried.warnings, goals=tuple(goals), moves=moves)


def edge_moves(context: AdviceContext, state: State, tried: Tried) -> tuple[str, float]:
    """Say how far a cap that was only redrawn lies from where it was, and how far that is in mm."""
    old, new = (
        context.piece(pieces, context.sleeve).edge(EdgeName.CAP).curve for pieces in (state.pieces, tried.pieces)
    )
    furthest = max(old.nearest(at)[1] for at in (new.point(k * len(new) / 48) for k in range(49)))
    out = tried.outwards or 0.0
    if furthest < LEAST_COST:
        return "The cap's edge moves by less than can be drawn.", furthest
    if out > furthest - LEAST_COST:
        return f"The cap's edge moves outwards by up to {context.spell(out)}.", furthest
    also = f", outwards by up to {context.spell(out)}" if out >= LEAST_COST else ""
    far = " That is another cap, no correction of this one." if furthest > MOVED_BY_MUCH else ""
    return f"The cap's edge moves inwards by up to {context.spell(furthest)}{also}.{far}", furthest


# -- which one first -------------------------------------------------------------------------------------------------


_TOO_MUCH = 40.0
"""So much trouble is no way to be recommended: what was settled is given up, or the edge becomes another one."""


def recommend(finding: Finding) -> Finding:
    """Put the way first that a fitter would try first, with the reason; a finding may have named it already.

    None is, where every way gives up what was settled or makes another cap. Else it is the one after which least is
    left to put right, as each was followed to its end: what can't be had, what was settled and is given up, further
    choices, warnings, how far an edge moves, and further steps, in this order.
    """
    possible = [way for way in finding.ways if not way.reason]
    if not possible:
        return finding
    best = finding.recommended
    if best is None:
        first = min(possible, key=_trouble)
        if _trouble(first) >= _TOO_MUCH:
            return finding
        best = replace(first, because=_why(first))
    others = [way for way in finding.ways if way.name != best.name]
    return replace(finding, ways=(best, *sorted(others, key=lambda way: bool(way.reason))))


def _trouble(way: Way) -> float:
    """Weigh what a way leaves to put right, itself or after it: the weights only put the kinds in order."""
    taken = [then.taken for then in way.then if then.taken is not None and then.status == DO]
    warned = len(way.warnings) + sum(len(one.warnings) for one in taken)
    found = _TOO_MUCH if way.name == FURTHEST else 0.0
    found += 100.0 * sum(then.status == CANT for then in way.then)
    found += _TOO_MUCH * len(way.gives_up) + 10.0 * sum(then.status == OPEN for then in way.then)
    found += sum(10.0 * abs(then.difference or 0.0) / MM_PER_INCH for then in way.then if then.status == OPEN)
    found += 3.0 * warned + len(taken) + (4.0 if way.name == LEFT else 0.0)
    for most, weight in ((MOVED_BY_MUCH, 50.0), (REDRAWN_AT_MOST, 15.0), (REDRAWN_SIMPLY, 3.0)):
        if max(way.moves, *(one.moves for one in taken), 0.0) > most:
            return found + weight
    return found


def _why(way: Way) -> str:
    open_ = [title_of(then.topic) for then in way.then if then.status == OPEN]
    steps = [title_of(then.topic) for then in way.then if then.status == DO]
    if way.name == LEFT:
        return "every other way costs more than it brings"
    if open_:
        return f"it leaves the least to put right: {' and '.join(open_)}"
    if steps:
        return f"after it, {' and '.join(steps)} can be put right in a plain step"
    return "nothing else has to change for it"
