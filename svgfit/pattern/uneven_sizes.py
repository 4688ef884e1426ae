"""Edges that don't grow with their sizes as the others do: a doubt where the stitch line was drawn from a cut line. mm.

Where a curve is tighter than its allowance is wide, a cut line does not hold the whole stitch line; what is drawn from
it may look right and be wrong. The sizes beside it show that.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.model.length import both_ways
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import DrawnLine
from svgfit.rules.plausible import AT_END, FEWEST_SIZES, UNEVEN

_BESIDE = 3
"""So many sizes on each side are looked at: steps of grading may change in the course of a nest."""


def with_uneven_edges(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Add to the pieces of a nest, drawn with cut lines alone, which edges are not as the sizes beside them say."""
    nests: dict[tuple[str, str, tuple[str, ...]], list[Piece]] = {}
    for piece in pieces:
        if piece.size is not None and DrawnLine.STITCH not in piece.drawn:
            nests.setdefault((piece.name, piece.kind, tuple(edge.name for edge in piece.edges)), []).append(piece)
    doubts: dict[int, list[str]] = {}
    for (_, _, edges), nest in nests.items():
        if len(nest) < FEWEST_SIZES:
            continue
        ordered = _by_size(nest)
        for number, name in enumerate(edges):
            lengths = [piece.edges[number].curve.length(1e-3) for piece in ordered]
            for k, expected in _odd_ones(lengths).items():
                what = f"{name}: it is {both_ways(lengths[k])} long, where the sizes beside it would have it "
                doubts.setdefault(id(ordered[k]), []).append(
                    f"{what}{both_ways(expected)}; hold the stitch line against theirs, or draw it"
                )
    return tuple(
        replace(piece, guessed=(*piece.guessed, *found), unsure=(*piece.unsure, *found))
        if (found := doubts.get(id(piece)))
        else piece
        for piece in pieces
    )


def _by_size(nest: Sequence[Piece]) -> list[Piece]:
    """Put one piece's sizes in order: by number where all are numbers, else by what they enclose."""
    if all(piece.size and piece.size.isdecimal() for piece in nest):
        return sorted(nest, key=lambda piece: int(piece.size or 0))
    return sorted(nest, key=lambda piece: abs(piece.outline().area()))


def _odd_ones(lengths: Sequence[float]) -> dict[int, float]:
    """Find the lengths that are not as those beside them say, the oddest first, and what these say; by their place.

    The smallest and the largest size have others on one side only: they must be off by ``AT_END`` times as much.
    """
    odd: dict[int, float] = {}
    while len(lengths) - len(odd) >= FEWEST_SIZES:
        rest = [k for k in range(len(lengths)) if k not in odd]
        expected = {k: _expected(lengths, k, rest) for k in rest}

        def oddness(k: int, rest: Sequence[int] = rest, expected: Mapping[int, float] = expected) -> float:
            return abs(lengths[k] - expected[k]) / (UNEVEN if rest[0] < k < rest[-1] else UNEVEN * AT_END)

        oddest = max(rest, key=oddness)
        if oddness(oddest) <= 1:
            break
        odd[oddest] = expected[oddest]
    return odd


def _expected(lengths: Sequence[float], k: int, rest: Sequence[int]) -> float:
    """Say what the lengths beside it, of the ``rest``, make of one: on the line of the medians through them.

    The slope is the median of the slopes between all pairs (Theil and Sen; from memory), so that one odd size among
    them counts for little. Too few beside it say nothing.
    """
    beside = [n for n in rest if n != k and abs(n - k) <= _BESIDE]
    if len(beside) < _BESIDE:
        return lengths[k]
    slope = float(np.median([(lengths[b] - lengths[a]) / (b - a) for a, b in itertools.combinations(beside, 2)]))
    return slope * k + float(np.median([lengths[n] - slope * n for n in beside]))
