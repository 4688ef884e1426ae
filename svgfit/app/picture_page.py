"""What the HTML page of ``svgfit picture`` tells: the drawing measured as drawn and, where it was, as adjusted."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.open_drawings import Desk, Wishes
from svgfit.app.parameter_values import check_closed
from svgfit.app.replay import run_again
from svgfit.app.seam_checks import seam_checks
from svgfit.app.session import NO_STEPS, Job, run_steps, understand
from svgfit.app.verdicts import WRITTEN, Verdicts, verdicts_of, written_failure
from svgfit.app.walk_strips import every_walk
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check, PieceRow
from svgfit.model.run import Run, measurement_rows
from svgfit.model.walk import Walk
from svgfit.render.annotate.scene import ADJUSTED
from svgfit.render.html.page import Page, html
from svgfit.render.html.sheet import Box, box_of, sheet, window_of
from svgfit.svg import Drawing, read_own

_ACROSS = 1600
"""Pixels across that a layer's picture says it has; it is drawn as large as it is shown."""


class Told(Struct, frozen=True):
    """What was measured and found."""

    rows: tuple[PieceRow, ...] = ()
    walks: tuple[Walk, ...] = ()
    checks: tuple[Check, ...] = ()
    boxes: tuple[tuple[str, Box], ...] = ()
    notes: tuple[str, ...] = ()


def picture_page(drawing: Drawing, parts: Sequence[str], desk: Desk, wish: Wishes, unit: str | None) -> str:
    """The page for one drawing. What keeps its pieces from being measured becomes a note on it."""
    file = drawing.canvas.file
    adjusted = ADJUSTED in parts
    try:
        told = _tell(
            drawing, _run(file, desk, wish, unit), _run(file, desk, _going_on(wish), unit) if adjusted else None
        )
    except Refusal as refusal:
        told = Told(notes=(f"Nothing was measured: {refusal.line()}.",))
    plan = _plan_verdicts(drawing, desk, wish, unit)
    window = window_of(drawing, parts)
    down = max(1, round(_ACROSS * window.height / window.width))
    notes = dict.fromkeys((*told.notes, *drawing.warnings, *plan.warnings))
    return html(
        Page(
            title=os.path.basename(file),
            window=window,
            sheets=tuple((part, sheet(drawing, (part,), window, _ACROSS, down)) for part in parts),
            unit=unit or desk.convention.unit,
            boxes=told.boxes,
            rows=told.rows,
            walks=told.walks,
            checks=told.checks,
            plan=plan.checks,
            also=plan.also,
            # Pages are sent to others: they need not know in whose folder the drawing lay.
            notes=tuple(note.replace(file, os.path.basename(file)) for note in notes),
        )
    )


def _plan_verdicts(drawing: Drawing, desk: Desk, wish: Wishes, unit: str | None) -> Verdicts:
    """What the plan in the drawing proved, done again on what was drawn; a note where it can't be done again.

    Then whether a check failed is told by what is written in the drawing.
    """
    file = drawing.canvas.file
    if not any(layer.plan for layer in read_own(file)):
        return Verdicts()
    try:
        found = verdicts_of(run_again((file,), desk, wish, unit), walks=False)
    except Refusal as refusal:
        found = Verdicts(warnings=(f"The checks of its plan can't be done again: {refusal.line()}.",))
    if not found.checks and written_failure(drawing.layers):
        return replace(found, checks=(WRITTEN,))
    return found


def _going_on(wish: Wishes) -> Wishes:
    return replace(wish, from_adjusted=True)


def _run(file: str, desk: Desk, wish: Wishes, unit: str | None) -> tuple[Job, tuple[Run, ...]]:
    job = understand((file,), desk, wish, unit)
    for piece in job.gathered.pieces:
        check_closed(piece, desk.registry)
    return job, run_steps(job, NO_STEPS)


def _tell(drawing: Drawing, drawn: tuple[Job, tuple[Run, ...]], adjusted: tuple[Job, tuple[Run, ...]] | None) -> Told:
    rows: list[PieceRow] = []
    last = adjusted or drawn
    after = {piece.title: found for run in last[1] for piece in run.before if (found := _of(run, piece.title))}
    for run in drawn[1]:
        for piece in run.before:
            before = _of(run, piece.title)
            figures = measurement_rows(before, after.get(piece.title, ()) if adjusted else ())
            rows.append(PieceRow(piece.file, piece.name, piece.kind, piece.size, figures))
    boxes = [
        (piece.title, box)
        for run in last[1]
        for piece in run.before
        if (box := box_of(drawing.layers, piece.name, piece.size)) is not None
    ]
    walks, checks = _walked(*last)
    return Told(tuple(dict.fromkeys(rows)), walks, checks, tuple(dict.fromkeys(boxes)))


def _walked(job: Job, runs: Sequence[Run]) -> tuple[tuple[Walk, ...], tuple[Check, ...]]:
    """Walks of the sleeves and the checks beside them; where there is nothing to walk, seam against seam."""
    walked = every_walk(runs, job.gathered.seams, job.desk.convention, job.unit)
    if walked is None:
        found = [check for run in runs for check in seam_checks(run.after, run.seams, job.unit)]
        return (), tuple({(check.name, check.message): check for check in found}.values())
    return walked.walks, walked.checks


def _of(run: Run, title: str) -> tuple[Any, ...]:
    return run.measured_before.get(title, ())
