"""``svgfit handout``: true-to-size pages as a PDF."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import DrawingOptions, drawing_options, files_argument

if TYPE_CHECKING:
    from svgfit.app.handout import HandoutOptions
    from svgfit.model.length import Units


@click.command()
@files_argument
@click.option("-o", "--output", metavar="OUT.pdf", required=True, help="The PDF to write.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@click.option(
    "--paper",
    metavar="PAPER",
    default="a4",
    show_default=True,
    help="a4, a3, a2, a1, a0, letter, legal, tabloid, arch-e, WIDTHxHEIGHT with units such as 610mmx914mm, or "
    "a4+letter for pages that print on either.",
)
@click.option(
    "--orientation", type=click.Choice(["portrait", "landscape"]), help="How the paper lies [what needs fewer pages]."
)
@click.option(
    "--layers",
    metavar="LIST",
    help="What to print: original (all that was drawn before svgfit came), adjusted (the new outlines, notches and "
    "grain), measurements (dimensions, tables, legend), working-lines (slashes, hinges, arrows, edges as they were) "
    "[adjusted,measurements; original where there are none].",
)
@click.option("--pieces", metavar="LIST", help="Some pieces, such as Front,Sleeve [all].")
@click.option("--margin", metavar="LENGTH", default="12.7 mm", show_default=True, help="Margin of the paper.")
@click.option(
    "--overlap", metavar="LENGTH", default="12 mm", show_default=True, help="What neighbouring pages both show."
)
@click.option(
    "--teaching/--no-teaching",
    default=True,
    help="Behind the pages, a teaching sheet: the steps as done with paper and scissors [where svgfit adjusted].",
)
@click.option("--mini", metavar="SCALE", help="And minis of the pieces that changed, such as 1/2 or 1/4.")
@click.option(
    "--colours",
    type=click.Choice(["for-print", "as-drawn"]),
    default="for-print",
    show_default=True,
    help="for-print: lines and writing too pale or too thin for a laser printer come out darker and wider.",
)
@click.option("--many", is_flag=True, help="Print even where it takes more than 100 pages.")
@drawing_options
def command(
    files: tuple[str, ...],
    output: str,
    force: bool,
    paper: str,
    orientation: str | None,
    layers: str | None,
    pieces: str | None,
    margin: str,
    overlap: str,
    teaching: bool,
    mini: str | None,
    colours: str,
    many: bool,
    drawing: DrawingOptions,
) -> int:
    """Write a PDF that prints at true size on the paper you have.

    The first page has squares and bars to measure, and what to do when they don't measure; the second shows which page
    is where. Every page has its row and column, a check line, edge marks and a line to trim along. Print at "actual
    size", never "fit to page".
    """
    if not output.casefold().endswith(".pdf") and not os.path.isdir(output):
        raise click.UsageError(f"{output} does not end in .pdf; give such a name behind -o")
    from svgfit.app.handout import HandoutOptions
    from svgfit.cli.console import say, warn

    size = drawing.size or drawing.sizes
    as_drawn = colours == "as-drawn"
    options = HandoutOptions(paper, orientation, layers, pieces, size, margin, overlap, as_drawn, many)
    lines, warnings = write_handout(files, output, options, drawing, teaching=teaching, mini=mini, force=force)
    if not drawing.quiet:
        say("\n".join(lines))
    warn(warnings, quiet=drawing.quiet)
    return 0


def write_handout(
    files: Sequence[str],
    output: str,
    options: HandoutOptions,
    drawing: DrawingOptions,
    *,
    teaching: bool,
    mini: str | None,
    force: bool,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write the handout of drawings; return what is said of it, line by line, and what there is to mind.

    Raises Refusal for what can't be read or printed; then nothing is written.
    """
    from svgfit.app.handout import prepare_handout
    from svgfit.render.pdf.first_page import cut_short, heading
    from svgfit.svg import check_output, write_output

    how = options.read()
    session = drawing.session(files)
    prepared = prepare_handout(session, how)
    check_output(
        output, inputs=session.inputs, force=force
    )  # last of what is quickly known, so that it hides nothing else
    made = prepared.finish(teaching=teaching, mini=mini)
    write_output(output, made.pdf, inputs=session.inputs, force=force)
    failed = [f"{heading(made.failed)}: {'; '.join(cut_short(made.failed))}"] if made.failed else []
    guesses = session.guesses()
    warnings = (*failed, *_margin_warning(how.margin, session.units), *guesses, *made.warnings)
    warnings = tuple(dict.fromkeys((*warnings, *session.registry.warnings)))
    return (*made.lines, f"written: {output}"), warnings


def _margin_warning(margin: float, units: Units) -> list[str]:
    """Warn of a margin in which printers can't print."""
    from svgfit.rules.paper import NARROWEST_MARGIN

    if margin >= NARROWEST_MARGIN:
        return []
    return [
        f"--margin {units.length(margin)}: most printers can't print within about {units.length(6.0)} of "
        "the paper's edge, so squares, lines and marks there may be missing; use at least that margin unless you know "
        "that yours can"
    ]
