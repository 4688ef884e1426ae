"""Make a stretch of an edge longer or shorter by shearing it: its ends, and its directions there, stay.

A shear moves each point p along one direction m, by as much as its place v across m asks: p → p + G(v) m. A point's
place never changes, so shears add up and the opposite one undoes them; no two points come to lie on one another, so an
edge does not cross itself. G is a cubic spline over the stretch (v is 0 at its start, 1 at its end; C. de Boor, A
Practical Guide to Splines, chapter IX; from memory) with value and slope 0 at both ends.

The length L is a convex function of G. From the edge as drawn, G is followed in the direction in which each further bit
of length takes least displacement, roughness weighed in: with s = ∂L/∂G and the metric M of ∫ w G² + r⁴ G″² dv,

    dG/dL = M⁻¹s / (s · M⁻¹s),

by Runge and Kutta's method (any textbook of numerics; from memory). r is how far along the stretch, as a share of it,
displacement spreads. The way is one line through the edge as drawn: it
begins there, each amount has one place on it, and from any place the way back leads over the same ones.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.plugin import geometry

_SPANS = 16
"""Spans of the spline."""
_HEAVY = 1.5
"""w is 1 at the end of the stretch, and so much more at its start: what lies there moves less. From trials on caps of
nine constructions."""
_STEP = 1.0
"""Of the way, in mm of length."""

Weights = tuple[geometry.Real, ...]
"""What each frame's splines are multiplied by: where on the way an edge is."""


class ShearFrame(Struct, frozen=True, kw_only=True):
    """A stretch of an edge from its start to its end, ready to be sheared."""

    start: complex
    way: complex
    """m, a unit vector: where points go."""
    across: complex
    """The unit vector along which places are counted."""
    span: float
    """From place 0 to place 1, mm."""
    points: geometry.Complex
    """The stretch, sampled finely, its corners among the samples."""
    splines: geometry.Real
    """(points, splines): what each spline is at each sample."""
    inverse: geometry.Real
    """M⁻¹."""

    def places(self, points: geometry.Complex) -> geometry.Real:
        """Find the places of points."""
        return geometry.clamp(geometry.dot(self.across, points - self.start) / self.span, 0.0, 1.0)

    def move(self, points: geometry.Complex, weights: geometry.Real) -> geometry.Complex:
        """Shear points."""
        return points + self.way * (_splines(self.places(points))[0] @ weights)

    def turn(self, points: geometry.Complex, speeds: geometry.Complex, weights: geometry.Real) -> geometry.Complex:
        """Find the velocities, after the shear, of what passes ``points`` with ``speeds``."""
        slopes = _splines(self.places(points))[1] @ weights / self.span
        return speeds + self.way * (slopes * geometry.dot(self.across, speeds))

    def moved(self, weights: geometry.Real) -> geometry.Complex:
        """Shear the samples."""
        return self.points + self.way * (self.splines @ weights)


def shear_frame(points: geometry.Complex, way: complex, spread: float) -> ShearFrame:
    """Make the frame of a stretch given by samples (at least 2), to be sheared along the unit vector ``way``.

    ``spread``: r.
    """
    start, chord = complex(points[0]), complex(points[-1] - points[0])
    across = 1j * way
    span = float(geometry.dot(across, chord))
    if span < 0:
        across, span = -across, -span
    middles = (np.arange(8 * _SPANS) + 0.5) / (8 * _SPANS)
    values, _, bends = _splines(middles)
    heavy = 1 + _HEAVY * (1 - middles) ** 2
    metric = ((values * heavy[:, None]).T @ values + spread**4 * bends.T @ bends) / len(middles)
    places = geometry.clamp(geometry.dot(across, points - start) / span, 0.0, 1.0)
    return ShearFrame(
        start=start,
        way=way,
        across=across,
        span=span,
        points=points,
        splines=_splines(places)[0],
        inverse=np.linalg.inv(metric).astype(np.float64),
    )


