"""A figure as people read it, on the page, on paper and in the terminal; which of them are worth a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.length import format_length
from svgfit.model.report import Check, MeasurementRow
from svgfit.model.walk import CAP_EASE, is_judged

SAME = 0.005
"""A change smaller than this (mm or degrees) is called the same."""


def value_text(value: float, own: str, unit: str, *, signed: bool = False) -> str:
    """A measurement for people: lengths in ``unit`` ("in", "mm", "cm"), angles (``own`` "deg") in degrees."""
    text = f"{value:.1f}°" if own == "deg" else format_length(value, unit)
    return f"+{text}" if signed and value > 0 else text


def change_text(change: float, own: str, unit: str) -> str:
    """A change with its sign; "same" where it is under ``SAME`` or too small to be seen in the figure.

    >>> change_text(-0.004, "mm", "in"), change_text(0.04, "mm", "mm"), change_text(-12.7, "mm", "in")
    ('same', 'same', '-1/2 in (-0.500)')
    """
    if is_same(change) or value_text(abs(change), own, unit) == value_text(0.0, own, unit):
        return "same"
    return value_text(change, own, unit, signed=True)


def is_same(change: float) -> bool:
    """Whether a change (mm or degrees) is none to speak of."""
    return abs(change) < SAME


def cell_text(value: float | None, own: str, unit: str, *, decimal: bool = True) -> str:
    """A figure in a table, a dash for none; without ``decimal`` a length in inches is its fraction only."""
    if value is None:
        return "–"
    return value_text(value, own, unit) if decimal or own == "deg" else format_length(value, unit, decimal=False)


def row_change(row: MeasurementRow, unit: str, none: str = "") -> str:
    """The change of a figure; ``none`` where it is not known both before and after."""
    if row.before is None or row.after is None:
        return none
    return change_text(row.after - row.before, row.unit, unit)


def has_changed(row: MeasurementRow) -> bool:
    """Whether a figure is another than before, came or went."""
    return row.before is None or row.after is None or not is_same(row.after - row.before)


def told_rows(rows: Sequence[MeasurementRow]) -> tuple[MeasurementRow, ...]:
    """Figures worth a line: not the outline's, where there are others."""
    return tuple(row for row in rows if not row.name.startswith("outline ")) or tuple(rows)


def verdict_word(status: str) -> str:
    """What stands before a check's message."""
    return {"pass": "PASS", "warn": "WARN", "fail": "FAIL"}.get(status, status)


UNJUDGED = "–"
"""In place of a verdict where a figure is told that nothing was held against."""


def told_verdict(check: Check) -> str:
    """What stands before a check: its verdict, a dash where it passed for want of a limit (``is_judged``)."""
    return verdict_word(check.status) if is_judged(check) else UNJUDGED


def worst_first(checks: Iterable[Check]) -> tuple[Check, ...]:
    """What failed, then what is warned of, then the rest; each in the order given."""
    order = {"fail": 0, "warn": 1}
    return tuple(sorted(checks, key=lambda check: order.get(check.status, 2)))


def without_contradicted(verdicts: Sequence[Check], sleeve: str, plan: Iterable[Check]) -> tuple[Check, ...]:
    """A walk's verdicts without a cap ease that no limit was held against, where a check of the plan holds its own.

    Such a check compares ``sleeve``'s cap (``values`` have the difference) or states its cap ease as an end.
    """
    cap = f"{sleeve}/cap"
    held = any(
        (cap in check.name and "difference" in check.values)
        or (check.message.startswith(sleeve) and f": {CAP_EASE} " in check.message)
        for check in plan
    )
    return tuple(check for check in verdicts if is_judged(check) or not held)
