"""One step in pictures, as a person does it: draw the line, cut to the hinge, spread or overlap, tape, true.

Drawn from the piece before and after the step, its working lines and its openings; nothing is drawn that was not so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.model.report import Annotation, Opening, StepRow
from svgfit.output.field import Box, joined_boxes
from svgfit.output.handout.besides import outwards
from svgfit.output.handout.cutlines import changed_allowances, cut_of
from svgfit.output.handout.facts import Facts, Words, length
from svgfit.output.handout.parts import Part, Slit, parted_from, parts, slits
from svgfit.output.handout.picture import Picture, full_size, looking_at
from svgfit.output.handout.piecelines import mark_lines, notch, piece_lines
from svgfit.output.handout.routes import Ruled, route, rulers
from svgfit.output.handout.wording import closes, words_of

_APART = 0.08
"""Two edges nearer than this (mm) are one line: less is not seen even at full size."""
_SEEN = 0.3
"""What moved by less than this, mm, did not move for an eye."""
_CLOSE_UPS = 2
"""So many close-ups a step at most."""


class Shown(Struct, frozen=True):
    """A picture with what is said under it."""

    picture: Picture
    caption: str


class StepShown(Struct, frozen=True):
    """All of one step on one piece."""

    piece: str
    words: Words
    shown: tuple[Shown, ...]


class Change(Struct, frozen=True):
    """What a step did to one piece, put together for drawing."""

    before: Piece
    after: Piece
    row: StepRow
    notes: tuple[Annotation, ...]
    openings: tuple[Opening, ...]
    parts: tuple[Part, ...]
    slits: tuple[Slit, ...]
    unit: str
    mirror: bool

    drawn_new: tuple[Curve, ...]
    """Stretches of the edge that are no part's edge: what was trued or redrawn."""
    left_over: tuple[Curve, ...]
    """Stretches of the parts' edges (of the old edge) that are the edge no longer."""
    cut_was: Curve | None = None
    """The cut line before, where the step changed an allowance."""
    cut_now: tuple[Curve, ...] = ()
    """Stretches of the cut line now that lie elsewhere than before."""
    wider: tuple[str, ...] = ()
    """Edges with another allowance now."""


def change_of(
    before: Piece, after: Piece, row: StepRow, notes: Iterable[Annotation], openings: Iterable[Opening], unit: str
) -> Change:
    """What a step did to a piece; ``notes`` and ``openings`` are all of the step's."""
    own = tuple(note for note in notes if note.piece in (before.title, before.name))
    gaps = tuple(one for one in openings if one.piece in (before.title, before.name))
    found = parts(before, after, own, gaps)
    lying, now = [edge for part in found for edge in part.edges_now] or [before.outline()], [after.outline()]
    wider = changed_allowances(before, after)
    cut_was, cut_now = (cut_of(before), cut_of(after)) if wider else (None, None)
    return Change(
        before,
        after,
        row,
        own,
        gaps,
        found,
        slits(own) if found else (),
        unit,
        before.placement.mirrors,
        parted_from(now, lying, _APART),
        parted_from(lying, now, _APART),
        cut_was,
        () if cut_now is None else parted_from([cut_now], [cut_was], _APART) if cut_was is not None else (cut_now,),
        wider,
    )


def show_step(change: Change, summary: str, width: float, most: float, *, closely: bool = True) -> StepShown:
    """The step's pictures, each ``width`` mm wide and at most ``most`` mm high; ``closely``: with close-ups."""
    facts = Facts(
        change.row,
        change.openings,
        route(change.before, change.slits, change.unit),
        any(slit.hinge is not None for slit in change.slits),
        change.unit,
        summary,
        tuple(note.length for note in _arrows(change) if note.length is not None),
        max((aside(change.before, spot)[1] for spot in _furthest_spots(change)), default=0.0),
        tuple(dict.fromkeys(aside(change.before, spot)[2] for spot in _furthest_spots(change))),
    )
    words = words_of(facts)
    view = _view(change, width, most)
    if change.parts:
        shown = [
            Shown(_drawn_line(change, view), words.draw),
            Shown(_cut(change, view), words.cut),
            Shown(_moved(change, view, over=closes(facts)), words.move),
            Shown(_trued(change, view), words.true),
        ]
    elif _is_seen(change):
        shown = [Shown(_as_it_was(change, view), words.draw), Shown(_trued(change, view), words.true)]
    else:
        shown = [Shown(_as_it_was(change, view), f"{words.draw} {words.true}")]
    if closely or change.parts:
        shown += _close_ups(change, width, most)
    return StepShown(change.before.title, words, tuple(shown))


