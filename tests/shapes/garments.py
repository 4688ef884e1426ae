"""Garments of many constructions: sleeve, front and back, as pieces and as a drawing, the same ones every time.

Nine ways in which caps are drawn; sizes, heights, how far the shoulder notch stands from the cap top, and where and how
large the sheet shows them follow from the garment's number. No data from anywhere. Frame: pieces', mm, y down.

>>> one = garment(12, share_front=0.3)
>>> one.construction, round(one.ease, 1), one.share_front
('arcs', 17.0, 0.3)
"""

from __future__ import annotations

import cmath
import itertools
import math
import random
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.arcs import arc
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Landmark, Piece
from svgfit.model.plan import Seam
from tests.fitting.garments import SEAMS, bodice_of, notched, sleeve_of

COUNT = 80
SHARES = (0.5, 0.4, 0.3)
"""Of the ease, what the front takes: 50/50, 40 to the front and 60 to the back, 30/70."""


class Stroke(Struct, frozen=True):
    """One command of a path: a line, a quadratic or a cubic by its points, or a circle's arc by its ends."""

    points: tuple[complex, ...]
    radius: float = 0.0
    """mm, of an arc; 0 for the others."""
    clockwise: bool = False
    """As seen on a page."""

    def length(self) -> float:
        """By chords, their error taken out (Richardson; any textbook of numerics, from memory); mm."""
        if self.radius:
            return 2 * self.radius * math.asin(abs(self.points[1] - self.points[0]) / (2 * self.radius))
        if len(self.points) == 2:
            return abs(self.points[1] - self.points[0])
        fine, rough = (float(np.abs(np.diff(self._along(n))).sum()) for n in (4000, 2000))
        return fine + (fine - rough) / 3

    def _along(self, count: int) -> Complex:
        t, n = np.linspace(0, 1, count + 1), len(self.points) - 1
        weights = [math.comb(n, k) * t**k * (1 - t) ** (n - k) for k in range(n + 1)]
        return np.asarray(sum(w * p for w, p in zip(weights, self.points, strict=True)), dtype=np.complex128)

    def curve(self) -> Curve:
        """The same as cubics."""
        ends = self.points[0], self.points[-1]
        if self.radius:
            more = arc(ends[0], (self.radius, self.radius), 0.0, (False, self.clockwise), ends[1], 1e-4)
            points = [ends[0], *more]
            return Curve(np.array([points[k : k + 4] for k in range(0, len(points) - 1, 3)]))
        if len(self.points) == 2:
            return Curve.polyline(ends)
        if len(self.points) == 3:
            a, b, c = self.points
            return Curve(np.array([[a, (a + 2 * b) / 3, (2 * b + c) / 3, c]]))
        return Curve(np.array([self.points]))

    def reverse(self) -> Stroke:
        return Stroke(self.points[::-1], self.radius, not self.clockwise)

    def moved(self, motion: Affine) -> Stroke:
        """Moved, turned, mirrored or scaled evenly."""
        size = math.sqrt(abs(motion.a * motion.d - motion.b * motion.c))
        mirrored = motion.a * motion.d < motion.b * motion.c
        points = tuple(motion.apply(point) for point in self.points)
        return Stroke(points, self.radius * size, self.clockwise != mirrored)

    def data(self) -> str:
        """As path data, from where the pen stands."""
        words = " ".join(f"{p.real:.9g},{p.imag:.9g}" for p in self.points[1:])
        if self.radius:
            return f"A{self.radius:.9g} {self.radius:.9g} 0 0 {int(self.clockwise)} {words}"
        return "LQC"[len(self.points) - 2] + words


Strokes = tuple[Stroke, ...]
MIRROR = Affine.scale(-1, 1)


