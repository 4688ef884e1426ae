"""Seam allowances: the cut line from the stitch line, the stitch line from the cut line, and what is drawn of both.

The rules of the trade that it draws by are in svgfit/rules/allowances.py. Curves in
the frame of the edges given, mm, y down.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import (
    extend_curved,
    extend_straight,
    extend_to_intersection,
    intersections,
    self_crossing,
    trim_end,
    trim_start,
)
from svgfit.geometry.offset import OffsetFolds, offset_curve
from svgfit.geometry.polygon import distances
from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import spell
from svgfit.pattern.corners import points_along
from svgfit.pattern.recognise.darts import over_mouths
from svgfit.rules.allowances import (
    CUT_LINE_MISSED,
    CUT_LINE_OFF,
    MIRRORED_END,
    MIRRORED_REACH,
    PRESSED_OPEN,
    ROUNDED_WITHIN,
    THORN,
    TURNED_UP,
    VARIES,
    WIDEST_USUAL,
)


def rank(edge: str) -> int:
    """Rank an edge at a corner, where the higher one's allowance is folded back: hem 3, pressed open 2, others 1."""
    if edge in TURNED_UP:
        return 3
    return 2 if edge in PRESSED_OPEN else 1


def allowance_of(edge: str, allowances: Mapping[str, float]) -> float | None:
    """Look up an edge's allowance: its own, a wider name's ("underarm"), that of "all"; None where none is said."""
    for name in (edge, *(edge.rsplit(" ", k)[0] for k in range(1, edge.count(" ") + 1)), "all"):
        if name in allowances:
            return allowances[name]
    return None


def cut_line(piece: Piece) -> Curve | None:
    """Draw the closed cut line in the piece's frame; None where an edge's allowance is unknown, or none has any.

    Refuses an allowance wider than a hollow of the stitch line has room for; where one is wider than WIDEST_USUAL,
    the whole line is looked at (see ``refuse_broken``).
    """
    wide = [0.0 if edge.fold else edge.allowance for edge in piece.edges]
    if any(width is None for width in wide) or not any(wide):
        return None
    outwards, edges = _outwards(piece), _whole_edges(piece)
    lines = [_offset(piece.where, edge, outwards * (width or 0.0)) for edge, width in zip(edges, wide, strict=True)]
    result: list[Curve] = list(lines)
    bridges: list[Curve | None] = []
    for k in range(len(lines)):
        following = (k + 1) % len(lines)
        first, bridge, second = _corner(
            edges[k], edges[following], result[k], result[following], wide[k] or 0.0, wide[following] or 0.0
        )
        result[k], result[following] = first, second
        bridges.append(bridge)
    loop = [part for k, line in enumerate(result) for part in (line, bridges[k]) if part is not None]
    closed = Curve.chain(loop)
    segments = closed.segments.copy()
    segments[0, 0] = segments[-1, 3]
    line = Curve(segments)
    if wider_than_usual(max(width or 0.0 for width in wide)):
        refuse_broken(piece, line)
    return line


def wider_than_usual(width: float) -> bool:
    """Say whether a seam allowance (mm) is more than is usual."""
    return width > WIDEST_USUAL + 0.01


def _outwards(piece: Piece) -> float:
    """Give +1 where the outside lies to the right of travel, -1 where to the left."""
    return -1.0 if piece.outline().area() > 0 else 1.0


def _whole_edges(piece: Piece) -> Sequence[Edge]:
    """Close the darts that are cut out of the edges."""
    if not piece.darts:
        return piece.edges
    return [replace(edge, curve=over_mouths(edge, piece.darts)) for edge in piece.edges]


