"""Redraw an edge to given lengths, its ends, top and tangents kept, with the least change of curvature.

The edge is two halves that meet at a top. Each half's length is multiplied by σ, and its curvature at corresponding
places (equal shares of the half's length) changes by e(s), so that its direction becomes

    θ'(s) = θ(0) + σ·(θ(s) − θ(0)) + σ·∫e ds.

Sought is the e of least ∫e² + (r·e')² ds whose halves still end where they ended, in the direction in which they did:
six equations, met by Newton's method on the Lagrangian; its second derivatives follow from differentiating
∫exp(iθ') ds twice. r keeps e continuous, over the top too. Where the bend would come to change side more often than
before, the curvature is held to one side there and the set of places so held found as by the primal-dual active set
method (Hintermüller, Ito and Kunisch, SIAM J. Optim. 13, 2002; from memory). The length is exact by construction.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry import arclength
from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.curve import Curve
from svgfit.geometry.spline_fit import SampledCurve

Flags = NDArray[np.bool_]
Run = tuple[int, int, int]
"""A run of places that bend to one side: +1 or −1, the first place, the last."""
SOFTNESS = 0.15
"""r as a share of a half's length: how far a change of curvature takes to set in. From trials on many sleeves."""
MARGIN = 0.03
"""Where the bend is held to one side, it keeps this share of the edge's sharpest curvature."""
KINK, PEAK, MOST_KINKS = 0.0175, 0.1, 4
"""A turn at a node of more than 1° is a kink and stays one, unless there are more than MOST_KINKS; at the top, 6°."""
LONGEST_STEP = 0.03
"""A longer way is gone in steps of at most this share of a half's length, so that it ends on the nearest solution."""
FINE, ROUGH = 1e-6, 1e-3
"""How well (radians) the last step, and a step on the way to it, must be met."""
_CELLS = 32


class Half(Struct, frozen=True):
    """One half of the old edge at its places (k,): points in mm, directions turned since its start in radians."""

    points: Complex
    turned: Real
    steps: Real
    """Lengths (k − 1,) between the places, mm."""
    sums: Real
    """(k, k): what a change of curvature at each place turns the direction at each by, in mm (the trapezium rule)."""

    @property
    def length(self) -> float:
        """In mm."""
        return float(self.steps.sum())


class Stretch(Struct, frozen=True):
    """The part of an edge to be redrawn, sampled; places count through both halves, the top once."""

    curve: Curve
    places: Real
    """Parameters of ``curve``."""
    front: Half
    back: Half
    least: Real
    most: Real
    """Curvature at each place, 1/mm; the two differ at a node where it jumps."""
    bends: Real
    """The middle of the two."""
    before: Complex
    after: Complex
    """Unit tangents on both sides of each place; they differ at kinks that are to stay."""
    held: bool
    """Whether the curvature at both ends stays too."""
    weights: Real
    metric: Real

    @property
    def top(self) -> int:
        """The place at the top."""
        return len(self.front.steps)

    @property
    def max_curvature(self) -> float:
        """The old edge's largest curvature, 1/mm."""
        return max(float(np.abs(self.least).max()), float(np.abs(self.most).max()))

    @property
    def runs(self) -> list[Run]:
        """The old edge's runs that bend to one side; a row of chords is taken for the curve it stands for."""
        return _runs(self.least, self.most, 1e-3 * self.max_curvature)

    def inflections(self) -> int:
        """Count how often the old edge's bend changes side."""
        return len(self.runs) - 1


Bounds = tuple[Real, Real]


class _State(Struct, frozen=True):
    """An iterate of the search for a change of curvature."""

    change: Real
    multipliers: Real
    side: NDArray[np.intp]
    """-1 at a place held at the least change allowed there, 1 at the most, 0 at one that is free."""


class _Care(Struct, frozen=True):
    """Tolerance and method of one search."""

    enough: float
    rounds: int
    second: bool
    """With second derivatives; without them it goes slower, but past places where the least is only a saddle."""


