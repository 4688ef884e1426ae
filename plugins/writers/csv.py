"""Writes the measurements of every piece and size as a plain table (CSV)."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def write(drawing: formats.Convertible) -> bytes:
    """Write the table."""
    return formats.measurement_table(drawing)


@hookimpl
def svgfit_writers() -> Iterable[formats.Writer]:
    """Supply the writer; called once, on load."""
    summary = "CSV, the measurements of every piece and size"
    return [formats.Writer("csv", ".csv", write, needs=formats.Needs.MEASUREMENTS, summary=summary)]
