"""Notches that are drawn with an outline: cut into it (or left standing), or as marks on its own layer. Page mm.

A notch cut in is a small form, symmetric about its axis, at which the line turns off and beyond which it goes on as
before. The line is taken to run on across it, and the form is a notch like any other.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Complex, Real
from svgfit.geometry.box import boxes_meet, widen_box
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.model.vocabulary import DrawnLine
from svgfit.pattern.outline import Outline, find_outline
from svgfit.pattern.recognise.figures import figure_of, find_axis, line_of
from svgfit.rules.notches import (
    CUT_IN_DEPTHS,
    CUT_IN_GOES_ON,
    CUT_IN_MOST_NODES,
    CUT_IN_TURN,
    CUT_IN_WIDEST,
    LARGEST_ON_OUTLINE,
    NEAR_OUTLINE,
)

_APART = 3.0
"""A notch cut in has at least so much of the line on each side, mm."""
_SAME = 0.02
"""What is enclosed differs by no more than this share where the outline is the same without its marks."""


class LineNotches(Struct, frozen=True):
    """A drawn piece whose outlines have no notches in them, and what is to be said of those that they had."""

    drawn: DrawnPiece
    notes: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()


def part_notches(drawn: DrawnPiece) -> LineNotches:
    """Take notches out of the outlines of a piece, and small marks off their layers, to where notches are drawn."""
    notes: list[str] = []
    unsure: list[str] = []
    for name, shapes in ((DrawnLine.STITCH, drawn.stitch), (DrawnLine.CUT, drawn.cut)):
        rest, marks = _marks_beside(shapes, drawn.join)
        if marks:
            words = "a mark" if len(marks) == 1 else f"{len(marks)} marks"
            unsure.append(f"{words} on the layer of its {name} line, taken for part of its notches")
        smooth, cut_in = _without_cut_in(rest, drawn.join)
        if cut_in:
            words = "one notch is" if len(cut_in) == 1 else f"{len(cut_in)} notches are"
            notes.append(f"{words} part of its {name} line, which is taken to run on across")
        if marks or cut_in:
            more = (*drawn.notches, *marks, *(Shape((curve,), (False,)) for curve in cut_in))
            drawn = replace(drawn, notches=more)
            drawn = replace(drawn, stitch=smooth) if name == DrawnLine.STITCH else replace(drawn, cut=smooth)
    return LineNotches(drawn, tuple(notes), tuple(unsure))


# -- marks on the outline's layer --------------------------------------------------------------------------------------


def _marks_beside(shapes: Sequence[Shape], join: float) -> tuple[tuple[Shape, ...], tuple[Shape, ...]]:
    """Part the marks on an outline's layer from its lines: small ones at the outline, which is whole without them."""
    every = [curve for shape in shapes for curve in shape.curves]
    small = {id(curve) for curve in every if _size(curve) <= LARGEST_ON_OUTLINE}
    if not small or len(small) == len(every):
        return tuple(shapes), ()
    large = _kept(shapes, lambda curve: id(curve) not in small)
    outline = _outline(large, join)
    whole = _outline(shapes, join)
    if outline is None or whole is None or outline.gaps:
        return tuple(shapes), ()
    areas = abs(outline.loop.area()), abs(whole.loop.area())
    if abs(areas[0] - areas[1]) > _SAME * max(areas):
        return tuple(shapes), ()
    line = line_of(outline.loop)
    figures = {id(curve): figure_of([curve]) for curve in every if id(curve) in small}
    boxes = {id(curve): curve.control_box() for curve in every if id(curve) in small}
    near = {key for key, figure in figures.items() if figure.gap(line) <= NEAR_OUTLINE}
    touching = near
    while touching:  # a stroke of a mark, such as the bar of a T, need not come near the line itself
        found = [(widen_box(boxes[id(curve)], join), line_of(curve)) for curve in every if id(curve) in touching]
        touching = {
            key
            for key in small - near
            if any(boxes_meet(boxes[key], box) and figures[key].gap(other) <= join for box, other in found)
        }
        near = near | touching
    if not near:
        return tuple(shapes), ()
    return _kept(shapes, lambda curve: id(curve) not in near), _kept(shapes, lambda curve: id(curve) in near)


def _kept(shapes: Sequence[Shape], wanted: Callable[[Curve], bool]) -> tuple[Shape, ...]:
    """Keep some of the curves of shapes."""
    found: list[Shape] = []
    for shape in shapes:
        pairs = [pair for pair in zip(shape.curves, shape.closed, strict=True) if wanted(pair[0])]
        if len(pairs) == len(shape.curves):
            found.append(shape)
        elif pairs:
            curves, closed = zip(*pairs, strict=True)
            found.append(replace(shape, curves=curves, closed=closed))
    return tuple(found)


def _size(curve: Curve) -> float:
    left, top, right, bottom = curve.control_box()
    return max(right - left, bottom - top)


def _outline(shapes: Sequence[Shape], join: float) -> Outline | None:
    try:
        return find_outline(shapes, "", join)
    except Refusal:
        return None


# -- notches cut in ----------------------------------------------------------------------------------------------------


