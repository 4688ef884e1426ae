"""``svgfit operations``: what a plan's steps can do."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import PluginOptions, plugin_options
from svgfit.model.length import MM_PER_INCH
from svgfit.model.vocabulary import ANY_KIND, ParameterKind, PieceKind

if TYPE_CHECKING:
    from svgfit.model.operation import Operation, Parameter
    from svgfit.model.report import Json
    from svgfit.plugin.registry import Registry
    from svgfit.plugin.sources import Source


@click.command()
@click.argument("name", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON, every parameter of each; lengths in mm.")
@click.option(
    "--for",
    "complaint",
    metavar="COMPLAINT",
    help='What is seen at a fitting, such as "shoulder seam pulls back": causes, what to measure, operations.',
)
@plugin_options
def command(name: str | None, as_json: bool, complaint: str | None, shared: PluginOptions) -> int:
    """List what a plan's steps can do, with every parameter.

    Without NAME, one line an operation; with it, everything about that one.
    """
    from svgfit.cli.console import say, terminal, warn
    from svgfit.model.refusal import Refusal
    from svgfit.render.text import tables

    setup = shared.setup()
    registry = setup.registry
    if complaint is not None:
        if name is not None or as_json:
            raise Refusal("", "--for goes with no NAME and no --json", "leave one out")
        say(by_complaint(registry, complaint))
        return 0
    if as_json:
        from svgfit.render.text.report import to_json

        names = registry.operation_names() if name is None else (name,)
        rows, lost = _rows(registry, names, one=name is not None)
        lost += [str(fault) for fault in (registry.operation_faults() if name is None else ())]
        lost += registry.warnings
        say(to_json(rows[0] if name is not None else rows).rstrip())
        warn(lost, quiet=shared.quiet)
        return 0
    if name is not None:
        from svgfit.model.length import Units
        from svgfit.model.vocabulary import Unit

        units = Units(Unit(setup.convention.unit))
        say(units.speak(describe(registry.operation(name), _place_of(registry.source(name), name))))
        return 0
    plugins = [plugin for plugin in registry.all() if "svgfit_operations" in plugin.source.hooks]
    found = sorted((one for plugin in plugins for one in plugin.operations), key=lambda one: one.name)
    if not found:
        raise Refusal("", "there are no operations", "svgfit plugins says what was found and what failed")
    say(tables.operations(found, terminal()).rstrip(), painted=True)
    faults = (
        f"plug-in {item.source.name} ({item.source.where}) {item.status}"
        for item in plugins
        if item.status.startswith("failed")
    )
    warn((*faults, *registry.warnings), quiet=shared.quiet)
    return 0


def by_complaint(registry: Registry, text: str) -> str:
    """Say what may be behind a complaint, what to measure, and which operations answer it; refuse one unknown."""
    from svgfit.app.complaints import answering, find_complaints
    from svgfit.model.refusal import Refusal
    from svgfit.rules.complaints import COMPLAINTS

    known = [operation for plugin in registry.all() for operation in plugin.operations]
    found, others = find_complaints(known, text), list(answering(known, text))
    if not found and not others:
        there = "; ".join(one.complaint for one in COMPLAINTS)
        raise Refusal("", f"nothing is known of {text!r}", f"say it otherwise; what is known: {there}")
    lines: list[str] = []
    for one in found:
        lines += [f"{one.complaint.complaint}: look for, in this order", ""]
        for number, (cause, names) in enumerate(one.causes, 1):
            done = ", ".join(names) or "no operation of its own: cut or move it as on paper"
            lines += [f"  {number}. {cause.cause}", f"     measure     {cause.measure}", f"     operations  {done}"]
            others = [name for name in others if name not in names]
        lines.append("")
    if others:
        lines += [f"{'also answering' if found else 'answering'} such words: {', '.join(others)}", ""]
    return "\n".join(
        [*lines, "Common practice, from memory, no source. svgfit operations NAME tells how each is asked."]
    )


def _rows(registry: Registry, names: Iterable[str], *, one: bool) -> tuple[list[Json], list[str]]:
    """List operations as JSON holds them, and what is to be said of those that can't be had; ``one`` is refused."""
    from svgfit.model.refusal import Refusal

    rows: list[Json] = []
    lost: list[str] = []
    for name in names:
        try:
            operation, source = registry.operation(name), registry.source(name)
        except Refusal as refusal:
            if one:
                raise
            lost.append(f"operation {name} is left out: {refusal.reason}")
        else:
            rows.append(_row(operation, source.where, registry.made_by(name)))
    return rows, lost


