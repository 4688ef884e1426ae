"""What ``adjust`` says when it is done: the steps with what they got, what changed, checks, files. Plain text."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.length import Units
from svgfit.model.report import Check, PieceRow, Report, StepRow
from svgfit.model.vocabulary import MeasureUnit
from svgfit.render.format_values import has_changed, row_change
from svgfit.render.text.table import columns


def adjust_summary(report: Report, files: Sequence[str], paths: Sequence[str], units: Units) -> str:
    """Write the summary of a run; lengths in ``units``."""
    parts = [_step(number, step, units) for number, step in enumerate(report.steps, 1)]
    parts += [text for piece in report.pieces if (text := changes(piece, units))]
    if report.checks:
        parts.append(checks_text(report.checks))
    if paths:
        wrote = [f"{file} -> {path}" for file, path in zip(files, paths, strict=False)]
        parts.append("written:\n" + "\n".join(f"  {line}" for line in wrote))
    else:
        parts.append("nothing written (--dry-run)")
    return "\n\n".join(parts)


def _step(number: int, step: StepRow, units: Units) -> str:
    asked = ", ".join(f"{name} {text}" for name, text in step.asked.items())
    head = f"{number}. {step.do}" + (f", {step.piece}" if step.piece else "") + (f": {asked}" if asked else "")
    lines = [(name, spell(value, "mm", units)) for name, value in step.got.items()]
    rows = [columns(lines, indent="     ")] if lines else []
    rows += [
        f"     opening in the {found.edge}, {spell(found.at, 'mm', units)} along: "
        f"{spell(found.width, 'mm', units)} wide, the edge gains {spell(found.gain, 'mm', units)}"
        for found in step.openings
    ]
    rows += [f"     {found.message}" for found in step.also]
    return "\n".join([head, *rows])


def changes(piece: PieceRow, units: Units) -> str:
    """List the measurements of a piece that changed, before and after; "" where none did."""
    rows = [row for row in piece.measurements if has_changed(row)]
    if not rows:
        return ""
    table = [
        (
            row.name,
            spell(row.before, row.unit, units),
            spell(row.after, row.unit, units),
            row_change(row, units),
        )
        for row in rows
    ]
    return columns([(piece.title, "before", "after", "change"), *table])


def spell(value: float | None, kind: str, units: Units) -> str:
    """Format a measurement: a length in ``units``, an angle in degrees, "-" for none."""
    if value is None:
        return "-"
    return (
        units.length(value)
        if kind == MeasureUnit.MM
        else f"{value:.1f} {'°' if kind == MeasureUnit.DEG else kind}".strip()
    )


def checks_text(checks: Sequence[Check]) -> str:
    """List checks, a line each, the verdict first."""
    return columns([(check.status, check.name, check.message) for check in checks])
