"""The layer ``measurements``: dimensions of a sleeve, named lengths of every piece, and what each opening gained."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.report import MeasurementRow, Opening, PieceRow
from svgfit.model.vocabulary import EdgeName, Figure, LandmarkName, MarkKind, PieceKind
from svgfit.render.annotate import svg_shapes
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.labels import Label, box_costs, boxes_around, crosses_box, extent, place, write
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import in_nest, size_lead
from svgfit.render.annotate.placement.occupancy import Field
from svgfit.render.annotate.scene import MEASUREMENTS, Scene
from svgfit.render.format_values import UNCHANGED, row_change, value_text
from svgfit.render.sleeve_points import sleeve_points

_HALF_CAPS = (Figure.CAP_LENGTH_FRONT, Figure.CAP_LENGTH_BACK)
_FRACTIONS = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)


class Drawing(Struct, frozen=True):
    """A field and the marks made so far: handed from step to step."""

    field: Field
    ink: tuple[Ink, ...] = ()

    def adding(self, field: Field, ink: Iterable[Ink]) -> Drawing:
        """Add marks, and take the field that holds them."""
        return Drawing(field, (*self.ink, *ink))


def words(name: str, row: MeasurementRow, units: Units, lead: str = "") -> tuple[str, ...]:
    """Write the lines of a label: name and figure, and what it was before it changed; ``lead`` goes before all."""
    name = f"{lead}{name}"
    value = row.after if row.after is not None else row.before
    if value is None:
        return (name,)
    first = f"{name} {value_text(value, row.unit, units)}"
    if row.before is None or row_change(row, units) in ("", UNCHANGED):
        return (first,)
    return first, f"was {value_text(row.before, row.unit, units)}"


def sleeve_dimensions(
    drawing: Drawing,
    piece: Piece,
    row: PieceRow | None,
    cut: Curve | None,
    style: PageStyle,
    *,
    lone: bool = True,
) -> Drawing:
    """Draw cap height beside the cap, bicep width under the bicep line; with the size where not ``lone``."""
    lead = size_lead(piece, alone=lone)
    points = sleeve_points(piece)
    if row is None or points is None:
        return drawing
    front, back, top, level = points.front, points.back, points.top, points.level
    figures = {figure.name: figure for figure in row.measurements}
    if Figure.CAP_HEIGHT in figures:
        label = words(Figure.CAP_HEIGHT, figures[Figure.CAP_HEIGHT], style.units, lead)
        box = (cut or piece.outline()).bounds()
        places = [
            [complex(side, level), complex(side, top.imag), complex(foot.real, level), top]
            for off in (9.0, 15.0, 22.0, 30.0)
            for foot, side in ((back, box[0] - off * style.scale), (front, box[2] + off * style.scale))
        ]
        inside = (top.real + 0.16 * (front.real - back.real), top.real - 0.16 * (front.real - back.real))
        places += [[complex(x, level), complex(x, top.imag), complex(x, level), top] for x in inside]
        drawing = _dimension(drawing, piece, places, label, style)
    if Figure.BICEP_WIDTH in figures:
        label = words(Figure.BICEP_WIDTH, figures[Figure.BICEP_WIDTH], style.units, lead)
        ends = [complex(back.real, level), complex(front.real, level)]
        places = [
            [*(end + 1j * down for end in ends), *ends]
            for down in (style.size * 3.2, style.size * 4.6, style.size * 6.5, style.size * 9)
        ]
        drawing = _dimension(drawing, piece, places, label, style)
    return drawing


def _dimension(
    drawing: Drawing,
    piece: Piece,
    places: Sequence[Sequence[complex]],
    label: tuple[str, ...],
    style: PageStyle,
) -> Drawing:
    """Draw a dimension at the best of several places (ends, and the points it measures; piece frame), with its text."""
    field, size, scale = drawing.field, style.size, style.scale
    mapped = [[piece.placement.apply(point) for point in four] for four in places]
    costs = [_line_cost(field, four, label, size) + 0.8 * rank for rank, four in enumerate(mapped)]
    start, end, *feet = mapped[costs.index(min(costs))]
    ink: list[Ink] = []
    lines = [(start, end)]
    for tip, foot in zip((start, end), feet, strict=True):
        reach = abs(tip - foot)
        if reach > 2 * scale:
            way = (tip - foot) / reach
            extension = (foot + way * 1.5 * scale, tip + way * 2.0 * scale)
            ink.append(svg_shapes.straight(MEASUREMENTS, "dimension", list(extension), scale * 0.7))
            lines.append(extension)
    text = Label(MEASUREMENTS, label, (start + end) / 2, -1j, size)
    centre, gap, _ = _text_on_line(field.with_lines(lines[1:]), start, end, text)
    ink.extend(svg_shapes.dimension_line(MEASUREMENTS, start, end, scale, gap))
    after = field.with_lines(lines)
    if centre is None:
        placed, more = place(after, text, scale)
        return drawing.adding(placed, [*ink, *more])
    width, height = extent(label, size)
    box = boxes_around(np.array([centre]), width, height, size * 0.3)[0].tolist()
    return drawing.adding(after.with_box(tuple(box)), [*ink, *write(text, centre, width, height)])


def _line_cost(field: Field, four: Sequence[complex], label: tuple[str, ...], size: float) -> float:
    """Weigh what a dimension line there would cross, and what its text would cover."""
    start, end = four[0], four[1]
    points = np.linspace(start, end, 80, dtype=np.complex128)
    cost = float(np.count_nonzero(field.at(points[4:-4])))
    for tip in (start, end):
        left, top, right, bottom = field.page
        cost += 0.0 if left + 2 < tip.real < right - 2 and top + 2 < tip.imag < bottom - 2 else 200.0
    if field.boxes:
        cost += 50.0 * float(np.count_nonzero(crosses_box(np.array([[start, end]]), np.array(field.boxes))))
    return cost + 0.4 * _text_on_line(field, start, end, Label(MEASUREMENTS, label, start, -1j, size))[2]


def _text_on_line(
    field: Field, start: complex, end: complex, label: Label
) -> tuple[complex | None, tuple[float, float] | None, float]:
    """Find where along a dimension line its text stands, its gap, and the cost; None where the line is too short."""
    long = abs(end - start)
    way = (end - start) / long
    width, height = extent(label.lines, label.size)
    chord = min(width / max(abs(way.real), 1e-9), height / max(abs(way.imag), 1e-9)) + label.size * 0.9
    room = chord + 2.6 * svg_shapes.HEAD
    if room > long:
        return None, None, 0.0
    at = np.array([t for t in _FRACTIONS if abs(t - 0.5) * long <= (long - room) / 2])
    centres = start + (end - start) * at
    cost = box_costs(field, boxes_around(centres, width, height, label.size * 0.3)) + np.abs(at - 0.5) * 10
    best = int(np.argmin(np.round(cost, 6)))
    middle = float(at[best]) * long
    return complex(centres[best]), (middle - chord / 2, middle + chord / 2), float(cost[best])


def cap_dimensions(
    drawing: Drawing, piece: Piece, row: PieceRow | None, style: PageStyle, *, lone: bool = True
) -> tuple[Drawing, tuple[Label, ...]]:
    """Draw curved dimension lines outside the cap, front and back, and give their labels, which are to be placed.

    A half without one gets a label at the seam itself: where it is too hollow for a parallel, where there is no room on
    the page, and where the piece is not ``lone`` but one of a nest, among whose lines a parallel would be lost.
    """
    size = style.size
    labels: list[Label] = []
    if row is None:
        return drawing, ()
    for figure in row.measurements:
        stretch = _half_cap(piece, front=figure.name.endswith("front")) if figure.name in _HALF_CAPS else None
        if stretch is None:
            continue
        allowance = piece.edge(EdgeName.CAP).allowance or 0.0
        page = drawing.field.page
        tries = (_offset_outwards(stretch, piece, allowance + size * gap, page) for gap in (1.5, 1.0, 2.2))
        around = next((found for found in tries if found is not None), None) if lone else None
        at, out = _middle(stretch, piece)
        if around is not None:
            points: list[complex] = piece.placement.apply(around).tolist()
            thin = [*points[:-1:8], points[-1]]
            drawing = drawing.adding(drawing.field.with_lines(pairwise(thin)), _curved(points, size * 0.8, style.scale))
            at = complex(around[int(np.argmin(np.abs(around - (at + out * (allowance + size * 1.5)))))])
        anchor, towards = piece.placement.apply(at), piece.placement.apply_vector(out)
        lead = size_lead(piece, alone=lone)
        labels.append(
            Label(MEASUREMENTS, words(figure.name, figure, style.units, lead), anchor, towards, size, of=piece)
        )
    return drawing, tuple(labels)


def _offset_outwards(stretch: Curve, piece: Piece, away: float, page: Box) -> Complex | None:
    """Offset a stretch of the outline outwards, as points; None where they would leave the page.

    Where a hollow is tighter than the distance, the parallel runs back there: what comes nearer to the stretch than
    the distance is left out. None also where little is left.
    """
    t = np.linspace(0, len(stretch), 40 * len(stretch) + 1)
    points = stretch.points(t)
    ways = stretch.tangents(t)
    around: Complex = points - 1j * ways * math.copysign(away, piece.outline().area())
    forwards = np.real(np.conjugate(ways[:-1] + ways[1:]) * np.diff(around))
    if not (forwards > 0).all():
        clear = np.abs(around[:, None] - points[None, :]).min(axis=1) > away * 0.99
        if np.count_nonzero(clear) < 0.6 * len(around):
            return None
        around = around[clear]
    seen: Complex = piece.placement.apply(around)
    held = seen.real.min() > page[0] and seen.imag.min() > page[1]
    held = held and seen.real.max() < page[2] and seen.imag.max() < page[3]
    return around if held else None


def _curved(points: Sequence[complex], tick: float, scale: float) -> tuple[Ink, ...]:
    """Draw a dimension line along points, with heads and a short stroke across each end."""
    ink = [svg_shapes.straight(MEASUREMENTS, "dimension", points, scale)]
    for row in (points, points[::-1]):
        tip = row[0]
        inner = next((point for point in row if abs(point - tip) > 1e-6), None)
        if inner is None:
            continue
        way = (tip - inner) / abs(tip - inner)
        ink.append(svg_shapes.head(MEASUREMENTS, "dimension", tip, way, scale))
        across = [tip - 1j * way * tick, tip + 1j * way * tick]
        ink.append(svg_shapes.straight(MEASUREMENTS, "dimension", across, scale * 0.7))
    return tuple(ink)


def edge_labels(piece: Piece, row: PieceRow | None, style: PageStyle, *, lone: bool = True) -> tuple[Label, ...]:
    """Label each edge whose length was measured, outside it (for the cap see ``cap_dimensions``)."""
    if row is None:
        return ()
    found: list[Label] = []
    for figure in row.measurements:
        stretch = _stretch(piece, figure.name)
        if stretch is not None:
            at, out = _middle(stretch, piece)
            anchor, towards = piece.placement.apply(at), piece.placement.apply_vector(out)
            lines = words(figure.name, figure, style.units, size_lead(piece, alone=lone))
            found.append(Label(MEASUREMENTS, lines, anchor, towards, style.size, of=piece))
    return tuple(found)


def opening_labels(scene: Scene, piece: Piece, style: PageStyle) -> tuple[Label, ...]:
    """Label what each opening was spread by, and what the seam gained."""
    found: list[Label] = []
    for opening in scene.openings:
        if opening.piece in (piece.title, piece.name) and piece.has_edge(opening.edge):
            at = opening.trued.point(len(opening.trued) / 2)
            _, out = _middle(opening.trued, piece)
            anchor, towards = piece.placement.apply(at), piece.placement.apply_vector(out)
            moved, gain = _opening_words(opening, style.units)
            lead = size_lead(piece, alone=not in_nest(piece, scene.after))
            lines = (f"{lead}{moved}", gain)
            found.append(Label(MEASUREMENTS, lines, anchor, towards, style.size, dot=False, of=piece))
    return tuple(found)


def _opening_words(opening: Opening, units: Units) -> tuple[str, str]:
    moved = "overlap" if opening.width < 0 else "opening"
    gain = "gains" if opening.gain >= 0 else "loses"
    return (
        f"{moved} {units.length(abs(opening.width))}",
        f"{opening.edge} {gain} {units.length(abs(opening.gain))}",
    )


def _stretch(piece: Piece, name: str) -> Curve | None:
    """Find the part of the outline that a measurement speaks of, or None."""
    if piece.kind == PieceKind.SLEEVE:
        if name.startswith("underarm seam ") and piece.has_edge(name.replace("seam ", "")):
            return piece.edge(name.replace("seam ", "")).curve
        return None
    for edge in piece.edges:
        if name in (edge.name, f"{edge.name} length"):
            return edge.curve
    return None


def _half_cap(piece: Piece, *, front: bool) -> Curve | None:
    """Cut the cap from an underarm point to the shoulder notch, or to the cap top where there is none."""
    if not piece.has_edge(EdgeName.CAP):
        return None
    cap = piece.edge(EdgeName.CAP)
    mark = next((mark.at for mark in piece.marks if mark.kind == MarkKind.SHOULDER_NOTCH), None)
    middle = mark if mark is not None else piece.find_landmark(LandmarkName.CAP_TOP)
    if middle is None:
        return None
    t, _ = cap.curve.nearest(middle)
    if not 0 < t < len(cap.curve):
        return None
    first, second = cap.curve.split(t)
    return second if cap.backwards == front else first


def _middle(stretch: Curve, piece: Piece) -> tuple[complex, complex]:
    """Find a point halfway along a stretch of the outline, and the way out of the piece there (piece frame)."""
    t = np.linspace(0, len(stretch), 12 * len(stretch) + 1)
    points: Complex = stretch.points(t)
    along: Real = np.cumsum(np.abs(np.diff(points)))
    k = 1 + min(int(np.searchsorted(along, float(along[-1]) / 2)), len(along) - 1)
    way = complex(points[k] - points[k - 1])
    way = way / abs(way) if way else 1 + 0j
    return complex(points[k]), -1j * way * math.copysign(1.0, piece.outline().area())
