"""Writes the measurements of every piece and size as a plain table (CSV)."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Convertible, Needs, Writer, formats, hookimpl


def write(drawing: Convertible) -> bytes:
    """Write the table."""
    return formats.measurement_table(drawing)


@hookimpl
def svgfit_writers() -> Iterable[Writer]:
    """Supply the writer; called once, on load."""
    return [
        Writer("csv", ".csv", write, needs=Needs.MEASUREMENTS, summary="CSV, the measurements of every piece and size")
    ]
