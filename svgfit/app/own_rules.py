"""What plug-ins say of the rules of the trade: it holds where neither the drawing nor svgfit.toml says anything.

Whatever rests on such a rule says whose it is, and where svgfit.toml holds over one both are named. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.length import both_ways
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, SeamEase, spell_edges
from svgfit.model.raw_piece import DrawnPiece, NotchCounts
from svgfit.pattern.allowance import allowance_of
from svgfit.pattern.convention import Convention
from svgfit.pattern.layer_rows import list_names
from svgfit.pattern.seam_map import SeamMap
from svgfit.plugin.registry import Registry
from svgfit.rules.matching import MatchingRule

if TYPE_CHECKING:
    from svgfit.rules.allowances import AllowanceRule
    from svgfit.rules.ease import KindRow, SeamEaseRule
    from svgfit.rules.notches import NotchRule


class OwnRules(Struct, frozen=True, kw_only=True):
    """The rules that plug-ins give, each with its plug-in's name and file."""

    allowances: tuple[tuple[str, AllowanceRule], ...] = ()
    seam_ease: tuple[tuple[str, SeamEaseRule], ...] = ()
    matching: tuple[str, MatchingRule] | None = None
    notches: tuple[str, NotchRule] | None = None


def own_rules(registry: Registry) -> OwnRules:
    """Import and sort what plug-ins give. Raises Refusal where two give the same rule, with both names."""
    found = registry.trade_rules()
    if not found:
        return OwnRules()
    from svgfit.rules.allowances import AllowanceRule  # here because few plug-ins speak of rules
    from svgfit.rules.ease import SeamEaseRule
    from svgfit.rules.notches import NotchRule

    return OwnRules(
        allowances=tuple((who, rule) for who, rule in found if isinstance(rule, AllowanceRule)),
        seam_ease=tuple((who, rule) for who, rule in found if isinstance(rule, SeamEaseRule)),
        matching=next(((who, rule) for who, rule in found if isinstance(rule, MatchingRule)), None),
        notches=next(((who, rule) for who, rule in found if isinstance(rule, NotchRule)), None),
    )


# -- how far seams may differ ----------------------------------------------------------------------------------------


def with_own_matching(convention: Convention, rules: OwnRules, registry: Registry) -> Convention:
    """Have seams held to a plug-in's limits, unless the convention's ``[walk]`` says any: then both are named."""
    if rules.matching is None:
        return convention
    (who, rule), walk = rules.matching, convention.walk
    if walk.file is not None and {"careful", "workable"} & walk.file.table.get("walk", {}).keys():
        if (rule.careful, rule.workable) != (walk.careful, walk.workable):
            registry.warn(f"{rule.words} by {who}, and otherwise by {convention.where}, which holds")
        return convention
    return replace(convention, walk=replace(walk, careful=rule.careful, workable=rule.workable, by=who))


def seam_limits(convention: Convention, registry: Registry) -> MatchingRule:
    """Return how far seams may differ where no walk is asked for; where a plug-in says it, the registry is warned."""
    walk = convention.walk
    if not walk.by:
        return MatchingRule()
    tell_matching(convention, registry)
    return MatchingRule(careful=walk.careful, workable=walk.workable)


def tell_matching(convention: Convention, registry: Registry) -> None:
    """Warn, where seams are held to a plug-in's limits, whose they are."""
    walk = convention.walk
    if walk.by:
        registry.warn(f"{MatchingRule(careful=walk.careful, workable=walk.workable).words}, as {walk.by} says")


# -- seam allowances, and notches ------------------------------------------------------------------------------------


