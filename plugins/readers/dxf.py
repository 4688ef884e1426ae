"""Reads DXF: pieces by the trade's interchange standard (ASTM D6673), else layers by their names."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Converted, Reader, Wishes, formats, hookimpl


def suits(head: bytes) -> bool:
    """Say whether a file that begins so is a DXF."""
    return formats.is_dxf(head)


def read(file: str, data: bytes, wishes: Wishes) -> Converted:
    """Read a DXF as a layered drawing in mm."""
    return formats.read_dxf(file, data, wishes)


@hookimpl
def svgfit_readers() -> Iterable[Reader]:
    """Supply the reader; called once, on load."""
    return [Reader("dxf", (".dxf",), suits, read, summary="DXF (ASCII), by the trade's interchange layers or by names")]
