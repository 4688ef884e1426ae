"""A slash: where a piece is cut, which part moves, and what stands on it. Piece frame, mm, y down."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import enclosed
from svgfit.model.length import both_ways
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import EdgeName, MarkKind

ON_SEAM = 1e-6
"""What lies nearer than this to a seam (mm) lies on it."""


class Slash(Struct, frozen=True):
    """A polyline through the piece (edge to edge), or from an edge to a hinge on a seam.

    The first point lies outside the piece or on its edge; without a hinge the last one does too. ``moves`` is a point
    of the outline on the part that moves.
    """

    points: tuple[complex, ...]
    """The polyline, in the piece's frame, mm."""
    moves: complex
    """A point of the outline on the part that moves."""
    hinge: complex | None = None
    """Where the cut ends inside the piece, on a seam; None for a cut from edge to edge."""


class Cut(Struct, frozen=True):
    """A slash found on a piece's outline: the part that moves runs from loop parameter ``start`` to ``end``.

    A loop parameter counts the segments of ``piece.outline()``; the part may run over the outline's own start, then
    ``end`` is larger than the number of segments.
    """

    loop: Curve
    """The whole outline of the piece."""
    start: float
    """Where the part that moves begins on it."""
    end: float
    """Where that part ends, larger than ``start``."""
    line: tuple[complex, ...]
    """The slash inside the piece, from the point at ``start`` to the point at ``end``."""

    def moved(self, t: float) -> bool:
        """Tell whether the loop's place ``t`` lies on the part that moves."""
        n = len(self.loop)
        return self.start <= t <= self.end or self.start <= t + n <= self.end

    def region(self) -> np.ndarray:
        """Flatten the moving part to a polygon (k,), 12 places a segment: for telling what stands on it."""
        count = max(2, int((self.end - self.start) * 12) + 1)
        around = self.loop.points(np.linspace(self.start, self.end, count) % len(self.loop))
        return np.concatenate([around, np.array(self.line[::-1][1:-1], dtype=np.complex128)])

    def holds(self, point: complex) -> bool:
        """Tell whether a drawn point stands on the moving part; one outside the piece goes with the nearest seam."""
        at = np.array([point])
        if enclosed(at, self.region())[0]:
            return True
        if enclosed(at, self.loop.points(np.arange(len(self.loop) * 12) / 12))[0]:
            return False
        return self.moved(self.loop.nearest(point)[0])


def cut(piece: Piece, slash: Slash) -> Cut:
    """Find the slash on the outline; refuse one that does not run as it says."""
    loop = piece.outline()
    met = _meetings(loop, slash.points)
    if slash.hinge is None:
        if len(met) != 2:
            raise Refusal(
                piece.where,
                f"the slash meets the outline {_times(len(met))} instead of twice",
                "choose another slash height",
            )
        first, last = met
    else:
        at, away = loop.nearest(slash.hinge)
        if away > ON_SEAM * 100:
            raise Refusal(piece.where, f"the hinge lies {both_ways(away)} off the seam", "put it on a seam")
        if round(at) in (0, len(loop)) and abs(loop.start - slash.hinge) <= ON_SEAM:
            at = 0.0
        met = [one for one in met if abs(loop.point(one[1]) - slash.hinge) > ON_SEAM * 100]
        if not met:
            raise Refusal(piece.where, "the slash to the hinge misses the outline", "choose another place for it")
        first, last = met[0], (float(len(slash.points)), at)
    line = (
        loop.point(first[1]),
        *(slash.points[k] for k in range(1, len(slash.points) - 1) if first[0] < k < last[0]),
        loop.point(last[1]) if slash.hinge is None else slash.hinge,
    )
    found = _orient(loop, first[1], last[1], line, loop.nearest(slash.moves)[0])
    # Running level to its hinge, a slash may graze the edge that moves with the corner; it may not meet any other.
    if slash.hinge is not None and not all(found.moved(t) for _, t in met[1:]):
        raise Refusal(
            piece.where,
            f"the slash to the hinge meets the outline {_times(len(met))} instead of once",
            "choose another place for it",
        )
    return found


