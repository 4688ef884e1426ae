"""What a step's outcome makes of a run: its pieces and seams, its row in the report, what it leaves to be minded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from msgspec import UNSET

from svgfit.app.prepared_steps import Prepared
from svgfit.app.side_effects import also_changes
from svgfit.model.operation import Movement, Outcome, replace
from svgfit.model.piece import Piece, paired
from svgfit.model.plan import Seam, Step, spell_edges
from svgfit.model.report import AlsoRow, Annotation, Check, Measurement, Opening, OpeningRow, StepRow
from svgfit.model.run import SizeRun, Stage
from svgfit.model.vocabulary import MeasureUnit

Placed = TypeVar("Placed", Opening, Annotation, Movement)


def with_step(run: SizeRun, item: Prepared, performed: tuple[Piece | None, Outcome]) -> SizeRun:
    """Add a step to a run: the piece it was done to (None: none of its own), and its outcome."""
    piece, outcome = performed
    rows = tuple(OpeningRow(found.edge, found.at, found.width, found.gain) for found in outcome.openings)
    title = piece.title if piece else None
    known = (*run.after, *outcome.pieces)
    openings, annotations = _titled(outcome.openings, known), _titled(outcome.annotations, known)
    moved = _titled(outcome.moved, known)
    after = tuple(_noted(old, new, moved) for old, new in paired(run.after, outcome.pieces))
    seams = _seams_after(run, after, outcome.seams)
    also = also_changes(run.after, after, seams, run.units)
    row = _step_row(item, title, outcome, rows, also, run.after)
    return SizeRun(
        before=run.before,
        after=after,
        seams=seams,
        seams_as_read=run.seams_as_read and seams is run.seams,
        measured_before=run.measured_before,
        measured_after=run.measured_after,
        steps=(*run.steps, row),
        openings=(*run.openings, *openings),
        annotations=(*run.annotations, *annotations),
        checks=(*run.checks, *_sized(outcome.checks, None if piece else size_of(run.before))),
        warnings=(*run.warnings, *outcome.warnings, *_lost(item, run, after, outcome.seams)),
        stages=(*run.stages, Stage(row, after, openings, annotations, moved, _place(item.step))),
        units=run.units,
        not_done=run.not_done,
    )


def _place(step: Step) -> str:
    return f"{step.where}, {step.piece}" if step.piece else step.where


def _step_row(
    item: Prepared,
    title: str | None,
    outcome: Outcome,
    openings: tuple[OpeningRow, ...],
    also: tuple[AlsoRow, ...],
    before: Sequence[Piece],
) -> StepRow:
    got = [one for one in outcome.got if isinstance(one, Measurement)]  # the border has made them all such
    units = {one.name: one.unit for one in got if one.unit != MeasureUnit.MM}
    return StepRow(
        do=item.operation.name,
        piece=title,
        asked={**dict(item.step.asked), **dict(item.shown)},
        got={one.name: one.value for one in got},
        openings=openings,
        also=also,
        note=item.step.note or UNSET,
        added=_titles_beside(outcome.pieces, before) or UNSET,
        dropped=_titles_beside(before, outcome.pieces) or UNSET,
        got_units=units or UNSET,
    )


def _titles_beside(pieces: Sequence[Piece], others: Sequence[Piece]) -> tuple[str, ...]:
    """Give the titles of pieces that are not among the others."""
    known = {piece.key for piece in others}
    return tuple(piece.title for piece in pieces if piece.key not in known)


def _seams_after(run: SizeRun, after: Sequence[Piece], more: tuple[Seam, ...]) -> tuple[Seam, ...]:
    """Keep the seams whose edges are still there, and add those that the step sews; the very same where none did."""
    gone = _edges_of(run.after) - _edges_of(after)
    if not gone and not more:
        return run.seams
    new = {(seam.a, seam.b) for seam in more}
    kept = (seam for seam in run.seams if gone.isdisjoint((*seam.a, *seam.b)) and (seam.a, seam.b) not in new)
    return (*kept, *(replace(seam, by_step=True) for seam in more))


def _edges_of(pieces: Sequence[Piece]) -> set[tuple[str, str]]:
    return {(piece.name, edge.name) for piece in pieces for edge in piece.edges}


def _lost(item: Prepared, run: SizeRun, after: Sequence[Piece], more: tuple[Seam, ...]) -> tuple[str, ...]:
    """Warn of seams that no step speaks of any more, and of cut lines that have to be drawn anew all round."""
    gone, sewn = _edges_of(run.after) - _edges_of(after), {edge for seam in more for edge in (*seam.a, *seam.b)}
    lost = [seam for seam in run.seams if not gone.isdisjoint((*seam.a, *seam.b))]
    found = [
        f"{item.operation.name}: {spell_edges(seam.a)} and {spell_edges(seam.b)} are held against each other no more, "
        f"since {spell_edges([edge for edge in (*seam.a, *seam.b) if edge in gone])} is gone"
        for seam in lost
        if sewn.isdisjoint((*seam.a, *seam.b))
    ]
    for old, new in paired(run.after, after):
        if old.cut is not None and new.cut is None and new is not old:
            found.append(f"{new.title}: its edges are others than before, so its cut line is redrawn all round")
    return tuple(found)


def _noted(old: Piece, new: Piece, moved: Sequence[Movement]) -> Piece:
    """Note with a piece that a step changed what its drawn cut line has to follow: its edges, how parts were moved."""
    if new is old or new.edges is old.edges:
        return new
    if [edge.name for edge in old.edges] != [edge.name for edge in new.edges]:
        return replace(new, cut=None)
    return new.after_step(tuple(one.motion for one in moved if one.piece == old.title and one.motion is not None))


def size_of(pieces: Sequence[Piece]) -> str | None:
    """Return the size of the pieces of one size of a nest; None outside a nest."""
    return next((piece.size for piece in pieces if piece.size is not None), None)


def _sized(checks: Sequence[Check], size: str | None) -> tuple[Check, ...]:
    """Add the size to the names of checks of a step that has no piece of its own."""
    return tuple(replace(check, name=f"{check.name} (size {size})") if size else check for check in checks)


def _titled(items: Sequence[Placed], pieces: Sequence[Piece]) -> tuple[Placed, ...]:
    """Put the piece's title in place of its bare name, where a plug-in gave that: in a nest only titles are unique."""
    titles = {piece.name: piece.title for piece in pieces}
    return tuple(
        replace(item, piece=titles[item.piece]) if titles.get(item.piece, item.piece) != item.piece else item
        for item in items
    )
