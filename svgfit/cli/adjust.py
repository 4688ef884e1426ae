"""``svgfit adjust``: the steps of a plan, and the adjusted drawing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from svgfit.cli.options import drawing_options, files_argument, plan_options

if TYPE_CHECKING:
    from svgfit.model.plan import Plan
    from svgfit.model.report import Report


_EXAMPLE = """\b
For example:
  svgfit adjust smock.svg --do "cap-raise piece=Sleeve amount='1/4 in'" -o smock-fitted.svg
  svgfit adjust smock.svg --plan fitting.toml -o smock-fitted.svg --report smock.json"""


@click.command(epilog=_EXAMPLE)
@files_argument
@plan_options
@click.option("--dry-run", is_flag=True, help="Do everything but write.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@click.option("--report", metavar="FILE.json", help="Write the report there too.")
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@drawing_options
def command(files: tuple[str, ...], plan: str | None, output: str | None, **options: Any) -> int:
    """Do the steps of a plan and write the adjusted drawing.

    The original stays as it is, to the byte; three layers are added. Several FILEs make one set of pieces.
    """
    check_use(plan, options)
    if output is None and not options["dry_run"]:
        raise click.UsageError("there is no place to write to; give -o OUT, or --dry-run to only see what would be")
    from svgfit.cli.console import say, warn
    from svgfit.cli.summary import adjust_summary

    force, dry = bool(options["force"]), bool(options["dry_run"])
    report, paths, unit = adjust_files(
        files, lambda: asked_plan(plan, options), options, output=None if dry else output, force=force
    )
    if options["as_json"]:
        from svgfit.render.text.report import to_json

        say(to_json(report).rstrip())
    elif not options["quiet"]:
        say(adjust_summary(report, files, paths, unit))
    warn(report.warnings, quiet=bool(options["quiet"]))
    from svgfit.app.session import failed

    return failed(report)


def adjust_files(
    files: tuple[str, ...], plan: Callable[[], Plan], options: dict[str, Any], *, output: str | None, force: bool
) -> tuple[Report, tuple[str, ...], str]:
    """Do a plan and write what comes of it: the report, the files written, and the unit to speak in.

    Without ``output`` nothing is written. Raises Refusal, then nothing is written either.
    """
    from svgfit.app.output_paths import make_folder, refuse_same_names, targets
    from svgfit.app.plan_record import gone_on_from, plan_text
    from svgfit.app.run_plan import prepare
    from svgfit.app.session import across_sizes, adjusted_drawings, lay_out_for, report_of, run_steps, understand
    from svgfit.svg import check_output, write_output

    report_file = options["report"] if output else None
    desk, wish = lay_out_for(files, options)
    if output:
        refuse_same_names(files)
    steps = plan()
    prepare(steps, desk.registry)
    job = understand(files, desk, wish, options["unit"])
    paths = targets(files, output, force=force) if output else ()  # behind what else may be wrong, so as not to hide it
    if report_file:
        check_output(report_file, inputs=(*files, *paths), force=force)
    runs = run_steps(job, steps, cut=True)
    before = [(drawing.canvas.file, drawing.own) for drawing in job.gathered.sheets.drawings]
    earlier = gone_on_from(before) if wish.from_adjusted else ()
    drawings, warnings = adjusted_drawings(
        job,
        runs,
        plan=plan_text(steps, wish, earlier),
        discard_edits=bool(options["discard_edits"]),
        going_on=wish.from_adjusted,
    )
    report = report_of(job, runs, checks=across_sizes(job, runs), warnings=warnings)
    if len(paths) > 1 and output:
        make_folder(output)
    for path, data in zip(paths, drawings, strict=False):
        write_output(path, data, inputs=files, force=force)
    if report_file:
        from svgfit.render.text.report import to_json

        write_output(report_file, to_json(report).encode(), inputs=(*files, *paths), force=force)
    return report, paths, job.unit


def check_use(plan: str | None, options: dict[str, Any]) -> None:
    """Raises a usage error unless something is to be done: a plan, or else steps and ends."""
    asked = (*options["dos"], *options["ends"])
    if plan is not None and asked:
        raise click.UsageError("--plan and --do exclude each other (--ends too); put all steps into one of them")
    if plan is None and not asked:
        raise click.UsageError("there is nothing to do; give --plan PLAN, or --do \"cap-raise amount='1/4 in'\"")


def asked_plan(plan: str | None, options: dict[str, Any]) -> Plan:
    """The plan out of its file, or of ``--do`` and ``--ends``. Raises Refusal for what can't be read."""
    from svgfit.model.plan import Plan

    return Plan.read(plan) if plan is not None else Plan.from_steps(*options["dos"], ends=options["ends"])
