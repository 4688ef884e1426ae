"""What a changed cap's shape is like beside the old one's: how far off, hollows, tight bends, overhangs. mm, y down."""

from __future__ import annotations

import itertools
import math

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, Real, cross
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways
from svgfit.rules.caps import HOLLOW_REPORTED, LEAN_REPORTED
from svgfit.rules.smoothness import BEND_NEAR, BEND_REPORTED, BEND_TIMES, BEND_WITHIN, SHARPER_UNSEWN

_STEP, _CHORD = 1.0, 6.0
"""Directions are those of chords so long, so far apart (mm): what is finer is a drawing's noise, or its chords."""


class Displacement(Struct, frozen=True, kw_only=True):
    """How far a new edge lies off the old one at its furthest, mm, within 0.01 mm; 0 where it never does."""

    outwards: float
    """Outside the old edge, mm."""
    inwards: float
    """Inside it, mm."""


class Hollow(Struct, frozen=True, kw_only=True):
    """A stretch that bends to the other side than what lies on both sides of it."""

    turn: float
    """By how much, radians."""
    at: float
    """Where its middle lies, mm from the front underarm point."""


def displacement(old: Curve, new: Curve, places: int = 24) -> Displacement:
    """Measure how far a new cap edge lies outside and inside the old one; both run from the front underarm point."""
    count = max(min(len(old) * places, 1600), 400)
    chords = old.points(np.linspace(0.0, len(old), count + 1))
    count = max(min(len(new) * places, 1600), 400)
    points = new.points(np.linspace(0.0, len(new), count + 1))
    a, along = chords[:-1], np.diff(chords)
    gap = points[:, None] - a
    share = np.clip(np.real(np.conjugate(along) * gap) / np.maximum(np.abs(along) ** 2, 1e-300), 0, 1)
    off = gap - share * along
    nearest = np.abs(off).argmin(axis=1)
    rows = np.arange(len(points))
    outside = cross(along[nearest], gap[rows, nearest]) > 0
    away = np.abs(off)[rows, nearest]
    found: list[float] = []
    for side in (outside, ~outside):
        k = int(np.where(side, away, 0.0).argmax())
        found.append(old.nearest(complex(points[k]))[1] if side[k] else 0.0)
    return Displacement(outwards=found[0], inwards=found[1])


def width_lost(old: Curve, new: Curve) -> float:
    """Measure by how much the cap is narrower at half its height (negative: wider), mm."""
    widths: list[float] = []
    for curve in (old, new):
        left, top, right, _ = curve.bounds()
        level = (top + (old.start.imag + old.end.imag) / 2) / 2
        met = [curve.point(t).real for t in curve.crossings(complex(left - 1, level), complex(right + 1, level))]
        widths.append(max(met) - min(met) if met else 0.0)
    return widths[0] - widths[1]


def overhang(old: Curve, new: Curve) -> float:
    """Measure how far (radians) a side of the new edge leans outwards that did not lean so before; else 0.

    From underarm to top a cap's edge runs inwards all the way; where it comes back outwards, what is above hangs over
    a neck, and no armhole takes such a cap.
    """
    pairs = zip(_outward_leans(old), _outward_leans(new), strict=True)
    return float(np.arcsin(max(now if now > max(was, 0.0) + LEAN_REPORTED else 0.0 for was, now in pairs)))


def _outward_leans(curve: Curve) -> tuple[float, float]:
    """Measure the furthest outward lean to the grain, as a sine, of front and back (the cap runs towards -x)."""
    count = max(24 * len(curve), 400)
    t = np.linspace(0.0, len(curve), count + 1)
    way, top = curve.tangents(t).real, int(curve.points(t).imag.argmin())
    return float(way[: top + 1].max()), float(way[top:].max())


def times_tighter(old: Curve, new: Curve) -> float:
    """Divide the new edge's sharpest bend by the old one's."""
    return _sharpest(new) / max(_sharpest(old), 1e-9)


def _sharpest(curve: Curve) -> float:
    """Find the most that an edge turns within a chord's length, radians."""
    angles, _ = _directions(curve)
    apart = round(_CHORD / _STEP)
    return float(np.abs(angles[apart:] - angles[:-apart]).max()) if len(angles) > apart else 0.0


