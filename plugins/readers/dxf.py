"""Reads DXF: pieces by the trade's interchange standard (ASTM D6673), else layers by their names."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def suits(head: bytes) -> bool:
    """Say whether a file that begins so is a DXF."""
    return formats.is_dxf(head)


def read(file: str, data: bytes, wishes: formats.Wishes) -> formats.Converted:
    """Read a DXF as a layered drawing in mm."""
    return formats.read_dxf(file, data, wishes)


@hookimpl
def svgfit_readers() -> Iterable[formats.Reader]:
    """Supply the reader; called once, on load."""
    summary = "DXF (ASCII), by the trade's interchange layers or by names"
    return [formats.Reader("dxf", (".dxf",), suits, read, summary=summary)]
