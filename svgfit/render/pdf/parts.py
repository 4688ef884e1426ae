"""The parts into which a step cut a piece, and how each moved: by its working lines, and by what came of it.

Nothing is taken on trust: of the motions that the working lines allow, each part gets the one that carries its edge
onto the piece as the step left it. Piece frame, millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, feet
from svgfit.model.piece import Piece
from svgfit.model.report import Annotation, Opening
from svgfit.render.annotate.placement.occupancy import sample

_ON = 0.5
"""A slash's end, a hinge or an arrow's foot lies so near (mm) to what it belongs to."""
_SPACING = 2.0
"""Between points along a part's edge, mm."""
_FITS = 0.02
"""A part whose edge (by its middle point) lies this near to the result, mm, is where it belongs."""
_KEPT = 0.5
"""The part of a part's points that counts when its place is refined."""
_COUNTED = 120
"""So many points of a part's edge are held against the result."""

Span = tuple[float, float]


class Slit(Struct, frozen=True):
    """A slash on the outline."""

    points: tuple[complex, ...]
    hinge: complex | None
    """Its end that is not cut through."""


class Part(Struct, frozen=True):
    """One part of the cut piece."""

    around: Curve
    """Its whole edge before it moved, closed, the cuts among it."""
    edges: tuple[Curve, ...]
    """What of it was the piece's edge, without the cuts."""
    motion: Affine | None
    """How it moved; None where it stayed."""

    @property
    def now(self) -> Curve:
        """Its edge where it lies now."""
        return self.around if self.motion is None else self.around.transform(self.motion)

    @property
    def edges_now(self) -> tuple[Curve, ...]:
        """Its edges where they lie now."""
        return self.edges if self.motion is None else tuple(edge.transform(self.motion) for edge in self.edges)


def slits(notes: Iterable[Annotation]) -> tuple[Slit, ...]:
    """The slashes among a step's working lines, each with its hinge."""
    notes = tuple(notes)
    hinges = [note.point for note in notes if note.kind == "hinge" and note.point is not None]
    found: list[Slit] = []
    for note in notes:
        if note.kind != "slash" or note.curve is None:
            continue
        points = [complex(at) for at in note.curve.segments[:, 0].tolist()] + [note.curve.end]
        ends = [hinge for hinge in hinges if min(abs(hinge - points[0]), abs(hinge - points[-1])) < _ON]
        hinge = ends[0] if ends else None
        if hinge is not None and abs(hinge - points[0]) < abs(hinge - points[-1]):
            points.reverse()
        found.append(Slit(tuple(points), hinge))
    return tuple(found)


def parts(
    before: Piece, after: Piece, notes: Sequence[Annotation], openings: Sequence[Opening] = ()
) -> tuple[Part, ...]:
    """The parts of a piece between its slashes; () where no slash was opened or closed.

    ``openings`` say where the cut ends lie now; without them a part's place is found from the result, which was trued.
    """
    loop = before.outline()
    cuts = [(slit, loop.nearest(slit.points[0]), loop.nearest(slit.points[-1])) for slit in slits(notes)]
    cuts = [cut for cut in cuts if max(cut[1][1], cut[2][1]) < _ON and abs(cut[1][0] - cut[2][0]) > 1e-9]
    if not cuts:
        return ()
    base = _base(len(loop), [place for _, first, last in cuts for place in (first[0], last[0])])
    turned = Curve(np.roll(loop.segments, -base, axis=0))
    chords: dict[Span, tuple[complex, ...]] = {}
    for slit, (first, _), (last, _) in cuts:
        one, other = (first - base) % len(loop), (last - base) % len(loop)
        chords[(one, other) if one < other else (other, one)] = slit.points if one < other else slit.points[::-1]
    regions: list[list[Span]] = [[(0.0, float(len(loop)))]]
    for chord in chords:
        regions = [half for region in regions for half in _halves(region, chord)]
    ways = _motions([slit for slit, _, _ in cuts], notes, [end for one in openings for end in (one.first, one.second)])
    result = _chords(after.outline())
    found = tuple(_part(turned, region, chords, ways, result, known=bool(openings)) for region in regions)
    return found if any(part.motion is not None for part in found) else ()


def _halves(region: list[Span], chord: Span) -> list[list[Span]]:
    """A region cut by a chord, where both its ends lie on the region's edge; else the region."""
    first, last = chord
    if not all(any(a - 1e-9 <= place <= b + 1e-9 for a, b in region) for place in chord):
        return [region]
    inside = [(max(a, first), min(b, last)) for a, b in region]
    outside = [(a, min(b, first)) for a, b in region] + [(max(a, last), b) for a, b in region]
    both = [sorted({(a, b) for a, b in half if b - a > 1e-9}) for half in (inside, outside)]
    return both if all(both) else [region]


