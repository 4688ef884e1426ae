"""Drawn notches: where on the seam each stands, and on which edge. Works in whatever frame its arguments share, mm.

A notch is one mark with an axis, whatever its form (svgfit.pattern.recognise.figures). It stands where its axis meets
the seam; one that is drawn on the cut line stands square across the allowance from where its axis meets that.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.length import both_ways, on_page
from svgfit.model.piece import Edge, Mark
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.vocabulary import EdgeName, MarkKind
from svgfit.pattern.recognise.figures import Axis, Figure, figure_of, find_axis, gather, is_zigzag, line_of
from svgfit.rules.matching import CAREFUL
from svgfit.rules.notches import (
    CLOSEST_PAIR,
    FARTHEST_FROM_SEAM,
    LARGEST_NOTCH,
    NOTCH_DOUBT,
    ONE_NOTCH,
    TOUCHES,
    WIDEST_NOTCH,
)


class Tick(Struct, frozen=True):
    """One drawn notch: its curves, its axis, and the point where it meets the outline (else its own nearest point)."""

    curves: tuple[Curve, ...]
    """As drawn."""
    name: str | None
    """As the drawing calls it; None where it has no name."""
    point: complex
    """Where it meets the outline."""
    axis: Axis
    """What it is symmetric about."""
    figure: Figure
    """Of its curves those that the axis is the axis of."""
    doubt: str = ""
    """Why it may stand elsewhere, for people."""


class Ticks(Struct, frozen=True):
    """The notches of a piece, and what is to be said of marks that are none."""

    found: tuple[Tick, ...]
    left_out: tuple[str, ...] = ()


def ticks(drawn: DrawnPiece, loop: Curve) -> list[Tick]:
    """Collect the notches on the piece's notch layer, one a mark, doubles left out. Page mm."""
    return list(find_ticks(drawn, loop).found)


def find_ticks(drawn: DrawnPiece, loop: Curve) -> Ticks:
    """Gather what is drawn on the piece's notch layer into notches of its outline. Page mm."""
    strokes = [(curve, shape.name) for shape in drawn.notches for curve in shape.curves]
    seam = line_of(loop)
    found: list[Tick] = []
    left_out: list[str] = []

    def square(near: complex) -> complex:
        return 1j * (loop.tangent(loop.nearest(near, 1e-3)[0]) or 1.0)  # a point of the line may have no way

    for group in gather([curve for curve, _ in strokes], square):
        figure = figure_of([strokes[k][0] for k in group])
        names = [name for k in group if (name := strokes[k][1])]
        reason = _no_notch(figure, loop, seam)
        if reason:
            left_out.append(f"a mark {on_page(figure.middle)} {reason}")
            continue
        found.append(_tick(figure, _name(names), loop, seam, square(figure.middle)))
    return Ticks(tuple(_united(found, loop)), tuple(left_out))


def _name(names: Sequence[str]) -> str | None:
    """Choose a mark's name among those of its strokes: the one that says most."""
    return next((name for name in names if EdgeName.SHOULDER in name.casefold()), names[0] if names else None)


def _no_notch(figure: Figure, loop: Curve, seam: Complex) -> str:
    """Say why a figure is no notch of the outline; "" where it is one."""
    away = figure.gap(seam)
    if away > FARTHEST_FROM_SEAM:
        return f"lies {both_ways(away)} from the seam: it is no notch"
    if figure.is_stroke():
        met = [loop.point(t) for t in loop.crossings(figure.curves[0].start, figure.curves[0].end)]
        if met and max(abs(a - b) for a in met for b in met) > LARGEST_NOTCH:
            return "crosses the seam in several places: which of them it marks can't be told, draw a notch at each"
    elif 2 * figure.reach > LARGEST_NOTCH:
        return f"is {both_ways(2 * figure.reach)} large: it is no notch"
    return ""


