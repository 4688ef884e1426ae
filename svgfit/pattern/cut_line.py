"""The cut line of a piece: its maker's where that is drawn and still holds, else from the seam allowances.

The rules of the trade that it draws by are in svgfit/rules/allowances.py. Curves in the piece's frame, mm, y down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from svgfit.geometry.bezier import Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.geometry.offset import OffsetFolds, offset_curve
from svgfit.geometry.polygon import distances
from svgfit.model.length import both_ways, on_page, range_text, reads_alike
from svgfit.model.piece import CutStep, DrawnCut, Edge, Piece, Redrawn
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import DrawnLine
from svgfit.pattern.cut_beside import find_beside
from svgfit.pattern.cut_corners import Corner, join_corner, no_room, usual_manner
from svgfit.pattern.cut_redraw import closed, redraw
from svgfit.pattern.cut_sides import Drawn, Frame, mouth_of, roof_notes, whole
from svgfit.pattern.dart_roof import pressed_towards_end, with_roof
from svgfit.rules.allowances import CUT_LINE_HOLDS, CUT_LINE_MISSED, CUT_LINE_OFF, VARIES, WIDEST_USUAL


def cut_line(piece: Piece) -> Curve | None:
    """Draw the closed cut line in the piece's frame; None where an edge's allowance is unknown, or none has any.

    A drawn one is kept wherever its stitch line did not change (svgfit.pattern.cut_redraw). Refuses an allowance wider
    than a hollow of the stitch line has room for, and a line that does not hold its allowance (see
    ``refuse_broken``).
    """
    found = redrawn_cut(piece)
    return None if found is None else found.line


def redrawn_cut(piece: Piece) -> Redrawn | None:
    """Draw the cut line as ``cut_line`` does, and say what of a drawn one was drawn anew."""
    wide = [0.0 if edge.fold else edge.allowance for edge in piece.edges]
    if any(width is None for width in wide) or not any(wide):
        return None
    frame = _frame(piece)
    if piece.cut is None:
        line = _drawn_all_round(piece, frame)
        if wider_than_usual(max(width or 0.0 for width in wide)):
            refuse_broken(piece, line)
        found = Redrawn(line=line)
        return replace(found, notes=_measured(piece, found, [edge.name for edge in piece.edges]))
    found = _after_steps(piece.cut, piece, frame)
    if found.line is piece.cut.line:
        return found
    return replace(found, notes=(*found.notes, *_measured(piece, found, found.anew)))


def _after_steps(cut: DrawnCut, piece: Piece, frame: Frame) -> Redrawn:
    """Draw a drawn cut line anew for step after step, and for what the piece is now."""
    done = _logged(cut, frame)
    edges, darts = _beside(cut)
    if _same_edges(edges, piece.edges) and darts == piece.darts:
        return done
    last = redraw(done.line, (edges, darts), CutStep(edges=piece.edges, darts=piece.darts), frame)
    return _together(done, last, piece.edges)


@lru_cache(maxsize=64)  # by the drawn cut line itself, which never changes
def _logged(cut: DrawnCut, frame: Frame) -> Redrawn:
    done = Redrawn(line=cut.line)
    before = cut.edges, cut.darts
    for step in cut.steps:
        if not _same_edges(before[0], step.edges) or before[1] != step.darts or step.anew:
            done = _together(done, redraw(done.line, before, step, frame), step.edges)
        before = step.edges, step.darts
    return done


def _beside(cut: DrawnCut) -> Drawn:
    return (cut.steps[-1].edges, cut.steps[-1].darts) if cut.steps else (cut.edges, cut.darts)


def _same_edges(one: Sequence[Edge], other: Sequence[Edge]) -> bool:
    return len(one) == len(other) and all(
        a is b or (a.curve is b.curve and a.allowance == b.allowance and a.fold == b.fold)
        for a, b in zip(one, other, strict=True)
    )


def _together(one: Redrawn, other: Redrawn, edges: Iterable[Edge]) -> Redrawn:
    names = {*one.anew, *other.anew}
    anew = tuple(edge.name for edge in edges if edge.name in names)
    notes = tuple(dict.fromkeys((*one.notes, *other.notes)))
    varied = tuple({**dict(one.varied), **dict(other.varied)}.items())
    return Redrawn(line=other.line, anew=anew, varied=varied, notes=notes)


class Told(Struct, frozen=True):
    """What there is to say of a piece's cut line; sentences with the title."""

    notes: tuple[str, ...] = ()
    """What is to be minded or left to be drawn by hand."""
    redrawn: str | None = None
    """Where a drawn one was drawn anew; None where it was not, or none was drawn."""


def tell_cut(piece: Piece, known: Redrawn | None = None) -> Told:
    """Say what is to be minded of a cut line, and where a drawn one was drawn anew.

    ``known``: what ``redrawn_cut`` gave, where it was asked already. Raises Refusal where the line can't be drawn.
    """
    found = known or redrawn_cut(piece)
    if found is None:
        return Told()
    notes = (*found.notes, *_notes(piece, found))
    return Told(tuple(f"{piece.title}: {note}" for note in notes), _where_redrawn(piece, found))


