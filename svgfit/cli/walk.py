"""``svgfit walk``: sleeve against armhole, zone by zone."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument


@click.command()
@files_argument
@click.option("--json", "as_json", is_flag=True, help="Print the walks as JSON.")
@click.option("--style", metavar="NAME", help="What is sewn, such as shirt or tailored jacket [as svgfit.toml says].")
@click.option("-o", "--output", metavar="OUT", help="Draw the walks into a copy: the file, or the folder for several.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(
    files: tuple[str, ...], as_json: bool, style: str | None, output: str | None, force: bool, drawing: DrawingOptions
) -> int:
    """Walk sleeves along their armholes, from notch to notch.

    Stitch line against stitch line, darts closed. From underarm to notch the two must match: within 1/16 in passes,
    within 1/8 in warns, more fails (exit status 1). From notch to shoulder the cap is longer: that is its ease. Every
    other seam is compared too, and edges must run on smoothly across underarm, shoulder and folds. Changes nothing;
    with -o a copy gets both seams drawn as strips, of a nest those of one size.
    """
    from svgfit.app.walk_strips import strip_notes
    from svgfit.app.walking import walk_drawings
    from svgfit.cli.console import say, terminal, warn

    session = drawing.session(files)
    done = walk_drawings(session, style, output, force=force)
    if as_json:
        from svgfit.render.text.report import to_json

        say(to_json(done.report).rstrip())
    else:
        from svgfit.render.text import tables

        say(tables.walks(done.walked.walks, done.walked.checks, session.units, terminal()).rstrip(), painted=True)
        if done.paths and not drawing.quiet:
            say("\nwritten:\n" + "\n".join(f"  {file} -> {path}" for file, path in zip(files, done.paths, strict=True)))
            for line in strip_notes(session.pieces):
                say(line)
    warn(done.report.warnings, quiet=drawing.quiet)
    return int(done.walked.failed)