def with_own_habits(pieces: Sequence[DrawnPiece], rules: OwnRules) -> tuple[DrawnPiece, ...]:
    """Give drawn pieces the seam allowances of which nothing is said, and how front and back are told by notches."""
    if not rules.allowances and rules.notches is None:
        return tuple(pieces)
    counts = None
    if rules.notches is not None:
        who, notches = rules.notches
        counts = NotchCounts(front=notches.front, back=notches.back, by=who)
    done: list[DrawnPiece] = []
    for piece in pieces:
        given = [(who, rule) for who, rule in rules.allowances if allowance_of(rule.edge, piece.allowances) is None]
        done.append(
            replace(
                piece,
                allowances={**{rule.edge: rule.width for _, rule in given}, **piece.allowances},
                by_rules={rule.edge: who for who, rule in given},
                notch_counts=counts,
            )
        )
    return tuple(done)


def told_allowances(pairs: Iterable[tuple[DrawnPiece, Piece]], rules: OwnRules, where: str) -> tuple[str, ...]:
    """Say which pieces have seam allowances by a plug-in's rule; and which rules svgfit.toml holds over.

    ``where``: the convention's file.
    """
    used: dict[str, dict[str, None]] = {}
    against: dict[str, None] = {}
    for raw, piece in pairs if rules.allowances else ():
        measured = bool(raw.stitch and raw.cut)
        for who, rule in rules.allowances:
            mine = raw.by_rules.get(rule.edge) == who
            edges = [] if measured else [edge for edge in piece.edges if _key(edge.name, raw) == rule.edge]
            if mine and any(edge.allowance == rule.width and not edge.fold for edge in edges):
                used.setdefault(f"{rule.words}, as {who} says", {}).setdefault(piece.title)
            said = allowance_of(rule.edge, raw.allowances)
            if not mine and not measured and raw.attributes is None and said not in (None, rule.width):
                against[f"{rule.words} by {who}, and {both_ways(said or 0.0)} by {where}, which holds"] = None
    return (*(f"{list_names(titles)}: {words}" for words, titles in used.items()), *against)


def _key(edge: str, raw: DrawnPiece) -> str | None:
    """Find the name by which an edge's allowance was looked up."""
    names = (edge, *(edge.rsplit(" ", k)[0] for k in range(1, edge.count(" ") + 1)), "all")
    return next((name for name in names if name in raw.allowances), None)


# -- ease of seams ---------------------------------------------------------------------------------------------------


def with_own_ease(known: SeamMap, pieces: Sequence[Piece], rules: OwnRules, where: str) -> SeamMap:
    """State the ease of seams as plug-ins' rules do, where svgfit.toml (``where``) states none; tell whose each is."""
    if not rules.seam_ease:
        return known
    kinds = {piece.name: piece.kind for piece in pieces}
    seams: list[Seam] = []
    told: list[str] = []
    for seam in known.seams:
        a, b = (tuple((kinds.get(name, ""), edge) for name, edge in row) for row in (seam.a, seam.b))
        found = next(((who, rule, row) for who, rule in rules.seam_ease if (row := _eased(rule, seam, a, b))), None)
        if found is not None:
            who, rule, row = found
            amounts = (rule.least, rule.most)
            if seam.ease is None:
                onto = seam.b if row == seam.a else seam.a
                told.append(f"{spell_edges(row)} on {spell_edges(onto)}: {rule.words}, as {who} says")
                seam = replace(seam, ease=SeamEase(row, amounts, by=who))
            elif (seam.ease.eased, seam.ease.amounts) != (row, amounts):
                told.append(f"{rule.words} by {who}, and otherwise by {where}, which holds")
        seams.append(seam)
    return SeamMap(tuple(seams), (*known.warnings, *dict.fromkeys(told)))


def _eased(rule: SeamEaseRule, seam: Seam, a: KindRow, b: KindRow) -> tuple[tuple[str, str], ...]:
    """Find the row of a seam that a rule calls the longer one; () where it is a rule of another seam."""
    pair = (set(rule.eased), set(rule.onto))
    if pair == (set(a), set(b)):
        return seam.a
    return seam.b if pair == (set(b), set(a)) else ()
