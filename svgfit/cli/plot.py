"""``svgfit plot``: what cap height trades against bicep width and ease, to look at."""

from __future__ import annotations

from typing import Any

import click

from svgfit.cli.options import drawing_options, files_argument


@click.command()
@files_argument
@click.option("-o", "--output", metavar="OUT.svg", required=True, help="The drawing to write.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(files: tuple[str, ...], output: str, force: bool, **options: Any) -> int:
    """Plot what cap height trades against bicep width and ease.

    Give sleeve, front and back. Each line joins what gives the same ease; the dot is the sleeve as drawn. In a nest,
    choose one size with --size.
    """
    from svgfit.app.nest import sizes
    from svgfit.app.parameter_values import check_closed
    from svgfit.app.session import lay_out_for, understand
    from svgfit.app.tradeoff import trade
    from svgfit.cli.console import say, warn
    from svgfit.model.refusal import Refusal
    from svgfit.render.annotate.tradeoff_plot import trade_plot
    from svgfit.svg import check_output, write_output

    desk, wish = lay_out_for(files, options)
    job = understand(files, desk, wish, options["unit"])
    for piece in job.gathered.pieces:
        check_closed(piece, desk.registry)
    groups = sizes(job.gathered.pieces)
    sleeves = [piece.title for group in groups for piece in group if piece.kind == "sleeve"]
    if len(sleeves) > 1:
        what = f"there are {len(sleeves)} sleeves: {', '.join(sleeves)}"
        raise Refusal(", ".join(files), what, "choose one size with --size, or give the drawings of one sleeve")
    check_output(output, inputs=files, force=force)  # behind what else may be wrong, so as not to hide it
    found = trade(groups[0], job.gathered.seams, desk.registry)
    if not found:
        what = "no sleeve is here whose armhole is known"
        raise Refusal(", ".join(files), what, "give the drawings of sleeve, front and back")
    if len(found[0].rows) < 2:
        what = f"the bicep of {found[0].sleeve} can be made neither wider nor narrower, so there is nothing to plot"
        raise Refusal(", ".join(files), what, "see svgfit plugins for why no operation that does it is there")
    write_output(output, trade_plot(found[0], job.unit).encode(), inputs=files, force=force)
    say(f"written: {output}")
    warn((*job.gathered.warnings, *desk.registry.warnings), quiet=bool(options["quiet"]))
    return 0