def _is_seen(change: Change) -> bool:
    """Whether a step that cut nothing changed anything that is seen on paper."""
    lines = (*change.drawn_new, *change.left_over, *change.cut_now)
    return bool(lines or _arrows(change) or moved_marks(change))


# -- what to look at -------------------------------------------------------------------------------------------------


def _view(change: Change, width: float, most: float) -> Picture:
    """The part of the piece where something happens; all of it where that is most of it."""
    boxes = [curve.bounds() for curve in (*change.drawn_new, *change.left_over, *change.cut_now)]
    boxes += [_box_of(slit.points) for slit in change.slits]
    boxes += [box for part in change.parts if part.motion is not None for box in (part.now.bounds(),)]
    boxes += [_box_of([at]) for note in change.notes for at in _points(note)]
    boxes += [_box_of([mark.at]) for mark in moved_marks(change) if mark.at is not None]
    whole = change.before.outline().bounds()
    seen = joined_boxes(boxes or [whole])
    wide, high = whole[2] - whole[0], whole[3] - whole[1]
    if change.before.kind == "sleeve":  # in all its width: a sleeve is found its way about by its underarm points
        lower = max(seen[3], 0.06 * wide) if seen[3] < 0.25 * high else seen[3]
        upper = seen[1] - 0.15 * wide if seen[1] > whole[1] + 0.5 * high else min(seen[1], whole[1])
        seen = (min(seen[0], whole[0]), upper, max(seen[2], whole[2]), lower)
    else:
        air = max(0.35 * (seen[2] - seen[0]), 0.35 * (seen[3] - seen[1]), 12.0)
        seen = (seen[0] - air, seen[1] - air, seen[2] + air, seen[3] + air)
    if seen[3] - seen[1] > 0.7 * high:
        seen = joined_boxes([seen, whole])
        most = most if change.parts else 1.5 * most
    return looking_at([seen], width, mirror=change.mirror, most=most)


def _points(note: Annotation) -> list[complex]:
    found = [note.point] if note.point is not None else []
    return [*found, note.curve.start, note.curve.end] if note.curve is not None and note.kind == "arrow" else found


def _box_of(points: Sequence[complex]) -> Box:
    across, down = [at.real for at in points], [at.imag for at in points]
    return min(across), min(down), max(across), max(down)


def moved_marks(change: Change) -> tuple[Mark, ...]:
    """Notches of the piece before that stand elsewhere now though the paper under them did not move."""
    found: list[Mark] = []
    if change.parts:
        return ()
    for old, new in zip(change.before.marks, change.after.marks, strict=False):
        if old.kind == new.kind and old.at is not None and new.at is not None and abs(old.at - new.at) > _SEEN:
            found.append(old)
    return tuple(found)


# -- the pictures ----------------------------------------------------------------------------------------------------


def _drawn_line(change: Change, view: Picture) -> Picture:
    """The paper with the line on it, and what to measure to find it."""
    picture = _guided(piece_lines(view, change.before), change.before)
    for slit in change.slits:
        picture = picture.line("slash", *slit.points)
    for slit in change.slits:
        if slit.hinge is not None:
            picture = picture.ring(slit.hinge).label(("hinge",), slit.hinge, _outwards(change, slit.hinge))
    for ruled in rulers(change.before, change.slits):
        picture = _ruled(picture, ruled, change.unit)
    return picture


def _guided(picture: Picture, piece: Piece) -> Picture:
    """Bicep and centre line of a sleeve, where the drawing has none: the line is found from them."""
    front, back = piece.find_landmark("underarm front"), piece.find_landmark("underarm back")
    top = piece.find_landmark("cap top")
    kinds = {mark.kind for mark in piece.marks if mark.curves}
    if piece.kind != "sleeve" or front is None or back is None:
        return picture
    if "bicep line" not in kinds:
        picture = picture.line("guide", back, front)
    if top is not None and not kinds & {"centre line"}:
        picture = picture.line("guide", top, complex(top.real, piece.outline().bounds()[3]))
    return picture


