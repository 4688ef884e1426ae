"""Spread: cut a piece along a slash and move one part rigidly, with everything that stands on it."""

from __future__ import annotations

import itertools

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.parts import parts_moved
from svgfit.fitting.slash import ON_SEAM, Cut, Slash, cut
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Text
from svgfit.model.operation import Movement
from svgfit.model.piece import Dart, Landmark, Mark, Piece

STRAIGHT_ON = frozenset({"grain line", "centre line", "fold line"})


class Fragment(Struct, frozen=True):
    """A stretch of an edge between cuts: where it was (parameters of the old edge) and where it lies now."""

    curve: Curve
    moved: bool
    start: float
    end: float


class Parted(Struct, frozen=True):
    """A piece cut and moved, its edges not yet trued. ``piece`` holds the old edges, the marks already moved."""

    piece: Piece
    before: Piece
    motion: Affine
    cut: Cut
    fragments: tuple[tuple[Fragment, ...], ...]
    """For each edge of the piece, in order."""

    @property
    def moved(self) -> tuple[Movement, ...]:
        """Both parts, for the ``Outcome`` of a step that made this one cut."""
        return parts_moved(self.before, ((self.cut, self.motion),))


def spread(piece: Piece, slash: Slash, motion: Affine) -> Parted:
    """Cut ``piece`` along ``slash`` and move the part that ``slash.moves`` names by ``motion``.

    Notches, grain line, texts and drawn details ride on the part they stand on; a grain or centre line that crosses
    the slash continues straight through the opening, up to where its moved end comes to lie along it. A bicep line
    stays. Refuses (Refusal) a slash that does not run through, or a hinge off the seam.
    """
    found = cut(piece, slash)
    fragments: list[tuple[Fragment, ...]] = []
    offset = 0.0
    for edge in piece.edges:
        fragments.append(_part(edge.curve, offset, found, motion))
        offset += len(edge.curve)
    marks = tuple(_ride(mark, found, motion) for mark in piece.marks)
    landmarks = tuple(_follow(mark, found, motion) for mark in piece.landmarks)
    darts = tuple(_with_darts(dart, found, motion) for dart in piece.darts)
    moved = replace(piece, marks=marks, landmarks=landmarks, darts=darts)
    return Parted(moved, piece, motion, found, tuple(fragments))


def _part(curve: Curve, offset: float, found: Cut, motion: Affine) -> tuple[Fragment, ...]:
    n, whole = float(len(curve)), float(len(found.loop))
    places = {0.0, n}
    for t in (found.start, found.end):
        for local in (t - offset, t - whole - offset):
            if 1e-9 < local < n - 1e-9:
                places.add(local)
    stops = sorted(places)
    parts: list[Fragment] = []
    for a, b in itertools.pairwise(stops):
        moved = found.moved(offset + (a + b) / 2)
        stretch = curve if len(stops) == 2 else curve.subcurve(a, b)
        parts.append(Fragment(stretch.transform(motion) if moved else stretch, moved, a, b))
    return tuple(parts)


def _with_darts(dart: Dart, found: Cut, motion: Affine) -> Dart:
    """The dart, each of its points with the part that it stands on."""
    points = {name: _carried(getattr(dart, name), found, motion) for name in ("start", "apex", "end")}
    return replace(dart, **points)


def _follow(mark: Landmark, found: Cut, motion: Affine) -> Landmark:
    return replace(mark, at=_carried(mark.at, found, motion))


def _carried(point: complex, found: Cut, motion: Affine) -> complex:
    """Where a point of the piece comes to lie."""
    at, away = found.loop.nearest(point)
    moves = found.moved(at) if away < ON_SEAM * 1000 else found.carries(point)
    return motion.apply(point) if moves else point


def _ride(mark: Mark, found: Cut, motion: Affine) -> Mark:
    if mark.kind == "bicep line":
        return mark
    if mark.at is not None:
        moves = found.moved(found.loop.nearest(mark.at)[0])
    elif mark.text is not None:
        moves = found.carries(mark.text.at)
    else:
        straight = mark.kind in STRAIGHT_ON or mark.kind == "detail"
        curves = tuple(_ride_curve(curve, found, motion, straight=straight) for curve in mark.curves)
        return replace(mark, curves=curves)
    if not moves:
        return mark
    return replace(
        mark,
        curves=tuple(curve.transform(motion) for curve in mark.curves),
        at=None if mark.at is None else motion.apply(mark.at),
        text=None if mark.text is None else move_text(mark.text, motion),
    )


def _ride_curve(curve: Curve, found: Cut, motion: Affine, *, straight: bool) -> Curve:
    first, last = found.carries(curve.start), found.carries(curve.end)
    chord = curve.end - curve.start
    if straight and first != last and abs(chord) > 0 and curve.is_straight():
        unit = chord / abs(chord)
        end = curve.start if first else curve.end
        moved = motion.apply(end)
        anchor = curve.end if first else curve.start
        on_line = anchor + unit * ((moved - anchor) * unit.conjugate()).real
        return Curve.polyline([on_line, curve.end] if first else [curve.start, on_line])
    middle = curve.point(len(curve) / 2)
    return curve.transform(motion) if found.carries(middle) else curve


def move_text(text: Text, motion: Affine) -> Text:
    """A text carried along; its size stays."""
    direction = motion.apply_vector(text.direction)
    return replace(text, at=motion.apply(text.at), direction=direction / abs(direction))
