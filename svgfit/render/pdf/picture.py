"""A small picture of pieces: a view of their frame, what is drawn in it, and words placed where they cover nothing.

Millimetres on paper; a picture is a value, every verb gives a new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box, box_around
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import enclosed
from svgfit.geometry.raster import sample
from svgfit.render.annotate.block import document
from svgfit.render.annotate.labels import Label, boxes_around, extent, place, write
from svgfit.render.annotate.line_kinds import BLACK, WHITE, fill_style
from svgfit.render.annotate.placement.occupancy import make_field
from svgfit.render.pdf.pen import DARK, SHADE, pen_of, style
from svgfit.render.text_metrics import letters
from svgfit.rules.lettering import PICTURE_ON_PAPER
from svgfit.svg.markup import ROUGH, Node, element, line_data, number

SCISSORS = 5.5
"""Size of the scissors, mm."""
HEAD = 2.6
"""Length of an arrowhead, mm."""
_STEP = 0.35
"""Curves are drawn as lines this long, mm: finer than a printer's dot is not seen."""


_ROUND: Complex = np.asarray(np.exp(1j * np.linspace(0, 2 * np.pi, 25)), np.complex128)
_SCISSORS: tuple[Complex, ...] = (
    np.array([-0.62 - 0.16j, 0.12 + 0.07j], np.complex128),
    np.array([-0.62 + 0.16j, 0.12 - 0.07j], np.complex128),
    np.asarray(-0.8 - 0.2j + 0.18 * _ROUND, np.complex128),
    np.asarray(-0.8 + 0.2j + 0.18 * _ROUND, np.complex128),
)
"""A pair of scissors that cuts towards 1 at 0: two blades, two handles."""


class Image(Struct, frozen=True):
    """A picture as a template shows it, so many mm wide."""

    svg: str
    width: float


class Drawn(Struct, frozen=True):
    """A finished picture: an SVG of that size in mm."""

    svg: str
    width: float
    height: float
    shift: complex = 0j
    """By how much what was drawn lies farther in, since words reach beyond the frame."""
    words: tuple[Box, ...] = ()
    """Where words stand, before they were shifted."""

    def shown(self, most: float | None = None) -> Image:
        """Show it as wide as it is, or at most so many mm wide."""
        return Image(self.svg, self.width if most is None else min(self.width, most))