class Garment(Struct, frozen=True):
    """A sleeve and the armholes it is sewn into."""

    number: int
    construction: str
    ease: float
    """Of the cap over both armholes, mm."""
    share_front: float
    """Of the ease, by the shoulder notch."""
    pieces: tuple[Piece, Piece, Piece]
    """Sleeve, front and back."""
    lengths: Mapping[str, float]
    """By the generating curves: cap, cap front, cap back, front armhole, back armhole; mm."""
    strokes: tuple[Strokes, Strokes, Strokes]
    """Cap, front armhole and back armhole as they are drawn, in the pieces' frames."""
    seams: tuple[Seam, ...] = SEAMS

    @property
    def sleeve(self) -> Piece:
        return self.pieces[0]

    def drawing(self) -> str:
        """The sheet: SVG with layers by piece and role, each path with the commands of its construction."""
        units, motions = sheet(self.number)
        layers: list[str] = []
        for piece, strokes, motion in zip(self.pieces, self.strokes, motions, strict=True):
            to = motion.then(Affine.scale(units))
            first, *others = piece.edges
            loop = [*strokes, *(_stroke(segment) for edge in others for segment in edge.curve.segments.tolist())]
            assert abs(first.curve.start - loop[0].points[0]) < 1e-9
            layers.append(_layer(f"{piece.name} stitch line", [_path([stroke.moved(to) for stroke in loop], " Z")]))
            for name, kinds in (
                ("notches", ("notch", "shoulder notch")),
                ("grain line", ("grain line",)),
                ("fold line", ("fold line",)),
            ):
                ticks = [curve for mark in piece.marks if mark.kind in kinds for curve in mark.curves]
                paths = [_path([_stroke(one).moved(to) for one in curve.segments.tolist()]) for curve in ticks]
                layers += [_layer(f"{piece.name} {name}", paths)] if paths else []
        layers.append(f'<g id="test square"><rect x="9" y="9" width="{50 * units:.9g}" height="{50 * units:.9g}"/></g>')
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="2400mm" height="1600mm" '
            f'viewBox="0 0 {2400 * units:.9g} {1600 * units:.9g}">{"".join(layers)}</svg>\n'
        )


def sheet(number: int) -> tuple[float, list[Affine]]:
    """Give the user units a mm of a garment's sheet, and where sleeve, front and back lie on it."""
    chance = random.Random(f"sheet {number}")
    angle = chance.choice((0.0, 0.0, math.pi / 2, chance.uniform(-3, 3)))
    turn = (MIRROR if chance.random() < 0.3 else Affine()).then(Affine.turn(angle))
    places = (400 + 500j, 1100 + 600j, 1900 + 600j)
    return chance.choice((1.0, 0.1, 96 / 25.4)), [turn.then(Affine.shift(at)) for at in places]


def _layer(name: str, paths: Sequence[str]) -> str:
    inside = "".join(f'<path d="{data}" fill="none" stroke="black"/>' for data in paths)
    return f'<g id="{name}">{inside}</g>\n'


def _path(strokes: Sequence[Stroke], end: str = "") -> str:
    start = strokes[0].points[0]
    return f"M{start.real:.9g},{start.imag:.9g}" + "".join(" " + stroke.data() for stroke in strokes) + end


def _stroke(segment: Sequence[complex]) -> Stroke:
    """A cubic, as a line where it is one."""
    a, b, c, d = segment
    straight = abs(b - a - (d - a) / 3) < 1e-9 and abs(d - c - (d - a) / 3) < 1e-9
    return Stroke((a, d) if straight else (a, b, c, d))


def _as_curve(strokes: Strokes) -> Curve:
    return Curve.chain([stroke.curve() for stroke in strokes])


def _length(strokes: Strokes) -> float:
    return sum(stroke.length() for stroke in strokes)


# -- half a cap: from the underarm point (width, 0) up to the top (0, -height) ----------------------------------------


class Half(Struct, frozen=True):
    """What a half cap is drawn from: mm, and shares that give it its character."""

    width: float
    height: float
    scoop: float
    crown: float
    noise: int


def _two_cubics(half: Half) -> Strokes:
    w, top = half.width, -1j * half.height
    return (Stroke((w + 0j, w * (1 - half.scoop) + 0j, top + half.crown * w, top)),)