def _tick(figure: Figure, name: str | None, loop: Curve, seam: Complex, square: complex) -> Tick:
    axis = find_axis(figure, square)
    met = _axis_meets(figure, axis, loop, seam)
    point = met if met is not None else _nearer_end(figure, axis, loop)
    doubt = ""
    if figure.is_lopsided(axis):
        other = _middle_of_crossings(figure, loop)
        other = other if other is not None else loop.point(loop.nearest(figure.middle)[0])
        away = abs(loop.point(loop.nearest(point)[0]) - other)
        if away > NOTCH_DOUBT:
            doubt = f"it is not symmetric, so it may stand {both_ways(away)} off; draw it square to the seam"
        if figure.curves and met is not None and _crossed_once(figure, loop):
            point = other
    elif figure.width(axis) > WIDEST_NOTCH or is_zigzag(figure, axis):
        doubt = f"it is {both_ways(figure.width(axis))} wide and taken for one; if it is a pair, draw the two apart"
    elif axis.rival is not None:
        rival = Axis(axis.at, axis.rival)
        met = _axis_meets(figure, rival, loop, seam)
        away = abs((met if met is not None else _nearer_end(figure, rival, loop)) - point)
        if away > NOTCH_DOUBT:
            doubt = (
                f"it is symmetric two ways and leans, so it may stand {both_ways(away)} off; draw it square to the seam"
            )
    return Tick(figure.curves, name, point, axis, figure, doubt)


def _axis_meets(figure: Figure, axis: Axis, curve: Curve, line: Complex) -> complex | None:
    """Find where a figure's axis meets a line that the figure touches; None where it touches none."""
    if figure.gap(line) > TOUCHES:
        return None
    low, high = figure.along(axis)
    start, end = axis.at + (low - TOUCHES) * axis.way, axis.at + (high + TOUCHES) * axis.way
    met = [curve.point(t) for t in curve.crossings(start, end)]
    return min(met, key=lambda point: abs(point - axis.at), default=None)


def _crossed_once(figure: Figure, curve: Curve) -> bool:
    met = [curve.point(t) for a, b in figure.chords for t in curve.crossings(complex(a), complex(b))]
    return bool(met) and max(abs(a - b) for a in met for b in met) < TOUCHES


def _middle_of_crossings(figure: Figure, curve: Curve) -> complex | None:
    met = [curve.point(t) for a, b in figure.chords for t in curve.crossings(complex(a), complex(b))]
    if not met:
        return None
    a, b = max(itertools.product(met, met), key=lambda pair: abs(pair[0] - pair[1]))
    return (a + b) / 2


def _nearer_end(figure: Figure, axis: Axis, curve: Curve) -> complex:
    """Find the end of a figure, on its axis, that lies nearer to a line."""
    ends = [axis.at + height * axis.way for height in figure.along(axis)]
    return min(ends, key=lambda end: curve.nearest(end)[1])


def _united(found: Sequence[Tick], loop: Curve) -> list[Tick]:
    """Make one of marks that stand at one place of the seam, such as one on the stitch line and one on the cut line.

    The one that lies nearest to the outline says where.
    """
    feet = [loop.nearest(tick.point) for tick in found]
    order = sorted(range(len(found)), key=lambda k: (round(feet[k][1], 1), k))
    united: dict[int, list[int]] = {}
    for k in order:
        at = loop.point(feet[k][0])
        near = next((m for m in united if abs(loop.point(feet[m][0]) - at) <= ONE_NOTCH), None)
        united.setdefault(k if near is None else near, []).append(k)
    return [
        replace(
            found[k],
            curves=tuple(curve for m in sorted(group) for curve in found[m].curves),
            name=_name([name for m in group if (name := found[m].name)]),
        )
        for k, group in sorted(united.items())
    ]


# -- on the edges ----------------------------------------------------------------------------------------------------


