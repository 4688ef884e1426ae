"""The teaching sheet of a job: what the handout asks for behind its true-to-size pages."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress

from msgspec import Struct
from msgspec.structs import replace

from svgfit.cli.strips import every_walk
from svgfit.cli.work import NO_STEPS, Job, run_steps, understand
from svgfit.drawing import read_own
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.output.handout.lesson import Lesson
from svgfit.output.handout.mini import read_mini
from svgfit.output.handout.minipages import Laid, mini_pages
from svgfit.output.handout.teaching import teaching_pages
from svgfit.planning.gathering import Desk, Wishes
from svgfit.planning.measuring import Measured, measured
from svgfit.planning.recorded import recorded_plan
from svgfit.planning.running import Run


class Again(Struct, frozen=True):
    """A drawing's plan run again in memory."""

    job: Job
    runs: tuple[Run, ...]
    plan: Plan
    warnings: tuple[str, ...] = ()


def run_again(files: Sequence[str], desk: Desk, wish: Wishes, unit: str | None) -> Again:
    """The plan that stands in drawings which svgfit adjusted, run again on what was drawn; no steps where none does.

    Scale and size are those of the first run where ``wish`` names none. Raises Refusal for what can't be read or run.
    """
    sheets = [(file, read_own(file)) for file in files]
    recorded, found = recorded_plan(sheets)
    warnings = list(found)
    plan = recorded.plan if recorded is not None else NO_STEPS
    if recorded is not None:
        wish = replace(wish, scale=wish.scale or recorded.scale, size=wish.size or recorded.size)
    if recorded is not None and (recorded.from_adjusted or wish.from_adjusted):
        todo = (
            "it went on from outlines adjusted before, so its steps can't be shown; adjust the drawn ones in one plan"
        )
        warnings.append(f"{files[0]}: {todo}")
        plan = NO_STEPS
    for file, layers in sheets:
        edited = [f'"{layer.name}"' for layer in layers if layer.edited]
        if edited:
            what = (
                f"the steps are shown as svgfit did them; what was edited since in {', '.join(edited)} is not in them"
            )
            warnings.append(f"{file}: {what}")
    job = understand(files, desk, wish, unit)
    return Again(job, run_steps(job, plan), plan, tuple(warnings))


def teaching_pdf(job: Job, runs: Sequence[Run], paper: tuple[float, float], unit: str) -> bytes:
    """The teaching sheet as a PDF on paper of (width, height) mm, speaking in ``unit``; the runs' own stages shown."""
    return teaching_pages(lesson_of(job, runs, unit), paper)


def lesson_of(job: Job, runs: Sequence[Run], unit: str) -> Lesson:
    """What the teaching sheet is made from."""
    registry = job.desk.registry
    measurers = tuple(registry.measurers())

    def measure(pieces: tuple[Piece, ...]) -> Measured:
        return measured(pieces, job.gathered.seams, measurers)

    summaries: dict[str, str] = {}
    for name in {stage.row.do for run in runs for stage in run.stages}:
        with suppress(Refusal):
            summaries[name] = registry.operation(name).summary
    warnings = dict.fromkeys(text for run in runs for text in run.warnings)
    files = ", ".join(os.path.basename(file) for file in job.files)
    walked = every_walk(runs, job.gathered.seams, job.desk.convention, unit)
    walks = walked.walks if walked is not None else ()
    return Lesson(files, tuple(runs), unit, measure, summaries, walks, tuple(warnings))


def mini_pdf(
    job: Job, runs: Sequence[Run], paper: tuple[float, float], unit: str, mini: str, laid: Laid | None = None
) -> bytes:
    """Minis of the pieces that changed (all where none did) as a PDF, at a scale such as ``1/2`` or ``1/4``."""
    return mini_pages(lesson_of(job, runs, unit), paper, read_mini(mini), laid)
