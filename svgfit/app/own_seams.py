"""Seams beside those that are stated or plain anyway: which steps sewed, and which plug-ins find between pieces."""

from __future__ import annotations

from collections.abc import Sequence

from svgfit.model.checker import SeamFinder
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam, spell_edges
from svgfit.pattern.layer_patterns import name_key
from svgfit.pattern.seam_map import SeamMap

Edges = frozenset[tuple[str, str]]


def with_own_seams(known: SeamMap, pieces: Sequence[Piece], finders: Sequence[SeamFinder]) -> SeamMap:
    """Add the seams that plug-ins find at edges of which nothing is known.

    A seam that is known already holds; where two plug-ins contradict each other neither does. Both are warned of, with
    both sides.
    """
    named: dict[str, Piece] = {}
    for piece in pieces:  # the sizes of a nest are sewn alike
        named.setdefault(name_key(piece.name), piece)
    once = tuple(named.values())
    found = [(finder.name, seam) for finder in finders for seam in finder.find(once)]
    kept: list[tuple[str, Seam]] = []
    warnings: list[str] = []
    out: set[int] = set()
    for who, seam in found:
        against = next((one for one in known.seams if _edges(one) & _edges(seam)), None)
        if against is not None:
            if _rows(against) != _rows(seam):
                by = "svgfit" if against.guessed else "svgfit.toml"
                warnings.append(f"{_sewn(seam)} by {who}, but {_sewn(against)} by {by}, which holds")
            continue
        others = [n for n, (_, one) in enumerate(kept) if _edges(one) & _edges(seam)]
        if any(_rows(kept[n][1]) == _rows(seam) for n in others):
            continue
        for n in others:
            both = f"{_sewn(seam)} by {who}, but {_sewn(kept[n][1])} by {kept[n][0]}"
            warnings.append(f"{both}: neither is taken; say it in svgfit.toml as [[seams]]")
        kept.append((who, seam))
        out |= {*others, len(kept) - 1} if others else set()
    seams = tuple(seam for n, (_, seam) in enumerate(kept) if n not in out)
    return SeamMap((*known.seams, *seams), (*known.warnings, *warnings))


def with_kept_seams(known: SeamMap, kept: Sequence[Seam], pieces: Sequence[Piece]) -> SeamMap:
    """Add the seams that steps of earlier runs sewed; one that is known anyway holds as it is known.

    One of a piece or edge that is not there (any more) is left out with a warning.
    """
    there: dict[str, set[str]] = {}
    for piece in pieces:
        there.setdefault(piece.name, set()).update(edge.name for edge in piece.edges)
    stated = {_rows(seam) for seam in known.seams}
    added: list[Seam] = []
    warnings: list[str] = []
    for seam in kept:
        missing = [f"{name}/{edge}" for name, edge in (*seam.a, *seam.b) if edge not in there.get(name, ())]
        if missing:
            sewn = f"{spell_edges(seam.a)} and {spell_edges(seam.b)}"
            gone = " and ".join(dict.fromkeys(missing))
            warnings.append(f"the seam of {sewn}, which a step sewed, is left out: {gone} is not among what was read")
        elif _rows(seam) not in stated:
            added.append(seam)
    return SeamMap((*known.seams, *added), (*known.warnings, *warnings))


def _edges(seam: Seam) -> Edges:
    return frozenset((*seam.a, *seam.b))


def _rows(seam: Seam) -> frozenset[Edges]:
    return frozenset((frozenset(seam.a), frozenset(seam.b)))


def _sewn(seam: Seam) -> str:
    return f"{spell_edges(seam.a)} is sewn to {spell_edges(seam.b)}"
