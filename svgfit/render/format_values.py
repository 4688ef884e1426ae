"""Figures as people read them, on the page, on paper and in the terminal; which of them are worth a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.model.length import Units
from svgfit.model.report import Check, MeasurementRow
from svgfit.model.vocabulary import MeasureUnit, Status
from svgfit.model.walk import Walk, holds_cap_ease, is_judged

_SAME = {
    MeasureUnit.MM: 0.005,
    MeasureUnit.DEG: 0.005,
    MeasureUnit.MM2: 0.5,
    MeasureUnit.NUMBER: 0.0005,
    MeasureUnit.SHARE: 0.0005,
}
"""A change smaller than this, in the figure's own unit, is called the same."""


UNCHANGED = "the same"
"""Stands where a change would, which nobody can see."""


def value_text(value: float, measured_in: str, units: Units, *, signed: bool = False) -> str:
    """Format a measurement: lengths and areas in the reader's unit, angles, numbers and shares as they are read."""
    text = units.figure(value, measured_in)
    return f"+{text}" if signed and value > 0 else text


def change_text(change: float, measured_in: str, units: Units) -> str:
    """Format a change with its sign; "the same" where it is too small to be seen in the figure.

    >>> from svgfit.model.vocabulary import Unit
    >>> change_text(-0.004, "mm", Units()), change_text(0.04, "mm", Units(Unit.MM)), change_text(-12.7, "mm", Units())
    ('the same', 'the same', '-1/2 in')
    """
    if is_same(change, measured_in) or (measured_in == MeasureUnit.MM and units.reads_as_none(change)):
        return UNCHANGED
    return value_text(change, measured_in, units, signed=True)


def is_same(change: float, measured_in: str = MeasureUnit.MM) -> bool:
    """Tell whether a change is none to speak of."""
    return abs(change) < _SAME[MeasureUnit(measured_in)]


def cell_text(value: float | None, measured_in: str, units: Units, *, plain: bool = False) -> str:
    """Format a figure in a table, a dash for none; ``plain`` in one unit, where columns are narrow."""
    if value is None:
        return "–"
    return units.plain(value) if plain and measured_in == MeasureUnit.MM else value_text(value, measured_in, units)


def row_change(row: MeasurementRow, units: Units, none: str = "") -> str:
    """Format the change of a figure; ``none`` where it is not known both before and after."""
    if row.before is None or row.after is None:
        return none
    if value_text(row.before, row.unit, units) == value_text(row.after, row.unit, units):
        return UNCHANGED
    return change_text(row.after - row.before, row.unit, units)


def before_after(row: MeasurementRow, units: Units) -> tuple[str, str, str]:
    """Format a figure's cells in a table: before, after, change; what nobody can see to have changed reads alike."""
    before, after = (cell_text(value, row.unit, units) for value in (row.before, row.after))
    change = row_change(row, units)
    return before, before if change == UNCHANGED else after, change


WAS = "was"
"""Name of the row of a nest's table that says what the figures above it were."""


def size_rows(every: Sequence[Sequence[MeasurementRow]], units: Units) -> list[tuple[str, ...]]:
    """Format a nest's notable figures, a column a size; beneath those that changed a row that says what they were."""
    figures = [{row.name: row for row in rows} for rows in every]
    found: list[tuple[str, ...]] = []
    for row in notable_rows(every[0]):
        if all(row.name in one for one in figures):
            line = [one[row.name] for one in figures]
            found.append((row.name, *(cell_text(one.after, one.unit, units, plain=True) for one in line)))
            if any(map(has_changed, line)):
                found.append((WAS, *(cell_text(one.before, one.unit, units, plain=True) for one in line)))
    return found


def has_changed(row: MeasurementRow) -> bool:
    """Tell whether a figure is another than before, came or went."""
    return row.before is None or row.after is None or not is_same(row.after - row.before, row.unit)


def notable_rows(rows: Sequence[MeasurementRow]) -> tuple[MeasurementRow, ...]:
    """Choose the figures worth a line: not the outline's, where there are others."""
    return tuple(row for row in rows if not row.name.startswith("outline ")) or tuple(rows)


def verdict_word(status: str) -> str:
    """Give the word that stands before a check's message."""
    return status.upper() if status in set(Status) else status


UNJUDGED = "–"
"""In place of a verdict where a figure is shown that nothing was held against."""


def verdict_text(check: Check) -> str:
    """Give a check's verdict as a word, a dash where it passed for want of a limit (``is_judged``)."""
    return verdict_word(check.status) if is_judged(check) else UNJUDGED


def worst_first(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Sort checks: what failed, what is warned of, the rest; each in the order given."""
    order = {str(Status.FAIL): 0, str(Status.WARN): 1}
    return tuple(sorted(checks, key=lambda check: order.get(check.status, 2)))


def without_contradicted(verdicts: Sequence[Check], sleeve: str, plan: Iterable[Check]) -> tuple[Check, ...]:
    """Leave out of a walk's verdicts a cap ease without a limit, where a check of the plan holds its own.

    Such a check compares ``sleeve``'s cap (``values`` have the difference) or states its cap ease as an end.
    """
    held = any(holds_cap_ease(check, sleeve) for check in plan)
    return tuple(check for check in verdicts if is_judged(check) or not held)


# -- walks -------------------------------------------------------------------------------------------------------------

ZONE_HEADS = ("zone", "cap", "armhole", "ease")
"""The columns of a walk's table."""


def walk_title(walk: Walk) -> str:
    """Name a walk by its sleeve and its size."""
    return f"{walk.sleeve} (size {walk.size})" if walk.size else walk.sleeve


def zone_rows(walk: Walk, units: Units) -> tuple[tuple[str, ...], ...]:
    """Give the rows under ``ZONE_HEADS``: one for each zone, and one for all of them together."""
    rows = [(zone.zone, zone.cap, zone.armhole, zone.ease) for zone in walk.zones]
    rows.append(("in all", walk.cap, walk.armhole, walk.ease))
    return tuple((name, *(units.length(value) for value in values)) for name, *values in rows)
