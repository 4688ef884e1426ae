"""Which dash stands for which size, where a drawn nest tells its sizes apart by that: for the page with the map."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from svgfit.model.raw_piece import DrawnPiece
from svgfit.render.pdf.typesetting import millimetres, quoted
from svgfit.svg.export.ink_extent import Dash, dash
from svgfit.svg.reader import Placed
from svgfit.svg.styles import Sheet

_SAMPLE = 24.0
"""Length of a sample, mm."""
_LEAST, _MOST = 0.2, 0.8
"""A sample's weight is within these, mm."""


class SizeLine(Struct, frozen=True):
    """How the outline of a size is drawn."""

    size: str
    dash: Dash


def size_key(
    every: Sequence[DrawnPiece], placed: Iterable[Placed], per: float, sheet: Sheet | None
) -> tuple[SizeLine, ...]:
    """How each size's stitch lines are drawn, or the cut lines; () where the lines do not tell the sizes apart.

    ``placed`` is what of the drawing is to be seen, ``per`` mm for a user unit, ``sheet`` what
    ``paint_sheet`` found.
    """
    seen = {id(each.shape): each for each in placed if each.shape is not None}
    for cut in (False, True):
        found: dict[str, SizeLine] = {}
        for piece in every:
            first = _first(piece, seen, cut=cut)
            if piece.size is not None and first is not None:
                found.setdefault(piece.size, SizeLine(piece.size, dash(first.item, per, sheet)))
        if len({line.dash for line in found.values()}) > 1:
            return tuple(found.values())
    return ()


def _first(piece: DrawnPiece, seen: Mapping[int, Placed], *, cut: bool) -> Placed | None:
    shapes = piece.cut if cut else piece.stitch
    return next((seen[id(shape)] for shape in shapes if id(shape) in seen), None)


def key_markup(key: Sequence[SizeLine]) -> str:
    """A line of samples, each with its size; "" for none."""
    return "".join(f"{_sample(line.dash)} #{quoted(f'size {line.size}')} #h(5mm, weak: true)\n" for line in key)


def _sample(told: Dash) -> str:
    weight = millimetres(min(max(told.width, _LEAST), _MOST))
    dashes = ", ".join(millimetres(part) for part in told.lengths)
    pattern = f', dash: ({dashes},), cap: "butt"' if dashes else ""
    drawn = f"line(length: {millimetres(_SAMPLE)}, stroke: (paint: black, thickness: {weight}{pattern}))"
    return f"#box(width: {millimetres(_SAMPLE)}, height: 0.73em, align(horizon, {drawn}))"