class Picture(Struct, frozen=True):
    """What is drawn so far."""

    view: Affine
    """Piece frame (mm) to paper."""
    width: float
    height: float
    shapes: tuple[Node, ...] = ()
    """Filled shapes: beneath all lines."""
    ink: tuple[Node, ...] = ()
    lines: tuple[Complex, ...] = ()
    """Every drawn line as points, for words to keep clear of."""
    labels: tuple[Label, ...] = ()
    fixed: tuple[tuple[Label, complex], ...] = ()
    """Words at a place of their own."""
    used: tuple[str, ...] = ()
    """Pens used, for the legend."""

    @property
    def frame(self) -> Box:
        """The box within which is drawn."""
        return (0.0, 0.0, self.width, self.height)

    @property
    def factor(self) -> float:
        """Millimetres on paper for a millimetre of the piece."""
        return self.view.size

    def curve(self, pen: str, *curves: Curve) -> Picture:
        """Draw curves of the piece's frame."""
        return self.points(pen, *(sample(curve.transform(self.view).segments, _STEP) for curve in curves))

    def line(self, pen: str, *ends: complex) -> Picture:
        """Draw a polyline between points of the piece's frame."""
        return self.points(pen, np.array([self.view.apply(end) for end in ends], np.complex128))

    def points(self, pen: str, *lines: Complex) -> Picture:
        """Draw polylines on paper; what lies outside the frame is left out."""
        inside = [part for line in lines for part in clip_line(line, self.frame)]
        if not inside:
            return self
        d = line_data(*(part.tolist() for part in inside))
        drawn = element("path", [("d", d), ("style", style(pen_of(pen)))])
        return replace(self, ink=(*self.ink, drawn), lines=(*self.lines, *inside), used=(*self.used, pen))

    def shape(self, pen: str, around: Curve) -> Picture:
        """Fill a closed curve of the piece's frame: ``shade`` or ``dark``."""
        inside = clip_shape(sample(around.transform(self.view).segments, _STEP), self.frame)
        if len(inside) < 3:
            return self
        colour = {"shade": SHADE, "dark": DARK}[pen]
        drawn = element("path", [("d", line_data(inside.tolist(), close=True)), ("style", fill_style(colour))])
        return replace(self, shapes=(*self.shapes, drawn), used=(*self.used, pen))

    def overlap(self, one: Curve, other: Curve) -> Picture:
        """Fill dark where two closed curves of the piece's frame cover each other."""
        first, second = (
            clip_shape(sample(each.transform(self.view).segments, _STEP), self.frame) for each in (one, other)
        )
        if len(first) < 3 or len(second) < 3:
            return self
        name = f"c{len(self.shapes)}"
        window = element("path", [("d", line_data(first.tolist(), close=True))])
        clip = element("clipPath", [("id", name)], window)
        drawn = element(
            "path",
            [
                ("d", line_data(second.tolist(), close=True)),
                ("clip-path", f"url(#{name})"),
                ("style", fill_style(DARK)),
            ],
        )
        return replace(self, shapes=(*self.shapes, clip, drawn), used=(*self.used, "dark"))

    def written(self, words: str, at: complex, *, anchor: str = "middle") -> Picture:
        """Write words at a place on paper, their baseline there."""
        return replace(self, ink=(*self.ink, *letters(words, at, PICTURE_ON_PAPER, anchor=anchor, halo=False)))

    def scissors(self, at: complex, towards: complex) -> Picture:
        """Draw scissors that come from outside to a point of the piece's frame, cutting ``towards``."""
        spot, way = self.view.apply(at), self.view.apply_vector(towards)
        way /= abs(way)
        lines = [spot + way * SCISSORS * line for line in _SCISSORS]
        d = line_data(*(line.tolist() for line in lines))
        look = style(pen_of("hinge")).replace("fill:none", f"fill:{WHITE}")
        drawn = element("path", [("d", d), ("style", look)])
        return replace(self, ink=(*self.ink, drawn), lines=(*self.lines, *lines))

    def framed(self) -> Picture:
        """Draw a thin frame round a close-up."""
        left, top, right, bottom = 0.1, 0.1, self.width - 0.1, self.height - 0.1
        corners = (complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom))
        return self.points("detail", np.array([*corners, corners[0]], np.complex128))

    def ring(self, at: complex) -> Picture:
        """Draw a hinge."""
        spot = self.view.apply(at)
        if not self.holds(at):
            return self
        place: list[tuple[str, str | None]] = [("cx", number(spot.real, ROUGH)), ("cy", number(spot.imag, ROUGH))]
        white = style(pen_of("hinge")).replace("fill:none", f"fill:{WHITE}")
        drawn = (
            element("circle", [*place, ("r", "1.5"), ("style", white)]),
            element("circle", [*place, ("r", "0.45"), ("style", fill_style(BLACK))]),
        )
        around = spot + 1.5 * np.exp(1j * np.linspace(0, 2 * np.pi, 13))
        return replace(self, ink=(*self.ink, *drawn), lines=(*self.lines, around), used=(*self.used, "hinge"))

    def arrow(self, start: complex, end: complex, pen: str = "arrow", *, both: bool = False) -> Picture:
        """Draw an arrow between two points of the piece's frame; too short a one as far as its head needs."""
        tail, tip = self.view.apply(start), self.view.apply(end)
        size = abs(tip - tail)
        if size < 1e-6:
            return self
        way = (tip - tail) / size
        head = min(HEAD, max(size * 0.7, 1.1))
        foot = tail + way * head * 0.7 if both else tail
        drawn = self.points(pen, np.array([foot, tip - way * head * 0.7], np.complex128))
        heads = [_head(at, on, head) for at, on in ((tip, way), *(((tail, -way),) if both else ())) if self._shows(at)]
        return replace(drawn, ink=(*drawn.ink, *heads), used=(*drawn.used, pen))

    def _shows(self, spot: complex) -> bool:
        return 0 <= spot.real <= self.width and 0 <= spot.imag <= self.height

    def dimension(
        self, start: complex, end: complex, words: Sequence[str], towards: complex, share: float = 0.5
    ) -> Picture:
        """Draw a figure between two points of the piece's frame; its words at a ``share`` of the way."""
        drawn = self.arrow(start, end, "dimension", both=True)
        return drawn.label(words, start + (end - start) * share, towards)

    def label(
        self, words: Sequence[str], at: complex, towards: complex, *, leader: bool = True, bold: bool = False
    ) -> Picture:
        """Add words that belong to a point of the piece's frame; they'd best lie ``towards`` (a direction there)."""
        if not self.holds(at):
            return self
        way = self.view.apply_vector(towards)
        place = self.view.apply(at)
        made = Label("", tuple(words), place, way, PICTURE_ON_PAPER, leader=leader, dot=False, bold_first=bold)
        return replace(self, labels=(*self.labels, made))

    def word_inside(self, word: str, around: Curve) -> Picture:
        """Write a word in a closed curve of the piece's frame, where it has most room; beside it where it has none."""
        edge = around.transform(self.view)
        spot, room = roomiest(edge.points(np.arange(len(edge), dtype=np.float64)), self.lines, self.frame)
        made = Label("", (word,), spot, -1j, PICTURE_ON_PAPER, dot=True)
        if room > extent((word,), PICTURE_ON_PAPER)[0] * 0.58:
            return replace(self, fixed=(*self.fixed, (made, spot)))
        return replace(self, labels=(*self.labels, made))

    def holds(self, at: complex) -> bool:
        """Tell whether a point of the piece's frame lies in the picture."""
        return self._shows(self.view.apply(at))

    def tape(self, first: complex, second: complex, along: complex) -> Picture:
        """Draw tape over a cut, square to it: between points of the piece's frame, the cut running ``along``."""
        one, other = self.view.apply(first), self.view.apply(second)
        way = self.view.apply_vector(along)
        way /= abs(way)
        square = 1j * way
        reach = abs(((other - one) * square.conjugate()).real) / 2 + 2.4
        middle = (one + other) / 2
        one, other = middle - square * reach, middle + square * reach
        corners = [one - way * 1.5, other - way * 1.5, other + way * 1.5, one + way * 1.5]
        around = np.array([*corners, corners[0]], np.complex128)
        if not all(self._shows(at) for at in corners):
            return self
        look = style(pen_of("tape")).replace("fill:none", f"fill:{WHITE};fill-opacity:0.85")
        drawn = element("path", [("d", line_data(corners, close=True)), ("style", look)])
        return replace(self, ink=(*self.ink, drawn), lines=(*self.lines, around), used=(*self.used, "tape"))

    def drawn(self) -> Drawn:
        """Finish the picture, its words placed; larger than its frame where words reach beyond that."""
        curves = [Curve.polyline(line.tolist()) for line in self.lines if len(line) > 1]
        field = make_field(self.frame, curves, [], [], 0.0)
        written: list[Node] = []
        for label, centre in self.fixed:
            width, height = extent(label.lines, label.size, bold_first=label.bold_first)
            box = boxes_around(np.array([centre]), width, height, label.size * 0.3)[0].tolist()
            field = field.with_box((box[0], box[1], box[2], box[3]))
            written += [node for mark in write(label, centre, width, height) for node in mark.nodes]
        for label in self.labels:
            field, marks = place(field, label, 0.8)
            written += [node for mark in marks for node in mark.nodes]
        body = (*self.shapes, *self.ink, *(node for node in written if not _is_halo(node)))
        left, top, right, bottom = box_around([self.frame, *field.boxes])
        if left < 0 or top < 0:
            body = (element("g", [("transform", f"translate({number(-left, ROUGH)} {number(-top, ROUGH)})")], *body),)
        width, height = right - left, bottom - top
        return Drawn(document(body, width, height), width, height, complex(-left, -top), tuple(field.boxes))


