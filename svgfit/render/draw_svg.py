"""The job of drawing an SVG text as a PNG: done in a process of its own, so nothing else of svgfit is imported here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


def draw_png(text: str, family: str, fonts: Sequence[str], system: bool) -> bytes:
    """Draw an SVG text on white; ``system``: in the system's letters too, not in those of ``fonts`` alone."""
    import resvg_py

    draw: Any = resvg_py.svg_to_bytes
    made = draw(
        svg_string=text,
        background="white",
        skip_system_fonts=not system,
        font_files=list(fonts),
        font_family=family,
        sans_serif_family=family,
        serif_family=family,
    )
    return bytes(made)
