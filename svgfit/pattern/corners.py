"""An outline parted at its corners into sides."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.offset import join_offsets
from svgfit.model.length import both_ways, on_page
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.rough_lines import Roughness, chords_of, fillets, in_a_row, roughness, turns_over
from svgfit.rules.drawing_habits import FILLET_WITHIN, JOG_TURN, LONGEST_JOG, ROUGH_REACH
from svgfit.rules.smoothness import CORNER


def find_sides(
    loop: Curve, gaps: Sequence[tuple[complex, complex]] = (), corner: float = CORNER, extra: Sequence[complex] = ()
) -> list[Curve]:
    """Part a closed loop at its corners: the stretches between them in order, the first starting at a corner.

    A corner is a turn over some millimetres: not one of a row of chords that stands for a curve, and on a line that is
    rough (a tracing) not one between two nodes. A bridged gap makes no corner unless the outline turns by more than a
    corner from one side of it to the other.
    ``extra``: points that part the outline too (named landmarks), wherever they lie on it.
    """
    n = len(loop)
    nodes = np.arange(n, dtype=np.float64)
    into = np.roll(loop.tangents(nodes + 1, before=True), 1)
    into[0] = loop.tangent(float(n), before=True)
    out = loop.tangents(nodes)
    turn = np.abs(np.angle(out / np.where(into == 0, 1, into)))
    rough = roughness(loop, closed=True)
    rounded: list[float] = []
    if rough.is_rough:
        cut = np.zeros(n, dtype=np.bool_)
        rounded = turns_over(loop, _reach(rough), corner)
    else:
        cut = turn > corner
        chords = chords_of(loop, closed=True) if cut.any() else None
        for k in np.flatnonzero(cut).tolist():
            row = chords is not None and in_a_row(chords, k)
            cut[k] = not row and _turns(loop, k, into[k], out[k]) > 0.85 * corner
        places = [loop.point(float(k)) for k in np.flatnonzero(cut)]
        rounded = [t for t in fillets(loop) if all(abs(loop.point(t) - at) > FILLET_WITHIN for at in places)]
    for start, end in gaps:
        a, b = _node(loop, start), _node(loop, end)
        across = abs(float(np.angle(out[b] * into[a].conjugate())))
        cut[a] = across > 2 * corner
        cut[b] = False
    places = sorted({float(k) for k in np.flatnonzero(cut)} | {_place(loop, point) for point in extra} | {*rounded})
    if not places:
        return [loop]
    merged = [t for k, t in enumerate(places) if k == 0 or loop.length_between(places[k - 1], t, 1e-3) > 0.3]
    if len(merged) > 1 and _between(loop, merged[-1], merged[0]) <= 0.3:
        merged.pop()
    return [_stretch(loop, a, b) for a, b in zip(merged, [*merged[1:], merged[0] + n], strict=True)]


class Jog(Struct, frozen=True):
    """A step in an edge, as slashed paper leaves it: two corners close together that cancel one another. Page mm."""

    start: complex
    """Its first corner."""
    end: complex
    """Its second."""
    doubtful: bool = False
    """Whether a third corner lies so near that another pair might be the step."""


def find_jogs(loop: Curve) -> list[Jog]:
    """Find the steps in a closed loop: there the outline jumps aside, or back on itself, and goes on the same way.

    On a rough line none can be told.
    """
    if roughness(loop, closed=True).is_rough:
        return []
    n = len(loop)
    nodes = np.arange(n, dtype=np.float64)
    into, out = np.roll(loop.tangents(nodes + 1, before=True), 1), loop.tangents(nodes)
    turn = np.abs(np.angle(out / np.where(into == 0, 1, into)))
    bends = np.flatnonzero(turn > CORNER / 2).tolist()
    pairs: list[tuple[float, int, int]] = []
    for k, a in enumerate(bends):
        b = bends[(k + 1) % len(bends)]
        if a == b or max(turn[a], turn[b]) <= CORNER:
            continue
        apart = loop.length_between(a, b, 1e-3) if b > a else _between(loop, a, b)
        net = abs(float(np.angle(out[b] * into[a].conjugate())))
        if apart <= LONGEST_JOG and net <= JOG_TURN:
            pairs.append((net, a, b))
    found: list[Jog] = []
    taken: dict[int, int] = {}
    for _, a, b in sorted(pairs):
        if a in taken or b in taken:  # beside a better one, whose corner it shares
            for k in {taken[node] for node in (a, b) if node in taken}:
                found[k] = replace(found[k], doubtful=True)
            continue
        taken[a] = taken[b] = len(found)
        found.append(Jog(loop.point(a), loop.point(b)))
    return found


def jog_notes(drawn: DrawnPiece, jogs: Sequence[Jog], corners: Sequence[str]) -> list[str]:
    """Say of each step that it was taken for one.

    ``corners``: landmarks of the piece's corners. Raises Refusal where a step can't be told from a corner and none of
    them is marked.
    """
    notes: list[str] = []
    for jog in jogs:
        place = on_page(jog.start)
        if jog.doubtful and not any(name in corners for name, _ in drawn.landmarks):
            names = [f'"{name}"' for name in corners]
            raise Refusal(
                drawn.where,
                f"{place} several corners lie within {both_ways(LONGEST_JOG)} of one another, so which of them "
                "is a corner of the piece and which a step in an edge can't be told",
                f"draw the edge smooth there, or mark {', '.join(names[:-1])} and {names[-1]} on a landmarks layer",
            )
        notes.append(
            f"a step of {both_ways(abs(jog.end - jog.start))} {place} is taken for a jog within an edge, not for "
            "corners; true the edge there"
        )
    return notes


def _between(loop: Curve, last: float, first: float) -> float:
    """Measure from a place over the loop's start to another, mm."""
    return loop.length_between(last, float(len(loop)), 1e-3) + loop.length_between(0.0, first, 1e-3)


