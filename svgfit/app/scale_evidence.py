"""What a drawing itself says of its scale where nobody states it, or against what is stated.

Seam allowances come in a few usual widths, pages in a few usual sizes, pieces of a garment are as large as people:
three clues, each of which fits one scale and not another. They are read at some scale first and then held against
others. mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import box_around
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.model.drawing import Canvas
from svgfit.model.length import MM_PER_INCH, both_ways
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import PieceKind
from svgfit.model.wording import listed
from svgfit.pattern.assemble import assemble
from svgfit.pattern.convention import Convention
from svgfit.pattern.languages import in_english
from svgfit.render.pdf.papers import NAMES, read_paper
from svgfit.rules.allowances import USUAL_WIDTHS, USUAL_WITHIN
from svgfit.rules.paper import SHEET_WITHIN
from svgfit.rules.scale import (
    BODICE_EXTENT,
    DISAGREE,
    INKSCAPE_BEFORE_PER_INCH,
    LIKELY_UNITS,
    LONGEST_SLEEVE,
    PIECES_EXTENT,
    SLEEVE_EXTENT,
    SLIPS,
    SMALL_CHILD_BODICE,
    SMALL_CHILD_SLEEVE,
    UNITS_PER_INCH,
)
from svgfit.svg import Drawing

_EXTENTS = {PieceKind.SLEEVE: SLEEVE_EXTENT, PieceKind.FRONT: BODICE_EXTENT, PieceKind.BACK: BODICE_EXTENT}
_SMALL = {
    PieceKind.SLEEVE: SMALL_CHILD_SLEEVE,
    PieceKind.FRONT: SMALL_CHILD_BODICE,
    PieceKind.BACK: SMALL_CHILD_BODICE,
}
TRIAL = 96.0
"""Units an inch at which a drawing without a scale is read, to be held against others."""
_MOST_PIECES = 12
"""So many pieces tell all there is to know."""


class PieceExtent(Struct, frozen=True):
    """A piece's outline: its name, what it is by it (None: no sleeve, front or back), width and height in mm."""

    title: str
    kind: PieceKind | None
    wide: float
    high: float

    def larger(self) -> float:
        """Return the larger of width and height."""
        return max(self.wide, self.high)


class Clues(Struct, frozen=True):
    """What of a drawing depends on its scale, at the scale it was read at; in mm."""

    page: tuple[float, float]
    """(0, 0) where none is stated."""
    pieces: tuple[PieceExtent, ...] = ()
    allowances: tuple[float, ...] = ()
    """Widths of the strips between stitch lines and cut lines, smallest first; () where not both are drawn."""

    def times(self, factor: float) -> Clues:
        """Return the clues of the drawing so many times as large."""
        return Clues(
            (self.page[0] * factor, self.page[1] * factor),
            tuple(PieceExtent(one.title, one.kind, one.wide * factor, one.high * factor) for one in self.pieces),
            tuple(width * factor for width in self.allowances),
        )

    @property
    def possible(self) -> bool:
        """Whether pieces of a garment may be as large as these."""
        known = [(one.larger(), _EXTENTS[one.kind]) for one in self.pieces if one.kind]
        if not known and self.pieces:
            known = [(max(one.larger() for one in self.pieces), PIECES_EXTENT)]
        elif not known and any(self.page):  # no smaller than a piece
            known = [(max(self.page), (PIECES_EXTENT[0], float("inf")))]
        return all(low <= larger <= high for larger, (low, high) in known)

    @property
    def long(self) -> PieceExtent | None:
        """A sleeve that is longer than an arm."""
        sleeves = (one for one in self.pieces if one.kind is PieceKind.SLEEVE)
        return next((one for one in sleeves if one.larger() > LONGEST_SLEEVE), None)

    @property
    def small(self) -> PieceExtent | None:
        """A front or back, where all that is known is as small as for a small child."""
        known = [(one, one.kind) for one in self.pieces if one.kind]
        if any(one.larger() > _SMALL[kind] for one, kind in known):
            return None
        bodice = [one for one, kind in known if kind is not PieceKind.SLEEVE]
        return max(bodice, key=lambda one: one.larger(), default=None)

    @property
    def usual(self) -> bool:
        """Whether every allowance that is drawn has a usual width."""
        return bool(self.allowances) and all(map(_is_usual, self.allowances))

    @property
    def sheet(self) -> str | None:
        """The name of the paper that the page is, within rounding."""
        least, most = sorted(self.page)
        for paper in map(read_paper, NAMES):
            narrow, long = sorted(paper.size)
            if max(abs(least - narrow), abs(most - long)) <= SHEET_WITHIN:
                return paper.name
        return None


