"""From the shapes on a stitch or cut line layer to one closed outline. Page mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape
from svgfit.model.refusal import Refusal

JOIN = 0.5
"""Ends nearer than this (mm) meet."""


class Outline(Struct, frozen=True):
    """A closed loop, and where it had to be bridged."""

    loop: Curve
    gaps: tuple[tuple[complex, complex], ...] = ()
    notes: tuple[str, ...] = ()


def find_outline(shapes: Sequence[Shape], where: str, join: float = JOIN) -> Outline:
    """The piece's outline among the shapes of its line layer.

    The largest closed curve; where none is closed, the open ones joined end to end, in any order and direction: ends
    within ``join`` mm meet, a larger gap is bridged straight and told. Refuses a layer without a line.
    """
    closed: list[Curve] = []
    open_curves: list[Curve] = []
    for shape in shapes:
        for curve, shut in zip(shape.curves, shape.closed, strict=True):
            tidy = without_specks(curve)
            if tidy is None:
                continue
            if shut or abs(tidy.end - tidy.start) <= 1e-6:
                closed.append(_shut(tidy))
            else:
                open_curves.append(tidy)
    if closed:
        largest = max(closed, key=lambda curve: abs(curve.area()))
        others = sum(1 for curve in closed if curve is not largest and not same_curve(curve, largest))
        notes = (f"{others} more closed line(s) on its layer left out",) if others else ()
        return Outline(largest, (), notes)
    if not open_curves:
        raise Refusal(where, "no line is drawn on its line layer", "draw the outline there as one closed path")
    return _join(open_curves, join)


def without_specks(curve: Curve, speck: float = 1e-4) -> Curve | None:
    """The curve without segments that go nowhere (control points within ``speck`` mm); None if nothing is left."""
    size = np.abs(curve.segments - curve.segments[:, :1]).max(axis=1)
    kept = curve.segments[size > speck]
    if not len(kept):
        return None
    return Curve.chain([Curve(kept)]) if len(kept) < len(curve) else curve


def same_curve(first: Curve, second: Curve, accuracy: float = 0.05) -> bool:
    """Whether two closed curves are the same line drawn twice (boxes and areas agree)."""
    boxes = max(abs(a - b) for a, b in zip(first.bounds(), second.bounds(), strict=True))
    return boxes <= accuracy and abs(abs(first.area()) - abs(second.area())) <= accuracy * first.length(1e-2)


def _shut(curve: Curve) -> Curve:
    """End exactly on the start: a last line added, or the last point moved by rounding only."""
    if curve.start == curve.end:
        return curve
    if abs(curve.end - curve.start) > 1e-4:
        return Curve.chain([curve, Curve.polyline([curve.end, curve.start])])
    segments = curve.segments.copy()
    segments[-1, 3] = segments[0, 0]
    return Curve(segments)


def _join(curves: Sequence[Curve], join: float) -> Outline:
    first = max(curves, key=lambda curve: curve.length(1e-2))
    chain, rest = [first], [curve for curve in curves if curve is not first]
    gaps: list[tuple[complex, complex]] = []
    while rest:
        end = chain[-1].end
        options = [(abs(curve.start - end), k, False) for k, curve in enumerate(rest)]
        options += [(abs(curve.end - end), k, True) for k, curve in enumerate(rest)]
        away, k, turned = min(options)
        following = rest.pop(k)
        following = following.reverse() if turned else following
        _bridge(chain, gaps, following.start, away, join)
        chain.append(following)
    _bridge(chain, gaps, chain[0].start, abs(chain[-1].end - chain[0].start), join)
    return Outline(_shut(Curve.chain(chain)), tuple(gaps))


def _bridge(chain: list[Curve], gaps: list[tuple[complex, complex]], to: complex, away: float, join: float) -> None:
    if away <= join:
        return
    gaps.append((chain[-1].end, to))
    chain.append(Curve.polyline([chain[-1].end, to]))
