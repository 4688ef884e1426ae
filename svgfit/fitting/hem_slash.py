"""What else would make a cap edge longer, and what it costs: a slash hinged at the hem, a raised cap, a wider bicep.

Worked out on the piece itself with the slash engine, for showing and for choosing; nothing here changes the piece.
Sleeve frame, mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from svgfit.fitting.bicep import stretch_cap
from svgfit.fitting.measure import bicep_level, bicep_width, cap_height
from svgfit.fitting.movement_search import smallest_movement
from svgfit.fitting.sewn import sewn_length
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import SpreadPiece, spread
from svgfit.fitting.truing import true
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind

ROUGHLY = 0.05
"""How near (mm) a movement's gain must come: these figures are for a person to choose by."""


class HemSlash(Struct, frozen=True, kw_only=True):
    """The centre line slashed from the cap top to a hinge at the hem, and opened."""

    top: complex
    """The cap top."""
    hinge: complex
    """Where the line ends at the hem."""
    angle: float
    """By which the two sides part, radians."""
    opening: float
    """At the cap, straight across, mm."""
    bicep: float
    """What the bicep gains, mm."""

    def sides(self) -> tuple[complex, complex]:
        """Return where the two cut ends of the cap come to lie if each side turns by half the angle."""
        front, back = (Affine.turn(way * self.angle / 2, self.hinge).apply(self.top) for way in (1, -1))
        return (front, back) if front.real > back.real else (back, front)


def hem_slash(piece: Piece, wanted: float) -> HemSlash | None:
    """Find the opening that makes the cap edge ``wanted`` mm longer once trued; None: there is none, or nothing to do.

    The sleeve is slashed along the grain through the cap top; its back turns about a hinge where that line meets the
    far side, and the cap edge is trued across the opening.
    """
    if wanted <= ROUGHLY:
        return None
    plain = _without_top(piece)
    top, hinge = _centre_line(plain)
    if hinge is None:
        return None
    slash = Slash((top - 50j, hinge), moves=plain.landmark(LandmarkName.UNDERARM_BACK), hinge=hinge)
    radius = abs(top - hinge)

    def opened(opening: float) -> SpreadPiece:
        return spread(plain, slash, Affine.turn(-2 * math.asin(min(1.0, opening / (2 * radius))), hinge))

    opening = _movement(plain, opened, wanted, min(2 * wanted, radius))
    if opening is None:
        return None
    new = opened(opening).piece
    width = abs(new.landmark(LandmarkName.UNDERARM_FRONT) - new.landmark(LandmarkName.UNDERARM_BACK))
    width_before = abs(piece.landmark(LandmarkName.UNDERARM_FRONT) - piece.landmark(LandmarkName.UNDERARM_BACK))
    angle = 2 * math.asin(opening / (2 * radius))
    return HemSlash(top=top, hinge=hinge, angle=angle, opening=opening, bicep=width - width_before)


def raise_needed(piece: Piece, wanted: float) -> float | None:
    """Find by how much a level slash must raise the cap to make its edge ``wanted`` mm longer; None where none does.

    The slash runs half way between the higher notch and the cap top.
    """
    level, height = bicep_level(piece), cap_height(piece)
    notches = [level - mark.at.imag for mark in piece.notches(EdgeName.CAP) if mark.at is not None]
    at = (max(notches, default=0.0) + height) / 2
    left, _, right, _ = piece.outline().bounds()
    points = complex(right + 10, level - at), complex(left - 10, level - at)
    slash = Slash(points, moves=piece.landmark(LandmarkName.CAP_TOP))
    return _movement(piece, lambda up: spread(piece, slash, Affine.shift(-1j * up)), wanted, wanted)


def widening_needed(piece: Piece, wanted: float) -> float | None:
    """Find by how much the bicep must widen, cap height kept, to make the cap edge ``wanted`` mm longer; None: never.

    As a sleeve is widened with its height kept: both halves of the cap stretched sideways.
    """
    before = sewn_length(piece, EdgeName.CAP, 1e-4)

    def gain(by: float) -> float | None:
        try:
            return sewn_length(stretch_cap(piece, by / 2), EdgeName.CAP, 1e-4) - before
        except Refusal:
            return None

    return smallest_movement(gain, wanted, (0.0, bicep_width(piece)), accuracy=ROUGHLY, steps=3).movement


def _movement(piece: Piece, spread_by: Callable[[float], SpreadPiece], wanted: float, furthest: float) -> float | None:
    """Find the movement that brings ``wanted`` mm of cap edge; None where none does."""
    before = sewn_length(piece, EdgeName.CAP, 1e-4)

    def gain(movement: float) -> float | None:
        try:
            return sewn_length(true(spread_by(movement))[0], EdgeName.CAP, 1e-4) - before
        except Refusal:
            return None

    return smallest_movement(gain, wanted, (0.0, furthest), accuracy=ROUGHLY, steps=2).movement


def _without_top(piece: Piece) -> Piece:
    """Leave out what would stop truing at the cap top itself."""
    return replace(
        piece,
        marks=tuple(mark for mark in piece.marks if mark.kind != MarkKind.SHOULDER_NOTCH),
        landmarks=tuple(
            mark for mark in piece.landmarks if mark.name not in (LandmarkName.CAP_TOP, LandmarkName.SHOULDER_NOTCH)
        ),
    )


def _centre_line(piece: Piece) -> tuple[complex, complex | None]:
    """Find the highest point of the cap, and where the grain through it meets the far side of the piece."""
    cap = piece.edge(EdgeName.CAP).curve
    places = cap.points(cap.level_places(1j))
    top = complex(places[int(places.imag.argmin())])
    return top, _far_side(piece.outline(), top)


def _far_side(outline: Curve, top: complex) -> complex | None:
    """Find where the grain line down from the top meets the outline last."""
    met = [outline.point(t) for t in outline.crossings(top + 1j, complex(top.real, outline.bounds()[3] + 10))]
    return max(met, key=lambda point: point.imag, default=None)
