"""Writes a drawing as the layered SVG that it is read as."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def write(drawing: formats.Convertible) -> bytes:
    """Give back the drawing's own bytes."""
    return drawing.svg


@hookimpl
def svgfit_writers() -> Iterable[formats.Writer]:
    """Supply the writer; called once, on load."""
    return [formats.Writer("svg", ".svg", write, summary="SVG, a layer for each layer, true to size")]
