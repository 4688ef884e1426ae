"""A dashed line that was cut into its strokes, made one line again. Page mm."""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import cross, from_line
from svgfit.geometry.curve import Curve
from svgfit.geometry.fit import fit_cubic_with_error
from svgfit.geometry.intersect import extend_curved, intersections
from svgfit.pattern.cleanup.slivers import moved_ends
from svgfit.pattern.join_paths import link_ends, near_ends
from svgfit.rules.drawing_habits import CORNER_IN_GAP, DASH_GAPS, DOT, FEWEST_DASHES


class _Stroke(Struct, frozen=True):
    """A stroke, and the directions in which the line runs on from its start (backwards) and its end."""

    curve: Curve
    ways: tuple[complex, complex]
    bends: tuple[float, float]
    """Curvature at start and end, 1/mm, seen walking from start to end."""
    dot: bool

    def reverse(self) -> _Stroke:
        return _Stroke(self.curve.reverse(), (self.ways[1], self.ways[0]), (-self.bends[1], -self.bends[0]), self.dot)


def join_dashes(lines: Sequence[Curve]) -> tuple[list[Curve], int] | None:
    """Join strokes into the lines they dash, each with how many strokes it took; None where this is no dashed line.

    A dashed line: at least ``FEWEST_DASHES`` strokes, most gaps alike, most strokes running on into the next. Gaps are
    bridged tangent to both strokes, a corner that fell into a gap is put where they would meet; the line is then drawn
    anew with fewer nodes, within 0.02 mm. Where one line comes back to its start it is closed. Gaps more than twice as
    wide as the others are left open.
    """
    if len(lines) < FEWEST_DASHES:
        return None
    strokes = [_stroke(line) for line in lines]
    near_by = near_ends(lines, 2.5 * DASH_GAPS[1])
    found = sorted((away * _misalignment(strokes, a, b), away, a, b) for away, a, b in near_by)
    used: set[int] = set()
    widths: list[float] = []
    aligned = 0
    for cost, away, a, b in found:
        if a not in used and b not in used:
            used |= {a, b}
            widths.append(away)
            aligned += cost < 1.3 * away
    if len(widths) < FEWEST_DASHES - 1:
        return None
    usual = float(np.median(widths))
    alike = sum(1 for width in widths if 0.5 * usual <= width <= 1.5 * usual + 0.3)
    if not DASH_GAPS[0] <= usual <= DASH_GAPS[1] or alike < 0.7 * len(widths) or aligned < 0.6 * len(widths):
        return None
    near = [(a, b) for _, away, a, b in found if away <= 2.4 * usual + 0.3]
    whole: list[Curve] = []
    count = 0
    for steps in link_ends(len(lines), near):
        chain = [strokes[k].reverse() if turned else strokes[k] for k, turned in steps]
        shut = len(chain) >= FEWEST_DASHES and abs(chain[0].curve.start - chain[-1].curve.end) <= 2.4 * usual + 0.3
        if len(chain) == 1:
            whole.append(chain[0].curve)
            continue
        count += len(chain)
        whole.append(_one_line(chain, shut))
    return whole, count


def _stroke(line: Curve) -> _Stroke:
    line = _without_tips(line)
    length = line.length(1e-3)
    n = float(len(line))
    dot = length < DOT
    ways = (-line.tangent(0.0), line.tangent(n, before=True))
    return _Stroke(line, ways, (0.0, 0.0) if dot else (line.curvature(0.0), line.curvature(n, before=True)), dot)


def _without_tips(line: Curve) -> Curve:
    """Drop end segments so short that rounding turned them (or that only just turn a corner)."""
    size = np.abs(line.segments - line.segments[:, :1]).max(axis=1)
    long = np.flatnonzero(size > DOT / 2)
    if not len(long) or (long[0] == 0 and long[-1] == len(line) - 1):
        return line
    return moved_ends(Curve(line.segments[long[0] : long[-1] + 1]), line.start, line.end)


