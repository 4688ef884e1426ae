"""``svgfit plugins``: what is loaded, from where, what failed and why."""

from __future__ import annotations

import click

from svgfit.cli.options import PluginOptions, plugin_options
from svgfit.version import __version__


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@plugin_options
def command(as_json: bool, shared: PluginOptions) -> int:
    """List what is loaded, from where, and what failed.

    Plug-ins come with svgfit, with installed packages, and from folders named with --plugins, or in a svgfit.toml named
    with --convention; never from the current folder by itself.
    """
    from svgfit.cli.console import say, terminal, warn
    from svgfit.model.length import Units
    from svgfit.model.vocabulary import Unit
    from svgfit.render.text import tables
    from svgfit.version import API_VERSION

    setup = shared.setup()
    registry = setup.registry
    found = registry.all()
    warn(registry.warnings, quiet=shared.quiet)
    if as_json:
        from svgfit.model.length import both_ways_text
        from svgfit.plugin.sources import version_text
        from svgfit.render.text.report import to_json

        say(
            to_json(
                [
                    {
                        "name": item.source.name,
                        "supplies": both_ways_text(item.supplies) if item.status == "ok" else None,
                        "rules": [both_ways_text(rule.words) for rule in (*item.ease_rules, *item.trade_rules)],
                        "from": item.source.origin,
                        "where": item.source.where,
                        "version": version_text(item.source) or f"svgfit {__version__}",
                        "status": item.status.partition(": ")[0],
                        "why": item.status.partition(": ")[2],
                    }
                    for item in found
                ]
            ).rstrip()
        )
        return 0
    units = Units(Unit(setup.convention.unit))
    rows: list[tuple[str, str, str, str]] = []
    for item in found:
        status, _, why = item.status.partition(": ")
        name = item.source.name if status != "ok" else units.speak(item.supplies)
        rows.append((name, item.source.where, status, why))
    say(tables.plugins(rows, terminal()).rstrip(), painted=True)
    say(f"plug-in API: version {API_VERSION}")
    return 0
