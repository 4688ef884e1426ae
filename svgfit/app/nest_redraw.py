"""A nest's figures for the sizes that are printed: its plan run again for these, in memory, and drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from svgfit.app.replay import Again
    from svgfit.geometry.curve import Curve
    from svgfit.model.drawing import Shape
    from svgfit.model.run import Run


_SAME = 0.01
"""A line drawn again may be off by so much, mm."""


def redrawing(again: Callable[[], Again]) -> Callable[[str], bytes | None]:
    """What gives a drawing's bytes with our layers as they are for the sizes that ``again`` runs.

    None where they can't be had: the drawing holds no plan, the plan went on from outlines adjusted before or gives
    other lines than stand in the drawing, or a person has edited a layer of ours since.
    """

    def redraw(file: str) -> bytes | None:
        from svgfit.app.session import adjusted_drawings
        from svgfit.model.refusal import Refusal

        try:
            found = again()
            drawings = found.job.gathered.sheets.drawings
            edited = any(layer.edited for drawing in drawings for layer in drawing.own)
            if edited or found.earlier or not found.plan.steps + found.plan.ends:
                return None
            runs = _as_drawn(found)
            if runs is None:
                return None
            made, _ = adjusted_drawings(found.job, runs, names_sizes=True)
        except Refusal:
            return None
        files = [drawing.canvas.file for drawing in drawings]
        return made[files.index(file)] if file in files else None

    return redraw


def _as_drawn(again: Again) -> tuple[Run, ...] | None:
    """The runs with the cut lines that stand in the drawings; None where a stitch line is another than there.

    What the cut lines were made from may be said elsewhere by now.
    """
    from msgspec.structs import replace

    from svgfit.pattern.adjusted_layer import adjusted_pieces

    rule = again.job.desk.convention.rule
    drawn = {
        (piece.file, piece.name, piece.size): piece
        for drawing in again.job.gathered.sheets.drawings
        for piece in adjusted_pieces(drawing.canvas.file, drawing.layers, rule)
    }
    runs: list[Run] = []
    for run in again.runs:
        cuts = dict(run.cut_lines)
        for piece in run.after:
            there = drawn.get((piece.file, piece.name, piece.size))
            if there is None:
                continue
            if not _same(piece.outline().transform(piece.placement), there.stitch):
                return None
            lines = [curve for shape in there.cut for curve in shape.curves]
            cuts[piece.title] = lines[0].transform(piece.placement.inverse()) if len(lines) == 1 else None
        runs.append(replace(run, cut_lines=cuts))
    return tuple(runs)


def _same(outline: Curve, stitch: Sequence[Shape]) -> bool:
    lines = [curve for shape in stitch for curve in shape.curves]
    return (
        len(lines) == 1
        and len(lines[0]) == len(outline)
        and float(abs(lines[0].segments - outline.segments).max()) < _SAME
    )
