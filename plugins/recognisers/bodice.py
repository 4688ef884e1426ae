"""Knows bodice fronts and backs: armhole, side seam, shoulder, neckline, centre or fold, hem."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct

from svgfit.plugin import (
    Affine,
    Curve,
    DrawnPiece,
    Edge,
    Landmark,
    Piece,
    Recogniser,
    Refusal,
    hookimpl,
    recognising,
    replace,
    rules,
)

CORNERS = ("underarm", "shoulder tip", "neck point", "neck centre", "hem centre", "hem side")
"""A bodice's landmarks, each where one of its edges begins; below a yoke it has no neck point."""
WORD = r"[^\W\d_]+"
YOKE_SEAM = "yoke seam"
"""What the edge is called that takes the shoulder's place below a yoke."""
LONGEST_EDGE = "centre: the longest straight edge along the grain"
SIDES = 8
"""A whole front or back has so many edges."""
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
    words = re.findall(WORD, recognising.in_english(name))
    if "facing" in words or "lining" in words or "yoke" in words or {*words} & {*rules.plausible.NO_BODICE}:
        return None
    return next((kind for kind in ("front", "back") if kind in words), None)


def suits(drawn: DrawnPiece) -> float:
    """Give 1 where the name says front or back (and not sleeve), 0.5 where its shape and notches do, else 0."""
    name = recognising.in_english(drawn.name)
    if "sleeve" in name or {*re.findall(WORD, name)} & {*rules.plausible.NO_BODICE}:
        return 0.0
    if named_kind(drawn.name) is not None:
        return 1.0
    try:
        recognise(drawn)
    except Refusal:
        return 0.0
    return 0.5


def recognise(drawn: DrawnPiece) -> Piece:
    """Recognise a bodice piece, in its own frame; raises Refusal, with what to add, where it can't tell."""
    marked = [at for name, at in drawn.landmarks if _is_corner(name)]
    found = recognising.drawn_sides(drawn, 6, marked, over_jogs=True)
    grain = recognising.find_grain(drawn)
    axis = recognising.find_mirror_axis(found.outline.loop)
    if axis is not None and (grain is None or recognising.off_square(grain.along, axis.along * 1j) < ALONG_AXIS):
        whole = _whole(drawn, found, axis)
        if whole is not None:
            return whole
    if grain is None:
        raise Refusal(drawn.where, "no grain, fold or centre line is drawn, so up is not known", "draw the grain line")
    notes = [f"grain: {grain.source}; no grain line is drawn"] if grain.guessed else []
    unsure: list[str] = []
    try:
        layout, up = _lay_out(drawn, found, grain.along, notes)
    except Refusal:
        if not found.jogs:
            raise
        found = recognising.parted_again(drawn, found, 6, marked)
        layout, up = _lay_out(drawn, found, grain.along, notes)
    unsure += [note for note in notes if note == LONGEST_EDGE]
    unsure += recognising.jog_notes(drawn, found.jogs, CORNERS)
    kind, how = _kind(drawn, layout, found)
    unsure += [how] if how else []
    notes += [note for note in unsure if note not in notes]
    fold = _is_fold(drawn, layout.centre)
    edges = [
        Edge("armhole", layout.armhole.reverse()),
        Edge("shoulder" if layout.neckline else YOKE_SEAM, layout.shoulder.reverse()),
        *([Edge("neckline", layout.neckline.reverse())] if layout.neckline else []),
        Edge("fold" if fold else "centre", layout.centre.reverse(), fold=fold),
        Edge("hem", layout.hem.reverse()),
        Edge("side seam", layout.side.reverse()),
    ]
    finished, more = recognising.finished_edges(drawn, found, edges)
    notes += more
    all_marked = sum(_is_corner(name) for name, _ in drawn.landmarks) >= len(finished)
    odd = recognising.refuse_flaw(drawn, kind, flaw_of(finished, up), marked=all_marked)
    unsure += [odd] if odd else []
    notes += [odd] if odd else []
    origin = finished[0].curve.start
    towards = recognising.facing(up * 1j, recognising.midpoint(finished[-3].curve) - origin)
    place = recognising.placement(origin, towards if kind == "front" else -towards, up)
    return _piece(drawn, kind, found, finished, place, notes, unsure)


def _whole(drawn: DrawnPiece, found: recognising.DrawnSides, axis: recognising.MirrorAxis) -> Piece | None:
    """Name and measure the edges of a whole front or back; of no kind that half-piece steps work on, which is told.

    None for what has too few corners for one. Raises Refusal where it has more and its edges can't be told.
    """
    v_neck = any(axis.crosses_widely(mouth.start, mouth.end) for mouth in found.outline.mouths)
    found = recognising.parted_again(drawn, found, SIDES, over_darts=not v_neck)
    edges = recognising.whole_edges(found.sides, axis)
    if edges is None and len(found.sides) < SIDES:
        return None
    if edges is None:
        raise Refusal(drawn.where, f"{WHOLE}, and its edges can't be told", HALVE)
    kind = drawn.kind or named_kind(drawn.name)
    reason = f"kind: other; {WHOLE}, and half a {kind or 'bodice'} is needed for steps that change one; {HALVE}"
    piece = recognising.finished_piece(drawn, "other", found, edges, unsure=[reason])
    return replace(piece, doubt=recognising.Doubt((kind,) if kind else ("front", "back"), WHOLE, HALVE))


