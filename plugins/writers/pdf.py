"""Writes a drawing as a PDF for a copy shop: one page, true to size, its layers to be switched on and off."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def write(drawing: formats.Convertible) -> bytes:
    """Write the painted layers as one page."""
    return formats.layered_pdf(drawing)


@hookimpl
def svgfit_writers() -> Iterable[formats.Writer]:
    """Supply the writer; called once, on load."""
    summary = "PDF, one page true to size, with layers"
    return [formats.Writer("pdf", ".pdf", write, needs=formats.Needs.PAINTED, summary=summary)]
