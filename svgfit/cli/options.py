"""The options that several commands share, each group as one typed record."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from functools import wraps
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from svgfit.model.refusal import Refusal
from svgfit.plugin.watchdog import STEP_TIMEOUT

if TYPE_CHECKING:
    from svgfit.app.open_drawings import ReadingOptions, Setup
    from svgfit.app.session import Session
    from svgfit.model.plan import Plan
    from svgfit.plugin.registry import Registry

Command = Callable[..., int]


class PluginOptions(NamedTuple):
    """Which plug-ins and which convention; how much is said."""

    plugins: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    convention: str | None = None
    quiet: bool = False
    no_plugins: bool = False
    step_timeout: float | None = STEP_TIMEOUT

    def setup(self) -> Setup:
        """Load convention and plug-ins where there is no drawing."""
        from svgfit.app.open_drawings import ReadingOptions, set_up

        options = ReadingOptions(
            convention=self.convention,
            plugins=self.plugins,
            without=self.without,
            to_stderr=True,
            only_stock=self.no_plugins,
            step_timeout=self.step_timeout,
        )
        return set_up((), options)

    def words(self) -> tuple[str, ...]:
        """Write which plug-ins, and how long they may take, as words of a command that is called from anywhere."""
        given = [word for folder in self.plugins for word in ("--plugins", os.path.abspath(folder))]
        given += [word for name in self.without for word in ("--without", name)]
        given += ["--no-plugins"] if self.no_plugins else []
        given += ["--step-timeout", f"{self.step_timeout or 0:g}"] if self.step_timeout != STEP_TIMEOUT else []
        return tuple(given)


class DrawingOptions(NamedTuple):
    """How drawings are read, and in which unit lengths are written."""

    from_adjusted: bool = False
    scale: float | None = None
    size: str | None = None
    """One size, as given with --size."""
    sizes: str | None = None
    """Sizes as given with --sizes."""
    unit: str | None = None
    shared: PluginOptions = PluginOptions()
    both_units: bool = False
    decimals: bool = False
    pages: tuple[int, int] | None = None
    """Columns and rows of a PDF's pages."""
    overlap: float | None = None
    """By how much they overlap, mm."""

    @property
    def quiet(self) -> bool:
        """Whether warnings and summaries are left out."""
        return self.shared.quiet

    def reading(self) -> ReadingOptions:
        """Return how the drawings are to be read."""
        from svgfit.app.open_drawings import ReadingOptions

        return ReadingOptions(
            scale=self.scale,
            pages=self.pages,
            overlap=self.overlap,
            size=self.size or self.sizes,
            convention=self.shared.convention,
            plugins=self.shared.plugins,
            without=self.shared.without,
            from_adjusted=self.from_adjusted,
            to_stderr=True,
            only_stock=self.shared.no_plugins,
            step_timeout=self.shared.step_timeout,
        )

    def session(self, files: Sequence[str]) -> Session:
        """Open a session. Should the command be refused, what was found to mind by then is shown before."""
        from svgfit.app.session import Session
        from svgfit.cli.console import speak_in, warn_if_refused
        from svgfit.model.vocabulary import Unit

        unit = Unit(self.unit) if self.unit else None
        session = Session(files, self.reading(), unit, other_unit=self.both_units, decimals=self.decimals)
        speak_in(session.units)
        warn_if_refused(lambda: session.warnings_so_far)
        return session


PIPED = "-"
"""In place of a plan's file: the plan is what another program prints."""
_PIPED_NAME = "plan from the pipe"


