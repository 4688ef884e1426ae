"""Every measurement of a piece, plug-ins' among them, and the cap's ease against its armholes. Stitch line, mm."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence

from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.sewn import bodice_kind, sewn_distance, sewn_edge, sewn_length, shoulder_at
from svgfit.geometry.curve import Curve
from svgfit.model.cap_turn import CapTurn
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import LoadedMeasurer, Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.vocabulary import EdgeName, Figure, LandmarkName, MeasureUnit, PieceKind, Side, is_of_kinds

MEASURED_EDGES = (
    EdgeName.ARMHOLE,
    EdgeName.SIDE_SEAM,
    EdgeName.SHOULDER,
    "yoke seam",
    EdgeName.FRONT_SEAM,
    EdgeName.BACK_SEAM,
)
"""Edges whose lengths are measured on every piece that has them."""


def measure_all(
    pieces: Sequence[Piece], seams: Sequence[Seam] = (), measurers: Sequence[Measurer] = ()
) -> dict[str, tuple[Measurement, ...]]:
    """Measure every piece, by ``Piece.title``: what svgfit measures itself, cap ease among it, then ``measurers``'.

    Cap ease is measured where the seam map joins a cap to its armholes. Refuse where two sources give one name, and
    name both.
    """
    found = {piece.title: (*measure_piece(piece), *cap_ease(piece, pieces, seams)) for piece in pieces}
    for piece in pieces:
        owners = {item.name: "svgfit itself" for item in found[piece.title]}
        for measurer in measurers:
            if not is_of_kinds(piece.kind, measurer.kinds):
                continue
            for item in measurer.measure(piece):
                loaded = isinstance(measurer, LoadedMeasurer)
                who, switch = (measurer.who, measurer.switch) if loaded else (f"measurer {measurer.name!r}", "")
                if item.name in owners:
                    raise given_twice(piece.where, str(item.name), (owners[item.name], who), switch)
                owners[item.name] = who
                found[piece.title] = (*found[piece.title], item)
    return found


def given_twice(where: str, name: str, both: tuple[str, str], switch: str) -> Refusal:
    """Build the refusal of a measurement that two give, or one twice; ``--without`` takes ``switch``."""
    what = f"comes from both {both[0]} and {both[1]}" if both[0] != both[1] else f"comes twice from {both[0]}"
    todo = f"give it another name there, or switch it off with --without {switch}" if switch else "rename one"
    return Refusal(where, f"measurement {name!r} {what}", todo)


def measure_piece(piece: Piece) -> list[Measurement]:
    """Measure what can be measured on one piece alone."""
    outline = piece.outline()
    left, top, right, bottom = outline.bounds()
    found = [
        Measurement(Figure.OUTLINE_LENGTH, outline.length()),
        Measurement(Figure.OUTLINE_WIDTH, right - left),
        Measurement(Figure.OUTLINE_HEIGHT, bottom - top),
    ]
    if piece.kind == PieceKind.SLEEVE:
        found += _measure_sleeve(piece)
    for edge in MEASURED_EDGES:
        if piece.has_edge(edge):
            found.append(
                Measurement(Figure.ARMHOLE_LENGTH if edge == EdgeName.ARMHOLE else edge, sewn_length(piece, edge))
            )
    return found


def bicep_level(piece: Piece) -> float:
    """Return the bicep line's y in the piece's frame: the middle between the underarm points."""
    return (piece.landmark(LandmarkName.UNDERARM_FRONT).imag + piece.landmark(LandmarkName.UNDERARM_BACK).imag) / 2


def cap_height(piece: Piece) -> float:
    """Measure from the bicep line to the highest point of the cap edge, along the grain, mm."""
    return bicep_level(piece) - piece.edge(EdgeName.CAP).curve.bounds()[1]


def bicep_width(piece: Piece) -> float:
    """Measure between the underarm points, square to the grain, mm."""
    return abs(piece.landmark(LandmarkName.UNDERARM_FRONT).real - piece.landmark(LandmarkName.UNDERARM_BACK).real)


def shoulder_point(piece: Piece) -> complex:
    """Return the shoulder notch's place; where there is none, the cap top's."""
    notch = piece.find_landmark(LandmarkName.SHOULDER_NOTCH)
    return piece.landmark(LandmarkName.CAP_TOP) if notch is None else notch


def cap_halves(piece: Piece) -> tuple[Curve, Curve]:
    """Split the cap edge as sewn at the shoulder notch: front and back, each from its underarm point up."""
    cap = sewn_edge(piece, EdgeName.CAP)
    at = shoulder_point(piece)
    front, back = cap.split(
        cap.at_length(sewn_distance(piece, EdgeName.CAP, at)) if piece.darts else cap.nearest(at)[0]
    )
    return front, back.reverse()


def shoulder_distance(piece: Piece) -> float:
    """Measure where the cap meets the shoulder, mm from its front underarm point: the shoulder notch, else the cap top.

    A cap top stays where a sleeve is turned on purpose; the place that meets the shoulder does not.
    """
    return sewn_distance(piece, EdgeName.CAP, shoulder_point(piece)) - _unmarked_turn(piece, CapTurn.of(piece))


def _unmarked_turn(piece: Piece, turn: CapTurn) -> float:
    """Tell how far a place that meets the shoulder is turned which no notch marks, mm."""
    return turn.shoulder if piece.find_landmark(LandmarkName.SHOULDER_NOTCH) is None else 0.0


def _measure_sleeve(piece: Piece) -> Iterable[Measurement]:
    """Measure what only a sleeve has."""
    front, back = cap_halves(piece)
    level = bicep_level(piece)
    yield Measurement(Figure.CAP_HEIGHT, cap_height(piece))
    yield Measurement(Figure.CAP_HEIGHT_AT_SHOULDER_NOTCH, level - front.end.imag)
    yield Measurement(Figure.CAP_LENGTH, sewn_length(piece, EdgeName.CAP))
    yield Measurement(Figure.CAP_LENGTH_FRONT, front.length())
    yield Measurement(Figure.CAP_LENGTH_BACK, back.length())
    yield Measurement(Figure.BICEP_WIDTH, bicep_width(piece))
    for side in Side:
        if piece.has_edge(f"underarm {side}"):
            yield Measurement(f"underarm seam {side}", sewn_length(piece, f"underarm {side}"))
    if piece.has_edge(EdgeName.UNDERARM_FRONT) and piece.has_edge(EdgeName.UNDERARM_BACK):
        yield Measurement(Figure.UNDERARM_CORNER, math.degrees(_underarm_corner(piece, (front, back))), MeasureUnit.DEG)
    if turn := CapTurn.of(piece):
        yield Measurement(Figure.CAP_TURN, turn.most)


def _underarm_corner(piece: Piece, halves: tuple[Curve, Curve]) -> float:
    """Add the two angles inside the piece between the cap's halves and the underarm seam, in radians."""
    total = 0.0
    for cap, side in zip(halves, Side, strict=True):
        seam = piece.edge(f"underarm {side}").from_front()
        total += abs(cmath.phase(cap.tangent(0.0) / seam.tangent(0.0)))
    return total


def cap_ease(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Measurement]:
    """Measure the ease, cap less armhole, in all and in front and back apart; [] where no armhole is known or all here.

    Front and back of the armhole part where the sleeve's shoulder notch meets it (svgfit.fitting.sewn). Of a sleeve
    that is turned on purpose, those of the cap begin where it meets the armhole's underarm point.
    """
    row = armhole_row(sleeve, pieces, seams)
    if row is None:
        return []
    front, back = cap_halves(sleeve)
    turn = CapTurn.of(sleeve)
    gain = turn.underarm - _unmarked_turn(sleeve, turn)
    halves = {Side.FRONT: front.length() + gain, Side.BACK: back.length() - gain}
    found = [Measurement(Figure.CAP_EASE, sum(halves.values()) - row.length)]
    kinds = {bodice_kind(part.piece) for part in row.parts} & halves.keys()
    at = shoulder_at(row)[0] if len(kinds) == 2 else row.length
    armholes = {Side.FRONT: at, Side.BACK: row.length - at} if len(kinds) == 2 else dict.fromkeys(kinds, at)
    found += [Measurement(f"cap ease {side}", halves[side] - armholes[side]) for side in halves if side in armholes]
    return found