def _spline_through_offsets(half: Half) -> Strokes:
    """A spline through points set off from a straight guide line at its quarters, as many drafts tell."""
    start, end = half.width + 0j, -1j * half.height
    along = end - start
    out = 1j * along / abs(along)
    far = (0.0, -0.045 - 0.04 * half.scoop, 0.012, 0.055 + 0.05 * half.crown, 0.0)
    points = np.array([start + k / 4 * along + one * abs(along) * out for k, one in enumerate(far)])
    return _spline(points, -1 + 0j)


def _spline(points: Complex, last: complex) -> Strokes:
    """The cubic spline through points, by chord length, natural at its start and with direction ``last`` at its end.

    C. de Boor, A Practical Guide to Splines, chapter IV (from memory).
    """
    h = np.abs(np.diff(points))
    n = len(h)
    matrix, right = np.zeros((n + 1, n + 1)), np.zeros(n + 1, dtype=np.complex128)
    matrix[0, :2], right[0] = (2, 1), 3 * (points[1] - points[0]) / h[0]
    matrix[n, n], right[n] = 1, last
    for k in range(1, n):
        matrix[k, k - 1 : k + 2] = h[k], 2 * (h[k - 1] + h[k]), h[k - 1]
        right[k] = 3 * (h[k] * (points[k] - points[k - 1]) / h[k - 1] + h[k - 1] * (points[k + 1] - points[k]) / h[k])
    slopes = np.linalg.solve(matrix, right)
    return tuple(
        Stroke((a, a + step * da / 3, b - step * db / 3, b))
        for (a, b), (da, db), step in zip(
            itertools.pairwise(points.tolist()), itertools.pairwise(slopes.tolist()), h.tolist(), strict=True
        )
    )


def _graph(half: Half, shape: Callable[[float], float], slope: Callable[[float], float], count: int = 12) -> Strokes:
    """The graph of a height over the width: ``shape`` is 1 at 0 and 0 at 1; by its values and slopes."""
    w, h = half.width, half.height
    step = -w / count
    found: list[Stroke] = []
    for k in range(count):
        u, v = 1 - k / count, 1 - (k + 1) / count
        a, b = complex(w * u, -h * shape(u)), complex(w * v, -h * shape(v))
        ways = [complex(step, -h * slope(one) * step / w) / 3 for one in (u, v)]
        found.append(Stroke((a, a + ways[0], b - ways[1], b)))
    return tuple(found)


def _sine(half: Half) -> Strokes:
    return _graph(half, lambda u: (1 + math.cos(math.pi * u)) / 2, lambda u: -math.pi * math.sin(math.pi * u) / 2)


def _bell(half: Half) -> Strokes:
    wide = 0.38 + 0.12 * half.crown
    end = math.exp(-0.5 / wide**2)

    def shape(u: float) -> float:
        return (math.exp(-0.5 * (u / wide) ** 2) - end) / (1 - end)

    return _graph(half, shape, lambda u: -u / wide**2 * math.exp(-0.5 * (u / wide) ** 2) / (1 - end), 13)


def _arcs(half: Half) -> Strokes:
    """Two arcs, level at their ends, joined by the straight line that touches both."""
    low, high = half.width * (0.3 + 0.2 * half.scoop), half.width * (0.25 + 0.35 * half.crown)
    centres = complex(half.width, -low), complex(0, high - half.height)
    between = centres[1] - centres[0]
    # The inner tangent: square to the radius that leans by acos((low + high) / distance) to the line of the centres.
    lean = math.acos((low + high) / abs(between))
    way = between / abs(between) * cmath.exp(-1j * lean)
    first, second = centres[0] + low * way, centres[1] - high * way
    return (
        Stroke((half.width + 0j, first), low, clockwise=True),
        Stroke((first, second)),
        Stroke((second, -1j * half.height), high),
    )


def _points(half: Half) -> list[complex]:
    """A hundred chords' ends along two cubics, evenly in their parameter."""
    (stroke,) = _two_cubics(half)
    return stroke.curve().points(np.linspace(0, 1, 101)).tolist()