def refuse_broken(piece: Piece, cut: Curve) -> None:
    """Refuse a cut line that crosses itself, or that misses its allowance along more than a tenth of an edge.

    Looked at are 41 places of an edge; at its corners not, within twice the neighbour's
    allowance or a tenth of the edge.
    """
    wide = [0.0 if edge.fold else edge.allowance or 0.0 for edge in piece.edges]
    todo = "make the seam allowance there smaller; check the number and its unit"
    crossing = self_crossing(cut)
    if crossing is not None:
        page, edge = piece.placement.apply(crossing), piece.edges[int(np.argmax(wide))]
        where = f"at ({page.real:.1f}, {page.imag:.1f}) mm on the page"
        what = f"with {both_ways(max(wide))} the cut line would cross itself, {where}"
        raise Refusal(f"{piece.where}: {edge.name}", what, todo)
    outwards = _outwards(piece)
    fine = cut.points(np.arange(80 * len(cut) + 1) / 80)
    for k, edge in enumerate(_whole_edges(piece)):
        whole = edge.curve.length(1e-2)
        before, after = (max(2 * one, 0.1 * whole) for one in (wide[k - 1], wide[(k + 1) % len(wide)]))
        if wide[k] == 0 or before + after >= whole:
            continue
        t = np.array(edge.curve.at_lengths(np.linspace(before, whole - after, 41).tolist()))
        meant = edge.curve.points(t) + outwards * 1j * wide[k] * edge.curve.tangents(t)
        own = edge.curve.points(np.arange(80 * len(edge.curve) + 1) / 80)
        folded = distances(meant, own) < wide[k] - CUT_LINE_OFF
        missed = float(np.mean(folded | (distances(meant, fine) > CUT_LINE_OFF)))
        if missed > CUT_LINE_MISSED:
            what = (
                f"a seam allowance of {both_ways(wide[k])} has no room: along {100 * missed:.0f} % of the edge the cut "
                "line could not run beside the stitch line at that width"
            )
            raise Refusal(f"{piece.where}: {edge.name}", what, todo)


def _offset(where: str, edge: Edge, distance: float) -> Curve:
    try:
        return offset_curve(edge.curve, distance)
    except OffsetFolds as folded:
        raise Refusal(
            f"{where}: {edge.name}",
            f"the seam allowance of {abs(distance):.1f} mm is wider than the edge's curve has room for "
            f"(radius {folded.radius:.1f} mm)",
            "make that allowance smaller or the curve gentler",
        ) from folded


Joint = tuple[Curve, Curve | None, Curve]


def _corner(one: Edge, two: Edge, first: Curve, second: Curve, first_wide: float, second_wide: float) -> Joint:
    """Bring two neighbouring cut lines together at their corner: the first, what runs between them, the second."""
    if one.fold or two.fold or rank(one.name) == rank(two.name) or min(first_wide, second_wide) == 0:
        return _mitre(first, second)
    if rank(one.name) > rank(two.name):
        seam = one.curve.tangent(float(len(one.curve)), before=True)
        flush = _flush(two.curve.start, seam, first.reverse(), second, first_wide, _most_out(one))
        if flush is None:
            return _mitre(first, second)
        return flush[2].reverse(), flush[1].reverse(), flush[0]
    flush = _flush(one.curve.end, two.curve.tangent(0.0), second, first.reverse(), second_wide, _most_out(two))
    return (flush[0].reverse(), flush[1], flush[2]) if flush else _mitre(first, second)


def _most_out(folded: Edge) -> float:
    """Limit how far out a mirrored end may run, in allowances: a hem must lie flush, an open seam be no thorn."""
    return math.inf if folded.name in TURNED_UP else THORN


def _flush(
    corner: complex, seam: complex, folded: Curve, crossing: Curve, wide: float, most_out: float
) -> tuple[Curve, Curve, Curve] | None:
    """Draw a corner where the ``folded`` edge's allowance mirrors the ``crossing`` edge's cut line about the seam.

    Both cut lines run away from the corner. Gives back the crossing line from the seam on, the mirrored stretch from
    there to the folded line, and the folded line from there on; None where the crossing line misses the seam. A
    mirrored stretch that does not reach the folded line within three allowances ends after one and a half, square
    to the folded line: mirrored any further it would run on beside it. One that would run out by more than
    ``most_out`` allowances further than a square end is squared instead.
    """
    far = 200.0
    line = Curve.polyline([corner - far * seam, corner + far * seam])
    cross = extend_straight(crossing, far, at_start=True)
    met = intersections(cross, line)
    if not met:
        return None
    t = min(met, key=lambda at: abs(cross.point(at[0]) - crossing.start))[0]
    inside = trim_start(cross, t)
    image = inside.transform(Affine.mirror(corner, corner + seam))
    fold = extend_straight(folded, far, at_start=True)
    reach = image.at_length(MIRRORED_REACH * wide, 1e-3)
    ends = [(u, v) for u, v in intersections(image, fold) if 1e-6 < u <= reach]
    if ends:
        u, v = min(ends)
        out = image.start - image.point(u)
        if float(dot(folded.tangent(0.0), out)) > most_out * wide:
            return _squared(inside, fold, seam, far)
        return inside, trim_end(image, u), trim_start(fold, v)
    stretch = trim_end(image, image.at_length(MIRRORED_END * wide, 1e-3))
    v = fold.nearest(stretch.end)[0]
    if not 0 < v < len(fold):
        return None
    return inside, Curve.chain([stretch, Curve.polyline([stretch.end, fold.point(v)])]), trim_start(fold, v)


