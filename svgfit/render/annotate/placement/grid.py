"""Plain tables for the terminal: aligned columns, wrapped to a width, readable when piped.

Where colour is wanted, rich paints the same lines; it is imported only then.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence

from msgspec import Struct

_GAP = "  "
_NARROWEST = 14
"""A column is not wrapped to fewer characters."""
_COLOURS = {"pass": "green", "ok": "green", "warn": "yellow", "off": "yellow", "fail": "bold red", "failed": "bold red"}


class Grid(Struct, frozen=True):
    """A titled table; cells of ``right`` columns (counted from 0) stand on the right."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    """Lines below the table."""


def render(grids: Sequence[Grid], width: int | None = None, *, colour: bool = False) -> str:
    """All tables, an empty line between them, a line end at the end.

    ``width`` in characters; None: as wide as the content. ``colour`` only for a terminal.
    """
    lines: list[tuple[str, str]] = []
    for grid in grids:
        lines += [("plain", "")] if lines else []
        lines += _lines(grid, width)
    return _painted(lines) if colour else "".join(f"{text}\n" for _, text in lines)


def _lines(grid: Grid, width: int | None) -> list[tuple[str, str]]:
    """Kind (title, head, or the first word of a row's first cell) and text of each line."""
    found: list[tuple[str, str]] = [("title", grid.title)] if grid.title else []
    if grid.rows:
        widths = _widths(grid, width)
        if any(grid.head):
            found.append(("head", _row(grid.head, widths, grid.right)))
            found.append(("head", _GAP.join("-" * wide for wide in widths)))
        for row in grid.rows:
            folded = [_fold(cell, wide) for cell, wide in zip(row, widths, strict=True)]
            for k in range(max(len(lines) for lines in folded)):
                cells = tuple(lines[k] if k < len(lines) else "" for lines in folded)
                found.append((row[0] if k == 0 else "plain", _row(cells, widths, grid.right)))
    for note in grid.notes:
        found += [("plain", line) for line in _fold(note, width or 10_000)]
    return found


def _widths(grid: Grid, width: int | None) -> list[int]:
    """Each column as wide as its content; where all are too wide, the widest are narrowed."""
    columns = range(len(grid.head))
    widths = [max(cells(row[k]) for row in (grid.head, *grid.rows)) for k in columns]
    if width is not None:
        while sum(widths) + len(_GAP) * (len(widths) - 1) > width and max(widths) > _NARROWEST:
            widths[widths.index(max(widths))] -= 1
    return widths


def _fold(cell: str, width: int) -> list[str]:
    if cells(cell) <= width:
        return [cell]
    return textwrap.wrap(cell, width, break_long_words=False, break_on_hyphens=False) or [""]


def _row(row: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> str:
    parts: list[str] = []
    for k, (cell, wide) in enumerate(zip(row, widths, strict=True)):
        pad = " " * (wide - cells(cell))
        parts.append(pad + cell if k in right else cell + pad)
    return _GAP.join(parts).rstrip()


def cells(text: str) -> int:
    """How many columns of a terminal a text takes: wide characters two, combining ones none."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF") for sign in text)


def _painted(lines: Sequence[tuple[str, str]]) -> str:
    import io

    from rich.console import Console
    from rich.text import Text

    styles = {"title": "bold", "head": "dim", **_COLOURS}
    out = io.StringIO()
    console = Console(file=out, force_terminal=True, color_system="standard", width=10_000, highlight=False)
    for kind, text in lines:
        console.print(Text(text, style=styles.get(kind, "")), soft_wrap=True)
    return out.getvalue()
