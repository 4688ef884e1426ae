"""Strokes gathered into figures: one drawn mark each, whatever its form, and the axis that it is symmetric about.

A figure may be a stroke, a V, a triangle, a T, a cross, a dot, a box …, drawn as one line or as several that touch. Its
axis is found by reflection: the line about which the figure's mirror image lies on the figure itself, of several the
one most nearly square to the seam. Works in whatever frame its arguments share, mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.rules.drawing_habits import DRAWN_TWICE, LONGEST_OUTLINE
from svgfit.rules.notches import LOPSIDED, NEARLY_SYMMETRIC, ONE_NOTCH, RIVAL, ROUND, WIDEST_LEAN

_CHORDS = 8
"""Chords to a bent cubic."""
_POINTS = 48
"""At so many points a figure is held against its mirror image."""
_MOST_CHORDS = 200
"""A figure of more chords than this is taken as it is drawn."""
_AT_ONCE = 1 << 18
"""So many pairs of points and chords are looked at at a time."""
_EVEN = 0.02
"""A mirror image nearer than this to the figure, mm, is as good as another."""
_SIDE_BY_SIDE = 0.25
"""Two whole forms that overlap along the seam by less than this share of the smaller are two marks."""


class Axis(Struct, frozen=True):
    """A line through a figure: a point on it, its direction (a unit vector), and how far off symmetric it is, mm."""

    at: complex
    """A point of it."""
    way: complex
    """Its direction, a unit vector."""
    misfit: float = 0.0
    """How far off symmetric the figure is, mm."""
    rival: complex | None = None
    """The direction of another line that it is as symmetric about and that is hardly less square to the seam."""


class Figure(Struct, frozen=True):
    """The curves of one mark, and their chords (n, 2)."""

    curves: tuple[Curve, ...]
    """As drawn."""
    chords: Complex
    """Start and end of each straight piece of them, (n, 2)."""

    @property
    def middle(self) -> complex:
        """The centre of gravity of its lines."""
        return _middle(self.chords)

    @property
    def reach(self) -> float:
        """How far it reaches from its middle, mm."""
        return float(np.abs(self.chords - self.middle).max())

    def points(self) -> Complex:
        """Make points on its lines, evenly by length, the ends of every chord among them."""
        even = _even_points(self.chords, _POINTS)
        return even if len(self.chords) > _MOST_CHORDS else np.concatenate([even, self.chords.ravel()])

    def along(self, axis: Axis) -> tuple[float, float]:
        """Measure from where to where it reaches along an axis, mm from the axis's own point."""
        heights = ((self.chords - axis.at) * axis.way.conjugate()).real
        return float(heights.min()), float(heights.max())

    def width(self, axis: Axis) -> float:
        """Measure how wide it is across an axis, mm."""
        sideways = ((self.chords - axis.at) * axis.way.conjugate()).imag
        return float(np.ptp(sideways))

    def gap(self, line: Complex) -> float:
        """Measure how near it comes to a polyline (m,), whose corners lie about a millimetre apart."""
        from_middle = np.abs(line - self.middle)
        near = np.flatnonzero(from_middle <= from_middle.min() + 2 * self.reach + 2.0)
        some = np.array(sorted(set(np.clip([near - 1, near], 0, len(line) - 2).ravel().tolist())))  # no np.unique: slow
        beside = np.stack([line[some], line[some + 1]], axis=1)
        return float(min(_away(self.points(), beside).min(), _away(line[some], self.chords).min()))

    def is_stroke(self) -> bool:
        """Return whether it is one straight stroke."""
        return len(self.curves) == 1 and self.curves[0].is_straight() and not self.curves[0].is_closed()

    def is_lopsided(self, axis: Axis) -> bool:
        """Return whether it is not symmetric about the axis."""
        return axis.misfit > max(LOPSIDED * self.reach, 4 * _EVEN)


def is_zigzag(figure: Figure, axis: Axis) -> bool:
    """Return whether a figure is one open line that runs along the seam and has two tips of about one height.

    A pair of notches is drawn so: as one line that goes down between them by more than half of what it rises.
    """
    if len(figure.curves) != 1 or figure.curves[0].is_closed():
        return False
    nodes = (np.append(figure.chords[:, 0], figure.chords[-1, 1]) - axis.at) * axis.way.conjugate()
    along = np.diff(nodes.imag)
    if not (np.all(along > -_EVEN) or np.all(along < _EVEN)):
        return False
    for heights in (nodes.real, -nodes.real):
        top, foot = float(heights.max()), float(max(heights[0], heights[-1]))
        tips = np.flatnonzero(heights >= top - 0.25 * (top - foot))
        between = heights[tips[0] : tips[-1] + 1]
        if top - foot > _EVEN and float(between.min()) < top - 0.5 * (top - foot):
            return True
    return False


def line_of(curve: Curve) -> Complex:
    """Make a polyline of a curve: about a chord a millimetre, longer ones where it is longer than any piece's."""
    lengths = np.abs(np.diff(curve.segments, axis=1)).sum(axis=1)
    chord = max(1.0, float(lengths.sum()) / LONGEST_OUTLINE)
    counts = np.maximum(2, np.ceil(lengths / chord)).astype(int)
    t = np.concatenate([np.linspace(k, k + 1, count, endpoint=False) for k, count in enumerate(counts.tolist())])
    return curve.points(np.append(t, len(curve)))