def _directions(curve: Curve) -> tuple[Real, Real]:
    """Find the directions (radians, unwrapped) of chords all along an edge, and where their middles lie on it."""
    fine = curve.points(np.linspace(0, len(curve), max(16 * len(curve), 800) + 1))
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(fine)))])
    starts = np.arange(0.0, float(run[-1]) - _CHORD, _STEP)
    ends = [
        np.interp(starts + more, run, fine.real) + 1j * np.interp(starts + more, run, fine.imag) for more in (0, _CHORD)
    ]
    return np.unwrap(np.angle(ends[1] - ends[0])), starts + _CHORD / 2


def new_hollows(old: Curve, new: Curve) -> list[Hollow]:
    """Find the hollows (and humps) of the new edge that the old one had not, the slightest ones of all that it has."""
    was, now = _hollows(old), _hollows(new)
    more = max(0, len(now) - len(was))
    return sorted(sorted(now, key=lambda one: one.turn)[:more], key=lambda one: one.at)


def _hollows(curve: Curve) -> list[Hollow]:
    """Find all stretches between two others that an edge bends to one side by more than HOLLOW_REPORTED."""
    angles, along = _directions(curve)
    turns = [0]
    way = 0
    for k in range(1, len(angles)):
        last = float(angles[k] - angles[turns[-1]])
        if way == 0 or last * way > 0:
            if abs(last) > (HOLLOW_REPORTED if way == 0 else 0.0):
                way, turns = (1 if last > 0 else -1), ([*turns, k] if way == 0 else [*turns[:-1], k])
        elif abs(last) > HOLLOW_REPORTED:
            way, turns = -way, [*turns, k]
    pairs = list(itertools.pairwise(turns))
    return [Hollow(turn=abs(float(angles[b] - angles[a])), at=float(along[a] + along[b]) / 2) for a, b in pairs[1:-1]]


def new_bend(old: Curve, new: Curve) -> tuple[float, float] | None:
    """Find the sharpest bend that the old edge had nothing like near it: its angle, and how far along it lies."""
    was, there, _ = _turns(old)
    turned, points, along = _turns(new)
    sharp = np.flatnonzero(np.abs(turned) > BEND_REPORTED)
    odd = [k for k in sharp.tolist() if abs(turned[k]) > BEND_TIMES * _bend_near(was, there, points[k], turned[k])]
    if not odd:
        return None
    k = max(odd, key=lambda one: abs(turned[one]))
    return abs(float(turned[k])), float(along[k])


def _bend_near(was: Real, there: Complex, point: complex, turned: float) -> float:
    """Find the sharpest bend to the same side that the old edge had within BEND_NEAR mm of a point, radians."""
    near = was[np.abs(there - point) <= BEND_NEAR] * np.sign(turned)
    return float(near.max(initial=0.0))


def _turns(curve: Curve) -> tuple[Real, Complex, Real]:
    """Measure how far a curve turns within BEND_WITHIN mm from many places; the places, and how far along they lie."""
    each = max(3, min(24, 1536 // len(curve)))  # a segment: what the places cost grows by their square
    t = (np.arange(each * len(curve)) + 0.5) / each
    points, angles = curve.points(t), np.unwrap(np.angle(curve.tangents(t)))
    steps = np.abs(np.diff(points, prepend=curve.start))
    along = np.cumsum(steps)
    last = np.minimum(np.searchsorted(along, along + BEND_WITHIN), len(along) - 1)
    return angles[last] - angles, points, along


def why_unsewable(old: Curve, new: Curve) -> str:
    """Say why no armhole takes a changed cap that takes the old one; "" where one does."""
    lean, bend = overhang(old, new), new_bend(old, new)
    if bend is not None and bend[0] <= SHARPER_UNSEWN * float(np.abs(_turns(old)[0]).max()):
        bend = None  # as sharp a bend as the old edge had, moved elsewhere
    if lean:
        return f"it overhangs: above a neck its side leans outwards by {math.degrees(lean):.0f}°"
    if bend is not None:
        return (
            f"it bends as at a corner: {both_ways(bend[1])} along it, it turns by {math.degrees(bend[0]):.0f}° within "
            f"{both_ways(BEND_WITHIN)}"
        )
    return ""
