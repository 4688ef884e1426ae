"""The cap edge redrawn: longer or shorter, with its underarm points, their squareness, height and width kept.

The new edge is the drawn one, displaced smoothly (``shear`` beside this file): from underarm point or notch to the cap
top, and from there to the other. Nothing asked, nothing changed; a longer cap is fuller above and a little more hollow
below, a shorter one the reverse. Sleeve frame, mm. "Front" and "back" part at the cap top here, not at the shoulder
notch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.plugin import Curve, Landmark, Mark, Piece, Refusal, edgework, geometry, replace, rules

from .shear import ShearFrame, Weights, at_rest, follow_shear, shear_frame, shear_rate

EXACT = 1e-5
"""How near the lengths asked the edge is drawn, mm."""
FIT = 0.02
"""How near cubics are fitted to the displaced edge, mm."""
SHORT = 8.0
"""A cubic shorter than this (mm) stays one, with its own velocities at both ends."""
OUTWARDS = (math.radians(30), math.radians(36))
"""Points move outwards and this much upwards, between the notches and over the whole cap: more would give a fuller cap
two humps, less takes a flat cap nowhere."""
SPREAD = (0.18, 0.12)
"""How far a displacement spreads, as a share of each half: between the notches, and over the whole cap. From trials on
caps of nine constructions, as drawn, raised and lowered: less brings out every unevenness, more reaches less."""
OVER = 0.05
"""A point of a drawn edge that would come to lie over the cap top by no more than this (mm) is kept down at it."""
ON_NODE = 0.02
"""A notch or the top nearer than this to a node (mm) stands at the node."""
ON_CAP = 0.5
"""What lies nearer than this to the edge (mm) stands on it."""
_SAMPLES = 1.5
"""Apart on the drawn edge, mm."""
Cuts = tuple[tuple[float, float], ...]
"""Stretches of the drawn edge, by its parameters: each is drawn anew as one cubic."""
Feet = tuple[geometry.Real | None, ...]
"""Of each stretch the parameters of its cubic at which its samples lie; None where it keeps its own velocities."""


class CapEdge(Struct, frozen=True, kw_only=True):
    """A cap edge and the part of it that may be redrawn, ready to be displaced."""

    piece: Piece
    """The sleeve."""
    curve: Curve
    """From the front underarm point."""
    start: float
    """The parameter of ``curve`` at which the part that may be redrawn begins."""
    top: float
    """The cap top's parameter."""
    end: float
    """The parameter at which the part that may be redrawn ends."""
    halves: tuple[float, float]
    """Lengths of front and back, from underarm point to cap top."""
    frames: tuple[ShearFrame, ShearFrame]
    """Front and back, each from the lower end of what may be redrawn to the cap top."""
    steepest: float
    """How far (mm) a point may move at most by each mm of length."""


class RedrawnCap(Struct, frozen=True, kw_only=True):
    """A cap edge redrawn."""

    curve: Curve
    """From the front underarm point."""
    top: float
    """The cap top's parameter."""
    halves: tuple[float, float]
    """Lengths of front and back, from underarm point to cap top, mm."""
    shoulder: float | None = None
    """Where the shoulder notch is to stand, mm along from the front underarm point; None: at its share of its half."""


def prepare_cap(piece: Piece, *, whole: bool) -> CapEdge:
    """Prepare a sleeve's cap to be redrawn between its lowest notches or, with ``whole``, all over.

    Refuse (Refusal) a cap with a dart in its edge and, unless ``whole``, one without a notch on each side.
    """
    curve = piece.edge("cap").from_front()
    if any(dart.edge == "cap" for dart in piece.darts):
        raise Refusal(piece.where, "the cap's edge has a dart, and is no one curve to redraw", "redraw it by hand")
    top = _find_top(curve, piece.landmark("cap top"))
    start, end = 0.0, float(len(curve))
    if not whole:
        places = [
            curve.snap_to_node(curve.nearest(mark.at)[0], ON_NODE)
            for mark in piece.notches("cap")
            if mark.at is not None
        ]
        front, back = [t for t in places if 0 < t < top], [t for t in places if top < t < end]
        if not front or not back:
            side = "front" if not front else "back"
            raise Refusal(
                piece.where,
                f"the cap's {side} has no notch below the cap top to redraw from",
                'mark the notches, or redraw the whole cap (within="whole")',
            )
        start, end = min(front), max(back)
    start, top, end = (round(t, 8) for t in (start, top, end))
    length = curve.length_between(0.0, top)
    return CapEdge(
        piece=piece,
        curve=curve,
        start=start,
        top=top,
        end=end,
        halves=(length, curve.length() - length),
        frames=(_half_frame(curve, start, top, whole=whole), _half_frame(curve, end, top, whole=whole)),
        steepest=rules.caps.REDRAWN_STEEPEST[whole],
    )


