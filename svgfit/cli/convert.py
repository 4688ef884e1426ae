"""``svgfit convert``: a drawing as a file of another kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from svgfit.cli.options import DrawingOptions, drawing_options

if TYPE_CHECKING:
    from svgfit.app.session import Session

_EXAMPLE = """\b
For example:
  svgfit convert smock.svg -o smock-copy.svg"""


@click.command(epilog=_EXAMPLE)
@click.argument("file", metavar="FILE")
@click.option("-o", "--output", metavar="OUT", required=True, help="The file to write; its ending says what kind.")
@click.option(
    "--onto", metavar="MAKER.pdf", help="Add only svgfit's layers of FILE, to this PDF that it was made of; see below."
)
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(file: str, output: str, onto: str | None, force: bool, drawing: DrawingOptions) -> int:
    """Write a drawing as a file of another kind.

    Says how the file was read; svgfit plugins lists the kinds of files that can be read and written.

    With --onto the maker's PDF is written with svgfit's layers added, to be switched on and off: its own bytes stay as
    they are, and the layers come behind them.
    """
    from svgfit.app.convert import choose_writer, conversion_warnings, convert
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_output

    session = drawing.session((file,))
    if onto is not None:
        return _onto(session, onto, output, force, drawing.quiet)
    writer = choose_writer(output, session.registry)
    data = convert(session, writer)
    check_output(output, inputs=session.inputs, force=force)
    write_output(output, data, inputs=session.inputs, force=force)
    for note in session.notes(file):
        say(f"{file}: {note}")
    say(f"written: {output}")
    warn(conversion_warnings(session, writer), quiet=drawing.quiet)
    return 0


def _onto(session: Session, maker: str, output: str, force: bool, quiet: bool) -> int:
    from svgfit.app.add_to_maker import add_to_maker
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_output

    if not output.casefold().endswith(".pdf"):
        raise click.UsageError("with --onto a PDF is written; give OUT the ending .pdf")
    data, warnings = add_to_maker(session, maker)
    inputs = (*session.inputs, maker)
    check_output(output, inputs=inputs, force=force)
    write_output(output, data, inputs=inputs, force=force)
    say(f"written: {output}")
    warn(map(session.units.speak, (*warnings, *session.registry.warnings)), quiet=quiet)
    return 0
