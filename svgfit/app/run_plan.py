"""Runs a plan: one operation after another, each pieces → pieces, each under the plug-ins' guard."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import partial

from msgspec import UNSET

from svgfit.app.nest import plan_for_size
from svgfit.app.parameter_values import Unfit, resolve_piece, resolve_value
from svgfit.app.prepared_steps import Prepared, prepare, prepare_step
from svgfit.app.step_effects import effect_warnings
from svgfit.app.step_figures import Measure, State, each_piece, judge, take_values
from svgfit.app.step_result import size_of, with_step
from svgfit.app.targets import (
    HOLDS,
    SHARE,
    SHARE_KEPT,
    End,
    cap_fault,
    drawn_share,
    end_check,
    needs_nothing,
    notches_move_apart,
    on_the_old,
    read_ends,
    stated_twice,
    unusual_share,
    ways,
)
from svgfit.fitting.measure import measure_all
from svgfit.model.length import Units
from svgfit.model.operation import Job, Operation, Outcome, Values, replace
from svgfit.model.piece import Piece, is_unchanged, paired
from svgfit.model.plan import Plan, Seam, Step, with_line
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.report import (
    NotDoneRow,
    StepRow,
)
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import Figure, ParameterKind, PieceKind, Status
from svgfit.plugin import sound_results
from svgfit.plugin.abilities import none_loaded, notch_matcher
from svgfit.plugin.guard import PluginFault
from svgfit.plugin.registry import Registry

Reached = dict[tuple[str, str], tuple[End, list[str]]]
"""Stated ends by piece title and measurement, each with why ways to reach it were refused."""


def run_plan(
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    plan: Plan,
    registry: Registry,
    measurers: Sequence[Measurer] = (),
    *,
    units: Units = Units(),
) -> SizeRun:
    """Run a plan on the pieces of one size, with everything measured before and after.

    What a step left unmatched elsewhere is told in ``units``. The pieces are those of one size. Raises Refusal where a
    step can't be done; nothing is changed in place.
    """
    plan = _on_each_piece(plan_for_size(plan, size_of(pieces)), pieces)
    prepared = prepare(plan, registry)
    measure = partial(measure_all, measurers=tuple(measurers))
    start = measure(pieces, seams)
    run = SizeRun(pieces, pieces, seams, start, start, units=units)
    done: list[Prepared] = []
    for item in prepared:
        try:
            run, ready = _taken(item, run, State(run, measure, registry))
            if ready is not None:
                run = _with_done(run, ready, measure, registry)
                done.append(ready)
        except Unfit as unfit:
            raise with_line(unfit.refusal(item.step), plan, item.step, unfit.key) from None
        except Refusal as refusal:
            placed = with_line(refusal, plan, item.step)
            if placed is refusal:
                raise  # with what it came from, which --debug shows
            raise placed from refusal
    if not prepared and not plan.ends:
        return run
    stated, twice = _stated(done, run.steps)
    _refuse_against_each_other(plan, run.after, registry)
    for step in plan.ends:
        run, reached = _reach(run, step, plan, registry, measure)
        twice += [stated_twice(key[0], stated[key][0], end) for key, (end, _) in reached.items() if key in stated]
        stated |= reached
    run = replace(run, warnings=tuple(map(units.speak, (*run.warnings, *filter(None, twice)))))
    after = measure(run.after, run.seams)
    faults = {old.title: cap_fault(old, new) for old, new in paired(pieces, run.after)}
    checks = [
        end_check(title, end, after.get(title, ()), why, faults.get(title, ""))
        for (title, _), (end, why) in stated.items()
    ]
    checks = [replace(check, message=units.speak(check.message)) for check in checks]
    return replace(run, measured_after=after, checks=(*run.checks, *checks))


def _with_done(run: SizeRun, ready: Prepared, measure: Measure, registry: Registry) -> SizeRun:
    """Do one step, and add what it did and what it did not."""
    piece, outcome = _perform(ready, run.after, run.seams, measure, run.units, registry)
    outcome = _with_origins(run, ready, outcome, measure, registry)
    effects = effect_warnings(ready, piece, run, outcome, measure)
    if effects:
        outcome = replace(outcome, warnings=(*outcome.warnings, *map(run.units.speak, effects)))
    return with_step(run, ready, (piece, outcome))


def _on_each_piece(plan: Plan, pieces: Sequence[Piece]) -> Plan:
    """Make one step for each piece of those that name several."""
    if not any("+" in (step.piece or "") for step in (*plan.steps, *plan.ends)):
        return plan
    return replace(plan, steps=each_piece(plan.steps, pieces), ends=each_piece(plan.ends, pieces))


def _taken(item: Prepared, run: SizeRun, state: State) -> tuple[SizeRun, Prepared | None]:
    """Measure what a step takes from measurements; None in place of a step whose condition does not hold."""
    step, operation = item.step, item.operation
    if step.when is not None:
        verdict = judge(step.when, operation, step, state)
        run = replace(run, warnings=(*run.warnings, *verdict.warnings))
        if not verdict.holds:
            size = size_of(run.before)
            title = f"{step.piece} ({size})" if step.piece and size else step.piece
            row = NotDoneRow(operation.name, title, verdict.why, step.note or UNSET)
            return replace(run, not_done=(*run.not_done, row)), None
    if not step.measured:
        return run, item
    taken = take_values(operation, step, state)
    step = replace(step, asked=(*step.asked, *taken.asked))
    item = Prepared(step, operation, item.guard, {**item.values, **taken.values}, taken.shown)
    return replace(run, warnings=(*run.warnings, *taken.warnings)), item


def _perform(
    item: Prepared,
    pieces: tuple[Piece, ...],
    seams: tuple[Seam, ...],
    measure: Measure,
    units: Units,
    registry: Registry,
) -> tuple[Piece | None, Outcome]:
    step, operation = item.step, item.operation
    known = {parameter.name: parameter for parameter in operation.parameters}
    edges = {
        name: resolve_value(known[name], value, pieces, None, "")
        for name, value in item.values.items()
        if known[name].kind == ParameterKind.EDGES
    }
    piece = resolve_piece(operation, step, pieces, registry)
    folder = os.path.dirname(step.file)
    values = {
        name: edges[name] if name in edges else resolve_value(known[name], value, pieces, piece, folder)
        for name, value in item.values.items()
    }
    values = Values(values, known)
    job = Job(operation.name, step.where, pieces, piece, values, seams, measure, units.unit)
    place = f"{step.where}: {step.do}" if step.where else step.do

    def units_of(after: tuple[Piece, ...]) -> dict[str, str]:
        return {one.name: one.unit for found in measure(after, seams).values() for one in found}

    try:
        outcome = item.guard.run(
            lambda: sound_results.outcome(operation.run(job), pieces, units_of, item.guard.who, registry.line_kinds),
            place,
            made_in=operation.run,
        )
    except PluginFault as fault:
        raise fault.refusal(place) from fault
    except Refusal as refusal:
        if item.guard.stock or refusal.where.startswith(place):
            raise
        raise refusal.within(f"{place}: {item.guard.who}") from refusal
    return piece, _spoken(outcome, units)


def _spoken(outcome: Outcome, units: Units) -> Outcome:
    """Write what an operation says in the reader's unit."""
    checks = tuple(replace(check, message=units.speak(check.message)) for check in outcome.checks)
    notes = tuple(replace(note, label=units.speak(note.label)) if note.label else note for note in outcome.annotations)
    return replace(outcome, checks=checks, warnings=tuple(map(units.speak, outcome.warnings)), annotations=notes)


