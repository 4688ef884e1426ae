"""Steps run on a garment as svgfit runs them: through the border of plug-ins, under their guard, all measured."""

from __future__ import annotations

import os
import re
from collections.abc import Generator, Iterable, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

from msgspec import Struct
from msgspec.structs import replace

from svgfit.app.run_plan import run_plan
from svgfit.model.piece import Piece
from svgfit.model.plan import Plan
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Check, Opening
from svgfit.model.run import Measured, SizeRun
from svgfit.plugin.registry import Registry
from svgfit.plugin.sources import Source, find_sources, folder_sources, module_source, one_of_each
from svgfit.plugin.watchdog import STEP_TIMEOUT, Overdue
from svgfit.testing.garments import Garment, find_piece

Plugin = str | Path | ModuleType
"""A folder of plug-ins, one plug-in's file, or a module that is imported."""


class Ran(Struct, frozen=True):
    """What came of steps."""

    run: SizeRun
    """All of it, as svgfit has it."""

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces after the last step."""
        return self.run.after

    @property
    def got(self) -> Mapping[str, float]:
        """What the last step says it got, by name; lengths in mm."""
        return self.run.steps[-1].got if self.run.steps else {}

    @property
    def checks(self) -> tuple[Check, ...]:
        """The verdicts of all steps."""
        return self.run.checks

    @property
    def warnings(self) -> tuple[str, ...]:
        """What a person is to mind."""
        return self.run.warnings

    @property
    def openings(self) -> tuple[Opening, ...]:
        """The openings that steps left and trued."""
        return self.run.openings

    @property
    def annotations(self) -> tuple[Annotation, ...]:
        """The working lines of all steps."""
        return self.run.annotations

    def piece(self, name: str) -> Piece:
        """Return a piece after the last step; refuses with the names there are."""
        return find_piece(self.pieces, name)

    def before(self, piece: str, measurement: str) -> float:
        """Return a measurement of a piece before the first step, mm (or in its own unit)."""
        return _measured(self.run.measured_before, piece, measurement)

    def measured(self, piece: str, measurement: str) -> float:
        """Return a measurement of a piece after the last step, mm (or in its own unit)."""
        return _measured(self.run.measured_after, piece, measurement)

    def gained(self, piece: str, measurement: str) -> float:
        """Return by how much a measurement grew, mm (or in its own unit)."""
        return self.measured(piece, measurement) - self.before(piece, measurement)


def _measured(found: Measured, piece: str, name: str) -> float:
    names = {one.name: one.value for one in found.get(piece, ())}
    if name not in names:
        raise Refusal(piece, f"no measurement {name!r}", f"there are: {', '.join(names) or 'none'}")
    return names[name]


def run(
    steps: str | Iterable[str],
    garment: Garment | Piece,
    *,
    plugins: Plugin | Iterable[Plugin] = (),
    step_timeout: float | None = STEP_TIMEOUT,
) -> Ran:
    """Run a step (or several), written as behind ``--do``, on a garment or on one piece.

    ``plugins``: those of the stock and of installed packages are there anyway. ``step_timeout``: seconds that a plug-in
    may take for a step (None: for ever). Raises Refusal as svgfit would, TimeoutError, with the line at which it was,
    for a plug-in that does not come back.
    """
    written = (steps,) if isinstance(steps, str) else tuple(steps)
    whole = Garment((garment,)) if isinstance(garment, Piece) else garment
    with in_time():
        registry = registry_of(plugins, step_timeout)
        return Ran(run_plan(whole.pieces, whole.seams, Plan.from_steps(*written), registry, registry.measurers()))


@contextmanager
def in_time() -> Generator[None]:
    """Raise TimeoutError for a plug-in within that does not come back."""
    try:
        yield
    except Overdue as overdue:
        raise TimeoutError(str(overdue)) from None


def refused(
    steps: str | Iterable[str],
    garment: Garment | Piece,
    match: str = "",
    *,
    plugins: Plugin | Iterable[Plugin] = (),
) -> str:
    """Assert that a step is refused, as a refusal is to be: one line that says what is wrong and what to do.

    ``match``: a regular expression that is to be found in the line. Returns the line. A plug-in's own exception is no
    refusal: it fails the test.
    """
    __tracebackhide__ = True
    found = _refusal(steps, garment, plugins)
    assert found is not None, f"{steps!r} was not refused"
    fault = fault_of(found)
    assert fault is None, f"an exception, not a refusal: {fault}"
    line = found.line()
    assert "\n" not in line, f"a refusal is one line: {line!r}"
    assert found.todo, f"the refusal does not say what to do: {line}"
    assert re.search(match, line), f"{match!r} is not in: {line}"
    return line


def _refusal(
    steps: str | Iterable[str], garment: Garment | Piece, plugins: Plugin | Iterable[Plugin]
) -> Refusal | None:
    try:
        run(steps, garment, plugins=plugins)
    except Refusal as refusal:
        return refusal
    return None


def fault_of(refusal: Refusal) -> BaseException | None:
    """Find the fault of a plug-in that a refusal tells of; None where it is a refusal of its own."""
    from svgfit.plugin.guard import PluginFault

    seen: list[BaseException | None] = [None]
    waiting: list[BaseException | None] = [refusal]
    while waiting:  # a refusal that is raised again may be its own cause; what it came from is its context then
        cause = waiting.pop()
        if isinstance(cause, PluginFault):
            return cause
        if cause is not None and cause not in seen:
            seen.append(cause)
            waiting += [cause.__cause__, cause.__context__]
    return None


def registry_of(plugins: Plugin | Iterable[Plugin], step_timeout: float | None = STEP_TIMEOUT) -> Registry:
    """Find the stock's, the installed packages' and these plug-ins; one that is found twice counts once.

    One that does not come back within ``step_timeout`` seconds is interrupted: see ``in_time``.
    """
    given = (plugins,) if isinstance(plugins, (str, Path, ModuleType)) else tuple(plugins)
    folders = [str(one) for one in given if not _is_single(one)]
    sources = list(find_sources(folders))
    for one in (one for one in given if _is_single(one)):
        found = sources_of(one)
        given_itself = {source.where for source in found if source.module}
        sources = [source for source in sources if source.where not in given_itself]
        there = {os.path.realpath(source.code) for source in sources if source.code}
        sources += [source for source in found if not source.code or os.path.realpath(source.code) not in there]
    sources = [replace(source, instead_of="") for source in one_of_each(sources)]  # in tests nothing is to be said
    return Registry(sources, step_timeout=step_timeout, interrupts=True)


def _is_single(plugin: Plugin) -> bool:
    return isinstance(plugin, ModuleType) or str(plugin).endswith(".py")


def sources_of(plugin: Plugin) -> tuple[Source, ...]:
    """Say what is found of a folder, a file or a module. Raises Refusal where a folder can't be read."""
    if isinstance(plugin, ModuleType):
        return (module_source(plugin),)
    path = str(plugin)
    if not path.endswith(".py"):
        return folder_sources(path, f"folder {path}")
    folder = os.path.dirname(path) or "."
    inside = (source for source in folder_sources(folder, f"folder {folder}") if source.file)
    return tuple(source for source in inside if source.file and os.path.basename(source.file) == os.path.basename(path))
