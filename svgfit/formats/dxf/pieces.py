"""The pieces of a DXF by the interchange standard: a block a piece and size, its lines sorted by layer numbers. mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.dxf import trade
from svgfit.formats.dxf.entities import Drawn, Line, Point, Writing, chain, moved
from svgfit.formats.dxf.lines import NodeMarks, Smooth, smooth_lines
from svgfit.formats.dxf.notch_ticks import notch_ticks
from svgfit.formats.dxf.placing import Group
from svgfit.geometry.affine import Affine
from svgfit.geometry.arcs import full_ellipse
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.rules.interchange import MIRROR_NEAR

_HOLE = 1.5
"""Radius of the circle by which a drill hole is shown, mm."""


class TradePiece(Struct, frozen=True, eq=False, kw_only=True):
    """One piece in one size. Lines in mm, y down; each with whether it is closed."""

    block: str
    name: str
    size: str | None
    cut: tuple[Smooth, ...]
    stitch: tuple[Smooth, ...]
    notches: tuple[Smooth, ...]
    grain: tuple[Smooth, ...]
    fold: tuple[Smooth, ...]
    centre: tuple[Smooth, ...]
    details: tuple[Smooth, ...]
    texts: tuple[Writing, ...]
    warnings: tuple[str, ...]
    """Without the piece's name."""
    left_out: tuple[str, ...] = ()
    """Layers of which something is left out."""

    @property
    def title(self) -> str:
        """Name and size, for messages."""
        return f"{self.name} ({self.size})" if self.size else self.name

    @property
    def guessed(self) -> float:
        """By how much its outlines are longer than their chords, mm, where that rests on a guess."""
        return max(sum(line.guessed for line in lines) for lines in (self.cut, self.stitch))

    @property
    def box(self) -> Box:
        """The box around its lines, mm."""
        return box_around(line.curve.bounds() for line in self.lines)

    @property
    def lines(self) -> tuple[Smooth, ...]:
        """All its lines."""
        return (*self.cut, *self.stitch, *self.notches, *self.grain, *self.fold, *self.centre, *self.details)

    def moved(self, by: complex) -> TradePiece:
        """Return the piece shifted."""
        motion = Affine.shift(by)

        def shifted(lines: tuple[Smooth, ...]) -> tuple[Smooth, ...]:
            return tuple(replace(line, curve=line.curve.transform(motion)) for line in lines)

        return replace(
            self,
            cut=shifted(self.cut),
            stitch=shifted(self.stitch),
            notches=shifted(self.notches),
            grain=shifted(self.grain),
            fold=shifted(self.fold),
            centre=shifted(self.centre),
            details=shifted(self.details),
            texts=tuple(replace(text, at=text.at + by) for text in self.texts),
        )


def layer_number(name: str) -> str:
    """Reduce a layer's name to its number as the standard writes it: without zeros before it."""
    return name.lstrip("0") or name


def is_trade(groups: Sequence[Group]) -> bool:
    """Say whether lines are drawn on the standard's layers of outlines."""
    outlines = (trade.BOUNDARY, trade.SEW_LINE)
    return any(
        isinstance(thing, Line) and layer_number(thing.layer) in outlines for group in groups for thing in group.things
    )


def trade_piece(group: Group) -> TradePiece | None:
    """Sort what a block draws; None where it has no outline. ``group`` is in mm, y down."""
    by_layer: dict[str, list[Line]] = {}
    marks: dict[str, list[complex]] = {}
    texts: list[Writing] = []
    for thing in group.things:
        layer = layer_number(thing.layer)
        if isinstance(thing, Line):
            by_layer.setdefault(layer, []).append(thing)
        elif isinstance(thing, Point):
            marks.setdefault(layer, []).append(thing.at)
        else:
            texts.append(thing)
    nodes = NodeMarks(marks.get(trade.TURN_POINTS, ()), marks.get(trade.CURVE_POINTS, ()))

    def read(*layers: str) -> tuple[Smooth, ...]:
        return tuple(line for layer in layers for line in smooth_lines(by_layer.get(layer, ()), nodes))

    cut, stitch = read(trade.BOUNDARY), read(trade.SEW_LINE)
    if not cut and not stitch:
        return None
    points = [point for layer in trade.NOTCH_LAYERS for point in marks.get(layer, ())]
    ticks = notch_ticks(points, [line.curve for line in cut], [line.curve for line in stitch])
    fold, centre = _mirror_lines(read(trade.MIRROR_LINE), (*cut, *stitch))
    said = trade.said([text.content for text in texts])
    name, size = _named(group.name, said)
    holes = [_hole(point) for point in marks.get(trade.DRILL_HOLES, ())]
    return TradePiece(
        block=group.name,
        name=name,
        size=size,
        cut=cut,
        stitch=stitch,
        notches=(*read(*trade.NOTCH_LAYERS), *(Smooth(curve, False) for curve in ticks.curves)),
        grain=read(trade.GRAIN_LINE),
        fold=fold,
        centre=centre,
        details=(*read(trade.INTERNAL_LINES, trade.CUTOUTS, trade.DRILL_HOLES), *holes),
        texts=tuple(text for text in texts if not trade.is_grade_rule(text.content)),
        warnings=(
            *_of_ticks(ticks.astray),
            *_of_marks(nodes.astray([line for own in by_layer.values() for line in own])),
        ),
        left_out=tuple(_left_out(by_layer, marks, texts)),
    )


