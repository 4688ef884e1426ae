"""The teaching sheet of a job: what the handout asks for behind its true-to-size pages."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress

from svgfit.cli.work import Job
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.walk import Walk
from svgfit.output.handout.lesson import Lesson
from svgfit.output.handout.teaching import teaching_pages
from svgfit.planning.measuring import Measured, measured
from svgfit.planning.running import Run
from svgfit.planning.walking import rules_of, walk_all


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
    return Lesson(files, tuple(runs), unit, measure, summaries, _walks(job, runs, unit), tuple(warnings))


def _walks(job: Job, runs: Sequence[Run], unit: str) -> tuple[Walk, ...]:
    """Every sleeve walked along its armhole as the plan left both; none where nothing can be walked."""
    try:
        walked = walk_all([run.after for run in runs], job.gathered.seams, rules_of(job.desk.convention.walk), unit)
    except Refusal:
        return ()
    return walked.walks
