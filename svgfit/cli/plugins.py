"""``svgfit plugins``: what is loaded, from where, what failed and why."""

from __future__ import annotations

import click

from svgfit.cli.options import PluginOptions, plugin_options


@click.command()
@plugin_options
def command(shared: PluginOptions) -> int:
    """List what is loaded, from where, and what failed.

    Plug-ins come with svgfit, with installed packages, and from folders named with --plugins, or in a svgfit.toml named
    with --convention; never from the current folder by itself.
    """
    from svgfit.cli.console import say, terminal
    from svgfit.render.text import tables
    from svgfit.version import API_VERSION

    rows: list[tuple[str, str, str, str]] = []
    for item in shared.setup().registry.all():
        status, _, why = item.status.partition(": ")
        name = item.source.name if status != "ok" else item.supplies
        rows.append((name, item.source.where, status, why))
    say(tables.plugins(rows, terminal()).rstrip(), painted=True)
    say(f"plug-in API: version {API_VERSION}")
    return 0
