"""From a drawn piece to a known one: ask the recognisers, take the most sure."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import outline_crossing
from svgfit.model.length import both_ways, on_page
from svgfit.model.piece import Dart, Doubt, DrawnCut, Edge, Landmark, Mark, Piece
from svgfit.model.raw_piece import DrawnPiece, Recogniser
from svgfit.model.refusal import BrokenPlugin, NoPiece, Refusal
from svgfit.model.vocabulary import MarkKind, PieceKind
from svgfit.pattern.adjusted_layer import own_marks
from svgfit.pattern.allowance import allowance_of, drawn_cut, measured_allowances, stitch_edges
from svgfit.pattern.corners import find_sides
from svgfit.pattern.cut_only import unproved
from svgfit.pattern.orientation import find_grain, placement
from svgfit.pattern.outline import Outline, find_outline
from svgfit.pattern.recognise.darts import DRAWN_INSIDE, find_mouths, put_darts_back
from svgfit.pattern.recognise.line_notches import part_notches
from svgfit.pattern.recognise.named_edges import named_sides, names_edges
from svgfit.pattern.recognise.notches import find_ticks, place_notches
from svgfit.pattern.rough_lines import length_notes
from svgfit.rules.drawing_habits import CUT_CORNER, MOST_CORNERS
from svgfit.rules.smoothness import CORNER

UNKNOWN = "kind: other; neither its name nor its shape says what it is"


def recognise(drawn: DrawnPiece, recognisers: Sequence[Recogniser]) -> Piece:
    """Recognise the piece by the most sure recogniser; one none knows is of kind "other", its edges only numbered.

    Raises NoPiece where it has more corners than any piece.
    Notches that are part of its outlines, or lie on their layers, are taken for notches first. Refuses (Refusal) what
    the convention names a kind and yet can't be read as one, with what to add. Where only name or shape speak for a
    kind, the piece is of kind "other" then, and its ``doubt`` says why.
    """
    _refuse_tangle(drawn)
    parted = part_notches(drawn)
    piece = _most_likely(parted.drawn, recognisers)
    if not parted.notes and not parted.unsure:
        return piece
    guessed = (*piece.guessed, *parted.notes, *parted.unsure)
    return replace(piece, guessed=guessed, unsure=(*piece.unsure, *parted.unsure))


def _refuse_tangle(drawn: DrawnPiece) -> None:
    if sum(len(curve) for shape in (*drawn.stitch, *drawn.cut) for curve in shape.curves) <= MOST_CORNERS:
        return
    corners = len(find_sides(drawn_outline(drawn)[0].loop))
    if corners > MOST_CORNERS:
        what = f"its outline has {corners} corners, as no piece has"
        raise NoPiece(drawn.where, what, "take off its layer what is no part of the outline")


def _most_likely(drawn: DrawnPiece, recognisers: Sequence[Recogniser]) -> Piece:
    if drawn.kind is not None and drawn.kind != PieceKind.OTHER:
        fitting = [one for one in recognisers if drawn.kind in one.kinds]
        if not fitting:
            kinds = ", ".join(sorted({kind for one in recognisers for kind in one.kinds} | {"other"}))
            raise Refusal(drawn.where, f"no kind of piece is called {drawn.kind!r}", f"there are: {kinds}")
        return _recognised(fitting[0], drawn)
    if drawn.kind is None and not names_edges(drawn):
        sure = [(one.suits(drawn), one.name, one) for one in recognisers]
        best = min(sure, key=lambda one: (-one[0], one[1]), default=None)
        if best is not None and best[0] > 0:
            try:
                piece = _recognised(best[2], drawn)
            except BrokenPlugin:
                raise
            except Refusal as refusal:
                return _doubtful(drawn, best[2], refusal)
            if best[0] < 1 and piece.kind != PieceKind.OTHER:
                by_shape = f"kind: {piece.kind}, by its shape"
                return replace(piece, guessed=(by_shape, *piece.guessed), unsure=(by_shape, *piece.unsure))
            return piece
    return other_piece(drawn)


def _doubtful(drawn: DrawnPiece, recogniser: Recogniser, refusal: Refusal) -> Piece:
    """Make a piece that looks like one of the recogniser's kinds and yet can't be read as one: it is still measured."""
    kinds = " or ".join(recogniser.kinds)
    reason = f"kind: other; it looks like a {kinds}, but {refusal.reason}"
    piece = other_piece(drawn)
    # The note that neither name nor shape says what it is would be wrong here.
    notes = tuple(note for note in piece.guessed if note != UNKNOWN)
    doubt = Doubt(recogniser.kinds, *refusal.parts[1:])
    return replace(piece, guessed=(reason, *notes), unsure=(reason, *piece.unsure), doubt=doubt)


def _recognised(recogniser: Recogniser, drawn: DrawnPiece) -> Piece:
    """Let the recogniser try; where it can't and the outline is open, the gap is what to mend first."""
    try:
        return recogniser.recognise(drawn)
    except BrokenPlugin:
        raise
    except Refusal as refusal:
        gaps = drawn_outline(drawn)[0].gaps
        if not gaps:
            raise
        first, second = max(gaps, key=lambda gap: abs(gap[1] - gap[0]))
        raise Refusal(
            drawn.where,
            f"its outline is open, a gap of {both_ways(abs(second - first))} {on_page(first)}, "
            f"and what it is can't be told",
            "close the path there",
        ) from refusal