def _ruled(picture: Picture, ruled: Ruled, unit: str) -> Picture:
    way = ruled.end - ruled.start
    level = abs(way.real) > abs(way.imag)
    return picture.dimension(ruled.start, ruled.end, (length(ruled.value, unit),), -1j if level else -1 + 0j)


def _outwards(change: Change, at: complex) -> complex:
    """A direction away from the piece's middle."""
    left, top, right, bottom = change.before.outline().bounds()
    way = at - complex((left + right) / 2, (top + bottom) / 2)
    return complex(way.real, abs(way.imag) * 0.3) if way else 1 + 0j


def _cut(change: Change, view: Picture) -> Picture:
    """The paper cut; what will move shaded."""
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
    """The parts where they lie now, taped."""
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
        if note.kind == "arrow" and note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    return _amounts(picture, change)


def _taped(picture: Picture, change: Change, slit: Slit) -> Picture:
    """Strips of tape over the cut, where it is widest and half way."""
    motions = [part.motion for part in change.parts if part.motion is not None and _borders(part, slit)]
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
    """A hinge where it lies now: with parts that all moved it was set back too."""
    beside = [part.motion for part in change.parts if _borders(part, slit)]
    return beside[0].apply(hinge) if beside and beside[0] is not None and None not in beside else hinge


def _borders(part: Part, slit: Slit) -> bool:
    points = part.around.points(np.arange(len(part.around), dtype=np.float64))
    return all(float(np.abs(points - end).min()) < 1.0 for end in (slit.points[0], slit.points[-1]))


def _amounts(picture: Picture, change: Change) -> Picture:
    """How far each cut has opened, straight across."""
    said: set[complex] = set()
    for opening in change.openings:
        middle = (opening.first + opening.second) / 2
        word = "overlap" if opening.width < 0 else "open" if change.parts else "step"
        text = f"{word} {length(opening.width, change.unit)}" if abs(opening.width) > _SEEN else "here"
        picture = picture.label((text,), middle, _outwards(change, middle) - 0.4j)
        said.add(middle)
    if not said:
        for note in _arrows(change):
            if note.curve is not None and note.length is not None:
                middle = (note.curve.start + note.curve.end) / 2
                picture = picture.label((length(note.length, change.unit),), middle, _outwards(change, middle) - 0.4j)
    return picture


def _trued(change: Change, view: Picture) -> Picture:
    """The edge as it is now, heavy, over the paper as it lies, dotted."""
    picture = view
    for part in change.parts:
        if part.motion is not None:
            picture = picture.shape("shade", part.now)
    picture = picture.curve("paper", change.after.outline()).curve("old", *change.left_over)
    picture = picture.curve("new", *change.drawn_new)
    picture = _cut_lines(picture, change)
    for mark in moved_marks(change):
        picture = notch(picture, change.before, mark, "detail")
    return mark_lines(picture, change.after, change.after.marks, details=False)


def _as_it_was(change: Change, view: Picture) -> Picture:
    """The piece before, with arrows to where its points go."""
    picture = _guided(piece_lines(view, change.before), change.before)
    picture = picture if change.cut_was is None else picture.curve("cut line", change.cut_was)
    for note in _arrows(change):
        if note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    return _amounts(picture, change)


def _arrows(change: Change) -> list[Annotation]:
    """The arrows that are long enough to be seen."""
    return [
        note
        for note in change.notes
        if note.kind == "arrow" and note.curve is not None and abs(note.curve.end - note.curve.start) > _SEEN
    ]


def _cut_lines(picture: Picture, change: Change) -> Picture:
    """The cut line now and as it was, where the step changed the allowance."""
    picture = picture if change.cut_was is None else picture.curve("cut line", change.cut_was)
    return picture.curve("new", *change.cut_now)


# -- close up --------------------------------------------------------------------------------------------------------