def _named(block: str, said: dict[str, str]) -> tuple[str, str | None]:
    """Name the piece by its text, else its block; its size by its text, else by what the block's name adds."""
    name = said.get("piece") or block
    size = said.get("size")
    rest = block[len(name) :]
    if size is None and block.casefold().startswith(name.casefold()) and rest[:1] in ("-", "_", " "):
        size = rest[1:].strip() or None
    return name, size


def _mirror_lines(lines: Sequence[Smooth], outlines: Sequence[Smooth]) -> tuple[tuple[Smooth, ...], tuple[Smooth, ...]]:
    """Part mirror lines on the outline, where half a piece lies on the fold, from those through a whole piece."""
    on_it: list[Smooth] = []
    through: list[Smooth] = []
    for line in lines:
        points = line.curve.points(np.linspace(0.1, 0.9, 5) * len(line.curve))
        away = [min(outline.curve.nearest(point)[1] for outline in outlines) for point in points.tolist()]
        (on_it if max(away) <= MIRROR_NEAR else through).append(line)
    return tuple(on_it), tuple(through)


def _hole(at: complex) -> Smooth:
    return Smooth(Curve(chain(full_ellipse(at, _HOLE, _HOLE, 1e-3))), True)


def _of_ticks(astray: Sequence[tuple[complex, float]]) -> Iterator[str]:
    if astray:
        farthest = max(away for _, away in astray)
        each = "a notch lies" if len(astray) == 1 else f"{len(astray)} notches lie"
        yield f"{each} on no line, {both_ways(farthest)} off; left out"


def _of_marks(astray: int) -> Iterator[str]:
    if astray:
        each = "a turn or curve point lies" if astray == 1 else f"{astray} turn or curve points lie"
        yield f"{each} on no line: the file may be damaged, so look at the outline"


def _left_out(
    by_layer: dict[str, list[Line]], marks: dict[str, list[complex]], texts: Sequence[Writing]
) -> Iterator[str]:
    if any(trade.is_grade_rule(text.content) for text in texts):
        yield "numbers of grade rules"
    known = {trade.BOUNDARY, trade.MIRROR_LINE, trade.GRAIN_LINE, trade.INTERNAL_LINES, trade.CUTOUTS}
    known |= {trade.DRILL_HOLES, trade.SEW_LINE, trade.ANNOTATION, *trade.NOTCH_LAYERS, *trade.QUALITY_CURVES}
    for layer in sorted({*by_layer} - known):
        yield f"lines on layer {layer}"
    with_points = {trade.TURN_POINTS, trade.CURVE_POINTS, trade.DRILL_HOLES, *trade.NOTCH_LAYERS, *trade.QUALITY_CURVES}
    for layer in sorted({*marks} - with_points):
        yield f"points on layer {layer}"


def drawn_in_mm(group: Group, mm: float) -> Group:
    """Scale a group from the file's unit to mm and turn y down."""
    return Group(group.name, tuple(moved(thing, Affine.scale(mm, -mm)) for thing in group.things))


def longest_side(things: Sequence[Drawn]) -> float:
    """Measure the longer side of the box around lines; 0 where there are none."""
    nodes = [thing.cubics.ravel() for thing in things if isinstance(thing, Line)]
    if not nodes:
        return 0.0
    every = np.concatenate(nodes)
    return float(max(np.ptp(every.real), np.ptp(every.imag)))
