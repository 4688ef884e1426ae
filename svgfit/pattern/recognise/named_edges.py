"""Edges of a piece that no recogniser knows, named by a person: a yoke, a panel, a cuff, a facing. Page mm.

Three ways, to be mixed as is handy. On the landmarks layer a small shape beside an edge, named ``edge NAME``; in the
convention under ``[pieces.NAME.edges]`` a number as ``inspect`` shows it (``armhole = "edge 2"``, several in a row as a
list), or two landmarks on the outline (``armhole = ["front corner", "back corner"]``: the edge runs from the one to the
other). What is not named keeps its number.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.model.piece import Edge
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import spell
from svgfit.model.vocabulary import EdgeName
from svgfit.pattern.corners import find_sides, join_sides
from svgfit.pattern.outline import Outline
from svgfit.rules.drawing_habits import FARTHEST_LABEL

NAMES_EDGE = "edge "
"""A landmark whose name begins so names the edge that it lies beside."""
_NUMBER = r"edge (\d+)"
_BEGINS_AT: dict[str, tuple[str, ...]] = {
    EdgeName.ARMHOLE: (EdgeName.FRONT_SEAM,),
    EdgeName.FRONT_SEAM: (EdgeName.ARMHOLE,),
    EdgeName.BACK_SEAM: (EdgeName.ARMHOLE,),
    EdgeName.SIDE_SEAM: (EdgeName.ARMHOLE,),
}
"""Where an edge begins, by the edge that it meets there: an armhole at the front, the others at the armhole."""


def names_edges(drawn: DrawnPiece) -> bool:
    """Say whether a person has named edges of this piece."""
    return bool(drawn.edge_names) or any(name.startswith(NAMES_EDGE) for name, _ in drawn.landmarks)


def named_sides(drawn: DrawnPiece, outline: Outline) -> list[Edge]:
    """Part the loop between corners, in order, each side numbered or with the name that a person gave it.

    Refuses (Refusal) a name for an edge or landmark that is not there, and two names for one stretch.
    """
    loop = outline.loop
    corners = find_sides(loop, outline.bridges)
    if not names_edges(drawn):
        return [Edge(f"edge {k + 1}", side) for k, side in enumerate(corners)]
    known = dict(drawn.landmarks)
    used = [at for _, parts in drawn.edge_names for part in parts if (at := known.get(part)) is not None]
    sides = find_sides(loop, outline.bridges, extra=used)
    numbers = [_number(side, corners) for side in sides]
    taken: dict[int, str] = {}
    ways: dict[str, bool] = {}
    for name, wanted in _wanted(drawn, corners, numbers, sides, used):
        for k in wanted:
            if k in taken and taken[k] != name:
                what = f"one stretch of its outline is named both {taken[k]!r} and {name!r}"
                raise Refusal(drawn.where, what, "name it once; svgfit inspect shows the edges")
            taken[k] = name
        _, parts = next((one for one in drawn.edge_names if one[0] == name), ("", ()))
        if len(parts) == 2 and parts[0] in known and parts[1] in known:
            ways[name] = abs(sides[wanted[0]].start - known[parts[0]]) > abs(sides[wanted[-1]].end - known[parts[0]])
    return with_directions(_grouped(drawn, sides, numbers, taken), ways)


def with_directions(edges: Sequence[Edge], known: dict[str, bool] | None = None) -> list[Edge]:
    """Turn the edges (in order round the loop) to begin at the front or underarm end where neighbours tell.

    ``known``: whether an edge runs backwards, where that is settled already.
    """
    done: list[Edge] = []
    for k, edge in enumerate(edges):
        first = _BEGINS_AT.get(edge.name, ())
        backwards = edges[(k + 1) % len(edges)].name in first and edges[k - 1].name not in first
        done.append(Edge(edge.name, edge.curve, edge.allowance, edge.fold, (known or {}).get(edge.name, backwards)))
    return done


def _number(side: Curve, corners: Sequence[Curve]) -> int:
    """Find which side between corners (counted from 0) a stretch of the outline belongs to."""
    middle = side.point(len(side) / 2)
    return min(range(len(corners)), key=lambda k: corners[k].nearest(middle)[1])


def _wanted(
    drawn: DrawnPiece, corners: Sequence[Curve], numbers: Sequence[int], sides: Sequence[Curve], used: Sequence[complex]
) -> list[tuple[str, list[int]]]:
    """Find the stretches that each name stands for."""
    found: list[tuple[str, list[int]]] = []
    for name, at in drawn.landmarks:
        if name.startswith(NAMES_EDGE):
            away, number = min((side.nearest(at)[1], k) for k, side in enumerate(corners))
            if away > FARTHEST_LABEL:
                what = f"landmark {name!r} lies {both_ways(away)} from its outline"
                raise Refusal(drawn.where, what, "put it beside the edge that it names")
            found.append((name.removeprefix(NAMES_EDGE).strip(), [k for k, own in enumerate(numbers) if own == number]))
    for name, parts in drawn.edge_names:
        counted = [re.fullmatch(_NUMBER, part) for part in parts]
        if all(counted):
            wanted = {int(one[1]) - 1 for one in counted if one}
            if not wanted <= set(range(len(corners))):
                raise _unknown(drawn, name, f"it has {len(corners)} edges, edge 1 to edge {len(corners)}")
            found.append((name, [k for k, own in enumerate(numbers) if own in wanted]))
        else:
            found.append((name, _between(drawn, name, parts, sides, used)))
    return found


def _between(
    drawn: DrawnPiece, name: str, parts: Sequence[str], sides: Sequence[Curve], used: Sequence[complex]
) -> list[int]:
    """Find the stretches between two landmarks: of the two ways round the one past fewer, else the shorter."""
    known = dict(drawn.landmarks)
    strange = [part for part in parts if part not in known]
    if strange or len(parts) != 2:
        named = ", ".join(name for name, _ in drawn.landmarks) or "none"
        what = f"there is no landmark {strange[0]!r}" if strange else "an edge runs between two landmarks"
        raise _unknown(drawn, name, f"{what}; its landmarks are: {named}")
    n = len(sides)
    a, b = (min(range(n), key=lambda k, at=known[part]: abs(sides[k].start - at)) for part in parts)
    if a == b:
        raise _unknown(drawn, name, "the two landmarks lie on one place of the outline")
    runs = [[(start + k) % n for k in range((end - start) % n)] for start, end in ((a, b), (b, a))]

    def rank(run: list[int]) -> tuple[int, float]:
        inner = [sides[k].start for k in run[1:]]
        passed = sum(1 for at in used if any(abs(at - point) < 0.5 for point in inner))
        return passed, sum(sides[k].length(1e-2) for k in run)

    return min(runs, key=rank)


def _grouped(drawn: DrawnPiece, sides: Sequence[Curve], numbers: Sequence[int], taken: dict[int, str]) -> list[Edge]:
    """Join neighbouring stretches of one name (or of one side without a name), in order round the loop."""
    names = [taken.get(k, f"edge {numbers[k] + 1}") for k in range(len(sides))]
    n = len(sides)
    first = next((k for k in range(n) if names[k] != names[k - 1]), 0)
    runs: list[tuple[str, list[Curve]]] = []
    for k in (*range(first, n), *range(first)):
        if runs and runs[-1][0] == names[k]:
            runs[-1][1].append(sides[k])
        else:
            runs.append((names[k], [sides[k]]))
    edges: list[Edge] = []
    for name, parts in runs:
        count = sum(1 for edge in edges if edge.name == name or edge.name.startswith(f"{name} part "))
        if count and not re.fullmatch(_NUMBER, name):
            raise Refusal(
                drawn.where, f"two stretches apart are named {name!r}", "an edge is one stretch: use two names"
            )
        edges.append(Edge(f"{name} part {count + 1}" if count else name, join_sides(parts)))
    return edges


def _unknown(drawn: DrawnPiece, name: str, what: str) -> Refusal:
    return Refusal(
        f"{spell(('pieces', drawn.name, 'edges', name))} in the convention", what, "svgfit inspect shows them"
    )
