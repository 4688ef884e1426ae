"""``svgfit picture``: a drawing to look at, as PNG or as one HTML page."""

from __future__ import annotations

from typing import Any

import click

from svgfit.cli.options import drawing_options

_EXAMPLE = """\b
For example:
  svgfit picture smock-fitted.svg -o smock.png --layers original,adjusted
  svgfit picture smock-fitted.svg -o smock.html"""


def _above_nothing(context: click.Context, option: click.Parameter, value: float | None) -> float | None:
    if value is not None and not 0 < value < float("inf"):
        raise click.UsageError(f"--{option.name} must be more than nothing", context)
    return value


@click.command(epilog=_EXAMPLE)
@click.argument("file", metavar="FILE")
@click.option("-o", "--output", metavar="OUT.png|OUT.html", required=True, help="The picture to write.")
@click.option("--layers", metavar="LIST", help="Which of original, adjusted, measurements, working-lines [all].")
@click.option("--width", type=int, callback=_above_nothing, help="Pixels across, of a PNG [1600].")
@click.option("--dpi", type=float, callback=_above_nothing, help="Pixels an inch, of a PNG that prints true to size.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
@drawing_options
def command(file: str, output: str, layers: str | None, width: int | None, dpi: float | None, **options: Any) -> int:
    """Make a picture of a drawing, to look at and to send.

    A PNG on white, or one HTML page that works offline and on a phone: layers to switch, before and after, the
    measurements. Nothing in the drawing can run or fetch anything there.
    """
    kind = _kind(output)
    if kind == "html" and (width is not None or dpi is not None):
        raise click.UsageError(
            "--width and --dpi are for a PNG; an HTML page fits its screen by itself, leave them out"
        )
    if width is not None and dpi is not None:
        raise click.UsageError("--width and --dpi exclude each other; leave one out")
    from svgfit.app.open_drawings import read_one
    from svgfit.app.session import lay_out_for
    from svgfit.cli.console import say, warn
    from svgfit.render.html.sheet import chosen_parts
    from svgfit.svg import check_output, write_output

    desk, wish = lay_out_for((file,), options)
    drawing = read_one(file, desk, wish)
    parts = chosen_parts(drawing, layers)
    check_output(output, inputs=(file,), force=bool(options["force"]))  # last, so that it hides nothing else
    if kind == "png":
        from svgfit.render.png import png

        data = png(drawing, parts, width=width, dpi=dpi)
    else:
        from svgfit.app.picture_page import picture_page

        data = picture_page(drawing, parts, desk, wish, options["unit"]).encode()
    write_output(output, data, inputs=(file,), force=bool(options["force"]))
    if not options["quiet"]:
        say(f"written: {output}")
    warn(drawing.warnings, quiet=bool(options["quiet"]))
    return 0


def _kind(output: str) -> str:
    """What is to be written, by the name's end."""
    name = output.lower()
    for end, kind in ((".png", "png"), (".html", "html"), (".htm", "html")):
        if name.endswith(end):
            return kind
    raise click.UsageError(f"{output} ends neither in .png nor in .html; give such a name behind -o")
