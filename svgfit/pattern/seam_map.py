"""The seam map: which edges are sewn to which. From the convention's ``[[seams]]``, else inferred where it is plain."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.model.wording import closest
from svgfit.pattern.convention import Convention, SeamRule
from svgfit.pattern.layer_patterns import name_key


class SeamMap(Struct, frozen=True):
    """Seams, and warnings of what is not known."""

    seams: tuple[Seam, ...]
    warnings: tuple[str, ...] = ()


def seam_map(pieces: Sequence[Piece], convention: Convention) -> SeamMap:
    """Map the seams between these pieces (all sizes of a nest are sewn alike).

    Where the convention has ``[[seams]]`` they hold and nothing is inferred: an edge that is not there, or a piece's
    name that is nearly that of one read, raises Refusal; a seam with a piece that is not among those read (one file of
    several) is left out with a warning. Otherwise they are inferred (svgfit.pattern.seam_inference); a choice between
    several is not guessed but warned of.
    """
    if convention.seams:
        return _stated(pieces, convention.seams)
    from svgfit.pattern.seam_inference import infer_seams  # only where the convention is silent

    return SeamMap(*infer_seams(pieces))


# -- as the convention says ------------------------------------------------------------------------------------------


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
        seams.append(Seam(sides[0], sides[1]))
    return SeamMap(tuple(seams), tuple(warnings))


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
