"""A sleeve, a front and a back with shoulders to alter, drawn here; and measures of our own. Frame: pieces', mm."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.run import SizeRun
from tests.fitting.garments import SEAMS, notched, scooped, sleeve_of
from tests.plugins.running import run_steps

CAP = Curve(
    np.array([[160, 90, 75 - 140j, -140j], [-140j, -75 - 140j, -90, -160]], dtype=np.complex128),
)
"""From the front underarm point over the top at -140j to the back one."""


def garment(*, dart: bool = False, slope: float = 40.0) -> tuple[Piece, Piece, Piece]:
    """Sleeve, front and back with notches at 80 mm from the underarm; ``dart``: a cut-out dart in the back shoulder."""
    whole = CAP.length()
    sleeve = notched(notched(sleeve_of(CAP), "cap", 85.0, whole - 85.0), "cap", whole / 2, kind="shoulder notch")
    front, back = (notched(_with_drop(scooped(kind), slope), "armhole", 80.0) for kind in ("front", "back"))
    return sleeve, front, with_dart(back) if dart else back


def _with_drop(piece: Piece, slope: float) -> Piece:
    """The same piece with its neck point ``slope`` mm over the tip."""
    neck = piece.landmark("neck point")
    new = complex(neck.real, piece.landmark("shoulder tip").imag - slope)
    edges = {edge.name: edge for edge in piece.edges}
    shoulder = Curve.polyline([piece.landmark("shoulder tip"), new])
    segments = edges["neckline"].curve.segments.copy()
    segments[0, :2] += new - neck
    curves = {"shoulder": shoulder, "neckline": Curve(segments)}
    landmarks = tuple(replace(one, at=new) if one.name == "neck point" else one for one in piece.landmarks)
    new_edges = tuple(replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in piece.edges)
    return replace(piece, edges=new_edges, landmarks=landmarks)


def with_dart(piece: Piece, deep: float = 70.0, angle: float = 0.12) -> Piece:
    """Open the shoulder half-way by a dart of equal legs, cut out of the outline.

    As sewn, the shoulder is the straight line that it was: the neck's part stays, the tip's part turned about the
    dart's tip, and the armhole's last line goes with it.
    """
    tip, neck = piece.landmark("shoulder tip"), piece.landmark("neck point")
    middle = (tip + neck) / 2
    apex = middle + 1j * deep
    turn = Affine.turn(-angle if tip.real < neck.real else angle, apex)
    shoulder = Curve.polyline([turn.apply(tip), turn.apply(middle), apex, middle, neck])
    segments = piece.edge("armhole").curve.segments.copy()
    segments[-1] = Curve.polyline([segments[-1, 0], shoulder.start]).segments[0]
    curves = {"shoulder": shoulder, "armhole": Curve(segments)}
    edges = tuple(replace(edge, curve=curves.get(edge.name, edge.curve)) for edge in piece.edges)
    moved = (replace(one, at=shoulder.start) if one.name == "shoulder tip" else one for one in piece.landmarks)
    dart = Dart("shoulder", turn.apply(middle), apex, middle)
    return replace(piece, edges=edges, landmarks=tuple(moved), darts=(dart,))


def run(step: str, pieces: tuple[Piece, ...] | None = None) -> SizeRun:
    return run_steps(garment() if pieces is None else pieces, step, seams=SEAMS)


def named(run: SizeRun, name: str) -> Piece:
    return next(piece for piece in run.after if piece.name == name)


def length(edge: Edge | Curve) -> float:
    """Measure by chords, their error taken out (Richardson; any textbook of numerics, from memory); mm."""
    curve = edge.curve if isinstance(edge, Edge) else edge
    total = 0.0
    for segment in curve.segments:
        sums = []
        for n in (1000, 2000):
            t = np.linspace(0, 1, n + 1)[:, None]
            weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3])
            sums.append(float(np.abs(np.diff(weights @ segment)).sum()))
        total += sums[1] + (sums[1] - sums[0]) / 3
    return total


def kink(curve: Curve) -> float:
    """The most that an edge turns at a node, degrees."""
    nodes = np.arange(1.0, len(curve))
    turns = np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True))
    return float(np.degrees(np.abs(turns)).max(initial=0.0))


def assert_still(before: Piece, after: Piece, *changed: str) -> None:
    """Hold that no edge but those named moved, and no mark but those on them (1e-6 mm)."""
    for old, new in zip(before.edges, after.edges, strict=True):
        if old.name not in changed:
            assert abs(old.curve.segments - new.curve.segments).max() < 1e-6, old.name
    for old, new in zip(before.marks, after.marks, strict=True):
        if old.edge not in changed:
            for a, b in zip(old.curves, new.curves, strict=True):
                assert abs(a.segments - b.segments).max() < 1e-6, old.kind
