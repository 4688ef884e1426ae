"""``svgfit watch``: a plan done again each time a drawing is saved, so that saving in the vector program is enough."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

import click

from svgfit.cli.options import (
    PIPED,
    DrawingOptions,
    PlanOptions,
    PluginOptions,
    drawing_options,
    files_argument,
    plan_options,
)

if TYPE_CHECKING:
    from svgfit.app.adjust import Adjusted
    from svgfit.plugin.loading import OwnPlugins

_SETTLES = 0.3
"""Seconds that a file which is being replaced may be away before that counts."""
_LOOKS = 1000
"""Milliseconds after which the files are looked at even where the system told of no change."""
_FEW = 4
"""More steps than these are counted, not listed."""

_EXAMPLE = """\b
For example:
  svgfit watch smock.svg --plan fitting.toml -o smock-fitted.svg"""


@click.command(epilog=_EXAMPLE)
@files_argument
@plan_options
@click.option("--force", is_flag=True, help="Replace an existing file that is not svgfit's own, once.")
@drawing_options
def command(files: tuple[str, ...], plan: PlanOptions, force: bool, drawing: DrawingOptions) -> int:
    """Run a plan again each time a drawing is saved.

    Begins with a run, then waits; the plan, the plans that it includes, svgfit.toml and the files of plug-ins, new ones
    too, are watched. Each run says in one line what it did or why not, and goes on. Open the written
    file in a second window. Ctrl-C ends it.
    """
    plan.check()
    if plan.output is None:
        raise click.UsageError("there is no place to write to; give -o OUT")
    if plan.path == PIPED:
        raise click.UsageError("a plan from a pipe can't be watched; save it as a file")
    from svgfit.app.prepared_steps import files_asked
    from svgfit.cli.console import complain, say, spoken, warn
    from svgfit.model.refusal import Refusal

    _keep_no_bytecode()
    plans = _plans(plan.path)
    _refuse_missing((*files, *plans[:1], *filter(None, (drawing.shared.convention,))))
    inputs = (*files, *plans)
    written = _Written(files, inputs, plan.output, force=force)
    known = frozenset[str]()
    first = True
    named_files = (*files, *plans[:1], *(f"the plug-ins in {folder}" for folder in drawing.shared.plugins))
    one = "one" if len(named_files) > 1 else "it"
    say(f"watching {', '.join(named_files)}; each time {one} is saved {plan.output} is written again")
    named: dict[str, None] = {}  # files that steps name as values, as of the last run

    def looked_at() -> tuple[str, ...]:
        own = _plugins(drawing.shared)
        mine = (*own.files, *own.folders)
        return (*_watched(files, (*_plans(plan.path), *named), drawing.shared.convention), *mine)

    for _ in _changes(looked_at):
        try:
            _plugins(drawing.shared).forget()
            done = _once(files, plan, written, drawing)
        except Refusal as refusal:
            if first and plan.path is None and refusal.where.startswith(("--do", "--ends")):
                raise  # no saving of a file mends what was typed
            complain(f"{_now()} {spoken(refusal).line()}{written.earlier(refusal.where)}")
            continue
        finally:
            first = False
        named.clear()
        named.update(dict.fromkeys(files_asked(done.run.plan, done.run.context.setup.registry)))
        say(_line(done))
        warn((text for text in done.report.warnings if text not in known), quiet=drawing.quiet)
        known = frozenset(done.report.warnings)
    return 0


# -- what is watched -------------------------------------------------------------------------------------------------


def _plans(path: str | None) -> tuple[str, ...]:
    """List the plan's file and those that it includes, as far as that can be told."""
    from svgfit.model.plan_file import files_of

    return () if path is None else files_of(path)


def _refuse_missing(paths: Iterable[str]) -> None:
    """Raise Refusal for what was named and is not there."""
    from svgfit.model.refusal import Refusal

    for path in paths:
        if not os.path.isfile(path):
            raise Refusal(path, "there is no such file", "check the name and the folder")


