"""What a plan that stands in a drawing proved, told again: its checks, the worst first, and what it left to do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.replay import Again
from svgfit.app.session import across_sizes
from svgfit.app.walk_strips import every_walk
from svgfit.fitting.armhole import pieces_at_cap
from svgfit.model.drawing import Layer
from svgfit.model.plan import Seam
from svgfit.model.report import Check
from svgfit.model.run import Run
from svgfit.model.walk import Walk
from svgfit.render.annotate.scene import MEASUREMENTS
from svgfit.render.format_values import verdict_word, worst_first
from svgfit.render.text.walk_table import walk_title

WRITTEN = Check(
    "the plan", "fail", "a check failed when svgfit adjusted this drawing; read it among the drawing's own measurements"
)
"""In place of checks that can't be done again."""


class Verdicts(Struct, frozen=True):
    """What a plan's run found."""

    checks: tuple[Check, ...] = ()
    """The plan's own checks and ends, sizes held against each other, and walks that it made fail."""
    also: tuple[str, ...] = ()
    """What else is to be changed, in sentences."""
    warnings: tuple[str, ...] = ()

    @property
    def failed(self) -> tuple[Check, ...]:
        """The checks that say: don't cut yet."""
        return tuple(check for check in self.checks if check.status == "fail")


def verdicts_of(again: Again, *, walks: bool = True) -> Verdicts:
    """What there is to be said of a plan that was run again; nothing where it has no steps and no ends.

    Without ``walks`` those that fail are left out: for who walks the seams anyway.
    """
    job, runs = again.job, again.runs
    if not (again.plan.steps or again.plan.ends or again.no_steps):
        return Verdicts(warnings=again.warnings)
    walked = every_walk(runs, job.gathered.seams, job.desk.convention, job.unit) if walks else None
    checks = [
        *(check for run in runs for check in run.checks),
        *across_sizes(job, runs),
        *_failed_walks(walked.walks if walked is not None else (), runs, job.gathered.seams),
    ]
    also = dict.fromkeys(row.message for run in runs for step in run.steps for row in step.also)
    told = [again.no_steps] if again.no_steps else []
    warnings = dict.fromkeys((*told, *again.warnings, *(text for run in runs for text in run.warnings)))
    every = {(check.status, check.name, check.message): check for check in checks}.values()
    return Verdicts(worst_first(every), tuple(also), tuple(warnings))


def _failed_walks(walks: Iterable[Walk], runs: Sequence[Run], seams: Sequence[Seam]) -> Iterable[Check]:
    """The verdicts that fail, of walks whose sleeve or armhole the runs changed, named after their walk."""
    changed = {new.name for run in runs for old, new in zip(run.before, run.after, strict=True) if new is not old}
    for walk in walks:
        met = pieces_at_cap(walk.sleeve, seams)
        for check in walk.verdicts if met & changed else ():
            if check.status == "fail":
                yield replace(check, name=f"walk of {walk_title(walk)}, {check.name}")


def written_failure(layers: Iterable[Layer]) -> bool:
    """Whether a measurements layer has a failed check written in it: for a drawing whose plan can't be run again."""
    word = verdict_word("fail")
    return any(
        text.text.content.strip() == word for layer in layers if layer.ours == MEASUREMENTS for text in layer.texts
    )


def told_check(check: Check) -> str:
    """A check in one line."""
    return f"{check.name}: {check.message}"
