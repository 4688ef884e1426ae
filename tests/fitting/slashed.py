"""Caps slashed by hand and traced with their jogs left in: what paper, scissors and a pencil leave behind. Frame mm."""

from __future__ import annotations

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve


def joined(parts: list[Curve]) -> Curve:
    """The parts in a row, joined by straight lines where they no longer meet."""
    pieces: list[Curve] = []
    for part in parts:
        if pieces and abs(part.start - pieces[-1].end) > 1e-9:
            pieces.append(Curve.polyline([pieces[-1].end, part.start]))
        pieces.append(part)
    return Curve.chain(pieces)


def level_slash(cap: Curve, above: float, by: float) -> Curve:
    """The upper part moved up by ``by`` mm (negative: overlapped) at a level line ``above`` mm over the cap's ends."""
    level = (cap.start.imag + cap.end.imag) / 2 - above
    met = sorted(cap.crossings(complex(-1e4, level), complex(1e4, level)))
    low, high = met[0], met[-1]
    n = float(len(cap))
    upper = cap.subcurve(low, high).transform(Affine.shift(-1j * by))
    return joined([cap.subcurve(0.0, low), upper, cap.subcurve(high, n)])


def upright_slash(cap: Curve, share: float, by: float, hinge: float = 400.0) -> Curve:
    """Opened by ``by`` mm (negative: overlapped) at a share of the length, hinged ``hinge`` mm below."""
    t = cap.at_length(share * cap.length())
    at = cap.point(t)
    turn = by / hinge / 2
    front = cap.subcurve(0.0, t).transform(Affine.turn(turn, at + 1j * hinge))
    back = cap.subcurve(t, float(len(cap))).transform(Affine.turn(-turn, at + 1j * hinge))
    return joined([front, back])
