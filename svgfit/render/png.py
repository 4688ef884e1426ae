"""A drawing as a PNG: ready to send or to put on a slide."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Collection, Sequence

from svgfit.model.dialect import Element
from svgfit.model.refusal import Refusal
from svgfit.render.html.sheet import Window, sheet, window_of
from svgfit.render.limited import PLAIN, Limits, NotRendered, render
from svgfit.render.typeface import typeface
from svgfit.svg.reader import Drawing

WIDTH = 1600
"""Pixels across where nothing else is asked for."""
MOST = 100_000_000
"""No picture has more pixels: 400 MB while it is drawn."""
_BYTES, _A_SECOND = 8, 5_000_000
"""Of a large picture: what a pixel takes while it is drawn and packed, and how many take a second."""
_FAR_TOO_MANY = 1_000_000_000
"""Pixels of which nobody wants to know how many they are."""
_MM_PER_INCH = 25.4
_LETTERS_OF_OURS = ((0x20, 0x590), (0x1D00, 0x2E80))
"""Signs that the letters in the package have: Latin, Greek, Cyrillic, punctuation and symbols."""


def png(
    drawing: Drawing,
    root: Element,
    parts: Sequence[str],
    *,
    width: int | None = None,
    dpi: float | None = None,
    left_out: Collection[Element] = (),
) -> bytes:
    """Draw the parts of a drawing on white, ``width`` pixels across or ``dpi`` pixels to an inch of paper.

    ``root`` is the drawing's tree, of which ``left_out`` is not shown. With ``dpi`` the picture says so itself and
    prints true to size. Raises Refusal for no pixels or far too many.
    """
    window = window_of(drawing, parts)
    across, down = pixels(drawing.canvas.file, window, width=width, dpi=dpi)
    text = sheet(drawing, root, parts, window, across, down, left_out)
    made = rendered(drawing.canvas.file, text, across * down)
    return _with_density(made, dpi) if dpi is not None else made


def pixels(file: str, window: Window, *, width: int | None, dpi: float | None) -> tuple[int, int]:
    """Count width and height in pixels."""
    if dpi is not None:
        across, down = window.width / _MM_PER_INCH * dpi, window.height / _MM_PER_INCH * dpi
    else:
        across = float(WIDTH if width is None else min(width, _FAR_TOO_MANY))
        down = across * window.height / window.width
    if across * down > MOST or max(across, down) > 32_000:
        asked = f"--dpi {dpi:g}" if dpi is not None else f"--width {str(width)[:20]}"
        size = f"{across:.0f} by {down:.0f} pixels, " if max(across, down) < _FAR_TOO_MANY else ""
        what = f"would be {size}more than a picture may have"
        raise Refusal(f"{file}: {asked}", what, "ask for less")
    if min(across, down) < 1:
        raise Refusal(file, "would be less than a pixel high or wide", "ask for a larger --width or --dpi")
    return round(across), round(down)


def rendered(file: str, text: str, size: int = 0) -> bytes:
    """Draw an SVG text of ``size`` pixels in all as a PNG, with the letters that come with svgfit.

    Done in a process of its own. Raises Refusal for what can't be drawn, or takes too much time or memory.
    """
    face = typeface()
    ours = all(any(first <= ord(sign) < end for first, end in _LETTERS_OF_OURS) for sign in set(text) - set("\t\r\n"))
    system = not ours  # a script that ours lack is better in the system's letters than not at all
    limits = Limits(PLAIN.seconds + size // _A_SECOND, PLAIN.memory + size * _BYTES)
    try:
        return render("svgfit.render.draw_svg:draw_png", (text, face.family, [*map(str, face.files)], system), limits)
    except NotRendered as fault:
        raise Refusal(file, f"can't be drawn as a picture: {fault}", fault.todo) from None


def _with_density(data: bytes, dpi: float) -> bytes:
    """Put the pixels in a metre in behind the header (PNG specification, third edition, section 11.3.4.3)."""
    per_metre = round(dpi / _MM_PER_INCH * 1000)
    body = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, 1)
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return data[:33] + chunk + data[33:]
