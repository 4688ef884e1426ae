"""Tables for the terminal: aligned columns, wrapped to its width, in colour on one and plain into a pipe."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.wording import harmless

_GAP = "  "
_NARROWEST = 14
"""A column is not wrapped to fewer characters."""
_COLOURS = {
    "title": "1",
    "head": "2",
    **dict.fromkeys(("pass", "ok"), "32"),
    **dict.fromkeys(("warn", "off"), "33"),
    **dict.fromkeys(("fail", "failed"), "1;31"),
}
"""How a line is shown: bold, dim, green, yellow, bold red (ECMA-48, 5th edition, section 8.3.117, SGR)."""
PAINT = re.compile(rf"(\x1b\[(?:{'|'.join(sorted({*_COLOURS.values(), '0'}))})m)")
"""What shows them and ends them; nothing else in a formatted table commands a terminal."""
_LONGEST = 300
"""No cell shows more signs than this: a name of thousands, told in every row, would fill the screen for hours."""


class Terminal(Struct, frozen=True):
    """What is printed on: a terminal of so many columns, or (None) a pipe or file, where nothing is wrapped."""

    width: int | None = None
    colour: bool = False


PIPE = Terminal()


class Table(Struct, frozen=True):
    """A titled table; cells of ``right`` columns (counted from 0) stand on the right."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    """Lines below the table."""


def format_tables(tables: Sequence[Table], terminal: Terminal = PIPE) -> str:
    """Format tables with an empty line between them and a line end at the end."""
    lines: list[tuple[str, str]] = []
    for table in map(_shown, tables):
        lines += [("plain", "")] if lines else []
        lines += _lines(table, terminal.width)
    return "".join(f"{_painted(kind, text) if terminal.colour else text}\n" for kind, text in lines)


def _shown(table: Table) -> Table:
    """Give a table as it can be shown: nothing in it commands a terminal or is endless."""
    rows = tuple(tuple(map(_short, row)) for row in table.rows)
    return replace(table, title=_short(table.title), head=tuple(map(_short, table.head)), rows=rows)


def _short(cell: str) -> str:
    text = harmless(cell)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 21]}…{text[-20:]}"


def columns(rows: Sequence[Sequence[str]], indent: str = "  ", gap: str = "   ") -> str:
    """Align rows without a head in columns, left to right, without blanks at the ends of lines.

    >>> print(columns([("cap height", "5 in", "6 in"), ("cap ease", "1 in", "1/2 in")], indent=""))
    cap height   5 in   6 in
    cap ease     1 in   1/2 in
    """
    widths = [max(len(row[k]) for row in rows if k < len(row)) for k in range(max(map(len, rows), default=0))]
    lines = (gap.join(cell.ljust(widths[k]) for k, cell in enumerate(row)) for row in rows)
    return "\n".join(indent + line.rstrip() for line in lines)


def cells(text: str) -> int:
    """Count the columns of a terminal that a text takes: wide characters two, combining ones none."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF") for sign in text)


def _lines(table: Table, width: int | None) -> list[tuple[str, str]]:
    """List each line's kind (title, head, or the first word of a row's first cell) and text."""
    found: list[tuple[str, str]] = [("title", table.title)] if table.title else []
    if table.rows:
        widths = _widths(table, width)
        if any(table.head):
            found.append(("head", _row(table.head, widths, table.right)))
            found.append(("head", _GAP.join("-" * wide for wide in widths)))
        for row in table.rows:
            folded = [_fold(cell, wide) for cell, wide in zip(row, widths, strict=True)]
            for k in range(max(len(lines) for lines in folded)):
                parts = tuple(lines[k] if k < len(lines) else "" for lines in folded)
                found.append((row[0] if k == 0 else "plain", _row(parts, widths, table.right)))
    for note in table.notes:
        found += [("plain", line) for line in _fold(note, width or 10_000)]
    return found


def _widths(table: Table, width: int | None) -> list[int]:
    """Make each column as wide as its content; where all are too wide, narrow the widest."""
    widths = [max(cells(row[k]) for row in (table.head, *table.rows)) for k in range(len(table.head))]
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


def _painted(kind: str, text: str) -> str:
    code = _COLOURS.get(kind)
    text = harmless(text)
    return f"\x1b[{code}m{text}\x1b[0m" if code and text else text
