"""Measures how much cloth a piece takes: the area inside its cut line, and how well it fills its strip of the cloth.

Of a piece on the fold both halves count. A piece whose cut line is not known is not measured.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Measurement, Measurer, Piece, edgework, hookimpl


def cloth(piece: Piece) -> Iterable[Measurement]:
    """Add two lines to the table of every piece, each in its unit."""
    line = edgework.cut_line(piece)
    if line is None:
        return
    left, top, right, bottom = line.bounds()
    halves = 2 if any(edge.fold for edge in piece.edges) else 1
    yield Measurement("cloth area", halves * abs(line.area()), "mm2")
    yield Measurement("share of its strip of cloth", abs(line.area()) / ((right - left) * (bottom - top)), "share")


@hookimpl
def svgfit_measurers() -> Iterable[Measurer]:
    """Called once, when svgfit loads this file."""
    return [Measurer("cloth", ("sleeve", "front", "back"), cloth)]