class Relengthened(Struct, frozen=True):
    """The edge redrawn, at the stretch's places."""

    curve: SampledCurve
    change: Real
    """Of the curvature, 1/mm."""


def sample_stretch(curve: Curve, start: float, top: float, end: float, *, held: bool) -> Stretch:
    """Sample the stretch between two parameters of a curve, parted at a third between them."""
    front, back = _places(curve, start, top), _places(curve, top, end)
    places, middle = np.concatenate([front, back[1:]]), len(front) - 1
    before, after = curve.tangents(places, before=True), curve.tangents(places)
    before[0], after[-1] = after[0], before[-1]
    kinks = np.angle(after / before)
    inside = np.angle(before[1:] / after[:-1])
    halves: list[Half] = []
    for part, turn, kink in (
        (front, inside[:middle], kinks[1:middle]),
        (back, inside[middle:], kinks[middle + 1 : -1]),
    ):
        turned = np.concatenate([[0.0], np.cumsum(turn + np.concatenate([[0.0], kink]))])
        steps = _steps(curve, part)
        halves.append(Half(curve.points(part), turned, steps, _sums(steps)))
    steps = np.concatenate([halves[0].steps, halves[1].steps])
    stay = _staying(kinks, middle)
    least, most = _curvatures(curve, places, np.where(stay, 0.0, kinks), steps)
    bends = (least + most) / 2
    before, after = _smoothed(before, after, kinks, stay, middle)
    weights = np.zeros(len(places))
    weights[:-1] += steps / 2
    weights[1:] += steps / 2
    reach = SOFTNESS * float(steps.sum()) / 2
    metric = np.diag(weights)
    stiff, k = reach**2 / steps, np.arange(len(steps))
    metric[k, k] += stiff
    metric[k + 1, k + 1] += stiff
    metric[k, k + 1] -= stiff
    metric[k + 1, k] -= stiff
    return Stretch(curve, places, halves[0], halves[1], least, most, bends, before, after, held, weights, metric)


def _places(curve: Curve, start: float, end: float) -> Real:
    """Choose parameters, nodes among them, so that about _CELLS steps share out the length; more for many nodes."""
    inner = [float(k) for k in range(math.floor(start) + 1, math.ceil(end)) if start + 1e-9 < k < end - 1e-9]
    stops = [start, *inner, end]
    lengths = [curve.length_between(a, b, 1e-3) for a, b in itertools.pairwise(stops)]
    fewest = 4 if len(lengths) <= _CELLS // 4 else 1
    parts = [
        a + (b - a) * np.arange(count) / count
        for (a, b), length in zip(itertools.pairwise(stops), lengths, strict=True)
        for count in [max(fewest, round(_CELLS * length / sum(lengths)))]
    ]
    return np.concatenate([*parts, [end]])


def _staying(kinks: Real, top: int) -> Flags:
    """Choose the kinks that stay: not those that are slips, or so many that the edge is a row of chords."""
    stay = np.abs(kinks) > KINK
    if np.count_nonzero(stay) > MOST_KINKS:
        stay[:] = False
    stay[top] = abs(kinks[top]) > PEAK
    return stay


def _smoothed(before: Complex, after: Complex, kinks: Real, stay: Flags, top: int) -> tuple[Complex, Complex]:
    """Take the other kinks out of the tangents; a top that is no peak is made level (travel there is along x)."""
    middle = before * np.exp(0.5j * kinks)
    if not stay[top]:
        middle[top] = 1.0 if middle[top].real > 0 else -1.0
    return np.where(stay, before, middle), np.where(stay, after, middle)


def _steps(curve: Curve, places: Real) -> Real:
    index = np.minimum(np.floor(places[:-1] + 1e-12).astype(np.intp), len(curve) - 1)
    return arclength.lengths(curve.segments[index], places[:-1] - index, places[1:] - index, 1e-9)


