"""The seam map: which edges are sewn to which. From the convention's ``[[seams]]``, else inferred where it is plain."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, SeamEase, spell_edges
from svgfit.model.vocabulary import EdgeName
from svgfit.model.wording import closest
from svgfit.pattern.convention import Convention, SeamRule
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.seam_ease import Row, eased_row


class SeamMap(Struct, frozen=True):
    """Seams, and warnings of what is not known."""

    seams: tuple[Seam, ...]
    warnings: tuple[str, ...] = ()


def seam_map(pieces: Sequence[Piece], convention: Convention) -> SeamMap:
    """Map the seams between these pieces (all sizes of a nest are sewn alike).

    Where the convention has ``[[seams]]`` they hold and nothing is inferred, unless each of them is there to state an
    ease: then all seams of other edges are inferred too. An edge that is not there, or a piece's name that is nearly
    that of one read, raises Refusal; a seam with a piece that is not among those read (one file of several) is left out
    with a warning. What nobody states is inferred (svgfit.pattern.seam_inference); a choice between several is not
    guessed but warned of.
    """
    stated = _stated(pieces, convention.seams) if convention.seams else SeamMap(())
    if any(rule.ease is None for rule in convention.seams):
        return stated
    from svgfit.pattern.seam_inference import infer_seams  # only where the convention is silent

    inferred, warnings = infer_seams(pieces)
    taken = {edge for seam in stated.seams for edge in (*seam.a, *seam.b)}
    others = (seam for seam in inferred if taken.isdisjoint((*seam.a, *seam.b)))
    return SeamMap((*stated.seams, *others), (*stated.warnings, *warnings))


# -- as the convention says ------------------------------------------------------------------------------------------


def seams_of_size(pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[Seam, ...]:
    """Leave out the seams of edges that a piece lacks in the one size of ``pieces``, since it could not be known there.

    The seam map holds for all sizes; which piece was not known, its doubt says. What a step sewed in some sizes holds
    in these.
    """
    edges = {piece.name: {edge.name for edge in piece.edges} for piece in pieces}
    doubtful = {piece.name for piece in pieces if piece.doubt is not None}
    return tuple(
        seam
        for seam in seams
        if not any(
            (seam.by_step or name in doubtful) and name in edges and edge not in edges[name]
            for name, edge in (*seam.a, *seam.b)
        )
    )


def _stated(pieces: Sequence[Piece], rules: Sequence[SeamRule]) -> SeamMap:
    seams: list[Seam] = []
    warnings: list[str] = []
    by_name: dict[str, Piece] = {}
    for piece in pieces:
        by_name.setdefault(name_key(piece.name), piece)
    for rule in rules:
        missing = _missing(rule, by_name)
        if missing:
            warnings.append(f"the seam of {_spelt(rule)} is left out: {missing} is not among the pieces read")
            continue
        sides = [
            tuple(_edge(rule, side, index, by_name) for index in range(len(edges)))
            for side, edges in (("a", rule.a), ("b", rule.b))
        ]
        seams.append(Seam(sides[0], sides[1], ease=_ease(rule, sides[0], sides[1], pieces)))
    return SeamMap(tuple(seams), tuple(warnings))


def _ease(rule: SeamRule, a: Row, b: Row, pieces: Sequence[Piece]) -> SeamEase | None:
    """Find out which row the stated ease belongs to; refuse where that is neither said nor plain."""
    if rule.ease is None:
        return None
    plain = eased_row(a, b, pieces)
    cap = plain if plain and plain[0][1] == EdgeName.CAP else None
    if not rule.eased:
        if plain is None:
            todo = f'add the longer one: eased = "{spell_edges(a)}" or eased = "{spell_edges(b)}"'
            raise rule.ease_refusal("ease", f"which of {_spelt(rule)} is eased is not said", todo)
        return SeamEase(plain, rule.ease)
    named = {_key(edge) for edge in rule.eased}
    for row in (a, b):
        if named == {_key(edge) for edge in row} and (cap is None or row == cap):
            return SeamEase(row, rule.ease)
    can_be = [spell_edges(cap)] if cap else [spell_edges(a), spell_edges(b)]
    what = f"{spell_edges(rule.eased)} is not the edge that can be eased here"
    raise rule.ease_refusal("eased", what, f"write {' or '.join(can_be)}")


def _key(edge: tuple[str, str]) -> tuple[str, str]:
    return name_key(edge[0]), name_key(edge[1])


def _missing(rule: SeamRule, by_name: dict[str, Piece]) -> str | None:
    """Name a piece of the seam that was not read; refuse one that looks like a slip of the pen."""
    for side, edges in (("a", rule.a), ("b", rule.b)):
        for index, (name, _) in enumerate(edges):
            if name_key(name) in by_name:
                continue
            near = closest(name_key(name), by_name, 0.8)
            if near:
                names = ", ".join(piece.name for piece in by_name.values())
                todo = f"did you mean {by_name[near].name!r}? the pieces are: {names}"
                raise rule.refusal(side, index, f"there is no piece {name!r}", todo)
            return name
    return None


def _edge(rule: SeamRule, side: str, index: int, by_name: dict[str, Piece]) -> tuple[str, str]:
    name, edge = (rule.a if side == "a" else rule.b)[index]
    piece = by_name[name_key(name)]
    for known in piece.edges:
        if name_key(known.name) == name_key(edge):
            return piece.name, known.name
    names = ", ".join(known.name for known in piece.edges)
    raise rule.refusal(side, index, f"piece {piece.name!r} has no edge {edge!r}", f"its edges are: {names}")


def _spelt(rule: SeamRule) -> str:
    return f"{spell_edges(rule.a)} and {spell_edges(rule.b)}"
