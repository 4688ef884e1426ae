"""The teaching sheet and the minis of a run: what a handout has behind its true-to-size pages."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress

from msgspec.structs import replace

from svgfit.app.run import Run
from svgfit.fitting.measure import measure_all
from svgfit.model.length import Units
from svgfit.model.operation import Operation
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Step
from svgfit.model.refusal import Refusal
from svgfit.model.run import Measured, not_done_texts
from svgfit.pattern.seam_map import seams_of_size
from svgfit.render.pdf.lesson import Lesson
from svgfit.render.pdf.mini import read_mini
from svgfit.render.pdf.mini_pages import Laid, mini_pages
from svgfit.render.pdf.teaching import teaching_pages


def teaching_pdf(run: Run, paper: tuple[float, float], units: Units, note: str = "") -> bytes:
    """Typeset the teaching sheet on paper of (width, height) mm, speaking in ``units``, as a PDF.

    ``note`` is said beside the steps: on what they went on, or why none is shown.
    """
    return teaching_pages(replace(lesson_of(run, units), note=note), paper)


def mini_pdf(run: Run, paper: tuple[float, float], units: Units, mini: str, laid: Laid | None = None) -> bytes:
    """Typeset minis of the pieces that changed (all where none did) at a scale such as ``1/2`` or ``1/4``, as a PDF."""
    return mini_pages(lesson_of(run, units), paper, read_mini(mini), laid)


def went_on(earlier: Sequence[Plan]) -> str:
    """Say which plans came before the one shown; "" where none did."""
    steps = [_briefly(step) for plan in earlier for step in (*plan.steps, *plan.ends)]
    start = "Before means here: as an earlier plan had left it"
    return f"{start} ({'; '.join(steps)})." if steps else ""


def _briefly(step: Step) -> str:
    asked = [f"{name.replace('-', ' ')} {text}" for name, text in step.asked]
    asked += [f"{name.replace('-', ' ')} by size" for name, _ in step.by_size]
    asked += [f"{name.replace('-', ' ')} by measurement" for name, _ in step.measured]
    return " ".join((step.do, ", ".join(asked))).rstrip()


def lesson_of(run: Run, units: Units) -> Lesson:
    """Put together what the teaching sheet is made from."""
    context = run.context
    registry = context.setup.registry
    measurers = tuple(registry.measurers())

    def measure(pieces: tuple[Piece, ...]) -> Measured:
        return measure_all(pieces, seams_of_size(pieces, context.pattern.seams), measurers)

    operations: dict[str, Operation] = {}
    for name in {stage.row.do for size in run.sizes for stage in size.stages}:
        with suppress(Refusal):
            operations[name] = registry.operation(name)
    warnings = dict.fromkeys(text for size in run.sizes for text in size.warnings)
    files = ", ".join(os.path.basename(file) for file in context.files)
    walks = run.walked.walks if run.walked is not None else ()
    left = (f"{text[0].upper()}{text[1:]}." for text in not_done_texts(run.sizes))
    says = tuple(filter(None, (run.plan.note, *left)))
    return Lesson(files, run.sizes, units, measure, operations, walks, tuple(warnings), says=says)
