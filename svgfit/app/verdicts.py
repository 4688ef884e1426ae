"""Verdicts of the plan that stands in a drawing, run again: checks, the worst first, and what is left to do."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.replay import Replay
from svgfit.app.run import Run
from svgfit.fitting.armhole import pieces_at_cap
from svgfit.model.drawing import Layer
from svgfit.model.piece import paired
from svgfit.model.report import Check
from svgfit.model.run import not_done_texts
from svgfit.model.vocabulary import Status
from svgfit.model.walk import Walk
from svgfit.render.annotate.scene import MEASUREMENTS
from svgfit.render.format_values import verdict_word, walk_title, worst_first

WRITTEN = Check(
    "the plan",
    Status.FAIL,
    "a check failed when svgfit adjusted this drawing; read it among the drawing's own measurements",
)
"""In place of checks that can't be done again."""


class Verdicts(Struct, frozen=True):
    """What a plan's run found."""

    checks: tuple[Check, ...] = ()
    """The plan's own checks and ends, sizes held against each other, and walks that it made fail."""
    also: tuple[str, ...] = ()
    """What else is to be changed, in sentences."""
    warnings: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    """What the plan's writer says of it and of its steps, and which steps were not done, in sentences."""

    @property
    def failed(self) -> tuple[Check, ...]:
        """The checks that say: don't cut yet."""
        return tuple(check for check in self.checks if check.status == Status.FAIL)


def verdicts_of(replay: Replay, *, walks: bool = True) -> Verdicts:
    """Collect what there is to be said of a plan that was run again; nothing where it has no steps and no ends.

    Without ``walks`` those that fail are left out: for who walks the seams anyway.
    """
    run = replay.run
    if not replay.has_plan:
        return Verdicts(warnings=replay.warnings)
    walked = run.walked if walks else None
    checks = [*run.checks, *_failed_walks(walked.walks if walked is not None else (), run)]
    said = [replay.no_steps] if replay.no_steps else []
    warnings = dict.fromkeys((*said, *replay.warnings, *(text for size in run.sizes for text in size.warnings)))
    every = {(check.status, check.name, check.message): check for check in checks}.values()
    return Verdicts(worst_first(every), run.also, tuple(warnings), _says(run))


def _says(run: Run) -> tuple[str, ...]:
    rows = [row for size in run.sizes for row in size.steps if row.note]
    notes = [f"{row.do}{f', {row.piece}' if row.piece else ''}: {row.note}" for row in rows]
    left = (f"{text[0].upper()}{text[1:]}." for text in not_done_texts(run.sizes))
    return tuple(dict.fromkeys(filter(None, (run.plan.note, *notes, *left))))


def _failed_walks(walks: Iterable[Walk], run: Run) -> Iterable[Check]:
    """Give the verdicts that fail, of walks whose sleeve or armhole the run changed, named after their walk."""
    changed = {
        (new.name, new.size) for size in run.sizes for old, new in paired(size.before, size.after) if new is not old
    }
    for walk in walks:
        met = pieces_at_cap(walk.sleeve, run.context.pattern.seams)
        touched = any((name, size) in changed for name in met for size in (walk.size, None))
        for check in walk.verdicts if touched else ():
            if check.status == Status.FAIL:
                yield replace(check, name=f"walk of {walk_title(walk)}, {check.name}")


def written_failure(layers: Iterable[Layer]) -> bool:
    """Tell whether a failed check is written in a measurements layer: for a plan that can't be run again."""
    word = verdict_word("fail")
    return any(
        text.text.content.strip() == word for layer in layers if layer.ours == MEASUREMENTS for text in layer.texts
    )


def check_line(check: Check) -> str:
    """Write a check in one line."""
    return f"{check.title}: {check.message}"
