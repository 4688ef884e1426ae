"""A nest on the page: one size carries the figures, every line its size (sizenames); one table tells all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.model.report import PieceRow, StepRow
from svgfit.render.annotate.block import Block, column_widths, table_block
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.format_values import WAS, size_rows


def speaking(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Choose the pieces that carry figures and working lines: of several sizes, the one in the middle by area."""
    by_name: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_name.setdefault(piece.name, []).append(piece)
    middle = {
        name: sorted(found, key=lambda piece: abs(piece.outline().area()))[len(found) // 2]
        for name, found in by_name.items()
    }
    return tuple(piece for piece in pieces if middle[piece.name] is piece)


def in_nest(piece: Piece, pieces: Sequence[Piece]) -> bool:
    """Tell whether the piece is there in several sizes."""
    return any(other.name == piece.name and other is not piece for other in pieces)


def size_lead(piece: Piece, *, alone: bool) -> str:
    """Write the size before a figure that is measured on it, where the sizes of a piece lie on each other.

    >>> from svgfit.geometry.affine import Affine
    >>> size_lead(Piece("a.svg", "Sleeve", "sleeve", (), Affine(), size="12"), alone=False)
    'size 12: '
    """
    return f"size {piece.size}: " if piece.size is not None and not alone else ""


def gathered(titles: Iterable[tuple[str, str | None]]) -> list[str]:
    """Join names, each once, with all its sizes.

    >>> gathered([("Front", "10"), ("Front", "12"), ("Yoke", None)])
    ['Front (10, 12)', 'Yoke']
    """
    sizes: dict[str, list[str]] = {}
    for name, size in titles:
        sizes.setdefault(name, []).extend([size] if size else [])
    return [f"{name} ({', '.join(found)})" if found else name for name, found in sizes.items()]


def shared_steps(steps: Sequence[StepRow], rows: Sequence[PieceRow]) -> tuple[StepRow, ...]:
    """Join steps of several sizes that ask the same of one piece; what they got is then in the table."""
    known = {row.title: (row.name, row.size) for row in rows if row.size}
    groups: dict[tuple[str, ...], list[StepRow]] = {}
    for number, step in enumerate(steps):
        name = known[step.piece][0] if step.piece in known else "" if known and not step.piece else f"#{number}"
        groups.setdefault((step.do, name, *(f"{key}={text}" for key, text in step.asked.items())), []).append(step)
    return tuple(
        found[0]
        if len(found) == 1
        else replace(found[0], piece=_all_sizes([known[step.piece] for step in found if step.piece]), got={}, also=())
        for found in groups.values()
    )


def _all_sizes(titles: Sequence[tuple[str, str | None]]) -> str | None:
    return gathered(titles)[0] if titles else None


def heading(row: PieceRow, text: str) -> str:
    """Write what a table begins with: the garment, which is of no file, has no name that a person wrote.

    >>> heading(PieceRow("", "the garment", "garment", "12", ()), "the garment (12)")
    'The garment (12)'
    """
    return text if row.file else f"{text[0].upper()}{text[1:]}"


def nest_tables(rows: Sequence[PieceRow], style: PageStyle) -> Iterable[Block]:
    """Tabulate each piece that is there in several sizes: a column a size; what changed also as it was."""
    by_name: dict[str, list[PieceRow]] = {}
    for row in rows:
        if row.size is not None:
            by_name.setdefault(row.name, []).append(row)
    for name, found in by_name.items():
        if len(found) > 1:
            yield _table(name, found, style)


def _table(name: str, rows: Sequence[PieceRow], style: PageStyle) -> Block:
    head = (f"{heading(rows[0], name)}, size", *(row.size or "" for row in rows))
    cells = [head, *size_rows([row.measurements for row in rows], style.units)]
    between = style.size * 1.4
    widths = column_widths(cells, style.size)
    rights = [sum(widths[: k + 1]) + k * between for k in range(len(widths))]
    indents = [style.size if line[0] == WAS else 0.0 for line in cells]
    return table_block(name, cells, rights, style.size, indents=indents)