def _watched(files: Sequence[str], plans: Sequence[str], convention: str | None) -> tuple[str, ...]:
    """List every path whose change matters; also a convention beside a drawing that is not there yet."""
    from svgfit.pattern.convention import FILE_NAME

    beside = [convention] if convention else [os.path.join(os.path.dirname(file), FILE_NAME) for file in files]
    given = [*files, *plans, *beside]
    return tuple(dict.fromkeys(path for name in given for path in (os.path.abspath(name), os.path.realpath(name))))


def _keep_no_bytecode() -> None:
    """Have Python keep no bytecode: it is dated to the second, and two savings may be nearer."""
    import sys

    sys.dont_write_bytecode = True


def _plugins(shared: PluginOptions) -> OwnPlugins:
    """Find the plug-ins there are now; only their folders where one, or the convention, can't be read yet."""
    from svgfit.model.refusal import Refusal
    from svgfit.plugin.loading import OwnPlugins

    try:
        setup = shared.setup()
    except Refusal:
        return OwnPlugins((), shared.plugins)
    own = () if shared.no_plugins else filter(None, (setup.convention.plugins,))
    return OwnPlugins(setup.registry.sources, (*shared.plugins, *own))


def _changes(watched: Callable[[], tuple[str, ...]]) -> Iterator[None]:
    """Yield at the start and whenever one of the files has changed, however it was saved.

    ``watched`` lists the files; it is asked again at each change, since a plan may include others by then. How they are
    is found out before the run, so that what is saved during it is a change.
    """
    while True:
        paths = watched()
        states = dict(_states(paths))
        yield None
        paths = watched()  # a run may have told of more
        _wait(paths, tuple(states.get(path, state) for path, state in _states(paths)))


def _states(paths: Sequence[str]) -> Iterable[tuple[str, object]]:
    return zip(paths, _state(paths), strict=True)


def _wait(watched: Sequence[str], last: tuple[object, ...]) -> None:
    """Wait until one of the files is another than ``last`` says.

    The folders are watched, since editors save a file by putting another in its place; and what counts is whether the
    file itself is another, so that nothing is missed that was saved during a run.
    """
    from watchfiles import watch

    if _settled(watched, last) != last:
        return
    places = {place for path in watched for place in (path, os.path.dirname(path)) if os.path.isdir(place)}
    names = frozenset(watched)
    for _ in watch(
        *sorted(places),
        watch_filter=lambda _, path: path in names or os.path.dirname(path) in names,
        recursive=False,
        rust_timeout=_LOOKS,
        yield_on_timeout=True,
        raise_interrupt=True,
    ):
        if _settled(watched, last) != last:
            return


def _settled(watched: Sequence[str], last: tuple[object, ...]) -> tuple[object, ...]:
    """Find what the files are now; one that is away may be on its way back."""
    from time import sleep

    there = _state(watched)
    if any(now is None and before is not None for now, before in zip(there, last, strict=True)):
        sleep(_SETTLES)
        there = _state(watched)
    return there


def _state(paths: Iterable[str]) -> tuple[object, ...]:
    """Find for each file what tells one saving from the next, for a folder what lies in it; None for what is away."""
    found: list[object] = []
    for path in paths:
        try:
            stat = os.stat(path)
            is_folder = os.path.isdir(path)
            found.append(_python_in(path) if is_folder else (stat.st_ino, stat.st_mtime_ns, stat.st_size))
        except OSError:
            found.append(None)
    return tuple(found)


def _python_in(folder: str) -> tuple[str, ...]:
    """Name the Python files and the folders in a folder of plug-ins: what editors put there for a moment is none."""
    with os.scandir(folder) as there:
        return tuple(
            sorted(
                one.name
                for one in there
                if not one.name.startswith((".", "__pycache__")) and (one.name.endswith(".py") or one.is_dir())
            )
        )


# -- what is written -------------------------------------------------------------------------------------------------


