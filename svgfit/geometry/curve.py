"""Curve: a chain of cubic Béziers in millimetres.

Conventions: points are complex numbers x + iy, y runs down; segments are one read-only complex128 array of shape
(n, 4); a parameter runs from 0 to n, its whole part naming the segment; a normal is the tangent times i, so to the
right of the direction of travel as seen on a page. Accuracy is an argument, in millimetres. Nothing is changed in place.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from svgfit.geometry import arclength, bezier
from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex, Real

LENGTH_ACCURACY = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A chain of cubics, each starting where the one before ended.

    >>> line = Curve.polyline([0j, 30 + 40j])
    >>> round(line.length(), 9)
    50.0
    >>> line.point(0.5)
    (15+20j)
    """

    segments: Complex

    def __post_init__(self) -> None:
        fixed = np.array(self.segments, dtype=np.complex128)
        if fixed.ndim != 2 or fixed.shape[1:] != (4,) or not len(fixed):
            raise ValueError(f"a curve needs an array of shape (n, 4), n at least 1, not {fixed.shape}")
        if not np.isfinite(fixed).all():
            raise ValueError("a curve needs finite coordinates")
        fixed.flags.writeable = False
        object.__setattr__(self, "segments", fixed)

    # -- making -------------------------------------------------------------------------------------------------

    @classmethod
    def polyline(cls, points: Sequence[complex]) -> Curve:
        """Straight from point to point (at least two)."""
        return cls(np.array([bezier.from_line(a, b) for a, b in zip(points, points[1:], strict=False)]))

    @classmethod
    def chain(cls, curves: Iterable[Curve]) -> Curve:
        """One curve from several, end to start; each start is put exactly on the end before it."""
        joined = np.concatenate([curve.segments for curve in curves])
        joined[1:, 0] = joined[:-1, 3]
        return cls(joined)

    def __len__(self) -> int:
        return len(self.segments)

    # -- looking ------------------------------------------------------------------------------------------------

    @property
    def start(self) -> complex:
        """The first point."""
        return complex(self.segments[0, 0])

    @property
    def end(self) -> complex:
        """The last point."""
        return complex(self.segments[-1, 3])

    def is_closed(self, accuracy: float = 1e-6) -> bool:
        """Whether the ends meet within ``accuracy`` mm."""
        return abs(self.end - self.start) <= accuracy

    def _locate(self, t: Real) -> tuple[NDArray[np.intp], Real]:
        index = np.clip(np.floor(t).astype(np.intp), 0, len(self.segments) - 1)
        return index, t - index

    def points(self, t: Real) -> Complex:
        """Points at many parameters."""
        index, local = self._locate(np.asarray(t, dtype=np.float64))
        return bezier.position(self.segments[index], local)

    def point(self, t: float) -> complex:
        """The point at a parameter."""
        return complex(self.points(np.array([t]))[0])

    def tangents(self, t: Real, *, before: bool = False) -> Complex:
        """Unit tangents; at a node the one after it, or with ``before`` the one before it.

        Where a handle has no length the tangent is taken a little inside (limit of the direction).
        """
        t = np.asarray(t, dtype=np.float64)
        index, local = self._locate(t)
        if before:
            step = (local == 0) & (index > 0)
            index, local = index - step, np.where(step, 1.0, local)
        cubics = self.segments[index]
        speed = bezier.derivative(cubics, local)
        size = np.abs(speed)
        scale = np.abs(cubics - cubics[:, :1]).max(axis=1)
        weak = size <= 1e-9 * np.where(scale > 0, scale, 1.0)
        if weak.any():
            inside = np.where(local > 0.5, local - 1e-4, local + 1e-4)
            speed = np.where(weak, bezier.derivative(cubics, inside), speed)
            size = np.abs(speed)
        return speed / np.where(size > 0, size, 1.0)

    def tangent(self, t: float, *, before: bool = False) -> complex:
        """The unit tangent at a parameter (see ``tangents``)."""
        return complex(self.tangents(np.array([t]), before=before)[0])

    def curvature(self, t: float, *, before: bool = False) -> float:
        """Signed curvature in 1/mm, positive where the curve bends clockwise on a page; 0 where a handle is missing."""
        index = min(int(t), len(self.segments) - 1)
        local = t - index
        if before and local == 0 and index > 0:
            index, local = index - 1, 1.0
        cubic, at = self.segments[index : index + 1], np.array([local])
        speed = bezier.derivative(cubic, at)
        size = float(np.abs(speed)[0])
        return float(bezier.cross(speed, bezier.second_derivative(cubic, at))[0]) / size**3 if size > 1e-9 else 0.0

    def bounds(self) -> tuple[float, float, float, float]:
        """Exact box: left, top, right, bottom."""
        _, c1, c2, c3 = bezier.coefficients(self.segments)
        boxes: list[tuple[float, float]] = []
        for k, part in enumerate((np.real, np.imag)):
            a, b, c = 3 * part(c3), 2 * part(c2), part(c1)
            roots = np.clip(_quadratic_roots(a, b, c), 0, 1)
            values = part(bezier.position(self.segments[:, None, :], roots))
            ends = part(self.segments[:, (0, 3)])
            both = np.concatenate([values.ravel(), ends.ravel()])
            boxes.append((float(both.min()), float(both.max())))
            del k
        (left, right), (top, bottom) = boxes
        return left, top, right, bottom

    def area(self) -> float:
        """Signed area in mm² of a closed curve (Green's theorem, exact); positive when it runs clockwise on a page."""
        p0, p1, p2, p3 = (self.segments[:, k] for k in range(4))
        pairs = 6 * bezier.cross(p0, p1) + 3 * bezier.cross(p0, p2) + bezier.cross(p0, p3)
        pairs += 3 * bezier.cross(p1, p2) + 3 * bezier.cross(p1, p3) + 6 * bezier.cross(p2, p3)
        return float(pairs.sum()) / 20

    # -- lengths ------------------------------------------------------------------------------------------------

    def segment_lengths(self, accuracy: float = LENGTH_ACCURACY) -> Real:
        """Length of each segment in mm."""
        n = len(self.segments)
        return arclength.lengths(self.segments, np.zeros(n), np.ones(n), accuracy / n)

    def length(self, accuracy: float = LENGTH_ACCURACY) -> float:
        """Arc length in mm, within ``accuracy`` mm."""
        return float(self.segment_lengths(accuracy).sum())

    def length_between(self, t0: float, t1: float, accuracy: float = LENGTH_ACCURACY) -> float:
        """Arc length in mm from parameter ``t0`` to a larger ``t1``."""
        if t1 <= t0:
            return 0.0
        n = len(self.segments)
        index = np.arange(n)
        low, high = np.clip(t0 - index, 0, 1), np.clip(t1 - index, 0, 1)
        used = high > low
        return float(arclength.lengths(self.segments[used], low[used], high[used], accuracy / n).sum())

    def at_length(self, distance: float, accuracy: float = LENGTH_ACCURACY) -> float:
        """The parameter at ``distance`` mm along the curve, held to its ends (Newton's method, bisection as a guard)."""
        each = self.segment_lengths(accuracy)
        ends = np.cumsum(each)
        if distance <= 0:
            return 0.0
        if distance >= ends[-1]:
            return float(len(self.segments))
        index = int(np.searchsorted(ends, distance, side="left"))
        rest = distance - (float(ends[index - 1]) if index else 0.0)
        cubic = self.segments[index : index + 1]
        low, high = 0.0, 1.0
        t = rest / float(each[index])
        for _ in range(60):
            miss = float(arclength.lengths(cubic, np.zeros(1), np.array([t]), accuracy / 4)[0]) - rest
            if abs(miss) <= accuracy / 2:
                break
            low, high = (low, t) if miss > 0 else (t, high)
            speed = float(np.abs(bezier.derivative(cubic, np.array([t])))[0])
            guess = t - miss / speed if speed > 0 else math.inf
            t = guess if low < guess < high else (low + high) / 2
        return index + t

    # -- finding ------------------------------------------------------------------------------------------------

    def nearest(self, point: complex, accuracy: float = 1e-9) -> tuple[float, float]:
        """Parameter of the nearest point, and its distance in mm.

        A first look at 16 places a segment, then Newton's method on (B − p)·B′ = 0 within the best places.
        """
        n = len(self.segments)
        t = np.linspace(0, n, 16 * n + 1)
        away = np.abs(self.points(t) - point)
        best = np.argsort(away, kind="stable")[:2].tolist()
        found = [(float(away[best[0]]), float(t[best[0]]))]
        for k in sorted({k + side for k in best for side in (-1, 0) if 0 <= k + side < len(t) - 1}):
            at = self._polish(point, float(t[k]), float(t[k + 1]), accuracy)
            found.append((abs(self.point(at) - point), at))
        distance, at = min(found)
        return at, distance

    def _polish(self, point: complex, low: float, high: float, accuracy: float) -> float:
        """Nearest place between two parameters of one segment."""
        index = min(int((low + high) / 2), len(self.segments) - 1)
        p0, p1, p2, p3 = self.segments[index].tolist()
        a, b, c, d = p0, 3 * (p1 - p0), 3 * (p2 - 2 * p1 + p0), p3 - 3 * p2 + 3 * p1 - p0
        u = (low + high) / 2 - index
        for _ in range(60):
            gap = a + u * (b + u * (c + u * d)) - point
            first = b + u * (2 * c + 3 * u * d)
            slope = abs(first) ** 2
            # Newton's own slope where it leads downhill, else Gauss and Newton's.
            exact = slope + (gap * (2 * c + 6 * u * d).conjugate()).real
            step = (gap * first.conjugate()).real / max(exact, 0.3 * slope, 1e-30)
            new = min(max(u - step, low - index), high - index)
            done = abs(new - u) * abs(first) <= accuracy
            u = new
            if done:
                break
        return index + u

    def crossings(self, start: complex, end: complex) -> list[float]:
        """Parameters, ascending, where the curve meets the straight line from ``start`` to ``end`` (ends included)."""
        along = end - start
        size = abs(along)
        if size == 0:
            return []
        local = (self.segments - start) * (along.conjugate() / size)
        side = local.imag
        scale = max(1.0, float(np.abs(local).max()))
        spans = (side.min(axis=1) <= 1e-12 * scale) & (side.max(axis=1) >= -1e-12 * scale)
        found: list[float] = []
        for index in np.flatnonzero(spans).tolist():
            c0, c1, c2, c3 = (float(x) for x in np.imag(np.array(bezier.coefficients(local[index]))))
            for root in _roots_in_unit(c3, c2, c1, c0, scale):
                x = float(bezier.position(local[index : index + 1], np.array([root])).real[0])
                if -1e-9 * scale <= x <= size + 1e-9 * scale:
                    found.append(index + root)
        found.sort()
        return [t for k, t in enumerate(found) if k == 0 or t - found[k - 1] > 1e-9]

    # -- cutting and moving -------------------------------------------------------------------------------------

    def subcurve(self, t0: float, t1: float) -> Curve:
        """The stretch from ``t0`` to a larger ``t1``; whole segments keep their own control points."""
        n = len(self.segments)
        t0, t1 = max(0.0, t0), min(float(n), t1)
        if t1 <= t0:
            raise ValueError(f"a stretch of a curve must run forwards, not from {t0} to {t1}")
        first, last = min(int(t0), n - 1), min(int(t1), n - 1)
        if t1 == last and last > first:
            last -= 1
        parts = [self.segments[k] for k in range(first, last + 1)]
        end_local = t1 - last
        if end_local < 1:
            parts[-1] = bezier.split(parts[-1], end_local)[0]
        start_local = t0 - first
        if start_local > 0:
            if first == last:
                start_local /= end_local
            parts[0] = bezier.split(parts[0], start_local)[1]
        return Curve(np.array(parts))

    def split(self, t: float) -> tuple[Curve, Curve]:
        """Two curves, cut at a parameter strictly inside."""
        return self.subcurve(0.0, t), self.subcurve(t, float(len(self.segments)))

    def reverse(self) -> Curve:
        """The same curve, walked the other way."""
        return Curve(self.segments[::-1, ::-1])

    def transform(self, motion: Affine) -> Curve:
        """The curve moved; cubics stay cubics under any affine motion."""
        return Curve(motion.apply(self.segments))

    # -- shape --------------------------------------------------------------------------------------------------

    def inflections(self, flattest: float = 1e-6) -> int:
        """How often the bend changes side; bends weaker than ``flattest`` (1/mm) count as straight."""
        return _sign_changes(self.bends(flattest))

    def bends(self, flattest: float = 1e-6) -> list[int]:
        """The sides to which the curve bends, in order: +1 clockwise on a page, −1 the other way; repeats left out."""
        c, b, a = bezier.turning(self.segments)
        roots = np.sort(np.clip(np.nan_to_num(_quadratic_roots(a, b, c)), 0, 1), axis=1)
        stops = np.concatenate([np.zeros((len(roots), 1)), roots, np.ones((len(roots), 1))], axis=1)
        spread = stops[:, :-1, None] + (stops[:, 1:] - stops[:, :-1])[:, :, None] * np.array([0.1, 0.3, 0.5, 0.7, 0.9])
        cubics = self.segments[:, None, None, :]
        speed = bezier.derivative(cubics, spread)
        size = np.abs(speed)
        bend = bezier.cross(speed, bezier.second_derivative(cubics, spread)) / np.where(size > 1e-12, size, np.inf) ** 3
        wide = (stops[:, 1:] - stops[:, :-1]) > 1e-9
        strongest = np.take_along_axis(bend, np.abs(bend).argmax(axis=2)[:, :, None], axis=2)[:, :, 0]
        signs = np.where(wide & (np.abs(strongest) > flattest), np.sign(strongest), 0).ravel().astype(int).tolist()
        sides: list[int] = []
        for sign in signs:
            if sign and (not sides or sides[-1] != sign):
                sides.append(sign)
        return sides