def _piece(
    drawn: DrawnPiece,
    kind: str,
    found: recognising.DrawnSides,
    finished: Sequence[Edge],
    place: Affine,
    notes: Sequence[str],
    unsure: Sequence[str],
) -> Piece:
    back = place.inverse()
    backwards = {"side seam"}
    edges = tuple(
        Edge(e.name, e.curve.transform(back), e.allowance, e.fold, backwards=e.name in backwards) for e in finished
    )
    given = {name for name, _ in drawn.landmarks}
    names = CORNERS if len(edges) == len(CORNERS) else [name for name in CORNERS if name != "neck point"]
    corners = dict(zip(names, (edge.curve.start for edge in edges), strict=True))
    landmarks = [Landmark(name, at, name not in given) for name, at in corners.items()]
    landmarks += [Landmark(name, back.apply(at)) for name, at in drawn.landmarks if name not in corners]
    marks, doubts = recognising.drawn_marks(drawn, found, edges, place)
    return recognising.placed_piece(
        drawn,
        kind,
        found,
        edges,
        place,
        marks=marks,
        landmarks=landmarks,
        guessed=(*notes, *doubts),
        unsure=(*unsure, *doubts),
    )


def _is_corner(name: str) -> bool:
    return name in CORNERS


def _lay_out(
    drawn: DrawnPiece, found: recognising.DrawnSides, along: complex, notes: list[str]
) -> tuple[Layout, complex]:
    sides = found.sides
    named = {name: at for name, at in drawn.landmarks if _is_corner(name)}
    if len(named) == 6 or (len(named) == len(sides) == 5 and "neck point" not in named):
        layout = _by_landmarks(drawn, sides, named)
        return layout, recognising.facing(along, layout.shoulder.start - layout.side.end)
    too_few = Refusal(
        drawn.where,
        f"its outline has {len(sides)} corners where a bodice has six (underarm, shoulder tip, neck point, neck "
        "centre, hem centre, hem side)",
        WHAT_TO_MARK,
    )
    if len(sides) < 5:
        raise too_few
    centre = _find_centre(drawn, found, along)
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
    return layout, recognising.facing(along, layout.centre.end - layout.centre.start)


def _find_centre(drawn: DrawnPiece, found: recognising.DrawnSides, along: complex) -> int:
    # A cut line lies an allowance off the centre line, and ends in the hem's mirrored allowance.
    near, bend = 3.0, 0.01
    if found.cut_only:
        near, bend = near + (recognising.allowance_of("centre", drawn.allowances) or 0.0), 0.03
    marked = [
        (line.nearest(recognising.midpoint(side))[1], k)
        for k, side in enumerate(found.sides)
        for line in (*drawn.fold, *drawn.centre)
        if line.nearest(recognising.midpoint(side))[1] < near and side.nearest(recognising.midpoint(line))[1] < near
    ]
    if marked:
        return min(marked)[1]
    best: list[tuple[float, int]] = []
    for k, side in enumerate(found.sides):
        chord = side.end - side.start
        if abs(chord) < 1e-6:
            continue
        slant = abs(float(np.angle((chord / along) ** 2))) / 2
        if slant < 0.09 and abs(recognising.sagitta(side)) < bend * abs(chord):
            best.append((abs(chord), k))
    if not best:
        todo = WHAT_TO_MARK if drawn.fold or drawn.centre else "draw the centre or fold line"
        raise Refusal(drawn.where, "no centre or fold edge along the grain was found", todo)
    return max(best)[1]


def _by_order(ring: Sequence[Curve], along: complex) -> tuple[float, Layout] | None:
    """Give roles by order, the ring starting with the centre walked upwards; None where they can't be."""
    clockwise = Curve.chain(ring).area() > 0
    hollows = [(recognising.hollowness(side, clockwise), k) for k, side in enumerate(ring) if 3 <= k <= len(ring) - 3]
    if not hollows:
        return None
    depth, k = max(hollows)
    if depth <= 0:
        return None
    neckline, shoulder = recognising.join_sides(ring[1 : k - 1]), ring[k - 1]
    side, hem = ring[k + 1], recognising.join_sides(ring[k + 2 :])
    layout = Layout(ring[0], neckline, shoulder, ring[k], side, hem)
    # A side seam runs along the grain and a hem across it, more than shoulder and neckline do; a hem is hardly hollow.
    score = _lengthwise(side, along) - _lengthwise(shoulder, along)
    return score + _bend(neckline) - _bend(hem), layout


