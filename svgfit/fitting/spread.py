"""Spread: cut a piece along slashes and move its parts rigidly, each with everything that stands on it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.parts import parts_moved
from svgfit.fitting.ride_along import move_mark
from svgfit.fitting.slash import ON_SEAM, Cut, Slash, cut
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.operation import Movement
from svgfit.model.piece import Dart, Mark, Piece
from svgfit.model.vocabulary import MarkKind

STRAIGHT_ON = frozenset({MarkKind.GRAIN_LINE, MarkKind.CENTRE_LINE, MarkKind.FOLD_LINE})
"""Lines that go straight on through an opening."""


Cuts = tuple[tuple[Cut, Affine], ...]
"""Cuts, each with the motion of the part that it moves."""


class Fragment(Struct, frozen=True):
    """A stretch of an edge between cuts: where it was (parameters of the old edge) and where it lies now."""

    curve: Curve
    """Where it lies now."""
    start: float
    """Where it began, a parameter of the old edge."""
    end: float
    """Where it ended, a parameter of the old edge."""
    motion: Affine | None = None
    """How it was moved; None where it stayed."""

    @property
    def moved(self) -> bool:
        """Tell whether it was moved."""
        return self.motion is not None


class SpreadPiece(Struct, frozen=True):
    """A piece cut and moved, its edges not yet trued. ``piece`` holds the old edges, the marks already moved."""

    piece: Piece
    """The piece with its old edges, its marks moved."""
    before: Piece
    """The piece as it was."""
    cuts: tuple[tuple[Cut, Affine], ...]
    """Where each slash met the outline, and how the part that it moves was moved, in the order in which they were."""
    fragments: tuple[tuple[Fragment, ...], ...]
    """For each edge of the piece, in order."""

    @property
    def cut(self) -> Cut:
        """Where the (first) slash met the outline; ``cut.line`` is its polyline."""
        return self.cuts[0][0]

    @property
    def motion(self) -> Affine:
        """How the part that the (first) slash moves was moved."""
        return self.cuts[0][1]

    @property
    def moved(self) -> tuple[Movement, ...]:
        """Return every part, for the ``Outcome`` of a step that made these cuts and no more."""
        return parts_moved(self.before, self.cuts)


def spread(piece: Piece, slash: Slash | Cut, motion: Affine) -> SpreadPiece:
    """Cut ``piece`` along ``slash`` and move the part that ``slash.moves`` names by ``motion``.

    Notches, grain line, texts and drawn details ride on the part they stand on; a grain or centre line that crosses
    the slash continues straight through the opening, up to where its moved end comes to lie along it. A bicep line
    stays. Refuse (Refusal) a slash that does not run through, or a hinge off the seam.
    """
    return spread_each(piece, ((slash, motion),))


def spread_each(piece: Piece, slashes: Sequence[tuple[Slash | Cut, Affine]]) -> SpreadPiece:
    """Cut ``piece`` along several slashes, each of which moves one side of it; else as ``spread``.

    A part that several slashes move has all their motions, one after the other. The slashes are those of the piece as
    it lies before any of it moves; they may meet in one point, and share a stretch, but not cross.
    """
    cuts = tuple((slash if isinstance(slash, Cut) else cut(piece, slash), motion) for slash, motion in slashes)
    fragments: list[tuple[Fragment, ...]] = []
    offset = 0.0
    for edge in piece.edges:
        fragments.append(_fragments(edge.curve, offset, cuts))
        offset += len(edge.curve)
    moved = piece
    for k in range(len(cuts)):
        moved = _moved_along(piece, moved, cuts, k)
    return SpreadPiece(moved, piece, cuts, tuple(fragments))


def _moved_along(piece: Piece, moved: Piece, cuts: Cuts, k: int) -> Piece:
    """Move what stands on the part that the ``k``-th cut moves; ``piece``: where everything stood before all cuts."""
    found, motion = cuts[k]
    return replace(
        moved,
        marks=tuple(_move_mark(was, now, found, motion) for was, now in zip(piece.marks, moved.marks, strict=True)),
        landmarks=tuple(
            replace(now, at=_new_point(was.at, now.at, found, motion))
            for was, now in zip(piece.landmarks, moved.landmarks, strict=True)
        ),
        darts=tuple(_move_dart(was, now, found, motion) for was, now in zip(piece.darts, moved.darts, strict=True)),
    )


def motion_at(cuts: Cuts, t: float) -> Affine | None:
    """Return how a place of the outline (its parameter) was moved: all motions, in order; None where it stayed."""
    whole: Affine | None = None
    for found, motion in cuts:
        if found.moved(t):
            whole = motion if whole is None else whole.then(motion)
    return whole


def _fragments(curve: Curve, offset: float, cuts: Cuts) -> tuple[Fragment, ...]:
    """Split an edge at the cuts, each stretch where it lies now; ``offset``: the loop parameter of the edge's start."""
    n = float(len(curve))
    places = [0.0, n]
    for found, _ in cuts:
        whole = float(len(found.loop))
        for t in (found.start, found.end):
            for local in (t - offset, t - whole - offset):
                if 1e-9 < local < n - 1e-9 and all(abs(local - place) > 1e-9 for place in places):
                    places.append(local)
    stops = sorted(places)
    parts: list[Fragment] = []
    for a, b in itertools.pairwise(stops):
        motion = motion_at(cuts, offset + (a + b) / 2)
        stretch = curve if len(stops) == 2 else curve.subcurve(a, b)
        parts.append(Fragment(stretch if motion is None else stretch.transform(motion), a, b, motion))
    return tuple(parts)


