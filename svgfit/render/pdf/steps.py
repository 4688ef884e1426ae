"""One step in pictures, as a person does it: draw the line, cut to the hinge, spread or overlap, tape, true.

Drawn from the piece before and after the step, its working lines and its openings; nothing is drawn that was not so.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from msgspec import Struct

from svgfit.geometry.box import box_around, box_of_points, longer_side, widen_box
from svgfit.geometry.curve import Curve
from svgfit.model.instructions import Words
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import MarkKind, PieceKind
from svgfit.render.pdf.closeups import Shown, away_from_middle, borders, close_ups, edge_now, with_amounts
from svgfit.render.pdf.notch_moves import Moved, notch_moves
from svgfit.render.pdf.parts import Slit
from svgfit.render.pdf.picture import Picture, looking_at
from svgfit.render.pdf.piece_lines import mark_lines, piece_lines, sided, with_cut
from svgfit.render.pdf.routes import rulers
from svgfit.render.pdf.step_geometry import Change, beginning_of, facts_of, is_seen
from svgfit.render.pdf.step_sentences import length, words_of
from svgfit.render.sleeve_points import sleeve_points

_TALLER = 2.3
"""So much higher may a picture be that has to show all of a piece, where nothing is cut and there are two pictures."""


class StepShown(Struct, frozen=True):
    """All of one step on one piece."""

    piece: str
    words: Words
    shown: tuple[Shown, ...]
    moves: tuple[Moved, ...] = ()
    """How far each notch moved, where that is what the step is for."""


def show_step(
    change: Change, summary: str, width: float, most: float, *, closely: bool = True, figures: Sequence[str] = ()
) -> StepShown:
    """Draw the step's pictures, each ``width`` mm wide and at most ``most`` mm high; ``closely``: with close-ups.

    ``figures``: the names of those that are told of the step.
    """
    facts = facts_of(change, summary, figures)
    words = words_of(facts, change.instructions)
    view = _view(change, width, most)
    if change.parts:
        shown = [
            Shown(_drawn_line(change, view), words.draw),
            Shown(_cut(change, view), words.cut),
            Shown(_moved(change, view, over=facts.closes), words.move),
            Shown(edge_now(view, change), words.true),
        ]
    elif is_seen(change):
        shown = [Shown(_as_it_was(change, view), words.draw), Shown(edge_now(view, change), words.true)]
    else:
        shown = [Shown(_as_it_was(change, view), f"{words.draw} {words.true}")]
    shown = [Shown(sided(each.picture, change.before), each.caption) for each in shown]
    if closely or change.parts:
        shown += close_ups(change, width, most)
    moves = notch_moves(change.before, change.after) if change.instructions.lists_notches else ()
    return StepShown(change.before.title, words, tuple(shown), moves)


# -- what to look at -------------------------------------------------------------------------------------------------


def _view(change: Change, width: float, most: float) -> Picture:
    """Open a picture on the part of the piece where something happens; on all of it where that is most of it."""
    curves = [note.curve for note in change.own_lines if note.curve is not None]
    curves += [*change.drawn_new, *change.left_over, *change.cut_now, *(part.now for part in change.moving)]
    points = [at for slit in change.slits for at in slit.points]
    points += [note.point for note in change.notes if note.point is not None]
    points += [at for way in change.ways for at in (way.start, way.end)]
    points += [mark.at for mark in change.notches if mark.at is not None]
    whole = change.before.outline().bounds()
    boxes = [curve.bounds() for curve in curves] + ([box_of_points(points)] if points else [])
    seen = box_around(boxes or [whole])
    wide, high = whole[2] - whole[0], whole[3] - whole[1]
    if change.before.kind == PieceKind.SLEEVE:  # in all its width: people find their way by its underarm points
        lower = max(seen[3], 0.06 * wide) if seen[3] < 0.25 * high else seen[3]
        upper = seen[1] - 0.15 * wide if seen[1] > whole[1] + 0.5 * high else min(seen[1], whole[1])
        seen = (min(seen[0], whole[0]), upper, max(seen[2], whole[2]), lower)
    else:
        seen = widen_box(seen, max(0.35 * longer_side(seen), 12.0))
    if seen[3] - seen[1] > 0.7 * high:
        seen = box_around([seen, whole])
        most *= 1.5 if change.parts else _TALLER
    return looking_at([seen], change.before, width, most)


# -- the pictures ----------------------------------------------------------------------------------------------------


def _drawn_line(change: Change, view: Picture) -> Picture:
    """Draw the paper with the line on it, and what to measure to find it."""
    picture = slashed(_guided(piece_lines(view, change.before), change.before), change.slits, "slash")
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.label(("hinge",), slit.hinge, away_from_middle(change, slit.hinge))
    for ruled in rulers(change.before, change.slits):
        way = ruled.end - ruled.start
        towards = -1j if abs(way.real) > abs(way.imag) else -1 + 0j
        picture = picture.dimension(ruled.start, ruled.end, (length(ruled.value, change.units),), towards)
    return picture


def slashed(picture: Picture, slits: Sequence[Slit], pen: str) -> Picture:
    """Draw slashes, with a ring at each hinge."""
    for slit in slits:
        picture = picture.line(pen, *slit.points)
    for slit in slits:
        picture = picture if slit.hinge is None else picture.ring(slit.hinge)
    return picture


def _guided(picture: Picture, piece: Piece) -> Picture:
    """Draw bicep and centre line of a sleeve, where the drawing has none: the line is found from them."""
    points = sleeve_points(piece)
    kinds = {mark.kind for mark in piece.marks if mark.curves}
    if points is not None and MarkKind.BICEP_LINE not in kinds:
        picture = picture.line("guide", points.back, points.front)
    if points is not None and MarkKind.CENTRE_LINE not in kinds:
        picture = picture.line("guide", points.top, complex(points.top.real, piece.outline().bounds()[3]))
    return picture


def _cut(change: Change, view: Picture) -> Picture:
    """Draw the paper cut; what will move shaded."""
    picture = view
    for part in change.moving:
        picture = picture.shape("shade", part.around)
    picture = slashed(piece_lines(picture, change.before, details=False), change.slits, "cut")
    for slit in change.slits:
        picture = picture.scissors(slit.points[0], slit.points[1] - slit.points[0])
    for part in change.parts:
        picture = picture.word_inside("stays" if part.motion is None else "moves", part.around)
    return picture


def _moved(change: Change, view: Picture, *, over: bool) -> Picture:
    """Draw the parts where they lie now, taped; where they lie ``over`` others, dark."""
    picture, staying = view, [part for part in change.parts if part.motion is None]
    for part in change.moving:
        picture = picture.shape("shade", part.now)
    for part, other in product(staying, change.moving) if over else ():
        picture = picture.overlap(part.now, other.now)
    for part in change.parts:
        picture = picture.curve("paper", part.now)
    picture = mark_lines(picture, change.after, details=False)
    for slit in change.slits:
        picture = _taped(picture, change, slit)
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.ring(_hinge_now(change, slit, slit.hinge))
    return with_amounts(picture.arrows(change.ways), change)


def _taped(picture: Picture, change: Change, slit: Slit) -> Picture:
    """Draw strips of tape over the cut, where it is widest and half way."""
    motions = [part.motion for part in change.parts if part.motion is not None and borders(part, slit)]
    line = Curve.polyline(list(slit.points))
    for share in (0.3, 0.7) if slit.hinge is None else (0.22, 0.5):
        at = line.at_length(line.length() * share)
        spot, way = line.point(at), line.tangent(at)
        ends = [spot, spot, *(motion.apply(spot) for motion in motions[:2])][-2:]
        picture = picture.tape(ends[0], ends[1], way)
    return picture


def _hinge_now(change: Change, slit: Slit, hinge: complex) -> complex:
    """Find a hinge where it lies now: with parts that all moved it was set back too."""
    beside = [part.motion for part in change.parts if borders(part, slit)]
    return beside[0].apply(hinge) if beside and beside[0] is not None and None not in beside else hinge


def _as_it_was(change: Change, view: Picture) -> Picture:
    """Draw the piece before, with arrows to where its points go."""
    picture = with_cut(_guided(piece_lines(view, change.before), change.before), change.cut_was).arrows(change.ways)
    first = beginning_of(change)
    if first is not None:
        picture = picture.label(("begin here",), first.at, away_from_middle(change, first.at))
    return with_amounts(picture, change)