def _sums(steps: Real) -> Real:
    count = len(steps) + 1
    before, after = np.concatenate([[0.0], steps]) / 2, np.concatenate([steps, [0.0]]) / 2
    return np.tril(np.broadcast_to(before + after, (count, count)), -1) + np.diag(before)


def _curvatures(curve: Curve, places: Real, kinks: Real, steps: Real) -> tuple[Real, Real]:
    """Compute the smaller and the larger curvature of both sides of each place; kinks, radians, are smeared out."""
    after = np.array([curve.curvature(t) for t in places.tolist()])
    before = np.array([curve.curvature(t, before=True) for t in places.tolist()])
    before[0], after[-1] = after[0], before[-1]
    around = np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]]) / 2
    smeared = (before + after) / 2 + kinks / around
    kinked = np.abs(kinks) > 1e-3
    return (
        np.where(kinked, smeared, np.minimum(before, after)),
        np.where(kinked, smeared, np.maximum(before, after)),
    )


def relengthen(stretch: Stretch, front: float, back: float) -> Relengthened | None:
    """Redraw the stretch with its halves ``front`` and ``back`` mm long; None where that can't be had.

    The bend changes side no more often than before. Depends smoothly on both lengths, but for the places where the
    curvature comes to be held to one side: there, continuously.
    """
    ratios = front / stretch.front.length, back / stretch.back.length
    if min(ratios) <= 0:
        return None
    return _relengthened(stretch, ratios, second=True) or _relengthened(stretch, ratios, second=False)


def _relengthened(stretch: Stretch, ratios: tuple[float, float], *, second: bool) -> Relengthened | None:
    bounds = _bounds(stretch, _cores(stretch))
    rounds = 12 if second else 40

    def lengthened(share: float, state: _State) -> _State | None:
        one, two = (1 + share * (ratio - 1) for ratio in ratios)
        care = _Care(FINE if share == 1 else ROUGH, rounds, second)
        return _solved(stretch, (one, two), bounds, state, care)

    count = len(stretch.places)
    start = _State(np.zeros(count), np.zeros(6), np.zeros(count, dtype=np.intp))
    found = _followed(lengthened, start, LONGEST_STEP / max(LONGEST_STEP, *(abs(ratio - 1) for ratio in ratios)))
    runs = None if found is None else _fewer(stretch, found.change)
    if found is not None and runs is not None:
        low, high = bounds = _bounds(stretch, runs)
        over = max(float((low - found.change).max()), float((found.change - high).max()), 0.0)

        def squeezed(share: float, state: _State) -> _State | None:
            slack = (1 - share) * over
            care = _Care(FINE if share == 1 else ROUGH, rounds, second)
            return _solved(stretch, ratios, (low - slack, high + slack), state, care)

        found = _followed(squeezed, found)
    return None if found is None else _made(stretch, ratios, found)


def _followed(step: Callable[[float, _State], _State | None], state: _State, by: float = 1.0) -> _State | None:
    """Follow the state to share 1 of the way, in steps of ``by``, or shorter ones where those don't converge."""
    done, shortest = 0.0, by / 20
    while done < 1:
        share = done + by if done + by < 1 - 1e-9 else 1.0
        found = step(share, state)
        if found is None:
            by /= 2
            if by < shortest:
                return None
            continue
        state, done = found, share
    return state


def _swept(half: Half, ratio: float, change: Real) -> tuple[Complex, Real]:
    """Redraw one half: its points, and by how much each direction differs from the old one."""
    by = (ratio - 1) * half.turned + ratio * (half.sums @ change)
    turns = np.exp(1j * by)
    points = half.points[0] + np.concatenate(
        [[0.0], np.cumsum(ratio * np.diff(half.points) * (turns[1:] + turns[:-1]) / 2)]
    )
    return points, by


