"""What a teaching sheet tells of: a plan's runs, which size of a nest speaks for all, what frames the steps.

The steps are done on the stitch line, where seams are as long as they are sewn: the seam allowance is taken off before
the first and added again after the last.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from svgfit.model.instructions import Instructions
from svgfit.model.length import Units
from svgfit.model.operation import Operation
from svgfit.model.piece import Piece, paired
from svgfit.model.report import MeasurementRow
from svgfit.model.run import Measured, SizeRun, Stage, measurement_rows
from svgfit.model.walk import Walk
from svgfit.model.wording import listed
from svgfit.render.annotate.nest import speaking
from svgfit.render.format_values import has_changed, notable_rows
from svgfit.render.pdf.step_geometry import PLAIN, Change, change_of, own_lines
from svgfit.render.pdf.step_sentences import length

Measure = Callable[[tuple[Piece, ...]], Measured]


class Lesson(Struct, frozen=True):
    """All that the sheet is made from."""

    title: str
    """The drawings' names."""
    runs: tuple[SizeRun, ...]
    """One a size."""
    units: Units
    measure: Measure
    """Every measurement of the pieces of one size, by their titles."""
    operations: Mapping[str, Operation] = {}
    """The operations of its steps that are still there, by name."""
    walks: tuple[Walk, ...] = ()
    warnings: tuple[str, ...] = ()
    note: str = ""
    """What else is to be said at the beginning: on what the steps went on, or why none are shown."""
    says: tuple[str, ...] = ()
    """What the plan's writer says of it, and which steps were not done, in sentences."""

    def summary(self, do: str) -> str:
        """Return what an operation says of itself; "" where it is no longer there."""
        return self.operations[do].summary if do in self.operations else ""


class Taught(Struct, frozen=True):
    """One step of the run that is shown."""

    number: int
    stage: Stage
    changes: tuple[Change, ...]
    """One for each piece that it changed."""
    figures: tuple[tuple[str, MeasurementRow], ...]
    """What it changed of each piece's figures: the piece's title, and the figure before and after the step."""
    before: Measured
    """All figures as they were before the step."""
    instructions: Instructions = PLAIN
    """The teaching words of its operation."""
    cuts_only: bool = False
    """Whether its operation changes nothing but seam allowances."""


def shown_run(lesson: Lesson) -> SizeRun:
    """Choose the run whose pictures stand for all sizes: the size in the middle of the first piece that changed."""
    changed = [new for run in lesson.runs for _, new in changed_pieces(run)]
    shown = {piece.title for piece in speaking(changed)}
    for run in lesson.runs:
        if any(new.title in shown for _, new in changed_pieces(run)):
            return run
    return lesson.runs[0]


def changed_pieces(run: SizeRun) -> tuple[tuple[Piece, Piece], ...]:
    """Pair the pieces before and after, of those that the plan changed."""
    return tuple((old, new) for old, new in paired(run.before, run.after) if new is not old)


def taught_steps(lesson: Lesson, run: SizeRun) -> tuple[Taught, ...]:
    """Collect every step of a run, with what it did to each piece."""
    found: list[Taught] = []
    before, figures = run.before, run.measured_before
    for number, stage in enumerate(run.stages, 1):
        after = lesson.measure(stage.pieces)
        drawn_on = {note.piece for note in own_lines(stage.annotations)}
        both = paired(before, stage.pieces)
        pairs = [(old, new) for old, new in both if new is not old or {new.title, new.name} & drawn_on]
        operation = lesson.operations.get(stage.row.do)
        words = PLAIN if operation is None else operation.instructions
        changes = tuple(change_of(old, new, stage, lesson.units, words) for old, new in pairs)
        cuts_only = operation is not None and operation.cuts_only
        found.append(Taught(number, stage, changes, _differences(figures, after), figures, words, cuts_only))
        before, figures = stage.pieces, after
    return tuple(found)


def same_step(run: SizeRun, step: Taught) -> Stage | None:
    """Find the stage of another size in which the same step was done; None where it was not done there."""
    wanted = (step.stage.place, step.stage.row.do)
    at = run.stages[step.number - 1 : step.number]
    return next((one for one in (*at, *run.stages) if (one.place, one.row.do) == wanted), None)


def _differences(before: Measured, after: Measured) -> tuple[tuple[str, MeasurementRow], ...]:
    """Collect the figures that a step changed."""
    return tuple(
        (title, row)
        for title, items in after.items()
        for row in notable_rows(measurement_rows(before.get(title, ()), items))
        if has_changed(row)
    )


# -- after the last ----------------------------------------------------------------------------------------------------


def allowances(lesson: Lesson, run: SizeRun, taught: Sequence[Taught]) -> tuple[tuple[str, str], ...]:
    """List every changed piece's title and its allowances, edge by edge; () where only allowances change.

    With them the steps are framed: taken off before the first, added again after the last.
    """
    if not any(one.changes and not one.cuts_only for one in taught):
        return ()
    return tuple((piece.title, _allowances_of(piece, lesson.units)) for _, piece in changed_pieces(run))


def _allowances_of(piece: Piece, units: Units) -> str:
    """List the seam allowance of every edge: "5/8 in at the cap and both underarms, 1 in at the hem"."""
    groups: dict[str, list[str]] = {}
    for edge in piece.edges:
        if edge.fold:
            groups.setdefault("none", []).append(edge.name)
        elif edge.allowance is None:
            groups.setdefault("as wide as on your pattern (the drawing does not say)", []).append(edge.name)
        else:
            groups.setdefault(length(edge.allowance, units), []).append(edge.name)
    return "; ".join(f"{wide} at the {listed(names)}" for wide, names in groups.items())
