"""``svgfit handout``: true-to-size pages as a PDF."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

import click

from svgfit.cli.options import drawing_options, files_argument

if TYPE_CHECKING:
    from svgfit.app.open_drawings import Desk, Wishes
    from svgfit.app.replay import Again


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
def command(files: tuple[str, ...], output: str, force: bool, **options: Any) -> int:
    """Write a PDF that prints at true size on the paper you have.

    The first page has squares and bars to measure, and what to do when they don't measure; the second shows which page
    is where. Every page has its row and column, a check line, edge marks and a line to trim along. Print at "actual
    size", never "fit to page".
    """
    if not output.casefold().endswith(".pdf") and not os.path.isdir(output):
        raise click.UsageError(f"{output} does not end in .pdf; give such a name behind -o")
    from svgfit.app.handout import read_printables, redrawn, what_lies_behind
    from svgfit.app.session import lay_out_for
    from svgfit.app.verdicts import told_check
    from svgfit.cli.console import say, warn
    from svgfit.render.layer_selection import read_parts
    from svgfit.render.pdf.build import Handout, make_handout, prepare
    from svgfit.render.pdf.choosing import Wanted
    from svgfit.render.pdf.first_page import cut_short, heading
    from svgfit.render.pdf.papers import read_paper
    from svgfit.svg import check_output, write_output

    wanted = Wanted(read_parts(options["layers"]), _pieces(options["pieces"]), options["size"] or options["sizes"])
    paper = read_paper(options["paper"])
    margin, overlap = _length("--margin", options["margin"]), _length("--overlap", options["overlap"])
    desk, wish = lay_out_for(files, options)
    unit = options["unit"] or desk.convention.unit
    again = _once(files, desk, wish, unit)
    many, as_drawn = bool(options["many"]), options["colours"] == "as-drawn"
    how = Handout(
        paper, options["orientation"], margin, overlap, wanted, unit, many, as_drawn, redrawn(again, desk, wish)
    )
    ready = prepare(read_printables(files, desk, wish), how)
    check_output(output, inputs=files, force=force)  # last of what is quickly known, so that it hides nothing else
    behind = what_lies_behind(files, desk, wish, how, teaching=bool(options["teaching"]), mini=options["mini"])
    failed = tuple(map(told_check, behind.failed))
    made = make_handout(ready, how, behind.pages, failed)
    write_output(output, made.pdf, inputs=files, force=force)
    if not options["quiet"]:
        say("\n".join((*made.said, f"written: {output}")))
    told = [f"{heading(failed)}: {'; '.join(cut_short(failed))}"] if failed else []
    told += _margin_told(margin)
    warn((*told, *made.warnings, *behind.warnings, *desk.registry.warnings), quiet=bool(options["quiet"]))
    return 0


def _once(files: tuple[str, ...], desk: Desk, wish: Wishes, unit: str) -> Callable[[], Again]:
    """The plan that stands in the drawings run again: when it is first asked for, and only once."""

    @cache
    def again() -> Again:
        from svgfit.app.replay import run_again

        return run_again(files, desk, wish, unit)

    return again


def _pieces(text: str | None) -> tuple[str, ...] | None:
    """The names of ``Front,Sleeve``; None for nothing said. Raises Refusal where none is named."""
    if text is None:
        return None
    named = tuple(part.strip() for part in text.split(",") if part.strip())
    if named:
        return named
    from svgfit.model.refusal import Refusal

    raise Refusal("--pieces", "names no piece", "name some, such as Front,Sleeve, or leave it out for all")


def _margin_told(margin: float) -> list[str]:
    """Warn of a margin in which printers can't print."""
    from svgfit.rules.paper import NARROWEST_MARGIN

    if margin >= NARROWEST_MARGIN:
        return []
    return [
        f"--margin {margin:g} mm: most printers can't print within about 6 mm of the paper's edge, so squares, lines "
        "and marks there may be missing; use at least that margin unless you know that yours can"
    ]


def _length(name: str, text: str) -> float:
    from svgfit.model.length import parse_length
    from svgfit.model.refusal import Refusal

    try:
        return parse_length(text)
    except ValueError as fault:
        raise Refusal(name, str(fault)) from None
