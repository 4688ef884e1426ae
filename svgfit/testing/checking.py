"""A plug-in looked at as a whole: whether it loads, and whether what it supplies holds to the hooks' contracts."""

from __future__ import annotations

import io
import os
from collections.abc import Iterable, Iterator
from contextlib import redirect_stdout
from pathlib import Path

from svgfit.model.length import Units
from svgfit.model.operation import Operation, Parameter
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import ParameterKind
from svgfit.plugin.loading import Plugin as Loaded
from svgfit.plugin.sources import Source
from svgfit.testing.authors_slips import authors_slips
from svgfit.testing.garments import Garment, garment, sleeves, smock
from svgfit.testing.hook_checks import Trial, hook_faults, prints
from svgfit.testing.running import Plugin, Ran, fault_of, in_time, registry_of, run, sources_of

_TRIED = {
    ParameterKind.LENGTH: "6 mm",
    ParameterKind.NUMBER: "0.5",
    ParameterKind.ANGLE: "3 deg",
    ParameterKind.COUNT: "2",
    ParameterKind.YES_NO: "yes",
    ParameterKind.EDGE: "hem",
    ParameterKind.EDGES: "Sleeve/hem",
    ParameterKind.PIECES: "Sleeve",
}
"""Values tried where no steps are given, by kind."""


def check_plugin(
    plugin: Plugin, *, steps: Iterable[str] = (), on: Garment | None = None, files: Iterable[str | Path] = ()
) -> None:
    """Assert that a plug-in loads, and that all that it supplies keeps to the hooks' contracts.

    Operations are run twice on the constructed garment, on sleeves of other shapes and on the smock (or only ``on``
    the garment given): no exception, the same outcome each time, nothing changed in place, nothing printed, teaching
    words for what was changed. ``steps``: how they are to be asked, as behind ``--do``; these must not be refused on
    the first garment. Without steps for an operation it is asked with small values, and may refuse them. It must
    change something on one of the garments that it fits, or say so itself (a check, a line, a warning), and look at
    every value that it is given.

    Every other hook is asked likewise: dialects on drawings, recognisers on pieces as drawn (the smock's, and a band
    named after each of their kinds), measurers and checks on every piece, seam and garment of theirs, and where pieces
    are missing; finders of seams likewise; rules and kinds of lines beside all others there are; writers on the smock.
    ``files``: drawings, or files of other kinds, for dialects and readers that know no others. Raises AssertionError
    that lists all that is wrong, a line each; TimeoutError where the plug-in does not come back.
    """
    __tracebackhide__ = True
    with in_time():
        faults = _faults(plugin, tuple(steps), on, tuple(map(str, files)))
    assert not faults, "\n".join(dict.fromkeys(faults))


def _faults(plugin: Plugin, steps: tuple[str, ...], on: Garment | None, files: tuple[str, ...]) -> list[str]:
    registry = registry_of(plugin)
    mine = {_home(source) for source in sources_of(plugin)}
    loaded = [one for one in registry.all() if _home(one.source) in mine]
    faults = [f"{one.source.name}: {one.status}" for one in loaded if one.status != "ok"]
    faults += [] if loaded else ["there is no plug-in"]
    garments = (on,) if on is not None else (garment(), *(Garment((piece,)) for piece in sleeves()), smock())
    tried = {one.name: _asked(one, steps) or tuple(_tried(one)) for each in loaded for one in each.operations}
    printed = io.StringIO()
    with redirect_stdout(printed):
        for one in loaded:
            faults += _operations(one, plugin, steps, garments)
        faults += hook_faults(Trial(loaded=loaded, registry=registry, garments=garments, files=files))
        faults += authors_slips(loaded, registry, tried, garments)
    if text := printed.getvalue().strip():
        faults.append(f"it prints: {text.splitlines()[0]}")
    return [*faults, *registry.warnings]


def _home(source: Source) -> str:
    """Say where a plug-in really lies, by whichever path it was found."""
    return os.path.realpath(source.code) if source.code else source.where


def _operations(loaded: Loaded, plugin: Plugin, steps: tuple[str, ...], garments: tuple[Garment, ...]) -> Iterator[str]:
    for operation in loaded.operations:
        asked = _asked(operation, steps)
        for k, each in enumerate(garments):
            for step in asked or _tried(operation):
                yield from _run_twice(step, each, plugin, operation, must=bool(asked) and k == 0)


def _asked(operation: Operation, steps: tuple[str, ...]) -> tuple[str, ...]:
    """Pick the steps that ask for an operation."""
    return tuple(step for step in steps if step.split()[0] == operation.name)


def _tried(operation: Operation) -> Iterator[str]:
    """Make a step for each way to ask an operation, with small values; none where edges must be named."""
    needed = [name for group in operation.one_of for name in group]
    by_name = {parameter.name: parameter for parameter in operation.parameters}
    firsts = [group[0] for group in operation.one_of]
    for name in needed or [""]:
        group = next((group for group in operation.one_of if name in group), ())
        given = [by_name[one] for one in (name, *(first for first in firsts if first not in group)) if one]
        values = [f"{one.name}='{value}'" for one in given if (value := _value(one)) is not None]
        if len(values) == len(given):
            yield " ".join((operation.name, *values))


def _value(parameter: Parameter) -> str | None:
    if parameter.choices:
        return parameter.choices[0]
    return next((value for kind, value in _TRIED.items() if kind == parameter.kind), None)


def _run_twice(step: str, each: Garment, plugin: Plugin, operation: Operation, *, must: bool) -> Iterator[str]:
    before = prints(each.pieces)
    found: list[Ran] = []
    for _ in range(2):
        try:
            found.append(run(step, each, plugins=plugin))
        except Refusal as refusal:
            if must or fault_of(refusal) is not None:
                yield f"{step}: {refusal.line()}"
            break
    if prints(each.pieces) != before:
        yield f"{step}: it changes in place what it is given"
    if len(found) == 2 and _outcome(found[0]) != _outcome(found[1]):
        yield f"{step}: run twice, it does not give the same"
    if found and operation.instructions.words is not None:
        _teach(found[0], operation)


def _teach(found: Ran, operation: Operation) -> None:
    """Ask for the teaching words of each piece that a step changed; the registry is warned of what is wrong."""
    from svgfit.render.pdf.step_geometry import change_of, facts_of  # here because few operations have words

    tell = operation.instructions.words
    before = {piece.key: piece for piece in found.run.before}
    for stage in found.run.stages if tell is not None else ():
        for piece in stage.pieces:
            old = before.get(piece.key)
            if tell is not None and old is not None and old is not piece:
                tell(facts_of(change_of(old, piece, stage, Units(), operation.instructions), operation.summary))


def _outcome(found: Ran) -> object:
    return prints(found.pieces), dict(found.got), [check.message for check in found.checks], found.warnings
