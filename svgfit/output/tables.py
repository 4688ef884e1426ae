"""Tables that a sewing person likes to read in the terminal. Pure functions from records to text.

``width`` is the terminal's, in characters (None: not wrapped, for pipes); ``colour`` only for a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.length import format_length
from svgfit.model.operation import Operation, Parameter
from svgfit.model.report import Check, Json, MeasurementRow, PieceRow, Report, StepRow
from svgfit.output.grid import Grid, render

_SAME = 0.05
"""A change smaller than this (mm or degrees) is called the same."""


def report(found: Report, unit: str, width: int | None = None, *, colour: bool = False) -> str:
    """Steps, measurements and checks of a run, and its warnings."""
    grids = [*_step_grids(found.steps, found.pieces, unit), *_piece_grids(found.pieces, unit)]
    grids += _check_grids(found.checks)
    if found.warnings:
        grids.append(Grid("Warnings", ("",), tuple((line,) for line in found.warnings)))
    return render(grids, width, colour=colour)


def measurements(pieces: Sequence[PieceRow], unit: str, width: int | None = None, *, colour: bool = False) -> str:
    """One table a piece: before, after and change, or one column where there is no after."""
    return render(_piece_grids(pieces, unit), width, colour=colour)


def checks(found: Sequence[Check], width: int | None = None, *, colour: bool = False) -> str:
    """Verdict, name and message of each check."""
    return render(_check_grids(found) or [Grid("No checks were asked for.", (), ())], width, colour=colour)


def inspect(found: Json, unit: str, width: int | None = None, *, colour: bool = False) -> str:
    """What was understood: the very object of ``inspect --json``, for people."""
    drawings = tuple(
        (str(row["file"]), f"{row['mm_per_user_unit']:.6g} mm", str(row["scale_from"])) for row in found["drawings"]
    )
    grids = [Grid("Drawings", ("file", "one unit is", "known from"), drawings)]
    layers = tuple(_layer_row(row) for row in found["layers"])
    grids.append(Grid("Layers", ("layer", "role", "piece", "size", "state"), layers))
    for piece in found["pieces"]:
        grids += _inspected(piece, unit)
    return render(grids, width, colour=colour)


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


def operation(found: Operation, width: int | None = None, *, colour: bool = False) -> str:
    """One operation with every parameter, its unit and its default."""
    rows = tuple(
        (part.name, _KIND.get(part.kind, part.kind), _default(part), _meaning(part)) for part in found.parameters
    )
    notes = tuple(f"Exactly one of {', '.join(names)} is needed." for names in found.one_of)
    if found.kinds:
        notes += (f"For a piece of kind: {', '.join(found.kinds)}.",)
    grid = Grid(
        f"{found.name}: {found.summary}", ("parameter", "written as", "if left out", "meaning"), rows, notes=notes
    )
    return render([grid], width, colour=colour)


def plugins(found: Iterable[tuple[str, str, str, str]], width: int | None = None, *, colour: bool = False) -> str:
    """Plug-ins as (name, where from, "ok", "off" or "failed", why): failed ones with their reason."""
    rows = tuple((status, name, source, why) for name, source, status, why in found)
    return render([Grid("Plug-ins", ("status", "name", "from", "why"), rows)], width, colour=colour)


_KIND = {
    "length": "length, such as 3/8 in or 9.5 mm",
    "number": "number",
    "text": "word",
    "edges": "Piece/edge, joined with +",
}


def _default(part: Parameter) -> str:
    return part.default if part.default is not None else part.default_text or "-"


def _meaning(part: Parameter) -> str:
    low, high = part.minimum, part.maximum
    if low is None and high is None:
        return part.meaning
    span = f"{low:g} to {high:g}" if low is not None and high is not None else ""
    span = span or (f"at least {low:g}" if low is not None else f"at most {high:g}")
    return f"{part.meaning} ({span}{' mm' if part.kind == 'length' else ''})"


def value_text(value: float | None, own: str, unit: str, *, signed: bool = False) -> str:
    """A figure for reading: a length in ``unit``, an angle in degrees; "-" where there is none."""
    if value is None:
        return "-"
    text = f"{value:.1f}°" if own == "deg" else format_length(value, unit)
    return f"+{text}" if signed and value > 0 else text


def _piece_grids(pieces: Sequence[PieceRow], unit: str) -> list[Grid]:
    return [_piece_grid(piece, unit) for piece in pieces if piece.measurements]


def _piece_grid(piece: PieceRow, unit: str) -> Grid:
    size = f", size {piece.size}" if piece.size else ""
    title = f"{piece.name} ({piece.kind}{size}) in {piece.file}"
    figures = piece.measurements
    if all(figure.after is None for figure in figures) or all(figure.before is None for figure in figures):
        rows = tuple((f.name, value_text(f.before if f.after is None else f.after, f.unit, unit)) for f in figures)
        return Grid(title, ("measurement", "value"), rows, right=(1,))
    rows = tuple(
        (f.name, value_text(f.before, f.unit, unit), value_text(f.after, f.unit, unit), _change(f, unit))
        for f in figures
    )
    return Grid(title, ("measurement", "before", "after", "change"), rows, right=(1, 2, 3))


def _change(figure: MeasurementRow, unit: str) -> str:
    if figure.before is None or figure.after is None:
        return "-"
    change = figure.after - figure.before
    return "same" if abs(change) < _SAME else value_text(change, figure.unit, unit, signed=True)


def _step_grids(steps: Sequence[StepRow], pieces: Sequence[PieceRow], unit: str) -> list[Grid]:
    units = {figure.name: figure.unit for piece in pieces for figure in piece.measurements}
    grids: list[Grid] = []
    for n, step in enumerate(steps, 1):
        asked = ", ".join(f"{name} {value}" for name, value in step.asked.items()) or "-"
        rows = [("asked", asked)]
        rows += [
            ("got", f"{name} {value_text(value, units.get(name, 'mm'), unit)}") for name, value in step.got.items()
        ]
        for opening in step.openings:
            across = "opened" if opening.width >= 0 else "overlapped"
            grown = "gained" if opening.gain >= 0 else "lost"
            width, gain = format_length(abs(opening.width), unit), format_length(abs(opening.gain), unit)
            place = format_length(opening.at, unit)
            rows.append((f"{opening.edge}", f"{across} {width} at {place} along it; {grown} {gain} in length"))
        title = f"Step {n}: {step.do}{f', {step.piece}' if step.piece else ''}"
        grids.append(Grid(title, ("", ""), tuple(rows)))
    return grids


def _check_grids(found: Sequence[Check]) -> list[Grid]:
    rows = tuple((check.status, check.name, check.message) for check in found)
    return [Grid("Checks", ("", "check", "what was found"), rows)] if rows else []


def _layer_row(row: Json) -> tuple[str, str, str, str, str]:
    state = ", ".join(word for word in ("hidden", "locked") if row.get(word))
    name = " / ".join(row.get("path") or [row["name"]])
    return name, row.get("role") or "-", row.get("piece") or "-", row.get("size") or "-", state or "-"


def _inspected(piece: Json, unit: str) -> list[Grid]:
    size = f", size {piece['size']}" if piece.get("size") else ""
    title = f"{piece['name']} ({piece['kind']}{size}) in {piece['file']}"
    edges = tuple((edge["name"], format_length(edge["length"], unit)) for edge in piece["edges"])
    grids = [Grid(title, ("edge", "length"), edges, right=(1,))]
    points = tuple((name, f"{x:.1f}", f"{y:.1f}") for name, (x, y) in piece["landmarks"].items())
    if points:
        grids.append(Grid("", ("landmark", "x on the page, mm", "y, mm"), points, right=(1, 2)))
    marks = tuple(_mark_row(mark, unit) for mark in piece["marks"])
    if marks:
        grids.append(Grid("", ("mark", "on edge", "along it"), marks, right=(2,)))
    if piece["guessed"]:
        grids.append(Grid("", ("guessed",), tuple((str(word),) for word in piece["guessed"])))
    return grids


def _mark_row(mark: Json, unit: str) -> tuple[str, str, str]:
    at = mark.get("at")
    return mark["kind"], mark.get("edge") or "-", "-" if at is None else format_length(at, unit)
