"""``svgfit check``: whether what is sewn together is equally long."""

from __future__ import annotations

from typing import Any

import click

from svgfit.cli.options import drawing_options, files_argument


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, **options: Any) -> int:
    """Compare the seams of drawings, change nothing.

    Stitch line against stitch line, seam by seam: equal within 1/16 in passes, within 1/8 in warns, more fails (exit
    status 1). A cap in its armhole is meant to be longer: its ease is told.
    """
    from svgfit.app.open_drawings import left_unread
    from svgfit.app.parameter_values import check_closed
    from svgfit.app.seam_checks import seam_checks
    from svgfit.app.session import NO_STEPS, failed, lay_out_for, report_of, run_steps, understand
    from svgfit.cli.console import say, warn

    desk, wish = lay_out_for(files, options)
    job = understand(files, desk, wish, options["unit"])
    for piece in job.gathered.pieces:
        check_closed(piece, desk.registry)
    unread = left_unread(job.gathered.sheets, wish)
    runs = run_steps(job, NO_STEPS)
    checks = [check for run in runs for check in seam_checks(run.after, run.seams, job.unit)]
    none = "" if checks else "no seam could be checked: no two edges that are sewn together are among these pieces"
    report = report_of(job, runs, checks=checks, warnings=[*unread, *([none] if none else [])])
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(report).rstrip())
    elif checks:
        from svgfit.cli.console import table_style
        from svgfit.render.text import tables

        say(tables.checks(checks, **table_style()).rstrip())
    warn(report.warnings, quiet=bool(options["quiet"]))
    return failed(report)
