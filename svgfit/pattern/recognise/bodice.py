"""Knowing a bodice front or back: armhole, side seam, shoulder, neckline, centre or fold, hem."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Doubt, Edge, Landmark, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import spell
from svgfit.model.vocabulary import EdgeName, LandmarkName, PieceKind
from svgfit.pattern.allowance import allowance_of
from svgfit.pattern.corners import (
    Jog,
    find_jogs,
    find_sides,
    hollowness,
    jog_notes,
    join_sides,
    midpoint,
    runs_between,
    sagitta,
)
from svgfit.pattern.cut_only import cut_sides
from svgfit.pattern.languages import in_english
from svgfit.pattern.orientation import facing, find_grain, off_square, placement
from svgfit.pattern.outline import Outline, find_outline
from svgfit.pattern.recognise.choose import build_piece, collect_marks, drawn_outline, finish_edges, plain_piece
from svgfit.pattern.recognise.named_edges import with_directions
from svgfit.pattern.recognise.notches import ticks
from svgfit.pattern.recognise.plausible import bodice_flaw, refuse_flaw
from svgfit.pattern.recognise.whole import CORNERS as SIDES
from svgfit.pattern.recognise.whole import Axis, find_axis, whole_edges
from svgfit.rules.notches import FARTHEST_FROM_SEAM
from svgfit.rules.plausible import NO_BODICE

CORNERS = ("underarm", "shoulder tip", "neck point", "neck centre", "hem centre", "hem side")
"""A bodice's landmarks, each where one of its edges begins; below a yoke it has no neck point."""
WORD = r"[^\W\d_]+"
YOKE_SEAM = "yoke seam"
"""What the edge is called that takes the shoulder's place below a yoke."""
LONGEST_EDGE = "centre: the longest straight edge along the grain"
ALONG_AXIS = 10.0
"""A whole piece's axis runs within so many degrees of its grain."""
WHOLE = "it is drawn whole, its two halves mirror images of each other"
HALVE = "draw half of it and its fold line, or name its edges in svgfit.toml"
WHAT_TO_MARK = (
    'mark "underarm", "shoulder tip", "neck point", "neck centre", "hem centre" and "hem side" on a landmarks layer'
)


class Layout(Struct, frozen=True):
    """A bodice's sides, in order: from the centre's foot up the centre, neckline, shoulder, armhole, side seam, hem."""

    centre: Curve
    neckline: Curve | None
    """None below a yoke that takes the neckline with it; the shoulder is then the seam at the yoke."""
    shoulder: Curve
    armhole: Curve
    side: Curve
    hem: Curve


def named_kind(name: str) -> str | None:
    """Read from the piece's name what it is: "front", "back" or nothing (None)."""
    words = re.findall(WORD, in_english(name))
    if "facing" in words or "lining" in words or PieceKind.YOKE in words or {*words} & {*NO_BODICE}:
        return None
    return next((kind for kind in ("front", "back") if kind in words), None)


def suits_bodice(drawn: DrawnPiece) -> float:
    """Give 1 where the name says front or back (and not sleeve), 0.5 where its shape and notches do, else 0."""
    name = in_english(drawn.name)
    if PieceKind.SLEEVE in name or {*re.findall(WORD, name)} & {*NO_BODICE}:
        return 0.0
    if named_kind(drawn.name) is not None:
        return 1.0
    try:
        recognise_bodice(drawn)
    except Refusal:
        return 0.0
    return 0.5


