"""Writes pieces as DXF by the trade's interchange standard (ASTM D6673), a block a piece and size."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Convertible, Needs, Writer, formats, hookimpl


def write(drawing: Convertible) -> bytes:
    """Write the drawing's pieces."""
    return formats.write_dxf(drawing)


@hookimpl
def svgfit_writers() -> Iterable[Writer]:
    """Supply the writer; called once, on load."""
    summary = "DXF (R12) by the trade's interchange layers, a block a piece and size"
    return [Writer("dxf", ".dxf", write, needs=Needs.PIECES, summary=summary)]
