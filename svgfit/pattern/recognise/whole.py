"""Knowing a whole front or back, drawn unfolded: by its symmetry. Page mm.

Its two halves are mirror images about a line, and of its eight edges in order the first and the fifth cross that line:
neckline, shoulder, armhole, side seam, hem, side seam, armhole, shoulder. What works on half a bodice doesn't work on
it, so it is of kind "other", its edges named and measured.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.model.piece import Edge
from svgfit.model.vocabulary import EdgeName
from svgfit.pattern.corners import hollowness, join_sides
from svgfit.rules.plausible import SAME_MIRRORED, SAME_MIRRORED_SHARE, WIDEST_ON_AXIS

OTHER_SIDE = " other side"
"""After the names of the second half's edges."""
CORNERS = 8


class MirrorAxis(Struct, frozen=True):
    """The line about which an outline is its own mirror image."""

    through: complex
    """A point of it."""
    along: complex
    """Its direction, a unit vector."""

    def mirrored(self, points: Complex) -> Complex:
        """Mirror points about it."""
        return self.through + self.along**2 * np.conj(points - self.through)

    def crosses_widely(self, start: complex, end: complex) -> bool:
        """Tell whether a V's mouth is a neckline's middle: its ends lie alike on both sides, too wide for a dart."""
        middle = abs(_off((start + end) / 2, self)) <= SAME_MIRRORED
        return middle and abs(end - start) > WIDEST_ON_AXIS


def find_mirror_axis(loop: Curve) -> MirrorAxis | None:
    """Find the axis of symmetry of a closed outline; None where it has none.

    It runs through the outline's centroid along one of its principal directions (those of its points' second moments;
    from memory).
    """
    ring = _evenly(loop, 1200)
    points = ring[::10]
    middle = complex(ring.mean())
    moment = complex(((ring - middle) ** 2).mean())
    size = float(np.abs(points - middle).max())
    if abs(moment) < 1e-9:
        return None
    within = max(SAME_MIRRORED, 2 * SAME_MIRRORED_SHARE * size)
    first = np.sqrt(moment / abs(moment))
    ring = np.append(ring, ring[0])
    for along in (complex(first), complex(1j * first)):
        axis = MirrorAxis(middle, along)
        # A few points first: most outlines have no axis, and these tell so.
        if all(float(distances(axis.mirrored(some), ring).max()) <= within for some in (points[::10], points)):
            return axis
    return None


def _evenly(loop: Curve, count: int) -> Complex:
    t = np.linspace(0, len(loop), max(2000, 16 * len(loop)) + 1)
    fine = loop.points(t)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(fine)))])
    wanted = float(run[-1]) * np.arange(count) / count
    return loop.points(np.asarray(np.interp(wanted, run, t), dtype=np.float64))


def whole_edges(sides: Sequence[Curve], axis: MirrorAxis) -> list[Edge] | None:
    """Name the edges of a whole bodice, in order from its neckline; None where they are not those of one.

    Two sides that meet on the axis, as those of a V-neck do, are one edge.
    """
    sides = _joined_on(sides, axis)
    crossing = [k for k, side in enumerate(sides) if _crosses(side, axis)]
    if len(sides) != CORNERS or len(crossing) != 2 or crossing[1] - crossing[0] != CORNERS // 2:
        return None
    clockwise = Curve.chain(sides).area() > 0
    best: tuple[float, list[Edge]] | None = None
    for start in crossing:
        ring = [sides[(start + k) % CORNERS] for k in range(CORNERS)]
        neck, hole = hollowness(ring[0], clockwise), hollowness(ring[2], clockwise)
        shoulder, side = (abs(float(np.cos(np.angle((ring[k].end - ring[k].start) / axis.along)))) for k in (1, 3))
        score = neck - hollowness(ring[4], clockwise) + side - shoulder
        if hole > 0.02 and side > shoulder and (best is None or score > best[0]):
            names = (EdgeName.NECKLINE, EdgeName.SHOULDER, EdgeName.ARMHOLE, EdgeName.SIDE_SEAM, EdgeName.HEM)
            edges = [Edge(name, line) for name, line in zip(names, ring[:5], strict=True)]
            edges += [Edge(f"{name}{OTHER_SIDE}", line) for name, line in zip(names[3:0:-1], ring[5:], strict=True)]
            best = score, edges
    return None if best is None else best[1]


def _joined_on(sides: Sequence[Curve], axis: MirrorAxis) -> list[Curve]:
    done: list[Curve] = []
    for side in sides:
        if done and abs(_off(side.start, axis)) <= SAME_MIRRORED:
            done[-1] = join_sides([done[-1], side])
        else:
            done.append(side)
    if len(done) > 1 and abs(_off(done[0].start, axis)) <= SAME_MIRRORED:
        done[0] = join_sides([done.pop(), done[0]])
    return done


def _off(point: complex, axis: MirrorAxis) -> float:
    return ((point - axis.through) * axis.along.conjugate()).imag


def _crosses(side: Curve, axis: MirrorAxis) -> bool:
    return _off(side.start, axis) * _off(side.end, axis) < 0