class PlanOptions(NamedTuple):
    """What is to be done, and where results are written."""

    path: str | None = None
    steps: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    output: str | None = None
    discard_edits: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether neither a plan nor a step nor an end is given."""
        return self.path is None and not self.steps and not self.ends

    def check(self) -> None:
        """Raise a usage error unless something is to be done: a plan, or else steps and ends."""
        asked = (*self.steps, *self.ends)
        if self.path is not None and asked:
            raise click.UsageError("--plan and --do exclude each other (--ends too); put all steps into one of them")
        if self.is_empty:
            raise click.UsageError("there is nothing to do; give --plan PLAN, or --do \"cap-raise amount='1/4 in'\"")

    def read(self, registry: Registry | None = None) -> Plan:
        """Read the plan out of its file, or of ``--do`` and ``--ends``. Raises Refusal for what can't be read.

        ``registry``: where the operation is looked for that a step in other words means.
        """
        from svgfit.model.plan import Plan, parse_do

        if self.path == PIPED:
            import sys

            from svgfit.model.toml_file import LARGEST

            data = sys.stdin.buffer.read(LARGEST + 1)
            if len(data) > LARGEST:
                raise Refusal(_PIPED_NAME, f"is larger than {LARGEST >> 20} MB", "check that it is a plan")
            try:
                return Plan.from_toml(data.decode("utf-8-sig"), _PIPED_NAME)
            except UnicodeDecodeError:
                raise Refusal(
                    _PIPED_NAME, "is not UTF-8 text", "hand over a plan, as svgfit plan show prints it"
                ) from None
        if self.path is not None:
            return Plan.read(self.path)
        for number, text in enumerate(self.steps, 1):
            try:
                parse_do(text, number)
            except Refusal as refusal:
                from svgfit.app.slips import step_meant

                meant = step_meant(text, registry) if registry is not None and "=" not in text else None
                if meant is None:
                    raise
                raise Refusal(refusal.where, refusal.what, f"did you mean {meant}?") from None
        return Plan.from_steps(*self.steps, ends=self.ends)


def read_scale(text: str, context: click.Context | None = None) -> float:
    """Read user units an inch: a number above nothing; a usage error for anything else."""
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0 < number < math.inf:
        what = f"--scale {text} is not a number of units of the drawing in an inch; write for example --scale 96"
        raise click.UsageError(what, context)
    return number


def _scale(context: click.Context, option: click.Parameter, value: str | None) -> float | None:
    return None if value is None else read_scale(value, context)


def _pages(context: click.Context, option: click.Parameter, value: str | None) -> tuple[int, int] | None:
    if value is None:
        return None
    columns, _, rows = value.casefold().replace("×", "x").partition("x")
    if not (columns.isdecimal() and rows.isdecimal() and 0 < int(columns) <= 1000 and 0 < int(rows) <= 1000):
        what = f"--pages {value} is not columns x rows; write for example --pages 4x8 for 4 pages across and 8 down"
        raise click.UsageError(what, context)
    return int(columns), int(rows)


def _page_overlap(context: click.Context, option: click.Parameter, value: str | None) -> float | None:
    if value is None:
        return None
    from svgfit.model.length import parse_length

    try:
        found = parse_length(value)
    except (ValueError, Refusal):
        found = -1.0
    if not 0 <= found < 1000:
        raise click.UsageError(
            f"--page-overlap {value} is no length; write for example --page-overlap '10 mm'", context
        )
    return found


def _step_timeout(context: click.Context, option: click.Parameter, value: str) -> float | None:
    try:
        number = float(value.removesuffix("s"))
    except ValueError:
        number = math.nan
    if not 0 <= number <= 86400:
        what = (
            f"--step-timeout {value} is not a number of seconds; write for example --step-timeout 300, or 0 for never"
        )
        raise click.UsageError(what, context)
    return number or None


_DEBUG = (
    click.option("--debug", is_flag=True, expose_value=False, help="Show a traceback with an error."),
    click.option("--quiet", is_flag=True, help="Leave out warnings and summaries."),
)
_LOADING = (
    click.option("--plugins", metavar="DIR", multiple=True, help="A folder of plug-ins; may be repeated."),
    click.option("--without", metavar="NAME", multiple=True, help="Switch a plug-in off; may be repeated."),
    click.option("--no-plugins", is_flag=True, help="Load no plug-ins but svgfit's own."),
    click.option(
        "--step-timeout",
        metavar="SECONDS",
        default=f"{STEP_TIMEOUT:g}",
        callback=_step_timeout,
        help="End the program where a plug-in takes longer; 0: never [60].",
    ),
)
_PLUGINS = (
    *_LOADING,
    click.option(
        "--convention",
        metavar="FILE",
        help="The file that says which layers are what [svgfit.toml beside the drawings].",
    ),
    click.option("--maker", metavar="NAME", help="The svgfit.toml that svgfit convention --keep NAME has kept."),
)
_READING = (
    click.option(
        "--from", "start", type=click.Choice(["drawn", "adjusted"]), default="drawn", help="Which outlines to take."
    ),
    click.option(
        "--scale", metavar="N", callback=_scale, help="Units of the drawing in an inch, where it does not say."
    ),
    click.option("--pages", metavar="4x8", callback=_pages, help="Columns x rows of a PDF's pages [found out]."),
    click.option(
        "--page-overlap",
        metavar="LENGTH",
        callback=_page_overlap,
        help="By how much a PDF's pages overlap [found out].",
    ),
    click.option("--size", metavar="SIZE", help="One size of a nest [all]."),
    click.option("--sizes", metavar="LIST", help="Some sizes of a nest, such as 10,12,14; or all."),
    click.option(
        "--unit", type=click.Choice(["in", "mm", "cm"]), help="Unit of what is printed and drawn [as svgfit.toml says]."
    ),
    click.option("--both-units", is_flag=True, help="Write the other unit beside each length."),
    click.option("--decimals", is_flag=True, help="Write inches with their decimal too."),
)

_PLAN = (
    click.option(
        "--plan", "plan_path", metavar="PLAN", help="A plan: a TOML file of [[step]] tables; - reads it from a pipe."
    ),
    click.option(
        "--do", "steps", metavar="STEP", multiple=True, help='A step, "OPERATION key=value ..."; may be repeated.'
    ),
    click.option(
        "--ends",
        metavar="ENDS",
        multiple=True,
        help="Figures to reach, the amounts left to svgfit: \"cap-height='6 in' cap-ease='1 in'\"; may be repeated.",
    ),
    click.option("-o", "--output", metavar="OUT", help="The file to write; for several drawings, the folder."),
    click.option("--discard-edits", is_flag=True, help="Replace layers of ours that were edited since."),
)


def _apply(options: Sequence[Callable[[Any], Any]], function: Command) -> Command:
    for option in reversed(options):
        function = option(function)
    return function


def makers_folder() -> str:
    """Give the folder, the person's own, where conventions are kept by their makers' names."""
    return os.path.join(click.get_app_dir("svgfit"), "makers")


def _convention(path: str | None, maker: str | None) -> str | None:
    """Choose the convention's file: the one named, or the one that is kept for a maker."""
    if maker is None:
        return path
    if path is not None:
        raise click.UsageError("--convention and --maker exclude each other; leave one out")
    from svgfit.app.proposing import Makers

    return Makers(makers_folder()).find(maker)