def _solved(stretch: Stretch, ratios: tuple[float, float], bounds: Bounds, state: _State, care: _Care) -> _State | None:
    """Iterate Newton's method until directions move by less than ``care.enough``; None where they don't."""
    scale = float(stretch.weights.sum())
    for _ in range(care.rounds):
        gaps: list[float] = []
        rows = np.zeros((6, len(stretch.places)))
        curved = stretch.metric.copy()
        for k, (half, ratio, part) in enumerate(_parts(stretch, ratios)):
            points, by = _swept(half, ratio, state.change[part])
            gap = half.points[-1] - points[-1]
            gaps += [gap.real, gap.imag, -scale * float(by[-1])]
            # Each direction's turn moves the end square to the steps around it.
            move = 1j * np.exp(1j * by) * ratio * _around(np.diff(half.points))
            first = ratio * (move @ half.sums)
            rows[3 * k, part], rows[3 * k + 1, part] = first.real, first.imag
            rows[3 * k + 2, part] = scale * ratio * half.sums[-1]
            if care.second:
                along, across = state.multipliers[3 * k], state.multipliers[3 * k + 1]
                pull = ratio**2 * (along * -move.imag + across * move.real)
                curved[part, part] -= half.sums.T @ (pull[:, None] * half.sums)
        new = _step(stretch, curved, rows, np.array(gaps), bounds, state)
        if new is None:
            return None
        moved = float(np.abs(new.change - state.change).max()) * scale
        state = new
        if not moved < 50:
            return None
        if max(map(abs, gaps)) < max(0.1 * care.enough, 1e-9) * scale and moved < care.enough:
            return state
    return None


def _around(steps: Complex) -> Complex:
    return np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]]) / 2


def _parts(stretch: Stretch, ratios: tuple[float, float]) -> tuple[tuple[Half, float, slice], ...]:
    top = stretch.top
    return (stretch.front, ratios[0], slice(0, top + 1)), (stretch.back, ratios[1], slice(top, len(stretch.places)))


def _step(stretch: Stretch, curved: Real, rows: Real, gaps: Real, bounds: Bounds, state: _State) -> _State | None:
    """Take one step of Newton's method, and find the places that the bounds hold."""
    wanted = gaps + rows @ state.change
    pull = (curved - stretch.metric) @ state.change
    ends = np.zeros(len(pull), dtype=np.bool_)
    ends[[0, -1]] = stretch.held
    low, high = bounds
    side = np.where(np.isfinite(np.where(state.side < 0, low, high)), state.side, 0)
    new, multipliers = state.change, state.multipliers
    for _ in range(8):
        held = ends | (side != 0)
        at = np.where(side < 0, low, np.where(side > 0, high, 0.0))
        loose = ~held
        right = pull[loose] - curved[np.ix_(loose, held)] @ at[held]
        try:
            inner = np.linalg.solve(curved[np.ix_(loose, loose)], np.column_stack([rows[:, loose].T, right]))
            across = rows[:, loose] @ inner[:, :6]
            multipliers = np.linalg.solve(across, wanted - rows[:, held] @ at[held] - rows[:, loose] @ inner[:, 6])
        except np.linalg.LinAlgError:
            return None
        new = at
        new[loose] = inner[:, :6] @ multipliers + inner[:, 6]
        push = curved @ new - pull - rows.T @ multipliers
        under = np.where(side < 0, push > 0, new < low - 1e-12)
        over = np.where(side > 0, push < 0, new > high + 1e-12)
        found = np.where(ends, 0, np.where(under, -1, np.where(over, 1, 0)))
        if bool((found == side).all()):
            return _State(new, multipliers.astype(np.float64), side)
        side = found
    return _State(new, multipliers.astype(np.float64), side)


def _made(stretch: Stretch, ratios: tuple[float, float], state: _State) -> Relengthened:
    points: list[Complex] = []
    swung: list[Real] = []
    along: list[Real] = []
    for half, ratio, part in _parts(stretch, ratios):
        swept, by = _swept(half, ratio, state.change[part])
        points.append(swept)
        swung.append(by)
        along.append(np.concatenate([[0.0], np.cumsum(half.steps * ratio)]))
    turns = np.exp(1j * np.concatenate([swung[0][:-1], swung[1]]))
    samples = SampledCurve(
        np.concatenate([points[0][:-1], points[1]]),
        stretch.before * turns,
        stretch.after * turns,
        stretch.bends + state.change,
        np.concatenate([along[0], along[0][-1] + along[1][1:]]),
    )
    return Relengthened(samples, state.change)


