"""A small picture of pieces: a view of their frame, what is drawn in it, and words placed where they cover nothing.

Millimetres on paper; a picture is a value, every verb gives a new one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box, box_around, box_holds
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import enclosed
from svgfit.geometry.raster import runs, sample
from svgfit.model.line_kind import BLACK, WHITE
from svgfit.model.piece import Piece
from svgfit.render.annotate.block import document
from svgfit.render.annotate.labels import Label, boxes_around, extent, place, write
from svgfit.render.annotate.line_kinds import fill_style
from svgfit.render.annotate.placement.occupancy import make_field
from svgfit.render.pdf.pen import DARK, Pen, pen_of, style
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
    """A picture as a template shows it."""

    svg: str
    width: float
    """On the page, mm."""
    used: tuple[str | Pen, ...] = ()
    """Pens used, for the legend."""


class Drawn(Struct, frozen=True):
    """A finished picture: an SVG of that size in mm."""

    svg: str
    width: float
    height: float
    shift: complex
    """By how much what was drawn lies farther in, since words reach beyond the frame."""
    words: tuple[Box, ...]
    """Where words stand, before they were shifted."""


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
    fixed: tuple[Label, ...] = ()
    """Words that stand where their anchor is."""
    used: tuple[str | Pen, ...] = ()
    """Pens used, for the legend."""

    @property
    def frame(self) -> Box:
        """The box within which is drawn."""
        return (0.0, 0.0, self.width, self.height)

    @property
    def factor(self) -> float:
        """Millimetres on paper for a millimetre of the piece."""
        return self.view.size

    def holds(self, at: complex) -> bool:
        """Tell whether a point of the piece's frame lies in the picture."""
        return box_holds(self.frame, self.view.apply(at))

    # -- lines and shapes ----------------------------------------------------------------------------------------------

    def curve(self, pen: str | Pen, *curves: Curve) -> Picture:
        """Draw curves of the piece's frame."""
        return self.points(pen, *(self._spots(curve) for curve in curves))

    def line(self, pen: str, *ends: complex) -> Picture:
        """Draw a polyline between points of the piece's frame."""
        return self.points(pen, np.array([self.view.apply(end) for end in ends], np.complex128))

    def points(self, pen: str | Pen, *lines: Complex) -> Picture:
        """Draw polylines on paper; what lies outside the frame is left out."""
        inside = [part for line in lines for part in clip_line(line, self.frame)]
        return self._inked(_path(style(pen_of(pen)), *inside), lines=inside, pen=pen) if inside else self

    def shape(self, pen: str, around: Curve) -> Picture:
        """Fill a closed curve of the piece's frame: ``shade`` or ``dark``."""
        inside = clip_shape(self._spots(around), self.frame)
        return self._filled(pen, _path(fill_style(pen_of(pen).fill), inside, close=True)) if len(inside) else self

    def overlap(self, one: Curve, other: Curve) -> Picture:
        """Fill dark where two closed curves of the piece's frame cover each other."""
        first, second = (clip_shape(self._spots(each), self.frame) for each in (one, other))
        if not len(first) or not len(second):
            return self
        name = f"c{len(self.shapes)}"
        clip = element("clipPath", [("id", name)], _path("", first, close=True))
        look = f"{fill_style(DARK)};clip-path:url(#{name})"
        return self._filled("dark", clip, _path(look, second, close=True))

    def framed(self) -> Picture:
        """Draw a thin frame round a close-up."""
        right, bottom = self.width - 0.1, self.height - 0.1
        around = [0.1 + 0.1j, complex(right, 0.1), complex(right, bottom), complex(0.1, bottom), 0.1 + 0.1j]
        return self.points("detail", np.array(around, np.complex128))

    def _spots(self, curve: Curve) -> Complex:
        """Sample a curve of the piece's frame, on paper."""
        return sample(curve.transform(self.view).segments, _STEP)

    def _inked(self, *drawn: Node, lines: Sequence[Complex], pen: str | Pen | None = None) -> Picture:
        used = self.used if pen is None else (*self.used, pen)
        return replace(self, ink=(*self.ink, *drawn), lines=(*self.lines, *lines), used=used)

    def _filled(self, pen: str, *drawn: Node) -> Picture:
        return replace(self, shapes=(*self.shapes, *drawn), used=(*self.used, pen))

    # -- signs ---------------------------------------------------------------------------------------------------------

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
        ends = [(tip, way), (tail, -way)] if both else [(tip, way)]
        heads = [_head(at, on, head) for at, on in ends if box_holds(self.frame, at)]
        return drawn._inked(*heads, lines=(), pen=pen)

    def arrows(self, curves: Iterable[Curve]) -> Picture:
        """Draw the ways that points go."""
        drawn = self
        for curve in curves:
            drawn = drawn.arrow(curve.start, curve.end)
        return drawn

    def scissors(self, at: complex, towards: complex) -> Picture:
        """Draw scissors that come from outside to a point of the piece's frame, cutting ``towards``."""
        spot, way = self.view.apply(at), _unit(self.view.apply_vector(towards))
        lines = [spot + way * SCISSORS * line for line in _SCISSORS]
        return self._inked(_path(style(pen_of("hinge"), WHITE), *lines), lines=lines)

    def ring(self, at: complex) -> Picture:
        """Draw a hinge."""
        if not self.holds(at):
            return self
        spot = self.view.apply(at)
        place = [("cx", number(spot.real, ROUGH)), ("cy", number(spot.imag, ROUGH))]
        outer = element("circle", [*place, ("r", "1.5"), ("style", style(pen_of("hinge"), WHITE))])
        inner = element("circle", [*place, ("r", "0.45"), ("style", fill_style(BLACK))])
        return self._inked(outer, inner, lines=[spot + 1.5 * _ROUND], pen="hinge")

    def tape(self, first: complex, second: complex, along: complex) -> Picture:
        """Draw tape over a cut, square to it: between points of the piece's frame, the cut running ``along``."""
        one, other = self.view.apply(first), self.view.apply(second)
        way = 1.5 * _unit(self.view.apply_vector(along))
        square = 1j * _unit(way)
        reach = square * (abs(((other - one) * square.conjugate()).real) / 2 + 2.4)
        middle = (one + other) / 2
        corners = [middle - reach - way, middle + reach - way, middle + reach + way, middle - reach + way]
        if not all(box_holds(self.frame, at) for at in corners):
            return self
        around = np.array([*corners, corners[0]], np.complex128)
        look = f"{style(pen_of('tape'), WHITE)};fill-opacity:0.85"
        return self._inked(_path(look, around, close=True), lines=[around], pen="tape")

    # -- words ---------------------------------------------------------------------------------------------------------

    def label(self, words: Sequence[str], at: complex, towards: complex, *, leader: bool = True) -> Picture:
        """Add words that belong to a point of the piece's frame; they'd best lie ``towards`` (a direction there)."""
        if not self.holds(at):
            return self
        made = _label(words, self.view.apply(at), self.view.apply_vector(towards), leader=leader)
        return replace(self, labels=(*self.labels, made))

    def dimension(
        self, start: complex, end: complex, words: Sequence[str], towards: complex, share: float = 0.5
    ) -> Picture:
        """Draw a figure between two points of the piece's frame; its words at a ``share`` of the way."""
        drawn = self.arrow(start, end, "dimension", both=True)
        return drawn.label(words, start + (end - start) * share, towards)

    def word_inside(self, word: str, around: Curve) -> Picture:
        """Write a word in a closed curve of the piece's frame, where it has most room; beside it where it has none."""
        edge = around.transform(self.view)
        spot, room = roomiest(edge.points(np.arange(len(edge), dtype=np.float64)), self.lines, self.frame)
        made = _label((word,), spot, -1j, dot=True)
        if room > extent((word,), PICTURE_ON_PAPER)[0] * 0.58:
            return replace(self, fixed=(*self.fixed, made))
        return replace(self, labels=(*self.labels, made))

    def drawn(self) -> Drawn:
        """Finish the picture, its words placed; larger than its frame where words reach beyond that."""
        curves = [Curve.polyline(line.tolist()) for line in self.lines if len(line) > 1]
        field = make_field(self.frame, curves, [], [], 0.0)
        written: list[Node] = []
        for label in self.fixed:
            width, height = extent(label.lines, label.size)
            left, top, right, bottom = boxes_around(np.array([label.anchor]), width, height, label.size * 0.3)[0]
            field = field.with_box((float(left), float(top), float(right), float(bottom)))
            written += [node for mark in write(label, label.anchor, width, height) for node in mark.nodes]
        for label in self.labels:
            field, marks = place(field, label, 0.8)
            written += [node for mark in marks for node in mark.nodes]
        left, top, right, bottom = box_around([self.frame, *field.boxes])
        move = f"translate({number(-left, ROUGH)} {number(-top, ROUGH)})"
        body = element("g", [("transform", move)], *self.shapes, *self.ink, *written)
        width, height = right - left, bottom - top
        return Drawn(document([body], width, height), width, height, complex(-left, -top), tuple(field.boxes))

    def shown(self, most: float | None = None) -> Image:
        """Finish the picture for a page: as wide as it is, or at most so many mm wide."""
        drawn = self.drawn()
        return Image(drawn.svg, drawn.width if most is None else min(drawn.width, most), self.used)


