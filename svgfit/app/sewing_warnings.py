"""Whether what a run left can still be sewn: warnings for whoever adjusts, in the order a fitter would look. mm.

The figures that a walk is held to (svgfit.fitting.walking.WalkLimits: the convention's [walk]) hold here too.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress

import numpy as np

from svgfit.fitting.armhole import pieces_at_cap
from svgfit.fitting.cap_shape import new_bend
from svgfit.fitting.walking import WalkLimits, walk_sleeve
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.cap_turn import CapTurn
from svgfit.model.length import Units
from svgfit.model.piece import Edge, Piece, edge_pairs, paired
from svgfit.model.plan import Seam
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import PieceKind
from svgfit.model.walk import BACK_LOWER, FRONT_LOWER, Walk
from svgfit.plugin.abilities import notch_matcher
from svgfit.plugin.registry import Registry
from svgfit.rules.ease import GATHERED, TOO_SHORT
from svgfit.rules.smoothness import BEND_WITHIN


def changed_walks(
    before: Sequence[Piece], after: Sequence[Piece], seams: Sequence[Seam], rules: WalkLimits, units: Units
) -> dict[str, Walk]:
    """Walk each sleeve, by its title, whose cap or armhole changed.

    Pieces of one size, in the same order. A sleeve that can't be walked is passed over.
    """
    changed = {new.name for old, new in paired(before, after) if new is not old and _changed(old, new)}
    found: dict[str, Walk] = {}
    for sleeve in after:
        met = pieces_at_cap(sleeve.name, seams)
        if sleeve.kind == PieceKind.SLEEVE and met & changed:
            with suppress(Refusal):
                found[sleeve.title] = walk_sleeve(sleeve, after, seams, rules, units)
    return found


def sewing_warnings(
    before: Sequence[Piece],
    after: Sequence[Piece],
    walks: Mapping[str, Walk],
    rules: WalkLimits,
    units: Units,
    registry: Registry | None = None,
) -> tuple[str, ...]:
    """Tell what a person must know of seams that changed, and which operation of ``registry`` mends it.

    ``walks`` are ``changed_walks``, ``units`` those of the reader.
    """
    pairs = paired(before, after)
    warnings = [text for old, new in pairs if new is not old for text in _kinks(old, new, units)]
    for title, walk in walks.items():
        warnings += [
            f"{title}: {words}" for words in (*_ease(walk, rules, units), *_lower(walk, rules, units, registry))
        ]
    return tuple(warnings)


def _changed(old: Piece, new: Piece) -> bool:
    """Tell whether a cap or armhole, a notch on one, or how far a sleeve is turned changed."""
    if CapTurn.of(old) != CapTurn.of(new):
        return True
    seams = [(a, b) for a, b in edge_pairs(old, new) if _meets(a)]
    if any(a.curve is not b.curve and not np.array_equal(a.curve.segments, b.curve.segments) for a, b in seams):
        return True
    names = {a.name for a, _ in seams}
    places = [[mark.at for mark in piece.marks if mark.edge in names] for piece in (old, new)]
    return places[0] != places[1]


def _meets(edge: Edge) -> bool:
    return edge.name.startswith(("cap", "armhole"))


def _ease(walk: Walk, rules: WalkLimits, units: Units) -> Iterable[str]:
    """Warn of a whole ease that is less than can be, or more than can be eased in."""
    style = rules.style
    least = min(-TOO_SHORT, (style.still or style.cap)[0]) if style else -TOO_SHORT
    if walk.ease < least - 0.01:
        yield (
            f"the cap is {units.length(-walk.ease)} shorter than its armhole and can't be sewn in as it is; "
            "lengthen the cap, or shorten the armhole"
        )
    if walk.ease >= GATHERED - 0.01 and not rules.gathered:
        yield (
            f"the cap is {units.length(walk.ease)} longer than its armhole: so much can't be eased in, only "
            "gathered, pleated or darted"
        )


def _lower(walk: Walk, rules: WalkLimits, units: Units, registry: Registry | None) -> Iterable[str]:
    """Warn where cap and armhole don't match below the notches, where nothing is eased in."""
    for zone in walk.zones:
        if zone.zone in (FRONT_LOWER, BACK_LOWER) and abs(zone.mismatch) > rules.workable + 1e-6:
            matcher = None if registry is None else notch_matcher(registry)
            by = f" ({matcher})" if matcher else ""
            longer = "longer" if zone.mismatch > 0 else "shorter"
            turned = f", {walk.turn.words(units.plain)}," if walk.turn else ""
            yield (
                f"{zone.zone}: the cap{turned} is {units.length(abs(zone.mismatch))} {longer} than the armhole (cap "
                f"{units.length(zone.cap)}, armhole {units.length(zone.armhole)}), and workable is "
                f"{units.plain(rules.workable)}; move the notches{by} or redraw there"
            )


def _kinks(old: Piece, new: Piece, units: Units) -> Iterable[str]:
    """Warn of places where a cap or armhole bends as at a corner, and did not before."""
    for was, edge in edge_pairs(old, new):
        if not _meets(edge) or edge.curve is was.curve or any(dart.edge == edge.name for dart in new.darts):
            continue
        found = new_bend(_laid_on(was.from_front(), edge.from_front()), edge.from_front())
        if found is not None:
            turn, at = found
            yield (
                f"{new.title}: the {edge.name} bends as at a corner now: {units.plain(at)} along it, it turns by "
                f"{math.degrees(turn):.0f}° within {units.plain(BEND_WITHIN)}; ask for less, or redraw it there"
            )


def _laid_on(old: Curve, new: Curve) -> Curve:
    """Turn and shift an edge so that its ends lie in line with those of another: a part that was moved bends no more.

    Where the ends are as they were it stays to the last digit.
    """
    one, two = old.end - old.start, new.end - new.start
    if not abs(one) or not abs(two):
        return old
    turned = old.transform(Affine.turn(cmath.phase(two / one), old.start))
    return turned.transform(Affine.shift((new.start + new.end - turned.start - turned.end) / 2))
