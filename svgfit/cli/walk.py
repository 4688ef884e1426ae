"""``svgfit walk``: sleeve against armhole, zone by zone."""

from __future__ import annotations

from typing import Any

import click

from svgfit.cli.options import drawing_options, files_argument


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print the walks as JSON.")
@click.option("--style", metavar="NAME", help="What is sewn, such as shirt or tailored jacket [convention's].")
@click.option("-o", "--output", metavar="OUT", help="Draw the walks into a copy: the file, or the folder for several.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(files: tuple[str, ...], as_json: bool, style: str | None, output: str | None, **options: Any) -> int:
    """Walk sleeves along their armholes, from notch to notch.

    Stitch line against stitch line, darts closed. From underarm to notch the two must match: within 1/16 in passes,
    within 1/8 in warns, more fails (exit status 1). From notch to shoulder the cap is longer: that is its ease. Every
    other seam is compared too, and edges must run on smoothly across underarm, shoulder and folds. Changes nothing;
    with -o a copy gets a layer of measurements with both seams as strips, of a nest those of one size. Several FILEs
    make one set of pieces.
    """
    from svgfit.app.nest import sizes
    from svgfit.app.open_drawings import left_unread
    from svgfit.app.output_paths import make_folder, refuse_same_names, targets
    from svgfit.app.parameter_values import check_closed
    from svgfit.app.session import NO_STEPS, adjusted_drawings, lay_out_for, run_steps, understand
    from svgfit.app.walk_strips import strips_told
    from svgfit.app.walks import page_checks, rules_of, walk_all, walk_report
    from svgfit.cli.console import say, table_style, warn
    from svgfit.svg import write_output

    desk, wish = lay_out_for(files, options)
    rules = rules_of(desk.convention, style)
    force = bool(options["force"])
    if output:
        refuse_same_names(files)
    job = understand(files, desk, wish, options["unit"])
    for piece in job.gathered.pieces:
        check_closed(piece, desk.registry)
    paths = targets(files, output, force=force) if output else ()  # behind what else may be wrong
    walked = walk_all(sizes(job.gathered.pieces), job.gathered.seams, rules, job.unit)
    verdicts = [*(verdict for walk in walked.walks for verdict in walk.verdicts), *walked.checks]
    drawings: tuple[bytes, ...] = ()
    told: tuple[str, ...] = ()
    if paths:
        drawings, told = adjusted_drawings(job, run_steps(job, NO_STEPS), walked=page_checks(walked))
        if len(paths) > 1 and output:
            make_folder(output)
    for path, data in zip(paths, drawings, strict=True):
        write_output(path, data, inputs=files, force=force)
    warnings = [*job.gathered.warnings, *desk.registry.warnings, *left_unread(job.gathered.sheets, wish), *told]
    report = walk_report((drawing.canvas for drawing in job.gathered.sheets.drawings), walked, warnings)
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(report).rstrip())
    else:
        from svgfit.render.text.walk_table import walk_tables

        say(walk_tables(walked.walks, walked.checks, job.unit, **table_style()).rstrip())
        if paths and not options["quiet"]:
            say("\nwritten:\n" + "\n".join(f"  {file} -> {path}" for file, path in zip(files, paths, strict=True)))
            for line in strips_told(job.gathered.pieces):
                say(line)
    warn(report.warnings, quiet=bool(options["quiet"]))
    return int(any(verdict.status == "fail" for verdict in verdicts))
