"""Every measurement of a piece, plug-ins' among them, and the cap's ease against its armholes. Stitch line, mm."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence

from svgfit.fitting.armhole import armhole_row
from svgfit.fitting.sewn import sewn_distance, sewn_edge, sewn_length, shoulder_at
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.raw_piece import Measurer
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement


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
            if piece.kind not in measurer.kinds:
                continue
            for item in measurer.measure(piece):
                if item.name in owners:
                    what = (
                        f"measurement {item.name!r} comes from both {owners[item.name]} and plug-in {measurer.name!r}"
                    )
                    raise Refusal(piece.where, what, "switch one off with --without NAME; svgfit plugins lists them")
                owners[item.name] = f"plug-in {measurer.name!r}"
                found[piece.title] = (*found[piece.title], item)
    return found


def measure_piece(piece: Piece) -> list[Measurement]:
    """What can be measured on one piece alone."""
    outline = piece.outline()
    left, top, right, bottom = outline.bounds()
    found = [
        Measurement("outline length", outline.length()),
        Measurement("outline width", right - left),
        Measurement("outline height", bottom - top),
    ]
    if piece.kind == "sleeve":
        found += _sleeve(piece)
    for edge in ("armhole", "side seam", "shoulder", "yoke seam", "front seam", "back seam"):
        if piece.has_edge(edge):
            found.append(Measurement("armhole length" if edge == "armhole" else edge, sewn_length(piece, edge)))
    return found


def bicep_level(piece: Piece) -> float:
    """The bicep line's y in the piece's frame: the middle between the underarm points."""
    return (piece.landmark("underarm front").imag + piece.landmark("underarm back").imag) / 2


def cap_height(piece: Piece) -> float:
    """From the bicep line to the highest point of the cap edge, along the grain."""
    return bicep_level(piece) - piece.edge("cap").curve.bounds()[1]


def bicep_width(piece: Piece) -> float:
    """Between the underarm points, square to the grain."""
    return abs(piece.landmark("underarm front").real - piece.landmark("underarm back").real)


def shoulder_point(piece: Piece) -> complex:
    """The shoulder notch; where there is none, the cap top."""
    notch = piece.find_landmark("shoulder notch")
    return piece.landmark("cap top") if notch is None else notch


def cap_halves(piece: Piece) -> tuple[Curve, Curve]:
    """Front and back of the cap edge as sewn, parted at the shoulder notch, each from its underarm point up."""
    cap = sewn_edge(piece, "cap")
    at = shoulder_point(piece)
    front, back = cap.split(cap.at_length(sewn_distance(piece, "cap", at)) if piece.darts else cap.nearest(at)[0])
    return front, back.reverse()


def _sleeve(piece: Piece) -> Iterable[Measurement]:
    front, back = cap_halves(piece)
    level = bicep_level(piece)
    yield Measurement("cap height", cap_height(piece))
    yield Measurement("cap height at shoulder notch", level - front.end.imag)
    yield Measurement("cap length", sewn_length(piece, "cap"))
    yield Measurement("cap length front", front.length())
    yield Measurement("cap length back", back.length())
    yield Measurement("bicep width", bicep_width(piece))
    for side in ("front", "back"):
        if piece.has_edge(f"underarm {side}"):
            yield Measurement(f"underarm seam {side}", sewn_length(piece, f"underarm {side}"))
    if piece.has_edge("underarm front") and piece.has_edge("underarm back"):
        yield Measurement("underarm corner", math.degrees(_underarm_corner(piece)), "deg")


def _underarm_corner(piece: Piece) -> float:
    """The two angles inside the piece between cap edge and underarm seam, added, in radians."""
    front, back = cap_halves(piece)
    total = 0.0
    for cap, side in ((front, "front"), (back, "back")):
        seam = piece.edge(f"underarm {side}").from_front()
        total += abs(cmath.phase(cap.tangent(0.0) / seam.tangent(0.0)))
    return total


def cap_ease(sleeve: Piece, pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Measurement]:
    """Cap less armhole, in all and front and back apart; [] where the seam map or a piece is missing.

    Front and back of the armhole part where the sleeve's shoulder notch meets it (svgfit.fitting.sewn).
    """
    row = armhole_row(sleeve, pieces, seams)
    if row is None:
        return []
    front, back = cap_halves(sleeve)
    halves = {"front": front.length(), "back": back.length()}
    found = [Measurement("cap ease", sum(halves.values()) - row.length)]
    kinds = {part.piece.kind for part in row.parts} & halves.keys()
    at = shoulder_at(row)[0] if len(kinds) == 2 else row.length
    armholes = {"front": at, "back": row.length - at} if len(kinds) == 2 else dict.fromkeys(kinds, at)
    found += [Measurement(f"cap ease {side}", halves[side] - armholes[side]) for side in halves if side in armholes]
    return found
