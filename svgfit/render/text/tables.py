"""Tables that a sewing person likes to read in the terminal. Pure functions from records to text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.length import Units
from svgfit.model.operation import Operation
from svgfit.model.report import Check, PieceRow
from svgfit.model.walk import Walk, is_judged
from svgfit.render.format_values import UNJUDGED, ZONE_HEADS, row_change, value_text, walk_title, zone_rows
from svgfit.render.text.table import PIPE, Table, Terminal, format_tables


def measurements(pieces: Sequence[PieceRow], units: Units, terminal: Terminal = PIPE) -> str:
    """Tabulate each piece's measurements: before, after and change, or one column where there is no after."""
    return format_tables([_piece_table(piece, units) for piece in pieces if piece.measurements], terminal)


def checks(found: Sequence[Check], terminal: Terminal = PIPE) -> str:
    """Tabulate checks: verdict, name and message of each."""
    rows = tuple((check.status, check.title, check.message) for check in found)
    none = Table("No checks were asked for.", (), ())
    return format_tables([_verdicts("Checks", rows) if rows else none], terminal)


def walks(found: Sequence[Walk], others: Sequence[Check], units: Units, terminal: Terminal = PIPE) -> str:
    """Tabulate each walk's zones and verdicts, then the checks of other seams and folds."""
    tables: list[Table] = []
    for walk in found:
        title = walk_title(walk)
        tables.append(Table(f"{title} in its armhole", ZONE_HEADS, zone_rows(walk, units), right=(1, 2, 3)))
        tables.append(_verdicts(f"Checks of {title}", _judged(walk.verdicts)))
    if others:
        tables.append(_verdicts("Other seams, and folds", _judged(others)))
    return format_tables(tables, terminal)


def operations(found: Iterable[Operation], terminal: Terminal = PIPE) -> str:
    """Tabulate operations: each in short, with the names of its parameters."""
    rows = tuple(
        (one.name, one.summary, ", ".join(part.name for part in one.parameters) or "-")
        for one in sorted(found, key=lambda one: one.name)
    )
    note = "svgfit operations NAME tells what each parameter means."
    return format_tables(
        [Table("Operations", ("name", "what it does", "parameters"), rows, notes=("", note))], terminal
    )


def plugins(found: Iterable[tuple[str, str, str, str]], terminal: Terminal = PIPE) -> str:
    """Tabulate plug-ins, given as (name, where from, "ok", "off" or "failed", why): failed ones with their reason."""
    rows = tuple((status, name, source, why) for name, source, status, why in found)
    return format_tables([Table("Plug-ins", ("status", "name", "from", "why"), rows)], terminal)


def _piece_table(piece: PieceRow, units: Units) -> Table:
    size = f", size {piece.size}" if piece.size else ""
    title = f"{piece.name} ({piece.kind}{size}) in {piece.file}" if piece.file else f"The {piece.name}{size}"
    figures = piece.measurements
    if all(figure.after is None for figure in figures) or all(figure.before is None for figure in figures):
        rows = tuple((f.name, _value(f.before if f.after is None else f.after, f.unit, units)) for f in figures)
        return Table(title, ("measurement", "value"), rows, right=(1,))
    rows = tuple(
        (f.name, _value(f.before, f.unit, units), _value(f.after, f.unit, units), row_change(f, units, "-"))
        for f in figures
    )
    return Table(title, ("measurement", "before", "after", "change"), rows, right=(1, 2, 3))


def _value(value: float | None, measured_in: str, units: Units) -> str:
    return "-" if value is None else value_text(value, measured_in, units)


def _judged(found: Sequence[Check]) -> tuple[tuple[str, ...], ...]:
    return tuple((check.status if is_judged(check) else UNJUDGED, check.title, check.message) for check in found)


def _verdicts(title: str, rows: tuple[tuple[str, ...], ...]) -> Table:
    return Table(title, ("", "check", "what was found"), rows)
