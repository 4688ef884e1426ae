"""A run as a notebook shows it: each adjusted drawing, what changed, and what failed."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Sequence
from html import escape

from svgfit.model.dialect import Element
from svgfit.model.length import Units
from svgfit.model.report import Check, PieceRow
from svgfit.model.vocabulary import Status, Unit
from svgfit.render.format_values import has_changed, notable_rows
from svgfit.render.html.sheet import parts_of, sheet, window_of
from svgfit.svg import Drawing, Tree

_ACROSS = 800
"""Pixels across of a drawing in a notebook."""


def run_html(
    drawings: Iterable[tuple[Drawing, Tree, frozenset[Element]]],
    rows: Sequence[PieceRow],
    checks: Sequence[Check],
    warnings: Sequence[str],
    unit: Unit,
) -> str:
    """Write a piece of HTML with failed checks, warnings, the drawings, and the figures that changed in ``unit``.

    ``drawings``: each with its elements and those of them that are left out.
    """
    failed = [
        f"<li>{escape(f'{check.title}: {check.message}')}</li>" for check in checks if check.status == Status.FAIL
    ]
    mind = [f"<li>{escape(text)}</li>" for text in warnings]
    parts = [f"<p><strong>Don't cut yet:</strong></p><ul>{''.join(failed)}</ul>"] if failed else []
    parts += [f"<p>To mind:</p><ul>{''.join(mind)}</ul>"] if mind else []
    parts += [_picture(*drawing) for drawing in drawings]
    parts += [_table(row, unit) for row in rows if any(has_changed(figure) for figure in row.measurements)]
    return "".join(parts)


def _picture(drawing: Drawing, tree: Tree, left_out: frozenset[Element]) -> str:
    parts = parts_of(drawing)
    window = window_of(drawing, parts)
    down = max(1, round(_ACROSS * window.height / window.width))
    text = sheet(drawing, tree.root, parts, window, _ACROSS, down, left_out)
    encoded = b64encode(text.encode()).decode()  # as a picture of its own: ids of several drawings can't meet
    return f'<img alt="{escape(drawing.canvas.file)}" src="data:image/svg+xml;base64,{encoded}">'


def _table(row: PieceRow, unit: Unit) -> str:
    lines = [f"<tr><th>{escape(row.title)}</th><th>before</th><th>after</th></tr>"]
    for figure in notable_rows(row.measurements):
        if has_changed(figure):
            values = (_value(value, figure.unit, unit) for value in (figure.before, figure.after))
            cells = "".join(f"<td>{escape(text)}</td>" for text in values)
            lines.append(f"<tr><td>{escape(figure.name)}</td>{cells}</tr>")
    return f"<table>{''.join(lines)}</table>"


def _value(value: float | None, kind: str, unit: Unit) -> str:
    if value is None:
        return "-"
    return Units(unit).figure(value, kind)