def _reach(rough: Roughness) -> float:
    """Choose over how many mm on each side a rough line's corners are looked for."""
    return max(ROUGH_REACH, 3 * rough.spacing, 30 * rough.jitter)


def _turns(loop: Curve, node: int, into: complex, out: complex, base: float = 1.0) -> float:
    """Measure the turn from ``base`` mm before a node to as far after it: a slip within that is no corner.

    Where the segments at the node are longer than that, their own tangents tell.
    """
    before = _leaves(loop.segments[::-1, ::-1], len(loop) - node, base)
    after = _leaves(loop.segments, node, base)
    return abs(float(np.angle((out if after is None else after) / (into if before is None else -before))))


def _leaves(segments: Complex, node: int, base: float) -> complex | None:
    """Find the direction from a node to where the line is ``base`` mm away; None where the first segment is longer."""
    n = len(segments)
    start = complex(segments[node % n, 0])
    gone = 0.0
    for k in range(n):
        segment = segments[(node + k) % n]
        size = float(np.abs(np.diff(segment)).sum())
        if gone + size >= base:
            if k == 0:
                return None
            there = Curve(segment[None, :]).point((base - gone) / size) - start
            return there / abs(there) if abs(there) > 1e-3 * base else None
        gone += size
    return None


def _node(loop: Curve, point: complex) -> int:
    return int(np.argmin(np.abs(loop.segments[:, 0] - point)))


def _place(loop: Curve, point: complex) -> float:
    t = loop.nearest(point)[0]
    near = round(t)
    close = abs(loop.point(t) - loop.point(min(near, len(loop)))) < 0.3
    return float(near % len(loop)) if close else t % len(loop)


