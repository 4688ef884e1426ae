"""``svgfit check``: whether what is sewn together is equally long."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, drawing: DrawingOptions) -> int:
    """Compare the seams of drawings, change nothing.

    Stitch line against stitch line, seam by seam: equal within 1/16 in passes, within 1/8 in warns, more fails (exit
    status 1). A cap in its armhole is meant to be longer: its ease is told. What else is eased in, svgfit.toml says.
    """
    from svgfit.cli.console import say, warn
    from svgfit.model.vocabulary import Status

    session = drawing.session(files)
    checks = session.check()
    none = "" if checks else "no seam could be checked: no two edges that are sewn together are among these pieces"
    report = session.report(checks=checks, warnings=[none] if none else [])
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(report).rstrip())
    elif checks:
        from svgfit.cli.console import terminal
        from svgfit.render.text import tables

        say(tables.checks(checks, terminal()).rstrip(), painted=True)
    warn(report.warnings, quiet=drawing.quiet)
    return int(any(check.status == Status.FAIL for check in report.checks))
