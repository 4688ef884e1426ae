"""All measurements of a set of pieces: svgfit's own and those of plug-ins, each name once."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.fitting.measure import measure_all
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.run import Measured


def measured(pieces: tuple[Piece, ...], seams: tuple[Seam, ...], measurers: Sequence[Measurer] = ()) -> Measured:
    """Measurements by piece title. Raises Refusal where two sources give one name, and names both."""
    found = dict(measure_all(pieces, seams))
    for piece in pieces:
        owners = {item.name: "svgfit itself" for item in found[piece.title]}
        for measurer in measurers:
            if piece.kind not in measurer.kinds:
                continue
            for item in measurer.measure(piece):
                if item.name in owners:
                    what = (
                        f"measurement {item.name!r} comes from both {owners[item.name]} and plug-in {measurer.name!r}"
                    )
                    raise Refusal(piece.where, what, "switch one off with --without NAME; svgfit plugins lists them")
                owners[item.name] = f"plug-in {measurer.name!r}"
                found[piece.title] = (*found[piece.title], item)
    return found
