"""The options that several commands share, and what they come to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from svgfit.app.open_drawings import Wishes

Function = TypeVar("Function", bound=Callable[..., Any])


def _scale(context: click.Context, option: click.Parameter, value: str | None) -> float | None:
    """User units an inch: a number above nothing; a usage error for anything else."""
    if value is None:
        return None
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    if not 0 < number < math.inf:
        what = f"--scale {value} is not a number of user units an inch; write for example --scale 96"
        raise click.UsageError(what, context)
    return number


_DEBUG = (
    click.option("--debug", is_flag=True, help="Show a traceback with an error."),
    click.option("--quiet", is_flag=True, help="Leave out warnings and summaries."),
)
_PLUGINS = (
    click.option("--plugins", metavar="DIR", multiple=True, help="A folder of plug-ins; may be repeated."),
    click.option("--without", metavar="NAME", multiple=True, help="Switch a plug-in off; may be repeated."),
    click.option("--convention", metavar="FILE", help="Which layer names mean what [svgfit.toml beside the drawings]."),
)
_READING = (
    click.option(
        "--from", "start", type=click.Choice(["drawn", "adjusted"]), default="drawn", help="Which outlines to take."
    ),
    click.option("--scale", metavar="N", callback=_scale, help="User units an inch, for a drawing that does not say."),
    click.option("--size", metavar="SIZE", help="One size of a nest [all]."),
    click.option("--sizes", metavar="LIST", help="Some sizes of a nest, such as 10,12,14; or all."),
    click.option("--unit", type=click.Choice(["in", "mm", "cm"]), help="Unit of reports and labels [convention's]."),
)

_PLAN = (
    click.option("--plan", metavar="PLAN", help="A plan: a TOML file of [[step]] tables."),
    click.option(
        "--do", "dos", metavar="STEP", multiple=True, help='A step, "OPERATION key=value ..."; may be repeated.'
    ),
    click.option(
        "--ends",
        metavar="ENDS",
        multiple=True,
        help="Ends to reach, the amounts left to svgfit: \"cap-height='6 in' cap-ease='1 in'\"; may be repeated.",
    ),
    click.option("-o", "--output", metavar="OUT", help="The file to write; for several drawings, the folder."),
    click.option("--discard-edits", is_flag=True, help="Replace layers of ours that were edited since."),
)


def _apply(options: Sequence[Callable[[Any], Any]], function: Function) -> Function:
    for option in reversed(options):
        function = option(function)
    return function


def plugin_options(function: Function) -> Function:
    """Options of commands that load plug-ins."""
    return _apply((*_PLUGINS, *_DEBUG), function)


def drawing_options(function: Function) -> Function:
    """Options of commands that read drawings."""
    return _apply((*_READING, *_PLUGINS, *_DEBUG), function)


def plan_options(function: Function) -> Function:
    """Options of commands that do a plan and write what comes of it."""
    return _apply(_PLAN, function)


def files_argument(function: Function) -> Function:
    """The drawings."""
    return click.argument("files", metavar="FILE...", nargs=-1, required=True)(function)


def wishes(options: dict[str, Any]) -> Wishes:
    """The shared options as a record."""
    from svgfit.app.open_drawings import Wishes

    if options.get("size") and options.get("sizes"):
        raise click.UsageError("--size and --sizes exclude each other; put every size into --sizes, such as 10,12")
    return Wishes(
        scale=options.get("scale"),
        size=options.get("size") or options.get("sizes"),
        convention=options["convention"],
        plugins=options["plugins"],
        without=options["without"],
        from_adjusted=options.get("start") == "adjusted",
        to_stderr=True,
    )