def _find_top(curve: Curve, marked: complex) -> float:
    """Find the highest place (a parameter); of several equally high the one nearest to the marked cap top."""
    places = curve.level_places(1j)
    points = curve.points(places)
    high = np.flatnonzero(points.imag < float(points.imag.min()) + 1e-9)
    return curve.snap_to_node(float(places[high[np.argmin(np.abs(points[high] - marked))]]), ON_NODE)


def _half_frame(curve: Curve, low: float, top: float, *, whole: bool) -> ShearFrame:
    """Make the frame of the half of a cap between two parameters, the cap top's second."""
    first, last = sorted((low, top))
    stops = [first, *(float(k) for k in range(math.floor(first) + 1, math.ceil(last))), last]
    places: list[geometry.Real] = []
    for a, b in itertools.pairwise(stops):
        count = max(2, math.ceil(curve.length_between(a, b, 1e-2) / _SAMPLES))
        places.append(a + (b - a) * np.arange(count) / count)
    points = curve.points(np.concatenate([*places, [last]]))
    points = points if low < top else points[::-1]
    chord = complex(points[-1] - points[0])
    out = -1.0 if chord.real > 0 else 1.0
    steep = min(OUTWARDS[whole], math.atan2(abs(chord.real), abs(chord.imag)))
    return shear_frame(points, complex(out * math.cos(steep), -math.sin(steep)), SPREAD[whole])


def redraw_cap(cap: CapEdge, gain: float) -> RedrawnCap | None:
    """Redraw the cap's edge ``gain`` mm longer (negative: shorter), front and back as is least displacement.

    None where that is beyond ``cap_reach``, or the edge would cross another. The length within EXACT; ends, tangents
    there and cap top exactly as they were; the rest within FIT of the way from the drawn edge.
    """
    if abs(gain) < EXACT:
        return RedrawnCap(curve=cap.curve, top=cap.top, halves=cap.halves)
    weights, done = _follow(cap, (0, 1), gain)
    return None if abs(done - gain) > EXACT else _drawn(cap, weights, [((0, 1), gain)])


def redraw_halves(cap: CapEdge, front: float, back: float) -> RedrawnCap | None:
    """Redraw the cap's edge ``front`` and ``back`` mm longer between underarm point and cap top (negative: shorter).

    Else as ``redraw_cap``.
    """
    if max(abs(front), abs(back)) < EXACT:
        return RedrawnCap(curve=cap.curve, top=cap.top, halves=cap.halves)
    weights: list[geometry.Real] = []
    for side, gain in enumerate((front, back)):
        found, done = _follow(cap, (side,), gain)
        if abs(done - gain) > EXACT:
            return None
        weights += found
    return _drawn(cap, tuple(weights), [((0,), front), ((1,), back)])


def cap_reach(cap: CapEdge, side: int | None = None) -> tuple[float, float]:
    """Find how much shorter (negative) and longer the edge can be redrawn, mm; 0 lies between.

    ``side``: 0 for the front half alone, 1 for the back half; None for both together, as ``redraw_cap`` takes them. A
    cap that would overhang is none to be had; not looked at is whether it would cross another edge.
    """
    sides = (0, 1) if side is None else (side,)
    whole = sum(cap.halves[k] for k in sides)
    least, most = (
        _follow(cap, sides, whole * (ratio - 1), rules.caps.LEAN_REPORTED)[1] for ratio in rules.caps.REDRAWN_RATIOS
    )
    return least, most


