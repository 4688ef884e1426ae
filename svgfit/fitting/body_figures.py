"""What a body is held against: shoulder, armhole depth, widths of front and back, over a yoke as sewn. Lengths in mm.

Each is measured in the piece's own frame (grain upright, y down). Where the armhole runs over a yoke, the back's and
the shoulder's figures are those of yoke and back together. What can't be told is left out, with the reason.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.fitting.measure import cap_halves
from svgfit.fitting.sewn import SewnPart, SewnRow, sewn_length, shoulder_at
from svgfit.geometry.curve import Curve
from svgfit.model.cap_turn import CapTurn
from svgfit.model.piece import Piece
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, PieceKind
from svgfit.rules.armholes import PLEATED

SHOULDER, BACK_DEPTH, FRONT_DEPTH = "shoulder", "armhole depth", "front armhole depth"
BACK_WIDTH, BUST = "back width", "bust"
_SAMPLES = 256
"""So many points of an edge are looked at where one at a level is wanted; between two of them a line is drawn."""


class BodyFigure(Struct, frozen=True):
    """A figure of the pattern that a body's measure is held against."""

    name: str
    value: float | None = None
    guessed: str = ""
    """What it rests on, where that was guessed."""
    why: str = ""
    """Why it is not known, where it is not."""


def body_figures(row: SewnRow) -> dict[str, BodyFigure]:
    """Measure what a body is held against on the pieces of an armhole laid in a row, by name."""
    fronts, backs, yokes = (
        [part for part in row.parts if part.piece.kind == kind]
        for kind in (PieceKind.FRONT, PieceKind.BACK, PieceKind.YOKE)
    )
    yoke = yokes[0] if len(yokes) == 1 else None
    front, back = (parts[0] if len(parts) == 1 else None for parts in (fronts, backs))
    panels = len(row.parts) - len(fronts) - len(backs) - len(yokes) > 0
    found = [
        _shoulder(row, yoke) if yokes else _plain_shoulder([*fronts, *backs]),
        _back_depth(back, yoke, panels=panels, yokes=len(yokes)),
        _front_depth(front, panels=panels, yokes=len(yokes)),
        _back_width(row, back, yoke, panels=panels, yokes=len(yokes)),
        _bust(front, back, panels=panels),
    ]
    return {one.name: one for one in found}


def whole_sleeve(sleeve: Piece) -> float:
    """Measure a sleeve from its cap's highest point down to the hem, along the grain. Refuse one without a hem."""
    top = min(_points(sleeve.edge(EdgeName.CAP).curve), key=lambda at: at.imag)
    hem = sleeve.edge(EdgeName.HEM).curve
    below = _crossings(hem, complex(top), 1j)
    return max((at.imag for at in below), default=hem.bounds()[3]) - top.imag


def level_cut_gains(row: SewnRow, sleeve: Piece) -> tuple[float, float]:
    """Tell how much longer armhole and cap get, for each mm that a level cut through them is opened along the grain.

    The cut lies half-way down the armhole of front and back, and on the cap where that point meets it when pinned in
    from the underarm. To first order: an edge at the angle φ to the grain gains cos φ; truing adds a little to the cap.
    """
    armhole = cap = 0.0
    turned = CapTurn.of(sleeve).underarm
    halves = zip((row.parts[0], row.parts[-1]), cap_halves(sleeve), (turned, -turned), strict=True)
    for part, half, more in halves:
        curve = part.curve if part is row.parts[0] else part.curve.reverse()
        level = (curve.start.imag + curve.end.imag) / 2
        at = min(_crossings(curve, 1j * level, 1 + 0j), key=lambda point: curve.nearest(point)[0], default=curve.end)
        t = curve.nearest(at)[0]
        armhole += abs(curve.tangent(t).imag)
        up = half.at_length(min(max(curve.length_between(0.0, t) - more, 0.0), half.length()))
        cap += abs(half.tangent(up).imag)
    return armhole, cap


# -- shoulder --------------------------------------------------------------------------------------------------------


def _plain_shoulder(parts: Sequence[SewnPart]) -> BodyFigure:
    lengths = [sewn_length(part.piece, EdgeName.SHOULDER) for part in parts if part.piece.has_edge(EdgeName.SHOULDER)]
    if not lengths:
        return BodyFigure(SHOULDER, why="neither front nor back has a shoulder seam")
    return BodyFigure(SHOULDER, min(lengths))  # what one of them is longer is eased into the other


