"""The checks that need no plan: whether what is sewn together is equally long. On the stitch line, darts closed, mm."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.fitting.armhole import cap_and_armhole
from svgfit.fitting.sewn import sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.report import Check
from svgfit.model.vocabulary import Status
from svgfit.rules.matching import CAREFUL, WORKABLE

TOLERANCE = CAREFUL
"""How far two edges sewn together may differ, in mm, where nothing else is asked for."""


def seam_checks(
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    units: Units,
    *,
    tolerance: float = TOLERANCE,
    workable: float | None = None,
) -> tuple[Check, ...]:
    """Check that every seam whose pieces are all here matches.

    Equal edges: ``pass`` within ``tolerance`` mm, ``warn`` within ``workable`` (not given: as usual, or twice
    another ``tolerance``), else ``fail``.
    A cap in its armhole is meant to be longer: ``pass``, with its ease; ``warn`` where it is shorter, or longer by more
    than 3 in.
    """
    if workable is None:
        workable = WORKABLE if tolerance == TOLERANCE else 2 * tolerance
    by_name = {piece.name: piece for piece in pieces}
    return tuple(
        _check(seam, by_name, units, tolerance, workable)
        for seam in seams
        if all(name in by_name for name, _ in (*seam.a, *seam.b))
    )


def _check(seam: Seam, by_name: dict[str, Piece], units: Units, tolerance: float, workable: float) -> Check:
    from svgfit.rules.ease import GATHERED  # here because adjusting needs no table of styles

    first, second = spell_edges(seam.a), spell_edges(seam.b)
    a, b = (sum(sewn_length(by_name[name], edge) for name, edge in side) for side in (seam.a, seam.b))
    values = {"a": a, "b": b, "difference": a - b, "tolerance": tolerance}
    name = f"seam {first}"
    lengths = f"{units.length(a)} and {units.length(b)}"
    found = cap_and_armhole(seam)
    if found is not None:
        cap, armhole = (spell_edges(edges) for edges in found)
        ease = a - b if found[0] == seam.a else b - a
        amount = units.length(abs(ease))
        if ease < -tolerance:
            return Check(name, Status.WARN, f"{cap} is {amount} shorter than {armhole}: {lengths}", values)
        if ease > GATHERED:
            words = f"{cap} has {amount} of ease over {armhole}, much unless it is to be gathered: {lengths}"
            return Check(name, Status.WARN, words, values)
        return Check(name, Status.PASS, f"{cap} has {amount} of ease over {armhole}: {lengths}", values)
    away = abs(a - b)
    if away <= tolerance:
        equal = "are equally long" if away < 0.005 else f"match within {units.plain(tolerance)}"
        return Check(name, Status.PASS, f"{first} and {second} {equal}: {lengths}", values)
    status = "warn" if away <= workable else "fail"
    longer, shorter = (first, second) if a > b else (second, first)
    return Check(name, status, f"{longer} is {units.length(away)} longer than {shorter}: {lengths}", values)
