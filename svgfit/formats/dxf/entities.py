"""Entities as lines, points and texts. Lengths in the file's unit, y up; angles in the file are degrees, anticlockwise.

Groups of each entity: "DXF Reference", chapter "ENTITIES section"; from memory.
"""

from __future__ import annotations

import cmath
import math
import re

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.dxf.document import Entity
from svgfit.formats.dxf.looks import Look
from svgfit.formats.dxf.splines import bezier_spans, through_points, without_repeats
from svgfit.formats.dxf.tags import damaged, plain_text
from svgfit.geometry.affine import Affine
from svgfit.geometry.arcs import unit_arc
from svgfit.geometry.bezier import Complex

_ARC_ACCURACY = 1e-6
"""Of a radius, by which a cubic may lie off an arc: 1 µm of 1 m."""
_SPLINE_FRAME, _FITTED = 16, 8
_MESHES = 16 | 64
_FORMATTING = re.compile(r"\\[ACFHQTWacfhqtw][^;\\]*;|\\[LlOoKk]|[{}]")


class Line(Struct, frozen=True, eq=False):
    """A drawn line as a chain of cubics, shape (n, 4)."""

    layer: str
    cubics: Complex
    closed: bool
    vertices: bool = False
    """Whether it is straight from node to node, as a polyline is, so that its nodes may be points of a curve."""
    look: Look = Look()

    @property
    def nodes(self) -> Complex:
        """The ends of its cubics in order; of a closed line the first is not repeated."""
        return self.cubics[:, 0] if self.closed else np.append(self.cubics[:, 0], self.cubics[-1, 3])


class Point(Struct, frozen=True):
    """A point on a layer."""

    layer: str
    at: complex


class Writing(Struct, frozen=True):
    """A line of text: where its baseline starts, the direction in which it reads, the height of capitals."""

    layer: str
    content: str
    at: complex
    direction: complex
    height: float


Drawn = Line | Point | Writing


def drawn(entity: Entity, layer: str) -> list[Drawn] | None:
    """Read one entity; [] where it draws nothing, None where its kind is not known.

    Raises Refusal with the line where it is damaged.
    """
    read = _READERS.get(entity.kind)
    if read is None:
        return None
    return read(entity, layer)


def moved(thing: Drawn, motion: Affine) -> Drawn:
    """Apply a motion."""
    if isinstance(thing, Line):
        dash = tuple(part * motion.size for part in thing.look.dash)
        return replace(thing, cubics=motion.apply(thing.cubics), look=replace(thing.look, dash=dash))
    if isinstance(thing, Point):
        return Point(thing.layer, motion.apply(thing.at))
    way = motion.apply(thing.direction) - motion.apply(0j)
    size = math.sqrt(abs(motion.a * motion.d - motion.b * motion.c))
    unit = way / abs(way) if way else 1 + 0j
    return Writing(thing.layer, thing.content, motion.apply(thing.at), unit, thing.height * size)


def own_frame(entity: Entity) -> Affine:
    """Return the frame that an entity's points are in: seen from below, x runs to the left ("arbitrary axis")."""
    x, y, z = entity.number(210, 0.0), entity.number(220, 0.0), entity.number(230, 1.0)
    if abs(x) > 1e-6 * abs(z) or abs(y) > 1e-6 * abs(z):
        raise damaged(entity.where, entity.line, f"a {entity.kind} does not lie flat")
    return Affine.scale(-1.0, 1.0) if z < 0 else Affine()


def _line(entity: Entity, layer: str) -> list[Drawn]:
    return _polyline(layer, [entity.point(10), entity.point(11)], False)


def _polyline(layer: str, points: list[complex], closed: bool, bulges: list[float] | None = None) -> list[Drawn]:
    """Join points; a bulge is the tangent of a quarter of the arc's angle, anticlockwise positive."""
    bulges = bulges or [0.0] * len(points)
    if closed:
        points, bulges = [*points, points[0]], [*bulges, 0.0]
    controls: list[complex] = [points[0]] if points else []
    for start, end, bulge in zip(points, points[1:], bulges, strict=False):
        if start != end:
            controls += _bulged(start, end, bulge)
    if len(controls) < 4:
        return []
    return [Line(layer, chain(controls), closed or points[0] == points[-1], vertices=not any(bulges))]


def chain(controls: list[complex]) -> Complex:
    """Put control points, the first and then three a cubic, in shape (n, 4)."""
    flat = np.array(controls, dtype=np.complex128)
    return np.column_stack([flat[0:-1:3], flat[1::3], flat[2::3], flat[3::3]])


def _bulged(start: complex, end: complex, bulge: float) -> list[complex]:
    if abs(bulge) < 1e-9:
        return [start + (end - start) / 3, end - (end - start) / 3, end]
    # The centre lies off the chord's middle by (1 − b²)/(4b) chords, to the left for b > 0 (b = tan of angle/4).
    centre = (start + end) / 2 + (end - start) * 1j * (1 - bulge * bulge) / (4 * bulge)
    return [*_arc_points(centre, start, 4 * math.atan(bulge))[:-1], end]


def _arc_points(centre: complex, start: complex, sweep: float) -> list[complex]:
    """Draw an arc from ``start``: control points behind it."""
    radius = start - centre
    unit = radius / abs(radius)
    return [centre + abs(radius) * point for point in unit_arc(unit, sweep, _ARC_ACCURACY)]


def _heavy_polyline(entity: Entity, layer: str) -> list[Drawn]:
    flags = entity.whole(70)
    if flags & _MESHES:
        return []
    corners = [part for part in entity.parts if not part.whole(70) & _SPLINE_FRAME]
    points = [part.point() for part in corners]
    bulges = [part.number(42, 0.0) for part in corners]
    flat = Affine() if flags & _FITTED else own_frame(entity)  # 8: a 3D polyline, in the world's frame
    return [moved(line, flat) for line in _polyline(layer, points, bool(flags & 1), bulges)]


