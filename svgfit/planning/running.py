"""Runs a plan: one operation after another, each pieces → pieces, each under the plug-ins' guard."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, TypeVar

from msgspec import Struct

from svgfit.model.drawn import Measurer
from svgfit.model.length import format_length
from svgfit.model.operation import Job, Operation, Outcome, replace
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan, Seam, Step
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Check, Opening, OpeningRow, StepRow
from svgfit.planning.measuring import Measured, measured
from svgfit.planning.reading import with_line
from svgfit.planning.resolving import Unfit, resolve_edges, resolve_piece, resolve_values
from svgfit.planning.sizes import plan_for_size, variants
from svgfit.plugin import validate
from svgfit.plugin.guard import PluginFault, guarded
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import Source

Placed = TypeVar("Placed", Opening, Annotation)
HOLDS = 0.01
"""How near a stated end must still be after the last step, in mm."""


class Run(Struct, frozen=True):
    """What running a plan gave. Lengths in mm, curves in the pieces' frames."""

    before: tuple[Piece, ...]
    after: tuple[Piece, ...]
    """The same pieces in the same order."""
    seams: tuple[Seam, ...]
    measured_before: Measured
    measured_after: Measured
    steps: tuple[StepRow, ...] = ()
    openings: tuple[Opening, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    checks: tuple[Check, ...] = ()
    warnings: tuple[str, ...] = ()


class Prepared(Struct, frozen=True):
    """A step with its operation found and its values read; the edges among them still as written."""

    step: Step
    operation: Operation
    source: Source
    values: dict[str, Any]


def prepare(plan: Plan, registry: Registry) -> tuple[Prepared, ...]:
    """Every step's operation and values; no pieces needed. Of a step with values by size, each is read, one given back.

    Raises Refusal for an unknown, switched-off, doubled or failed operation, an unknown parameter (with the nearest
    name), a value that can't be read, and a choice left open.
    """
    every = [[_prepare(plan, variant, registry) for variant in variants(step)] for step in plan.steps]
    return tuple(prepared[0] for prepared in every)


def _prepare(plan: Plan, step: Step, registry: Registry) -> Prepared:
    try:
        source = registry.source(step.do)
        operation = registry.operation(step.do)
    except Refusal as refusal:
        raise with_line(refusal.within(step.where), plan, step, "do") from refusal
    try:
        return Prepared(step, operation, source, resolve_values(operation, step.asked))
    except Unfit as unfit:
        raise with_line(unfit.refusal(step), plan, step, unfit.key) from None


def run_plan(
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    plan: Plan,
    registry: Registry,
    measurers: Sequence[Measurer] = (),
) -> Run:
    """The pieces after all steps, with everything measured before and after.

    The pieces are those of one size. Raises Refusal where a step can't be done; nothing is changed in place.
    """
    plan = plan_for_size(plan, next((piece.size for piece in pieces if piece.size is not None), None))
    prepared = prepare(plan, registry)
    measure = partial(measured, measurers=tuple(measurers))
    start = measure(pieces, seams)
    run = Run(pieces, pieces, seams, start, start)
    for item in prepared:
        try:
            run = _add(run, item, _perform(item, run.after, seams, measure))
        except Unfit as unfit:
            raise with_line(unfit.refusal(item.step), plan, item.step, unfit.key) from None
        except Refusal as refusal:
            raise with_line(refusal, plan, item.step) from refusal
    if not prepared:
        return run
    after = measure(run.after, seams)
    ends = _ends(prepared, run.steps, after)
    return Run(
        before=pieces,
        after=run.after,
        seams=seams,
        measured_before=start,
        measured_after=after,
        steps=run.steps,
        openings=run.openings,
        annotations=run.annotations,
        checks=(*run.checks, *ends),
        warnings=run.warnings,
    )


def _perform(
    item: Prepared,
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    measure: Callable[[tuple[Piece, ...], tuple[Seam, ...]], Measured],
) -> tuple[Piece | None, Outcome]:
    step, operation, source = item.step, item.operation, item.source
    edges = {parameter.name for parameter in operation.parameters if parameter.kind == "edges"}
    values = {
        name: resolve_edges(value, pieces, name) if name in edges else value for name, value in item.values.items()
    }
    piece = resolve_piece(operation, step, pieces)
    job = Job(operation.name, step.where, pieces, piece, values, seams, measure)
    try:
        found = guarded(source.name, source.where, lambda: operation.run(job), file=source.file)
        outcome = guarded(source.name, source.where, lambda: validate.outcome(found, pieces))
    except PluginFault as fault:
        place = f"{step.where}: {step.do}" if step.where else step.do
        raise fault.refusal(place) from fault
    return piece, outcome


def _add(run: Run, item: Prepared, performed: tuple[Piece | None, Outcome]) -> Run:
    piece, outcome = performed
    rows = tuple(OpeningRow(found.edge, found.at, found.width, found.gain) for found in outcome.openings)
    title = piece.title if piece else None
    row = StepRow(item.operation.name, title, dict(item.step.asked), dict(outcome.got), rows)
    return Run(
        before=run.before,
        after=outcome.pieces,
        seams=run.seams,
        measured_before=run.measured_before,
        measured_after=run.measured_after,
        steps=(*run.steps, row),
        openings=(*run.openings, *_titled(outcome.openings, run.before)),
        annotations=(*run.annotations, *_titled(outcome.annotations, run.before)),
        checks=(*run.checks, *outcome.checks),
        warnings=(*run.warnings, *outcome.warnings),
    )


def _titled(items: Sequence[Placed], pieces: Sequence[Piece]) -> tuple[Placed, ...]:
    """The items with their piece's title where a plug-in gave its bare name: in a nest only the title is unique."""
    titles = {piece.name: piece.title for piece in pieces}
    return tuple(
        replace(item, piece=titles[item.piece]) if titles.get(item.piece, item.piece) != item.piece else item
        for item in items
    )


def _ends(prepared: Sequence[Prepared], rows: Sequence[StepRow], after: Measured) -> tuple[Check, ...]:
    """Whether each end that a step stated holds when all steps are done; the last statement of an end counts."""
    stated: dict[tuple[str, str], tuple[str, str, float]] = {}
    for item, row in zip(prepared, rows, strict=True):
        for parameter in item.operation.parameters:
            if parameter.end and row.piece and parameter.name in item.values:
                text = dict(item.step.asked).get(parameter.name, parameter.default or "")
                stated[row.piece, parameter.end] = (f"{row.do} {parameter.name}", text, item.values[parameter.name])
    checks: list[Check] = []
    for (piece, name), (what, text, target) in stated.items():
        found = next((item.value for item in after.get(piece, ()) if item.name == name), None)
        if found is None:
            message = f"{piece}: {name} can't be measured, so whether it is {text} is not known"
            checks.append(Check(f"end: {what}", "fail", message, {"asked": target}))
            continue
        values = {"asked": target, "got": found}
        if abs(found - target) <= HOLDS:
            checks.append(Check(f"end: {what}", "pass", f"{piece}: {name} is {text} when all steps are done", values))
        else:
            now = format_length(found, "in" if "in" in text or '"' in text else "mm")
            message = f"{piece}: {name} should be {text} and is {now} when all steps are done"
            checks.append(Check(f"end: {what}", "fail", message, values))
    return tuple(checks)