def _without_cut_in(shapes: Sequence[Shape], join: float) -> tuple[tuple[Shape, ...], tuple[Curve, ...]]:
    """Take the notches out of the closed line on an outline's layer; or out of the one that its lines join to."""
    found: list[Curve] = []
    smooth: list[Shape] = []
    for shape in shapes:
        curves: list[Curve] = []
        for curve, shut in zip(shape.curves, shape.closed, strict=True):
            line, cut_in = without_cut_in(curve) if shut and curve.is_closed() else (curve, ())
            curves.append(line)
            found += cut_in
        smooth.append(replace(shape, curves=tuple(curves)))
    if found or any(any(shape.closed) for shape in shapes) or not _has_sharp_turns(shapes):
        return (tuple(smooth) if found else tuple(shapes)), tuple(found)
    outline = _outline(shapes, join)
    if outline is None or outline.gaps or outline.notes:
        return tuple(shapes), ()
    line, cut_in = without_cut_in(outline.loop)
    if not cut_in:
        return tuple(shapes), ()
    return (replace(shapes[0], curves=(line,), closed=(True,)),), cut_in


def _has_sharp_turns(shapes: Sequence[Shape]) -> bool:
    """Say whether lines that are no closed ones may have a notch in them: some stroke is short, or turns sharply."""
    return any(_size(curve) <= CUT_IN_DEPTHS[1] or _turns(curve).size for shape in shapes for curve in shape.curves)


def _turns(curve: Curve) -> Real:
    nodes = np.arange(1, len(curve), dtype=np.float64)
    turn = np.abs(np.angle(curve.tangents(nodes) * curve.tangents(nodes, before=True).conj()))
    return nodes[turn > CUT_IN_TURN]


def without_cut_in(loop: Curve) -> tuple[Curve, tuple[Curve, ...]]:
    """Take the notches out of a closed line; the line run on across them, and each notch's own stretch of it."""
    n = len(loop)
    if n < 4:
        return loop, ()
    nodes = np.arange(n, dtype=np.float64)
    into = np.roll(loop.tangents(nodes + 1, before=True), 1)
    into[0] = loop.tangent(float(n), before=True)
    out = loop.tangents(nodes)
    turn = np.abs(np.angle(out * into.conj()))
    sharp = [int(k) for k in np.flatnonzero(turn > CUT_IN_TURN)]
    if len(sharp) < 3:
        return loop, ()
    lengths = loop.segment_lengths()
    spans: list[tuple[int, int]] = []
    last = -1
    for at, first in enumerate(sharp):
        if first <= last:
            continue
        for step in range(1, min(len(sharp), CUT_IN_MOST_NODES) + 1):
            end = sharp[(at + step) % len(sharp)] + (n if at + step >= len(sharp) else 0)
            if end - first >= n:
                break
            run = [k % n for k in range(first, end)]
            if float(lengths[run].sum()) > 2 * CUT_IN_DEPTHS[1] + CUT_IN_WIDEST:
                break
            if _is_cut_in(loop, first, end, complex(into[first]), complex(out[end % n])):
                spans.append((first, end))
                last = end
                break
    spans = [span for k, span in enumerate(spans) if _stands_alone(spans, k, lengths)]
    if not spans:
        return loop, ()
    return _run_on(loop, spans, into, out), tuple(Curve(loop.segments[[k % n for k in range(*span)]]) for span in spans)


def _is_cut_in(loop: Curve, first: int, end: int, into: complex, out: complex) -> bool:
    """Tell whether the stretch between two nodes is a notch: the line goes on beyond it, and it is symmetric."""
    n = len(loop)
    segments = loop.segments[[k % n for k in range(first, end)]]
    start, stop = complex(segments[0, 0]), complex(segments[-1, 3])
    mouth = stop - start
    along = into + out
    if abs(along) < 1e-6:  # a line that goes back on itself, or a point that has no way
        return False
    if abs(mouth) > CUT_IN_WIDEST or abs(float(np.angle(out * into.conjugate()))) > CUT_IN_GOES_ON:
        return False
    along /= abs(along)
    if abs(mouth) > 0.3 and abs(float(np.angle(mouth * along.conjugate()))) > CUT_IN_GOES_ON:
        return False
    high = ((segments - start) * along.conjugate()).imag
    low, top = float(high.min()), float(high.max())
    slack = 0.25 * abs(mouth) + 0.3
    depth, other = (top, -low) if top > -low else (-low, top)
    least, most = CUT_IN_DEPTHS
    if other > slack or not max(least, 0.4 * abs(mouth)) <= depth <= most:
        return False
    figure = figure_of([Curve(segments)])
    axis = find_axis(figure, 1j * along)
    return not figure.is_lopsided(axis) and abs((axis.way / along).real) < np.sin(CUT_IN_GOES_ON)


def _stands_alone(spans: Sequence[tuple[int, int]], k: int, lengths: Real) -> bool:
    """Say whether the line runs on for a little on both sides of a notch: a row of teeth is no notch."""
    n = len(lengths)
    first, end = spans[k]
    before = spans[k - 1][1] if k else spans[-1][1] - n
    after = spans[k + 1][0] if k + 1 < len(spans) else spans[0][0] + n
    gaps = [range(before, first), range(end, after)]
    return all(float(lengths[[m % n for m in gap]].sum()) >= _APART for gap in gaps)


def _run_on(loop: Curve, spans: Sequence[tuple[int, int]], into: Complex, out: Complex) -> Curve:
    """Bridge each notch by a cubic that leaves and meets the line in its own direction."""
    n = len(loop)
    parts: list[Curve] = []
    turned = [*spans, (spans[0][0] + n, spans[0][1] + n)]
    for (first, end), (following, _) in itertools.pairwise(turned):
        start, stop = complex(loop.segments[first % n, 0]), complex(loop.segments[end % n, 0])
        handle = abs(stop - start) / 3
        if handle > 1e-6:
            bridge = [start, start + handle * into[first % n], stop - handle * out[end % n], stop]
            parts.append(Curve(np.array([bridge])))
        if following > end:
            parts.append(Curve(loop.segments[[k % n for k in range(end, following)]]))
    return Curve.chain(parts)
