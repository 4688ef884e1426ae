"""Refine a chain of cubics: its curvature as near to a wanted one as the cubics allow, its lengths exact.

Free are the handles' lengths, and place and direction of every node that isn't fixed; the chain stays smooth there by
construction. Sought is the least of ∫(κ − κ wanted)² ds, with the curvature's jumps at the nodes held down and a bend
to the wrong side made dear, under the condition that both halves have exactly the lengths asked: Gauss and Newton's
method with multipliers (any textbook of optimisation; from memory), derivatives by differences.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real, cross, derivative, second_derivative
from svgfit.geometry.curve import Curve
from svgfit.geometry.spline_fit import SampledCurve

JUMPS, WRONG_SIDE, HANDLES = 0.3, 3.0, 0.02
"""Weights of the curvature's jumps, of a bend to the wrong side, and of handles other than at the start."""
_STEP = 1e-5
"""Of the differences; so long that rounding is lost in the slopes."""
_PLACES = 9
_U = np.arange(_PLACES) / (_PLACES - 1)
_SIMPSON = np.array([1.0, 4.0, 2.0, 4.0, 2.0, 4.0, 2.0, 4.0, 1.0]) / 24


class RefinementTarget(Struct, frozen=True):
    """The curvature, lengths and conditions that a chain is refined to."""

    curve: SampledCurve
    """Its curvatures are those wanted, at equal shares of each half's length."""
    top: int
    """The node between the halves."""
    middle: float
    """Length up to it on ``curve``."""
    lengths: tuple[float, float]
    held: bool
    """Whether the curvature at both ends of the chain is wanted as much as none of its jumps."""
    least: float
    """A bend is on its side only from this curvature (1/mm) on, where the wanted one is stronger still."""


class _Chain(Struct, frozen=True):
    points: Complex
    into: Complex
    out: Complex
    handles: Real
    free: NDArray[np.intp]
    """Nodes that may move."""

    def cubics(self, change: Real) -> Complex:
        """Draw segments (m, n, 4) for rows of changes (m, unknowns): two steps and a turn a free node, then handles."""
        count = len(self.free)
        points = np.repeat(self.points[None, :], len(change), axis=0)
        points[:, self.free] += change[:, :count] + 1j * change[:, count : 2 * count]
        turns = np.ones(points.shape, dtype=np.complex128)
        turns[:, self.free] = np.exp(1j * change[:, 2 * count : 3 * count])
        handles = self.handles * np.exp(change[:, 3 * count :].reshape(len(change), -1, 2))
        start, end = points[:, :-1], points[:, 1:]
        first, last = self.out[:-1] * turns[:, :-1], self.into[1:] * turns[:, 1:]
        return np.stack([start, start + handles[:, :, 0] * first, end - handles[:, :, 1] * last, end], axis=-1)


def refine_spline(segments: Complex, fixed: list[int], wanted: RefinementTarget, rounds: int = 10) -> Complex | None:
    """Refine a chain (n, 4), its ``fixed`` nodes where they are; None where its lengths can't be met."""
    chain = _chain(segments, fixed)
    scale = float(wanted.curve.along[-1])
    unknowns = 3 * len(chain.free) + chain.handles.size
    change: Real = np.zeros(unknowns)
    sizes = np.concatenate([np.full(2 * len(chain.free), scale), np.ones(unknowns - 2 * len(chain.free))])
    lengths = np.array(wanted.lengths)
    tries = np.concatenate([np.zeros((1, unknowns)), np.diag(_STEP * sizes)])
    for _ in range(rounds):
        values, halves = _values(chain, change + tries, wanted, scale)
        slopes = (values[1:] - values[0]).T / _STEP
        rows = (halves[1:] - halves[0]).T / _STEP / scale
        miss = (lengths - halves[0]) / scale
        square = slopes.T @ slopes
        square[np.arange(unknowns), np.arange(unknowns)] += 1e-6 * np.trace(square) / unknowns
        whole = np.block([[square, rows.T], [rows, np.zeros((2, 2))]])
        try:
            solved: Real = np.linalg.solve(whole, np.concatenate([-slopes.T @ values[0], miss])).astype(np.float64)
        except np.linalg.LinAlgError:
            return None
        step = solved[:unknowns]
        largest = float(np.abs(step).max())
        change = change + sizes * step * min(1.0, 0.3 / max(largest, 1e-300))
    return _lengthened(chain, change, sizes, wanted)


