"""One step in pictures, as a person does it: draw the line, cut to the hinge, spread or overlap, tape, true.

Drawn from the piece before and after the step, its working lines and its openings; nothing is drawn that was not so.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.box import box_around, box_of_points
from svgfit.geometry.curve import Curve
from svgfit.model.instructions import Words
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.report import Annotation
from svgfit.model.vocabulary import AnnotationKind, EdgeName, LandmarkName, MarkKind, PieceKind
from svgfit.render.pdf.closeups import Shown, away_from_middle, borders, close_ups, with_amounts, with_cut_lines
from svgfit.render.pdf.notch_moves import Moved, notch_moves
from svgfit.render.pdf.parts import Slit
from svgfit.render.pdf.picture import Picture, looking_at
from svgfit.render.pdf.piece_lines import mark_lines, notch, piece_lines, sided
from svgfit.render.pdf.routes import Ruled, rulers
from svgfit.render.pdf.step_geometry import (
    Change,
    arrows_of,
    aside,
    beginning_of,
    change_of,
    facts_of,
    is_seen,
    moved_marks,
)
from svgfit.render.pdf.step_sentences import length, words_of

__all__ = ["Change", "Shown", "StepShown", "aside", "change_of", "show_step"]

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
            Shown(_trued(change, view), words.true),
        ]
    elif is_seen(change):
        shown = [Shown(_as_it_was(change, view), words.draw), Shown(_trued(change, view), words.true)]
    else:
        shown = [Shown(_as_it_was(change, view), f"{words.draw} {words.true}")]
    shown = [Shown(sided(each.picture, change.before), each.caption) for each in shown]
    if closely or change.parts:
        shown += close_ups(change, width, most)
    moves = notch_moves(change.before, change.after) if change.instructions.lists_notches else ()
    return StepShown(change.before.title, words, tuple(shown), moves)


# -- what to look at -------------------------------------------------------------------------------------------------


def _view(change: Change, width: float, most: float) -> Picture:
    """Draw the part of the piece where something happens; all of it where that is most of it."""
    boxes = [curve.bounds() for curve in (*change.drawn_new, *change.left_over, *change.cut_now)]
    boxes += [box_of_points(slit.points) for slit in change.slits]
    boxes += [box for part in change.parts if part.motion is not None for box in (part.now.bounds(),)]
    boxes += [box_of_points([at]) for note in change.notes for at in _points(note)]
    boxes += [box_of_points([mark.at]) for mark in moved_marks(change) if mark.at is not None]
    whole = change.before.outline().bounds()
    seen = box_around(boxes or [whole])
    wide, high = whole[2] - whole[0], whole[3] - whole[1]
    if (
        change.before.kind == PieceKind.SLEEVE
    ):  # in all its width: a sleeve is found its way about by its underarm points
        lower = max(seen[3], 0.06 * wide) if seen[3] < 0.25 * high else seen[3]
        upper = seen[1] - 0.15 * wide if seen[1] > whole[1] + 0.5 * high else min(seen[1], whole[1])
        seen = (min(seen[0], whole[0]), upper, max(seen[2], whole[2]), lower)
    else:
        air = max(0.35 * (seen[2] - seen[0]), 0.35 * (seen[3] - seen[1]), 12.0)
        seen = (seen[0] - air, seen[1] - air, seen[2] + air, seen[3] + air)
    if seen[3] - seen[1] > 0.7 * high:
        seen = box_around([seen, whole])
        most *= 1.5 if change.parts else _TALLER
    return looking_at([seen], width, mirror=change.mirror, most=most)


def _points(note: Annotation) -> list[complex]:
    found = [note.point] if note.point is not None else []
    return (
        [*found, note.curve.start, note.curve.end]
        if note.curve is not None and note.kind == AnnotationKind.ARROW
        else found
    )


# -- the pictures ----------------------------------------------------------------------------------------------------


def _drawn_line(change: Change, view: Picture) -> Picture:
    """Draw the paper with the line on it, and what to measure to find it."""
    picture = _guided(piece_lines(view, change.before), change.before)
    for slit in change.slits:
        picture = picture.line("slash", *slit.points)
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.ring(slit.hinge).label(("hinge",), slit.hinge, away_from_middle(change, slit.hinge))
    for ruled in rulers(change.before, change.slits):
        picture = _ruled(picture, ruled, change.units)
    return picture


def _guided(picture: Picture, piece: Piece) -> Picture:
    """Draw bicep and centre line of a sleeve, where the drawing has none: the line is found from them."""
    front, back = piece.find_landmark(EdgeName.UNDERARM_FRONT), piece.find_landmark(EdgeName.UNDERARM_BACK)
    top = piece.find_landmark(LandmarkName.CAP_TOP)
    kinds = {mark.kind for mark in piece.marks if mark.curves}
    if piece.kind != PieceKind.SLEEVE or front is None or back is None:
        return picture
    if MarkKind.BICEP_LINE not in kinds:
        picture = picture.line("guide", back, front)
    if top is not None and not kinds & {"centre line"}:
        picture = picture.line("guide", top, complex(top.real, piece.outline().bounds()[3]))
    return picture


def _ruled(picture: Picture, ruled: Ruled, units: Units) -> Picture:
    way = ruled.end - ruled.start
    level = abs(way.real) > abs(way.imag)
    return picture.dimension(ruled.start, ruled.end, (length(ruled.value, units),), -1j if level else -1 + 0j)


def _cut(change: Change, view: Picture) -> Picture:
    """Draw the paper cut; what will move shaded."""
    picture = view
    for part in change.parts:
        if part.motion is not None:
            picture = picture.shape("shade", part.around)
    picture = piece_lines(picture, change.before, details=False)
    for slit in change.slits:
        picture = picture.line("cut", *slit.points)
        picture = picture.scissors(slit.points[0], slit.points[1] - slit.points[0])
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.ring(slit.hinge)
    for part in change.parts:
        word = "stays" if part.motion is None else "moves"
        picture = picture.word_inside(word, part.around)
    return picture


def _moved(change: Change, view: Picture, *, over: bool) -> Picture:
    """Draw the parts where they lie now, taped."""
    picture = view
    for part in change.parts:
        if part.motion is not None:
            picture = picture.shape("shade", part.now)
    if over:
        for part in change.parts:
            for other in change.parts:
                if part.motion is None and other.motion is not None:
                    picture = picture.overlap(part.now, other.now)
    for part in change.parts:
        picture = picture.curve("paper", part.now)
    picture = mark_lines(picture, change.after, change.after.marks, details=False)
    for slit in change.slits:
        picture = _taped(picture, change, slit)
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.ring(_hinge_now(change, slit, slit.hinge))
    for note in change.notes:
        if note.kind == AnnotationKind.ARROW and note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    return with_amounts(picture, change)


def _taped(picture: Picture, change: Change, slit: Slit) -> Picture:
    """Draw strips of tape over the cut, where it is widest and half way."""
    motions = [part.motion for part in change.parts if part.motion is not None and borders(part, slit)]
    line = Curve.polyline(list(slit.points))
    shares = (0.3, 0.7) if slit.hinge is None else (0.22, 0.5)
    for share in shares:
        at = line.at_length(line.length() * share)
        spot, way = line.point(at), line.tangent(at)
        ends = [motion.apply(spot) for motion in motions][:2]
        first, second = (spot, ends[0]) if len(ends) == 1 else (ends[0], ends[1]) if ends else (spot, spot)
        picture = picture.tape(first, second, way)
    return picture


def _hinge_now(change: Change, slit: Slit, hinge: complex) -> complex:
    """Draw a hinge where it lies now: with parts that all moved it was set back too."""
    beside = [part.motion for part in change.parts if borders(part, slit)]
    return beside[0].apply(hinge) if beside and beside[0] is not None and None not in beside else hinge


def _trued(change: Change, view: Picture) -> Picture:
    """Draw the edge as it is now, heavy, over the paper as it lies, dotted."""
    picture = view
    for part in change.parts:
        if part.motion is not None:
            picture = picture.shape("shade", part.now)
    picture = picture.curve("paper", change.after.outline()).curve("old", *change.left_over)
    picture = picture.curve("new", *change.drawn_new)
    picture = with_cut_lines(picture, change)
    for mark in moved_marks(change):
        picture = notch(picture, change.before, mark, "detail")
    return mark_lines(picture, change.after, change.after.marks, details=False)


def _as_it_was(change: Change, view: Picture) -> Picture:
    """Draw the piece before, with arrows to where its points go."""
    picture = _guided(piece_lines(view, change.before), change.before)
    picture = picture if change.cut_was is None else picture.curve("cut line", change.cut_was)
    for note in arrows_of(change):
        if note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    first = beginning_of(change)
    if first is not None:
        picture = picture.label(("begin here",), first.at, away_from_middle(change, first.at))
    return with_amounts(picture, change)