def _part(
    loop: Curve,
    region: list[Span],
    chords: dict[Span, tuple[complex, ...]],
    ways: Sequence[Affine],
    result: Complex,
    *,
    known: bool,
) -> Part:
    """The region as a closed line, with the motion that carries it onto the result."""
    around: list[complex] = []
    edge: list[Complex] = []
    for (start, end), (following, _) in zip(region, [*region[1:], region[0]], strict=True):
        stretch = _spaced(loop.subcurve(start, end))
        edge.append(stretch)
        around += stretch.tolist()
        points = chords.get((end, following)) or (chords.get((following, end)) or ())[::-1]
        around += points[1:-1]
    middle = np.concatenate(edge)
    middle = middle[:: max(1, len(middle) // _COUNTED)]
    motion = _best(middle, ways, result, known=known)
    lines = tuple(Curve.polyline(stretch.tolist()) for stretch in edge)
    return Part(Curve.polyline([*_apart(around), around[0]]), lines, motion)


def _apart(points: Sequence[complex]) -> list[complex]:
    kept = [points[0]]
    for at in points[1:]:
        if abs(at - kept[-1]) > 1e-6:
            kept.append(at)
    return kept[:-1] if len(kept) > 1 and abs(kept[-1] - kept[0]) <= 1e-6 else kept


def _base(count: int, places: Sequence[float]) -> int:
    """The node of the outline from which to count: the one farthest from every cut."""
    away = [min(abs((node - place + count / 2) % count - count / 2) for place in places) for node in range(count)]
    return away.index(max(away))


def _motions(cuts: Sequence[Slit], notes: Sequence[Annotation], ends: Sequence[complex]) -> list[Affine]:
    """What the arrows say: a shift for a slash that runs through, a turn about its hinge for one that does not.

    Where the cut ends lie now (``ends``) tells whether the piece was set back as a whole besides.
    """
    ways: list[Affine] = []
    for note in notes:
        if note.kind != "arrow" or note.curve is None or note.curve.start == note.curve.end:
            continue
        foot, tip = note.curve.start, note.curve.end
        for slit in cuts:
            if _away(foot, slit.points) > _ON:
                continue
            if slit.hinge is None:
                ways.append(_set_back(Affine.shift(tip - foot), slit.points[0], ends))
            elif abs(foot - slit.hinge) > _ON:
                turn = Affine.turn(float(np.angle((tip - slit.hinge) / (foot - slit.hinge))), slit.hinge)
                ways.append(_set_back(turn, slit.points[0], ends))
    return ways


def _set_back(way: Affine, cut_end: complex, ends: Sequence[complex]) -> Affine:
    """The motion, then a shift that brings the cut end to where it lies now."""
    shifts = [end - way.apply(cut_end) for end in ends]
    return way.then(Affine.shift(min(shifts, key=abs))) if shifts else way


def _away(at: complex, points: Sequence[complex]) -> float:
    return float(distances(np.array([at]), np.array(points))[0])


def _best(edge: Complex, ways: Sequence[Affine], result: Complex, *, known: bool) -> Affine | None:
    """The motion after which the middle point of the edge's distances to the result is least; None: it stays.

    ``known``: the motions are those of the run, not to be fitted: an edge trued over most of its length would turn
    a part that only slid.
    """
    stays = _misfit(edge, result)
    if stays < _FITS or not ways:
        return None
    fit, way = min(((_misfit(way.apply(edge), result), k) for k, way in enumerate(ways)), default=(stays, 0))
    if fit >= stays:
        return None
    return ways[way] if known or fit < _FITS else _refined(edge, ways[way], result)


def _refined(edge: Complex, way: Affine, result: Complex) -> Affine:
    """The motion brought nearer to the result: a part may also have been set back by a little as a whole.

    Least squares of the distances square to the result, of the better part of the points: the others were trued.
    """
    best, least = way, _misfit(way.apply(edge), result)
    for _ in range(30):
        moved = way.apply(edge)
        near_feet, along = feet(moved, result)
        away = np.abs(near_feet - moved)
        near = away <= np.quantile(away, _KEPT)
        spots, square, middle = moved[near], 1j * along[near], complex(moved[near].mean())
        arms = 1j * (spots - middle)
        rows = np.stack([square.real, square.imag, (square.conjugate() * arms).real], axis=1)
        off = (square.conjugate() * (near_feet[near] - spots)).real
        across, down, angle = np.linalg.lstsq(rows, off, rcond=1e-9)[0].tolist()
        way = way.then(Affine.turn(angle, middle)).then(Affine.shift(complex(across, down)))
        found = _misfit(way.apply(edge), result)
        if found < least:
            best, least = way, found
    return best


def _misfit(edge: Complex, result: Complex) -> float:
    return float(np.median(distances(edge, result)))


def parted_from(lines: Sequence[Curve], others: Sequence[Curve], apart: float) -> tuple[Curve, ...]:
    """The stretches of ``lines`` that lie more than ``apart`` mm from every one of ``others``; as polylines."""
    beside = [_chords(other) for other in others]
    found: list[Curve] = []
    for line in lines:
        points = _spaced(line)
        away = np.min([distances(points, other) for other in beside], axis=0) > apart
        for stretch in _runs(away):
            kept = points[max(stretch[0] - 1, 0) : stretch[1] + 1].tolist()
            apart_points = [kept[0], *(b for a, b in pairwise(kept) if abs(b - a) > 1e-9)]
            if len(apart_points) > 1:
                found.append(Curve.polyline(apart_points))
    return tuple(found)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where runs of True begin and end (behind the last)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _spaced(curve: Curve) -> Complex:
    return sample(curve.segments, _SPACING)


def _chords(curve: Curve) -> Complex:
    """The curve as a polyline with as few points as do: a straight segment as one."""
    third = (curve.segments[:, 3] - curve.segments[:, 0]) / 3
    off = np.abs(curve.segments[:, 1] - curve.segments[:, 0] - third)
    off += np.abs(curve.segments[:, 3] - third - curve.segments[:, 2])
    points = [curve.segments[0, :1]]
    for cubic, straight in zip(curve.segments, (off < 1e-9).tolist(), strict=True):
        points.append(cubic[3:] if straight else sample(cubic[None, :], _SPACING)[1:])
    return np.concatenate(points)