def _label(words: Sequence[str], at: complex, way: complex, *, leader: bool = True, dot: bool = False) -> Label:
    return Label("", tuple(words), at, way, PICTURE_ON_PAPER, leader=leader, dot=dot, halo=False)


def _path(look: str, *lines: Complex, close: bool = False) -> Node:
    return element("path", [("d", line_data(*(line.tolist() for line in lines), close=close)), ("style", look or None)])


def _head(tip: complex, way: complex, size: float) -> Node:
    side, back = 1j * way * size * 0.32, tip - way * size
    return _path(fill_style(BLACK), np.array([tip, back + side, back - side]), close=True)


def _unit(way: complex) -> complex:
    return way / abs(way)


def roomiest(around: Complex, lines: Sequence[Complex], frame: Box) -> tuple[complex, float]:
    """Find the point in a closed row of points and the frame that is farthest from all lines, and how far it is."""
    xs = np.linspace(max(frame[0], float(around.real.min())), min(frame[2], float(around.real.max())), 34)[1:-1]
    ys = np.linspace(max(frame[1], float(around.imag.min())), min(frame[3], float(around.imag.max())), 34)[1:-1]
    spots = (xs[None, :] + 1j * ys[:, None]).ravel()
    inside = spots[enclosed(spots, around)]
    if not len(inside):
        return complex(around.mean()), 0.0
    drawn = [sample(Curve.polyline(line.tolist()).segments, 1.0) for line in lines or [around]]
    away = np.abs(inside[:, None] - np.concatenate(drawn)[None, :]).min(axis=1)
    for at, low, high, share in ((inside.real, frame[0], frame[2], 1.0), (inside.imag, frame[1], frame[3], 2.5)):
        away = np.minimum(away, share * np.minimum(at - low, high - at))
    best = int(np.argmax(away))
    return complex(inside[best]), float(away[best])


