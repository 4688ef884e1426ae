"""Measures the neckline all round, across front and back, and checks whether a head goes through it.

A measurement of the garment and a check of the garment, in one file. For whatever is pulled on: where the neckline is
narrower than a head, an opening is needed, and the check warns. Head girth: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

from svgfit.plugin import Check, Checker, GarmentMeasurer, Measurement, Subject, both_ways, hookimpl, sewing

HEAD = 600.0
"""The girth of a large head with its hair, mm."""


def neckline_round(subject: Subject) -> float | None:
    """Add up the necklines, each piece being half of its part; None where front or back is not there."""
    pieces = [piece for piece in subject.pieces if piece.kind in ("front", "back") and piece.has_edge("neckline")]
    if {piece.kind for piece in pieces} != {"front", "back"} or len(pieces) != 2:
        return None
    return 2 * sum(sewing.sewn_length(piece, "neckline") for piece in pieces)


def measure(subject: Subject) -> Iterable[Measurement]:
    """Add a line to the table of the garment."""
    length = neckline_round(subject)
    return [] if length is None else [Measurement("neckline round", length)]


def check(subject: Subject) -> Iterable[Check]:
    """Warn where the neckline is narrower than a head."""
    length = neckline_round(subject)
    if length is None:
        return []
    what = f"the neckline is {both_ways(length)} round, a head {both_ways(HEAD)}"
    if length < HEAD:
        return [Check("over the head", "warn", f"{what}: it needs an opening", {"neckline round": length})]
    return [Check("over the head", "pass", f"{what}: it goes through", {"neckline round": length})]


@hookimpl
def svgfit_measurers() -> Iterable[GarmentMeasurer]:
    """Called once, when svgfit loads this file."""
    return [GarmentMeasurer(name="neckline round", measure=measure)]


@hookimpl
def svgfit_checks() -> Iterable[Checker]:
    """Called once too."""
    return [Checker(name="over the head", of="garment", check=check)]
