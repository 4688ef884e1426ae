"""``svgfit convert``: a drawing as a file of another kind."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options

_EXAMPLE = """\b
For example:
  svgfit convert smock.svg -o smock-copy.svg"""


@click.command(epilog=_EXAMPLE)
@click.argument("file", metavar="FILE")
@click.option("-o", "--output", metavar="OUT", required=True, help="The file to write; its ending says what kind.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(file: str, output: str, force: bool, drawing: DrawingOptions) -> int:
    """Write a drawing as a file of another kind.

    Says how the file was read; svgfit plugins lists the kinds of files that can be read and written.
    """
    from svgfit.app.convert import choose_writer, convert
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_output

    session = drawing.session((file,))
    writer = choose_writer(output, session.registry)
    data = convert(session, writer)
    check_output(output, inputs=session.inputs, force=force)
    write_output(output, data, inputs=session.inputs, force=force)
    for note in session.notes(file):
        say(f"{file}: {note}")
    say(f"written: {output}")
    warn((*session.drawing(file).warnings, *session.registry.warnings), quiet=drawing.quiet)
    return 0