def _plugin_options(
    plugins: tuple[str, ...],
    without: tuple[str, ...],
    convention: str | None,
    quiet: bool,
    no_plugins: bool,
    step_timeout: float | None,
) -> PluginOptions:
    """Collect what commands are told of plug-ins; a usage error for folders of plug-ins that are not to be loaded."""
    if no_plugins and plugins:
        raise click.UsageError("--plugins and --no-plugins exclude each other; leave one out")
    return PluginOptions(plugins, without, convention, quiet, no_plugins, step_timeout)


def loading_options(function: Command) -> Command:
    """Add the options of a command that loads plug-ins but reads no convention; it is handed them as ``shared``."""

    @wraps(function)
    def collected(
        *,
        plugins: tuple[str, ...],
        without: tuple[str, ...],
        quiet: bool,
        no_plugins: bool,
        step_timeout: float | None,
        **rest: Any,
    ) -> int:
        return function(shared=_plugin_options(plugins, without, None, quiet, no_plugins, step_timeout), **rest)

    return _apply((*_LOADING, *_DEBUG), collected)


def plugin_options(function: Command) -> Command:
    """Add the options of commands that load plug-ins; the command is handed them as ``shared``."""

    @wraps(function)
    def collected(
        *,
        plugins: tuple[str, ...],
        without: tuple[str, ...],
        convention: str | None,
        maker: str | None,
        quiet: bool,
        no_plugins: bool,
        step_timeout: float | None,
        **rest: Any,
    ) -> int:
        convention = _convention(convention, maker)
        shared = _plugin_options(plugins, without, convention, quiet, no_plugins, step_timeout)
        return function(shared=shared, **rest)

    return _apply((*_PLUGINS, *_DEBUG), collected)


def drawing_options(function: Command) -> Command:
    """Add the options of commands that read drawings; the command is handed them as ``drawing``."""

    @wraps(function)
    def collected(
        *,
        start: str,
        scale: float | None,
        pages: tuple[int, int] | None,
        page_overlap: float | None,
        size: str | None,
        sizes: str | None,
        unit: str | None,
        both_units: bool,
        decimals: bool,
        plugins: tuple[str, ...],
        without: tuple[str, ...],
        convention: str | None,
        maker: str | None,
        quiet: bool,
        no_plugins: bool,
        step_timeout: float | None,
        **rest: Any,
    ) -> int:
        if size and sizes:
            raise click.UsageError("--size and --sizes exclude each other; put every size into --sizes, such as 10,12")
        convention = _convention(convention, maker)
        shared = _plugin_options(plugins, without, convention, quiet, no_plugins, step_timeout)
        from svgfit.cli.console import speak_in
        from svgfit.model.length import Units
        from svgfit.model.vocabulary import Unit

        speak_in(Units(Unit(unit or Unit.IN), both_units, decimals))
        options = DrawingOptions(
            start == "adjusted", scale, size, sizes, unit, shared, both_units, decimals, pages, page_overlap
        )
        return function(drawing=options, **rest)

    return _apply((*_READING, *_PLUGINS, *_DEBUG), collected)


def plan_options(function: Command) -> Command:
    """Add the options of commands that do a plan; the command is handed them as ``plan``."""

    @wraps(function)
    def collected(
        *,
        plan_path: str | None,
        steps: tuple[str, ...],
        ends: tuple[str, ...],
        output: str | None,
        discard_edits: bool,
        **rest: Any,
    ) -> int:
        return function(plan=PlanOptions(plan_path, steps, ends, output, discard_edits), **rest)

    return _apply(_PLAN, collected)


def files_argument(function: Command) -> Command:
    """Add the drawings."""
    return click.argument("files", metavar="FILE...", nargs=-1, required=True)(function)