def _with_origins(run: SizeRun, item: Prepared, outcome: Outcome, measure: Measure, registry: Registry) -> Outcome:
    """Say of the checks of a step that changes nothing which were so before the run: it is done there as well."""
    if all(check.status == Status.PASS for check in outcome.checks):
        return outcome
    if not is_unchanged(run.after, outcome.pieces):
        return outcome
    from svgfit.app.origins import Doing, with_origins

    was = outcome.checks
    if not is_unchanged(run.before, run.after):
        try:
            was = _perform(item, run.before, run.seams, measure, run.units, registry)[1].checks
        except (Unfit, Refusal):
            return outcome
    return replace(outcome, checks=with_origins(outcome.checks, was, Doing(units=run.units, tells_before=False)))


def _stated(prepared: Sequence[Prepared], rows: Sequence[StepRow]) -> tuple[Reached, list[str]]:
    """Collect the ends that steps' parameters state, and warnings; the last statement of an end counts."""
    stated: Reached = {}
    twice: list[str] = []
    for item, row in zip(prepared, rows, strict=True):
        for parameter in item.operation.parameters:
            if parameter.end and row.piece and parameter.name in item.values:
                text = dict(item.step.asked).get(parameter.name, parameter.default or "")
                value = item.values[parameter.name]
                end = End(parameter.end, value, text, f"{row.do} {parameter.name}")
                if (row.piece, parameter.end) in stated:
                    twice.append(stated_twice(row.piece, stated[row.piece, parameter.end][0], end))
                stated[row.piece, parameter.end] = end, []
    return stated, twice


def _refuse_against_each_other(plan: Plan, pieces: tuple[Piece, ...], registry: Registry) -> None:
    """Refuse two tables of ends that want one figure of one sleeve to be two lengths."""
    every: dict[tuple[str, str], End] = {}
    for step in plan.ends if len(plan.ends) > 1 else ():
        piece, ends = _ends_of(step, plan, pieces, registry)
        for end in ends:
            first = every.setdefault((piece.title, end.name), end) if end.reach else end
            if abs(first.value - end.value) > HOLDS / 10:
                what = f"{piece.title}: {end.name} can't be both {first.text} and {end.text}"
                raise with_line(Refusal(step.where, what, "leave one out"), plan, step)


