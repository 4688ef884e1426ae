"""All that can be known of a plan without drawings: every fault with its line, not only the first."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.nest import variants
from svgfit.app.parameter_values import Unfit, read_value, resolve_values, with_current_names
from svgfit.app.prepared_steps import refuse_too_many
from svgfit.app.step_figures import (
    is_garment,
    refuse_limits,
    refuse_no_garment,
    refuse_unit,
    refuse_unmeasurable,
)
from svgfit.app.targets import MEASURE_ONLY, read_ends
from svgfit.model.operation import Operation, Parameter
from svgfit.model.plan import PIECE, WHEN, Condition, FromMeasure, Plan, Step, with_line
from svgfit.model.plan_file import Entry, PlanText, Values, gather, read_end, read_note, read_step, used_values
from svgfit.model.refusal import Refusal
from svgfit.model.report import WHOLE
from svgfit.model.toml_file import read_toml
from svgfit.model.vocabulary import ParameterKind
from svgfit.model.wording import closest_name, listed, name_key, suggestion
from svgfit.plugin.registry import Registry
from svgfit.plugin.sound_results import own_figures
from svgfit.plugin.sources import plain_name

Answer = TypeVar("Answer")


class CheckedPlan(Struct, frozen=True):
    """A plan that was looked at."""

    faults: tuple[Refusal, ...]
    """In the order of its tables."""
    notes: tuple[str, ...] = ()
    """What is no fault and may be a slip."""
    steps: int = 0
    ends: int = 0
    included: int = 0


def check_plan(path: str, registry: Registry) -> CheckedPlan:
    """Look at everything in a plan that needs no drawing: its files, tables, operations, parameters and values.

    Raises Refusal for a file that can't be read as TOML at all.
    """
    file = read_toml(path)
    faults: list[Refusal] = []
    found = gather(file, faults=faults)
    _tried(lambda: read_note(file, (), file.table), faults)
    if not (found.steps or found.ends or faults):
        faults.append(Refusal(path, "has no steps", "a plan is made of [[step]] tables, and of [[ends]]"))
    included = tuple((one.where, one.text) for one in found.included)
    empty = Plan((), file.where, (), file.text, included=included)
    steps: list[Step] = []
    ends: list[Step] = []
    for entry in found.steps:
        read, parts = _read(entry, found.values, read_step, faults)
        for step in read:
            faults += step_faults(replace(empty, steps=(step,)), step, registry)
        for step in parts:
            faults += step_faults(replace(empty, steps=(step,)), step, registry, whole=False)
        steps += read
    for entry in found.ends:
        read, parts = _read(entry, found.values, read_end, faults)
        for step in read:
            faults += end_faults(replace(empty, ends=(step,)), step)
        ends += read
    _tried(lambda: refuse_too_many(replace(empty, steps=tuple(steps), ends=tuple(ends))), faults)
    unlike = {fault.line(): fault for fault in faults}
    notes = (*_unused(found), *(note for step in steps for note in _near_garment(replace(empty, steps=(step,)), step)))
    return CheckedPlan(tuple(unlike.values()), tuple(dict.fromkeys(notes)), len(steps), len(ends), len(included))


def _tried(attempt: Callable[[], Answer], faults: list[Refusal]) -> Answer | None:
    """Return what an attempt gives; where it is refused, None, and the refusal is one fault more."""
    try:
        return attempt()
    except Refusal as refusal:
        faults.append(refusal)
        return None


def _read(
    entry: Entry, values: Values, read: Callable[[Entry, Values], tuple[Step, ...]], faults: list[Refusal]
) -> tuple[tuple[Step, ...], list[Step]]:
    """Read a table; where that is refused, each of its keys by itself, so that every fault is told.

    Gives its steps, and in place of them what could be read key by key.
    """
    try:
        return read(entry, values), []
    except Refusal as refusal:
        first = refusal
    told: list[Refusal] = []
    parts: list[Step] = []
    do = {"do": entry.table["do"]} if "do" in entry.table else {}
    for key in entry.table if do or read is read_end else ():
        part = replace(entry, table={**do, key: entry.table[key]})
        parts += _tried(lambda part=part: read(part, values), told) or ()
    faults += told or [first]
    return (), parts


def _unused(found: PlanText) -> Iterable[str]:
    """Tell values that no table uses."""
    used = used_values(found)
    for name, value in found.values.items():
        if name not in used:
            yield f"{value.place}: values.{name} is used nowhere"


def step_faults(plan: Plan, step: Step, registry: Registry, *, whole: bool = True) -> list[Refusal]:
    """List what is wrong with a step whatever the pieces are; ``plan`` is one that holds it, for its lines.

    Of a step that is not read as a ``whole`` nothing is missed.
    """
    try:
        operation = registry.operation(step.do)
    except Refusal as refusal:
        return [with_line(refusal.within(step.where), plan, step, "do")]
    step = with_current_names(operation, step)
    unfit = [fault for variant in variants(step) for fault in _value_faults(operation, variant, whole=whole)]
    unfit += _piece_faults(operation, step)
    unfit += _figure_faults(operation, step, registry)
    return [with_line(fault.refusal(step), plan, step, fault.key) for fault in unfit]


def _value_faults(operation: Operation, step: Step, *, whole: bool) -> list[Unfit]:
    faults: list[Unfit] = []
    alone = replace(operation, one_of=())
    known = {parameter.name: parameter for parameter in operation.parameters}
    for name, text in step.asked:
        try:
            resolve_values(alone, [(name, text)])
            parameter = known[plain_name(name)]
            if parameter.kind == ParameterKind.FILE:
                path = os.path.join(os.path.dirname(step.file), str(read_value(parameter, text)))
                if not os.path.isfile(path):
                    raise Unfit(name, f"there is no file {path}", "check its name, as seen from the plan's folder")
        except Unfit as unfit:
            faults.append(unfit)
    for name, _ in step.measured:
        try:
            resolve_values(alone, (), [name])
            refuse_unmeasurable(known[plain_name(name)])
        except Unfit as unfit:
            faults.append(unfit)
    if whole and not faults:
        try:
            resolve_values(operation, step.asked, [name for name, _ in step.measured])
        except Unfit as unfit:
            faults.append(unfit)
    return faults


def _piece_faults(operation: Operation, step: Step) -> Iterable[Unfit]:
    if operation.kinds:
        return
    if step.piece is not None:
        yield Unfit(PIECE, f"{operation.name} takes no piece", "leave it out")
    for key, wanted in _looks(step):
        if wanted.of is None:
            yield Unfit(key, "does not say which piece is measured", 'add for example of = "Sleeve"')


def _looks(step: Step) -> list[tuple[str, FromMeasure | Condition]]:
    """List what a step measures, each with the key that it is for."""
    return [*step.measured, *([(WHEN, step.when)] if step.when is not None else [])]


def _near_garment(plan: Plan, step: Step) -> Iterable[str]:
    """Tell names of pieces that are measured and are nearly what the garment is called."""
    for key, wanted in _looks(step):
        if wanted.of is not None and not is_garment(wanted) and closest_name(wanted.of, [WHOLE]):
            what = f"of = {wanted.of!r} is a piece's name; did you mean {WHOLE}?"
            yield with_line(Unfit(key, what, "").refusal(step), plan, step, key).line()


def _figure_faults(operation: Operation, step: Step, registry: Registry) -> Iterable[Unfit]:
    """Tell what is wrong with what a step measures: the garment without anything that measures it, a figure's name.

    Names and units are only known where no plug-in measures pieces; what one gives is seen with a drawing.
    """
    known = {parameter.name: parameter for parameter in operation.parameters}
    units = {name_key(name): (name, unit) for name, unit in own_figures().items()}
    for key, wanted in _looks(step):
        try:
            refuse_no_garment(wanted, key, registry)
            if is_garment(wanted) or registry.measurers():
                continue
            if name_key(wanted.measure) not in units:
                near = closest_name(wanted.measure, [name for name, _ in units.values()])
                there = f"svgfit measures {listed([name for name, _ in units.values()])}"
                raise Unfit(key, f"nothing measures {wanted.measure!r}", suggestion(near, there))
            _refuse_unfit(wanted, known.get(plain_name(key)), *units[name_key(wanted.measure)])
        except Unfit as unfit:
            yield unfit


def _refuse_unfit(wanted: FromMeasure | Condition, parameter: Parameter | None, name: str, unit: str) -> None:
    """Raise Unfit where a figure's unit does not fit the parameter that it is for, or the condition's limits."""
    if isinstance(wanted, Condition):
        refuse_limits(wanted, unit, f"the {name}")
    elif parameter is not None:
        refuse_unit(parameter, unit, f"the {name}")


def end_faults(plan: Plan, step: Step) -> list[Refusal]:
    """List what is wrong with a table of ends whatever the pieces are; ``plan`` is one that holds it."""
    unfit: list[Unfit] = []
    for variant in variants(step):
        switches = tuple(pair for pair in variant.asked if name_key(pair[0]) == MEASURE_ONLY)
        found: list[Unfit] = []
        for pair in variant.asked:
            if pair not in switches:
                found += _ends_unfit(replace(variant, asked=(*switches, pair)))
        unfit += found or _ends_unfit(variant)
    return [with_line(fault.refusal(step), plan, step, fault.key) for fault in unfit]


def _ends_unfit(step: Step) -> list[Unfit]:
    try:
        read_ends(step)
    except Unfit as unfit:
        return [unfit]
    return []
