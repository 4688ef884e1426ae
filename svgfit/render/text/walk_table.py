"""Walks as tables: for the terminal, and line by line for whoever draws a table another way."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.length import format_length
from svgfit.model.report import Check
from svgfit.model.walk import Walk, is_judged
from svgfit.render.annotate.placement.grid import Grid, render
from svgfit.render.format_values import UNJUDGED

ZONE_HEADS = ("zone", "cap", "armhole", "ease")
"""The columns of a walk's table."""


def walk_tables(
    walks: Sequence[Walk], checks: Sequence[Check], unit: str, width: int | None = None, *, colour: bool = False
) -> str:
    """For each walk its zones and verdicts, then the other seams and folds.

    ``width`` as in svgfit.render.text.tables.
    """
    grids: list[Grid] = []
    for walk in walks:
        title = walk_title(walk)
        grids.append(Grid(f"{title} in its armhole", ZONE_HEADS, zone_rows(walk, unit), right=(1, 2, 3)))
        grids.append(_verdicts(f"Verdicts on {title}", walk.verdicts))
    if checks:
        grids.append(_verdicts("Other seams, and folds", checks))
    return render(grids, width, colour=colour)


def walk_title(walk: Walk) -> str:
    """The sleeve and its size."""
    return f"{walk.sleeve} (size {walk.size})" if walk.size else walk.sleeve


def zone_rows(walk: Walk, unit: str) -> tuple[tuple[str, ...], ...]:
    """What stands under ``ZONE_HEADS``: a line a zone, and one for all of them together."""
    rows = [(zone.zone, zone.cap, zone.armhole, zone.ease) for zone in walk.zones]
    rows.append(("in all", walk.cap, walk.armhole, walk.ease))
    return tuple((name, *(format_length(value, unit) for value in values)) for name, *values in rows)


def _verdicts(title: str, checks: Sequence[Check]) -> Grid:
    rows = tuple((check.status if is_judged(check) else UNJUDGED, check.name, check.message) for check in checks)
    return Grid(title, ("", "check", "what was found"), rows)
