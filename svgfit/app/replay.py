"""The plan that stands in a drawing run again in memory, also one that went on from outlines adjusted before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.plan_record import Recorded, recorded_plan
from svgfit.app.run import NO_STEPS, PatternContext, Run, run_sizes
from svgfit.app.step_figures import measured_by
from svgfit.model.piece import Piece, paired
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun

if TYPE_CHECKING:
    from svgfit.app.session import Session

_SAME = 0.01
"""Outlines that part by less than this, mm, are the same."""


class Replay(Struct, frozen=True):
    """A drawing's plan run again in memory."""

    run: Run
    warnings: tuple[str, ...] = ()
    no_steps: str = ""
    """Why the steps can't be shown though a plan was run: a sentence; "" where they can, or none was run."""
    earlier: tuple[Plan, ...] = ()
    """Plans that made the outlines on which this one began."""

    @property
    def has_plan(self) -> bool:
        """Whether a plan stands in the drawing, even one whose steps can't be shown."""
        return bool(self.run.plan.steps or self.run.plan.ends or self.no_steps)


def replay(session: Session) -> Replay:
    """Run the plan that stands in a session's drawings on what was drawn; no steps where none does.

    One that went on from adjusted outlines is run on those, made again by the plans before it. Where that can't be
    done, the runs have no steps: they hold the pieces as drawn and as adjusted, and ``no_steps`` says why. Scale and
    size are those of the first run where the session names none. Raises Refusal for what can't be read or run.
    """
    layers = [(file, session.svgfit_layers(file)) for file in session.files]
    recorded, found = recorded_plan(layers)
    edited = tuple(_edited(file, session) for file, own in layers if any(layer.edited for layer in own))
    warnings = (*found, *edited)
    if recorded is None:
        return Replay(session.unchanged, warnings)
    warnings = (*warnings, *other_plugins(recorded, session))
    options = session.options
    asked = session.narrowed(
        options=replace(options, scale=options.scale or recorded.scale, size=options.size or recorded.size)
    )
    if not (recorded.from_adjusted or options.from_adjusted):
        return Replay(_run(asked.context, recorded.plan), warnings)
    why = "The steps are not shown: they went on from outlines adjusted before, and "
    if options.from_adjusted or not recorded.earlier:
        return _without_steps(asked, warnings, why + "how those were made does not stand in the drawing.")
    try:
        run = _run_in_turn(asked, recorded)
    except Refusal as refusal:
        because = session.units.speak(refusal.parts[1])
        return _without_steps(asked, warnings, f"{why}those can't be made again: {because}.")
    if not edited and not _ends_as_drawn(asked, run):
        return _without_steps(asked, warnings, f"{why}made again they differ from those in the drawing.")
    return Replay(run, warnings, "", tuple(one.plan for one in recorded.earlier))


def other_plugins(recorded: Recorded, session: Session) -> tuple[str, ...]:
    """Warn of steps that another plug-in, or another version of it, does now than did them."""
    steps = [step for plan in (*recorded.earlier, recorded) for step in plan.plan.steps]
    found: list[str] = []
    for step in steps:
        measures = measured_by(step, session.registry) if step.measured_by else ""
        if measures != step.measured_by:
            here = f"here by {measures}" if measures else "here nothing does"
            what = f"what {step.do} looks at was measured by {step.measured_by}, {here}"
            found.append(f"{step.where}: {what}, which may give something else")
        now = session.registry.made_by(step.do) if step.by else ""
        if now != step.by:
            here = f"here it is {now}" if now else "here it is not, or svgfit's own"
            found.append(f"{step.where}: {step.do} was done by {step.by}; {here}, which may give something else")
    return tuple(dict.fromkeys(found))


def _run(context: PatternContext, plan: Plan, *, cut: bool = False) -> Run:
    return Run(context, plan, run_sizes(context, plan, cut=cut))


def _edited(file: str, session: Session) -> str:
    names = ", ".join(f'"{layer.name}"' for layer in session.svgfit_layers(file) if layer.edited)
    return f"{file}: the steps are shown as svgfit did them; what was edited since in {names} is not in them"


def _run_in_turn(session: Session, recorded: Recorded) -> Run:
    """Run the plans one after another, each on the outlines that the one before it drew."""
    return _run(after_plans(session, recorded.earlier).context, recorded.plan)


def after_plans(session: Session, plans: Sequence[Recorded]) -> Session:
    """Run plans one after another and look at the outlines that the last one drew, read back as they were.

    The first is run on the outlines as drawn. Scale and size of each are its own where the session names none; without
    plans what is drawn is looked at. Raises Refusal for a step that can't be done.
    """
    if not plans:
        return session.looking_at(adjusted=False)
    data: Mapping[str, bytes] | None = None
    for number, one in enumerate(plans):
        scale = session.options.scale or one.scale
        options = replace(session.options, scale=scale, size=one.size, from_adjusted=number > 0)
        began = session.narrowed(options=options) if data is None else session.on_bytes(data, options)
        annotated = _run(began.context, one.plan, cut=True).annotated(discard_edits=True)
        data = dict(zip(session.files, annotated.drawings, strict=True))
    return session.on_bytes(data or {}, replace(session.options, from_adjusted=True))


def _ends_as_drawn(session: Session, run: Run) -> bool:
    """Tell whether the run ends with the outlines that stand in the drawings."""
    there = session.looking_at(adjusted=True).pieces
    made = {
        piece.title: piece for size in run.sizes for old, piece in paired(size.before, size.after) if piece is not old
    }
    return all(_alike(piece, made[piece.title]) for piece in there if piece.title in made)


def _alike(one: Piece, other: Piece) -> bool:
    """Tell whether two pieces have one outline on the page's grid, wherever it lies."""
    first, second = one.outline(), other.outline()
    if len(first) != len(second):
        return False
    steps = np.arange(4 * len(first)) / 4
    first_points, second_points = first.points(steps), second.points(steps)
    return bool(np.abs(first_points - second_points - (first_points - second_points).mean()).max() < _SAME)


def _without_steps(session: Session, warnings: tuple[str, ...], why: str) -> Replay:
    """Give the pieces as drawn and as adjusted, and no step between."""
    drawn, adjusted = session.looking_at(adjusted=False), session.looking_at(adjusted=True)
    pairs = zip(drawn.unchanged.sizes, adjusted.unchanged.sizes, strict=True)
    sizes = tuple(_between(old, new) for old, new in pairs)
    return Replay(Run(drawn.context, NO_STEPS, sizes), warnings, why)


def _between(drawn: SizeRun, adjusted: SizeRun) -> SizeRun:
    """Make a run from pieces as drawn to pieces as adjusted."""
    now = {piece.key: piece for piece in adjusted.after}
    there = {piece.key for piece in drawn.before}
    kept = [_same_or(piece, now[piece.key]) for piece in drawn.before if piece.key in now]
    after = (*kept, *(piece for piece in adjusted.after if piece.key not in there))
    figures = {
        new.title: (adjusted if new is not old or new.key not in there else drawn).measured_before.get(old.title, ())
        for old, new in paired(drawn.before, after)
    }
    if set(adjusted.seams) != set(drawn.seams):
        drawn = replace(drawn, seams=adjusted.seams, seams_as_read=False)
    return replace(drawn, after=after, measured_after=figures, garment_after=adjusted.garment_before)


def _same_or(piece: Piece, now: Piece) -> Piece:
    """Give the piece itself where it is as it was, else as it is now."""
    return piece if _alike(piece, now) else now
