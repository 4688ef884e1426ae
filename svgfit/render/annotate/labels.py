"""Labels: a few short lines of writing beside what they speak of, never on one another, on a seam or on a dimension.

Candidates lie round the anchor in rings; each is judged by what it covers, how far away it is, and what its leader
crosses; the cheapest is taken, the first of equals. Everything in page millimetres.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import Box
from svgfit.model.piece import Piece
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.line_kinds import fill_style, kind_of, stroke_style
from svgfit.render.annotate.placement.occupancy import Field
from svgfit.render.text_metrics import ASCENT, DESCENT, LINE, letters, text_width
from svgfit.svg.markup import ROUGH, element, line_data, number

_TURNS = tuple(math.radians(degrees) for degrees in (0, 20, -20, 40, -40, 65, -65, 90, -90, 125, -125, 180))
_GAPS = (0.5, 1.1, 1.8, 2.6, 3.6, 5.0, 7.0, 9.5, 13.0, 18.0)
"""From anchor to box, in font sizes."""
_ON_BOX, _ON_LINE, _OFF_PAGE, _ON_DRAWN, _LEADER_BOX, _LEADER_LINE, _LEADER_DRAWN = 900, 500, 300, 400, 250, 18, 0.8
_MOST_LINES = 400
_AIR = 0.5
"""More air over and under a label than its box has, towards other boxes, in font sizes."""
_STEEP, _SHALLOW = 0.6, 16.0
"""Sine of the angle under which a leader should at least meet its line, and what a leader along the line costs."""
_OFF_ANCHOR = 1.5
"""So far from its anchor (mm) a leader may cross what it points at."""


class Label(Struct, frozen=True):
    """What to write and where it belongs."""

    layer: str
    lines: tuple[str, ...]
    anchor: complex
    towards: complex
    """Where it would best lie, seen from the anchor."""
    size: float
    leader: bool = True
    """Whether it may stand off, with a line back to its anchor."""
    dot: bool = True
    """Whether the leader ends in a dot; not on what is itself small."""
    of: Piece | None = None
    """The piece that it speaks of."""
    halo: bool = True
    """Whether it is outlined in white, for what lies beneath."""


def extent(lines: Sequence[str], size: float) -> tuple[float, float]:
    """Measure width and height in mm of lines of writing."""
    width = max(text_width(line, size) for line in lines)
    return width, size * ((len(lines) - 1) * LINE + ASCENT + DESCENT)


def place(field: Field, label: Label, scale: float) -> tuple[Field, tuple[Ink, ...]]:
    """Write a label at its best place, and give the field with it."""
    width, height = extent(label.lines, label.size)
    centres, gaps, swing = _candidates(label, width, height, field.cell)
    boxes = boxes_around(centres, width, height, label.size * 0.3)
    cost = gaps * (1.0 if label.leader else 3.0) + swing * 1.6 + box_costs(field, boxes, label.size * _AIR)
    feet = _feet(label.anchor, centres, width + label.size * 0.5, height + label.size * 0.3, label.size)
    if label.leader:
        cost = cost + _leader_costs(field, label.anchor, feet) + np.where(gaps > _GAPS[0], _shallow(label, feet), 0.0)
    best = int(np.argmin(np.round(cost, 6)))
    centre, box = complex(centres[best]), _box(boxes[best])
    ink = list(write(label, centre, width, height))
    after = field.with_box(box)
    if label.leader and gaps[best] > _GAPS[0]:
        foot = complex(feet[best])
        after = after.with_lines([(label.anchor, foot)])
        ink = [*leader(label.layer, label.anchor, foot, scale, dot=label.dot), *ink]
    return after, tuple(ink)


def write(label: Label, centre: complex, width: float, height: float) -> tuple[Ink, ...]:
    """Write the lines of a label, centred."""
    baseline = centre - 1j * height / 2 + 1j * label.size * ASCENT
    return tuple(
        Ink(
            label.layer,
            letters(
                line,
                baseline + 1j * k * LINE * label.size,
                label.size,
                anchor="middle",
                halo=label.halo,
            ),
        )
        for k, line in enumerate(label.lines)
    )


def leader(layer: str, anchor: complex, foot: complex, scale: float, *, dot: bool = True) -> tuple[Ink, ...]:
    """Draw a thin line from a label to what it speaks of, with a dot there."""
    line = element("path", [("d", line_data((anchor, foot))), ("style", stroke_style(kind_of("leader"), scale))])
    if not dot:
        return (Ink(layer, (line,), "leader"),)
    spot = element(
        "circle",
        [
            ("cx", number(anchor.real, ROUGH)),
            ("cy", number(anchor.imag, ROUGH)),
            ("r", number(0.75 * scale, ROUGH)),
            ("style", fill_style(kind_of("leader").colour)),
        ],
    )
    return (Ink(layer, (line, spot), "leader"),)


def boxes_around(centres: Complex, width: float, height: float, pad: float) -> Real:
    """Put a box (n, 4) about each centre."""
    half = np.array([-(width / 2 + pad), -(height / 2 + pad), width / 2 + pad, height / 2 + pad])
    return np.stack([centres.real, centres.imag, centres.real, centres.imag], axis=1) + half


def box_costs(field: Field, boxes: Real, air: float = 0.0) -> Real:
    """Weigh what each box would cover: other labels, dimension lines, anything drawn, the world beyond the page.

    ``air`` mm over and under it must be free of other labels.
    """
    left, top, right, bottom = field.page
    out = np.maximum(left - boxes[:, 0], 0) + np.maximum(boxes[:, 2] - right, 0)
    out += np.maximum(top - boxes[:, 1], 0) + np.maximum(boxes[:, 3] - bottom, 0)
    cost = np.where(out > 0, _OFF_PAGE + out, 0.0)
    drawn = field.counts(boxes)
    cost += np.where(drawn > 0, _ON_DRAWN + 4.0 * drawn, 0.0)
    if field.boxes:
        other = np.array(field.boxes)
        lap = (boxes[:, None, 0] < other[None, :, 2]) & (boxes[:, None, 2] > other[None, :, 0])
        lap &= (boxes[:, None, 1] - air < other[None, :, 3]) & (boxes[:, None, 3] + air > other[None, :, 1])
        cost += _ON_BOX * lap.sum(axis=1)
    if field.lines:
        cost += _ON_LINE * crosses_box(np.array(field.lines[-_MOST_LINES:]), boxes).sum(axis=1)
    return cost


def crosses_box(lines: Complex, boxes: Real) -> NDArray[np.bool_]:
    """Test whether each line (k, 2) meets each box (n, 4): shape (n, k). Slab method of ray and box (from memory)."""
    start, along = lines[:, 0], lines[:, 1] - lines[:, 0]
    low, high = np.zeros((len(boxes), len(lines))), np.ones((len(boxes), len(lines)))
    for part, first, last in ((np.real, 0, 2), (np.imag, 1, 3)):
        at, step = part(start)[None, :], part(along)[None, :]
        step = np.where(np.abs(step) < 1e-12, 1e-12, step)
        one, two = (boxes[:, first, None] - at) / step, (boxes[:, last, None] - at) / step
        low, high = np.maximum(low, np.minimum(one, two)), np.minimum(high, np.maximum(one, two))
    return low <= high


def _candidates(label: Label, width: float, height: float, cell: float) -> tuple[Complex, Real, Real]:
    """List centres, gaps in font sizes, and turns away from the wished direction in radians."""
    wish = label.towards / abs(label.towards) if label.towards else -1j
    gaps = _GAPS if label.leader else _GAPS[:4]
    turn = np.repeat(np.array(_TURNS), len(gaps))
    gap = np.tile(np.array(gaps), len(_TURNS))
    way = wish * np.exp(1j * turn)
    across, down = np.maximum(np.abs(way.real), 1e-9), np.maximum(np.abs(way.imag), 1e-9)
    inside = np.minimum(width / 2 / across, height / 2 / down)
    return label.anchor + way * (gap * label.size + 0.7 * cell + inside), gap, np.abs(turn)


def _shallow(label: Label, feet: Complex) -> Real:
    """Weigh leaders that run along the line which they point at (square to where the label would best lie)."""
    way: Complex = feet - label.anchor
    square = label.towards / abs(label.towards) if label.towards else -1j
    sine = np.abs(np.real(square.conjugate() * way)) / np.maximum(np.abs(way), 1e-9)
    return _SHALLOW * np.maximum(_STEEP - sine, 0.0) / _STEEP


def _leader_costs(field: Field, anchor: complex, ends: Complex) -> Real:
    t = np.linspace(0.15, 1.0, 14)
    cost = _LEADER_DRAWN * field.at(anchor + (ends - anchor)[:, None] * t).sum(axis=1).astype(np.float64)
    if field.boxes:
        lines = np.stack([np.full(len(ends), anchor), ends], axis=1)
        cost += _LEADER_BOX * crosses_box(lines, np.array(field.boxes)).sum(axis=0)
    if field.lines:
        way = ends - anchor
        starts = anchor + way * (_OFF_ANCHOR / np.maximum(np.abs(way), _OFF_ANCHOR))
        cost += _LEADER_LINE * _crossings(starts, ends, np.array(field.lines[-_MOST_LINES:]))
    return cost


def _crossings(starts: Complex, ends: Complex, lines: Complex) -> Real:
    """Count the lines that each leader crosses."""
    a, b, c, d = starts[:, None], ends[:, None], lines[None, :, 0], lines[None, :, 1]
    leader, line = np.conjugate(b - a), np.conjugate(d - c)
    one = (leader * (c - a)).imag * (leader * (d - a)).imag < 0
    two = (line * (a - c)).imag * (line * (b - c)).imag < 0
    return (one & two).sum(axis=1).astype(np.float64)


def _feet(anchor: complex, centres: Complex, width: float, height: float, size: float) -> Complex:
    """Find where leaders meet labels: straight over or under the anchor, else the middle of the nearer side."""
    way = anchor - centres
    aside = np.abs(way.real) > width / 2
    inwards = max(width / 2 - size, 0.0)
    level: Complex = np.clip(way.real, -inwards, inwards) + 1j * np.copysign(height / 2, way.imag)
    return centres + np.where(aside, np.copysign(width / 2, way.real), level)


def _box(row: Real) -> Box:
    left, top, right, bottom = row.tolist()
    return left, top, right, bottom


def upright(direction: complex) -> float:
    """Turn writing along ``direction``: degrees within ± 90, so that nobody reads upside down."""
    degrees = math.degrees(cmath.phase(direction)) if direction else 0.0
    if degrees > 90.000001:
        degrees -= 180
    elif degrees < -90.000001:
        degrees += 180
    return degrees
