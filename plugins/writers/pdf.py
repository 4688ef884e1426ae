"""Writes a drawing as a PDF for a copy shop: one page, true to size, its layers to be switched on and off."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Convertible, Needs, Writer, formats, hookimpl


def write(drawing: Convertible) -> bytes:
    """Write the painted layers as one page."""
    return formats.layered_pdf(drawing)


@hookimpl
def svgfit_writers() -> Iterable[Writer]:
    """Supply the writer; called once, on load."""
    return [Writer("pdf", ".pdf", write, needs=Needs.PAINTED, summary="PDF, one page true to size, with layers")]
