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
from svgfit.formats.dxf.trade import LayerUse, layer_number
from svgfit.geometry.affine import Affine
from svgfit.geometry.arcs import full_ellipse
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.model.wording import listed
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
    bicep: tuple[Smooth, ...]
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
        marks = (*self.notches, *self.grain, *self.fold, *self.centre, *self.bicep, *self.details)
        return (*self.cut, *self.stitch, *marks)

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
            bicep=shifted(self.bicep),
            details=shifted(self.details),
            texts=tuple(replace(text, at=text.at + by) for text in self.texts),
        )


def is_trade(groups: Sequence[Group], use: LayerUse) -> bool:
    """Say whether lines are drawn on layers of outlines; where a convention says which these are, in blocks."""
    outlines = {*use.numbers("cut line"), *use.numbers("stitch line")}
    return any(
        isinstance(thing, Line) and layer_number(thing.layer) in outlines
        for group in groups
        if group.name or not use.stated
        for thing in group.things
    )


def trade_piece(group: Group, use: LayerUse) -> TradePiece | None:
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
    turns, bends = (
        marks.get(each, ()) if use.is_free(each) else () for each in (trade.TURN_POINTS, trade.CURVE_POINTS)
    )
    nodes = NodeMarks(turns, bends)

    def read(role: str) -> tuple[Smooth, ...]:
        return tuple(line for layer in use.numbers(role) for line in smooth_lines(by_layer.get(layer, ()), nodes))

    cut, stitch = read("cut line"), read("stitch line")
    if not cut and not stitch:
        return None
    points = [point for layer in use.numbers("notches") for point in marks.get(layer, ())]
    ticks = notch_ticks(points, [line.curve for line in cut], [line.curve for line in stitch])
    fold, centre = read("fold line"), read("centre line")
    if not {"fold line", "centre line"} & set(use.stated.values()):
        fold, centre = _mirror_lines(fold, (*cut, *stitch))
    said = trade.said([text.content for text in texts])
    name, size = _named(group.name, said)
    drilled = [each for each in use.numbers("drawn details") if each == trade.DRILL_HOLES or not use.is_free(each)]
    holes = [_hole(point) for layer in drilled for point in marks.get(layer, ())]
    return TradePiece(
        block=group.name,
        name=name,
        size=size,
        cut=cut,
        stitch=stitch,
        notches=(*read("notches"), *(Smooth(curve, False) for curve in ticks.curves)),
        grain=read("grain line"),
        fold=fold,
        centre=centre,
        bicep=read("bicep line"),
        details=(*read("drawn details"), *holes),
        texts=tuple(text for text in texts if not trade.is_grade_rule(text.content)),
        warnings=(
            *_of_ticks(ticks.astray),
            *_of_replaced(use, {*by_layer, *marks}),
            *_of_marks(nodes.astray([line for own in by_layer.values() for line in own])),
        ),
        left_out=tuple(_left_out(by_layer, marks, texts, use)),
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


def _of_replaced(use: LayerUse, there: set[str]) -> Iterator[str]:
    for number, role in use.replaced().items():
        if number in there:
            others = listed(use.numbers(role))
            yield (
                f"layer {number} is left out: by svgfit.toml the {role} is on layer {others}; if something is to be "
                f'read from layer {number}, say there what it is, as in "stitch line" = ["{number}"]'
            )


def _left_out(
    by_layer: dict[str, list[Line]], marks: dict[str, list[complex]], texts: Sequence[Writing], use: LayerUse
) -> Iterator[str]:
    if any(trade.is_grade_rule(text.content) for text in texts):
        yield "numbers of grade rules"
    known = {trade.BOUNDARY, trade.MIRROR_LINE, trade.GRAIN_LINE, trade.INTERNAL_LINES, trade.CUTOUTS}
    known |= {trade.DRILL_HOLES, trade.SEW_LINE, trade.ANNOTATION, *trade.NOTCH_LAYERS, *trade.QUALITY_CURVES}
    known = (known | {*use.stated}) - {*use.numbers("ignore")}
    for layer in sorted({*by_layer} - known):
        yield f"lines on layer {layer}"
    with_points = {trade.TURN_POINTS, trade.CURVE_POINTS, trade.DRILL_HOLES, *trade.NOTCH_LAYERS, *trade.QUALITY_CURVES}
    with_points = (with_points | {*use.stated}) - {*use.numbers("ignore")}
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