def recognise_bodice(drawn: DrawnPiece) -> Piece:
    """Recognise a bodice piece, in its own frame; raises Refusal, with what to add, where it can't tell."""
    outline, cut_only = drawn_outline(drawn)
    grain = find_grain(drawn)
    axis = find_axis(outline.loop)
    if axis is not None and (grain is None or off_square(grain.along, axis.along * 1j) < ALONG_AXIS):
        whole = _whole(drawn, outline, cut_only, axis)
        if whole is not None:
            return whole
    if grain is None:
        raise Refusal(drawn.where, "no grain, fold or centre line is drawn, so up is not known", "draw the grain line")
    notes = [f"grain: {grain.source}; no grain line is drawn"] if grain.guessed else []
    unsure: list[str] = []
    jogs: Sequence[Jog] = find_jogs(outline.loop)
    try:
        layout, up = _lay_out(drawn, _sides(drawn, outline, cut_only, jogs), cut_only, grain.along, notes)
    except Refusal:
        if not jogs:
            raise
        jogs = ()
        layout, up = _lay_out(drawn, _sides(drawn, outline, cut_only, jogs), cut_only, grain.along, notes)
    unsure += [note for note in notes if note == LONGEST_EDGE]
    unsure += jog_notes(drawn, jogs)
    kind, how = _kind(drawn, layout, outline)
    unsure += [how] if how else []
    notes += [note for note in unsure if note not in notes]
    fold = _is_fold(drawn, layout.centre)
    edges = [
        Edge(EdgeName.ARMHOLE, layout.armhole.reverse()),
        Edge(EdgeName.SHOULDER if layout.neckline else YOKE_SEAM, layout.shoulder.reverse()),
        *([Edge(EdgeName.NECKLINE, layout.neckline.reverse())] if layout.neckline else []),
        Edge(EdgeName.FOLD if fold else EdgeName.CENTRE, layout.centre.reverse(), fold=fold),
        Edge(EdgeName.HEM, layout.hem.reverse()),
        Edge(EdgeName.SIDE_SEAM, layout.side.reverse()),
    ]
    finished, more = finish_edges(drawn, edges, outline.loop, cut_only)
    notes += more
    marked = sum(_is_corner(name) for name, _ in drawn.landmarks) >= len(finished)
    odd = refuse_flaw(drawn, kind, bodice_flaw(finished, up), marked=marked)
    unsure += [odd] if odd else []
    notes += [odd] if odd else []
    origin = finished[0].curve.start
    towards = facing(up * 1j, midpoint(finished[-3].curve) - origin)
    place = placement(origin, towards if kind == PieceKind.FRONT else -towards, up)
    return _piece(drawn, kind, finished, place, outline, notes, unsure)


def _whole(drawn: DrawnPiece, outline: Outline, cut_only: bool, axis: Axis) -> Piece | None:
    """Name and measure the edges of a whole front or back; of no kind that half-piece steps work on, which is told.

    None for what has too few corners for one. Raises Refusal where it has more and its edges can't be told.
    """
    if any(axis.crosses_widely(mouth.start, mouth.end) for mouth in outline.mouths):  # a V-neck, no dart
        outline = find_outline(drawn.stitch, f"{drawn.where}: stitch line", drawn.join)
    sides = find_sides(outline.loop, outline.bridges)
    if cut_only:
        sides = cut_sides(outline.loop, outline.bridges, drawn.allowances, SIDES)
    edges = whole_edges(sides, axis)
    if edges is None and len(sides) < SIDES:
        return None
    if edges is None:
        raise Refusal(drawn.where, f"{WHOLE}, and its edges can't be told", HALVE)
    kind = drawn.kind or named_kind(drawn.name)
    reason = f"kind: other; {WHOLE}, and half a {kind or 'bodice'} is needed for steps that change one"
    piece = plain_piece(drawn, PieceKind.OTHER, outline, cut_only, with_directions(edges), [f"{reason}; {HALVE}"])
    kinds = (kind,) if kind else (PieceKind.FRONT, PieceKind.BACK)
    doubt = Doubt(tuple(map(str, kinds)), WHOLE, HALVE)
    return replace(piece, doubt=doubt, unsure=(f"{reason}; {HALVE}", *piece.unsure))


def _sides(drawn: DrawnPiece, outline: Outline, cut_only: bool, jogs: Sequence[Jog]) -> list[Curve]:
    """Part the outline at its corners, which those of ``jogs`` are not."""
    gaps = (*outline.bridges, *((jog.start, jog.end) for jog in jogs))
    marked = [at for name, at in drawn.landmarks if _is_corner(name)]
    if not cut_only:
        return find_sides(outline.loop, gaps, extra=marked)
    return cut_sides(outline.loop, gaps, drawn.allowances, 6, marked)


