"""The group of commands, each imported only when it is used; errors become one line and an exit status.

Exit statuses: 0 done; 1 written, but a check failed, or what there is to say could not be written; 2 refused, nothing
written; 3 a fault of svgfit; 130 interrupted.
"""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module
from io import TextIOWrapper

import click

from svgfit.cli.console import complain, give_up, note, spoken, unheard, warn_of_refused
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest
from svgfit.version import __version__

COMMANDS = {
    "inspect": "Say what was understood of drawings: scale, layers, pieces, marks, guesses.",
    "measure": "Measure the pieces of drawings.",
    "adjust": "Do the steps of a plan and write the adjusted drawing.",
    "watch": "Run a plan again each time a drawing is saved.",
    "check": "Compare the seams of drawings, change nothing.",
    "walk": "Walk sleeves along their armholes, from notch to notch.",
    "advise": "Hold a pattern against a body: what to change, in which order and why, as a plan.",
    "plot": "Plot what cap height trades against bicep width and ease.",
    "handout": "Write a PDF that prints at true size on the paper you have.",
    "picture": "Make a picture of a drawing, to look at and to send.",
    "convention": "Propose a svgfit.toml: which layers of a drawing are what.",
    "convert": "Write a drawing as a file of another kind.",
    "editor-menu": "Write a menu for Inkscape: svgfit without a terminal.",
    "compare": "Say what differs between two fittings of a drawing.",
    "plan": "Check a plan without drawings, or show the plan in a drawing.",
    "demo": "Run the main job on the drawings that come with svgfit.",
    "operations": "List what a plan's steps can do, with every parameter.",
    "plugins": "List what is loaded, from where, and what failed.",
    "new-plugin": "Write a package with one working operation and its test.",
    "completion": "Switch on completion of commands and options in a shell.",
}
"""Each command's line in the overview; the command itself is ``command`` in the module svgfit.cli.NAME, an
underscore for each hyphen."""


_FULL = (errno.ENOSPC, errno.EIO, errno.EBADF)
"""What writing to stdout fails with, beside a reader that has gone away."""


class Commands(click.Group):
    """A group that knows its commands' names and lines without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """List all names, in the order of use."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command."""
        if cmd_name not in COMMANDS:
            return None
        found: click.Command = import_module(f"svgfit.cli.{cmd_name.replace('-', '_')}").command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command and its arguments; an unknown one is refused with the nearest name."""
        if args and args[0] not in COMMANDS:
            if args[0].lower().endswith((".svg", ".svgz", ".pdf", ".dxf")):
                raise click.UsageError(f"{args[0]} is a drawing; begin with a command: svgfit inspect {args[0]}")
            near = closest(args[0], COMMANDS)
            known = f"did you mean {near}?" if near else f"the commands are {', '.join(COMMANDS)}"
            raise click.UsageError(f"there is no command {args[0]!r}; {known}")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; before a refusal goes on, show the warnings that may tell its cause."""
        try:
            status = super().invoke(ctx)
        except Refusal as refusal:
            warn_of_refused(ctx)
            raise spoken(refusal) from refusal
        return 1 if status == 0 and unheard() else status

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the overview, from the table."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="svgfit COMMAND --help explains one. Sew a test garment before cutting good cloth.",
)
@click.option("--debug", is_flag=True, expose_value=False, help="Show a traceback with an error.")
@click.version_option(__version__, prog_name="svgfit", message="%(prog)s %(version)s")
@click.pass_context
def app(context: click.Context) -> int:
    """Adjust sewing-pattern pieces drawn as SVG, true their edges and prove that the seams still fit."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
    return 0


def run(arguments: list[str]) -> int:
    """Run the command line; errors become one line on stderr (with ``--debug`` after a traceback) and a status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a name that the console can't show must not stop the work
    debug = "--debug" in arguments
    try:
        status = app.main(args=arguments, prog_name="svgfit", standalone_mode=False)
    except (click.exceptions.Abort, KeyboardInterrupt):
        complain("interrupted")
        return 130
    except click.ClickException as error:
        complain(_usage(error))
        return 2
    except Refusal as refusal:
        _trace(debug)
        complain(refusal.line())
        return 2
    except MemoryError:
        complain("there is not enough memory for this; give fewer or smaller drawings")
        return 2
    except RecursionError:
        _trace(debug)
        complain("something in what was given nests too deep to be read; simplify it")
        return 2
    except Exception as error:  # noqa: BLE001 - the last stop: one line instead of a traceback
        if isinstance(error, OSError) and error.filename is None and error.errno in _FULL:  # help, by click itself
            give_up(sys.stdout, error)
            return 1
        _trace(debug)
        if isinstance(error, FileNotFoundError) and error.filename is None and not _has_folder():
            complain("the folder that you are in is there no longer; go to another one (cd)")
            return 2
        what = " ".join(f"{type(error).__name__}: {error}".split())
        todo = "please report it with the lines above" if debug else "run it again with --debug for what to report"
        complain(f"this is a fault of svgfit ({what}); {todo}")
        return 3
    return status if isinstance(status, int) else 0


def _has_folder() -> bool:
    """Say whether the working folder still is there."""
    try:
        os.getcwd()
    except FileNotFoundError:
        return False
    return True


def _trace(debug: bool) -> None:
    if debug:
        import traceback

        from svgfit.plugin.guard import fault_lines

        error = sys.exception()
        note((fault_lines(error) if error is not None else []) or traceback.format_exc().splitlines())


def _usage(error: click.ClickException) -> str:
    """Write a usage error on one line: command, what, what to do."""
    text = " ".join(error.format_message().split()).rstrip(".")
    context = error.ctx if isinstance(error, click.UsageError) else None
    command = context.info_name if context is not None and context.parent is not None else None
    text = text[:1].lower() + text[1:] if text[1:2].islower() else text
    if isinstance(error, click.MissingParameter) and text.endswith("'FILE...'"):
        text = f"no drawing is given; name one: svgfit {command} sleeve.svg"
    if ";" not in text and "did you mean" not in text.casefold():
        text += f"; see svgfit {command} --help" if command else "; see svgfit --help"
    return f"{command}: {text}" if command else text