def gather(curves: Sequence[Curve], square: Callable[[complex], complex]) -> list[list[int]]:
    """Gather curves, by their numbers, into figures: those that touch are one mark.

    ``square`` gives the way square to the seam near a point. Two whole forms side by side, such as two triangles that
    share a corner or the bars of two Ts, stay two.
    """
    figures = [figure_of([curve]) for curve in curves]
    points = [figure.points() for figure in figures]
    whole = [_is_whole(figure, square) for figure in figures]
    root = list(range(len(curves)))

    def find(k: int) -> int:
        while root[k] != k:
            k = root[k]
        return k

    for a, b in _near_pairs(figures):
        if find(a) == find(b) or not _touch(figures[a], figures[b], points[a], points[b]):
            continue
        if whole[a] and whole[b] and _side_by_side(figures[a], figures[b], square):
            continue
        first, second = find(a), find(b)
        root[max(first, second)] = min(first, second)
    groups: dict[int, list[int]] = {}
    for k in range(len(curves)):
        groups.setdefault(find(k), []).append(k)
    return list(groups.values())


def figure_of(curves: Sequence[Curve]) -> Figure:
    """Make a figure of curves; a line of it that is drawn twice counts once."""
    chords = np.concatenate([_chords(curve) for curve in curves])
    if len(chords) > _MOST_CHORDS:
        return Figure(tuple(curves), chords)
    either = np.minimum(_apart(chords, chords), _apart(chords, chords[:, ::-1]))
    double = np.tril(either <= DRAWN_TWICE, -1).any(axis=1)
    return Figure(tuple(curves), chords[~double])


def _apart(chords: Complex, others: Complex) -> Real:
    """Measure how far each chord's ends lie from each other one's, the larger of both."""
    return np.abs(chords[:, None] - others[None]).max(axis=2)


def find_axis(figure: Figure, square: complex) -> Axis:
    """Find a figure's axis: of those it is symmetric about the one nearest to ``square``, the way square to the seam.

    What is round has its axis square to the seam. What is symmetric about none has the one it is nearest to being so.
    """
    square /= abs(square)
    if figure.is_stroke():
        return _stroke_axis(figure.curves[0], square)
    middle, points = figure.middle, figure.points()

    def misfits(turns: Real) -> Real:
        return _misfits(figure, points, np.full(len(turns), middle), square * np.exp(1j * turns))

    turns = np.linspace(-WIDEST_LEAN, WIDEST_LEAN, 31)
    found = misfits(turns)
    if max(found.max(), misfits(np.array([-1.05, 1.05, 1.37])).max()) <= ROUND * figure.reach:
        return Axis(middle, square)
    last = len(turns) - 1
    lows = [k for k in range(len(turns)) if found[k] <= min(found[max(k - 1, 0)], found[min(k + 1, last)])]
    refined = [_lowest(misfits, turns[max(k - 1, 0)], turns[min(k + 1, last)]) for k in lows]
    best = min(value for _, value in refined)
    enough = best + max(_EVEN, NEARLY_SYMMETRIC * figure.reach)
    turn, value = min((one for one in refined if one[1] <= enough), key=lambda one: abs(one[0]))
    others = [one[0] for one in refined if one[1] <= enough and turn != one[0] and abs(one[0]) - abs(turn) < RIVAL]
    rival = square * cmath.rect(1, min(others, key=abs)) if others else None
    axis = Axis(middle, square * cmath.rect(1, turn), value, rival)
    return _shifted(figure, points, axis) if value > _EVEN else axis


def _stroke_axis(stroke: Curve, square: complex) -> Axis:
    """Take a stroke's own direction; square across its middle where it runs along the seam."""
    way = stroke.end - stroke.start
    middle = (stroke.start + stroke.end) / 2
    if way == 0:
        return Axis(middle, square)
    way /= abs(way)
    lean = abs((way * square.conjugate()).real)
    return Axis(middle, way if lean >= math.cos(WIDEST_LEAN) else 1j * way)


# -- symmetry --------------------------------------------------------------------------------------------------------


def _misfits(figure: Figure, points: Complex, at: Complex, ways: Complex) -> Real:
    """Measure how far a figure's mirror images about axes lie from it, on average, mm.

    A mirror image: z → a + w² · conj(z - a).
    """
    images = at[:, None] + ways[:, None] ** 2 * (points - at[:, None]).conj()
    return _away(images.ravel(), figure.chords).reshape(images.shape).mean(axis=1)


def _lowest(of: Callable[[Real], Real], low: float, high: float) -> tuple[float, float]:
    """Find where a function with one dip is lowest, by ever finer grids, and its value there."""
    place, value = low, math.inf
    for _ in range(5):
        places: Real = np.linspace(low, high, 17)
        values = of(places)
        k = int(np.argmin(values))
        place, value = float(places[k]), float(values[k])
        low, high = float(places[max(k - 1, 0)]), float(places[min(k + 1, 16)])
    return place, value


