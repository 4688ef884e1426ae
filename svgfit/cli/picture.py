"""``svgfit picture``: a drawing to look at, as PNG or as one HTML page."""

from __future__ import annotations

import click

from svgfit.cli.options import DrawingOptions, drawing_options

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
def command(
    file: str,
    output: str,
    layers: str | None,
    width: int | None,
    dpi: float | None,
    force: bool,
    drawing: DrawingOptions,
) -> int:
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
    from svgfit.app.picture import check_layers, picture_html, picture_notes, picture_png
    from svgfit.cli.console import say, warn
    from svgfit.svg import check_output, write_output

    session = drawing.session((file,))
    check_layers(session, layers)
    check_output(output, inputs=session.inputs, force=force)  # last, so that it hides nothing else
    if kind == "png":
        data = picture_png(session, layers=layers, width=width, dpi=dpi)
    else:
        data = picture_html(session, layers=layers).encode()
    write_output(output, data, inputs=session.inputs, force=force)
    if not drawing.quiet:
        say(f"written: {output}")
    notes = picture_notes(session, layers=layers)
    warn((*session.drawing(file).warnings, *notes), quiet=drawing.quiet)
    return 0


def _kind(output: str) -> str:
    """Tell by the name's end what is to be written."""
    name = output.lower()
    for end, kind in ((".png", "png"), (".html", "html"), (".htm", "html")):
        if name.endswith(end):
            return kind
    raise click.UsageError(f"{output} ends neither in .png nor in .html; give such a name behind -o")
