"""The shapes of the demo drawings: sleeve, front and back of a work smock, with stitch and cut lines.

All measures are in millimetres, y down; every outline runs clockwise as seen on the page, so outward is the tangent
turned by −90°. Written apart from svgfit's own parallels and truing, so that tests may hold one against the other.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from svgfit.geometry import bezier
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve

INCH = 25.4
SEAM = 5 / 8 * INCH
HEM = 1 * INCH
EASE = 3 / 8 * INCH
NOTCH = 1 / 4 * INCH

TAPER, FRONT_NOTCH, BACK_NOTCHES = 37.0, 92.0, (96.0, 96.0 + INCH / 2)


@dataclass(frozen=True, slots=True)
class Measures:
    """What differs from size to size; as it stands here, the smock's own size."""

    front: float = 170.0
    """The sleeve's half bicep; so is ``back``."""
    back: float = 178.0
    cap_height: float = 140.0
    drop: float = 430.0
    """From the bicep line to the sleeve's hem."""
    half_front: float = 270.0
    """The bodice's half width; so is ``half_back``."""
    half_back: float = 276.0
    body: float = 440.0
    """From the underarm to the bodice's hem."""
    shoulder: float = 138.0
    neck_width: float = 84.0
    higher: float = 0.0
    """How much farther from the underarm the notches stand."""


def larger(steps: float) -> Measures:
    """The measures so many sizes up (or down): 2 in round the body a size, the rest as invented."""
    m = Measures()
    return Measures(
        m.front + 6 * steps,
        m.back + 6 * steps,
        m.cap_height + 4 * steps,
        m.drop + 7 * steps,
        m.half_front + INCH / 2 * steps,
        m.half_back + INCH / 2 * steps,
        m.body + 8 * steps,
        m.shoulder + 3 * steps,
        m.neck_width + 6 * steps,
        3.4 * steps,
    )


@dataclass(frozen=True, slots=True)
class Writing:
    """A line of text in a piece's frame."""

    at: complex
    words: str
    size: float = 9.0


@dataclass(frozen=True, slots=True)
class Pattern:
    """A piece with everything that is drawn on it."""

    name: str
    edges: dict[str, Curve]
    """In order round the outline."""
    cut: Curve
    notches: tuple[Curve, ...]
    grain: Curve
    texts: tuple[Writing, ...]
    fold: Curve | None = None
    details: tuple[Curve, ...] = ()
    lines: dict[str, Curve] = field(default_factory=dict)
    """Bicep and centre line, where they are drawn."""

    @property
    def stitch(self) -> Curve:
        """The closed stitch line."""
        return Curve.chain(self.edges.values())


# -- lines -----------------------------------------------------------------------------------------------------------


def direction(degrees: float) -> complex:
    """The unit vector at an angle from +x towards +y."""
    return cmath.exp(1j * math.radians(degrees))


def cubic(start: complex, out: complex, back: complex, end: complex) -> Curve:
    """One cubic from its ends and handles (as vectors)."""
    return Curve(np.array([[start, start + out, end + back, end]]))


def parallel(curve: Curve, distance: float, parts: int = 2) -> Curve:
    """The curve ``distance`` to its left (outward of a clockwise outline), each bent cubic as ``parts`` cubics."""
    cubics: list[list[complex]] = []
    for k in range(len(curve)):
        straight = abs(curve.curvature(k + 0.2)) < 1e-9 and abs(curve.curvature(k + 0.8)) < 1e-9
        if straight:
            beside = -1j * distance * curve.tangent(k + 0.5)
            cubics.append((curve.segments[k] + beside).tolist())
            continue
        for low, high in itertools.pairwise(k + stop for stop in np.linspace(0, 1, parts + 1).tolist()):
            inside = np.linspace(low, high, 33)
            tangents = curve.tangents(inside)
            tangents[-1] = curve.tangent(high, before=True)
            cubics.append(_through(curve.points(inside) - 1j * distance * tangents, tangents[0], tangents[-1]))
    return Curve(np.array(cubics))