def clues_of(canvas: Canvas, pieces: Sequence[DrawnPiece]) -> Clues:
    """Read the clues of a drawing at the scale of its canvas; ``pieces`` as drawn in it."""
    own = [piece for piece in pieces if piece.file == canvas.file]
    named = sorted(own, key=lambda piece: _kind(piece.name) is None)[:_MOST_PIECES]
    extents = tuple(found for piece in named if (found := _extent(piece)) is not None)
    return Clues((canvas.width, canvas.height), extents, _widths(own[:_MOST_PIECES]))


def refuse_unknown(refusal: Refusal, trial: Drawing, convention: Convention) -> Refusal:
    """Say in the refusal of a drawing without a scale which are possible, and what each makes of it.

    ``trial`` is the drawing as read at ``TRIAL`` units an inch.
    """
    try:
        pieces = assemble([(trial.canvas.file, trial.layers)], convention).pieces
    except Refusal:  # its layers are not known: then the page alone tells
        pieces = ()
    clues = clues_of(trial.canvas, pieces)
    every = {units: clues.times(TRIAL / units) for units in (*LIKELY_UNITS, *UNITS_PER_INCH)}
    offered, why = _offered({units: found for units, found in every.items() if found.possible})
    if not offered:
        return refusal
    scales = [f"--scale {units:g}{why} ({_size(found)})" for units, found in offered.items()]
    if len(scales) == 1:
        todo = f"give {scales[0]}, and check a measure on paper"
    else:
        todo = f"give what fits your paper: {', '.join(scales)}, or another N"
    todo += '; or draw a closed 50 mm square in a layer named "test square"'
    return Refusal(refusal.parts[0], refusal.parts[1], todo)


def _offered(possible: Mapping[float, Clues]) -> tuple[Mapping[float, Clues], str]:
    """Choose from the possible scales, by units an inch, those to offer, and say why where it is only one.

    Allowances tell before the paper does. Where neither does: what most programs write, and of the rest what makes no
    tiny pieces of large ones, but for what only programs write that name themselves.
    """
    usual = {units: found for units, found in possible.items() if found.usual}
    sheet = {units: found for units, found in possible.items() if found.sheet}
    if usual:
        why = f", for its seam allowances are then {_listed_widths(next(iter(usual.values())))}"
        return usual, why if len(usual) == 1 else ""
    if sheet:
        why = f", for its page is then {next(iter(sheet.values())).sheet}"
        return sheet, why if len(sheet) == 1 else ""
    rest = (units for units, found in possible.items() if units != INKSCAPE_BEFORE_PER_INCH and found.small is None)
    likely = [*(units for units in LIKELY_UNITS if units in possible), *rest]
    return {units: possible[units] for units in likely} or possible, ""