def _follow(
    cap: CapEdge, sides: tuple[int, ...], gain: float, lean: float = rules.caps.MUSHROOM
) -> tuple[Weights, float]:
    """Displace one half, or both together, to a gain, or as far towards it as makes a cap.

    ``lean``: so far (a sine) may a side lean outwards, or as far as it does as drawn.
    """
    frames = [cap.frames[k] for k in sides]
    top = cap.curve.point(cap.top).imag
    low, high = (ratio - 1 for ratio in rules.caps.REDRAWN_RATIOS)
    leaning = [max(lean, _lean(frame.points)) for frame in frames]
    first = shear_rate(frames, at_rest(frames))[1]
    steepest = max(cap.steepest, min(1.25 * first, 2 * cap.steepest))

    def is_cap(weights: Weights) -> bool:
        for frame, weight, most in zip(frames, weights, leaning, strict=True):
            moved = frame.moved(weight)
            if float(moved.imag.min()) < top - OVER or _lean(moved) > most:
                return False
        return True

    whole = sum(cap.halves[k] for k in sides)
    return follow_shear(frames, min(max(gain, low * whole), high * whole), is_cap, steepest)


def _lean(points: geometry.Complex) -> float:
    """Measure the furthest outward lean to the grain, as a sine, of a half given from below."""
    steps = np.diff(points)
    way = -1.0 if points[-1].real < points[0].real else 1.0
    return float((-way * steps.real / np.maximum(np.abs(steps), 1e-12)).max())


def _drawn(cap: CapEdge, weights: Weights, wanted: Sequence[tuple[tuple[int, ...], float]]) -> RedrawnCap | None:
    """Draw the displaced edge with cubics, its lengths exact; None where it crosses itself or another edge.

    ``wanted``: of which halves together the gain is to be how much.
    """
    cuts, feet = zip(*(_stretches(cap, weights, side) for side in (0, 1)), strict=True)
    last, pace = None, [1.0] * len(wanted)
    for _ in range(8):
        parts = [_cubics(cap, weights, side, cuts[side], feet[side]) for side in (0, 1)]
        lengths = [part.length() for part in parts]
        before = [cap.curve.length_between(*sorted((t, cap.top))) for t in (cap.start, cap.end)]
        misses = [(sides, gain - sum(lengths[k] - before[k] for k in sides)) for sides, gain in wanted]
        if all(abs(miss) < EXACT / 10 for _, miss in misses):
            break
        if last is not None:
            pace = [_paced(own, was, miss) for own, was, (_, miss) in zip(pace, last, misses, strict=True)]
        last = [miss for _, miss in misses]
        weights = _nudged(cap, weights, [(sides, own * miss) for own, (sides, miss) in zip(pace, misses, strict=True)])
    else:
        return None
    count = float(len(cap.curve))
    below = [cap.curve.subcurve(0.0, cap.start)] if cap.start > 0 else []
    after = [cap.curve.subcurve(cap.end, count)] if cap.end < count else []
    curve = Curve.chain([*below, *parts, *after])
    if geometry.self_crossing(edgework.with_edge(cap.piece, "cap", curve).outline()) is not None:
        return None
    halves = tuple(cap.halves[k] + lengths[k] - before[k] for k in (0, 1))
    top = float(sum(len(part) for part in (*below, parts[0])))
    return RedrawnCap(curve=curve, top=top, halves=(halves[0], halves[1]))


def _paced(pace: float, was: float, miss: float) -> float:
    """Return how much further or less far to go for the next miss, from what the last step brought (secant)."""
    brought = was - miss
    return pace if abs(brought) < 1e-12 else pace * min(max(was / brought, 0.2), 5.0)


def _nudged(cap: CapEdge, weights: Weights, misses: Sequence[tuple[tuple[int, ...], float]]) -> Weights:
    """Go the little that the lengths of cubics still miss."""
    found = list(weights)
    for sides, miss in misses:
        rates, _ = shear_rate([cap.frames[k] for k in sides], tuple(weights[k] for k in sides))
        for k, rate in zip(sides, rates, strict=True):
            found[k] = weights[k] + miss * rate
    return tuple(found)