def _reach(run: SizeRun, step: Step, plan: Plan, registry: Registry, measure: Measure) -> tuple[SizeRun, Reached]:
    """Reach the ends of one ``[[ends]]`` table, one after another; say of each why the ways tried were refused."""
    piece, ends = _ends_of(step, plan, run.after, registry)
    start = run
    reached: Reached = {}
    lost: list[str] = []
    odd = tuple(filter(None, (unusual_share(piece.title, end) for end in ends)))
    run = replace(run, warnings=(*run.warnings, *odd)) if odd else run
    for end in ends:
        refused: list[str] = []  # of the last way tried, the one that reaches furthest: it advises nothing tried before
        why: list[str] = []
        if not end.reach:  # beside what a step states of the same figure
            reached[piece.title, f"wanted {end.name}"] = end, refused
            continue
        reached[piece.title, end.name] = replace(end, on=on_the_old(lost)), refused
        if needs_nothing(end, measure(run.after, run.seams).get(piece.title, ())):
            continue
        tried = ways(end, step, piece, registry)
        if not tried:
            refused.append(none_loaded(registry))
        for way in tried:
            try:
                item = prepare_step(plan, way, registry)
                done = _perform(item, run.after, run.seams, measure, run.units, registry)
                _refuse_unsewable(start.before, run.after, done[1].pieces, end)
                run = with_step(run, item, done)
            except (Unfit, Refusal) as found:
                refusal = found.refusal(way) if isinstance(found, Unfit) else found
                refused[:] = [refusal.reason]
                why.append(refusal.parts[1])
            else:
                if why:  # nobody asked for this way: it must not be taken silently
                    asked = ", ".join(f"{name} {text}" for name, text in way.asked)
                    words = f"{piece.title}: {end.name} by {way.do} ({asked}), since {'; '.join(why)}"
                    run = replace(run, warnings=(*run.warnings, words))
                break
        else:
            lost += [end.name] if refused else []
    share = _lost_share(piece.title, ends, start, run, measure)
    if share is not None:
        run = _notches_after(run, piece.name, ways(share, step, piece, registry), plan, registry, measure)
    if notches_move_apart(piece, start.after, run.after, run.seams):
        name = notch_matcher(registry)
        matching = () if name is None else (Step(name, piece.name, (), step.where),)
        run = _notches_after(run, piece.name, matching, plan, registry, measure)
    return run, reached


def _lost_share(title: str, ends: Sequence[End], start: SizeRun, run: SizeRun, measure: Measure) -> End | None:
    """Return the back's share of the ease as an end, where nobody stated one and the steps changed it; else None."""
    if run is start or any(end.name == SHARE for end in ends):
        return None
    was, now = (drawn_share(measure(one.after, one.seams).get(title, ())) for one in (start, run))
    if was is None or now is None or abs(now - was) <= SHARE_KEPT:
        return None
    return End(SHARE, was, f"{was:.4f}", "as drawn")


def _refuse_unsewable(drawn: Sequence[Piece], before: Sequence[Piece], after: Sequence[Piece], end: End) -> None:
    """Refuse a way to a length or an ease that makes of a cap that can be sewn one that can't be."""
    if end.name not in (Figure.CAP_EASE, Figure.CAP_LENGTH):
        return
    first_of = {piece.key: piece for piece in drawn}
    for old, new in paired(before, after):
        first = first_of.get(new.key, old)
        fault = cap_fault(first, new)
        if fault and not cap_fault(first, old):
            raise Refusal(new.where, f"the cap could not be sewn: {fault}", "ask for less")


def _notches_after(
    run: SizeRun, sleeve: str, steps: Sequence[Step], plan: Plan, registry: Registry, measure: Measure
) -> SizeRun:
    """Move the cap's notches after edges that were changed, by the first of ``steps``; warn where that fails."""
    try:
        if not steps:
            raise Refusal("", none_loaded(registry))
        item = prepare_step(plan, steps[0], registry)
        return with_step(run, item, _perform(item, run.after, run.seams, measure, run.units, registry))
    except Refusal as refusal:
        share = " where they did, or share the ease as drawn" if steps and steps[0].asked else ""
        words = f"{sleeve}: the notches of cap and armhole no longer meet{share} ({refusal.reason})"
        return replace(run, warnings=(*run.warnings, words))


def _ends_of(step: Step, plan: Plan, pieces: tuple[Piece, ...], registry: Registry) -> tuple[Piece, tuple[End, ...]]:
    """Find the sleeve that a table of ends speaks of, and the ends; refuses what can't be read."""
    try:
        ends = read_ends(step)
        piece = resolve_piece(
            Operation("ends", "", (), lambda job: Outcome(job.pieces), kinds=(PieceKind.SLEEVE,)),
            step,
            pieces,
            registry,
        )
    except Unfit as unfit:
        raise with_line(unfit.refusal(step), plan, step, unfit.key) from None
    assert piece is not None
    return piece, ends