def drawn_outline(drawn: DrawnPiece) -> tuple[Outline, bool]:
    """Find the outline to recognise by (of a stitch line the darts bridged), and whether it is only a cut line."""
    if drawn.stitch:
        outline = find_outline(drawn.stitch, f"{drawn.where}: stitch line", drawn.join)
        loop, mouths = find_mouths(outline.loop, outline.gaps)
        return (replace(outline, loop=loop, mouths=mouths) if mouths else outline), False
    if drawn.cut:
        return find_outline(drawn.cut, f"{drawn.where}: cut line", drawn.join), True
    raise Refusal(
        drawn.where,
        "it has no stitch line and no cut line",
        f'draw one on a layer with a name for it, such as "{drawn.name} stitch line"',
    )


def finish_edges(
    drawn: DrawnPiece, edges: Sequence[Edge], loop: Curve, cut_only: bool
) -> tuple[tuple[Edge, ...], tuple[str, ...]]:
    """Put the edges on the stitch line with their allowances; also notes.

    ``edges`` lie on the drawn line, in order round it; with the cut line only they become its inner parallels.
    """
    named = tuple(
        replace(edge, allowance=0.0 if edge.fold else allowance_of(edge.name, drawn.allowances)) for edge in edges
    )
    if cut_only:
        clockwise = sum(edge.curve.area() for edge in edges) + _closing_area(edges) > 0
        return stitch_edges(drawn.where, named, -1.0 if clockwise else 1.0, piece=drawn.name), (
            "stitch line: inner parallel of the cut line",
        )
    if drawn.cut:
        cut = find_outline(drawn.cut, f"{drawn.where}: cut line", drawn.join)
        measured, notes = measured_allowances(named, cut.loop)
        return measured, notes
    return named, ()


def _closing_area(edges: Sequence[Edge]) -> float:
    """Measure what straight joins between edge ends add to the area (edges of a cut line need not touch)."""
    joins = [
        Curve.polyline([a.curve.end, b.curve.start])
        for a, b in zip(edges, [*edges[1:], edges[0]], strict=True)
        if a.curve.end != b.curve.start
    ]
    return sum(join.area() for join in joins)