def _is_halo(node: Node) -> bool:
    return node.tag == "text" and "stroke:#FFFFFF" in (node.get("style") or "")


def roomiest(around: Complex, lines: Sequence[Complex], frame: Box) -> tuple[complex, float]:
    """Find the point in a closed row of points and the frame that is farthest from all lines, and how far it is."""
    xs = np.linspace(max(frame[0], float(around.real.min())), min(frame[2], float(around.real.max())), 34)[1:-1]
    ys = np.linspace(max(frame[1], float(around.imag.min())), min(frame[3], float(around.imag.max())), 34)[1:-1]
    spots = (xs[None, :] + 1j * ys[:, None]).ravel()
    inside = spots[enclosed(spots, around)]
    if not len(inside):
        return complex(around.mean()), 0.0
    drawn = np.concatenate([_dotted(line) for line in lines]) if lines else around
    away = np.abs(inside[:, None] - drawn[None, :]).min(axis=1)
    for side in (inside.real - frame[0], frame[2] - inside.real):
        away = np.minimum(away, side)
    for side in (inside.imag - frame[1], frame[3] - inside.imag):
        away = np.minimum(away, 2.5 * side)
    best = int(np.argmax(away))
    return complex(inside[best]), float(away[best])


def _dotted(line: Complex) -> Complex:
    """Sample points along a polyline at most about a millimetre apart."""
    steps = np.maximum(np.ceil(np.abs(np.diff(line))).astype(np.intp), 1)
    found: list[Complex] = [
        np.linspace(a, b, k + 1, dtype=np.complex128) for a, b, k in zip(line[:-1], line[1:], steps, strict=True)
    ]
    return np.concatenate(found) if found else line


