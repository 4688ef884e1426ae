"""``svgfit operations``: what a plan's steps can do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from svgfit.cli.options import PluginOptions, plugin_options
from svgfit.model.vocabulary import ANY_KIND, ParameterKind, PieceKind

if TYPE_CHECKING:
    from svgfit.model.operation import Operation, Parameter


@click.command()
@click.argument("name", required=False)
@plugin_options
def command(name: str | None, shared: PluginOptions) -> int:
    """List what a plan's steps can do, with every parameter.

    Without NAME, one line an operation; with it, everything about that one.
    """
    from svgfit.cli.console import say, terminal, warn
    from svgfit.model.refusal import Refusal
    from svgfit.render.text import tables

    setup = shared.setup()
    registry = setup.registry
    if name is not None:
        from svgfit.model.length import Units
        from svgfit.model.vocabulary import Unit

        units = Units(Unit(setup.convention.unit))
        say(units.speak(describe(registry.operation(name), registry.source(name).where)))
        return 0
    plugins = [plugin for plugin in registry.all() if plugin.source.hook == "svgfit_operations"]
    found = [plugin.operation for plugin in plugins if plugin.operation is not None]
    if not found:
        raise Refusal("", "there are no operations", "svgfit plugins says what was found and what failed")
    say(tables.operations(found, terminal()).rstrip(), painted=True)
    faults = (
        f"plug-in {item.source.name} ({item.source.where}) {item.status}"
        for item in plugins
        if item.status.startswith("failed")
    )
    warn(faults, quiet=shared.quiet)
    return 0


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
    }
    kind = PieceKind.SLEEVE if ANY_KIND in operation.kinds else next(iter(operation.kinds), "")
    words = [operation.name, *([f"piece={kind.capitalize()}"] if kind else [])]
    firsts = [group[0] for group in operation.one_of]
    for item in operation.parameters:
        if item.name in firsts:
            words.append(f"{item.name}={values[item.kind]}")
            values[ParameterKind.EDGES] = "Front/armhole+Back/armhole"
    return " ".join(words)


def _kind(parameter: Parameter) -> str:
    words: dict[str, str] = {
        ParameterKind.LENGTH: "a length (in, mm, cm)",
        ParameterKind.EDGES: "edges, Piece/edge joined with +",
        ParameterKind.NUMBER: "a number",
    }
    text = words.get(parameter.kind, " or ".join(parameter.choices) or parameter.kind)
    bounds = _bounds(parameter)
    return f"{text}, {bounds}" if bounds else text


def _bounds(parameter: Parameter) -> str:
    from svgfit.model.length import at_least, at_most

    is_length = parameter.kind == ParameterKind.LENGTH
    low, high = parameter.minimum, parameter.maximum
    least = "" if low is None else at_least(low) if is_length else f"{low:g}"
    most = "" if high is None else at_most(high) if is_length else f"{high:g}"
    if least and most:
        return f"{least} to {most}"
    return f"{least} or more" if least else f"{most} or less" if most else ""
