"""The checks that need no plan: whether what is sewn together is equally long. On the stitch line, darts closed, mm."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.fitting.armhole import Edges, cap_and_armhole
from svgfit.fitting.sewn import sewn_length
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.report import Check
from svgfit.model.vocabulary import Status
from svgfit.pattern.seam_ease import ExpectedEase, expected_ease
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
    another ``tolerance``), else ``fail``; ``warn`` too where so much is usually eased in there. Where the seam map
    states an ease: ``pass`` within its least and most, ``warn`` within ``workable`` of them, else ``fail``.
    A cap in its armhole is meant to be longer: ``pass``, with its ease; ``warn`` where it is shorter, or longer by more
    than 3 in, or where it has not the ease that is stated.
    """
    if workable is None:
        workable = WORKABLE if tolerance == TOLERANCE else 2 * tolerance
    by_name = {piece.name: piece for piece in pieces}
    return tuple(
        _check(seam, by_name, SeamLimits(tolerance=tolerance, workable=workable), units)
        for seam in seams
        if all(name in by_name for name, _ in (*seam.a, *seam.b))
    )


class SeamLimits(Struct, frozen=True, kw_only=True):
    """How far two rows that are to be equally long may differ, mm."""

    tolerance: float
    workable: float


def _check(seam: Seam, by_name: dict[str, Piece], limits: SeamLimits, units: Units) -> Check:
    a, b = (sum(sewn_length(by_name[name], edge) for name, edge in side) for side in (seam.a, seam.b))
    values = {"a": a, "b": b, "difference": a - b, "tolerance": limits.tolerance}
    expected = expected_ease(seam.a, seam.b, tuple(by_name.values()), (seam,))
    if expected is not None and expected.stated:
        values |= {"least": expected.least, "most": expected.most}
    found = cap_and_armhole(seam)
    if found is not None:
        ease = a - b if found[0] == seam.a else b - a
        status, words = _cap_words(found, ease, expected, limits, units)
    elif expected is not None and expected.stated:
        status, words = _eased_words(seam, a - b, expected, limits, units)
    else:
        status, words = _equal_words(seam, a - b, expected, limits, units)
    return Check(f"seam {spell_edges(seam.a)}", status, f"{words}: {units.length(a)} and {units.length(b)}", values)


def _cap_words(
    found: tuple[Edges, Edges], ease: float, expected: ExpectedEase | None, limits: SeamLimits, units: Units
) -> tuple[str, str]:
    """Judge a cap's ease, and say what was found."""
    from svgfit.rules.ease import GATHERED  # here because adjusting needs no table of styles

    cap, armhole = (spell_edges(edges) for edges in found)
    amount = units.length(abs(ease))
    if ease < -limits.tolerance:
        return Status.WARN, f"{cap} is {amount} shorter than {armhole}"
    words = f"{cap} has {amount} of ease over {armhole}"
    if expected is not None:
        low, high = expected.amounts
        inside = max(low - ease, ease - high) <= _slack(expected, limits)
        return Status.PASS if inside else Status.WARN, f"{words}, and {_stated(expected, units)}"
    if ease > GATHERED:
        return Status.WARN, f"{words}, much unless it is to be gathered"
    return Status.PASS, words


def _eased_words(
    seam: Seam, difference: float, expected: ExpectedEase, limits: SeamLimits, units: Units
) -> tuple[str, str]:
    """Judge a seam of which a person stated by how much the one row is eased, and say what was found."""
    eased, onto = (seam.a, seam.b) if expected.first_is_eased else (seam.b, seam.a)
    more = difference if expected.first_is_eased else -difference
    off, slack = expected.off(difference), _slack(expected, limits)
    status = Status.PASS if off <= slack else Status.WARN if off <= max(slack, limits.workable) else Status.FAIL
    longer = f"{units.length(abs(more))} {'longer' if more >= 0 else 'shorter'} than {spell_edges(onto)}"
    asked = _stated(expected, units)
    return status, f"{spell_edges(eased)} is {longer}{', eased in' if status == Status.PASS else ''}; {asked}"


def _equal_words(
    seam: Seam, difference: float, usual: ExpectedEase | None, limits: SeamLimits, units: Units
) -> tuple[str, str]:
    """Judge two rows that are to be equally long, unless what they differ by is usually eased in there."""
    first, second = spell_edges(seam.a), spell_edges(seam.b)
    away = abs(difference)
    if away <= limits.tolerance:
        equal = "are equally long" if away < 0.005 else f"match within {units.plain(limits.tolerance)}"
        return Status.PASS, f"{first} and {second} {equal}"
    longer, shorter = (first, second) if difference > 0 else (second, first)
    words = f"{longer} is {units.length(away)} longer than {shorter}"
    if usual is not None and usual.off(difference) == 0.0:
        limit = units.plain(usual.amounts[1])
        return Status.WARN, f"{words}, usual there up to {limit} and eased in; if it is meant, state it as ease"
    return Status.WARN if away <= limits.workable else Status.FAIL, words


def _slack(expected: ExpectedEase, limits: SeamLimits) -> float:
    """Give what a stated ease may be missed by and still pass: a range says itself how far it goes."""
    return limits.tolerance if expected.least == expected.most else 0.01


def _stated(expected: ExpectedEase, units: Units) -> str:
    """Say which ease is stated, and by whose rule where it is a plug-in's."""
    return f"{stated_range(expected, units)} is {f'what {expected.by} says' if expected.by else 'stated'}"


def stated_range(expected: ExpectedEase, units: Units) -> str:
    """Write a stated ease: ``1/8 in to 3/8 in``."""
    return " to ".join(dict.fromkeys(units.plain(amount) for amount in expected.amounts))
