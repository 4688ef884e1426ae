"""The parts into which slashes cut a piece, and how each was laid down anew: ``Outcome.moved`` of a step that cuts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from svgfit.fitting.slash import Cut, Slash, cut
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.operation import Movement
from svgfit.model.piece import Piece

Span = tuple[float, float]
"""From one parameter of the outline to a larger one."""
Chords = dict[Span, tuple[complex, ...]]
"""Each slash between two places of the outline, its points in that direction."""


def parts_moved(
    piece: Piece, slashes: Sequence[tuple[Slash | Cut, Affine]], then: Affine | None = None
) -> tuple[Movement, ...]:
    """Return every part between the slashes with its motion; a part that no slash moved has None.

    ``slashes``: each with the motion of the part that it moves; a part that two of them move has both motions, one
    after the other. ``then``: how the whole piece was set back afterwards. All in the frame of ``piece``, which is not
    cut yet. Raises Refusal where a slash does not run through the piece.
    """
    cuts = [(found if isinstance(found, Cut) else cut(piece, found), motion) for found, motion in slashes]
    if not cuts:
        return ()
    loop = cuts[0][0].loop
    base = _far_node(len(loop), [place for found, _ in cuts for place in (found.start, found.end)])
    turned = Curve(np.roll(loop.segments, -base, axis=0))
    chords = _chords([found for found, _ in cuts], base)
    regions: list[list[Span]] = [[(0.0, float(len(loop)))]]
    for chord in chords:
        regions = [half for region in regions for half in _halves(region, chord)]
    return tuple(_movement(piece, turned, region, chords, _motion(region, base, cuts, then)) for region in regions)


def _far_node(count: int, places: Sequence[float]) -> int:
    """Return the node of an outline of ``count`` segments that is farthest from every place: where to count from."""
    away = [min(abs((node - place + count / 2) % count - count / 2) for place in places) for node in range(count)]
    return away.index(max(away))


def _chords(cuts: Sequence[Cut], base: int) -> Chords:
    """Return the slashes by their ends, counted from the node ``base``."""
    chords: Chords = {}
    for found in cuts:
        count = len(found.loop)
        one, other = (found.start - base) % count, (found.end - base) % count
        chords[(one, other) if one < other else (other, one)] = found.line if one < other else found.line[::-1]
    return chords


def _halves(region: list[Span], chord: Span) -> list[list[Span]]:
    """Cut a region by a chord, where both its ends lie on the region's edge; else return the region."""
    first, last = chord
    if not all(any(a - 1e-9 <= place <= b + 1e-9 for a, b in region) for place in chord):
        return [region]
    inside = [(max(a, first), min(b, last)) for a, b in region]
    outside = [(a, min(b, first)) for a, b in region] + [(max(a, last), b) for a, b in region]
    both = [sorted({(a, b) for a, b in half if b - a > 1e-9}) for half in (inside, outside)]
    return both if all(both) else [region]


def _motion(
    region: Sequence[Span], base: int, cuts: Sequence[tuple[Cut, Affine]], then: Affine | None
) -> Affine | None:
    """Return all motions of a region, one after another; None where it stayed."""
    start, end = max(region, key=lambda span: span[1] - span[0])
    found: Affine | None = None
    for one, motion in cuts:
        if one.moved(((start + end) / 2 + base) % len(one.loop)):
            found = motion if found is None else found.then(motion)
    return then if found is None else found if then is None else found.then(then)


def _movement(piece: Piece, loop: Curve, region: list[Span], chords: Chords, motion: Affine | None) -> Movement:
    """Describe one part: its stretches of the outline and the cuts between them, in turn."""
    edges: list[Curve] = []
    cuts: list[tuple[complex, ...]] = []
    for (start, end), (following, _) in zip(region, [*region[1:], region[0]], strict=True):
        edges.append(loop.subcurve(start, end))
        cuts.append(chords.get((end, following)) or (chords.get((following, end)) or ())[::-1])
    return Movement(piece.title, tuple(edges), tuple(cuts), motion)