# -- sides -------------------------------------------------------------------------------------------------------


def _runs(least: Real, most: Real, flattest: float) -> list[Run]:
    """Find the runs of places bending to one side: (side, first, last place); flatter ones join the run before."""
    sign = np.where(least > flattest, 1, np.where(most < -flattest, -1, 0)).tolist()
    runs: list[Run] = []
    for k, side in enumerate(sign):
        if side and (not runs or runs[-1][0] != side):
            runs.append((side, k, k))
        elif runs:
            runs[-1] = (runs[-1][0], runs[-1][1], k)
    return [(side, 0 if n == 0 else first, last) for n, (side, first, last) in enumerate(runs)]


def _along(stretch: Stretch) -> Real:
    return np.concatenate([[0.0], np.cumsum(np.concatenate([stretch.front.steps, stretch.back.steps]))])


def _cores(stretch: Stretch) -> list[Run]:
    """Find the middle part of each run of the old edge: there the bend keeps to its side, whatever the length."""
    runs = stretch.runs
    along = _along(stretch)
    cores: list[Run] = []
    for n, (side, first, last) in enumerate(runs):
        start, end = float(along[first]), float(along[last])
        low = start if n == 0 else start + (0.2 if n < len(runs) - 1 else 0.5) * (end - start)
        high = end if n == len(runs) - 1 else end - (0.2 if n > 0 else 0.5) * (end - start)
        cores.append((side, int(np.searchsorted(along, low - 1e-9)), int(np.searchsorted(along, high + 1e-9)) - 1))
    return cores


def _fewer(stretch: Stretch, change: Real) -> list[Run] | None:
    """Drop the slightest runs of the changed bend until there are no more than before; None if none goes."""
    before = stretch.runs
    runs = _runs(stretch.least + change, stretch.most + change, 1e-6)
    if len(runs) <= max(1, len(before)):
        return None
    bend = ((stretch.least + stretch.most) / 2 + change) * stretch.weights
    while len(runs) > max(1, len(before)):
        areas = [abs(float(bend[first : last + 1].sum())) for _, first, last in runs]
        ends = 1 if stretch.held else 0
        smallest = min(range(ends, len(runs) - ends), key=lambda k: areas[k], default=None)
        if smallest is None:
            break
        runs = _merged(runs, smallest)
    return runs


def _bounds(stretch: Stretch, runs: list[Run]) -> Bounds:
    """Bound the change so that each run keeps to its side, tapering to nothing where it meets another."""
    along = _along(stretch)
    margin, taper = MARGIN * stretch.max_curvature, 0.05 * float(along[-1])
    low, high = np.full(len(along), -np.inf), np.full(len(along), np.inf)
    for n, (side, first, last) in enumerate(runs):
        part = slice(first, last + 1)
        off = np.full(last + 1 - first, taper)
        if n > 0:
            off = np.minimum(off, along[part] - along[first])
        if n < len(runs) - 1:
            off = np.minimum(off, along[last] - along[part])
        if side > 0:
            low[part] = margin * off / taper - stretch.least[part]
        else:
            high[part] = -margin * off / taper - stretch.most[part]
    return low, high


def _merged(runs: list[Run], k: int) -> list[Run]:
    """Drop run k: its neighbours, which bend to one side, take it and become one."""
    before, after = runs[:k], runs[k + 1 :]
    if before and after:
        return [*before[:-1], (before[-1][0], before[-1][1], after[0][2]), *after[1:]]
    if after:
        return [(after[0][0], 0, after[0][2]), *after[1:]]
    return [*before[:-1], (before[-1][0], before[-1][1], runs[k][2])] if before else runs
