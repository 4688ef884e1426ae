"""``svgfit plot``: what cap height trades against bicep width and ease, to look at."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument


@click.command()
@files_argument
@click.option("-o", "--output", metavar="OUT.svg", required=True, help="The drawing to write.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(files: tuple[str, ...], output: str, force: bool, drawing: DrawingOptions) -> int:
    """Plot what cap height trades against bicep width and ease.

    Give sleeve, front and back. Each line joins what gives the same ease; the dot is the sleeve as drawn. In a nest,
    choose one size with --size.
    """
    from svgfit.app.tradeoff import plot_tradeoff
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_output

    session = drawing.session(files)
    text = plot_tradeoff(session, lambda: check_output(output, inputs=session.inputs, force=force))
    write_output(output, text.encode(), inputs=session.inputs, force=force)
    say(f"written: {output}")
    warn((*session.pattern.warnings, *session.registry.warnings), quiet=drawing.quiet)
    return 0