def _lengthened(chain: _Chain, change: Real, sizes: Real, wanted: RefinementTarget, rounds: int = 8) -> Complex | None:
    """Meet both lengths exactly by the smallest further change."""
    scale = float(wanted.curve.along[-1])
    tries = np.concatenate([np.zeros((1, len(change))), np.diag(_STEP * sizes)])
    for _ in range(rounds):
        segments = chain.cubics(change[None, :])[0]
        each = Curve(segments).segment_lengths()
        miss = np.array([wanted.lengths[0] - each[: wanted.top].sum(), wanted.lengths[1] - each[wanted.top :].sum()])
        if not np.isfinite(miss).all() or float(np.abs(miss).max()) > 0.2 * scale:
            return None
        if float(np.abs(miss).max()) < 1e-7:
            return segments
        _, halves = _values(chain, change + tries, wanted, scale)
        rows = (halves[1:] - halves[0]).T / _STEP
        # The smallest change that does it: two rows, so the normal equations are solved by hand.
        a, b, c = float(rows[0] @ rows[0]), float(rows[0] @ rows[1]), float(rows[1] @ rows[1])
        whole = a * c - b * b
        if whole <= 0:
            return None
        one, two = float(miss[0]), float(miss[1])
        change = change + sizes * ((c * one - b * two) * rows[0] + (a * two - b * one) * rows[1]) / whole
    return None


def _chain(segments: Complex, fixed: list[int]) -> _Chain:
    points = np.concatenate([segments[:, 0], segments[-1:, 3]])
    first, last = segments[:, 1] - segments[:, 0], segments[:, 3] - segments[:, 2]
    handles = np.stack([np.abs(first), np.abs(last)], axis=1)
    first, last = first / handles[:, 0], last / handles[:, 1]
    out, into = np.concatenate([first, last[-1:]]), np.concatenate([first[:1], last])
    free = np.array([k for k in range(len(points)) if k not in fixed], dtype=np.intp)
    return _Chain(points, into, out, handles, free)


def _values(chain: _Chain, changes: Real, wanted: RefinementTarget, scale: float) -> tuple[Real, Real]:
    """Evaluate rows of changes: what is to be small (m, values), and the halves' lengths (m, 2)."""
    cubics = chain.cubics(changes)
    each = cubics[:, :, None, :]
    way = derivative(each, _U)
    speed = np.maximum(np.abs(way), 1e-9)
    bend = cross(way, second_derivative(each, _U)) / speed**3
    steps = np.concatenate(
        [np.zeros((*speed.shape[:2], 1)), np.cumsum((speed[:, :, 1:] + speed[:, :, :-1]) / 2, axis=2) / (_PLACES - 1)],
        axis=2,
    )
    lengths = speed @ _SIMPSON
    steps *= (lengths / steps[:, :, -1])[:, :, None]
    before = np.concatenate([np.zeros((len(changes), 1)), np.cumsum(lengths, axis=1)], axis=1)
    along = before[:, :-1, None] + steps
    front = before[:, wanted.top, None, None]
    back = before[:, -1, None, None] - front
    in_front = np.arange(len(chain.points) - 1, dtype=np.float64)[None, :, None] < wanted.top
    share = np.where(
        in_front,
        along / front * wanted.middle,
        wanted.middle + (along - front) / back * (scale - wanted.middle),
    )
    target = np.interp(share.ravel(), wanted.curve.along, wanted.curve.bends).reshape(share.shape)
    weight = np.sqrt(_SIMPSON * (lengths * scale)[:, :, None])
    needed = np.minimum(0.5 * np.abs(target), wanted.least)
    wrong = np.maximum(0.0, needed - np.sign(target) * bend)
    jumps = (bend[:, 1:, 0] - bend[:, :-1, -1]) * scale
    ends = np.stack([bend[:, 0, 0] - target[:, 0, 0], bend[:, -1, -1] - target[:, -1, -1]], axis=1) * scale
    loose = changes[:, 3 * len(chain.free) :]
    flat = len(changes), -1
    values = [
        (weight * (bend - target)).reshape(flat),
        WRONG_SIDE * scale * wrong.reshape(flat),
        JUMPS * jumps,
        (JUMPS if wanted.held else 0.0) * ends,
        HANDLES * loose,
    ]
    halves = np.stack([before[:, wanted.top], before[:, -1] - before[:, wanted.top]], axis=1)
    return np.concatenate(values, axis=1), halves
