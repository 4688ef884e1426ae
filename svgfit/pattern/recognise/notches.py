"""Drawn notches: where on the seam each stands, and on which edge. Works in whatever frame its arguments share, mm."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Mark
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.vocabulary import EdgeName, MarkKind
from svgfit.rules.notches import AT_LANDMARK, FARTHEST_FROM_SEAM, ONE_NOTCH, SHOULDER_HIGHEST, SHOULDER_WITHIN


class Tick(Struct, frozen=True):
    """One drawn notch: its curve, and the point of it nearest to the seam."""

    curve: Curve
    name: str | None
    point: complex


def ticks(drawn: DrawnPiece, loop: Curve) -> list[Tick]:
    """Collect the notches on the piece's notch layer, one a subpath, doubles left out. Page mm."""
    found: list[Tick] = []
    seam = loop.points(np.linspace(0, len(loop), 40 * len(loop) + 1))
    for shape in drawn.notches:
        for curve in shape.curves:
            point, away = _foot(curve, loop, seam)
            if away <= FARTHEST_FROM_SEAM and all(abs(point - other.point) > ONE_NOTCH for other in found):
                found.append(Tick(curve, shape.name, point))
    return found


def _foot(curve: Curve, loop: Curve, seam: Complex) -> tuple[complex, float]:
    """Find where a notch meets the outline (of a V the middle), else its point nearest to it; and how far off."""
    chords = curve.points(np.linspace(0, len(curve), 4 * len(curve) + 1))
    near = np.abs(chords[:, None] - seam).min(axis=1)
    k = int(np.argmin(near))
    if float(near[k]) <= FARTHEST_FROM_SEAM:
        ends = itertools.pairwise([*curve.segments[:, 0].tolist(), curve.end])
        met = [loop.point(t) for a, b in ends for t in loop.crossings(a, b)]
        if met:
            return sum(met) / len(met), 0.0
    return complex(chords[k]), float(near[k])


def place_notches(edges: Sequence[Edge], marks: Sequence[Tick], to_frame: Affine) -> tuple[Mark, ...]:
    """Place notch marks on their nearest edges, in the frame that ``to_frame`` leads to (the edges' own)."""
    placed: list[Mark] = []
    for tick in marks:
        curve = tick.curve.transform(to_frame)
        point = to_frame.apply(tick.point)
        edge, (t, _) = min(
            ((edge, edge.curve.nearest(point)) for edge in edges if not edge.fold), key=lambda one: one[1][1]
        )
        placed.append(Mark(MarkKind.NOTCH, (curve,), edge.name, edge.curve.point(t), tick.name))
    return tuple(placed)


def name_shoulder_notch(marks: Sequence[Mark], cap: Curve, top: complex, named: complex | None) -> tuple[Mark, ...]:
    """Tell the cap's shoulder notch apart from other marks: the named one, else the one nearest the cap top.

    Without a landmark it is a notch near the cap top (SHOULDER_WITHIN) and in the upper part of the cap's height
    (SHOULDER_HIGHEST).
    """
    at = cap.nearest(top)[0]
    reach = SHOULDER_WITHIN * cap.length(1e-3)
    level = (cap.start.imag + cap.end.imag) / 2
    lowest = top.imag + (level - top.imag) * SHOULDER_HIGHEST
    best: tuple[float, int] | None = None
    for k, mark in enumerate(marks):
        if mark.edge != EdgeName.CAP or mark.at is None:
            continue
        if mark.name is not None and EdgeName.SHOULDER in mark.name.casefold():
            best = (-1.0, k)
            break
        away = abs(mark.at - named) if named is not None else _between(cap, at, cap.nearest(mark.at)[0])
        if named is None and mark.at.imag > lowest:
            continue
        if away <= (AT_LANDMARK if named is not None else reach) and (best is None or away < best[0]):
            best = (away, k)
    if best is None:
        return tuple(marks)
    return tuple(replace(mark, kind=MarkKind.SHOULDER_NOTCH) if k == best[1] else mark for k, mark in enumerate(marks))


def _between(curve: Curve, first: float, second: float) -> float:
    return curve.length_between(min(first, second), max(first, second), 1e-3)