def _head(tip: complex, way: complex, size: float) -> Node:
    side = 1j * way * size * 0.32
    back = tip - way * size
    return element(
        "path", [("d", line_data([tip, back + side, back - side], close=True)), ("style", fill_style(BLACK))]
    )


def looking_at(boxes: Iterable[Box], width: float, *, mirror: bool, most: float, least: float = 0.0) -> Picture:
    """Open an empty picture ``width`` mm wide on boxes of a piece's frame, with air for words round them.

    At most ``most`` mm high, then less wide a part of it is used; ``mirror``: left and right change places, as they
    lie on the person's own page. Never larger than the piece itself.
    """
    left, top, right, bottom = box_around(boxes)
    air = PICTURE_ON_PAPER * 2.2
    across, down = max(right - left, 1e-6), max(bottom - top, 1e-6)
    factor = min((width - 2 * air) / across, (most - 2 * air) / down, 1.0)
    height = max(min(down * factor + 2 * air, most), least)
    sign = -1.0 if mirror else 1.0
    middle = complex((left + right) / 2 * sign, (top + bottom) / 2)
    view = Affine.scale(sign * factor, factor).then(Affine.shift(complex(width / 2, height / 2) - middle * factor))
    return Picture(view, width, height)


def full_size(at: complex, width: float, height: float, *, mirror: bool) -> Picture:
    """Open an empty picture on the surroundings of a point of a piece's frame, as large as they are."""
    sign = -1.0 if mirror else 1.0
    view = Affine.scale(sign, 1.0).then(Affine.shift(complex(width / 2 - at.real * sign, height / 2 - at.imag)))
    return Picture(view, width, height)


# -- clipped to a box --------------------------------------------------------------------------------------------------


def clip_line(points: Complex, box: Box) -> list[Complex]:
    """Clip a polyline to the box (left, top, right, bottom), into as many stretches as lie in it."""
    stretches: list[list[complex]] = []
    whole: list[complex] = points.tolist()
    for start, end in pairwise(whole):
        inside = _within(start, end, box)
        if inside is None:
            continue
        first, last = inside
        if stretches and abs(stretches[-1][-1] - first) < 1e-9:
            stretches[-1].append(last)
        else:
            stretches.append([first, last])
    return [np.array(stretch, np.complex128) for stretch in stretches]


def _within(start: complex, end: complex, box: Box) -> tuple[complex, complex] | None:
    """Find the stretch of one straight line within the box, by the parameters at which it enters and leaves."""
    low, high = 0.0, 1.0
    way = end - start
    for at, step, near, far in ((start.real, way.real, box[0], box[2]), (start.imag, way.imag, box[1], box[3])):
        if step == 0.0:
            if not near <= at <= far:
                return None
            continue
        one, other = sorted(((near - at) / step, (far - at) / step))
        low, high = max(low, one), min(high, other)
    return (start + way * low, start + way * high) if low < high else None


def clip_shape(points: Complex, box: Box) -> Complex:
    """Clip a closed shape to the box, one side of the box after another; empty where nothing of it lies there."""
    left, top, right, bottom = box
    sides: tuple[Callable[[complex], float], ...] = (
        lambda at: at.real - left,
        lambda at: right - at.real,
        lambda at: at.imag - top,
        lambda at: bottom - at.imag,
    )
    around: list[complex] = points.tolist()
    for side in sides:
        kept: list[complex] = []
        for start, end in zip(around, around[1:] + around[:1], strict=True):
            one, other = side(start), side(end)
            if one >= 0:
                kept.append(start)
            if one * other < 0:
                kept.append(start + (end - start) * one / (one - other))
        around = kept
    return np.array(around, np.complex128)
