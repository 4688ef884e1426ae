"""A plug-in looked at as a whole: whether it loads, and whether what it supplies holds to the hooks' contracts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from svgfit.geometry.curve import Curve
from svgfit.model.operation import Operation, Parameter
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import MeasureUnit, ParameterKind
from svgfit.plugin.loading import Plugin as Loaded
from svgfit.plugin.registry import Registry
from svgfit.testing.garments import Garment, garment, sleeves, smock
from svgfit.testing.running import Plugin, Ran, fault_of, registry_of, run, sources_of

_TRIED = {ParameterKind.LENGTH: "6 mm", ParameterKind.NUMBER: "0.5"}
"""Values tried where no steps are given, by kind."""


def check_plugin(plugin: Plugin, *, steps: Iterable[str] = (), on: Garment | None = None) -> None:
    """Assert that a plug-in loads, and that what it supplies keeps to its contract.

    Operations are run twice on the constructed garment, on sleeves of other shapes and on the smock (or only ``on``
    the garment given): no exception, the same outcome each time, nothing changed in place. ``steps``: how they are to
    be asked, as behind ``--do``; these must not be refused on the first garment. Without steps for an operation it is
    asked with small values, and may refuse them. Measurers give finite figures of known units on every piece of their
    kinds. Raises AssertionError that lists all that is wrong.
    """
    registry = registry_of(plugin)
    mine = {source.where for source in sources_of(plugin)}
    loaded = [one for one in registry.all() if one.source.where in mine]
    faults = [f"{one.source.name}: {one.status}" for one in loaded if one.status != "ok"]
    faults += [] if loaded else ["there is no plug-in"]
    garments = (on,) if on is not None else (garment(), *(Garment((piece,)) for piece in sleeves()), smock())
    for one in loaded:
        faults += _operations(one, plugin, tuple(steps), garments)
    faults += _measurers(loaded, registry, garments)
    faults += registry.warnings
    assert not faults, "\n".join(dict.fromkeys(faults))


def _operations(loaded: Loaded, plugin: Plugin, steps: tuple[str, ...], garments: tuple[Garment, ...]) -> Iterator[str]:
    for operation in loaded.operations:
        asked = [step for step in steps if step.split()[0] == operation.name]
        for k, each in enumerate(garments):
            for step in asked or _tried(operation):
                yield from _run_twice(step, each, plugin, must=bool(asked) and k == 0)


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


def _run_twice(step: str, each: Garment, plugin: Plugin, *, must: bool) -> Iterator[str]:
    before = _prints(each.pieces)
    found: list[Ran] = []
    for _ in range(2):
        try:
            found.append(run(step, each, plugins=plugin))
        except Refusal as refusal:
            if must or fault_of(refusal) is not None:
                yield f"{step}: {refusal.line()}"
            break
    if _prints(each.pieces) != before:
        yield f"{step}: it changes in place what it is given"
    if len(found) == 2 and _outcome(found[0]) != _outcome(found[1]):
        yield f"{step}: run twice, it does not give the same"


def _prints(pieces: Iterable[Piece]) -> list[tuple[str, bytes]]:
    """Take down what the pieces hold, to tell whether anything was changed in them."""
    return [
        (piece.title, b"".join(curve.segments.tobytes() for curve in _curves(piece)) + repr(piece.landmarks).encode())
        for piece in pieces
    ]


def _curves(piece: Piece) -> Iterator[Curve]:
    yield from (edge.curve for edge in piece.edges)
    yield from (curve for mark in piece.marks for curve in mark.curves)


def _outcome(found: Ran) -> object:
    return _prints(found.pieces), dict(found.got), [check.message for check in found.checks], found.warnings


def _measurers(loaded: list[Loaded], registry: Registry, garments: tuple[Garment, ...]) -> Iterator[str]:
    mine = {measurer.name for one in loaded for measurer in one.measurers}
    pieces = [piece for each in garments for piece in each.pieces]
    for measurer in registry.measurers() if mine else ():
        if measurer.name not in mine:
            continue
        for piece in (piece for piece in pieces if piece.kind in measurer.kinds):
            for found in measurer.measure(piece):
                if not math.isfinite(found.value):
                    yield f"{measurer.name}: {found.name} of {piece.title} is {found.value}"
                if found.unit not in tuple(MeasureUnit):
                    yield f"{measurer.name}: {found.name} has the unit {found.unit!r}, not {' or '.join(MeasureUnit)}"