def _move_dart(was: Dart, now: Dart, found: Cut, motion: Affine) -> Dart:
    """Move each point of a dart with the part that it stands on."""
    names = ("start", "apex", "end")
    return replace(now, **{name: _new_point(getattr(was, name), getattr(now, name), found, motion) for name in names})


def _new_point(was: complex, now: complex, found: Cut, motion: Affine) -> complex:
    """Return where a point of the piece comes to lie: ``was`` before all cuts, ``now`` after the cuts before this."""
    at, away = found.loop.nearest(was)
    moves = found.moved(at) if away < ON_SEAM * 1000 else found.holds(was)
    return motion.apply(now) if moves else now


def _move_mark(was: Mark, now: Mark, found: Cut, motion: Affine) -> Mark:
    """Move a mark with the part that it stands on; a bicep line stays."""
    if was.kind == MarkKind.BICEP_LINE:
        return now
    if was.at is not None:
        moves = found.moved(found.loop.nearest(was.at)[0])
    elif was.text is not None:
        moves = found.holds(was.text.at)
    else:
        straight = was.kind in STRAIGHT_ON or was.kind == MarkKind.DETAIL
        pairs = zip(was.curves, now.curves, strict=True)
        return replace(now, curves=tuple(_move_curve(one, at, found, motion, straight=straight) for one, at in pairs))
    return move_mark(now, motion) if moves else now


def _move_curve(was: Curve, now: Curve, found: Cut, motion: Affine, *, straight: bool) -> Curve:
    """Move a line of a mark with the part its middle stands on; a ``straight`` one across the cut goes straight on."""
    first, last = found.holds(was.start), found.holds(was.end)
    chord = now.end - now.start
    if straight and first != last and abs(chord) > 0 and now.is_straight():
        unit = chord / abs(chord)
        end = now.start if first else now.end
        moved = motion.apply(end)
        anchor = now.end if first else now.start
        on_line = anchor + unit * ((moved - anchor) * unit.conjugate()).real
        return Curve.polyline([on_line, now.end] if first else [now.start, on_line])
    return now.transform(motion) if found.holds(was.point(len(was) / 2)) else now
