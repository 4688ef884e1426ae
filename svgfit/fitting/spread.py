"""Spread: cut a piece along a slash and move one part rigidly, with everything that stands on it."""

from __future__ import annotations

import itertools

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.parts import parts_moved
from svgfit.fitting.ride_along import move_mark
from svgfit.fitting.slash import ON_SEAM, Cut, Slash, cut
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.operation import Movement
from svgfit.model.piece import Dart, Landmark, Mark, Piece
from svgfit.model.vocabulary import MarkKind

STRAIGHT_ON = frozenset({MarkKind.GRAIN_LINE, MarkKind.CENTRE_LINE, MarkKind.FOLD_LINE})
"""Lines that go straight on through an opening."""


class Fragment(Struct, frozen=True):
    """A stretch of an edge between cuts: where it was (parameters of the old edge) and where it lies now."""

    curve: Curve
    """Where it lies now."""
    moved: bool
    """Whether it lies on the part that moved."""
    start: float
    """Where it began on the old edge, as a parameter."""
    end: float
    """Where it ended there."""


class SpreadPiece(Struct, frozen=True):
    """A piece cut and moved, its edges not yet trued. ``piece`` holds the old edges, the marks already moved."""

    piece: Piece
    """The piece with its old edges, its marks moved."""
    before: Piece
    """The piece as it was."""
    motion: Affine
    """How the part moved."""
    cut: Cut
    """Where the slash met the outline; ``cut.line`` is its polyline."""
    fragments: tuple[tuple[Fragment, ...], ...]
    """For each edge of the piece, in order."""

    @property
    def moved(self) -> tuple[Movement, ...]:
        """Return both parts, for the ``Outcome`` of a step that made this one cut."""
        return parts_moved(self.before, ((self.cut, self.motion),))


def spread(piece: Piece, slash: Slash, motion: Affine) -> SpreadPiece:
    """Cut ``piece`` along ``slash`` and move the part that ``slash.moves`` names by ``motion``.

    Notches, grain line, texts and drawn details ride on the part they stand on; a grain or centre line that crosses
    the slash continues straight through the opening, up to where its moved end comes to lie along it. A bicep line
    stays. Refuse (Refusal) a slash that does not run through, or a hinge off the seam.
    """
    found = cut(piece, slash)
    fragments: list[tuple[Fragment, ...]] = []
    offset = 0.0
    for edge in piece.edges:
        fragments.append(_fragments(edge.curve, offset, found, motion))
        offset += len(edge.curve)
    marks = tuple(_move_mark(mark, found, motion) for mark in piece.marks)
    landmarks = tuple(_move_landmark(mark, found, motion) for mark in piece.landmarks)
    darts = tuple(_move_dart(dart, found, motion) for dart in piece.darts)
    moved = replace(piece, marks=marks, landmarks=landmarks, darts=darts)
    return SpreadPiece(moved, piece, motion, found, tuple(fragments))


def _fragments(curve: Curve, offset: float, found: Cut, motion: Affine) -> tuple[Fragment, ...]:
    """Split an edge at the cut, each stretch where it lies now; ``offset``: the loop parameter of the edge's start."""
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


def _move_dart(dart: Dart, found: Cut, motion: Affine) -> Dart:
    """Move each point of a dart with the part that it stands on."""
    points = {name: _new_point(getattr(dart, name), found, motion) for name in ("start", "apex", "end")}
    return replace(dart, **points)


def _move_landmark(mark: Landmark, found: Cut, motion: Affine) -> Landmark:
    """Move a landmark with the part that it stands on."""
    return replace(mark, at=_new_point(mark.at, found, motion))


def _new_point(point: complex, found: Cut, motion: Affine) -> complex:
    """Return where a point of the piece comes to lie."""
    at, away = found.loop.nearest(point)
    moves = found.moved(at) if away < ON_SEAM * 1000 else found.holds(point)
    return motion.apply(point) if moves else point


def _move_mark(mark: Mark, found: Cut, motion: Affine) -> Mark:
    """Move a mark with the part that it stands on; a bicep line stays."""
    if mark.kind == MarkKind.BICEP_LINE:
        return mark
    if mark.at is not None:
        moves = found.moved(found.loop.nearest(mark.at)[0])
    elif mark.text is not None:
        moves = found.holds(mark.text.at)
    else:
        straight = mark.kind in STRAIGHT_ON or mark.kind == MarkKind.DETAIL
        curves = tuple(_move_mark_curve(curve, found, motion, straight=straight) for curve in mark.curves)
        return replace(mark, curves=curves)
    return move_mark(mark, motion) if moves else mark


def _move_mark_curve(curve: Curve, found: Cut, motion: Affine, *, straight: bool) -> Curve:
    """Move a line of a mark with the part its middle stands on; a ``straight`` one across the cut goes straight on."""
    first, last = found.holds(curve.start), found.holds(curve.end)
    chord = curve.end - curve.start
    if straight and first != last and abs(chord) > 0 and curve.is_straight():
        unit = chord / abs(chord)
        end = curve.start if first else curve.end
        moved = motion.apply(end)
        anchor = curve.end if first else curve.start
        on_line = anchor + unit * ((moved - anchor) * unit.conjugate()).real
        return Curve.polyline([on_line, curve.end] if first else [curve.start, on_line])
    middle = curve.point(len(curve) / 2)
    return curve.transform(motion) if found.holds(middle) else curve