def _piece(
    drawn: DrawnPiece,
    kind: str,
    finished: Sequence[Edge],
    place: Affine,
    outline: Outline,
    notes: Sequence[str],
    unsure: Sequence[str],
) -> Piece:
    back = place.inverse()
    backwards = {"side seam"}
    edges = tuple(
        Edge(e.name, e.curve.transform(back), e.allowance, e.fold, backwards=e.name in backwards) for e in finished
    )
    given = {name for name, _ in drawn.landmarks}
    names = CORNERS if len(edges) == len(CORNERS) else [name for name in CORNERS if name != LandmarkName.NECK_POINT]
    corners = dict(zip(names, (edge.curve.start for edge in edges), strict=True))
    landmarks = [Landmark(name, at, name not in given) for name, at in corners.items()]
    landmarks += [Landmark(name, back.apply(at)) for name, at in drawn.landmarks if name not in corners]
    marks, doubts = collect_marks(drawn, edges, back, outline.loop)
    told = (*unsure, *doubts)
    return build_piece(drawn, kind, edges, place, outline, marks, landmarks, (*notes, *doubts), told)


def _is_corner(name: str) -> bool:
    return name in CORNERS


def _lay_out(
    drawn: DrawnPiece, sides: Sequence[Curve], cut_only: bool, along: complex, notes: list[str]
) -> tuple[Layout, complex]:
    named = {name: at for name, at in drawn.landmarks if _is_corner(name)}
    if len(named) == 6 or (len(named) == len(sides) == 5 and LandmarkName.NECK_POINT not in named):
        layout = _by_landmarks(drawn, sides, named)
        return layout, facing(along, layout.shoulder.start - layout.side.end)
    too_few = Refusal(
        drawn.where,
        f"its outline has {len(sides)} corners where a bodice has six (underarm, shoulder tip, neck point, neck "
        "centre, hem centre, hem side)",
        WHAT_TO_MARK,
    )
    if len(sides) < 5:
        raise too_few
    centre = _find_centre(drawn, sides, cut_only, along)
    if not drawn.fold and not drawn.centre:
        notes.append(LONGEST_EDGE)
    ring = [sides[(centre + k) % len(sides)] for k in range(len(sides))]
    forwards, backwards = ring, [ring[0].reverse(), *(side.reverse() for side in ring[:0:-1])]
    by_order = _below_yoke if len(sides) == 5 else _by_order
    options = [option for ring in (forwards, backwards) if (option := by_order(ring, along)) is not None]
    if not options and len(sides) == 5:
        raise too_few
    if not options:
        raise Refusal(drawn.where, "its armhole can't be told from the other edges", WHAT_TO_MARK)
    score, layout = max(options, key=lambda option: option[0])
    del score
    below = "" if layout.neckline else "; it has no neckline, so it is taken to lie below a yoke"
    notes.append(f"edges: by their order from the centre{below}")
    return layout, facing(along, layout.centre.end - layout.centre.start)


def _find_centre(drawn: DrawnPiece, sides: Sequence[Curve], cut_only: bool, along: complex) -> int:
    # A cut line lies an allowance off the centre line, and ends in the hem's mirrored allowance.
    near, bend = 3.0, 0.01
    if cut_only:
        near, bend = near + (allowance_of("centre", drawn.allowances) or 0.0), 0.03
    marked = [
        (line.nearest(midpoint(side))[1], k)
        for k, side in enumerate(sides)
        for line in (*drawn.fold, *drawn.centre)
        if line.nearest(midpoint(side))[1] < near and side.nearest(midpoint(line))[1] < near
    ]
    if marked:
        return min(marked)[1]
    best: list[tuple[float, int]] = []
    for k, side in enumerate(sides):
        chord = side.end - side.start
        if abs(chord) < 1e-6:
            continue
        slant = abs(float(np.angle((chord / along) ** 2))) / 2
        if slant < 0.09 and abs(sagitta(side)) < bend * abs(chord):
            best.append((abs(chord), k))
    if not best:
        todo = WHAT_TO_MARK if drawn.fold or drawn.centre else "draw the centre or fold line"
        raise Refusal(drawn.where, "no centre or fold edge along the grain was found", todo)
    return max(best)[1]