def _stretches(cap: CapEdge, weights: Weights, side: int) -> tuple[Cuts, Feet]:
    """Choose the stretches of one half of the drawn edge that one cubic each can follow, in the edge's direction.

    With them where on those cubics the samples of the displaced stretches lie.
    """
    first, last = (cap.start, cap.top) if side == 0 else (cap.top, cap.end)
    stops = [first, *(float(k) for k in range(math.floor(first) + 1, math.ceil(last))), last]
    waiting = [(a, b) for a, b in itertools.pairwise(stops) if b - a > 1e-9][::-1]
    cuts: list[tuple[float, float]] = []
    feet: list[geometry.Real | None] = []
    while waiting:
        a, b = waiting.pop()
        places: geometry.Real | None = None
        if not _is_short(cap.curve, a, b):
            samples, start, end = _displaced(cap, weights[side], side, a, b)
            cubic, error = geometry.fit_cubic_with_error(samples, start, end, enough=0.1 * FIT)
            if error > FIT:
                waiting += [((a + b) / 2, b), (a, (a + b) / 2)]
                continue
            places = geometry.feet_on(cubic, samples)
        cuts.append((a, b))
        feet.append(places)
    return tuple(cuts), tuple(feet)


def _is_short(curve: Curve, a: float, b: float) -> bool:
    return curve.length_between(a, b, 1e-2) < SHORT


def _cubics(cap: CapEdge, weights: Weights, side: int, cuts: Cuts, feet: Feet) -> Curve:
    """Draw one half of the displaced edge, smoothly in the weights, so that a length can be met.

    What would rise over the cap top by a hair is kept down at it.
    """
    ends = np.array(cuts)
    index = np.minimum(ends[:, 0].astype(np.intp), len(cap.curve) - 1)
    cubics, local = cap.curve.segments[index][:, None, :], ends - index[:, None]
    points, speeds = geometry.position(cubics, local), geometry.derivative(cubics, local) * np.diff(ends, axis=1)
    frame, weight = cap.frames[side], weights[side]
    moved = frame.move(points.ravel(), weight).reshape(points.shape)
    turned = frame.turn(points.ravel(), speeds.ravel(), weight).reshape(points.shape) / 3
    drawn = np.stack([moved[:, 0], moved[:, 0] + turned[:, 0], moved[:, 1] - turned[:, 1], moved[:, 1]], axis=1)
    for k, ((a, b), places) in enumerate(zip(cuts, feet, strict=True)):
        if places is not None:
            samples, start, end = _displaced(cap, weight, side, a, b)
            drawn[k] = geometry.fit_cubic_at(samples, places, start, end)
    return Curve(_kept_down(drawn, cap.curve.point(cap.top).imag))


def _kept_down(cubics: geometry.Complex, top: float) -> geometry.Complex:
    """Keep cubics (n, 4) from rising over the cap top: handles that would are shortened, not turned."""
    held = cubics.real + 1j * np.maximum(cubics.imag, top)
    for end, handle in ((0, 1), (3, 2)):
        rise = held[:, end].imag - cubics[:, handle].imag
        room = held[:, end].imag - top
        over = rise > np.maximum(room, 1e-12)
        share = np.where(over, room / np.where(over, rise, 1.0), 1.0)
        held[:, handle] = held[:, end] + share * (cubics[:, handle] - cubics[:, end])
    return held


def _displaced(
    cap: CapEdge, weight: geometry.Real, side: int, a: float, b: float
) -> tuple[geometry.Complex, complex, complex]:
    """Sample a displaced stretch of the drawn edge; with its directions at start and end, unit vectors."""
    frame, curve = cap.frames[side], cap.curve
    points = curve.points(np.linspace(a, b, 13))
    ways = np.array([curve.tangent(a), curve.tangent(b, before=True)])
    turned = frame.turn(points[[0, -1]], ways, weight)
    turned = turned / np.abs(turned)
    return frame.move(points, weight), complex(turned[0]), complex(turned[1])


