"""The teaching sheet of a job: what the handout asks for behind its true-to-size pages."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress

from msgspec.structs import replace

from svgfit.app.session import Job
from svgfit.app.walk_strips import every_walk
from svgfit.fitting.measure import measure_all
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.run import Measured, Run
from svgfit.render.pdf.lesson import Lesson
from svgfit.render.pdf.mini import read_mini
from svgfit.render.pdf.mini_pages import Laid, mini_pages
from svgfit.render.pdf.teaching import teaching_pages


def teaching_pdf(job: Job, runs: Sequence[Run], paper: tuple[float, float], unit: str, told: str = "") -> bytes:
    """The teaching sheet as a PDF on paper of (width, height) mm, speaking in ``unit``; the runs' own stages shown.

    ``told`` is said beside them: on what they went on, or why none is shown.
    """
    return teaching_pages(replace(lesson_of(job, runs, unit), told=told), paper)


def went_on(earlier: Sequence[Plan]) -> str:
    """What is said of plans that came before the one shown; "" where none did."""
    steps = [_briefly(step) for plan in earlier for step in (*plan.steps, *plan.ends)]
    told = "Before means here: as an earlier plan had left it"
    return f"{told} ({'; '.join(steps)})." if steps else ""


def _briefly(step: Step) -> str:
    asked = [f"{name.replace('-', ' ')} {text}" for name, text in step.asked]
    asked += [f"{name.replace('-', ' ')} by size" for name, _ in step.by_size]
    return " ".join((step.do, ", ".join(asked))).rstrip()


def lesson_of(job: Job, runs: Sequence[Run], unit: str) -> Lesson:
    """What the teaching sheet is made from."""
    registry = job.desk.registry
    measurers = tuple(registry.measurers())

    def measure(pieces: tuple[Piece, ...]) -> Measured:
        return measure_all(pieces, job.gathered.seams, measurers)

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
