"""Runs steps on pieces through the same registry and hooks that anyone's plug-ins go through."""

from __future__ import annotations

import pytest

from svgfit.app.run_plan import run_plan
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Landmark, Piece
from svgfit.model.plan import Plan, Seam
from svgfit.model.refusal import Refusal
from svgfit.model.run import SizeRun
from svgfit.plugin.registry import open_registry

INCH = 25.4


def run_steps(pieces: tuple[Piece, ...], *steps: str, seams: tuple[Seam, ...] = ()) -> SizeRun:
    return run_plan(pieces, seams, Plan.from_steps(*steps), open_registry())


def refused_line(pieces: tuple[Piece, ...], step: str) -> str:
    """The refusal of a step, held to what every refusal promises: one line that says what to do."""
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step)
    line = refused.value.line()
    assert "\n" not in line
    assert ";" in line, "a refusal says what to do"
    return line


def value(run: SizeRun, name: str, piece: str = "Sleeve", *, before: bool = False) -> float:
    measured = run.measured_before if before else run.measured_after
    (found,) = [one.value for one in measured[piece] if one.name == name]
    return found


def bodice(kind: str, armhole: float) -> Piece:
    """A front or back whose armhole is one straight line of a known length: plain numbers to check sums by."""
    name = kind.capitalize()
    sign = 1 if kind == "front" else -1
    tip = -1j * armhole
    corners = [0j, tip, tip + sign * (120 - 40j), sign * 200 - 150j, sign * 200 + 400j, 400j]
    names = ("armhole", "shoulder", "neckline", "centre", "hem", "side seam")
    edges = tuple(
        Edge(edge, Curve.polyline([a, b]), backwards=edge == "side seam")
        for edge, a, b in zip(names, corners, [*corners[1:], corners[0]], strict=True)
    )
    return Piece("bodice.svg", name, kind, edges, Affine(), landmarks=(Landmark("underarm", 0j),))


CAP_SEAM = Seam((("Sleeve", "cap"),), (("Front", "armhole"), ("Back", "armhole")))


def straight_yoke() -> tuple[Piece, tuple[Seam, ...]]:
    """A yoke whose armhole is a straight 60 mm, and the seams of Sleeve, Front and Back over it."""
    corners = [0j, -60j, -130 - 60j, -130 + 0j]
    names = ("armhole", "back seam", "neck", "front seam")
    edges = tuple(
        Edge(name, Curve.polyline([a, b]))
        for name, a, b in zip(names, corners, [*corners[1:], corners[0]], strict=True)
    )
    row = (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))
    seams = (
        Seam((("Sleeve", "cap"),), row),
        Seam((("Front", "shoulder"),), (("Yoke", "front seam"),)),
        Seam((("Back", "shoulder"),), (("Yoke", "back seam"),)),
    )
    return Piece("bodice.svg", "Yoke", "other", edges, Affine()), seams