def cut_between(piece: Piece, first: float, last: float, via: Sequence[complex] = (), *, moves: complex) -> Cut:
    """Cut a piece from one place of its outline to another: straight, or by way of points inside it.

    ``first`` and ``last`` are parameters of ``piece.outline()``; a hinge is a place like any other. ``moves`` is a
    point of the outline on the part that moves. Refuse (Refusal) a line that leaves the piece or runs along its edge.
    """
    loop = piece.outline()
    n = len(loop)
    line = (loop.point(first), *via, loop.point(last))
    if abs(first - last) % n < ON_SEAM or len(set(line)) < len(line):
        raise Refusal(piece.where, "the cut begins where it ends", "choose two places that lie apart")
    for a, b in itertools.pairwise(line):
        length = abs(b - a)
        for t in loop.crossings(a, b):
            at = abs(loop.point(t) - a)
            if ON_SEAM * 1000 < at < length - ON_SEAM * 1000 or (a in via and at <= ON_SEAM * 1000):
                what = f"the cut crosses the outline {both_ways(at)} from where it begins"
                raise Refusal(piece.where, what, "choose other places, or cut round the corner by way of a point")
    around = loop.points(np.arange(n * 12) / 12)
    inside = [a + (b - a) * share for a, b in itertools.pairwise(line) for share in (0.25, 0.5, 0.75)]
    if not all(enclosed(np.array(inside), around)):
        raise Refusal(piece.where, "the cut runs outside the piece", "choose other places")
    return _orient(loop, first % n, last % n, line, loop.nearest(moves)[0])


def part_to_move(piece: Piece, first: float, last: float, via: Sequence[complex] = ()) -> complex:
    """Choose the part of a cut that moves, where nobody said: a point of the outline on it.

    ``first`` and ``last`` as for ``cut_between``. The part on which the grain line's middle stands stays; without one,
    the part with the fold or centre; else the larger part.
    """
    loop = piece.outline()
    n = len(loop)
    middles = [loop.point((a + (b - a) % n / 2) % n) for a, b in ((first, last), (last, first))]
    cuts = [cut_between(piece, first, last, via, moves=middle) for middle in middles]
    grain = next((mark.curves[0] for mark in piece.marks if mark.kind == MarkKind.GRAIN_LINE and mark.curves), None)
    fold = next(
        (edge.curve for edge in piece.edges if edge.fold or edge.name in (EdgeName.FOLD, EdgeName.CENTRE)), None
    )
    still = grain or fold
    if still is not None:
        stays = still.point(len(still) / 2)
        for middle, found in zip(middles, cuts, strict=True):
            if not found.holds(stays):
                return middle
    sizes = [abs(Curve.polyline([*found.region().tolist(), complex(found.region()[0])]).area()) for found in cuts]
    return middles[0] if sizes[0] <= sizes[1] else middles[1]


def _orient(loop: Curve, first: float, last: float, line: tuple[complex, ...], moves: float) -> Cut:
    """Order the ends of a slash so that the part between them holds ``moves``, a parameter of the loop."""
    n = len(loop)
    low, high = min(first, last), max(first, last)
    if low <= moves <= high:
        start, end = low, high
    else:
        start, end = high, low + n
    return Cut(loop, start, end, line if start == first else line[::-1])


def _meetings(loop: Curve, points: tuple[complex, ...]) -> list[tuple[float, float]]:
    """Find where a polyline meets the loop: (place along the polyline, loop parameter), ascending, each place once."""
    found: list[tuple[float, float]] = []
    for k, (a, b) in enumerate(itertools.pairwise(points)):
        for t in loop.crossings(a, b):
            place = k + abs(loop.point(t) - a) / abs(b - a)
            found.append((place, t % len(loop)))
    found.sort()
    kept: list[tuple[float, float]] = []
    for place, t in found:
        if all(abs(loop.point(t) - loop.point(other)) > ON_SEAM for _, other in kept):
            kept.append((place, t))
    return kept


def _times(count: int) -> str:
    """Spell how often, for messages."""
    return {0: "nowhere", 1: "once", 2: "twice"}.get(count, f"{count} times")
