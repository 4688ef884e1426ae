"""The layer ``working lines``: what a person would have drawn in pencil. Lines at once, labels to be placed later."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.report import Annotation
from svgfit.model.vocabulary import AnnotationKind, Figure, MarkKind
from svgfit.render.annotate import svg_shapes
from svgfit.render.annotate.ink import Ink, owned
from svgfit.render.annotate.labels import Label
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import in_nest, size_lead
from svgfit.render.annotate.scene import WORKING, Scene
from svgfit.render.sleeve_points import sleeve_points

_OVER = 14.0
"""How far a construction line runs past what it is drawn through, full size, mm."""
_SAME = 0.05
"""Amounts closer than this (mm) are one amount."""
_ORDER = (
    AnnotationKind.CONSTRUCTION,
    AnnotationKind.OLD_EDGE,
    AnnotationKind.SLASH,
    AnnotationKind.CUT_END,
    AnnotationKind.ARROW,
    AnnotationKind.HINGE,
)


def all_notes(scene: Scene) -> tuple[Annotation, ...]:
    """Join the operations' working lines and those that every sleeve should have, in the order of drawing."""
    every = [*_missing(scene), *scene.annotations]
    every.sort(key=lambda note: _ORDER.index(note.kind) if note.kind in _ORDER else len(_ORDER))
    return tuple(every)


def working_ink(
    scene: Scene, notes: Sequence[Annotation], style: PageStyle
) -> tuple[tuple[Ink, ...], tuple[Label, ...]]:
    """Draw working lines, and give the labels that go with them."""
    ink: list[Ink] = []
    labels: list[Label] = []
    for note in notes:
        piece = piece_of(note.piece, scene.after)
        if piece is not None:
            ink.extend(owned(_note_ink(note, piece, style.scale), piece))
            if not _repeats_opening(note, scene):
                lead = size_lead(piece, alone=not in_nest(piece, scene.after))
                labels.extend(_note_label(note, piece, style, lead))
    return tuple(ink), tuple(labels)


def piece_of(title: str, pieces: Sequence[Piece]) -> Piece | None:
    """Find the piece that an annotation or opening speaks of: by title (name and size), else by name."""
    exact = next((piece for piece in pieces if piece.title == title), None)
    return exact or next((piece for piece in pieces if piece.name == title), None)


def layer_of(note: Annotation) -> str:
    """Say on which of our layers a working line lies: a plug-in's own is a further layer of working lines."""
    return f"{WORKING}/{note.line.layer}" if note.line is not None and note.line.layer else WORKING


def _repeats_opening(note: Annotation, scene: Scene) -> bool:
    """Tell whether an arrow without words would only repeat the amount that the label of an opening gives."""
    if note.kind != AnnotationKind.ARROW or note.label or note.length is None:
        return False
    amount = abs(note.length)
    return any(one.piece == note.piece and abs(abs(one.width) - amount) < _SAME for one in scene.openings)


def _note_ink(note: Annotation, piece: Piece, scale: float) -> Iterable[Ink]:
    curve = note.curve.transform(piece.placement) if note.curve is not None else None
    layer, kind = layer_of(note), note.line or note.kind
    if note.kind == AnnotationKind.ARROW and curve is not None:
        yield from svg_shapes.arrow(WORKING, curve.start, curve.end, scale)
    elif curve is not None:
        yield svg_shapes.curves(layer, kind, [curve], scale)
    if note.point is not None:
        at = piece.placement.apply(note.point)
        if note.kind == AnnotationKind.HINGE:
            yield svg_shapes.ring(WORKING, note.kind, at, scale)
        else:
            yield svg_shapes.cross(layer, kind, at, scale)


def _note_label(note: Annotation, piece: Piece, style: PageStyle, lead: str) -> Iterable[Label]:
    amount = (
        style.units.length(abs(note.length))
        if note.length is not None and note.kind != AnnotationKind.CONSTRUCTION
        else ""
    )
    words = " ".join(part for part in (note.label, amount) if part)
    if not words:
        return
    words = f"{lead}{words}" if amount else words
    towards = piece.placement.apply_vector(1 - 0.4j)
    if note.kind == AnnotationKind.ARROW and note.curve is not None:
        at, along = (note.curve.start + note.curve.end) / 2, note.curve.end - note.curve.start
        if along:
            towards = piece.placement.apply_vector(along * (1j if along.imag < 0 else -1j))
    elif note.curve is not None:
        straight = note.curve.end - note.curve.start
        at = (
            note.curve.start + straight * 0.86
            if note.kind == AnnotationKind.CONSTRUCTION
            else note.curve.point(len(note.curve) / 2)
        )
        if straight:
            towards = piece.placement.apply_vector(straight * (1j if straight.real < 0 else -1j))
    elif note.point is not None:
        at = note.point
    else:
        return
    yield Label(
        layer_of(note),
        (words,),
        piece.placement.apply(at),
        towards,
        style.size * (0.85 if note.kind == AnnotationKind.CONSTRUCTION else 1.0),
        leader=note.kind != AnnotationKind.CONSTRUCTION,
        dot=False,
        of=piece,
    )


def _missing(scene: Scene) -> Iterable[Annotation]:
    """Add bicep line, centre line and cap height of a sleeve, where neither the drawing nor an operation drew them."""
    for piece in scene.after:
        points = sleeve_points(piece)
        if points is None:
            continue
        front, back, top = points.front, points.back, points.top
        drawn = {mark.kind for mark in piece.marks if mark.curves}
        drawn |= {
            note.label for note in scene.annotations if note.kind == AnnotationKind.CONSTRUCTION and _is_of(note, piece)
        }
        if MarkKind.BICEP_LINE not in drawn:
            line = Curve.polyline([complex(back.real, points.level), complex(front.real, points.level)])
            yield Annotation(
                AnnotationKind.CONSTRUCTION, piece.title, curve=line, label=_bicep_words(front, back, scene.units)
            )
        if MarkKind.CENTRE_LINE not in drawn:
            yield Annotation(
                AnnotationKind.CONSTRUCTION, piece.title, curve=_centre_line(piece, top), label=MarkKind.CENTRE_LINE
            )
        if Figure.CAP_HEIGHT not in drawn:
            half = 0.13 * abs(front - back)
            line = Curve.polyline([top - half, top + half])
            yield Annotation(AnnotationKind.CONSTRUCTION, piece.title, curve=line, label="")


def _is_of(note: Annotation, piece: Piece) -> bool:
    return note.piece in (piece.title, piece.name)


def _bicep_words(front: complex, back: complex, units: Units) -> str:
    off = abs(front.imag - back.imag)
    return "bicep line" if off < 0.05 else f"bicep line (front and back {units.length(off)} apart)"


def _centre_line(piece: Piece, top: complex) -> Curve:
    """Draw a line along the grain from the cap top to the far side of the piece."""
    outline = piece.outline()
    box = outline.bounds()
    far = complex(top.real, box[3] + _OVER)
    crossings = [outline.point(t) for t in outline.crossings(top + 1j, far)]
    end = max((at.imag for at in crossings), default=box[3])
    return Curve.polyline([top, complex(top.real, end)])
