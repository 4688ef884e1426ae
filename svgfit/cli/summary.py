"""What ``adjust`` says when it is done: the steps, what changed, what fails, what to do, files. Plain text.

On one screen; ``Detail.verbose`` says all: what each step got and left unmatched, every size, every check.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from svgfit.model.length import Units
from svgfit.model.report import Check, MeasurementRow, PieceRow, Report, StepRow
from svgfit.model.vocabulary import Status
from svgfit.model.wording import across_sizes
from svgfit.render.annotate.nest import shared_steps
from svgfit.render.format_values import (
    UNCHANGED,
    before_after,
    cell_text,
    has_changed,
    notable_rows,
    row_change,
    value_text,
)
from svgfit.render.text.table import columns

_FEW_CHECKS = 4
"""More checks than these are listed only where they do not pass."""
_FEW_SIZES = 6
"""Of more sizes than these, a table has the first and the last."""


class Detail(NamedTuple):
    """How much is said."""

    verbose: bool = False
    every_row: bool = False
    """Whether rows that nobody sews by, such as the outline's length, are there too."""


class Done(NamedTuple):
    """What there is to tell of, beside the report."""

    also: Sequence[str] = ()
    """What the run left to be changed elsewhere."""
    redrawn: Sequence[str] = ()
    """Where makers' cut lines were redrawn."""
    files: Sequence[str] = ()
    paths: Sequence[str] = ()
    """Where they were written; () where nothing was."""


def adjust_summary(report: Report, done: Done, units: Units, detail: Detail) -> str:
    """Write the summary of a run; lengths in ``units``."""
    sizes = sizes_of(report.pieces)
    steps = report.steps if detail.verbose else shared_steps(report.steps, report.pieces)
    lines = (_step(number, step, units, detail) for number, step in enumerate(steps, 1))
    parts = [report.note] if report.note else []
    parts += [("\n\n" if detail.verbose else "\n").join(lines)] if steps else []
    parts += _not_done(report, sizes)
    parts += _tables(report.rows, units, detail)
    parts += [text for text in (_checks(report.checks, sizes, detail),) if text]
    parts += ["\n".join(done.also)] if done.also else []
    if done.paths:
        parts.append("written:\n" + "\n".join(f"  {a} -> {b}" for a, b in zip(done.files, done.paths, strict=False)))
    else:
        parts.append("nothing written (--dry-run)")
    if done.redrawn:
        redrawn = done.redrawn if detail.verbose else across_sizes(done.redrawn, sizes)
        parts.append("cut lines:\n" + "\n".join(f"  {sentence}" for sentence in redrawn))
    return "\n\n".join(parts)


def sizes_of(pieces: Iterable[PieceRow]) -> tuple[str, ...]:
    """List the sizes there are, each once."""
    return tuple(dict.fromkeys(piece.size for piece in pieces if piece.size))


def _step(number: int, step: StepRow, units: Units, detail: Detail) -> str:
    asked = ", ".join(f"{name} {text}" for name, text in step.asked.items())
    head = f"{number}. {step.do}" + (f", {step.piece}" if step.piece else "") + (f": {asked}" if asked else "")
    head += f"; {step.came_and_went}" if step.came_and_went else ""
    if step.note:
        head += f"\n   note: {step.note}"
    if not detail.verbose:
        return head
    lines = [(name, value_text(value, step.unit_of(name), units)) for name, value in step.got.items()]
    rows = [columns(lines, indent="     ")] if lines else []
    rows += [
        f"     opening in the {found.edge}, {units.length(found.at)} along: "
        f"{units.length(found.width)} wide, the edge {'gains' if found.gain >= 0 else 'loses'} "
        f"{units.length(abs(found.gain))}"
        for found in step.openings
    ]
    rows += [f"     {found.message}" for found in step.also]
    return "\n".join([head, *rows])


def _not_done(report: Report, sizes: Sequence[str]) -> list[str]:
    """List the steps that were not done, each with why."""
    rows = across_sizes((row.sentence for row in report.not_done), sizes) if report.not_done else []
    return ["\n".join(rows)] if rows else []


# -- what changed ------------------------------------------------------------------------------------------------------


def _tables(pieces: Sequence[PieceRow], units: Units, detail: Detail) -> list[str]:
    groups: dict[tuple[str, str], list[PieceRow]] = {}
    for piece in pieces:
        groups.setdefault((piece.file, piece.name), []).append(piece)
    found: list[str] = []
    for rows in groups.values():
        if len(rows) == 1 or detail.verbose:
            found += [_piece(piece, units, detail) for piece in rows]
        else:
            found.append(_nest(rows, units, detail))
    return list(filter(None, found))


def _changed(piece: PieceRow, units: Units, detail: Detail) -> list[MeasurementRow]:
    rows = piece.measurements if detail.every_row else notable_rows(piece.measurements)
    return [row for row in rows if has_changed(row) and row_change(row, units) != UNCHANGED]


def _piece(piece: PieceRow, units: Units, detail: Detail) -> str:
    """List the measurements of a piece that changed, before and after; "" where none did."""
    rows = _changed(piece, units, detail)
    table = [(row.name, *before_after(row, units)) for row in rows]
    return columns([(piece.title, "before", "after", "change"), *table]) if table else ""


def _nest(pieces: Sequence[PieceRow], units: Units, detail: Detail) -> str:
    """List what changed of a piece in several sizes: by how much, and what it is then in each."""
    shown = pieces if len(pieces) <= _FEW_SIZES else (pieces[0], pieces[-1])
    names = dict.fromkeys(row.name for piece in pieces for row in _changed(piece, units, detail))
    table: list[tuple[str, ...]] = []
    for name in names:
        rows = [row for piece in pieces if (row := piece.find(name)) is not None]
        now = (piece.find(name) for piece in shown)
        cells = (cell_text(row and row.after, row.unit if row else "", units) for row in now)
        table.append((name, _change(rows, units), *cells))
    if not table:
        return ""
    head = (f"{pieces[0].name}, size", "change", *(piece.size or "" for piece in shown))
    note = "" if len(shown) == len(pieces) else f"\n  ({len(pieces)} sizes; --verbose shows each)"
    return columns([head, *table]) + note


def _change(rows: Sequence[MeasurementRow], units: Units) -> str:
    """Write by how much the sizes of a figure changed: once where all did alike."""
    known = [row for row in rows if row.before is not None and row.after is not None]
    known.sort(key=lambda row: (row.after or 0.0) - (row.before or 0.0))
    texts = list(dict.fromkeys(row_change(row, units) for row in known))
    return f"{texts[0]} to {texts[-1]}" if len(texts) > 1 else "".join(texts)


# -- checks ------------------------------------------------------------------------------------------------------------


def _checks(checks: Sequence[Check], sizes: Sequence[str], detail: Detail) -> str:
    """List checks, a line each, the verdict first; of many those that do not pass, the rest counted."""
    if detail.verbose or len(checks) <= _FEW_CHECKS:
        return columns([(check.status, check.title, check.message) for check in checks])
    told = [check for check in checks if check.status != Status.PASS]
    rows = [text.split("\0") for text in across_sizes((f"{c.status}\0{c.title}\0{c.message}" for c in told), sizes)]
    passed = len(checks) - len(told)
    count = f"  {passed} check{'s pass' if passed > 1 else ' passes'} (--verbose lists them)" if passed else ""
    return "\n".join(filter(None, (columns(rows), count)))
