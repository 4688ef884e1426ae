"""Writes pieces as DXF by the trade's interchange standard (ASTM D6673), a block a piece and size."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def write(drawing: formats.Convertible) -> bytes:
    """Write the drawing's pieces."""
    return formats.write_dxf(drawing)


@hookimpl
def svgfit_writers() -> Iterable[formats.Writer]:
    """Supply the writer; called once, on load."""
    summary = "DXF (R12) by the trade's interchange layers, a block a piece and size"
    return [formats.Writer("dxf", ".dxf", write, needs=formats.Needs.PIECES, summary=summary)]