def _misalignment(strokes: Sequence[_Stroke], a: int, b: int) -> float:
    """Rate two ends: 1 where they point at each other, more where they don't (5 where both point away)."""
    first, second = strokes[a // 2], strokes[b // 2]
    at = (first.curve.end if a % 2 else first.curve.start, second.curve.end if b % 2 else second.curve.start)
    chord = at[1] - at[0]
    if abs(chord) < 1e-9:
        return 1.0
    chord /= abs(chord)
    turned = 0.0 if first.dot else 1 - (first.ways[a % 2] * chord.conjugate()).real
    other = 0.0 if second.dot else 1 - (second.ways[b % 2] * -chord.conjugate()).real
    return 1 + turned + other


def _one_line(chain: Sequence[_Stroke], shut: bool) -> Curve:
    strokes = [stroke for stroke in chain if not stroke.dot]
    if 2 * len(strokes) < len(chain):
        strokes = _with_dots_turned(chain, shut)
    # Else dots between strokes say nothing that the strokes don't, and one in a corner's gap would blunt the corner.
    parts: list[Curve] = []
    for k, stroke in enumerate(strokes):
        after = strokes[(k + 1) % len(strokes)]
        parts.append(stroke.curve)
        if (shut or k + 1 < len(strokes)) and stroke.curve.end != after.curve.start:
            parts.append(_across(stroke, after))
    return redraw(Curve.chain(parts))


def _with_dots_turned(chain: Sequence[_Stroke], shut: bool) -> list[_Stroke]:
    """Turn dots to run from the stroke before them to the one after."""
    n = len(chain)
    done: list[_Stroke] = []
    for k, stroke in enumerate(chain):
        if stroke.dot and (shut or 0 < k < n - 1):
            way = chain[(k + 1) % n].curve.start - chain[k - 1].curve.end
            way = way / abs(way) if abs(way) > 0 else stroke.ways[1]
            stroke = _Stroke(Curve.polyline([stroke.curve.start, stroke.curve.end]), (-way, way), (0.0, 0.0), True)
        done.append(stroke)
    return done


def _across(first: _Stroke, second: _Stroke) -> Curve:
    """Bridge a stroke's end and the next one's start: one cubic tangent to both, or the corner between."""
    a, b = first.curve.end, second.curve.start
    u, v = first.ways[1], -second.ways[0]
    gap = abs(b - a)
    turn = cmath.phase(v / u)
    expected = gap * (first.bends[1] + second.bends[0]) / 2
    dots = first.dot or second.dot
    if abs(turn - expected) > CORNER_IN_GAP and not dots:
        if abs(first.bends[1]) + abs(second.bends[0]) > 1e-4:
            corner = _bent_corner(first.curve, second.curve)
            if corner is not None:
                return corner
        meet = _meeting(a, u, b, v)
        if meet is not None:
            points = [a, *([meet] if min(abs(meet - a), abs(meet - b)) > 0.02 else []), b]
            return Curve.polyline(points)
        return Curve.polyline([a, b])
    # Handles of a circle's arc over that chord: c / (3 cos²(φ/4)), from 4/3·tan(φ/4) radii (from memory).
    handle = gap / (3 * math.cos(turn / 4) ** 2)
    return Curve(np.array([[a, a + handle * u, b - handle * v, b]]))


def _bent_corner(first: Curve, second: Curve) -> Curve | None:
    """Find the corner in a gap where both strokes meet if they go on as they bend; None where they don't near it."""
    gap = abs(second.start - first.end)
    one, two = extend_curved(first, 1.1 * gap, 0.9), extend_curved(second.reverse(), 1.1 * gap, 0.9).reverse()
    left, come = one.nearest(first.end)[0], two.nearest(second.start)[0]
    met = [(t, u) for t, u in intersections(one, two) if t > left - 1e-6 and u < come + 1e-6]
    if not met:
        return None
    t, u = min(met, key=lambda at: abs(one.point(at[0]) - (first.end + second.start) / 2))
    parts = [one.subcurve(left, t)] if t > left + 1e-3 else []
    parts += [two.subcurve(u, come)] if come > u + 1e-3 else []
    if not parts:
        return None
    corner = Curve.chain(parts)
    return moved_ends(corner, first.end, second.start)


def _meeting(a: complex, u: complex, b: complex, v: complex) -> complex | None:
    """Find where the line on from a along u meets the line back from b along v, if not far off the gap."""
    area = float(cross(u, v))
    if abs(area) < 0.05:
        return None
    on, back = float(cross(b - a, v)) / area, float(cross(b - a, u)) / area
    gap = abs(b - a)
    if -0.1 <= on <= 3 * gap and -0.1 <= -back <= 3 * gap:
        return a + on * u
    return None


def redraw(line: Curve, accuracy: float = 0.02) -> Curve:
    """Redraw the line with fewer nodes: straight stretches as one segment, smooth ones as few cubics, corners kept."""
    n = len(line)
    nodes = np.arange(1, n, dtype=np.float64)
    turn = np.abs(np.angle(line.tangents(nodes) / line.tangents(nodes, before=True)))
    corners = [0, *(int(k) for k in nodes[turn > 0.15]), n]
    parts = [_smooth(Curve(line.segments[a:b]), accuracy) for a, b in itertools.pairwise(corners)]
    return Curve.chain(parts)


def _smooth(part: Curve, accuracy: float) -> Curve:
    done: list[Curve] = []
    waiting = [(0, len(part))]
    while waiting:
        a, b = waiting.pop()
        stretch = Curve(part.segments[a:b])
        if stretch.is_straight(accuracy):
            done.append(Curve(from_line(stretch.start, stretch.end)[None, :]))
            continue
        if b - a == 1:
            done.append(stretch)
            continue
        points = stretch.points(np.linspace(0, b - a, max(4 * (b - a), 12) + 1))
        ways = complex(stretch.tangent(0.0)), complex(stretch.tangent(float(b - a), before=True))
        cubic, error = fit_cubic_with_error(points, *ways, enough=0.5 * accuracy)
        if error <= accuracy:
            done.append(Curve(cubic[None, :]))
            continue
        half = (a + b) // 2
        waiting += [(half, b), (a, half)]
    return Curve.chain(done)