def _by_order(ring: Sequence[Curve], along: complex) -> tuple[float, Layout] | None:
    """Give roles by order, the ring starting with the centre walked upwards; None where they can't be."""
    clockwise = Curve.chain(ring).area() > 0
    hollows = [(hollowness(side, clockwise), k) for k, side in enumerate(ring) if 3 <= k <= len(ring) - 3]
    if not hollows:
        return None
    depth, k = max(hollows)
    if depth <= 0:
        return None
    neckline, shoulder = join_sides(ring[1 : k - 1]), ring[k - 1]
    side, hem = ring[k + 1], join_sides(ring[k + 2 :])
    layout = Layout(ring[0], neckline, shoulder, ring[k], side, hem)
    # A side seam runs along the grain and a hem across it, more than shoulder and neckline do; a hem is hardly hollow.
    score = _lengthwise(side, along) - _lengthwise(shoulder, along)
    return score + _bend(neckline) - _bend(hem), layout


def _below_yoke(ring: Sequence[Curve], along: complex) -> tuple[float, Layout] | None:
    """Give five sides their roles: centre, yoke seam, armhole, side seam, hem; None where they don't look so.

    The seam at the yoke runs straight across, or else it is shoulder and neckline with too blunt a corner between.
    """
    centre, top, armhole, side, hem = ring
    depth = hollowness(armhole, Curve.chain(ring).area() > 0)
    straight = abs(sagitta(top)) < 0.08 * abs(top.end - top.start)
    if depth <= 0.02 or not straight or _lengthwise(top, along) > 0.5 or _lengthwise(side, along) < 0.7:
        return None
    return depth + _lengthwise(side, along), Layout(centre, None, top, armhole, side, hem)


def _bend(side: Curve) -> float:
    return abs(sagitta(side)) / max(abs(side.end - side.start), 1e-9)


def _lengthwise(side: Curve, along: complex) -> float:
    chord = side.end - side.start
    return abs((chord * along.conjugate()).real) / max(abs(chord), 1e-9)


def _by_landmarks(drawn: DrawnPiece, sides: Sequence[Curve], named: Mapping[str, complex]) -> Layout:
    order = [name for name in ("hem centre", *CORNERS[3::-1], "hem side") if name in named]
    runs = runs_between(drawn.where, sides, [(name, named[name]) for name in order])
    return Layout(*runs) if len(runs) == len(CORNERS) else Layout(runs[0], None, *runs[1:])


def _is_fold(drawn: DrawnPiece, centre: Curve) -> bool:
    at = midpoint(centre)
    return any(line.nearest(at)[1] < 3 for line in drawn.fold)


def _kind(drawn: DrawnPiece, layout: Layout, outline: Outline) -> tuple[str, str]:
    if drawn.kind is not None and drawn.kind in (PieceKind.FRONT, PieceKind.BACK):
        return drawn.kind, ""
    named = named_kind(drawn.name)
    if named is not None:
        return named, ""
    count = sum(1 for tick in ticks(drawn, outline.loop) if layout.armhole.nearest(tick.point)[1] < FARTHEST_FROM_SEAM)
    if count in (1, 2):
        return ("front" if count == 1 else "back"), "front or back: by the number of notches on the armhole"
    raise Refusal(
        drawn.where,
        "front and back can't be told apart",
        "name it so, draw one notch on a front's armhole and two on a back's, or write "
        f'{spell(("pieces", drawn.name, "kind"))} = "front" or "back" in svgfit.toml',
    )
