"""Plug-ins' functions that look at pieces, each put under its guard: what breaks is a warning that names it."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from svgfit.model.checker import Checker, GarmentMeasurer, LoadedGarmentMeasurer, SeamFinder, Subject
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.raw_piece import LoadedMeasurer, Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.report import Check, Measurement
from svgfit.plugin import sound_results
from svgfit.plugin.guard import Guard, PluginFault

Warn = Callable[[str], None]


def checker(record: Checker, guard: Guard, warn: Warn) -> Checker:
    """Return the checker, its verdicts named as the plug-in's; where it breaks it has none, and a warning says so."""

    def check(subject: Subject) -> tuple[Check, ...]:
        try:
            found = guard.run(lambda: sound_results.checked(record.check(subject)))
        except (PluginFault, Refusal) as fault:
            warn(f"{place(subject)}: {named(fault, guard)}; its check {record.name!r} is not done")
            return ()
        return tuple(replace(one, name=f"plug-in {guard.name}: {one.name}") for one in found)

    return replace(record, check=check)


def measurer(record: Measurer, guard: Guard, warn: Warn) -> LoadedMeasurer:
    """Return the measurer; a figure that can't be is left out, where it breaks all are, and warnings say so."""

    def measure(piece: Piece) -> tuple[Measurement, ...]:
        try:
            good, bad = guard.run(lambda: sound_results.measured(record.measure(piece)))
        except (PluginFault, Refusal) as fault:
            warn(f"{piece.where}: {named(fault, guard)}; its figures are left out")
            return ()
        for why in bad:
            warn(f"{piece.where}: {PluginFault(guard.name, guard.where, why)}")
        return good

    return LoadedMeasurer(record.name, record.kinds, measure, guard.who, guard.name)


def garment_measurer(record: GarmentMeasurer, guard: Guard, warn: Warn) -> LoadedGarmentMeasurer:
    """Return the measurer; a figure that can't be is left out, where it breaks all are, and warnings say so."""

    def measure(subject: Subject) -> tuple[Measurement, ...]:
        try:
            good, bad = guard.run(lambda: sound_results.measured(record.measure(subject)))
        except (PluginFault, Refusal) as fault:
            warn(f"{place(subject)}: {named(fault, guard)}; its figures are left out")
            return ()
        for why in bad:
            warn(f"{place(subject)}: {PluginFault(guard.name, guard.where, why)}")
        return good

    return LoadedGarmentMeasurer(name=record.name, measure=measure, who=guard.who, switch=guard.name)


def seam_finder(record: SeamFinder, guard: Guard, warn: Warn) -> SeamFinder:
    """Return the finder, named with its plug-in; where it breaks it finds nothing, and a warning says so."""

    def find(pieces: tuple[Piece, ...]) -> tuple[Seam, ...]:
        try:
            return guard.run(lambda: sound_results.seams(record.find(pieces), pieces))
        except (PluginFault, Refusal) as fault:
            warn(f"{named(fault, guard)}; its seams are left out")
            return ()

    return replace(record, name=guard.who, find=find)


def place(subject: Subject) -> str:
    """Say for messages what is looked at."""
    if subject.piece is not None:
        return subject.piece.where
    if subject.seam is not None:
        return f"seam {spell_edges(subject.seam.a)}"
    return f"the garment ({subject.size})" if subject.size else "the garment"


def named(fault: PluginFault | Refusal, guard: Guard) -> str:
    """Write what stopped a plug-in, with its name and file, whichever of the two it was."""
    return str(fault) if isinstance(fault, PluginFault) else f"{guard.who}: {fault}"