def _light_polyline(entity: Entity, layer: str) -> list[Drawn]:
    points: list[complex] = []
    bulges: list[float] = []
    for tag in entity.tags:
        if tag.code == 10:
            points.append(complex(_value(entity, tag.value), math.nan))
            bulges.append(0.0)
        elif tag.code == 20 and points:
            points[-1] = complex(points[-1].real, _value(entity, tag.value))
        elif tag.code == 42 and bulges:
            bulges[-1] = _value(entity, tag.value)
    if any(cmath.isnan(point) for point in points):
        raise damaged(entity.where, entity.line, "a vertex of an LWPOLYLINE has no y")
    return [moved(line, own_frame(entity)) for line in _polyline(layer, points, bool(entity.whole(70) & 1), bulges)]


def _value(entity: Entity, text: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = math.inf
    if not abs(found) < 1e15:
        raise damaged(entity.where, entity.line, f"an {entity.kind} has a number that is none")
    return found


def _circle(entity: Entity, layer: str) -> list[Drawn]:
    return _round(entity, layer, 0.0, 2 * math.pi, True)


def _arc(entity: Entity, layer: str) -> list[Drawn]:
    first, last = math.radians(entity.number(50)), math.radians(entity.number(51))
    sweep = (last - first) % (2 * math.pi)
    return _round(entity, layer, first, sweep or 2 * math.pi, sweep == 0)


def _round(entity: Entity, layer: str, first: float, sweep: float, closed: bool) -> list[Drawn]:
    centre, radius = entity.point(), abs(entity.number(40))
    if radius == 0:
        return []
    start = centre + cmath.rect(radius, first)
    points = [start, *_arc_points(centre, start, sweep)]
    if closed:
        points[-1] = start
    return [moved(Line(layer, chain(points), closed), own_frame(entity))]


def _ellipse(entity: Entity, layer: str) -> list[Drawn]:
    centre, major, ratio = entity.point(), entity.point(11), entity.number(40)
    first, last = entity.number(41, 0.0), entity.number(42, 2 * math.pi)
    sweep = (last - first) % (2 * math.pi) or 2 * math.pi
    if major == 0:
        return []
    side = major * 1j * ratio * (-1 if entity.number(230, 1.0) < 0 else 1)
    unit = cmath.rect(1, first)
    around = [unit, *unit_arc(unit, sweep, _ARC_ACCURACY)]
    closed = sweep == 2 * math.pi
    points = [centre + major * point.real + side * point.imag for point in around]
    if closed:
        points[-1] = points[0]
    return [Line(layer, chain(points), closed)]


def _spline(entity: Entity, layer: str) -> list[Drawn]:
    closed = bool(entity.whole(70) & 1)
    controls, fits = entity.points(10), without_repeats(entity.points(11))
    if len(controls) >= 2:
        degree, knots, weights = entity.whole(71, 3), entity.numbers(40), entity.numbers(41)
        if not 1 <= degree <= 9 or len(knots) != len(controls) + degree + 1 or len(weights) not in (0, len(controls)):
            raise damaged(entity.where, entity.line, "a SPLINE's knots, weights and points don't go together")
        if not all(weight > 0 for weight in weights):
            raise damaged(entity.where, entity.line, "a SPLINE has a weight that is not above 0")
        cubics = bezier_spans(degree, np.array(knots), np.array(controls), np.array(weights or [1.0] * len(controls)))
    elif len(fits) >= 2:
        cubics = through_points(np.array(fits), closed)
    else:
        return []
    if cubics is None:
        raise damaged(entity.where, entity.line, "a SPLINE's knots don't go up")
    return [Line(layer, cubics, closed or abs(cubics[-1, 3] - cubics[0, 0]) < 1e-9)]


def _point(entity: Entity, layer: str) -> list[Drawn]:
    return [Point(layer, entity.point())]


def _text(entity: Entity, layer: str) -> list[Drawn]:
    content = plain_text(entity.text(1))
    if not content:
        return []
    aligned = entity.whole(72) or entity.whole(73)
    at = entity.point(11) if aligned and entity.text(11) and entity.text(21) else entity.point()
    way = cmath.rect(1, math.radians(entity.number(50, 0.0)))
    return [moved(Writing(layer, content, at, way, abs(entity.number(40, 1.0))), own_frame(entity))]


def _paragraph(entity: Entity, layer: str) -> list[Drawn]:
    content = "".join(tag.value for tag in entity.tags if tag.code == 3) + entity.text(1)
    at, height = entity.point(), abs(entity.number(40, 1.0))
    way = entity.point(11) if entity.text(11) else cmath.rect(1, math.radians(entity.number(50, 0.0)))
    unit = way / abs(way) if way else 1 + 0j
    lines = [plain_text(_FORMATTING.sub("", line)) for line in re.split(r"\\P|\^J", content)]
    return [
        Writing(layer, line, at - unit * 1j * height * (1 + 1.6 * row), unit, height)
        for row, line in enumerate(lines)
        if line
    ]


def _nothing(entity: Entity, layer: str) -> list[Drawn]:
    return []


_READERS = {
    "LINE": _line,
    "POLYLINE": _heavy_polyline,
    "LWPOLYLINE": _light_polyline,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "POINT": _point,
    "TEXT": _text,
    "ATTRIB": _text,
    "MTEXT": _paragraph,
    "ATTDEF": _nothing,
    "VIEWPORT": _nothing,
    "DIMENSION": _nothing,
}