def _shoulder(row: SewnRow, yoke: SewnPart | None) -> BodyFigure:
    """Measure the shoulder over a yoke: from where it meets the armhole, beside the front seam, to the neckline."""
    if yoke is None:
        return BodyFigure(SHOULDER, why="the shoulder runs over more than one yoke")
    at, guessed = shoulder_at(row)
    if not yoke.at - 1e-6 <= at <= yoke.at + yoke.length + 1e-6:
        return BodyFigure(SHOULDER, why="the shoulder's place on the armhole does not lie on the yoke")
    piece = yoke.piece
    tip = yoke.curve.point(yoke.curve.at_length(min(max(at - yoke.at, 0.0), yoke.length)))
    note = "where the shoulder lies on the yoke's armhole is guessed; a shoulder notch there says it" if guessed else ""
    marked = piece.find_landmark(LandmarkName.NECK_POINT)
    if marked is not None:
        return BodyFigure(SHOULDER, abs(marked - tip), note)
    if not piece.has_edge(EdgeName.FRONT_SEAM) or not piece.has_edge(EdgeName.NECKLINE):
        return BodyFigure(SHOULDER, why="the yoke has no front seam and neckline by name")
    front, neck = piece.edge(EdgeName.FRONT_SEAM).curve, piece.edge(EdgeName.NECKLINE).curve
    ends = (front.start, front.end)
    inner, outer = sorted(ends, key=lambda end: neck.nearest(end)[1])
    along = (inner - outer) / abs(inner - outer)
    hits = [one for one in _crossings(neck, tip, along) if ((one - tip) / along).real > 0]
    if not hits:
        return BodyFigure(SHOULDER, why="a line beside the yoke's front seam does not meet its neckline")
    return BodyFigure(SHOULDER, min(abs(one - tip) for one in hits), note)


def _crossings(curve: Curve, at: complex, along: complex) -> list[complex]:
    """Find where a curve crosses the line through ``at``, to the width of a sample's sagitta."""
    points = _points(curve)
    off = ((points - at) / along).imag
    found: list[complex] = []
    for k in np.flatnonzero(np.sign(off[:-1]) * np.sign(off[1:]) <= 0):
        step = off[k] - off[k + 1]
        part = off[k] / step if step else 0.0
        found.append(complex(points[k] + part * (points[k + 1] - points[k])))
    return found


def _points(curve: Curve) -> np.ndarray[tuple[int], np.dtype[np.complex128]]:
    return np.array([curve.point(t) for t in np.linspace(0.0, float(len(curve)), _SAMPLES + 1)])


# -- depth -----------------------------------------------------------------------------------------------------------


def _back_depth(back: SewnPart | None, yoke: SewnPart | None, *, panels: bool, yokes: int) -> BodyFigure:
    """Measure from the back neck down the centre to the level of the underarm, over the yoke where there is one."""
    name = BACK_DEPTH
    if panels:
        return BodyFigure(name, why="the underarm lies on another piece than the back neck")
    if back is None or (yokes and yoke is None):
        return BodyFigure(name, why="one back with neck and underarm is needed")
    top, underarm = (back.piece.find_landmark(one) for one in (LandmarkName.NECK_CENTRE, LandmarkName.UNDERARM))
    if top is None or underarm is None:
        return BodyFigure(name, why="one back with neck and underarm is needed")
    below = underarm.imag - top.imag
    if yoke is None:
        return BodyFigure(name, below)
    centre = _yoke_centre(yoke.piece)
    if centre is None:
        return BodyFigure(name, why="the yoke's centre back is not known")
    return BodyFigure(name, below + centre)


def _yoke_centre(yoke: Piece) -> float | None:
    """Measure a yoke down its centre back, from neckline to back seam; None where it shows neither."""
    for name in (EdgeName.FOLD, EdgeName.CENTRE):
        if yoke.has_edge(name):
            return sewn_length(yoke, name)
    if not yoke.has_edge(EdgeName.NECKLINE) or not yoke.has_edge(EdgeName.BACK_SEAM):
        return None
    neck, seam = yoke.edge(EdgeName.NECKLINE).curve, yoke.edge(EdgeName.BACK_SEAM).curve
    middle = neck.point(neck.at_length(neck.length() / 2))
    return min(abs(end - middle) for end in (seam.start, seam.end))  # a whole yoke's back seam is parted at its middle


