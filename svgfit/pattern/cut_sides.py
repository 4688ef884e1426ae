"""The edges of a piece before and after a step, each with the cut line drawn beside it. Piece frame, mm, y down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import CornerForm, CutStep, Dart, Edge
from svgfit.pattern.cut_beside import Beside, Kept, find_beside, kept_stretches
from svgfit.pattern.dart_roof import pressed_towards_end
from svgfit.pattern.recognise.darts import over_mouths
from svgfit.rules.allowances import VARIES

Drawn = tuple[tuple[Edge, ...], tuple[Dart, ...]]
"""Edges and darts that a cut line was drawn beside."""


class Frame(Struct, frozen=True, kw_only=True):
    """What a cut line is drawn in: for messages and for which way is out."""

    where: str
    kind: str
    outwards: float
    """+1 where the outside lies to the right of travel, −1 where to the left."""
    corners: str = CornerForm.AS_DRAWN


class Side(Struct, frozen=True, kw_only=True, eq=False, dict=True):
    """One edge before and after, whole, and the drawn cut line beside it as it was."""

    old: Edge
    new: Edge
    beside: Beside | None
    as_wide: bool
    """Whether the cut line is to lie as far off as it did."""
    kept: tuple[Kept, ...]
    """Stretches that stayed, of those that the cut line runs beside."""
    mouths: tuple[tuple[float, float], ...] = ()
    """The mouths of the old edge's darts: parameters from, to."""
    roofs: tuple[tuple[float, float, Dart], ...] = ()
    """Darts whose roof is to be drawn, each with the parameters of the new edge that it is drawn between."""

    @property
    def wide(self) -> float:
        """The allowance, mm."""
        return 0.0 if self.new.fold else self.new.allowance or 0.0

    def stays_at(self, *, end: bool) -> Kept | None:
        """Return the kept stretch that reaches a corner with all that the corner's drawing may lie beside."""
        if not self.kept or self.beside is None:
            return None
        one = self.kept[-1] if end else self.kept[0]
        if end:
            at_corner = one.end >= len(self.new.curve) - 1e-9 and one.was_end >= len(self.old.curve) - 1e-9
            return one if at_corner and one.was_start < self.beside.place(-1) else None
        return one if one.start <= 1e-9 and one.was_start <= 1e-9 and one.was_end > self.beside.place(0) else None

    def old_width(self, place: float) -> float:
        """Read how far off the cut line lay beside a place of the old edge."""
        return self.beside.width(place, self.mouths) if self.beside is not None else self.wide

    def varied(self) -> tuple[float, float] | None:
        """Return the least and the greatest width where the allowance is to vary along the edge as it was drawn."""
        return self.varied_before if self.as_wide else None

    @cached_property
    def varied_before(self) -> tuple[float, float] | None:
        """The least and the greatest width where the drawn allowance varies along the edge."""
        if self.beside is None or self.old.fold or self.beside.holds(self.old.allowance or 0.0, VARIES):
            return None
        places, widths = self.beside.exact()
        outside = np.ones(len(places), dtype=np.bool_)
        for a, b in self.mouths:
            outside &= (places < a) | (places > b)
        widths = widths[outside]
        if not len(widths) or float(np.abs(widths - (self.old.allowance or 0.0)).max()) <= VARIES:
            return None
        return float(widths.min()), float(widths.max())


def whole(edge: Edge, darts: Sequence[Dart]) -> Edge:
    """Bridge the darts cut out of an edge."""
    return replace(edge, curve=over_mouths(edge, darts)) if darts else edge


def sides_of(line: Curve, before: Drawn, after: CutStep, frame: Frame) -> list[Side]:
    """Hold each edge against what it was, and find the cut line drawn beside it."""
    edges, darts = before
    old = [whole(edge, darts) for edge in edges]
    new = [whole(edge, after.darts) for edge in after.edges]
    besides = find_beside(line, [edge.curve for edge in old])
    sides: list[Side] = []
    for was, now, beside in zip(old, new, besides, strict=True):
        same_width = was.allowance == now.allowance and was.fold == now.fold and now.name not in after.anew
        kept = tuple(kept_stretches(was.curve, now.curve, after.motions)) if same_width else ()
        mouths = tuple(mouth_of(was.curve, dart, 0.0) for dart in darts if dart.edge == was.name)
        side = Side(old=was, new=now, beside=beside, as_wide=same_width, kept=kept, mouths=mouths)
        sides.append(_with_roofs(side, darts, after.darts, frame))
    return sides


