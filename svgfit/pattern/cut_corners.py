"""The cut line's corners: how the cut lines of two neighbouring edges are brought together. Curves in one frame, mm.

The rules of the trade that they are drawn by are in svgfit/rules/allowances.py.
"""

from __future__ import annotations

import cmath
import math

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import dot
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import extend_straight, extend_to_intersection, intersections, trim_end, trim_start
from svgfit.model.length import both_ways
from svgfit.model.piece import CornerForm, Edge
from svgfit.model.refusal import Refusal
from svgfit.rules.allowances import MIRRORED_END, MIRRORED_REACH, PRESSED_OPEN, SHALLOW, THORN, TURNED_UP

_FAR = 200.0
"""Lines are run on straight for so many mm to look for where they meet."""

Joint = tuple[Curve, Curve | None, Curve]
"""The first cut line, what runs between the two, the second."""


def rank(edge: str) -> int:
    """Rank an edge at a corner, where the higher one's allowance is folded back: hem 3, pressed open 2, others 1."""
    if edge in TURNED_UP:
        return 3
    return 2 if edge in PRESSED_OPEN else 1


class Manner(Struct, frozen=True, kw_only=True):
    """How a corner is drawn: its form, and whether it is the first edge's allowance that is folded back."""

    form: CornerForm
    first_folded: bool = True
    most_out: float = math.inf
    """How far out a mirrored end may run beyond a square one, in allowances; squared where it would run further."""


PLAIN = Manner(form=CornerForm.PLAIN)
DRAWN_MANNERS = (
    PLAIN,
    *(
        Manner(form=form, first_folded=first)
        for form in (CornerForm.MIRRORED, CornerForm.SQUARE)
        for first in (True, False)
    ),
)
"""What a drawn corner may be; of two that fit alike the first is taken."""


class Corner(Struct, frozen=True, kw_only=True):
    """Two neighbouring edges in the outline's order, and their cut lines and allowances (mm) at their corner."""

    one: Edge
    two: Edge
    first: Curve
    second: Curve
    first_wide: float
    second_wide: float


def usual_manner(corner: Corner, word: str = CornerForm.AS_DRAWN) -> Manner:
    """Choose the manner of a corner that is not taken from a drawn one: the convention's word, else what is usual.

    What is usual: the allowance that is folded back is mirrored; at a fold, beside an edge without an allowance and
    between edges of one rank the corner is plain, and so is one where the edges go on nearly as one.
    """
    one, two = corner.one, corner.two
    ranks = rank(one.name), rank(two.name)
    bare = one.fold or two.fold or min(corner.first_wide, corner.second_wide) == 0
    turn = two.curve.tangent(0.0) / one.curve.tangent(float(len(one.curve)), before=True)
    if bare or ranks[0] == ranks[1] or word == CornerForm.PLAIN or abs(cmath.phase(turn)) < SHALLOW:
        return PLAIN
    folded = one if ranks[0] > ranks[1] else two
    most_out = math.inf if folded.name in TURNED_UP else THORN
    form = CornerForm.SQUARE if word == CornerForm.SQUARE else CornerForm.MIRRORED
    return Manner(form=form, first_folded=folded is one, most_out=most_out)


def join_corner(corner: Corner, manner: Manner) -> Joint:
    """Bring two cut lines together at their corner; plain where the manner can't be had there."""
    if manner.form not in (CornerForm.MIRRORED, CornerForm.SQUARE):
        return _mitre(corner.first, corner.second)
    one, two = corner.one.curve, corner.two.curve
    square = manner.form == CornerForm.SQUARE
    most_out = -math.inf if square else manner.most_out
    if manner.first_folded:
        seam = one.tangent(float(len(one)), before=True)
        flush = _flush(two.start, seam, corner.first.reverse(), corner.second, corner.first_wide, most_out)
        return (flush[2].reverse(), flush[1].reverse(), flush[0]) if flush else _mitre(corner.first, corner.second)
    seam = two.tangent(0.0)
    flush = _flush(one.end, seam, corner.second, corner.first.reverse(), corner.second_wide, most_out)
    return (flush[0].reverse(), flush[1], flush[2]) if flush else _mitre(corner.first, corner.second)


def _flush(
    corner: complex, seam: complex, folded: Curve, crossing: Curve, wide: float, most_out: float
) -> tuple[Curve, Curve, Curve] | None:
    """Draw a corner where the ``folded`` edge's allowance mirrors the ``crossing`` edge's cut line about the seam.

    Both cut lines run away from the corner. Gives back the crossing line from the seam on, the mirrored stretch from
    there to the folded line, and the folded line from there on; None where the crossing line misses the seam. A
    mirrored stretch that does not reach the folded line within three allowances ends after one and a half, square
    to the folded line: mirrored any further it would run on beside it. One that would run out by more than
    ``most_out`` allowances further than a square end is squared instead (so each where that is −inf).
    """
    line = Curve.polyline([corner - _FAR * seam, corner + _FAR * seam])
    cross = extend_straight(crossing, _FAR, at_start=True)
    met = intersections(cross, line)
    if not met:
        return None
    t = min(met, key=lambda at: abs(cross.point(at[0]) - crossing.start))[0]
    inside = trim_start(cross, t)
    image = inside.transform(Affine.mirror(corner, corner + seam))
    fold = extend_straight(folded, _FAR, at_start=True)
    if most_out == -math.inf:
        return _squared(inside, fold, seam)
    reach = image.at_length(MIRRORED_REACH * wide, 1e-3)
    ends = [(u, v) for u, v in intersections(image, fold) if 1e-6 < u <= reach]
    if ends:
        u, v = min(ends)
        out = image.start - image.point(u)
        if float(dot(folded.tangent(0.0), out)) > most_out * wide:
            return _squared(inside, fold, seam)
        return inside, trim_end(image, u), trim_start(fold, v)
    stretch = trim_end(image, image.at_length(MIRRORED_END * wide, 1e-3))
    v = fold.nearest(stretch.end)[0]
    if not 0 < v < len(fold):
        return None
    return inside, Curve.chain([stretch, Curve.polyline([stretch.end, fold.point(v)])]), trim_start(fold, v)


def _squared(inside: Curve, fold: Curve, seam: complex) -> tuple[Curve, Curve, Curve] | None:
    """Draw the same corner with the end square to the seam, from where the crossing line meets it."""
    at = inside.start
    square = Curve.polyline([at - _FAR * 1j * seam, at + _FAR * 1j * seam])
    met = intersections(square, fold)
    if not met:
        return None
    v = min(met, key=lambda pair: abs(fold.point(pair[1]) - at))[1]
    return inside, Curve.polyline([at, fold.point(v)]), trim_start(fold, v)


def _mitre(first: Curve, second: Curve) -> Joint:
    """Lengthen or trim both lines to where they meet."""
    joined = meet_plainly(first, second)
    return joined if joined else (first, Curve.polyline([first.end, second.start]), second)


def meet_plainly(first: Curve, second: Curve) -> Joint | None:
    """Lengthen or trim two lines to where they meet; None where they don't."""
    if abs(first.end - second.start) < 1e-9:
        return first, None, second
    met = extend_to_intersection(first, second)
    return (met[0], None, met[1]) if met else None


def no_room(where: str, edge: str, wide: float, radius: float) -> Refusal:
    """Refuse an allowance that an edge's curve has no room for."""
    return Refusal(
        f"{where}: {edge}",
        f"the seam allowance of {both_ways(wide)} is wider than the edge's curve has room for (radius "
        f"{both_ways(radius)})",
        "make that allowance smaller or the curve gentler",
    )