def _row(operation: Operation, where: str, made_by: str) -> Json:
    """Hold an operation as JSON does: bounds as they are handed over (mm, radians), the rest as people write it."""
    from svgfit.model.length import both_ways_text
    from svgfit.version import __version__

    return {
        "name": operation.name,
        "summary": both_ways_text(operation.summary),
        "works_on": list(operation.kinds),
        "from": where,
        "version": made_by or f"svgfit {__version__}",
        "one_of": [list(group) for group in operation.one_of],
        "reaches": list(dict.fromkeys(reach.figure for reach in operation.reaches)),
        "parameters": [
            {
                "name": item.name,
                "kind": item.kind,
                "meaning": both_ways_text(item.meaning),
                "default": item.default,
                "default_text": both_ways_text(item.default_text),
                "minimum": item.minimum,
                "maximum": item.maximum,
                "choices": list(item.choices),
            }
            for item in operation.parameters
        ],
    }


def _place_of(source: Source, name: str) -> str:
    """Say where an operation stands: of a package in a folder, the file in which it is made."""
    from svgfit.plugin.source_text import operations_made
    from svgfit.plugin.sources import plain_name

    made = operations_made(source.files()) if source.is_package and source.file else ()
    return next((one.file for one in made if plain_name(one.name) == plain_name(name)), source.where)


def describe(operation: Operation, where: str) -> str:
    """Describe everything about an operation."""
    kinds = ("any piece",) if ANY_KIND in operation.kinds else operation.kinds
    works_on = " or ".join(kinds) or "no piece of its own: its edges name pieces"
    lines = [f"{operation.name}: {operation.summary}", f"  works on  {works_on}", f"  from      {where}"]
    lines += [f"  give one  {' or '.join(group)}" for group in operation.one_of if len(group) > 1]
    needed = {group[0] for group in operation.one_of if len(group) == 1}
    for item in operation.parameters:
        lines += ["", f"  {item.name}=  {_kind(item)}{', must be given' * (item.name in needed)}"]
        lines.append(f"      {item.meaning}")
        if item.default is not None or item.default_text:
            lines.append(f"      if left out: {item.default or item.default_text}")
    return "\n".join([*lines, "", f'  for example  --do "{_example(operation)}"'])


def _example(operation: Operation) -> str:
    """Write a step: the piece, and what must be given, each with a value of its kind."""
    values: dict[str, str] = {
        ParameterKind.LENGTH: "'1/4 in'",
        ParameterKind.NUMBER: "0.8",
        ParameterKind.EDGES: "Sleeve/cap",
        ParameterKind.TEXT: "...",
        ParameterKind.ANGLE: "'5 deg'",
        ParameterKind.COUNT: "3",
        ParameterKind.YES_NO: "yes",
        ParameterKind.EDGE: "hem",
        ParameterKind.LANDMARK: "'cap top'",
        ParameterKind.PLACE: "'cap top'",
        ParameterKind.PLACES: "'hem middle'",
        ParameterKind.PIECES: "Front+Back",
        ParameterKind.FILE: "FILE",
    }
    kind = PieceKind.SLEEVE if ANY_KIND in operation.kinds else next(iter(operation.kinds), "")
    words = [operation.name, *([f"piece={kind.capitalize()}"] if kind else [])]
    firsts = [group[0] for group in operation.one_of]
    for item in operation.parameters:
        if item.name in firsts:
            words.append(f"{item.name}={_long_enough(item) or values[item.kind]}")
            values[ParameterKind.EDGES] = "Front/armhole+Back/armhole"
    return " ".join(words)


def _long_enough(item: Parameter) -> str:
    """Write the least length in whole inches that a parameter takes; "" where a quarter of an inch will do."""
    inches = (item.minimum or 0.0) / MM_PER_INCH
    return f"'{math.ceil(inches)} in'" if item.kind == ParameterKind.LENGTH and inches > 1 / 4 else ""


def _kind(parameter: Parameter) -> str:
    words: dict[str, str] = {
        ParameterKind.LENGTH: "a length (in, mm, cm)",
        ParameterKind.EDGES: "edges, Piece/edge joined with +",
        ParameterKind.NUMBER: "a number",
        ParameterKind.ANGLE: "an angle (deg or °)",
        ParameterKind.COUNT: "a whole number",
        ParameterKind.YES_NO: "yes or no",
        ParameterKind.EDGE: "an edge of the piece, or Piece/edge",
        ParameterKind.LANDMARK: "a landmark of the piece, or Piece/landmark",
        ParameterKind.PLACE: "a place on the piece, such as side seam 4 in",
        ParameterKind.PLACES: "places joined with +",
        ParameterKind.PIECES: "pieces joined with +",
        ParameterKind.FILE: "a file, as seen from the plan's folder",
    }
    text = words.get(parameter.kind, " or ".join(parameter.choices) or parameter.kind)
    bounds = _bounds(parameter)
    return f"{text}, {bounds}" if bounds else text


def _bounds(parameter: Parameter) -> str:
    least = "" if parameter.minimum is None else parameter.limit_text(parameter.minimum, least=True)
    most = "" if parameter.maximum is None else parameter.limit_text(parameter.maximum, least=False)
    if least and most:
        return f"{least} to {most}"
    return f"{least} or more" if least else f"{most} or less" if most else ""