def _below_yoke(ring: Sequence[Curve], along: complex) -> tuple[float, Layout] | None:
    """Give five sides their roles: centre, yoke seam, armhole, side seam, hem; None where they don't look so.

    The seam at the yoke runs straight across, or else it is shoulder and neckline with too blunt a corner between.
    """
    centre, top, armhole, side, hem = ring
    depth = recognising.hollowness(armhole, Curve.chain(ring).area() > 0)
    straight = abs(recognising.sagitta(top)) < 0.08 * abs(top.end - top.start)
    if depth <= 0.02 or not straight or _lengthwise(top, along) > 0.5 or _lengthwise(side, along) < 0.7:
        return None
    return depth + _lengthwise(side, along), Layout(centre, None, top, armhole, side, hem)


def _bend(side: Curve) -> float:
    return abs(recognising.sagitta(side)) / max(abs(side.end - side.start), 1e-9)


def _lengthwise(side: Curve, along: complex) -> float:
    chord = side.end - side.start
    return abs((chord * along.conjugate()).real) / max(abs(chord), 1e-9)


def _by_landmarks(drawn: DrawnPiece, sides: Sequence[Curve], named: Mapping[str, complex]) -> Layout:
    order = [name for name in ("hem centre", *CORNERS[3::-1], "hem side") if name in named]
    runs = recognising.runs_between(drawn.where, sides, [(name, named[name]) for name in order])
    return Layout(*runs) if len(runs) == len(CORNERS) else Layout(runs[0], None, *runs[1:])


def _is_fold(drawn: DrawnPiece, centre: Curve) -> bool:
    at = recognising.midpoint(centre)
    return any(line.nearest(at)[1] < 3 for line in drawn.fold)


def _kind(drawn: DrawnPiece, layout: Layout, found: recognising.DrawnSides) -> tuple[str, str]:
    if drawn.kind is not None and drawn.kind in ("front", "back"):
        return drawn.kind, ""
    named = named_kind(drawn.name)
    if named is not None:
        return named, ""
    count = sum(
        1
        for tick in recognising.ticks(drawn, found.outline.loop)
        if layout.armhole.nearest(tick.point)[1] < rules.notches.FARTHEST_FROM_SEAM
    )
    if count in (1, 2):
        return ("front" if count == 1 else "back"), "front or back: by the number of notches on the armhole"
    raise Refusal(
        drawn.where,
        "front and back can't be told apart",
        "name it so, draw one notch on a front's armhole and two on a back's, or write "
        f'{recognising.spell(("pieces", drawn.name, "kind"))} = "front" or "back" in svgfit.toml',
    )


def flaw_of(edges: Sequence[Edge], up: complex) -> str | None:
    """Say what keeps these edges from being a bodice's, "up" being a direction on the page; None where nothing does."""
    return next(_flaws({edge.name: edge.curve for edge in edges}, up), None)


def _flaws(lines: Mapping[str, Curve], up: complex) -> Iterator[str]:
    armhole, side, hem = lines["armhole"], lines["side seam"], lines["hem"]
    hole = armhole.length(1e-2)
    neckline, shoulder = lines.get("neckline"), lines.get("shoulder")
    if neckline is not None and shoulder is not None:
        yield from recognising.share_flaw(
            "neckline", neckline.length(1e-2) / hole, rules.plausible.NECKLINE_TO_ARMHOLE, "the armhole's length"
        )
        yield from recognising.share_flaw(
            "shoulder", shoulder.length(1e-2) / hole, rules.plausible.SHOULDER_TO_ARMHOLE, "the armhole's length"
        )
        if recognising.steepness(shoulder, up) > rules.plausible.STEEPEST_SHOULDER:
            yield "its shoulder would run along the grain rather than across it"
        tip, neck = (
            recognising.across(armhole.end, neckline.end, up),
            recognising.across(neckline.start, neckline.end, up),
        )
        if not 0 < neck / tip < 1 if tip else True:
            yield "its neck point would not lie between centre and shoulder tip"
    if (
        recognising.steepness(armhole, up) < rules.plausible.FLATTEST_ARMHOLE
        or recognising.along(armhole.end - armhole.start, up) < 0
    ):
        yield "its armhole would not climb from the underarm to the shoulder"
    if recognising.steepness(side, up) < rules.plausible.FLATTEST_SEAM:
        yield "its side seam would run across the grain"
    if recognising.steepness(hem, up) > rules.plausible.STEEPEST_HEM:
        yield "its hem would run along the grain"
    if recognising.along(side.end - side.start, up) * recognising.along(armhole.end - armhole.start, up) < 0:
        yield "its side seam would run upwards from the underarm"


@hookimpl
def svgfit_recognisers() -> Iterable[Recogniser]:
    """Offer one recogniser for both."""
    return [Recogniser("bodice", ("front", "back"), suits, recognise)]
