"""What differs between two fittings of a drawing, as tables for the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.comparison import (
    ComparedPiece,
    Differences,
    EdgeMoved,
    FigureDiffers,
    LineDiffers,
    MarkMoved,
    TextDiffers,
)
from svgfit.model.length import Units
from svgfit.model.report import WHOLE, MeasurementRow
from svgfit.model.vocabulary import MarkKind, MeasureUnit
from svgfit.model.wording import harmless, listed
from svgfit.render.format_values import UNCHANGED, before_after, has_changed, notable_rows, row_change, value_text
from svgfit.render.text.table import PIPE, Table, Terminal, format_tables

_LONGEST = 32
"""Letters of a text that are shown."""


def comparison_text(found: Differences, units: Units, terminal: Terminal = PIPE, *, every_row: bool = False) -> str:
    """Write what differs, lengths in ``units``: a table of figures and one of what moved for each piece.

    With ``every_row`` the outline's length, width and height are there too.
    """
    tables: list[Table] = []
    alike: list[str] = []
    for piece in found.pieces:
        own = list(_tables(piece, units, every_row=every_row))
        tables += own
        if not own:
            alike.append(piece.title)
    for row in found.garment:
        title = f"The {WHOLE}{f' ({row.size})' if row.size else ''}"
        tables += _figures(title, row.measurements, units, every_row=every_row)
    beside = [row for row in (_text(text, units) for text in found.texts) if row]
    tables += [Table("Texts on no piece", ("", "at most", ""), tuple(beside), right=(1,))] if beside else []
    lines = [f"a is {found.a}, b is {found.b}"]
    parts = [format_tables(tables, terminal).rstrip("\n")] if tables else []
    parts += [f"alike in both: {listed(alike)}"] if alike else []
    lines += [f"only in a: {listed(found.only_a)}"] if found.only_a else []
    lines += [f"only in b: {listed(found.only_b)}"] if found.only_b else []
    return "\n\n".join(["\n".join(lines), *parts]) + "\n"


def _tables(piece: ComparedPiece, units: Units, *, every_row: bool) -> Iterable[Table]:
    """Give the tables of a piece; none where nothing that can be seen differs."""
    moved = [*(_edge(edge, units) for edge in piece.edges), *(_mark(mark, units) for mark in piece.marks)]
    moved += [*(_line(line, units) for line in piece.lines), *(_text(text, units) for text in piece.texts)]
    moved = [row for row in moved if row]
    wide = [(item.edge, *(_wide(value, units) for value in (item.a, item.b))) for item in piece.allowances]
    yield from _figures(piece.title, piece.measurements, units, every_row=every_row)
    if wide:
        yield Table(f"{piece.title}: seam allowances", ("edge", "a", "b"), tuple(wide), right=(1, 2))
    if moved:
        yield Table(f"{piece.title}: what moved from a to b", ("", "at most", ""), tuple(moved), right=(1,))


def _figures(title: str, found: Sequence[FigureDiffers], units: Units, *, every_row: bool) -> Iterable[Table]:
    """Tabulate the figures that differ so that it can be seen; nothing where none do."""
    every = tuple(MeasurementRow(item.name, item.unit, item.a, item.b) for item in found)
    rows = every if every_row else notable_rows(every)
    changed = (row for row in rows if has_changed(row) and row_change(row, units) != UNCHANGED)
    figures = [(row.name, *before_after(row, units)) for row in changed]
    if figures:
        yield Table(title, ("measurement", "a", "b", "change"), tuple(figures), right=(1, 2, 3))


def _text(text: TextDiffers, units: Units) -> tuple[str, ...]:
    """Say how a text reads now, how far it moved, or where it is; () where nobody can see it."""
    name = f'text "{_short(text.a if text.a is not None else text.b or "")}"'
    if text.a is None or text.b is None or text.moved is None:
        return name, "–", f"only in {'b' if text.a is None else 'a'}"
    far = "–" if units.reads_as_none(text.moved) else units.length(text.moved)
    if text.a != text.b:
        return name, far, f'in b "{_short(text.b)}"'
    return () if far == "–" else (name, far, "")


def _short(text: str) -> str:
    """Shorten what was written to what a table has room for."""
    plain = harmless(" ".join(text.split()))
    return plain if len(plain) <= _LONGEST else f"{plain[: _LONGEST - 1]}…"


def _wide(value: float | None, units: Units) -> str:
    return "not known" if value is None else units.length(value)


def _edge(edge: EdgeMoved, units: Units) -> tuple[str, ...]:
    """Say how far an edge moved; () where nobody can see it."""
    longer = edge.length_b - edge.length_a
    if units.reads_as_none(edge.moved) and units.reads_as_none(longer):
        return ()
    way = "outwards" if edge.outwards else "inwards"
    if not units.reads_as_none(longer):
        way += f", {units.length(abs(longer))} {'longer' if longer > 0 else 'shorter'}"
    return edge.edge, units.length(edge.moved), way


def _line(line: LineDiffers, units: Units) -> tuple[str, ...]:
    """Say how far a line or dart moved, or where it is; () where nobody can see it."""
    if line.moved is None:
        return line.line, "–", f"only in {line.only_in}"
    return () if units.reads_as_none(line.moved) else (line.line, units.length(line.moved), "")


def _mark(mark: MarkMoved, units: Units) -> tuple[str, ...]:
    """Say how far a notch moved; () where nobody can see it."""
    name = f"{mark.kind}{f' {mark.number}' if mark.kind == MarkKind.NOTCH else ''} on the {mark.edge}"
    places = [None if at is None else value_text(at, MeasureUnit.MM, units) for at in (mark.at_a, mark.at_b)]
    if mark.moved is None:
        return name, "–", f"only in {'b' if places[0] is None else 'a'}, {places[0] or places[1]} along"
    if units.reads_as_none(mark.moved):
        return ()
    along = f"{places[0]} along" if places[0] == places[1] else f"{places[0]} along, then {places[1]}"
    return name, units.length(mark.moved), along