def _polyline(half: Half) -> Strokes:
    return tuple(Stroke(pair) for pair in itertools.pairwise(_points(half)))


def _noisy_polyline(half: Half) -> Strokes:
    return tuple(Stroke(pair) for pair in itertools.pairwise(_shaken(_points(half), half.noise)))


def _shaken(points: Sequence[complex], seed: int) -> list[complex]:
    """Points up to 0.05 mm off either way, as from a scanned or digitised drawing; the ends stay."""
    chance = random.Random(f"noise {seed}")
    inner = [p + complex(chance.uniform(-0.05, 0.05), chance.uniform(-0.05, 0.05)) for p in points[1:-1]]
    return [points[0], *inner, points[-1]]


def _tiny_cubics(half: Half) -> Strokes:
    return _parts(_two_cubics(half), 15)


def _parts(strokes: Strokes, count: int) -> Strokes:
    """Cut into many cubics, as a tracing gives them: not evenly, and rounded to 0.0001 mm."""
    curve = _as_curve(strokes)
    shares = np.cumsum([1 + 0.7 * math.sin(2.1 * k) for k in range(count)])
    places = np.concatenate([[0.0], shares / shares[-1]]) * len(curve)
    places[-1] = len(curve)
    parts = [curve.subcurve(a, b) for a, b in itertools.pairwise(places.tolist())]
    cubics = np.round(np.concatenate([part.segments for part in parts]), 4)
    cubics[0, 0], cubics[-1, 3] = curve.start, curve.end
    cubics[1:, 0] = cubics[:-1, 3]
    return tuple(Stroke(tuple(cubic)) for cubic in cubics.tolist())


def _quadratics(half: Half) -> Strokes:
    """A quadratic B-spline by its control polygon, level at both ends."""
    w, h = half.width, half.height
    first, last = 1 - 0.55 * half.scoop, 0.4 * half.crown
    second = complex((0.38 * last + 0.62 * first) * w, -0.35 * h)
    third = complex((0.7 * last + 0.3 * first) * w, -0.78 * h)
    polygon = [first * w + 0j, second, third, complex(last * w, -h)]
    return _quadratic_spline(w + 0j, polygon, -1j * h)


def _quadratic_spline(start: complex, polygon: Sequence[complex], end: complex) -> Strokes:
    nodes = [start, *((a + b) / 2 for a, b in itertools.pairwise(polygon)), end]
    return tuple(Stroke((a, control, b)) for (a, b), control in zip(itertools.pairwise(nodes), polygon, strict=True))


CONSTRUCTIONS: Mapping[str, Callable[[Half], Strokes]] = {
    "two cubics": _two_cubics,
    "spline through offsets": _spline_through_offsets,
    "sine": _sine,
    "arcs": _arcs,
    "bell": _bell,
    "polyline": _polyline,
    "noisy polyline": _noisy_polyline,
    "tiny cubics": _tiny_cubics,
    "quadratics": _quadratics,
}


# -- armholes: from the underarm point 0 to the shoulder tip, centre towards +x ---------------------------------------


def _armhole(construction: str, across: float, scoop: float, wanted: float, seed: int) -> Strokes:
    """A scoop and a straight line above it, ``wanted`` mm long, drawn as the cap is."""
    low = across * (0.85 + 0.5 * scoop)

    def drawn(straight: float) -> Strokes:
        corner, tip = complex(across, -low), complex(across, -low - straight)
        if construction == "arcs":
            corner = complex(across, -across)
            return Stroke((0j, corner), across), Stroke((corner, corner - 1j * straight))
        if construction == "quadratics":
            return (Stroke((0j, across + 0j, corner)), Stroke((corner, tip)))
        smooth = (Stroke((0j, across * 0.6 + 0j, corner + 0.6j * low, corner)), Stroke((corner, tip)))
        if construction == "tiny cubics":
            return _parts(smooth, 20)
        if construction in ("polyline", "noisy polyline"):
            points = _as_curve(smooth).points(np.concatenate([np.linspace(0, 1, 41), np.linspace(1, 2, 21)[1:]]))
            chosen = points.tolist() if construction == "polyline" else _shaken(points.tolist(), seed)
            return tuple(Stroke(pair) for pair in itertools.pairwise(chosen))
        return smooth

    straight = wanted - _length(drawn(100.0)) + 100.0
    for _ in range(20):
        off = wanted - _length(drawn(straight))
        if abs(off) < 1e-9:
            break
        straight += off
    return drawn(straight)


