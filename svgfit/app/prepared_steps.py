"""A plan's steps made ready: the operation found, the values read, before any piece is looked at."""

from __future__ import annotations

import os
from contextlib import suppress
from typing import Any

from msgspec import Struct

from svgfit.app.nest import variants
from svgfit.app.parameter_values import Unfit, resolve_values, with_current_names
from svgfit.app.step_figures import refuse_no_garment, refuse_unmeasurable
from svgfit.app.targets import read_ends
from svgfit.model.operation import Operation
from svgfit.model.plan import WHEN, Plan, Step, with_line
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import ParameterKind
from svgfit.plugin.guard import Guard
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import plain_name
from svgfit.plugin.unfound import NoOperation


class Prepared(Struct, frozen=True):
    """A step with its operation found and its values read; the edges among them still as written."""

    step: Step
    operation: Operation
    guard: Guard
    values: dict[str, Any]
    shown: tuple[tuple[str, str], ...] = ()
    """Values that were taken from measurements, as people are shown them."""


MOST_STEPS = 200
"""A plan has no more steps than this: a drawing that was sent may hold one made to keep a machine busy for hours."""


def prepare(plan: Plan, registry: Registry) -> tuple[Prepared, ...]:
    """Find every step's operation and read its values; of a step with values by size, all are read, one given back.

    Raises Refusal for an unknown, switched-off, doubled or failed operation, an unknown parameter (with the nearest
    name), a value that can't be read, a choice left open, and more steps than anybody writes.
    """
    refuse_too_many(plan)
    for step in plan.ends:
        for variant in variants(step):
            try:
                read_ends(variant)
            except Unfit as unfit:
                raise with_line(unfit.refusal(step), plan, step, unfit.key) from None
    every = [[prepare_step(plan, variant, registry) for variant in variants(step)] for step in plan.steps]
    return tuple(prepared[0] for prepared in every)


def refuse_too_many(plan: Plan) -> None:
    """Raise Refusal for a plan of more steps than anybody writes."""
    count = sum(1 + (step.piece or "").count("+") for step in (*plan.steps, *plan.ends))
    if count > MOST_STEPS:
        what = f"has {count} steps, more than {MOST_STEPS}"
        raise Refusal(plan.where, what, "put them into several plans, and run each on what the one before wrote")


def files_asked(plan: Plan, registry: Registry) -> tuple[str, ...]:
    """List the files that a plan's steps name as values, each once: what is read, no output may replace."""
    found: dict[str, None] = {}
    for step in plan.steps:
        with suppress(Refusal):
            kinds = {parameter.name: parameter.kind for parameter in registry.operation(step.do).parameters}
            for variant in variants(step):
                for name, text in variant.asked:
                    if kinds.get(plain_name(name)) == ParameterKind.FILE:
                        found[os.path.join(os.path.dirname(step.file), text.strip())] = None
    return tuple(found)


def prepare_step(plan: Plan, step: Step, registry: Registry) -> Prepared:
    """Find one step's operation and read its values; raises Refusal as ``prepare`` does."""
    try:
        guard = registry.guard(registry.source(step.do))
        operation = registry.operation(step.do)
    except NoOperation as refusal:
        found: Refusal = refusal
        if step.by:
            todo = "name the folder that it lies in with --plugins, or install it"
            found = Refusal("", f"{step.do} was done by the plug-in {step.by}, which is not here", todo)
        raise with_line(found.within(step.where), plan, step, "do") from refusal
    except Refusal as refusal:
        raise with_line(refusal.within(step.where), plan, step, "do") from refusal
    step = with_current_names(operation, step)
    try:
        later = tuple(name for name, _ in step.measured)
        values = resolve_values(operation, step.asked, later)
        for parameter in operation.parameters:
            if parameter.name in later:
                refuse_unmeasurable(parameter)
        for name, wanted in step.measured:
            refuse_no_garment(wanted, name, registry)
        if step.when is not None:
            refuse_no_garment(step.when, WHEN, registry)
        return Prepared(step, operation, guard, values)
    except Unfit as unfit:
        raise with_line(unfit.refusal(step), plan, step, unfit.key) from None