def _close_ups(change: Change, width: float, most: float) -> list[Shown]:
    """Where the edge was trued, or changed most, at full size."""
    if change.cut_now:
        return [_allowance(change, name, width, most) for name in change.wider[:_CLOSE_UPS]]
    shown: list[Shown] = []
    for number, at in enumerate(_spots(change)[:_CLOSE_UPS]):
        picture = full_size(at, width, most * 0.8, mirror=change.mirror)
        for part in change.parts:
            if part.motion is not None:
                picture = picture.shape("shade", part.now)
        for slit in change.slits:
            for part in change.parts:
                if _borders(part, slit):
                    way = part.motion
                    picture = picture.line("detail", *(slit.points if way is None else map(way.apply, slit.points)))
        picture = piece_lines(picture, change.after, edge="", details=False)
        for mark in moved_marks(change):
            picture = notch(picture, change.before, mark, "detail")
        picture = picture.curve("paper", change.after.outline()).curve("old", *change.left_over)
        picture = picture.curve("new", *change.drawn_new)
        picture = _cut_lines(picture, change)
        if not change.parts:
            for note in _arrows(change):
                if note.curve is not None:
                    picture = picture.arrow(note.curve.start, note.curve.end)
            picture = _amounts(picture, change)
        side = _side(change.before, at)
        text = f"{side}, full size." if side else "Full size."
        if number < len(change.openings):
            gain = change.openings[number].gain
            if abs(gain) >= _APART:
                word = "gained" if gain > 0 else "lost"
                text += f" Here the edge {word} {length(gain, change.unit)}."
        elif not change.parts and not _arrows(change):
            foot, off, lies = aside(change.before, at)
            if off > _SEEN:
                picture = picture.dimension(foot, at, (length(off, change.unit),), at - foot)
                text += f" Here the new edge lies {length(off, change.unit)} {lies} the old."
        shown.append(Shown(picture.framed(), text))
    return shown


def _spots(change: Change) -> list[complex]:
    """Middles of the close-ups."""
    if change.openings:
        return [(opening.first + opening.second) / 2 for opening in change.openings]
    arrows = [(note.curve.start + note.curve.end) / 2 for note in _arrows(change) if note.curve is not None]
    moved = [mark.at for mark in moved_marks(change) if mark.at is not None]
    return arrows or _furthest_spots(change) or moved


def _furthest_spots(change: Change) -> list[complex]:
    return [] if change.parts else [_furthest(change, stretch) for stretch in _longest(change.drawn_new)]


def aside(piece: Piece, at: complex) -> tuple[complex, float, str]:
    """The place of the piece's edge nearest to a point, how far that is, mm, and on which side the point lies."""
    loop = piece.outline()
    t, off = loop.nearest(at)
    foot = loop.point(t)
    towards = (loop.tangent(t).conjugate() * (at - foot)).imag > 0
    return foot, off, "inside" if towards == (loop.area() > 0) else "outside"


def _allowance(change: Change, name: str, width: float, most: float) -> Shown:
    """The new allowance of an edge, measured square to it."""
    edge = change.after.edge(name)
    curve, wide = edge.from_front(), edge.allowance or 0.0
    at = curve.at_length(curve.length() * 0.7)
    foot, way = curve.point(at), outwards(change.after, curve, at)
    tip = foot + way * wide
    box = _box_of([foot - 25 - 8j, foot + 25 + 8j, tip - 25 - 8j, tip + 25 + 8j])
    picture = looking_at([box], width, mirror=change.mirror, most=most)
    picture = picture.curve("paper", change.after.outline())
    picture = _cut_lines(picture, change).dimension(foot, tip, (length(wide, change.unit),), 1 + 0j)
    told = f"{name.capitalize()}: {length(wide, change.unit)} from the stitch line, square to it"
    return Shown(picture.framed(), f"{told}, full size." if picture.factor > 0.999 else f"{told}.")


def _longest(stretches: Sequence[Curve]) -> list[Curve]:
    return sorted(stretches, key=lambda one: -one.length(1e-2))[:_CLOSE_UPS]


def _furthest(change: Change, stretch: Curve) -> complex:
    """The place of a new stretch that lies farthest from the old edge."""
    old = change.before.outline()
    spots = [stretch.point(t) for t in np.linspace(0, len(stretch), 40).tolist()]
    return max(spots, key=lambda spot: old.nearest(spot)[1])


def _side(piece: Piece, at: complex) -> str:
    top = piece.find_landmark("cap top")
    if piece.kind != "sleeve" or top is None or abs(at.real - top.real) < 2.0:
        return ""
    return "Front" if at.real > top.real else "Back"
