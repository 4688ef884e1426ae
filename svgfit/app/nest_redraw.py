"""A nest's figures for the sizes that are printed: its plan run again for these, in memory, and drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from svgfit.app.replay import Replay, replay

if TYPE_CHECKING:
    from svgfit.app.run import Run
    from svgfit.app.session import Session
    from svgfit.geometry.curve import Curve
    from svgfit.model.drawing import Shape

_SAME = 0.01
"""A line drawn again may be off by so much, mm."""


def redrawn_drawing(session: Session, file: str) -> bytes | None:
    """Give a drawing's bytes with our layers as they are for the sizes that the session looks at.

    None where they can't be had: the drawing holds no plan, the plan went on from outlines adjusted before or gives
    other lines than stand in the drawing, or a person has edited a layer of ours since.
    """
    return session.once(_redrawn).get(file)


def _redrawn(session: Session) -> dict[str, bytes]:
    from svgfit.model.refusal import Refusal

    try:
        found = session.once(replay)
        edited = any(layer.edited for name in session.files for layer in session.svgfit_layers(name))
        if edited or found.earlier or not (found.run.plan.steps or found.run.plan.ends):
            return {}
        run = _with_drawn_cut_lines(found)
        if run is None:
            return {}
        made = run.annotated(names_sizes=True)
    except Refusal:
        return {}
    return dict(zip(session.files, made.drawings, strict=True))


def _with_drawn_cut_lines(found: Replay) -> Run | None:
    """Give the run with the cut lines that stand in the drawings; None where a stitch line is another than there.

    What the cut lines were made from may be said elsewhere by now.
    """
    from msgspec.structs import replace

    from svgfit.app.run import Run
    from svgfit.pattern.adjusted_layer import adjusted_pieces

    context = found.run.context
    rule = context.setup.convention.rule
    drawn = {
        (piece.file, piece.name, piece.size): piece
        for drawing in context.pattern.read.drawings
        for piece in adjusted_pieces(drawing.canvas.file, drawing.layers, rule)
    }
    sizes = list(found.run.sizes)
    for number, size in enumerate(sizes):
        cuts = dict(size.cut_lines)
        for piece in size.after:
            there = drawn.get((piece.file, piece.name, piece.size))
            if there is None:
                continue
            if not _same(piece.outline().transform(piece.placement), there.stitch):
                return None
            lines = [curve for shape in there.cut for curve in shape.curves]
            cuts[piece.title] = lines[0].transform(piece.placement.inverse()) if len(lines) == 1 else None
        sizes[number] = replace(size, cut_lines=cuts)
    return Run(context, found.run.plan, tuple(sizes))


def _same(outline: Curve, stitch: Sequence[Shape]) -> bool:
    lines = [curve for shape in stitch for curve in shape.curves]
    return (
        len(lines) == 1
        and len(lines[0]) == len(outline)
        and float(abs(lines[0].segments - outline.segments).max()) < _SAME
    )