def _notes(piece: Piece, found: Redrawn) -> Iterable[str]:
    """Say which roofs are left to be drawn by hand, and what is kept although it lies at no allowance."""
    if piece.cut is None or found.line is not piece.cut.line:
        new = found.anew if piece.cut is not None else [edge.name for edge in piece.edges]
        widths = {edge.name: edge.allowance or 0.0 for edge in piece.edges if edge.name in new}
        yield from roof_notes(piece.darts, widths, _frame(piece))
    yield from _kept_otherwise(piece, found)


def _where_redrawn(piece: Piece, found: Redrawn) -> str | None:
    if piece.cut is None or found.line is piece.cut.line:
        return None
    if not found.anew:
        return f"{piece.title}: the cut line is drawn anew at corners; elsewhere it is as drawn"
    if len(found.anew) == len([edge for edge in piece.edges if not edge.fold]):
        return f"{piece.title}: the cut line is drawn anew all round"
    names = " and ".join(filter(None, (", ".join(found.anew[:-1]), found.anew[-1])))
    return (
        f"{piece.title}: the cut line is drawn anew along {names}, and at the corners there; elsewhere it is as drawn"
    )


def _kept_otherwise(piece: Piece, found: Redrawn) -> Iterable[str]:
    """Say beside which edges a drawn cut line is kept that does not lie at their allowance."""
    edges = _whole_edges(piece)
    for edge, beside in zip(edges, find_beside(found.line, [edge.curve for edge in edges]), strict=True):
        derived = DrawnLine.STITCH not in piece.drawn  # then the stitch line lies where the allowance says
        if piece.cut is None or derived or beside is None or edge.fold or edge.name in found.anew:
            continue
        wide = edge.allowance or 0.0
        if beside.holds(wide, VARIES):
            continue
        places, widths = beside.exact()
        widths = widths[_off_darts(piece, edge, places)]
        if len(widths) and float(np.abs(widths - wide).max()) > VARIES:
            least, most = float(widths.min()), float(widths.max())
            off = most - wide if most - wide > wide - least else least - wide
            way = "further out" if off > 0 else "nearer"
            lies = (
                f"lies {both_ways(abs(off))} {way} than its {both_ways(wide)} in places"
                if reads_alike(wide + off, wide)
                else f"lies {range_text(least, most)} from the stitch line, not {both_ways(wide)}"
            )
            yield f"{edge.name}: the drawn cut line {lies}; it is kept as drawn"


# -- all round, from the allowances -----------------------------------------------------------------------------------


def _drawn_all_round(piece: Piece, frame: Frame) -> Curve:
    """Draw the cut line of a piece that has none drawn."""
    edges = _whole_edges(piece)
    wide = [0.0 if edge.fold else edge.allowance or 0.0 for edge in edges]
    result = [_offset(piece, edge, frame.outwards * width) for edge, width in zip(edges, wide, strict=True)]
    bridges: list[Curve | None] = []
    for k in range(len(result)):
        after = (k + 1) % len(result)
        corner = Corner(
            one=edges[k],
            two=edges[after],
            first=result[k],
            second=result[after],
            first_wide=wide[k],
            second_wide=wide[after],
        )
        result[k], bridge, result[after] = join_corner(corner, usual_manner(corner, piece.corners))
        bridges.append(bridge)
    for dart in piece.darts:
        k = next((k for k, edge in enumerate(edges) if edge.name == dart.edge), None)
        towards = pressed_towards_end(dart, piece.kind)
        if k is not None and towards is not None and wide[k]:
            result[k] = with_roof(result[k], dart, towards) or result[k]
    return closed(
        Curve.chain([part for k, line in enumerate(result) for part in (line, bridges[k]) if part is not None])
    )


def _offset(piece: Piece, edge: Edge, distance: float) -> Curve:
    try:
        return offset_curve(edge.curve, distance)
    except OffsetFolds as folded:
        raise no_room(piece.where, edge.name, abs(distance), folded.radius) from folded


def wider_than_usual(width: float) -> bool:
    """Say whether a seam allowance (mm) is more than is usual."""
    return width > WIDEST_USUAL + 0.01


def _outwards(piece: Piece) -> float:
    """Give +1 where the outside lies to the right of travel, -1 where to the left."""
    return -1.0 if piece.outline().area() > 0 else 1.0


def _frame(piece: Piece) -> Frame:
    return Frame(where=piece.where, kind=piece.kind, outwards=_outwards(piece), corners=piece.corners)


def _whole_edges(piece: Piece) -> Sequence[Edge]:
    """Close the darts that are cut out of the edges."""
    return [whole(edge, piece.darts) for edge in piece.edges]


# -- held against its allowance ---------------------------------------------------------------------------------------


