"""``svgfit plugins``: what is loaded, from where, what failed and why."""

from __future__ import annotations

from typing import Any

import click

from svgfit.cli.options import plugin_options


@click.command()
@plugin_options
def command(**options: Any) -> int:
    """List what is loaded, from where, and what failed.

    Plug-ins come with svgfit, with installed packages, and from folders named with --plugins or by a convention named
    with --convention; never from the current folder by itself.
    """
    from svgfit.app.open_drawings import lay_out
    from svgfit.cli.console import say, table_style
    from svgfit.cli.options import wishes
    from svgfit.render.text import tables

    plugins = lay_out((), wishes(options)).registry.all()
    rows: list[tuple[str, str, str, str]] = []
    for item in plugins:
        status, _, why = item.status.partition(": ")
        name = item.source.name if status != "ok" else item.supplies
        rows.append((name, item.source.where, status, why))
    say(tables.plugins(rows, **table_style()).rstrip())
    return 0
