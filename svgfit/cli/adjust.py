"""``svgfit adjust``: the steps of a plan, and the adjusted drawing."""

from __future__ import annotations

from functools import partial

import click

from svgfit.cli.options import DrawingOptions, PlanOptions, drawing_options, files_argument, plan_options

_EXAMPLE = """\b
For example:
  svgfit adjust smock.svg --do "cap-raise piece=Sleeve amount='1/4 in'" -o smock-fitted.svg
  svgfit adjust smock.svg --plan fitting.toml -o smock-fitted.svg --report smock.json
  svgfit adjust smock-fitted.svg --from adjusted --undo 1 -o smock-before.svg"""


@click.command(epilog=_EXAMPLE)
@files_argument
@plan_options
@click.option(
    "--undo",
    type=click.IntRange(min=1),
    metavar="N",
    help="With --from adjusted: take the last N steps back first, one for each piece; what is left is done again.",
)
@click.option("--dry-run", is_flag=True, help="Do everything but write.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@click.option("--report", metavar="FILE.json", help="Write the report there too.")
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@click.option("--verbose", is_flag=True, help="Say what each step got, and show every size and check.")
@click.option("--all", "every_row", is_flag=True, help="Show the outline's length, width and height too.")
@drawing_options
def command(
    files: tuple[str, ...],
    plan: PlanOptions,
    undo: int | None,
    dry_run: bool,
    force: bool,
    report: str | None,
    as_json: bool,
    verbose: bool,
    every_row: bool,
    drawing: DrawingOptions,
) -> int:
    """Do the steps of a plan and write the adjusted drawing.

    The original stays as it is, to the byte; three layers are added. Several FILEs make one set of pieces.
    """
    if undo is None or not plan.is_empty:
        plan.check()
    if undo is not None and not drawing.from_adjusted:
        what = "--undo takes back steps of what svgfit adjusted"
        raise click.UsageError(f"{what}; give --from adjusted too, and a drawing that svgfit wrote")
    if plan.output is None and not dry_run:
        raise click.UsageError("there is no place to write to; give -o OUT, or --dry-run to only see what would be")
    from svgfit.app.adjust import Writing, adjust
    from svgfit.cli.console import say, warn
    from svgfit.cli.summary import Detail, Done, adjust_summary, sizes_of
    from svgfit.model.wording import across_sizes

    session = drawing.session(files)
    writing = Writing(None if dry_run else plan.output, report, force, plan.discard_edits)
    if undo is None:
        done = adjust(session, partial(plan.read, session.registry), writing)
    else:
        from svgfit.app.undo import take_back

        further = None if plan.is_empty else plan.read(session.registry)
        left = take_back(session, undo, further, discard_edits=plan.discard_edits)
        warn(left.warnings, quiet=drawing.quiet)
        done = adjust(left.session, lambda: left.plan, writing)
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(done.report).rstrip())
    elif not drawing.quiet:
        told = Done(done.run.also, done.redrawn, files, done.paths)
        say(adjust_summary(done.report, told, session.units, Detail(verbose, every_row)))
    warnings = done.report.warnings
    warn(warnings if verbose else across_sizes(warnings, sizes_of(done.report.pieces)), quiet=drawing.quiet)
    return int(done.run.failed)