def _through(points: np.ndarray, out: complex, into: complex) -> list[complex]:
    """One cubic with given end tangents near all points.

    The handles' lengths by Gauss–Newton on the distances square to the cubic (from memory).
    """
    start, end = complex(points[0]), complex(points[-1])
    third = float(np.abs(np.diff(points)).sum()) / 3
    cubic = [start, start + third * out, end - third * into, end]
    for _ in range(12):
        fitted = Curve(np.array([cubic]))
        t = np.array([fitted.nearest(complex(point))[0] for point in points[1:-1]])
        normal = 1j * fitted.tangents(t)
        fixed = start * ((1 - t) ** 3 + 3 * (1 - t) ** 2 * t) + end * (t**3 + 3 * (1 - t) * t**2)
        sides = (3 * (1 - t) ** 2 * t * out, -3 * (1 - t) * t**2 * into, points[1:-1] - fixed)
        first, second, miss = (bezier.dot(normal, side) for side in sides)
        a, b = np.linalg.lstsq(np.stack([first, second], axis=1), miss, rcond=None)[0].tolist()
        cubic = [start, start + a * out, end - b * into, end]
    return cubic


def extended(curve: Curve, by: float) -> Curve:
    """The curve with its last cubic run on by about ``by``."""
    segments = curve.segments.copy()
    segments[-1] = bezier.split(segments[-1], 1 + by / abs(segments[-1, 3] - segments[-1, 0]))[0]
    return Curve(segments)


def meeting(p: complex, along: complex, q: complex, other: complex) -> complex:
    """Where two straight lines meet."""
    return p + along * float(bezier.cross(q - p, other)) / float(bezier.cross(along, other))


def mirrored_end(cut: Curve, corner: complex, seam: complex, distance: float) -> Curve:
    """A cut line that runs towards a corner, carried on through the allowance of the seam that begins there.

    ``seam`` points from the corner along that seam (straight). Beyond the seam the allowance is the mirror image of
    what lies inside, so that it lies flush when the seam is pressed open; the result ends on the seam's own cut line.
    """
    longer = extended(cut, 60)
    crossing = longer.crossings(corner - 300 * seam, corner + 300 * seam)[-1]
    inside = longer.subcurve(0, crossing)
    image = inside.transform(Affine.mirror(corner, corner + seam)).reverse()
    start = corner - 1j * distance * seam
    end = image.crossings(start - 300 * seam, start + 300 * seam)[0]
    return Curve.chain([inside, image.subcurve(0, end)])


def ended(cut: Curve, corner: complex, seam: complex, distance: float) -> Curve:
    """As ``mirrored_end``, for a cut line that runs away from the corner; ``seam`` points from the corner, too."""
    flip = Affine.mirror(0j, 1j)
    turned = cut.reverse().transform(flip)
    found = mirrored_end(turned, flip.apply(corner), flip.apply_vector(seam), distance)
    return found.transform(flip).reverse()


def mitred(parts: Sequence[Curve]) -> Curve:
    """Cut lines one after another, each pair run on straight to where they meet."""
    found: list[Curve] = [parts[0]]
    for part in parts[1:]:
        before = found[-1]
        point = meeting(before.end, before.tangent(len(before), before=True), part.start, part.tangent(0))
        links = [pair for pair in ((before.end, point), (point, part.start)) if abs(pair[1] - pair[0]) > 1e-6]
        found.extend(Curve.polyline(pair) for pair in links)
        found.append(part)
    return Curve.chain(found)


def tick(edge: Curve, distance: float, allowance: float) -> Curve:
    """A notch at ``distance`` along an edge: from the cut line inwards, square to the stitch line."""
    t = edge.at_length(distance)
    outward = -1j * edge.tangent(t)
    return Curve.polyline([edge.point(t) + allowance * outward, edge.point(t) + (allowance - NOTCH) * outward])


