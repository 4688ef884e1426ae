"""Walks as tables for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.length import format_length
from svgfit.model.report import Check
from svgfit.model.walk import Walk
from svgfit.output.grid import Grid, render


def walk_tables(
    walks: Sequence[Walk], checks: Sequence[Check], unit: str, width: int | None = None, *, colour: bool = False
) -> str:
    """For each walk its zones and verdicts, then the other seams and folds. ``width`` as in svgfit.output.tables."""
    grids: list[Grid] = []
    for walk in walks:
        title = f"{walk.sleeve} (size {walk.size})" if walk.size else walk.sleeve
        rows = [(zone.zone, zone.cap, zone.armhole, zone.ease) for zone in walk.zones]
        rows.append(("in all", walk.cap, walk.armhole, walk.ease))
        texts = tuple((name, *(format_length(value, unit) for value in values)) for name, *values in rows)
        grids.append(Grid(f"{title} in its armhole", ("zone", "cap", "armhole", "ease"), texts, right=(1, 2, 3)))
        grids.append(_verdicts(f"Verdicts on {title}", walk.verdicts))
    if checks:
        grids.append(_verdicts("Other seams, and folds", checks))
    return render(grids, width, colour=colour)


def _verdicts(title: str, checks: Sequence[Check]) -> Grid:
    rows = tuple((check.status, check.name, check.message) for check in checks)
    return Grid(title, ("", "check", "what was found"), rows)