class _Written:
    """The files that are written, and that nobody else's is replaced."""

    def __init__(self, files: Sequence[str], inputs: Sequence[str], output: str, *, force: bool) -> None:
        """Raise Refusal for a place that can't be written to, or that holds what is not svgfit's own."""
        from svgfit.app.output_paths import output_paths, refuse_same_inputs
        from svgfit.svg import check_output

        refuse_same_inputs(files)
        self.output, self._force = output, force
        self.paths = output_paths(files, output, force=True)
        self._digests: dict[str, str] = {}
        for path in self.paths:
            if len(files) == 1 or os.path.isdir(output):
                check_output(path, inputs=inputs, force=True)
        self.check()

    def check(self) -> None:
        """Raise Refusal where a file is there that is neither as the last run left it nor as svgfit writes them."""
        from svgfit.model.refusal import Refusal

        for path in self.paths:
            if not os.path.lexists(path) or (self._force and path not in self._digests):
                continue
            if path in self._digests:
                if _digest(path) != self._digests[path]:
                    what = "was changed since svgfit wrote it, and is left alone"
                    raise Refusal(path, what, "save it under another name and delete this one")
            elif not _is_ours(path):
                what = "exists already, and is not as svgfit wrote it"
                raise Refusal(path, what, "give another name, or --force to replace it")

    def earlier(self, where: str) -> str:
        """Say what became of the files after a run that was refused; nothing where one of them is the reason."""
        there = [path for path in self.paths if os.path.lexists(path)]
        if where in self.paths:
            return ""
        if not there:
            return "; nothing is written yet"
        return f"; {', '.join(there)} {'is' if len(there) == 1 else 'are'} still as written before"

    def note(self) -> None:
        """Remember what the last run left."""
        self._digests = {path: _digest(path) for path in self.paths}


def _digest(path: str) -> str:
    from hashlib import sha256

    try:
        with open(path, "rb") as stream:
            return sha256(stream.read()).hexdigest()
    except OSError:
        return ""


def _is_ours(path: str) -> bool:
    from svgfit.model.refusal import Refusal
    from svgfit.svg import as_written, load_source

    try:
        return as_written(load_source(path))
    except Refusal:
        return False


# -- a run -----------------------------------------------------------------------------------------------------------


def _once(files: tuple[str, ...], plan: PlanOptions, written: _Written, drawing: DrawingOptions) -> Adjusted:
    from svgfit.app.adjust import Writing, adjust

    written.check()
    writing = Writing(written.output, force=True, discard_edits=plan.discard_edits)
    session = drawing.session(files)
    done = adjust(session, partial(plan.read, session.registry), writing)
    written.note()
    return done


def _line(done: Adjusted) -> str:
    """Say in one line: when, each step with what it got, checks and ends that failed, warnings, what was written."""
    from svgfit.model.vocabulary import Status
    from svgfit.render.format_values import value_text

    report, units = done.report, done.run.context.units
    steps: list[str] = []
    for step in report.steps:
        head = f"{step.do} {step.piece}" if step.piece else step.do
        wanted = [key.replace("-", " ") for key in step.asked]
        # What was asked for by name first, such as the ease; else what the operation itself puts first.
        names = sorted(step.got, key=lambda name: not any(word in name for word in wanted))
        first = [f"{name} {value_text(step.got[name], step.unit_of(name), units)}" for name in names[:1]]
        steps.append(": ".join((head, *first)))
    parts = steps if len(steps) <= _FEW else [f"{len(steps)} steps done"]
    failed = [check.title for check in report.checks if check.status == Status.FAIL]
    parts += [f"FAILED: {', '.join(failed)}"] if failed else []
    parts += [f"{len(report.warnings)} warning{'s' * (len(report.warnings) > 1)}"] if report.warnings else []
    return f"{_now()} {'; '.join(parts)}; written: {', '.join(done.paths)}"


def _now() -> str:
    """Write the time of day."""
    from time import localtime, strftime

    return strftime("%H:%M:%S", localtime())