def _squared(inside: Curve, fold: Curve, seam: complex, far: float) -> tuple[Curve, Curve, Curve] | None:
    """Draw the same corner with the end square to the seam, from where the crossing line meets it."""
    at = inside.start
    square = Curve.polyline([at - far * 1j * seam, at + far * 1j * seam])
    met = intersections(square, fold)
    if not met:
        return None
    v = min(met, key=lambda pair: abs(fold.point(pair[1]) - at))[1]
    return inside, Curve.polyline([at, fold.point(v)]), trim_start(fold, v)


def _mitre(first: Curve, second: Curve) -> Joint:
    """Lengthen or trim both lines to where they meet."""
    joined = _trim(first, second)
    return joined if joined else (first, Curve.polyline([first.end, second.start]), second)


def _trim(first: Curve, second: Curve) -> Joint | None:
    if abs(first.end - second.start) < 1e-9:
        return first, None, second
    met = extend_to_intersection(first, second)
    return (met[0], None, met[1]) if met else None


def stitch_edges(where: str, cut: Sequence[Edge], outwards: float) -> tuple[Edge, ...]:
    """Draw the stitch line's edges from the cut line's: inner parallels at each allowance, trimmed at corners.

    ``outwards``: +1 where the outside lies to the right of travel, −1 where to the left. Refuses an edge without an
    allowance, naming the convention's key for it.
    """
    for edge in cut:
        if edge.allowance is None and not edge.fold:
            raise Refusal(
                f"{where}: {edge.name}",
                "only a cut line is drawn and its seam allowance is not known",
                f"say in the convention (svgfit.toml), with your own figures: {_allowance_key(where)} = "
                '{ all = "5/8 in", hem = "1 in" }',
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
        lines[k] = _offset(where, replace(cut[k], curve=own), -outwards * (cut[k].allowance or 0.0))
    trimmed = [lines[k] for k in range(n)]
    for k in range(n):
        following = (k + 1) % n
        joined = _trim(trimmed[k], trimmed[following])
        if joined is None:
            raise Refusal(
                where,
                f"the stitch lines of {cut[k].name} and {cut[following].name} don't meet inside the cut line",
                "check the seam allowances in the convention, or draw the stitch line",
            )
        trimmed[k], _, trimmed[following] = joined
    return tuple(replace(edge, curve=line) for edge, line in zip(cut, _closed(trimmed), strict=True))


def _crossed(edge: Edge, by: Edge) -> bool:
    """Say whether the other edge's allowance is folded back over this one's."""
    return not edge.fold and not by.fold and rank(by.name) > rank(edge.name) and bool(by.allowance)


def _without_mirrored_end(line: Curve, seam: Curve, edge: Edge, folded: Edge) -> Curve:
    """Trim a cut line by its neighbour's mirrored allowance: up to where the neighbour's seam cuts it.

    ``line`` runs towards the corner, ``seam`` (the neighbour's stitch line) too. From there the line runs on with its
    curvature for as far as its parallel may need, since what it was beyond the seam is not drawn.
    """
    wide = (edge.allowance or 0.0) + (folded.allowance or 0.0)
    last = float(len(seam))
    near = seam.subcurve(seam.at_length(seam.length(1e-2) - 4 * wide, 1e-2), last)
    met = [t for t, _ in intersections(line, extend_straight(near, 4 * wide))]
    if met and max(met) > 1e-6 and line.length_between(max(met), float(len(line)), 1e-2) < 3 * wide:
        line = trim_end(line, max(met))
    return extend_curved(line, 0.6 * (edge.allowance or 0.0))


def _allowance_key(where: str) -> str:
    """Spell the convention's key for a piece's allowances, from where the piece is ("file: piece")."""
    return spell(("pieces", where.rpartition(": ")[2], "seam allowance"))


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
        widths = sorted(cut.nearest(complex(place))[1] for place in places)
        if edge.fold:
            done.append(replace(edge, allowance=0.0))
            continue
        done.append(replace(edge, allowance=round_width(widths[1])))
        if widths[-1] - widths[0] > VARIES:
            notes.append(
                f"{edge.name}: the drawn seam allowance varies from {widths[0]:.1f} to {widths[-1]:.1f} mm; "
                f"{widths[1]:.1f} mm is used"
            )
    return tuple(done), tuple(notes)


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
