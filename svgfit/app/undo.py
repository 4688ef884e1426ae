"""Steps taken back: the plans that stand in drawings are run again without their last steps."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.plan_record import Recorded, recorded_plan
from svgfit.app.replay import after_plans, other_plugins
from svgfit.app.session import Session
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal

_AS_DRAWN = "the outlines as drawn stand in it still: leave out --from adjusted and --undo"


class TakenBack(Struct, frozen=True):
    """What is to be run so that the last steps are taken back."""

    session: Session
    plan: Plan
    warnings: tuple[str, ...]


def take_back(session: Session, count: int, further: Plan | None = None, *, discard_edits: bool = False) -> TakenBack:
    """Take back the last ``count`` steps (a table of ends is one) of the plans that stand in a session's drawings.

    What is left of them is run again, in turn, from the outlines as drawn; then comes ``further``, where it is given.
    The last plan of all is given back, with the session to run it on. Raises Refusal where the drawings hold no plan,
    fewer steps, outlines of which it is not known how they were made, or edits that would be lost, and where nothing is
    left to be done.
    """
    where = ", ".join(session.files)
    layers = [(file, session.svgfit_layers(file)) for file in session.files]
    edited = [layer.name for _, own in layers for layer in own if layer.edited]
    if edited and not discard_edits:
        what = f'layer "{edited[0]}" was edited since svgfit wrote it, and doing the steps again would lose that'
        raise Refusal(where, what, "give --discard-edits too where that may be, else go on without --undo")
    recorded, warnings = recorded_plan(layers)
    if recorded is None:
        raise Refusal(where, "no plan stands in it, so there is no step to take back", "give a drawing svgfit adjusted")
    every = (*recorded.earlier, replace(recorded, earlier=()))
    if every[0].from_adjusted:
        what = "its plan went on from outlines of which the drawing does not tell how they were made"
        raise Refusal(where, what, "take the steps back in the drawing that it went on from")
    left = _without_last(every, count, where, alone=further is None)
    if not left and further is None:
        what = f"without its last {count} steps nothing of its plan is left" if count > 1 else "its plan has one step"
        raise Refusal(where, what, _AS_DRAWN)
    warnings = (*warnings, *other_plugins(recorded, session))
    if further is not None:
        return TakenBack(after_plans(session, left), further, warnings)
    last = left[-1]
    began = after_plans(session, left[:-1])
    options = replace(began.options, scale=began.options.scale or last.scale, size=began.options.size or last.size)
    return TakenBack(began.narrowed(options=options), last.plan, warnings)


def _without_last(plans: Sequence[Recorded], count: int, where: str, *, alone: bool) -> tuple[Recorded, ...]:
    """Leave out the last steps; those of the last plan first, its ends, which are done last, before its steps.

    ``alone``: whether nothing is done after, so that a step has to be left.
    """
    there = sum(len(one.plan.steps) + len(one.plan.ends) for one in plans)
    if count > there:
        what = f"it remembers {there} step{'s' * (there != 1)}, not {count}"
        most = there - 1 if alone else there
        todo = f"give --undo 1{f' to {most}' if most > 1 else ''}" if most else _AS_DRAWN
        raise Refusal(where, what, f"{todo}; svgfit plan show lists the steps")
    left: list[Recorded] = []
    for one in reversed(plans):
        steps, ends = one.plan.steps, one.plan.ends
        from_ends = min(count, len(ends))
        from_steps = min(count - from_ends, len(steps))
        count -= from_ends + from_steps
        plan = replace(one.plan, steps=steps[: len(steps) - from_steps], ends=ends[: len(ends) - from_ends])
        if plan.steps or plan.ends:
            left.insert(0, replace(one, plan=plan))
    return tuple(left)