def doubts(canvas: Canvas, clues: Clues, *, firm: bool) -> tuple[str, ...]:
    """Warn of what in the drawing speaks against its scale; ``firm``: it is the page's own size, in real units."""
    by = canvas.scale_from if canvas.scale_from.startswith("--") else f"its scale ({canvas.scale_from})"
    units = MM_PER_INCH / canvas.mm_per_user_unit
    tried = [units * slip for slip in SLIPS] if firm else UNITS_PER_INCH
    made = {each: clues.times(units / each) for each in tried if abs(each / units - 1) > DISAGREE}
    others = {each: found for each, found in made.items() if found.possible}
    where = f"{canvas.file}: with {by}"
    if clues.allowances and not clues.usual and (len(clues.allowances) > 1 or not firm):
        better = {each: found for each, found in others.items() if found.usual}
        if better:
            what = f"the seam allowances have no usual width (about {_listed_widths(clues)})"
            would = listed([f"with --scale {each:.6g} {_listed_widths(found)}" for each, found in better.items()], "or")
            return (f"{where} {what}; they would be {would}: check a measure on paper",)
    known = [one for one in clues.pieces if one.kind]
    if known and not clues.possible:
        odd = max(known, key=lambda one: one.larger())
        what = f"{odd.title} is {_extents(odd)}, which no garment is"
        would = " or ".join(f"--scale {each:.6g} ({_size(found)})" for each, found in _offered(others)[0].items())
        return (f"{where} {what}; {f'possible: {would}' if would else 'check a measure on paper'}",)
    if not firm and clues.sheet is None and not clues.usual:
        better = {each: found.sheet for each, found in others.items() if found.sheet}
        if len(better) == 1:
            each, sheet = next(iter(better.items()))
            wide, high = map(both_ways, clues.page)
            what = f"the page is {wide} x {high}, which no paper is; with --scale {each:.6g} it would be {sheet}"
            return (f"{where} {what}: check a measure on paper",)
    if not firm and clues.long is not None and not clues.usual:
        shorter = {each: found for each, found in _offered(others)[0].items() if found.long is None}
        if shorter:
            would = " or ".join(f"--scale {each:.6g} ({_size(found)})" for each, found in shorter.items())
            what = f"{clues.long.title} is {_extents(clues.long)}, longer than an arm"
            return (f"{where} {what}; possible: {would}; check a measure on paper",)
    if clues.small is None:
        return ()
    what = f"{clues.small.title} is {_extents(clues.small)}, as for a small child"
    return (f"{where} {what}; if it is for someone larger, the drawing came at a part of its size: check a measure",)


# -- clues -----------------------------------------------------------------------------------------------------------


def _kind(name: str) -> PieceKind | None:
    """Read from its name what a piece is; a name of many words is that of some part of one."""
    words = in_english(name).split()
    return next((kind for kind in _EXTENTS if kind in words), None) if len(words) <= 2 else None


def _extent(piece: DrawnPiece) -> PieceExtent | None:
    shapes = piece.stitch or piece.cut
    if not shapes:
        return None
    left, top, right, bottom = box_around(curve.bounds() for shape in shapes for curve in shape.curves)
    title = f"{piece.name} ({piece.size})" if piece.size else piece.name
    return PieceExtent(title, _kind(piece.name), right - left, bottom - top)


def _widths(pieces: Sequence[DrawnPiece]) -> tuple[float, ...]:
    """Find how wide the strips between stitch and cut lines are: the widths that a good part of the lines has."""
    away: list[float] = []
    for piece in pieces:
        cut = [_polyline(curve) for shape in piece.cut for curve in shape.curves]
        stitch = [curve for shape in piece.stitch for curve in shape.curves]
        if cut and stitch:
            points = np.concatenate([_spread(curve) for curve in stitch])
            away += np.min([distances(points, line) for line in cut], axis=0).tolist()
    found: list[float] = []
    group: list[float] = []
    for width in [*sorted(away), float("inf")]:
        if group and width - group[0] > max(0.01 * group[0], 1e-9):
            middle = group[len(group) // 2]
            if len(group) >= 0.08 * len(away) and middle > 0.02 * max(away):
                found.append(middle)
            group = []
        group.append(width)
    return tuple(found)


def _spread(curve: Curve) -> Complex:
    """Spread points over a curve, evenly by length."""
    total = curve.length(1e-2)
    return curve.points(np.array([curve.at_length(total * share, 1e-2) for share in np.linspace(0.02, 0.98, 49)]))


def _polyline(curve: Curve) -> Complex:
    return curve.points(np.linspace(0, len(curve), 12 * len(curve) + 1))


def _is_usual(width: float) -> bool:
    return any(abs(width - usual) <= USUAL_WITHIN for usual in USUAL_WIDTHS)


def _listed_widths(clues: Clues) -> str:
    return listed([both_ways(width) for width in clues.allowances])


def _extents(piece: PieceExtent) -> str:
    return f"{both_ways(piece.wide)} wide and {both_ways(piece.high)} high"


def _size(clues: Clues) -> str:
    """Say what a scale makes of the drawing: the page, and a piece that a person knows the size of."""
    wide, high = clues.page
    page = f"page {both_ways(wide)} x {both_ways(high)}" if wide and high else ""
    one = next((one for kind in (*_EXTENTS, None) for one in clues.pieces if one.kind == kind), None)
    piece = f"{one.title} {_extents(one)}{', longer than an arm' if clues.long is one else ''}" if one else ""
    return ", ".join(filter(None, (page, piece))) or "nothing else tells"