def _shifted(figure: Figure, points: Complex, axis: Axis) -> Axis:
    """Move an axis sideways to where it fits best: lines drawn twice pull the centre of gravity aside."""
    across = 1j * axis.way

    def misfits(by: Real) -> Real:
        at: Complex = np.asarray(axis.at + across * by, np.complex128)
        return _misfits(figure, points, at, np.full(len(by), axis.way))

    tries = np.linspace(-0.25, 0.25, 21) * figure.reach
    k = int(np.argmin(misfits(tries)))
    by, value = _lowest(misfits, float(tries[max(k - 1, 0)]), float(tries[min(k + 1, 20)]))
    return Axis(axis.at + across * by, axis.way, value) if value < axis.misfit - _EVEN else axis


# -- which curves are one mark ---------------------------------------------------------------------------------------


def _touch(one: Figure, other: Figure, points: Complex, other_points: Complex) -> bool:
    """Tell whether two curves touch, cross, or lie one in the other."""
    if min(float(_away(points, other.chords).min()), float(_away(other_points, one.chords).min())) <= ONE_NOTCH:
        return True
    large, small = (one, other) if one.reach > other.reach else (other, one)
    return large.curves[0].is_closed() and abs(large.middle - small.middle) + small.reach < large.reach


def _near_pairs(figures: Sequence[Figure]) -> Iterable[tuple[int, int]]:
    """Pair figures whose boxes touch, or nearly."""
    low = np.array([complex(one.chords.real.min(), one.chords.imag.min()) for one in figures])
    high = np.array([complex(one.chords.real.max(), one.chords.imag.max()) for one in figures])
    for k in range(len(figures) - 1):
        gap: Complex = np.array([low[k + 1 :] - high[k], low[k] - high[k + 1 :]])
        apart = np.maximum(gap.real, gap.imag).max(axis=0)
        yield from ((k, k + 1 + int(m)) for m in np.flatnonzero(apart <= ONE_NOTCH))


def _is_whole(figure: Figure, square: Callable[[complex], complex]) -> bool:
    """Tell whether one curve is a whole form or a whole bar, so that one beside it is another mark's.

    It is closed, or bent and symmetric about a way nearly square to the seam, or straight along the seam.
    """
    curve = figure.curves[0]
    if curve.is_closed():
        return True
    if curve.is_straight():
        lean = (curve.end - curve.start) * square(figure.middle).conjugate()
        return abs(lean.real) < 0.4 * abs(lean.imag)
    return not figure.is_lopsided(find_axis(figure, square(figure.middle)))


def _side_by_side(one: Figure, other: Figure, square: Callable[[complex], complex]) -> bool:
    along = 1j * square((one.middle + other.middle) / 2)
    spans = [((figure.chords) * along.conjugate()).real for figure in (one, other)]
    overlap = min(span.max() for span in spans) - max(span.min() for span in spans)
    return bool(overlap < _SIDE_BY_SIDE * min(np.ptp(span) for span in spans))


# -- chords ----------------------------------------------------------------------------------------------------------


def _chords(curve: Curve) -> Complex:
    corners: list[complex] = []
    for k, segment in enumerate(curve.segments):
        count = 1 if Curve(segment[None, :]).is_straight(1e-3) else _CHORDS
        corners += curve.points(np.linspace(k, k + 1, count, endpoint=False)).tolist()
    line = np.array([*corners, curve.end])
    return np.stack([line[:-1], line[1:]], axis=1)


def _lengths(chords: Complex) -> Real:
    return np.abs(chords[:, 1] - chords[:, 0])


def _middle(chords: Complex) -> complex:
    weights = _lengths(chords)
    if weights.sum() == 0:
        return complex(chords[0, 0])
    return complex((chords.mean(axis=1) * weights).sum() / weights.sum())


def _even_points(chords: Complex, count: int) -> Complex:
    """Make points on chords, evenly by length."""
    lengths = _lengths(chords)
    ends: Real = np.cumsum(lengths)
    if ends[-1] == 0:
        return chords[:1, 0]
    at: Real = (np.arange(count) + 0.5) / count * ends[-1]
    k = np.minimum((at[:, None] > ends).sum(axis=1), len(chords) - 1)
    share = (at - (ends[k] - lengths[k])) / np.maximum(lengths[k], 1e-300)
    return chords[k, 0] + share * (chords[k, 1] - chords[k, 0])


def _away(points: Complex, chords: Complex) -> Real:
    """Measure the distance of each point from the nearest chord, none of which need touch."""
    start, step = chords[:, 0], chords[:, 1] - chords[:, 0]
    squares = np.maximum(np.abs(step) ** 2, 1e-300)
    found: list[Real] = []
    for some in np.array_split(points, 1 + len(points) * len(chords) // _AT_ONCE):
        from_start = some[:, None] - start
        share: Real = np.clip((from_start * step.conj()).real / squares, 0.0, 1.0)
        found.append(np.abs(from_start - share * step).min(axis=1))
    return np.concatenate(found)