def solve(miss: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that changes sign between ``low`` and ``high`` is zero (halving)."""
    rising = miss(high) > 0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (low, middle) if (miss(middle) > 0) == rising else (middle, high)
    return (low + high) / 2


# -- pieces ----------------------------------------------------------------------------------------------------------


def cap_edge(m: Measures) -> Curve:
    """From the back underarm point over the cap top to the front one; front and back corner make 180° together."""
    middle = (m.back + m.front) / 2
    top = complex(m.back - middle, -m.cap_height)
    lean = math.degrees(math.atan2(TAPER, m.drop))
    wide = (m.front + m.back) / 348
    front, back = -middle * (-1 + 0j), complex(-middle)
    rise_front = lean - 1.7
    rise_back = 2 * lean - rise_front
    return Curve.chain(
        [
            cubic(back, 64 * wide * direction(-rise_back), -70 * wide + 0j, top),
            cubic(top, 67 * wide + 0j, 84 * wide * direction(180 + rise_front), front),
        ]
    )


def sleeve(m: Measures, front_armhole: float) -> Pattern:
    """The sleeve; the shoulder notch parts the ease, 3/8 of it in front."""
    cap = cap_edge(m)
    hem_front, hem_back = cap.end + complex(-TAPER, m.drop), cap.start + complex(TAPER, m.drop)
    edges = {
        "cap": cap,
        "underarm front": Curve.polyline([cap.end, hem_front]),
        "hem": Curve.polyline([hem_front, hem_back]),
        "underarm back": Curve.polyline([hem_back, cap.start]),
    }
    down, up = edges["underarm front"].tangent(0), edges["underarm back"].tangent(0)
    top = mirrored_end(parallel(cap, SEAM), cap.end, down, SEAM)
    top = ended(top, cap.start, -up, SEAM)
    side_front, side_back = parallel(edges["underarm front"], SEAM), parallel(edges["underarm back"], SEAM)
    right = mirrored_end(side_front, hem_front, -1 + 0j, HEM)
    left = ended(side_back, hem_back, 1 + 0j, HEM)
    cut = Curve.chain([top, _from(top.end, right), _line(right.end, left.start), _to(left, top.start)])
    length = cap.length()
    at_shoulder = length - front_armhole - 3 / 8 * EASE
    notches = [length - FRONT_NOTCH - m.higher, *(at + m.higher for at in BACK_NOTCHES), at_shoulder]
    centre = complex(cap.segments[0, 3])
    texts = (
        Writing(30 + 60j, "Sleeve", 16),
        Writing(30 + 76j, "cut 2"),
        Writing(centre.real + 72 - 14j, "front"),
        Writing(centre.real - 100 - 14j, "back"),
    )
    lines = {
        "bicep line": Curve.polyline([cap.start, cap.end]),
        "centre line": Curve.polyline([centre, complex(centre.real, m.drop)]),
    }
    ticks = tuple(tick(cap, at, SEAM) for at in notches)
    grain = Curve.polyline([complex(centre.real, -60), complex(centre.real, 330)])
    return Pattern("Sleeve", edges, cut, ticks, grain, texts, lines=lines)


def _line(start: complex, end: complex) -> Curve:
    return Curve.polyline([start, end])


def _from(start: complex, curve: Curve) -> Curve:
    """The curve with its first (straight) segment begun elsewhere on its line."""
    return Curve.chain([_line(start, complex(curve.segments[0, 3])), *_rest(curve.segments[1:])])


def _to(curve: Curve, end: complex) -> Curve:
    """The curve with its last (straight) segment ended elsewhere on its line."""
    return Curve.chain([*_rest(curve.segments[:-1]), _line(complex(curve.segments[-1, 0]), end)])


def _rest(segments: np.ndarray) -> list[Curve]:
    return [Curve(segments)] if len(segments) else []


def armhole_edge(half: float, tip: complex, scoop: complex, slope: float, low: float, high: float) -> Curve:
    """From the underarm point level into the body, round to ``scoop`` where it runs up, and square to the shoulder."""
    out = direction(-90 + slope)
    return Curve.chain(
        [
            cubic(complex(half), complex(-low), 0.52j * -scoop.imag, scoop),
            cubic(scoop, complex(0, 0.42 * (tip.imag - scoop.imag)), -high * out, tip),
        ]
    )


def bodice(name: str, m: Measures, length: float, neck_depth: float, spread: float, slope: float) -> Pattern:
    """Half a front or back, its fold at x = 0; the shoulder's height is found that gives the armhole its length."""
    half = m.half_front if name == "Front" else m.half_back

    def armhole(height: float) -> Curve:
        tip = complex(m.neck_width + m.shoulder * math.cos(math.radians(slope)), -height)
        scoop = complex(tip.real - spread, -0.40 * height)
        return armhole_edge(half, tip, scoop, slope, 0.62 * (half - scoop.real), 0.24 * height)

    height = solve(lambda tall: armhole(tall).length() - length, 120, 260)
    hole = armhole(height)
    neck = complex(m.neck_width, hole.end.imag - m.shoulder * math.sin(math.radians(slope)))
    nape = complex(0, neck.imag + neck_depth)
    neckline = cubic(neck, 0.6 * neck_depth * direction(90 + slope), complex(0.6 * m.neck_width), nape)
    corner, fold = complex(half, m.body), complex(0, m.body)
    edges = {
        "armhole": hole,
        "shoulder": _line(hole.end, neck),
        "neckline": neckline,
        "fold": _line(nape, fold),
        "hem": _line(fold, corner),
        "side seam": _line(corner, complex(half)),
    }
    return _bodice_pattern(name, edges, nape, m)


def _bodice_pattern(name: str, anticlockwise: dict[str, Curve], nape: complex, m: Measures) -> Pattern:
    """The drawn half, turned round to run clockwise, with its allowances."""
    edges = {edge: curve.reverse() for edge, curve in reversed(anticlockwise.items())}
    hole, side, hem = edges["armhole"], edges["side seam"], edges["hem"]
    shoulder = parallel(edges["shoulder"], SEAM)
    top = mirrored_end(parallel(hole, SEAM), hole.end, 1j, SEAM)
    upper = mitred([parallel(edges["neckline"], SEAM), shoulder, top])
    corner = complex(upper.end.real, side.end.imag + HEM)
    below = complex(0, hem.end.imag + HEM)
    above = upper.start
    cut = Curve.chain([upper, _line(upper.end, corner), _line(corner, below), _line(below, above)])
    length = hole.length()
    front = name == "Front"
    notches = [length - m.higher - at for at in ((FRONT_NOTCH,) if front else BACK_NOTCHES)]
    words = "cut 1 on fold"
    texts = (Writing(96 + 30j, name, 16), Writing(96 + 46j, words))
    pocket = Curve.polyline([105 + 120j, 235 + 120j, 235 + 255j, 170 + 275j, 105 + 255j, 105 + 120j])
    return Pattern(
        name,
        edges,
        cut,
        tuple(tick(hole, at, SEAM) for at in notches),
        Curve.polyline([complex(64, nape.imag + 70), complex(64, m.body - 60)]),
        texts,
        fold=Curve.polyline([complex(0, nape.imag + 8), complex(0, m.body - 8)]),
        details=(pocket,) if front else (),
    )


def smock(m: Measures | None = None) -> tuple[Pattern, Pattern, Pattern]:
    """Sleeve, front and back: the cap is 3/8 in longer than the two armholes."""
    m = m or Measures()
    around = cap_edge(m).length() - EASE
    front = bodice("Front", m, 0.488 * around, 92, 24, 22)
    back = bodice("Back", m, 0.512 * around, 26, 19, 20)
    return sleeve(m, front.edges["armhole"].length()), front, back
