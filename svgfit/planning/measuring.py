"""All measurements of a set of pieces: svgfit's own and those of plug-ins, each name once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from svgfit.fitting.measure import measure_all
from svgfit.model.drawn import Measurer
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement, MeasurementRow

Measured = Mapping[str, tuple[Measurement, ...]]
"""Measurements by the pieces' titles."""


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


def measurement_rows(before: Sequence[Measurement], after: Sequence[Measurement]) -> tuple[MeasurementRow, ...]:
    """Before and after side by side, in the order of before, then what only after has."""
    first = {item.name: item for item in before}
    second = {item.name: item for item in after}
    rows: list[MeasurementRow] = []
    for name, item in {**first, **second}.items():
        old, new = first.get(name), second.get(name)
        rows.append(MeasurementRow(name, item.unit, old.value if old else None, new.value if new else None))
    return tuple(rows)
