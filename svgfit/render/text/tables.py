"""Tables that a sewing person likes to read in the terminal. Pure functions from records to text.

``width`` is the terminal's, in characters (None: not wrapped, for pipes); ``colour`` only for a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.operation import Operation
from svgfit.model.report import Check, MeasurementRow, PieceRow
from svgfit.render.annotate.placement.grid import Grid, render
from svgfit.render.format_values import row_change, value_text


def measurements(pieces: Sequence[PieceRow], unit: str, width: int | None = None, *, colour: bool = False) -> str:
    """One table a piece: before, after and change, or one column where there is no after."""
    return render(_piece_grids(pieces, unit), width, colour=colour)


def checks(found: Sequence[Check], width: int | None = None, *, colour: bool = False) -> str:
    """Verdict, name and message of each check."""
    return render(_check_grids(found) or [Grid("No checks were asked for.", (), ())], width, colour=colour)


def operations(found: Iterable[Operation], width: int | None = None, *, colour: bool = False) -> str:
    """Every operation in short, with the names of its parameters."""
    rows = tuple(
        (one.name, one.summary, ", ".join(part.name for part in one.parameters) or "-")
        for one in sorted(found, key=lambda one: one.name)
    )
    note = "svgfit operations NAME tells what each parameter means."
    return render(
        [Grid("Operations", ("name", "what it does", "parameters"), rows, notes=("", note))], width, colour=colour
    )


def plugins(found: Iterable[tuple[str, str, str, str]], width: int | None = None, *, colour: bool = False) -> str:
    """Plug-ins as (name, where from, "ok", "off" or "failed", why): failed ones with their reason."""
    rows = tuple((status, name, source, why) for name, source, status, why in found)
    return render([Grid("Plug-ins", ("status", "name", "from", "why"), rows)], width, colour=colour)


def _piece_grids(pieces: Sequence[PieceRow], unit: str) -> list[Grid]:
    return [_piece_grid(piece, unit) for piece in pieces if piece.measurements]


def _piece_grid(piece: PieceRow, unit: str) -> Grid:
    size = f", size {piece.size}" if piece.size else ""
    title = f"{piece.name} ({piece.kind}{size}) in {piece.file}"
    figures = piece.measurements
    if all(figure.after is None for figure in figures) or all(figure.before is None for figure in figures):
        rows = tuple((f.name, _value(f.before if f.after is None else f.after, f.unit, unit)) for f in figures)
        return Grid(title, ("measurement", "value"), rows, right=(1,))
    rows = tuple(
        (f.name, _value(f.before, f.unit, unit), _value(f.after, f.unit, unit), _change(f, unit)) for f in figures
    )
    return Grid(title, ("measurement", "before", "after", "change"), rows, right=(1, 2, 3))


def _check_grids(found: Sequence[Check]) -> list[Grid]:
    rows = tuple((check.status, check.name, check.message) for check in found)
    return [Grid("Checks", ("", "check", "what was found"), rows)] if rows else []


def _value(value: float | None, own: str, unit: str) -> str:
    return "-" if value is None else value_text(value, own, unit)


def _change(figure: MeasurementRow, unit: str) -> str:
    return row_change(figure, unit, "-")