def place_notches(
    edges: Sequence[Edge], marks: Sequence[Tick], to_frame: Affine
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    """Place notch marks on their nearest edges, in the frame that ``to_frame`` leads to (the edges' own).

    Also say of which notches the place is unsure, and why.
    """
    placed: list[Mark] = []
    unsure: list[str] = []
    lines = {edge.name: line_of(edge.curve) for edge in edges}
    for tick in marks:
        point = to_frame.apply(tick.point)
        edge = min((edge for edge in edges if not edge.fold), key=lambda edge: edge.curve.nearest(point)[1])
        at, leans = _on_edge(edge, lines[edge.name], tick, to_frame)
        doubt = tick.doubt
        if leans > CAREFUL and not doubt:
            doubt = f"it leans, and its own direction meets the seam {both_ways(leans)} off; draw it square to the seam"
        if doubt:
            unsure.append(f"the notch {on_page(tick.point)}: {doubt}")
        curves = tuple(curve.transform(to_frame) for curve in tick.curves)
        placed.append(Mark(MarkKind.NOTCH, curves, edge.name, at, tick.name))
    return tuple(placed), (*unsure, *_close_pairs(placed, to_frame.inverse()))


def _close_pairs(placed: Sequence[Mark], to_page: Affine) -> Iterable[str]:
    """Say of two notches that stand very near to one another that they may be both sides of one slit."""
    for one, other in itertools.combinations(placed, 2):
        if one.at is None or other.at is None or one.edge != other.edge:
            continue
        apart = abs(one.at - other.at)
        if apart < CLOSEST_PAIR:
            where = on_page(to_page.apply(one.at))
            yield (
                f"two notches {where} stand only {both_ways(apart)} apart and are taken for a pair; if they are both "
                "sides of one slit, draw one line"
            )


def _on_edge(edge: Edge, line: Complex, tick: Tick, to_frame: Affine) -> tuple[complex, float]:
    """Find where a notch stands on its edge, and how far off it would stand by its own direction.

    One on the cut line alone stands square across from there; run on, its axis may meet the edge elsewhere. So may one
    that reaches from line to line, which marks one place on each.
    """
    figure = figure_of([curve.transform(to_frame) for curve in tick.figure.curves])
    way = to_frame.apply_vector(tick.axis.way)
    axis = Axis(to_frame.apply(tick.axis.at), way / abs(way), tick.axis.misfit)
    if figure.is_lopsided(axis):
        return edge.curve.point(edge.curve.nearest(to_frame.apply(tick.point))[0]), 0.0
    met = _axis_meets(figure, axis, edge.curve, line)
    on_cut = _on_cut_line(figure, axis, edge)
    if met is not None:
        return met, 0.0 if on_cut is None else abs(edge.curve.point(edge.curve.nearest(on_cut)[0]) - met)
    stands_on = on_cut if on_cut is not None else _nearer_end(figure, axis, edge.curve)
    at = edge.curve.point(edge.curve.nearest(stands_on)[0])
    far = FARTHEST_FROM_SEAM * axis.way
    run_on = [edge.curve.point(t) for t in edge.curve.crossings(axis.at - far, axis.at + far)]
    return at, min((abs(point - at) for point in run_on), default=0.0)


def _on_cut_line(figure: Figure, axis: Axis, edge: Edge) -> complex | None:
    """Find the point of a figure's axis where it meets the edge's cut line; None where it doesn't."""
    if not edge.allowance:
        return None
    low, high = figure.along(axis)
    heights = np.linspace(low, high, 2 + 2 * int(np.ceil(high - low)))
    points: Complex = np.asarray(axis.at + heights * axis.way, np.complex128)
    away = np.array([one[1] for one in edge.curve.nearest_each(points, 1e-3)]) - edge.allowance
    for k in np.flatnonzero(away[:-1] * away[1:] <= 0).tolist():
        share = away[k] / (away[k] - away[k + 1]) if away[k] != away[k + 1] else 0.0
        return complex(points[k] + share * (points[k + 1] - points[k]))
    nearest = int(np.abs(away).argmin())
    return complex(points[nearest]) if abs(away[nearest]) <= TOUCHES else None
