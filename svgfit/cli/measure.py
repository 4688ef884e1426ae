"""``svgfit measure``: the measurements of the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument

if TYPE_CHECKING:
    from svgfit.model.report import PieceRow


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print file,piece,size,name,unit,before,after.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, as_csv: bool, drawing: DrawingOptions) -> int:
    """Measure the pieces of drawings.

    Every length is measured on the stitch line, in the paper's true size. Several FILEs make one set of pieces.
    """
    from svgfit.cli.console import say, warn

    if as_json and as_csv:
        raise click.UsageError("--json and --csv exclude each other; leave one out")
    session = drawing.session(files)
    session.check_closed()
    report = session.report()
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(report).rstrip())
    elif as_csv:
        from svgfit.render.text.report import to_csv

        say(to_csv(report.pieces).rstrip())
    else:
        from svgfit.cli.console import terminal
        from svgfit.render.text import tables

        say(tables.measurements(as_drawn(report.pieces), session.units, terminal()).rstrip(), painted=True)
    warn(report.warnings, quiet=drawing.quiet)
    return 0


def as_drawn(pieces: Sequence[PieceRow]) -> list[PieceRow]:
    """Leave out the after of each row, which for a person would only say everything twice."""
    from svgfit.model.operation import replace

    return [replace(row, measurements=tuple(replace(item, after=None) for item in row.measurements)) for row in pieces]
