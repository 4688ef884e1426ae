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
@click.option("--all", "every_row", is_flag=True, help="Show the outline's length, width and height too.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, as_csv: bool, every_row: bool, drawing: DrawingOptions) -> int:
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

        say(to_csv(report.rows).rstrip())
    else:
        from svgfit.cli.console import terminal
        from svgfit.render.text import tables

        say(tables.measurements(as_drawn(report.rows, every_row), session.units, terminal()).rstrip(), painted=True)
    warn(report.warnings, quiet=drawing.quiet)
    return 0


def as_drawn(pieces: Sequence[PieceRow], every_row: bool) -> list[PieceRow]:
    """Leave out the after of each row, which for a person would only say everything twice, and rows nobody sews by."""
    from svgfit.model.operation import replace
    from svgfit.render.format_values import notable_rows

    rows = [(piece, piece.measurements if every_row else notable_rows(piece.measurements)) for piece in pieces]
    return [replace(piece, measurements=tuple(replace(item, after=None) for item in own)) for piece, own in rows]
