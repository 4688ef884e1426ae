"""The report of a run, as a record: what svgfit.render writes as JSON, CSV and tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import UNSET

from svgfit.model.drawing import Canvas
from svgfit.model.report import Check, DrawingRow, Report
from svgfit.model.run import SizeRun, garment_rows, piece_rows
from svgfit.version import __version__


def make_report(
    canvases: Iterable[Canvas],
    runs: Sequence[SizeRun],
    *,
    checks: Iterable[Check] = (),
    warnings: Iterable[str] = (),
    note: str = "",
) -> Report:
    """Make one report of all sizes' runs; ``checks`` and ``warnings`` are added to theirs, each warning once.

    ``note`` is what the plan's writer says of it.
    """
    every = [*warnings, *(warning for run in runs for warning in run.warnings)]
    return Report(
        svgfit=__version__,
        drawings=tuple(DrawingRow(canvas.file, canvas.mm_per_user_unit, canvas.scale_from) for canvas in canvases),
        pieces=tuple(row for run in runs for row in piece_rows(run)),
        steps=tuple(step for run in runs for step in run.steps),
        checks=(*(check for run in runs for check in run.checks), *checks),
        warnings=tuple(dict.fromkeys(every)),
        not_done=tuple(row for run in runs for row in run.not_done) or UNSET,
        note=note or UNSET,
        garment=garment_rows(runs) or UNSET,
    )
