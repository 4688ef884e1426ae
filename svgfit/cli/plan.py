"""``svgfit plan``: a plan looked at without drawings, and the plan that a drawing remembers."""

from __future__ import annotations

import click

from svgfit.cli.options import PluginOptions, plugin_options

_EXAMPLE = """\b
For example:
  svgfit plan check fitting.toml
  svgfit plan show smock-fitted.svg > fitting.toml"""


@click.group(epilog=_EXAMPLE, invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """Check a plan without drawings, or show the plan in a drawing."""
    if context.invoked_subcommand is None:
        raise click.UsageError("say what: svgfit plan check PLAN, or svgfit plan show DRAWING; svgfit plan --help")


@command.command()
@click.argument("plans", metavar="PLAN...", nargs=-1, required=True)
@plugin_options
def check(plans: tuple[str, ...], shared: PluginOptions) -> int:
    """Say what is wrong with plans, as far as that can be known without drawings.

    Their files and those that they include, tables and keys, operations, parameters, values: a line for each fault,
    with file and line, and exit status 2. Nothing is measured, so pieces and edges are not looked for.
    """
    from svgfit.app.plan_check import check_plan
    from svgfit.cli.console import complain, say, spoken, warn
    from svgfit.model.refusal import Refusal

    registry = shared.setup().registry
    status = 0
    for path in plans:
        try:
            found = check_plan(path, registry)
        except Refusal as refusal:
            complain(spoken(refusal).line())
            status = 2
            continue
        for fault in found.faults:
            complain(spoken(fault).line())
        warn(found.notes, quiet=shared.quiet)
        if found.faults:
            status = 2
        elif not shared.quiet:
            parts = [f"{found.steps} step{'s' * (found.steps != 1)}"]
            parts += [f"{found.ends} table{'s' * (found.ends != 1)} of ends"] if found.ends else []
            parts += [f"{found.included} plan{'s' * (found.included != 1)} included"] if found.included else []
            say(f"{path}: {', '.join(parts)}; nothing wrong that can be known without drawings")
    warn(registry.warnings, quiet=shared.quiet)
    return status


@command.command()
@click.argument("drawing", metavar="DRAWING")
@click.option("--number", type=int, metavar="N", help="Which of several plans run one on the other [the last].")
@plugin_options
def show(drawing: str, number: int | None, shared: PluginOptions) -> int:
    """Print the plan that a drawing remembers, as --plan takes it.

    Values are as they were asked, plans that were included are in it, and each step that a plug-in did names it and its
    version.
    """
    from svgfit.app.open_drawings import ReadingOptions
    from svgfit.app.plan_record import recorded_plan
    from svgfit.app.plan_toml import recorded_toml
    from svgfit.app.session import Session
    from svgfit.cli.console import say, warn
    from svgfit.model.refusal import Refusal

    options = ReadingOptions(
        convention=shared.convention, plugins=shared.plugins, without=shared.without, to_stderr=True
    )
    session = Session((drawing,), options)
    layers = session.svgfit_layers(drawing)
    recorded, warnings = recorded_plan([(drawing, layers)])
    warn(warnings, quiet=shared.quiet)
    if recorded is None:
        raise Refusal(drawing, "no plan stands in it", 'svgfit adjust writes one into what it writes with "-o"')
    if any(layer.edited for layer in layers):
        warn([f"{drawing}: what was edited since svgfit wrote it is not in the plan"], quiet=shared.quiet)
    say(recorded_toml(recorded, drawing, number).rstrip("\n"))
    return 0
