"""Garments to try an operation on: sleeves and bodices of plain construction, and the theatre's smock as drawn.

All figures are invented. Piece frame: mm, y down, a sleeve's origin the middle between its underarm points, its front
towards +x; a bodice's origin its underarm point, the centre towards +x for a front and −x for a back.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.operation import swap
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, LandmarkName, MarkKind, PieceKind

ALLOWANCE, HEM = 15.0, 25.0
"""Seam allowances of the constructed pieces, mm."""
NOTCHES_FRONT, NOTCHES_BACK = (90.0,), (92.0, 104.7)
"""How far notches of cap and armhole stand from the underarm points, along the seam, mm."""
SEAMS = (
    Seam((("Sleeve", "underarm front"),), (("Sleeve", "underarm back"),)),
    Seam((("Front", "side seam"),), (("Back", "side seam"),)),
    Seam((("Front", "shoulder"),), (("Back", "shoulder"),)),
    Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole"))),
)


class Garment(Struct, frozen=True):
    """Pieces, and which of their edges are sewn together."""

    pieces: tuple[Piece, ...]
    """In their own frames, mm."""
    seams: tuple[Seam, ...] = ()
    """The seam map."""

    def piece(self, name: str) -> Piece:
        """Return the piece of that name; refuses with the names there are."""
        return find_piece(self.pieces, name)

    def with_piece(self, piece: Piece) -> Garment:
        """Return the same garment with another piece in place of the one of the same name."""
        return replace(self, pieces=swap(self.pieces, piece))


def find_piece(pieces: Sequence[Piece], name: str) -> Piece:
    """Return the piece of that name; refuses with the names there are."""
    found = next((piece for piece in pieces if piece.name == name), None)
    if found is None:
        raise Refusal("", f"no piece {name!r}", f"the pieces are: {', '.join(piece.name for piece in pieces)}")
    return found


def sleeve(
    *, front: float = 172.0, back: float = 178.0, height: float = 140.0, length: float = 430.0, taper: float = 40.0
) -> Piece:
    """Construct a sleeve: one front notch, two at the back, a shoulder notch, a grain line. All lengths in mm.

    ``front`` and ``back``: the half biceps, from under the cap top to the underarm points. ``height``: of the cap.
    ``length``: from the bicep line to the hem. ``taper``: by how much each side is narrower at the hem.
    """
    half = (front + back) / 2
    top = complex((back - front) / 2, -height)
    sides = (
        [half + 0j, half - 0.55 * front + 0j, top + 0.6 * front, top],
        [top, top - 0.6 * back, -half + 0.55 * back + 0j, -half + 0j],
    )
    cap = Curve(np.array(sides, dtype=np.complex128))
    hem_back, hem_front = complex(taper - half, length), complex(half - taper, length)
    edges = (
        Edge(EdgeName.CAP, cap, ALLOWANCE),
        Edge(EdgeName.UNDERARM_BACK, Curve.polyline([cap.end, hem_back]), ALLOWANCE),
        Edge(EdgeName.HEM, Curve.polyline([hem_back, hem_front]), HEM),
        Edge(EdgeName.UNDERARM_FRONT, Curve.polyline([hem_front, cap.start]), ALLOWANCE, backwards=True),
    )
    places = {
        LandmarkName.CAP_TOP: top,
        LandmarkName.SHOULDER_NOTCH: top,
        LandmarkName.UNDERARM_FRONT: cap.start,
        LandmarkName.UNDERARM_BACK: cap.end,
        LandmarkName.HEM_FRONT: hem_front,
        LandmarkName.HEM_BACK: hem_back,
    }
    grain = Curve.polyline([complex(top.real, 0.3 * length), complex(top.real, -0.5 * height)])
    whole = cap.length()
    distances = (*NOTCHES_FRONT, *(whole - at for at in NOTCHES_BACK))
    marks = (
        Mark(MarkKind.GRAIN_LINE, (grain,)),
        *(_notch(cap, EdgeName.CAP, cap.at_length(at)) for at in distances),
        _notch(cap, EdgeName.CAP, 1.0, MarkKind.SHOULDER_NOTCH),
    )
    return _piece("Sleeve", PieceKind.SLEEVE, edges, marks, places)


def sleeves() -> tuple[Piece, ...]:
    """Construct sleeves of unlike shapes: plain, flat and wide, high and narrow, short, front and back far apart."""
    return (
        sleeve(),
        sleeve(front=200, back=205, height=95),
        sleeve(front=150, back=158, height=165),
        sleeve(length=180, taper=15),
        sleeve(front=150, back=195, height=130),
    )


def bodices(*, armhole: float = 205.0, width: float = 260.0, length: float = 430.0) -> tuple[Piece, Piece]:
    """Construct a front and a back, notched to match ``sleeve``. All lengths in mm.

    ``armhole``: how far the shoulder tip lies above the underarm point. ``width``: from there to the centre.
    ``length``: from there to the hem.
    """
    return _bodice(PieceKind.FRONT, 1, armhole, width, length), _bodice(PieceKind.BACK, -1, armhole, width, length)


def _bodice(kind: str, way: int, armhole: float, width: float, length: float) -> Piece:
    tip, neck = complex(45 * way, -armhole), complex((width - 85) * way, -armhole - 50)
    low = complex(width * way, -armhole + (35 if way > 0 else -25))
    curve = Curve(np.array([[0j, 60 * way + 0j, tip + 0.55j * armhole, tip]], dtype=np.complex128))
    neckline = Curve(np.array([[neck, neck + 20j, low - 45 * way, low]], dtype=np.complex128))
    hem_centre, hem_side = complex(width * way, length), complex(0, length)
    edges = (
        Edge(EdgeName.ARMHOLE, curve, ALLOWANCE),
        Edge(EdgeName.SHOULDER, Curve.polyline([tip, neck]), ALLOWANCE, backwards=True),
        Edge(EdgeName.NECKLINE, neckline, ALLOWANCE),
        Edge(EdgeName.CENTRE, Curve.polyline([low, hem_centre]), ALLOWANCE),
        Edge(EdgeName.HEM, Curve.polyline([hem_centre, hem_side]), HEM),
        Edge(EdgeName.SIDE_SEAM, Curve.polyline([hem_side, 0j]), ALLOWANCE, backwards=True),
    )
    places = {
        LandmarkName.UNDERARM: 0j,
        LandmarkName.SHOULDER_TIP: tip,
        LandmarkName.NECK_POINT: neck,
        LandmarkName.NECK_CENTRE: low,
        LandmarkName.HEM_CENTRE: hem_centre,
        LandmarkName.HEM_SIDE: hem_side,
    }
    distances = NOTCHES_FRONT if way > 0 else NOTCHES_BACK
    marks = (
        Mark(MarkKind.GRAIN_LINE, (Curve.polyline([complex(width / 2 * way, length / 2), complex(width / 2 * way)]),)),
        *(_notch(curve, EdgeName.ARMHOLE, curve.at_length(at)) for at in distances),
    )
    return _piece(kind.capitalize(), kind, edges, marks, places)


def _notch(curve: Curve, edge: str, t: float, kind: str = MarkKind.NOTCH) -> Mark:
    at, way = curve.point(t), curve.tangent(t)
    return Mark(kind, (Curve.polyline([at, at + 6j * way]),), edge, at)


def _piece(
    name: str, kind: str, edges: tuple[Edge, ...], marks: tuple[Mark, ...], places: dict[LandmarkName, complex]
) -> Piece:
    landmarks = tuple(Landmark(key, at) for key, at in places.items())
    return Piece("garment.svg", name, kind, edges, Affine(), marks=marks, landmarks=landmarks)


def garment() -> Garment:
    """Construct a whole garment: ``sleeve`` and ``bodices`` with their seams; no file is read."""
    return Garment((sleeve(), *bodices()), SEAMS)


@cache
def smock() -> Garment:
    """Open the theatre's work smock, the drawing of ``svgfit demo``: Front, Back and Sleeve, with their seams."""
    from svgfit.app.demo_folder import DRAWING, demo_folder
    from svgfit.app.session import open_drawings

    session = open_drawings(os.path.join(demo_folder(), DRAWING))
    return Garment(tuple(session.pieces), tuple(session.seams))