# -- whole garments ---------------------------------------------------------------------------------------------------


def garment(
    number: int, *, construction: str | None = None, share_front: float | None = None, ease: float | None = None
) -> Garment:
    """Draw the garment of a number.

    ``construction``: one of ``CONSTRUCTIONS``, else in turn. ``share_front``: of the ease, else in turn of ``SHARES``.
    ``ease``: mm, else 15 to 40.
    """
    chance = random.Random(f"garment {number}")
    names = list(CONSTRUCTIONS)
    construction = names[number % len(names)] if construction is None else construction
    share = SHARES[number // len(names) % len(SHARES)] if share_front is None else share_front
    chosen = chance.uniform(15, 40)
    ease = chosen if ease is None else ease
    wide = chance.uniform(150, 195)
    height = wide * chance.uniform(0.62, 0.9)
    scoop, crown = chance.uniform(0.4, 0.6), chance.uniform(0.48, 0.62)
    make = CONSTRUCTIONS[construction]
    front = make(Half(wide, height, scoop, crown, 2 * number))
    back = make(Half(wide * chance.uniform(0.95, 1.04), height, scoop * 0.92, crown, 2 * number + 1))
    turned = tuple(stroke.reverse().moved(MIRROR) for stroke in reversed(back))
    cap = (*front, *turned)
    aside = chance.choice((0.0, 0.0, 4.0, -5.0))
    halves = _length(front) + aside, _length(back) - aside
    wanted = halves[0] - share * ease, halves[1] - (1 - share) * ease
    across = chance.uniform(45, 60), chance.uniform(38, 50)
    armholes = [_armhole(construction, across[k], scoop, wanted[k], 2 * number + k) for k in (0, 1)]
    below = 0.42 * halves[0], 0.42 * halves[1]
    return Garment(
        number,
        construction,
        ease,
        share,
        (_sleeve(cap, halves, below), _bodice("front", armholes[0], below[0]), _bodice("back", armholes[1], below[1])),
        {
            "cap": sum(halves),
            "cap front": halves[0],
            "cap back": halves[1],
            "front armhole": _length(armholes[0]),
            "back armhole": _length(armholes[1]),
        },
        (cap, armholes[0], tuple(stroke.moved(MIRROR) for stroke in armholes[1])),
    )


def _sleeve(cap: Strokes, halves: tuple[float, float], below: tuple[float, float]) -> Piece:
    curve = _as_curve(cap)
    heights = curve.points(curve.level_places(-1j))
    plain = sleeve_of(curve, top=complex(heights[int(heights.imag.argmin())]))
    hem = [plain.edge("hem").curve.end, plain.edge("hem").curve.start]
    named = replace(
        plain,
        landmarks=(*plain.landmarks, Landmark("hem front", hem[0]), Landmark("hem back", hem[1])),
    )
    whole = sum(halves)
    piece = notched(named, "cap", below[0], whole - below[1], whole - below[1] - 12)
    return notched(piece, "cap", halves[0], kind="shoulder notch")


def _bodice(kind: str, armhole: Strokes, below: float) -> Piece:
    """A front or back; its notches as far from the underarm point as the sleeve's."""
    curve = _as_curve(armhole)
    piece = bodice_of(kind, curve if kind == "front" else curve.transform(MIRROR))
    return notched(piece, "armhole", *((below,) if kind == "front" else (below, below + 12)))


def garments(count: int = COUNT, *, share_front: float | None = None, ease: float | None = None) -> list[Garment]:
    """Draw the first so many garments, all constructions and shares of ease in turn."""
    return [garment(number, share_front=share_front, ease=ease) for number in range(count)]