# -- views -------------------------------------------------------------------------------------------------------------


def looking_at(boxes: Iterable[Box], piece: Piece, width: float, most: float) -> Picture:
    """Open an empty picture ``width`` mm wide on boxes of a piece's frame, with air for words round them.

    At most ``most`` mm high, then less wide a part of it is used. Never larger than the piece itself.
    """
    box = box_around(boxes)
    air = PICTURE_ON_PAPER * 2.2
    across, down = max(box[2] - box[0], 1e-6), max(box[3] - box[1], 1e-6)
    factor = min((width - 2 * air) / across, (most - 2 * air) / down, 1.0)
    return view_of(piece, box, factor, (width, min(down * factor + 2 * air, most)))


def view_of(piece: Piece, box: Box, factor: float, size: tuple[float, float]) -> Picture:
    """Open an empty picture of (width, height) mm with a box of a piece's frame in its middle.

    Left and right change places where they do on the person's own page.
    """
    sign = -1.0 if piece.placement.mirrors else 1.0
    middle = complex((box[0] + box[2]) / 2 * sign, (box[1] + box[3]) / 2)
    shift = Affine.shift(complex(*size) / 2 - middle * factor)
    return Picture(Affine.scale(sign * factor, factor).then(shift), *size)


# -- clipped to a box --------------------------------------------------------------------------------------------------


def clip_line(points: Complex, box: Box) -> list[Complex]:
    """Clip a polyline to the box (left, top, right, bottom), into as many stretches as lie in it.

    Where it is cut, its end lies on the box, to within ``_STEP`` mm of where the line crosses that.
    """
    if bool((_held(points, box) == points).all()):
        return [points]
    dense = sample(Curve.polyline(points.tolist()).segments, _STEP)
    held = _held(dense, box)
    return [held[max(first - 1, 0) : last + 1] for first, last in runs(held == dense)]


def clip_shape(points: Complex, box: Box) -> Complex:
    """Clip a closed shape to the box; empty where nothing of it lies there.

    Each point outside is moved straight to the nearest on the box. On its way it never passes within, so the shape
    winds round every place within as often as before.
    """
    held = _held(points, box)
    area = np.vdot(held, np.roll(held, -1)).imag / 2
    return held if abs(area) > 1e-3 else held[:0]


def _held(points: Complex, box: Box) -> Complex:
    """Move points outside a box to the nearest on it."""
    held: Complex = np.clip(points.real, box[0], box[2]) + 1j * np.clip(points.imag, box[1], box[3])
    return held