def _measured(piece: Piece, found: Redrawn, names: Sequence[str]) -> tuple[str, ...]:
    """Hold what was drawn anew against its allowance; notes on hollows too tight for it.

    Refuses a line that crosses itself, and one that lies nearer to an edge than its allowance or, where the edge does
    not bend more tightly than that, farther from it. Looked at are 25 places of an edge; its corners (twice the widest
    allowance there) and its darts' roofs are left out.
    """
    crossing = self_crossing(found.line)
    notes: list[str] = []
    if crossing is not None:
        if piece.cut is None or self_crossing(piece.cut.line) is None:
            todo = "make the seam allowances there smaller, or draw the cut line by hand"
            raise Refusal(piece.where, f"the cut line would cross itself {_spot(piece, crossing)}", todo)
        notes.append(f"the cut line, as it was drawn, crosses itself {_spot(piece, crossing)}; mend it by hand")
    fine = found.line.points(np.arange(40 * len(found.line) + 1) / 40)
    wide = [0.0 if edge.fold else edge.allowance or 0.0 for edge in piece.edges]
    for k, edge in enumerate(_whole_edges(piece)):
        if edge.name not in names or edge.fold or not edge.allowance:
            continue
        whole_length = edge.curve.length(1e-2)
        first, last = 2 * max(wide[k], wide[k - 1]), whole_length - 2 * max(wide[k], wide[(k + 1) % len(wide)])
        if first >= last:
            continue
        lengths: list[float] = np.linspace(first, last, 25).tolist()
        t = np.array(edge.curve.at_lengths(lengths, 1e-2))
        t = t[_off_darts(piece, edge, t)]
        if not len(t):
            continue
        points = edge.curve.points(t)
        least, most = dict(found.varied).get(edge.name, (edge.allowance, edge.allowance))
        away = distances(points, fine)
        meant = points + _outwards(piece) * 1j * most * edge.curve.tangents(t)
        room = most - distances(meant, edge.curve.points(np.arange(40 * len(edge.curve) + 1) / 40))
        off = np.where(away < least, least - away, np.where(room > CUT_LINE_HOLDS, 0.0, away - most))
        worst = int(np.argmax(off))
        if off[worst] > CUT_LINE_HOLDS:
            what = f"the cut line would lie {both_ways(float(away[worst]))} from the stitch line, not {both_ways(most)}"
            todo = "draw the cut line there by hand, or give another seam allowance"
            raise Refusal(f"{piece.where}: {edge.name}", f"{what}, {_spot(piece, complex(points[worst]))}", todo)
        widest = int(np.argmax(away))
        if away[widest] > most + CUT_LINE_OFF:
            what = f"bends more tightly than its seam allowance of {both_ways(most)} has room for"
            told = f"there the cut line lies {both_ways(float(away[widest]))} from it"
            notes.append(f"{edge.name}: {what} {_spot(piece, complex(points[widest]))}; {told}")
    return tuple(notes)


def _off_darts(piece: Piece, edge: Edge, places: Real) -> NDArray[np.bool_]:
    """Say of places of an edge whether they lie off the darts' roofs."""
    off = np.ones(len(places), dtype=np.bool_)
    for dart in piece.darts:
        if dart.edge == edge.name:
            first, last = mouth_of(edge.curve, dart, edge.allowance or 0.0)
            off &= (places < first) | (places > last)
    return off


def _spot(piece: Piece, at: complex) -> str:
    page = piece.placement.apply(at)
    return on_page(page)


def refuse_broken(piece: Piece, cut: Curve) -> None:
    """Refuse a cut line that crosses itself, or that misses its allowance along more than a tenth of an edge.

    Looked at are 41 places of an edge; at its corners not, within twice the neighbour's allowance or a tenth of the
    edge, nor at its darts. Of a drawn cut line only what was drawn anew is looked at.
    """
    drawn = None if piece.cut is None else _after_steps(piece.cut, piece, _frame(piece))
    wide = [0.0 if edge.fold else edge.allowance or 0.0 for edge in piece.edges]
    todo = "make the seam allowance there smaller; check the number and its unit"
    crossing = self_crossing(cut)
    if crossing is not None:
        page, edge = piece.placement.apply(crossing), piece.edges[int(np.argmax(wide))]
        what = f"with {both_ways(max(wide))} the cut line would cross itself, {on_page(page)}"
        raise Refusal(f"{piece.where}: {edge.name}", what, todo)
    outwards = _outwards(piece)
    fine = cut.points(np.arange(80 * len(cut) + 1) / 80)
    for k, edge in enumerate(_whole_edges(piece)):
        whole_length = edge.curve.length(1e-2)
        before, after = (max(2 * one, 0.1 * whole_length) for one in (wide[k - 1], wide[(k + 1) % len(wide)]))
        if wide[k] == 0 or before + after >= whole_length:
            continue
        if drawn is not None and (edge.name not in drawn.anew or edge.name in dict(drawn.varied)):
            continue
        t = np.array(edge.curve.at_lengths(np.linspace(before, whole_length - after, 41).tolist()))
        t = t[_off_darts(piece, edge, t)]
        if not len(t):
            continue
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
