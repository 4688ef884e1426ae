"""What is held of every operation over many shapes: sweeps of its amount, and the distances between what comes out."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances
from svgfit.model.piece import Piece
from svgfit.model.run import SizeRun
from tests.plugins.running import run_steps
from tests.shapes.garments import Garment

MANY = 900
"""Places on an edge at which it is compared."""


class Swept(Struct, frozen=True):
    """An operation with one amount to vary, and what is held of it."""

    step: str
    """With {} where the amount stands."""
    amounts: tuple[float, ...]
    """mm, ascending, evenly spaced."""
    edges: tuple[tuple[str, str], ...]
    """Which edges it redraws: (piece, edge)."""
    grows: tuple[str, str]
    """A measurement that only grows with the amount: (piece, name)."""
    back: tuple[float, ...]
    """Amounts that are taken back again, mm."""
    back_within: float = 0.5
    """How near the edge then is to what it was, mm."""

    @property
    def spacing(self) -> float:
        """Between two amounts, mm."""
        return self.amounts[1] - self.amounts[0]

    def run(self, garment: Garment, *amounts: float) -> SizeRun:
        """Run the operation once for each amount, one after another."""
        return run_steps(garment.pieces, *(self.step.format(f"{one:.6f} mm") for one in amounts), seams=garment.seams)


def even(low: float, high: float, spacing: float) -> tuple[float, ...]:
    """Give amounts from ``low`` to ``high``."""
    return tuple(np.arange(low, high + spacing / 2, spacing).tolist())


def edge_of(pieces: Sequence[Piece], which: tuple[str, str]) -> Curve:
    """Find an edge of a run's pieces."""
    return next(piece for piece in pieces if piece.name == which[0]).edge(which[1]).from_front()


def apart(one: Curve, other: Curve) -> float:
    """Measure how far two curves lie from each other where they are furthest apart (Hausdorff), mm."""
    a, b = along(one), along(other)
    return max(float(distances(a, b).max()), float(distances(b, a).max()))


def along(curve: Curve) -> Complex:
    """Points along a curve, its nodes among them."""
    each = max(2, MANY // len(curve))
    return curve.points(np.linspace(0, len(curve), each * len(curve) + 1))


def off_the_paper(run: SizeRun, before: Curve, which: tuple[str, str]) -> float:
    """Measure how far the new edge lies from the paper as its parts were moved, where it is furthest off, mm."""
    points = along(edge_of(run.after, which))
    motions = [part.motion or Affine() for step in run.stages for part in step.moved if part.piece == which[0]]
    lines = [along(before.transform(motion)) for motion in motions or [Affine()]]
    return float(np.min([distances(points, line) for line in lines], axis=0).max())


def shortest_segment(curve: Curve) -> float:
    """Measure a curve's shortest segment, mm."""
    return float(curve.segment_lengths().min())


def steepest(values: Sequence[float], spacing: float) -> tuple[float, float]:
    """Give the least and the most that values change by from one amount to the next, per mm."""
    steps = [(b - a) / spacing for a, b in itertools.pairwise(values)]
    return min(steps), max(steps)


def turned_within_half_an_inch(curve: Curve) -> float:
    """The sharpest turn in degrees, by chords of 3 mm: not by way of the code under test."""
    fine = curve.points(np.linspace(0, len(curve), 6000))
    run = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(fine)))])
    at = np.arange(0.0, run[-1], 3.0)
    points = np.interp(at, run, fine.real) + 1j * np.interp(at, run, fine.imag)
    angles = np.unwrap(np.angle(np.diff(points)))
    return float(np.degrees(np.abs(angles[4:] - angles[:-4]).max()))


def humps(curve: Curve) -> int:
    """How often an edge turns back by more than 6°, by chords of 8 mm."""
    fine = curve.points(np.linspace(0, len(curve), 6000))
    run = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(fine)))])
    at = np.arange(0.0, run[-1], 8.0)
    points = np.interp(at, run, fine.real) + 1j * np.interp(at, run, fine.imag)
    angles = np.degrees(np.unwrap(np.angle(np.diff(points))))
    count, way, peak = 0, 0, angles[0]
    for angle in angles.tolist():
        if way * (angle - peak) >= 0 and way:
            peak = angle
        elif abs(angle - peak) > 6:
            way, peak, count = (1 if angle > peak else -1), angle, count + 1
    return count
