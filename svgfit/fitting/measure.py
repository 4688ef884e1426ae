"""Every measurement of a piece, and the cap's ease against its armholes. All on the stitch line, in mm."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Mapping, Sequence

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam
from svgfit.model.report import Measurement

Measured = Mapping[str, tuple[Measurement, ...]]


def measure_all(pieces: Sequence[Piece], seams: Sequence[Seam] = ()) -> dict[str, tuple[Measurement, ...]]:
    """Measurements of every piece by ``Piece.title``; cap ease where the seam map joins a cap to its armholes."""
    return {piece.title: (*measure_piece(piece), *cap_ease(piece, pieces, seams)) for piece in pieces}


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
    for edge, name in (("armhole", "armhole length"), ("side seam", "side seam"), ("shoulder", "shoulder")):
        if piece.has_edge(edge):
            found.append(Measurement(name, piece.edge(edge).curve.length()))
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


def shoulder_place(piece: Piece) -> complex:
    """The shoulder notch; where there is none, the cap top."""
    notch = piece.find_landmark("shoulder notch")
    return piece.landmark("cap top") if notch is None else notch


def cap_halves(piece: Piece) -> tuple[Curve, Curve]:
    """Front and back of the cap edge, parted at the shoulder notch, each from its underarm point up."""
    cap = piece.edge("cap").from_front()
    front, back = cap.split(cap.nearest(shoulder_place(piece))[0])
    return front, back.reverse()


def _sleeve(piece: Piece) -> Iterable[Measurement]:
    front, back = cap_halves(piece)
    level = bicep_level(piece)
    yield Measurement("cap height", cap_height(piece))
    yield Measurement("cap height at shoulder notch", level - front.end.imag)
    yield Measurement("cap length", piece.edge("cap").curve.length())
    yield Measurement("cap length front", front.length())
    yield Measurement("cap length back", back.length())
    yield Measurement("bicep width", bicep_width(piece))
    for side in ("front", "back"):
        if piece.has_edge(f"underarm {side}"):
            yield Measurement(f"underarm seam {side}", piece.edge(f"underarm {side}").curve.length())
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
    """Cap less armhole, in all and front and back apart; [] where the seam map or a piece is missing."""
    if sleeve.kind != "sleeve":
        return []
    by_name = {piece.name: piece for piece in pieces if piece.size == sleeve.size}
    for seam in seams:
        for one, other in ((seam.a, seam.b), (seam.b, seam.a)):
            if one != ((sleeve.name, "cap"),) or not all(name in by_name for name, _ in other):
                continue
            armholes = [(by_name[name].kind, by_name[name].edge(edge).curve.length()) for name, edge in other]
            front, back = cap_halves(sleeve)
            found = [Measurement("cap ease", front.length() + back.length() - sum(length for _, length in armholes))]
            for side, half in (("front", front), ("back", back)):
                own = [length for kind, length in armholes if kind == side]
                if own:
                    found.append(Measurement(f"cap ease {side}", half.length() - sum(own)))
            return found
    return []
