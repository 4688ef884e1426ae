"""Seam allowances: whose is how wide, the stitch line from the cut line, and what is drawn of both.

The rules of the trade that it draws by are in svgfit/rules/allowances.py. Curves in
the frame of the edges given, mm, y down.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import extend_curved, extend_straight, intersections, trim_end
from svgfit.geometry.offset import OffsetFolds, offset_curve
from svgfit.model.length import MM_PER_INCH, both_ways, range_text
from svgfit.model.piece import Dart, DrawnCut, Edge
from svgfit.model.refusal import NoPiece, Refusal
from svgfit.model.toml_file import spell
from svgfit.model.vocabulary import EdgeName
from svgfit.pattern.corners import points_along
from svgfit.pattern.cut_corners import meet_plainly, no_room, rank
from svgfit.rules.allowances import MIRRORED_AT, MIRRORED_LEAST, MIRRORED_ON, MIRRORED_TURN, ROUNDED_WITHIN, VARIES


def allowance_of(edge: str, allowances: Mapping[str, float]) -> float | None:
    """Look up an edge's allowance: its own, a wider name's ("underarm"), that of "all"; None where none is said."""
    for name in (edge, *(edge.rsplit(" ", k)[0] for k in range(1, edge.count(" ") + 1)), "all"):
        if name in allowances:
            return allowances[name]
    return None


def stitch_edges(where: str, cut: Sequence[Edge], outwards: float, *, piece: str = "*") -> tuple[Edge, ...]:
    """Draw the stitch line's edges from the cut line's: inner parallels at each allowance, trimmed at corners.

    ``outwards``: +1 where the outside lies to the right of travel, −1 where to the left. ``piece``: its name in the
    convention. Refuses an edge without an allowance, naming the convention's key for it.
    """
    for edge in cut:
        if edge.allowance is None and not edge.fold:
            raise Refusal(
                f"{where}: {edge.name}",
                "only a cut line is drawn and its seam allowance is not known",
                f"say in svgfit.toml, with your own figures: {allowance_line(piece, cut)}",
            )
    n = len(cut)
    lines: dict[int, Curve] = {}
    # Hem first, then the seams that it crosses: each cut line ends where the next one's seam, run on, cuts it.
    for k in sorted(range(n), key=lambda k: -rank(cut[k].name)):
        own = cut[k].curve
        before, after = (k - 1) % n, (k + 1) % n
        if _crossed(cut[k], cut[after]):
            own = _without_mirrored_end(own, lines[after].reverse(), cut[k], cut[after])
        if _crossed(cut[k], cut[before]):
            own = _without_mirrored_end(own.reverse(), lines[before], cut[k], cut[before]).reverse()
        lines[k] = _inner(where, replace(cut[k], curve=own), -outwards * (cut[k].allowance or 0.0))
    trimmed = [lines[k] for k in range(n)]
    for k in range(n):
        following = (k + 1) % n
        joined = meet_plainly(trimmed[k], trimmed[following])
        if joined is None:
            raise NoPiece(
                where,
                f"the stitch lines of {cut[k].name} and {cut[following].name} don't meet inside the cut line",
                "check the seam allowances in svgfit.toml, or draw the stitch line",
            )
        trimmed[k], _, trimmed[following] = joined
    return tuple(replace(edge, curve=line) for edge, line in zip(cut, _closed(trimmed), strict=True))


def _inner(where: str, edge: Edge, distance: float) -> Curve:
    try:
        return offset_curve(edge.curve, distance)
    except OffsetFolds as folded:
        raise NoPiece(*no_room(where, edge.name, abs(distance), folded.radius).parts) from folded


def _crossed(edge: Edge, by: Edge) -> bool:
    """Say whether the other edge's allowance is folded back over this one's."""
    return not edge.fold and not by.fold and rank(by.name) > rank(edge.name) and bool(by.allowance)


def _without_mirrored_end(line: Curve, seam: Curve, edge: Edge, folded: Edge) -> Curve:
    """Trim a cut line by its neighbour's mirrored allowance: up to where the neighbour's seam cuts it.

    ``line`` runs towards the corner, ``seam`` (the neighbour's stitch line) too. From there the line runs on with its
    curvature for as far as its parallel may need, since what it was beyond the seam is not drawn. One that does not
    bend there sharply has no mirrored end.
    """
    wide = (edge.allowance or 0.0) + (folded.allowance or 0.0)
    last = float(len(seam))
    near = seam.subcurve(seam.at_length(seam.length(1e-2) - 4 * wide, 1e-2), last)
    met = [t for t, _ in intersections(line, extend_straight(near, 4 * wide)) if _kinks(line, t)]
    if met and max(met) > 1e-6 and line.length_between(max(met), float(len(line)), 1e-2) < 3 * wide:
        line = trim_end(line, max(met))
    return extend_curved(line, 0.6 * (edge.allowance or 0.0))


def _kinks(line: Curve, place: float) -> bool:
    """Say whether a line bends at one node near a place, more than it does at the nodes beside that one."""
    at = line.point(place)
    nodes = np.arange(1, len(line), dtype=np.float64)
    if not len(nodes):
        return False
    turns = np.angle(line.tangents(nodes) * line.tangents(nodes, before=True).conj())
    padded = np.concatenate([np.zeros(1), turns, np.zeros(1)])
    beside = np.maximum(0, np.maximum(padded[:-2] * np.sign(turns), padded[2:] * np.sign(turns)))
    away, sharper = np.abs(line.points(nodes) - at), np.abs(turns) - beside
    sharp = (away <= MIRRORED_AT) & (sharper > MIRRORED_TURN)
    return bool((sharp | ((away <= MIRRORED_ON) & (sharper > MIRRORED_LEAST))).any())


def allowance_line(piece: str, edges: Iterable[Edge]) -> str:
    """Write a convention's line that says a piece's allowances, with figures for the edges that it has."""
    hem = ', hem = "1 in"' if any(edge.name == EdgeName.HEM for edge in edges) else ""
    return f'{spell(("pieces", piece, "seam allowance"))} = {{ all = "5/8 in"{hem} }}'


def _closed(lines: Sequence[Curve]) -> list[Curve]:
    closed: list[Curve] = []
    for k, line in enumerate(lines):
        segments = line.segments.copy()
        segments[0, 0] = lines[k - 1].end
        closed.append(Curve(segments))
    return closed


def measured_allowances(edges: Sequence[Edge], cut: Curve) -> tuple[tuple[Edge, ...], tuple[str, ...]]:
    """Measure each edge's allowance at the drawn cut line (the median of three places); the edges, and notes."""
    done: list[Edge] = []
    notes: list[str] = []
    for edge in edges:
        places = points_along(edge.curve, (0.3, 0.5, 0.7))
        widths = sorted(away for _, away in cut.nearest_each(places))
        if edge.fold:
            done.append(replace(edge, allowance=0.0))
            continue
        done.append(replace(edge, allowance=round_width(widths[1])))
        if widths[-1] - widths[0] > VARIES:
            notes.append(
                f"{edge.name}: the drawn seam allowance varies, {range_text(widths[0], widths[-1])}; "
                f"{both_ways(widths[1])} is used"
            )
    return tuple(done), tuple(notes)


def drawn_cut(line: Curve, edges: tuple[Edge, ...], darts: tuple[Dart, ...] = ()) -> DrawnCut | None:
    """Note a closed cut line, to run as the edges do, with what it is drawn beside; None where it encloses less."""
    area, within = line.area(), Curve.chain(edge.curve for edge in edges).area()
    if abs(area) < abs(within):
        return None
    return DrawnCut(line=line if area * within > 0 else line.reverse(), edges=edges, darts=darts)


def round_width(width: float) -> float:
    """Round a measured width to what a person would have set.

    Fitted cut lines lie up to 0.05 mm off, so 15.874996 mm was meant to be 5/8 in: a sixteenth of an inch or half a
    millimetre within 0.05 mm is taken, else the width to 0.01 mm.

    >>> round_width(15.874996), round_width(9.9991), round_width(8.2537)
    (15.875, 10.0, 8.25)
    """
    meant = min(
        (round(round(width / step) * step, 6) for step in (0.5, MM_PER_INCH / 16)), key=lambda one: abs(one - width)
    )
    return meant if abs(meant - width) <= ROUNDED_WITHIN else round(width, 2)
