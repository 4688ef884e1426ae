"""Shoulders: which pieces have one, what is sewn to what there, its tip moved. Piece frame, mm, y down."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from msgspec import Struct

from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.sewn import kept_stretches, neighbour, sewn_distance, sewn_edge, sewn_length
from svgfit.fitting.shift import Knot, Movements, shift_edges
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.vocabulary import EdgeName, PieceKind
from svgfit.rules.armholes import LEAST_REDRAWN

AT_CORNER = 1e-3
"""An edge that ends nearer than this to a corner (mm) ends there."""


class Shoulder(Struct, frozen=True, kw_only=True):
    """The shoulder of one front or back."""

    piece: Piece
    """The piece."""
    tip: complex
    """Where shoulder seam and armhole meet."""
    neck: complex
    """The other end of the shoulder seam."""
    neckline: str
    """The edge that meets the shoulder seam at the neck."""
    ways: tuple[complex, complex]
    """From tip to neck as sewn, darts closed: as it lies at the tip as drawn, and as it lies at the neck."""

    @property
    def beside_underarm(self) -> str:
        """The edge that meets the armhole at its underarm point, such as the side seam."""
        armhole = self.piece.edge(EdgeName.ARMHOLE)
        return neighbour(self.piece, armhole, at_start=abs(armhole.from_front().end - self.tip) < AT_CORNER)[0].name

    @property
    def length(self) -> float:
        """Of the shoulder seam as sewn, darts closed, mm."""
        return sewn_length(self.piece, EdgeName.SHOULDER)

    @property
    def drop(self) -> float:
        """How far the tip lies below the neck point along the grain, as drawn, mm."""
        return self.tip.imag - self.neck.imag

    @property
    def outwards(self) -> int:
        """+1 where the tip lies to the right of the neck point, else −1."""
        return 1 if self.tip.real >= self.neck.real else -1


def find_shoulder(piece: Piece) -> Shoulder | None:
    """Find the shoulder of a front or back; None where shoulder seam and armhole are none of its, or don't meet."""
    bodice = piece.kind in (PieceKind.FRONT, PieceKind.BACK)
    if not (bodice and piece.has_edge(EdgeName.SHOULDER) and piece.has_edge(EdgeName.ARMHOLE)):
        return None
    edge = piece.edge(EdgeName.SHOULDER)
    curve = edge.from_front()
    beside = [neighbour(piece, edge, at_start=at_start)[0].name for at_start in (True, False)]
    if EdgeName.ARMHOLE not in beside:
        return None
    sewn, kept = sewn_edge(piece, EdgeName.SHOULDER), kept_stretches(piece, EdgeName.SHOULDER)[1]
    ways = [one.motion.inverse().apply_vector(sewn.end - sewn.start) for one in (kept[0], kept[-1])]
    if beside[0] == EdgeName.ARMHOLE:
        return Shoulder(piece=piece, tip=curve.start, neck=curve.end, neckline=beside[1], ways=(ways[0], ways[1]))
    return Shoulder(piece=piece, tip=curve.end, neck=curve.start, neckline=beside[0], ways=(-ways[1], -ways[0]))


def shoulders(pieces: Iterable[Piece], names: Collection[str] = ()) -> tuple[Shoulder, ...]:
    """Find the shoulders of the fronts and backs of these names; () for every name."""
    found = (find_shoulder(piece) for piece in pieces if not names or piece.name in names)
    return tuple(one for one in found if one is not None)


def shoulder_pairs(pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[tuple[Shoulder, Shoulder], ...]:
    """Find which fronts are sewn to which backs along the shoulder: (front, back) each, in the order of the seams."""
    by_name = {one.name: found for one in pieces if (found := find_shoulder(one)) is not None}
    pairs: list[tuple[Shoulder, Shoulder]] = []
    for seam in seams:
        if len(seam.a) != 1 or len(seam.b) != 1 or {EdgeName.SHOULDER} != {seam.a[0][1], seam.b[0][1]}:
            continue
        found = sorted(
            (by_name[name] for name, _ in (seam.a[0], seam.b[0]) if name in by_name),
            key=lambda one: one.piece.kind != PieceKind.FRONT,
        )
        if [one.piece.kind for one in found] == [PieceKind.FRONT, PieceKind.BACK]:
            pairs.append((found[0], found[1]))
    return tuple(pairs)


def sleeves_at(names: Collection[str], pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[Piece, ...]:
    """Find the sleeves whose armhole runs over one of the pieces of these names."""
    return tuple(
        sleeve
        for sleeve in pieces
        if sleeve.kind == PieceKind.SLEEVE
        and (row := armhole_row(sleeve, pieces, seams)) is not None
        and any(part.piece.name in names for part in row.parts)
    )


def upper_armhole(piece: Piece, edge: str = EdgeName.ARMHOLE) -> float:
    """Find where the upper part of an armhole begins: its lowest notch, else half-way up; mm from its underarm point.

    A notch so near to either end that too short a curve is left (``LEAST_REDRAWN``) is passed over.
    """
    whole = sewn_length(piece, edge)
    places = (sewn_distance(piece, edge, mark.at) for mark in piece.notches(edge) if mark.at is not None)
    return min((at for at in places if LEAST_REDRAWN < at / whole < 1 - LEAST_REDRAWN), default=whole / 2)


def move_tip(shoulder: Shoulder, by: complex, *, keep: float | None, laid: Iterable[str] = ()) -> Piece:
    """Move a shoulder's tip: its seam is laid between neck point and tip, the armhole goes along.

    ``keep``: so many mm of the armhole from its underarm point stay, and the movement runs out there; None: the whole
    armhole moves as one, and the edges of ``laid`` follow its lower end.
    """
    whole = sewn_length(shoulder.piece, EdgeName.ARMHOLE)
    knots = (Knot(0.0, by),) if keep is None else (Knot(keep, 0j, level=True), Knot(whole, by))
    return shift_edges(shoulder.piece, {EdgeName.ARMHOLE: Movements(knots)}, (EdgeName.SHOULDER, *laid))
