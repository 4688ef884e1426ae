"""Pieces to alter, and what holds of every alteration, measured with nothing of what the operations use."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.app.side_effects import net_changes
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Landmark, Mark, Piece
from svgfit.model.run import SizeRun
from tests.fitting.garments import SEAMS, notched, scooped, sleeve_of
from tests.plugins.running import run_steps

FRONT, BACK = notched(scooped("front"), "armhole", 70.0), notched(scooped("back", height=206.0), "armhole", 72.0, 80.0)
SLEEVE = sleeve_of(Curve(np.array([[165 + 0j, 105 + 0j, 60 - 140j, -140j], [-140j, -60 - 140j, -105 + 0j, -165 + 0j]])))
GARMENT = (SLEEVE, FRONT, BACK)
PLACEMENTS = {
    "as drawn": Affine(),
    "turned": Affine.turn(math.radians(37), 300 + 200j),
    "mirrored and turned": Affine(-1, 0, 0, 1, 1800, 0).then(Affine.turn(math.radians(-110), 900 + 350j)),
}


def panel(width: float = 300.0, height: float = 400.0) -> Piece:
    """A rectangle about 0 with a grain line: all of it can be reckoned."""
    x, y = width / 2, height / 2
    corners = [complex(-x, -y), complex(x, -y), complex(x, y), complex(-x, y)]
    names = ("top", "right", "hem", "left")
    edges = tuple(
        Edge(name, Curve.polyline([a, b]), 10.0, backwards=name in ("hem", "left"))
        for name, a, b in zip(names, corners, [*corners[1:], corners[0]], strict=True)
    )
    where = ("top left", "top right", "hem right", "hem left")
    landmarks = tuple(Landmark(name, at) for name, at in zip(where, corners, strict=True))
    grain = Mark("grain line", (Curve.polyline([-x / 2 - 0.4j * y, -x / 2 + 0.4j * y]),))
    return Piece("page.svg", "Panel", "other", edges, Affine(), marks=(grain,), landmarks=landmarks)


def with_dart(piece: Piece, edge: str, at: float, width: float, tip: complex) -> Piece:
    """The piece with a dart drawn inside it, its mouth so many mm wide about a place so many mm along the edge."""
    curve = piece.edge(edge).from_front()
    start, end = (curve.point(curve.at_length(at + sign * width / 2)) for sign in (-1, 1))
    start, end = (end, start) if piece.edge(edge).backwards else (start, end)
    return replace(piece, darts=(*piece.darts, Dart(edge, start, tip, end)))


def altered(pieces: Sequence[Piece], *steps: str) -> SizeRun:
    """The run of steps on pieces sewn as a bodice is, as far as they are there."""
    there = {piece.name for piece in pieces}
    seams = tuple(seam for seam in SEAMS if there.issuperset(name for name, _ in (*seam.a, *seam.b)))
    return run_steps(tuple(pieces), *steps, seams=seams)


def of(run: SizeRun, name: str) -> Piece:
    (piece,) = (one for one in run.after if one.name == name)
    return piece


def long(piece: Piece, edge: str) -> float:
    """An edge's length by chords of chords, extrapolated (Richardson): none of the program's own measuring."""
    curve = piece.edge(edge).curve

    def chords(count: int) -> float:
        return float(np.abs(np.diff(curve.points(np.linspace(0.0, len(curve), len(curve) * count + 1)))).sum())

    return chords(400) + (chords(400) - chords(200)) / 3


def kink(piece: Piece, before: Piece | None = None) -> float:
    """The sharpest turn within any edge, degrees, where it is none that ``before`` had as sharp."""
    found = [0.0, *(turn for edge in piece.edges for turn in _turns(edge.curve))]
    had = [] if before is None else [turn for edge in before.edges for turn in _turns(edge.curve)]
    return max((turn for turn in found if all(abs(turn - one) > 1e-3 for one in had)), default=0.0)


def _turns(curve: Curve) -> list[float]:
    nodes = np.arange(1, len(curve), dtype=np.float64)
    if not len(nodes):
        return []
    return np.degrees(np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True)))).tolist()


def stays(before: Piece, after: Piece, *edges: str, accuracy: float = 1e-6) -> None:
    """Hold that these edges, and whatever stands on them, are where they were."""
    for name in edges:
        old, new = (piece.edge(name).curve for piece in (before, after))
        places = np.linspace(0.0, 1.0, 41)
        assert np.abs(old.points(places * len(old)) - new.points(places * len(new))).max() < accuracy, name
        pairs = zip(before.notches(name), after.notches(name), strict=True)
        assert all(one.at is not None and two.at is not None and abs(one.at - two.at) < accuracy for one, two in pairs)


def also(run: SizeRun) -> list[str]:
    """What the steps say is to be changed as well."""
    return [row.message for step in run.steps for row in step.also]


def unmatched(run: SizeRun) -> list[str]:
    """What no longer matches when all steps are done."""
    return [row.message for row in net_changes(run)]


def lies_alike(step: str, pieces: Sequence[Piece] = GARMENT, accuracy: float = 1e-9) -> None:
    """Hold that a step does the same to pieces that lie turned and mirrored on the page."""
    plain, *others = (
        altered([replace(piece, placement=motion) for piece in pieces], step) for motion in PLACEMENTS.values()
    )
    for run in others:
        for one, two in zip(plain.after, run.after, strict=True):
            assert [edge.name for edge in one.edges] == [edge.name for edge in two.edges]
            for a, b in zip(one.edges, two.edges, strict=True):
                assert np.abs(a.curve.segments - b.curve.segments).max() < accuracy, (one.name, a.name)
        assert [row.got for row in run.steps] == [
            {name: pytest.approx(value, abs=1e-6) for name, value in row.got.items()} for row in plain.steps
        ]
