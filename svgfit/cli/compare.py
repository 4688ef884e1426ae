"""``svgfit compare``: two fittings of a drawing held against each other."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options

_EXAMPLE = """\b
For example:
  svgfit compare smock-fitted.svg smock-second.svg"""


@click.command(epilog=_EXAMPLE)
@click.argument("one", metavar="A.svg")
@click.argument("other", metavar="B.svg")
@click.option("--json", "as_json", is_flag=True, help="Print what differs as JSON, in mm.")
@click.option("--all", "every_row", is_flag=True, help="Show the outline's length, width and height too.")
@drawing_options
def command(one: str, other: str, as_json: bool, every_row: bool, drawing: DrawingOptions) -> int:
    """Say what differs between two fittings of a drawing.

    Which edges and notches lie elsewhere on the page, and which measurements differ. Of each drawing the outlines that
    svgfit adjusted are taken, of one that it did not adjust those as drawn.
    """
    from svgfit.app.compare import compare, refuse_itself
    from svgfit.cli.console import say, terminal, warn
    from svgfit.render.text.comparison import comparison_text

    refuse_itself(one, other)
    sessions = [drawing.session((file,)) for file in (one, other)]
    found = compare(*sessions)
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(found).rstrip())
    else:
        say(comparison_text(found, sessions[0].units, terminal(), every_row=every_row).rstrip(), painted=True)
    warn(found.warnings, quiet=drawing.quiet)
    return 0