def _front_depth(front: SewnPart | None, *, panels: bool, yokes: int) -> BodyFigure:
    """Measure from the neck point down to the level of the front's underarm."""
    name = FRONT_DEPTH
    if yokes:
        return BodyFigure(name, why="the neck point lies on the yoke")
    if panels or front is None:
        return BodyFigure(name, why="one front with neck point and underarm is needed")
    top, underarm = (front.piece.find_landmark(one) for one in (LandmarkName.NECK_POINT, LandmarkName.UNDERARM))
    if top is None or underarm is None:
        return BodyFigure(name, why="one front with neck point and underarm is needed")
    return BodyFigure(name, underarm.imag - top.imag)


# -- widths ----------------------------------------------------------------------------------------------------------


def _back_width(row: SewnRow, back: SewnPart | None, yoke: SewnPart | None, *, panels: bool, yokes: int) -> BodyFigure:
    """Measure across both halves of the back, half way down the armhole, on yoke or back as that level has it."""
    name = BACK_WIDTH
    if back is None or panels or (yokes and yoke is None):
        return BodyFigure(name, why="one back with its armhole is needed")
    piece = back.piece
    underarm, centre = piece.find_landmark(LandmarkName.UNDERARM), _centre_line(piece)
    if underarm is None or centre is None:
        return BodyFigure(name, why="the back's centre or underarm is not known")
    to_back = back.motion.inverse()
    laid = [back.curve] if yoke is None else [back.curve, yoke.curve.transform(yoke.motion.then(to_back))]
    if yoke is not None:
        gathered = _gathered_in(piece, yoke.piece)
        if gathered is None or gathered > PLEATED:
            return BodyFigure(name, why="the back is pleated or gathered into the yoke")
    at, guessed = shoulder_at(row)
    tip = row.curve.transform(to_back).point(row.curve.at_length(at))
    level = (tip.imag + underarm.imag) / 2
    points = [one for curve in laid for one in _crossings(curve, 1j * level, 1 + 0j)]
    if not points:
        return BodyFigure(name, why="no point of the armhole lies half way down it")
    note = "where the shoulder lies on the yoke's armhole is guessed; a shoulder notch there says it" if guessed else ""
    return BodyFigure(name, 2 * min(abs(point.real - centre) for point in points), note)


def _gathered_in(back: Piece, yoke: Piece) -> float | None:
    """Measure how much longer the back's seam is than the yoke's; None where either is not there by name."""
    seam = next((one for one in ("yoke seam", EdgeName.SHOULDER) if back.has_edge(one)), None)
    if seam is None or not yoke.has_edge(EdgeName.BACK_SEAM):
        return None
    return abs(sewn_length(back, seam) - sewn_length(yoke, EdgeName.BACK_SEAM))


def _centre_line(piece: Piece) -> float | None:
    """Return the x of a piece's fold or centre edge at its upper end."""
    for name in (EdgeName.FOLD, EdgeName.CENTRE):
        if piece.has_edge(name):
            curve = piece.edge(name).curve
            return min((curve.start, curve.end), key=lambda end: end.imag).real
    return None


def _bust(front: SewnPart | None, back: SewnPart | None, *, panels: bool) -> BodyFigure:
    """Measure round front and back at the level of the underarm; only where the front's centre is known for sure."""
    name = BUST
    if front is None or back is None or panels:
        return BodyFigure(name, why="one front and one back are needed")
    widths: list[float] = []
    for piece in (front.piece, back.piece):
        underarm, centre = piece.find_landmark(LandmarkName.UNDERARM), _centre_line(piece)
        drawn = next(
            (mark.curves[0].start.real for mark in piece.marks if mark.kind == MarkKind.CENTRE_LINE and mark.curves),
            None,
        )
        if piece.kind == PieceKind.FRONT and not piece.has_edge(EdgeName.FOLD):
            centre = drawn
            if centre is None:
                return BodyFigure(
                    name, why="the front is not on the fold, and where its centre lies is not drawn (a centre line)"
                )
        if underarm is None or centre is None:
            return BodyFigure(name, why="the centre or the underarm is not known")
        widths.append(abs(underarm.real - centre))
    return BodyFigure(name, 2 * sum(widths))