def _sign_changes(sides: Sequence[int]) -> int:
    return max(0, len(sides) - 1)


def _quadratic_roots(a: Real, b: Real, c: Real) -> Real:
    """Real roots of a·t² + b·t + c, shape (n, 2); nan where there is none (the stable form; from memory)."""
    with np.errstate(all="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        q = -(b + np.where(b >= 0, root, -root)) / 2
        first = np.where(np.abs(a) > 1e-14 * (np.abs(b) + np.abs(c) + 1e-300), q / a, np.nan)
        second = np.where(q != 0, c / q, np.nan)
    both = np.stack([first, second], axis=-1)
    return np.where(np.isfinite(both), both, 0.0)


def _roots_in_unit(a: float, b: float, c: float, d: float, scale: float) -> list[float]:
    """Real roots of a·t³ + b·t² + c·t + d in 0 … 1, polished; a cubic that is zero all along has none."""
    tiny = 1e-13 * scale
    terms = [a, b, c, d]
    while terms and abs(terms[0]) <= tiny:
        terms = terms[1:]
    if len(terms) < 2:
        return []
    found: list[float] = []
    for root in np.roots(terms).tolist():
        if abs(root.imag if isinstance(root, complex) else 0.0) > 1e-6:
            continue
        t = float(root.real)
        for _ in range(3):
            slope = (3 * a * t + 2 * b) * t + c
            if slope == 0:
                break
            t -= (((a * t + b) * t + c) * t + d) / slope
        if -1e-9 <= t <= 1 + 1e-9:
            found.append(min(max(t, 0.0), 1.0))
    return sorted(found)