def _stretch(loop: Curve, start: float, end: float) -> Curve:
    n = float(len(loop))
    if end <= n:
        return loop.subcurve(start, end)
    if end - n < 1e-9:
        return loop.subcurve(start, n)
    if start >= n - 1e-9:
        return loop.subcurve(start - n if start > n else 0.0, end - n)
    return Curve.chain([loop.subcurve(start, n), loop.subcurve(0.0, end - n)])


def drop_short(sides: Sequence[Curve], shortest: float, keep: int) -> list[Curve]:
    """Drop sides of a cut line that only turn a corner of the allowance (shorter than ``shortest`` mm).

    The shortest go first, and as many as ``keep`` stay: a small piece's shoulder may be shorter than a deep hem.
    """
    lengths = [side.length(1e-3) for side in sides]
    by_length = sorted(range(len(sides)), key=lambda k: lengths[k])
    dropped = {k for k in by_length[: max(0, len(sides) - keep)] if lengths[k] < shortest}
    return [side for k, side in enumerate(sides) if k not in dropped]


def join_sides(sides: Sequence[Curve]) -> Curve:
    """Join sides in a row into one curve; those of a cut line that don't touch are trimmed or lengthened to meet."""
    return reduce(join_offsets, sides)


def runs_between(where: str, sides: Sequence[Curve], corners: Sequence[tuple[str, complex]]) -> list[Curve]:
    """Join the sides of a closed outline between named corners; each run begins at its name's corner, in that order.

    The sides are turned where they run the other way round. Raises Refusal (``where``: the piece) where two names lie
    at one corner, or they follow one another otherwise.
    """
    n = len(sides)
    for ring in (list(sides), [side.reverse() for side in reversed(sides)]):
        places = [min(range(n), key=lambda k, at=at, ring=ring: abs(ring[k].start - at)) for _, at in corners]
        steps = [(b - a) % n for a, b in zip(places, [*places[1:], places[0]], strict=True)]
        if sum(steps) == n and 0 not in steps:
            return [join_sides([ring[(a + k) % n] for k in range(step)]) for a, step in zip(places, steps, strict=True)]
    names = ", ".join(f'"{name}"' for name, _ in corners)
    what = f"its landmarks do not lie each at a corner of its own, in this order round the outline: {names}"
    raise Refusal(where, what, "move them to where they belong on the landmarks layer")


def sagitta(side: Curve) -> complex:
    """Find how, and to where, a side bulges (mm): from the chord's nearest place to the farthest point off it."""
    chord = side.end - side.start
    if chord == 0:
        return 0j
    unit = chord / abs(chord)
    off = np.imag((side.points(np.linspace(0, len(side), 8 * len(side) + 1)) - side.start) * np.conj(unit))
    return complex(off[int(np.argmax(np.abs(off)))]) * 1j * unit


def hollowness(side: Curve, clockwise: bool) -> float:
    """Measure how deep a side bends into the piece, as a share of its chord; negative where it bends outwards.

    ``clockwise``: whether the outline, walked as the side runs, goes clockwise on the page.
    """
    chord = side.end - side.start
    if abs(chord) < 1e-6:
        return 0.0
    bulge = sagitta(side)
    inwards = ((bulge * (1j * chord).conjugate()).real > 0) == clockwise
    return abs(bulge) / abs(chord) * (1 if inwards else -1)


def points_along(curve: Curve, shares: Sequence[float]) -> Complex:
    """Find points at shares (0 … 1) of the curve's length, to a hundredth or so, wherever its nodes lie."""
    t = np.linspace(0, len(curve), 16 * len(curve) + 1)
    run = np.concatenate([np.zeros(1), np.cumsum(np.abs(np.diff(curve.points(t))))])
    wanted = float(run[-1]) * np.array(shares, dtype=np.float64)
    return curve.points(np.asarray(np.interp(wanted, run, t), dtype=np.float64))


def midpoint(curve: Curve) -> complex:
    """Find the point half way along, to a hundredth or so of the length."""
    return complex(points_along(curve, (0.5,))[0])