def _splines(places: geometry.Real) -> tuple[geometry.Real, geometry.Real, geometry.Real]:
    """Evaluate the splines, their slopes and their second derivatives by the place, each (places, splines).

    Those at both ends are put together so that value and slope are 0 there.
    """
    k = np.minimum((places * _SPANS).astype(np.intp), _SPANS - 1)
    u = places * _SPANS - k
    w = 1 - u
    rows = np.arange(len(places))
    found: list[geometry.Real] = []
    for parts in (
        (w**3 / 6, (3 * u**3 - 6 * u**2 + 4) / 6, (3 * w**3 - 6 * w**2 + 4) / 6, u**3 / 6),
        (-(w**2) / 2, (3 * u**2 - 4 * u) / 2, (4 * w - 3 * w**2) / 2, u**2 / 2),
        (w, 3 * u - 2, 3 * w - 2, u),
    ):
        every = np.zeros((len(places), _SPANS + 3))
        for n, part in enumerate(parts):
            every[rows, k + n] = part * float(_SPANS) ** len(found)
        first = every[:, 0] - every[:, 1] / 2 + every[:, 2]
        last = every[:, -1] - every[:, -2] / 2 + every[:, -3]
        found.append(np.column_stack([first, every[:, 3:-3], last]))
    return found[0], found[1], found[2]


def at_rest(frames: Sequence[ShearFrame]) -> Weights:
    """Return the weights of edges as drawn."""
    return tuple(np.zeros(frame.splines.shape[1]) for frame in frames)


def shear_rate(frames: Sequence[ShearFrame], weights: Weights) -> tuple[Weights, float]:
    """Find how the weights change by each mm of length, all stretches together.

    With it how far at most a point then moves square to the edge, mm; infinite where no length is to be had.
    """
    ways: list[geometry.Real] = []
    ahead: list[geometry.Complex] = []
    gain = 0.0
    for frame, weight in zip(frames, weights, strict=True):
        steps = np.diff(frame.points) + frame.way * np.diff(frame.splines @ weight)
        directions = steps / np.maximum(np.abs(steps), 1e-300)
        # L = Σ|step|, so a spline's slope of L is the sum of how far each step, moved by it, turns along itself.
        slope = np.diff(frame.splines, axis=0).T @ geometry.dot(directions, np.full(len(steps), frame.way))
        ways.append(frame.inverse @ slope)
        ahead.append(directions)
        gain += float(slope @ ways[-1])
    if gain < 1e-9:
        return tuple(ways), np.inf
    rates = tuple(way / gain for way in ways)
    return rates, max(
        float(np.abs((frame.splines @ rate)[:-1] * np.imag(np.conjugate(way) * frame.way)).max())
        for frame, rate, way in zip(frames, rates, ahead, strict=True)
    )


def follow_shear(
    frames: Sequence[ShearFrame], gain: float, good: Callable[[Weights], bool], steepest: float
) -> tuple[Weights, float]:
    """Follow the way until all stretches together are ``gain`` mm longer (negative: shorter), or as far as it goes.

    It ends where ``good`` no longer holds, or a point would move more than ``steepest`` mm by a mm of length. Returns
    the weights, and the gain at which they are; within a hundredth of a mm of where it ends.
    """
    sign = 1.0 if gain >= 0 else -1.0
    weights, done, size = at_rest(frames), 0.0, _STEP
    while done < abs(gain) - 1e-12 and size > 0.01:
        step = min(size, abs(gain) - done)
        ahead = _step(frames, weights, sign * step, steepest)
        if ahead is None or not good(ahead):
            size = step / 2
            continue
        weights, done = ahead, done + step
    return weights, sign * done


def _step(frames: Sequence[ShearFrame], weights: Weights, step: float, steepest: float) -> Weights | None:
    """Take one step of the way; None where it is too steep at its end."""

    def ahead(rates: Weights, share: float) -> Weights:
        return tuple(weight + share * step * rate for weight, rate in zip(weights, rates, strict=True))

    one, _ = shear_rate(frames, weights)
    two, _ = shear_rate(frames, ahead(one, 0.5))
    three, _ = shear_rate(frames, ahead(two, 0.5))
    four, _ = shear_rate(frames, ahead(three, 1.0))
    mixed = tuple((a + 2 * b + 2 * c + d) / 6 for a, b, c, d in zip(one, two, three, four, strict=True))
    found = ahead(mixed, 1.0)
    return found if shear_rate(frames, found)[1] <= steepest else None
