"""``svgfit new-plugin``: a package with one working operation and its test, to begin with."""

from __future__ import annotations

from shlex import quote

import click

from svgfit.cli.options import PluginOptions, plugin_options


@click.command()
@click.argument("name")
@click.option("-o", "folder", metavar="FOLDER", help="Where to put it [svgfit-NAME].")
@plugin_options
def command(name: str, folder: str | None, shared: PluginOptions) -> int:
    """Write a package with one working operation and its test.

    NAME, the operation's name, lengthens a sleeve: change it into what you need. No file is ever replaced.
    """
    from svgfit.app.new_plugin import new_plugin
    from svgfit.cli.console import say

    place, files = new_plugin(name, folder, shared.setup().registry)
    lines = [f"{len(files)} files written:", *(f"  {path}" for path in files), "now try it, and run its test:"]
    typed = quote(place)
    lines.append(f"  svgfit adjust DRAWING --plugins {typed} --do \"{name} amount='1 in'\" -o OUT")
    lines.append(f"  python -m pytest {typed}")
    say("\n".join(lines))
    return 0