def mouth_of(curve: Curve, dart: Dart, wide: float) -> tuple[float, float]:
    """Find between which parameters of an edge a dart's roof lies; without a width, its mouth."""
    ends: list[float] = []
    for at in (dart.start, dart.end):
        place = curve.nearest(at)[0]
        leg, way = (at - dart.apex) / abs(at - dart.apex), curve.tangent(place)
        rises = max(abs((leg * (1j * way).conjugate()).real), 0.1)
        ends.append(abs((leg * way.conjugate()).real) / rises * wide)
    a, b = curve.nearest(dart.start)[0], curve.nearest(dart.end)[0]
    if wide == 0:
        return a, b
    first, last = curve.length_between(0.0, a, 1e-2) - ends[0] - 1.0, curve.length_between(0.0, b, 1e-2) + ends[1] + 1.0
    return curve.at_length(max(first, 0.0), 1e-2), curve.at_length(last, 1e-2)


def _with_roofs(side: Side, old: Sequence[Dart], new: Sequence[Dart], frame: Frame) -> Side:
    """Note which darts need a roof, and take from what is kept the stretches over their mouths."""
    curve, kept = side.new.curve, list(side.kept)
    roofs: list[tuple[float, float, Dart]] = []
    for dart in new:
        if dart.edge != side.new.name or side.wide == 0:
            continue
        a, b = mouth_of(curve, dart, side.wide)
        stayed = next((one for one in kept if one.start <= a and one.end >= b), None)
        if stayed is not None and any(_same_dart(dart, was, stayed.motion) for was in old):
            continue
        roofs.append((a, b, dart))
        kept = [part for one in kept for part in _without(side, one, a, b)]
    for was in old:
        if was.edge == side.old.name and side.wide:
            kept = [part for one in kept for part in _without_roof_of(side, one, was, new)]
    return replace(side, kept=tuple(kept), roofs=tuple(roofs))


def _without_roof_of(side: Side, kept: Kept, was: Dart, new: Sequence[Dart]) -> list[Kept]:
    """Take the roof of a dart that is there no more, or changed, out of a stretch that was kept."""
    if any(_same_dart(dart, was, kept.motion) for dart in new):
        return [kept]
    old = side.old.curve
    ends = (max(min(t, kept.was_end), kept.was_start) for t in mouth_of(old, was, side.wide))
    a, b = (side.new.curve.nearest(kept.motion.apply(old.point(t)))[0] for t in ends)
    return _without(side, kept, a, b) if b > a + 1e-6 else [kept]


def _same_dart(dart: Dart, was: Dart, motion: Affine) -> bool:
    pairs = ((dart.start, was.start), (dart.apex, was.apex), (dart.end, was.end))
    return dart.edge == was.edge and all(abs(motion.apply(old) - new) < 1e-3 for new, old in pairs)


def _without(side: Side, kept: Kept, a: float, b: float) -> list[Kept]:
    """Take a stretch of the new edge out of one that was kept."""
    if b <= kept.start or a >= kept.end:
        return [kept]
    back = kept.motion.inverse()
    was_end, was_start = (side.old.curve.nearest(back.apply(side.new.curve.point(t)))[0] for t in (a, b))
    parts: list[Kept] = []
    if a > kept.start + 1e-6:
        parts.append(replace(kept, end=a, was_end=was_end))
    if b < kept.end - 1e-6:
        parts.append(replace(kept, start=b, was_start=was_start))
    return parts


def was_between(side: Side, between: tuple[float, float]) -> tuple[float, float]:
    """Find the stretch of the old edge that a new one stands for: that between the same kept stretches."""
    before = [one.was_end for one in side.kept if one.end <= between[0] + 1e-6]
    after = [one.was_start for one in side.kept if one.start >= between[1] - 1e-6]
    first = before[-1] if before else 0.0
    last = after[0] if after else float(len(side.old.curve))
    for one in side.kept:  # beside a corner that is drawn anew part of a kept stretch is drawn anew with it
        if one.start - 1e-6 <= between[0] and between[1] <= one.end + 1e-6:
            back = one.motion.inverse()
            start, end = (side.old.curve.nearest(back.apply(side.new.curve.point(t)))[0] for t in between)
            return start, end
    return (first, last) if last > first else (0.0, float(len(side.old.curve)))


def roof_notes(darts: Sequence[Dart], edges: Mapping[str, float], frame: Frame) -> tuple[str, ...]:
    """Say which darts' roofs have to be drawn by hand."""
    return tuple(
        f"{dart.edge}: to which side its dart is pressed can't be told, so the cut line runs straight over it; draw "
        "the dart's roof by hand"
        for dart in darts
        if edges.get(dart.edge) and pressed_towards_end(dart, frame.kind) is None
    )
