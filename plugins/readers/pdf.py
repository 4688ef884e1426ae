"""Reads PDF: a layer for each of its layers, at true size, pages that are tiles of one sheet put together."""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import formats, hookimpl


def read(file: str, data: bytes, wishes: formats.Wishes) -> formats.Converted:
    """Read the file, whose name is only for messages."""
    return formats.read_pdf(file, data, wishes)


def suits(head: bytes) -> bool:
    """Tell a PDF by its mark; what comes before that is passed over."""
    return b"%PDF-" in head[:1024]


@hookimpl
def svgfit_readers() -> Iterable[formats.Reader]:
    """Supply the reader; called once, on load."""
    return [formats.Reader("pdf", (".pdf", ".ai"), suits, read, summary="PDF, with its layers; tiles are put together")]