def collect_marks(
    drawn: DrawnPiece, edges: Sequence[Edge], to_frame: Affine, loop: Curve
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    """Collect what is drawn on the piece and moves with it, in its frame; also what is unsure of its notches.

    ``loop``: the drawn outline, page mm.
    """
    notches = find_ticks(drawn, loop)
    placed, doubts = place_notches(edges, notches.found, to_frame)
    marks = list(placed)
    for kind, curves in (
        ("grain line", drawn.grain),
        ("bicep line", drawn.bicep),
        ("centre line", drawn.centre),
        ("fold line", drawn.fold),
    ):
        if curves:
            marks.append(Mark(kind, tuple(curve.transform(to_frame) for curve in curves)))
    for shape in drawn.details:
        marks.append(Mark(MarkKind.DETAIL, tuple(curve.transform(to_frame) for curve in shape.curves), name=shape.name))
    for text in drawn.texts:
        way = to_frame.apply_vector(text.direction)
        marks.append(Mark(MarkKind.TEXT, text=replace(text, at=to_frame.apply(text.at), direction=way)))
    return (*marks, *own_marks(drawn, to_frame)), (*doubts, *notches.left_out)


def drawn_lines(drawn: DrawnPiece) -> tuple[str, ...]:
    """Say which lines the drawing has."""
    return tuple(name for name, shapes in (("stitch", drawn.stitch), ("cut", drawn.cut)) if shapes)


def other_piece(drawn: DrawnPiece) -> Piece:
    """Make a piece of no known kind: edges numbered, or named by a person (svgfit.pattern.recognise.named_edges)."""
    outline, cut_only = drawn_outline(drawn)
    notes = [UNKNOWN] if drawn.kind is None and not names_edges(drawn) else []
    return plain_piece(drawn, "other", outline, cut_only, named_sides(drawn, outline), notes)


def plain_piece(
    drawn: DrawnPiece, kind: str, outline: Outline, cut_only: bool, edges: Sequence[Edge], notes: Sequence[str]
) -> Piece:
    """Make a piece of these edges of its drawn outline, up along its grain (or the page), centred on its box."""
    notes = list(notes)
    unsure: list[str] = []
    grain = find_grain(drawn)
    up = grain.along if grain is not None else -1j
    up = up if up.imag <= 0 else -up
    finished, more, why = _finished_or_plain(drawn, edges, outline, cut_only, named=kind != PieceKind.OTHER)
    unsure += [f"stitch line: taken to be the cut line, since {why}"] if why else []
    notes += [*unsure, *more]
    turned = Curve.chain([edge.curve for edge in finished]).transform(placement(0j, up * 1j, up).inverse())
    left, top, right, bottom = turned.bounds()
    place = placement(placement(0j, up * 1j, up).apply(complex((left + right) / 2, (top + bottom) / 2)), up * 1j, up)
    back = place.inverse()
    local = tuple(replace(edge, curve=edge.curve.transform(back)) for edge in finished)
    marks, doubts = collect_marks(drawn, local, back, outline.loop)
    landmarks = [Landmark(name, back.apply(at)) for name, at in drawn.landmarks]
    notes += doubts
    return build_piece(drawn, kind, local, place, outline, marks, landmarks, notes, (*unsure, *doubts))


def _finished_or_plain(
    drawn: DrawnPiece, edges: Sequence[Edge], outline: Outline, cut_only: bool, *, named: bool
) -> tuple[tuple[Edge, ...], tuple[str, ...], str]:
    """Finish the edges; or take the cut line for the stitch line, and say why: no allowance, or no room for it.

    Raises Refusal where there is no room and the edges have names of their own, which figures go by.
    """
    plain = tuple(replace(edge, allowance=0.0) for edge in edges)
    if cut_only and allowance_of("all", drawn.allowances) is None:
        return plain, (), "no seam allowance is known"
    try:
        return (*finish_edges(drawn, edges, outline.loop, cut_only), "")
    except Refusal as refusal:
        if named or not cut_only or names_edges(drawn):
            raise
        return plain, (), refusal.parts[1]


def build_piece(
    drawn: DrawnPiece,
    kind: str,
    edges: tuple[Edge, ...],
    place: Affine,
    outline: Outline,
    marks: tuple[Mark, ...],
    landmarks: Sequence[Landmark],
    notes: Sequence[str],
    unsure: Collection[str] = (),
) -> Piece:
    """Build the piece from its edges in its own frame, its darts put back; ``place`` lays it on the page.

    ``unsure``: those of ``notes`` that can change a figure. What was done to the drawn line can, and so can a dart
    that is guessed.
    """
    back = place.inverse()
    edges, darts, more = put_darts_back(edges, outline.mouths, back, drawn.details)
    lines = [(edge.name, edge.curve) for edge in edges] if drawn.stitch else _longest_side(outline)
    lengths = length_notes(lines, outline.loop)
    on_the_page = [replace(edge, curve=edge.curve.transform(place)) for edge in edges]
    if drawn.stitch:
        lengths += _cut_corners(on_the_page)
    else:
        _refuse_crossing(drawn, on_the_page)
        lengths += unproved(on_the_page, outline.loop)
    cut = outline
    if drawn.stitch and drawn.cut:
        cut = find_outline(drawn.cut, f"{drawn.where}: cut line", drawn.join)
        lengths += _of_cut_line(cut)
    told = {*unsure, *(note for note in more if DRAWN_INSIDE in note), *outline.notes, *lengths}
    guessed = (*notes, *more, *outline.notes, *lengths)
    return Piece(
        drawn.file,
        drawn.name,
        kind,
        edges,
        place,
        drawn.size,
        marks,
        tuple(landmarks),
        drawn_lines(drawn),
        guessed,
        tuple((back.apply(a), back.apply(b)) for a, b in outline.gaps),
        darts=darts,
        cut=_drawn_cut(drawn, cut, edges, darts, back),
        corners=drawn.corners,
        unsure=tuple(note for note in guessed if note in told),
    )


def _refuse_crossing(drawn: DrawnPiece, edges: Sequence[Edge]) -> None:
    """Raise NoPiece where a stitch line made from a cut line crosses itself, as the cut line does not."""
    at = outline_crossing(Curve.chain([edge.curve for edge in edges]))
    if at is None or outline_crossing(drawn_outline(drawn)[0].loop) is not None:
        return
    edge = min(edges, key=lambda one: one.curve.nearest(at)[1])
    what = f"the stitch line inside its cut line would cross itself in the {edge.name}, {on_page(at)}"
    raise NoPiece(drawn.where, what, "draw its stitch line as well, or state a narrower seam allowance")


def _cut_corners(edges: Sequence[Edge]) -> list[str]:
    """Tell of edges, on the page, that end with a short straight line behind a corner of their own."""
    found = [
        (edge.name, line)
        for edge in edges
        for line in (_short_end(edge.curve.reverse()), _short_end(edge.curve))
        if line is not None
    ]
    return [
        f"{name}: its last {both_ways(abs(line.end - line.start))} {on_page(line.start)} are a straight line across "
        "the corner; its length, and its neighbour's, are not sure"
        for name, line in found
    ]


def _short_end(curve: Curve) -> Curve | None:
    """Return a curve's end where it is a short straight line behind a corner."""
    gone = 0.0
    for k in range(len(curve) - 1, 0, -1):
        gone += abs(complex(curve.segments[k, 3] - curve.segments[k, 0]))
        if gone > CUT_CORNER:
            return None
        into, out = curve.tangent(float(k), before=True), curve.tangent(float(k))
        if into and out and abs(float(np.angle(out * into.conjugate()))) > CORNER:
            end = curve.subcurve(float(k), float(len(curve)))
            return end if end.is_straight() else None
    return None


def _longest_side(outline: Outline) -> list[tuple[str, Curve]]:
    sides = find_sides(outline.loop, outline.bridges)
    return [("cut line", max(sides, key=lambda side: side.length(1e-2)))]


def _of_cut_line(cut: Outline) -> list[str]:
    """Say what was done to the cut line beside a stitch line: its allowances are measured from it."""
    notes = [f"cut line: {note.removeprefix('outline: ')}" for note in cut.notes]
    gaps = [f"{both_ways(abs(end - start))} {on_page(start)}" for start, end in cut.gaps]
    return [*notes, *([f"cut line: it is open and bridged straight, by {', '.join(gaps[:4])}"] if gaps else [])]


def _drawn_cut(
    drawn: DrawnPiece, cut: Outline, edges: tuple[Edge, ...], darts: tuple[Dart, ...], back: Affine
) -> DrawnCut | None:
    """Take the drawn cut line into the piece's frame, to run as the edges do; None where none is drawn round them."""
    if not drawn.cut or any(edge.allowance is None for edge in edges) or not any(edge.allowance for edge in edges):
        return None
    return drawn_cut(cut.loop.transform(back), edges, darts)


def highest(curve: Curve, level: float = 1e-7) -> complex:
    """Find the highest point (least y) of a curve in a piece's frame; of a stretch level to ``level`` mm its middle."""
    t = curve.level_places(1j)
    heights = curve.points(t).imag
    tops = np.flatnonzero(heights <= heights.min() + level)
    first = last = int(tops[0])
    while last + 1 in tops and curve.points(np.array([(t[last] + t[last + 1]) / 2])).imag[0] <= heights.min() + level:
        last += 1
    return curve.point(float(t[first] + t[last]) / 2)
