"""unfold: a half piece on its fold made whole, so that its two sides can differ.

The fold is no edge any more; what ran into it runs over it in one line, square to it. All else is there twice, named
left and right. Grain and texts stay as drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from svgfit.plugin import (
    Affine,
    Curve,
    Dart,
    Edge,
    Instructions,
    Job,
    Landmark,
    Mark,
    Measurement,
    Operation,
    Outcome,
    Parameter,
    Piece,
    Seam,
    alterations,
    beside,
    edgework,
    hookimpl,
    recognising,
    replace,
    rules,
    sewing,
)

ON_FOLD = 0.01
"""What lies nearer than this to the fold (mm) lies on it."""
GRAIN, FOLD, CENTRE, NOTCHES = "grain line", "fold line", "centre line", ("notch", "shoulder notch")
SIDES = ("left", "right")
WHOLE = "it is whole, its two sides drawn"
HALVE = "draw half of it and its fold line, or name its edges in svgfit.toml"


def run(job: Job) -> Outcome:
    """Mirror the half about its fold, join what runs over it, name the rest by sides, sew both sides; then measure."""
    piece = job.piece
    assert piece is not None
    folds = [edge for edge in piece.edges if edge.fold]
    if len(folds) != 1 or not folds[0].curve.is_straight(0.1):
        raise job.refuse("it has no one straight fold", "name a piece that is cut on the fold")
    (fold,) = folds
    if any(dart.edge == fold.name for dart in piece.darts):
        raise job.refuse("a dart lies in the fold", "move it out of the fold first")
    name = job.values.get("name", f"{piece.name} whole")
    if any(one.name == name for one in job.pieces):
        raise job.refuse(f"there is a piece {name} already", "give another name=")
    drawn, squared = _squared(job, piece, fold)
    own, other = SIDES[::-1] if not piece.placement.mirrors else SIDES
    whole = _whole(drawn, fold, own, other, name)
    laid = beside(whole, job.pieces)
    kind = piece.kind if piece.kind in ("front", "back") else ""
    doubt = recognising.Doubt((kind,) if kind else ("front", "back"), WHOLE, HALVE)
    laid = replace(laid, doubt=doubt) if kind else laid
    notes = [f"{laid.title}: left and right are the wearer's, the outside of the cloth up"]
    if any(mark.text is not None and "fold" in mark.text.content.casefold() for mark in piece.marks):
        notes.append(f"{laid.title}: its text still speaks of a fold: it is cut once, open")
    return Outcome(
        (*(one for one in job.pieces if one is not piece), laid),
        tuple(Measurement(f"{edge.name} length", sewing.sewn_length(laid, edge.name)) for edge in laid.edges),
        warnings=(*squared, *notes),
        dropped=(piece.title,),
        seams=tuple(_seams(job, piece, laid)),
    )


def _squared(job: Job, piece: Piece, fold: Edge) -> tuple[Piece, list[str]]:
    """Square to the fold what meets it nearly so; leave what comes to a point there, as a V-neck does."""
    notes: list[str] = []
    way = fold.curve.end - fold.curve.start
    k = [edge.name for edge in piece.edges].index(fold.name)
    ends = ((k - 1, fold.curve.start), (k + 1, fold.curve.end))
    for at, corner in ends:
        name = piece.edges[at % len(piece.edges)].name
        off = alterations.off_square(piece, name, corner, way)
        if 1e-6 < off < rules.smoothness.CORNER:
            piece = alterations.square_end(piece, name, corner, way, rules.truing.SQUARED)
            if off > rules.truing.SQUARE:
                notes.append(f"{piece.title}: its {name} met the fold {math.degrees(off):.1f}° off square: squared")
    return piece, notes


def _whole(piece: Piece, fold: Edge, own: str, other: str, name: str) -> Piece:
    """Make the whole piece, in a frame about the middle of its box, lying where the half lies."""
    mirror = Affine.mirror(fold.curve.start, fold.curve.end)
    k = [edge.name for edge in piece.edges].index(fold.name)
    half = (*piece.edges[k + 1 :], *piece.edges[:k])
    first, last = half[0].name, half[-1].name
    joined = {first, last}

    def named(edge: str, side: str) -> str:
        return edge if edge in joined else f"{edge} {side}"

    over = {edge.name: edge.curve.transform(mirror).reverse() for edge in half}
    middle = [replace(edge, name=named(edge.name, own)) for edge in half[1:-1]]
    back = [
        replace(edge, name=named(edge.name, other), curve=over[edge.name], backwards=not edge.backwards)
        for edge in half[-2:0:-1]
    ]
    ring = [replace(half[0], curve=Curve.chain([over[first], half[0].curve])), *middle]
    if len(half) > 1:
        ring += [replace(half[-1], curve=Curve.chain([half[-1].curve, over[last]])), *back]

    def on_fold(point: complex) -> bool:
        return abs(mirror.apply(point) - point) < ON_FOLD

    marks: list[Mark] = []
    for mark in piece.marks:
        if mark.edge == fold.name:
            continue
        edge = mark.edge
        kept = replace(mark, edge=None if edge is None else named(edge, own))
        marks.append(replace(kept, kind=CENTRE) if mark.kind == FOLD else kept)
        again = mark.kind not in (GRAIN, FOLD, CENTRE) and mark.text is None
        if again and not (mark.at is not None and on_fold(mark.at)):
            marks.append(_mirrored(mark, mirror, None if edge is None else named(edge, other)))
    landmarks: list[Landmark] = []
    for one in piece.landmarks:
        if on_fold(one.at):
            landmarks.append(one)
            continue
        landmarks += [
            replace(one, name=f"{one.name} {own}"),
            replace(one, name=f"{one.name} {other}", at=mirror.apply(one.at)),
        ]
    darts = [replace(dart, edge=named(dart.edge, own)) for dart in piece.darts]
    darts += [
        Dart(named(dart.edge, other), mirror.apply(dart.end), mirror.apply(dart.apex), mirror.apply(dart.start))
        for dart in piece.darts
    ]
    whole = replace(
        piece,
        name=name,
        kind="other",
        edges=edgework.close_outline(ring),
        marks=tuple(marks),
        landmarks=tuple(landmarks),
        darts=tuple(darts),
        cut=None,
    )
    left, top, right, bottom = whole.outline().bounds()
    centre = complex(left + right, top + bottom) / 2
    moved = edgework.move_piece(whole, Affine.shift(-centre))
    return replace(moved, placement=Affine.shift(centre).then(piece.placement))


def _mirrored(mark: Mark, mirror: Affine, edge: str | None) -> Mark:
    """Mirror what is drawn of a mark."""
    return replace(
        mark,
        curves=tuple(curve.transform(mirror) for curve in mark.curves),
        at=None if mark.at is None else mirror.apply(mark.at),
        edge=edge,
    )


def _seams(job: Job, half: Piece, whole: Piece) -> Iterable[Seam]:
    """Sew each side of the whole piece to what its half was sewn to; to the same side of that, where it has two."""
    there = {edge.name for edge in whole.edges}
    for seam in job.seams:
        rows = (*seam.a, *seam.b)
        if not any(name == half.name for name, _ in rows):
            continue
        sided = [side for side in SIDES if any(edge.endswith(f" {side}") for name, edge in rows if name != half.name)]

        def row(edges: tuple[tuple[str, str], ...], side: str) -> tuple[tuple[str, str], ...]:
            return tuple(
                (whole.name, edge if edge in there else f"{edge} {side}") if name == half.name else (name, edge)
                for name, edge in edges
            )

        made = {(row(seam.a, side), row(seam.b, side)): side for side in sided or SIDES}
        for (a, b), side in made.items():
            ease = None if seam.ease is None else replace(seam.ease, eased=row(seam.ease.eased, side))
            yield replace(seam, a=a, b=b, ease=ease)


@hookimpl
def svgfit_operations() -> Iterable[Operation]:
    """Offer the operation."""
    name = Parameter("name", "text", "what the new piece is called", default_text="the piece's name and: whole")
    return [
        Operation(
            "unfold",
            "Makes a half piece on its fold whole, so that its two sides can differ; laid beside, sewn on both sides.",
            (name,),
            run,
            instructions=Instructions(title="Unfold the piece", asked={"name": "called {}"}),
            kinds=("any",),
            answers=("one side of the body differs from the other", "one shoulder or hip is lower than the other"),
        ),
    ]