def with_redrawn_cap(cap: CapEdge, new: RedrawnCap) -> Piece:
    """Put the redrawn cap into its piece, and move what stands on it.

    Notches keep their length from their underarm point, so that they still meet the armhole; the shoulder notch stands
    where the new cap says, else it keeps its share of its half, as another landmark of the edge does. Ticks turn with
    the edge.
    """
    piece = edgework.with_edge(cap.piece, "cap", new.curve)
    marks = tuple(_move_mark(cap, new, mark) for mark in cap.piece.marks)
    landmarks = tuple(_move_landmark(cap, new, mark) for mark in cap.piece.landmarks)
    return replace(piece, marks=marks, landmarks=landmarks)


def _move_mark(cap: CapEdge, new: RedrawnCap, mark: Mark) -> Mark:
    """Move a mark of the cap edge: a notch keeps its length from the underarm, the shoulder notch its share."""
    if mark.at is None or mark.edge != "cap":
        return mark
    shoulder = mark.kind == "shoulder notch"
    found = _shoulder_place(cap, new, mark.at) if shoulder else _new_place(cap, new, mark.at, by_share=False)
    return mark if found is None else edgework.ride_along_edge(mark, cap.curve, found[0], new.curve, found[1])


def _move_landmark(cap: CapEdge, new: RedrawnCap, mark: Landmark) -> Landmark:
    """Move a landmark of the cap edge, which keeps its share of its half; the cap top stays."""
    if mark.name == "shoulder notch":
        found = _shoulder_place(cap, new, mark.at)
    else:
        found = None if mark.name == "cap top" else _new_place(cap, new, mark.at, by_share=True)
    return mark if found is None else replace(mark, at=new.curve.point(found[1]))


def _shoulder_place(cap: CapEdge, new: RedrawnCap, at: complex) -> tuple[float, float] | None:
    """Find where the shoulder notch stands: as the new cap says, else at its share of its half."""
    if new.shoulder is None:
        return _new_place(cap, new, at, by_share=True)
    return cap.curve.nearest(at)[0], new.curve.at_length(new.shoulder)


def shoulder_along(cap: CapEdge, new: RedrawnCap, shoulder: complex) -> float:
    """Return how far along the new edge the shoulder notch would stand at its share of its half, mm."""
    found = _new_place(cap, new, shoulder, by_share=True)
    return new.curve.length_between(0.0, new.curve.nearest(shoulder)[0] if found is None else found[1])


def _new_place(cap: CapEdge, new: RedrawnCap, at: complex, *, by_share: bool) -> tuple[float, float] | None:
    """Find where what stands at ``at`` on the old edge stands on the new (a parameter of each); None: it stays."""
    t, away = cap.curve.nearest(at)
    if not cap.start + 1e-7 < t < cap.end - 1e-7 or abs(t - cap.top) < 1e-7 or away > ON_CAP:
        return None
    along = cap.curve.length_between(0.0, t)
    front, back = cap.halves
    if along <= front:
        length = along * (new.halves[0] / front if by_share else 1.0)
        return t, new.curve.at_length(min(length, new.halves[0]))
    rest = (front + back - along) * (new.halves[1] / back if by_share else 1.0)
    return t, new.curve.at_length(sum(new.halves) - min(rest, new.halves[1]))


def cap_gains(cap: CapEdge, shoulder: complex, front: float, back: float) -> tuple[float, float]:
    """Find what front and back must gain up to the cap top to gain ``front`` and ``back`` up to the shoulder (mm).

    The shoulder notch keeps its share of the half it stands on.
    """
    along = cap.curve.length_between(0.0, cap.curve.nearest(shoulder)[0])
    whole = sum(cap.halves)
    if along <= cap.halves[0]:
        gain = front * cap.halves[0] / max(along, 1e-9)
        return gain, front + back - gain
    gain = back * cap.halves[1] / max(whole - along, 1e-9)
    return front + back - gain, gain
