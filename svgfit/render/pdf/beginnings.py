"""Where a redrawn armhole leaves the old one: what is marked first, told by its notch and from the shoulder."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from svgfit.model.piece import Piece
from svgfit.render.pdf.facts import length

_OFF = 0.01
"""An edge that lies nearer than this (mm) to the old one is the old one."""
_AT = 4.0
"""So near (mm along the edge) to a notch it is told as at the notch."""
_LEAST = 3.0
"""An edge that is new from less than this (mm) below the shoulder is all new."""
_PLACES = 160


class Beginning(Struct, frozen=True):
    """Where the new armhole leaves the old."""

    at: complex
    told: str


def begins(before: Piece, after: Piece, edge: str, unit: str) -> Beginning | None:
    """Where the new armhole leaves the old, seen from the shoulder; None where none or all of it is new."""
    if not before.has_edge(edge) or not after.has_edge(edge):
        return None
    old, new = before.edge(edge).from_front(), after.edge(edge).from_front()
    whole = new.length()
    spots = [(part * whole, new.point(new.at_length(part * whole))) for part in np.linspace(1.0, 0.0, _PLACES).tolist()]
    off = [(from_underarm, spot) for from_underarm, spot in spots if old.nearest(spot)[1] > _OFF]
    if not off or off[0][0] > whole - _LEAST:
        return None
    start = whole - off[0][0]
    told = f"{length(start, unit)} from the shoulder, measured along the edge"
    notches = [mark.at for mark in after.marks if mark.kind == "notch" and mark.edge == edge]
    away = sorted(whole - new.length_between(0.0, new.nearest(at)[0]) - start for at in notches if at is not None)
    near = min(away, key=abs, default=None)
    if near is not None:
        which = "notch" if len(away) == 1 else "upper notch" if near == away[0] else "lower notch"
        beside = f"{told} ({length(near, unit)} {'above' if near > 0 else 'below'} the {which})"
        told = f"at the {which}, {told}" if abs(near) < _AT else beside
    return Beginning(off[0][1], told)
