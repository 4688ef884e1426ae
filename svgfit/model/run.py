"""The run of a plan on the pieces of one size, step by step. Lengths in mm, curves in the pieces' frames."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.operation import Movement
from svgfit.model.piece import Piece, Redrawn
from svgfit.model.plan import Seam
from svgfit.model.report import (
    Annotation,
    Check,
    GarmentRow,
    Measurement,
    MeasurementRow,
    NotDoneRow,
    Opening,
    PieceRow,
    StepRow,
)
from svgfit.model.walk import Walk

Measured = Mapping[str, tuple[Measurement, ...]]
"""Measurements by the pieces' titles."""


class Stage(Struct, frozen=True):
    """One step and the pieces it left: for drawing each step by itself."""

    row: StepRow
    pieces: tuple[Piece, ...]
    """As the step left them."""
    openings: tuple[Opening, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    moved: tuple[Movement, ...] = ()
    place: str = ""
    """Where its step stands in the plan: the same in every size."""


class SizeRun(Struct, frozen=True):
    """The run of a plan on the pieces of one size. Lengths in mm, curves in the pieces' frames."""

    before: tuple[Piece, ...]
    after: tuple[Piece, ...]
    """The same pieces in the same order, without those that a step dropped; then those that one added."""
    seams: tuple[Seam, ...]
    measured_before: Measured
    measured_after: Measured
    garment_before: tuple[Measurement, ...] = ()
    """What plug-ins measured across the pieces."""
    garment_after: tuple[Measurement, ...] = ()
    steps: tuple[StepRow, ...] = ()
    openings: tuple[Opening, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    checks: tuple[Check, ...] = ()
    warnings: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    """One a step, in order."""
    cut_lines: Mapping[str, Curve | None] = {}
    """Cut lines already found, by the piece's title, each in its piece's frame; None where a piece has none."""
    redrawn: Mapping[str, Redrawn] = {}
    """What of them was drawn anew, by the piece's title."""
    units: Units = Units()
    """How people are spoken to."""
    walks: Mapping[str, Walk] = {}
    """Walks already done, by the sleeve's title; their verdicts as they are, without what was so before."""

    not_done: tuple[NotDoneRow, ...] = ()
    """Steps that were not done, since their conditions did not hold."""
    seams_as_read: bool = True
    """Whether no step changed what is sewn to what."""

    @property
    def size(self) -> str | None:
        """Which size of a nest it is; None where the pieces have none."""
        return next((piece.size for piece in self.before if piece.size is not None), None)


def garment_rows(runs: Sequence[SizeRun]) -> tuple[GarmentRow, ...]:
    """Pair what was measured across the pieces of each size, before and after; () where nothing was."""
    rows = ((run.size, measurement_rows(run.garment_before, run.garment_after)) for run in runs)
    return tuple(GarmentRow(size, figures) for size, figures in rows if figures)


def not_done_texts(runs: Sequence[SizeRun]) -> tuple[str, ...]:
    """Say of each step that was not done why, in sentences without a full stop, each once."""
    return tuple(dict.fromkeys(row.sentence for run in runs for row in run.not_done))


def measurement_rows(before: Sequence[Measurement], after: Sequence[Measurement]) -> tuple[MeasurementRow, ...]:
    """Pair measurements before and after, in the order of before, then those that only after has."""
    first = {item.name: item for item in before}
    second = {item.name: item for item in after}
    rows: list[MeasurementRow] = []
    for name, item in {**first, **second}.items():
        old, new = first.get(name), second.get(name)
        rows.append(MeasurementRow(name, item.unit, old.value if old else None, new.value if new else None))
    return tuple(rows)


def piece_rows(run: SizeRun) -> tuple[PieceRow, ...]:
    """Pair each piece's measurements before and after; both the same where no step was run.

    A piece that was added has none before, one that was dropped none after.
    """
    return tuple(
        PieceRow(
            piece.file,
            piece.name,
            piece.kind,
            piece.size,
            measurement_rows(run.measured_before.get(piece.title, ()), run.measured_after.get(piece.title, ())),
        )
        for piece in {piece.key: piece for piece in (*run.before, *run.after)}.values()
    )
