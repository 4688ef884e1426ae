"""Notches along seams as sewn: where they stand from the underarm point, and how they are moved. Piece frame, mm."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.measure import shoulder_distance
from svgfit.fitting.ride_along import ride_along_edge
from svgfit.fitting.sewn import SewnRow, place_along, row_marks, sewn_distance, sewn_length, shoulder_at
from svgfit.model.cap_turn import CapTurn
from svgfit.model.piece import Landmark, Mark, Piece
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, Side
from svgfit.rules.notches import AT_SHOULDER


class NotchPlace(Struct, frozen=True):
    """A notch on a seam."""

    piece: Piece
    """The piece that it stands on."""
    mark: Mark
    """The notch itself."""
    from_underarm: float
    """How far from its own underarm point, along the seam as sewn, darts closed; a turn on purpose taken back."""
    way: int
    """+1 where further up is further from the edge's front or underarm end, else −1."""


NotchPlaces = Mapping[str, tuple[NotchPlace, ...]]
"""The notches of each side, front and back, from the underarm up."""


def cap_notches(sleeve: Piece) -> NotchPlaces:
    """List the cap's notches (no shoulder notch) by side, which meet at the shoulder notch, else at the cap top.

    Of a sleeve that is turned on purpose (svgfit.model.cap_turn) each is told where it would stand unturned: that is
    where the armhole's is to meet it.
    """
    turn = CapTurn.of(sleeve)
    whole = sewn_length(sleeve, EdgeName.CAP)
    middle = shoulder_distance(sleeve)
    sides: dict[str, list[NotchPlace]] = {Side.FRONT: [], Side.BACK: []}
    for mark in sleeve.notches(EdgeName.CAP):
        if mark.at is not None:
            at = sewn_distance(sleeve, EdgeName.CAP, mark.at)
            front = at < middle
            sides[Side.FRONT if front else Side.BACK].append(
                NotchPlace(sleeve, mark, at + turn.notches if front else whole - at - turn.notches, 1 if front else -1)
            )
    return _in_order(sides)


def armhole_notches(row: SewnRow) -> NotchPlaces:
    """List the armhole's notches by side, which meet where the shoulder notch does; none that stands for it."""
    middle = shoulder_at(row)[0]
    sides: dict[str, list[NotchPlace]] = {Side.FRONT: [], Side.BACK: []}
    for at, mark, part in row_marks(row):
        if mark.kind == MarkKind.NOTCH and abs(at - middle) > AT_SHOULDER:
            front = at < middle
            up, way = (at, 1) if front else (row.length - at, -1)
            sides[Side.FRONT if front else Side.BACK].append(
                NotchPlace(part.piece, mark, up, -way if part.turned else way)
            )
    return _in_order(sides)


def _in_order(sides: Mapping[str, list[NotchPlace]]) -> NotchPlaces:
    """Sort each side's notches from the underarm up."""
    return {side: tuple(sorted(found, key=lambda notch: notch.from_underarm)) for side, found in sides.items()}


def notch_mismatch(sleeve: Piece, row: SewnRow) -> float:
    """Measure how far the lowest notches of cap and armhole lie apart from the underarm (mm); of two sides the more.

    0 where no side has a notch on both seams.
    """
    cap, armhole = cap_notches(sleeve), armhole_notches(row)
    return max(
        (
            abs(cap[side][0].from_underarm - armhole[side][0].from_underarm)
            for side in cap
            if cap[side] and armhole[side]
        ),
        default=0.0,
    )


def slide_notch(piece: Piece, mark: Mark, by: float) -> tuple[Piece, Mark]:
    """Move a notch ``by`` mm along its edge (positive: away from the edge's front or underarm end).

    The notch is turned with the seam. Its landmark, if it is the shoulder notch, goes with it. Refuse a move off the
    edge. Raises ValueError for a mark that is no notch, or none of the piece's (an equal one is).
    """
    drawn = next((one for one in piece.marks if one is mark), None)
    mark = next((one for one in piece.marks if one == mark), mark) if drawn is None else drawn
    if mark.at is None or mark.edge is None:
        raise ValueError(f"slide_notch: a {mark.kind} of {piece.title} stands on no edge")
    if not any(one is mark for one in piece.marks):
        raise ValueError(f"slide_notch: the {mark.kind} of the {mark.edge} given is none of the marks of {piece.title}")
    curve, there = place_along(piece, mark.edge, sewn_distance(piece, mark.edge, mark.at) + by)
    new = ride_along_edge(mark, curve, curve.nearest(mark.at)[0], curve, there)
    marks = tuple(new if one is mark else one for one in piece.marks)
    landmarks = tuple(
        replace(one, at=new.at) if mark.kind == MarkKind.SHOULDER_NOTCH == one.name else one for one in piece.landmarks
    )
    return replace(piece, marks=marks, landmarks=landmarks), new


def with_shoulder_notch(sleeve: Piece, distance: float) -> Piece:
    """Put the sleeve's shoulder notch ``distance`` mm along the cap from the front underarm point.

    A drawn one is moved there; where there is none, one is made (without a line of its own: it is drawn as long as the
    seam allowance is wide).
    """
    curve, there = place_along(sleeve, EdgeName.CAP, distance)
    point = curve.point(there)
    drawn = next((mark for mark in sleeve.marks if mark.kind == MarkKind.SHOULDER_NOTCH and mark.at is not None), None)
    if drawn is not None and drawn.at is not None:
        sleeve, _ = slide_notch(sleeve, drawn, distance - sewn_distance(sleeve, EdgeName.CAP, drawn.at))
    else:
        sleeve = replace(sleeve, marks=(*sleeve.marks, Mark(MarkKind.SHOULDER_NOTCH, (), EdgeName.CAP, point)))
    others = tuple(mark for mark in sleeve.landmarks if mark.name != LandmarkName.SHOULDER_NOTCH)
    return replace(sleeve, landmarks=(*others, Landmark(LandmarkName.SHOULDER_NOTCH, point)))
