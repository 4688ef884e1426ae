"""Edges digitised as hundreds of points: what a run costs grows with their number, not with its square."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.app.sewing_warnings import sewing_warnings
from svgfit.fitting.walking import WalkLimits
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from tests.fitting.garments import bodice_of, notched
from tests.plugins.running import run_steps, value
from tests.shapes.garments import garment

MEGABYTE = 2**20


def bodices(points: int) -> tuple[Piece, Piece]:
    """Front and back of a garment, their armholes digitised as so many points."""
    found: list[Piece] = []
    for piece, notches in zip(garment(0).pieces[1:], ((90.0,), (90.0, 102.0)), strict=True):
        curve = piece.edge("armhole").curve
        chords = Curve.polyline(curve.points(np.linspace(0, len(curve), points)).tolist())
        found.append(notched(bodice_of(piece.kind, chords), "armhole", *notches))
    return found[0], found[1]


def peak(work: Callable[[], object]) -> float:
    """The most memory that ``work`` held at a time, MB."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / MEGABYTE
    finally:
        tracemalloc.stop()


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("step", ["armhole-adjust lower='1/4 in'", "armhole-adjust scoop='1/8 in'"])
def test_an_armhole_of_many_points_takes_no_more_memory_than_its_points_need(step):
    one = garment(0)
    pieces = {count: (one.sleeve, *bodices(count)) for count in (120, 480)}
    run_steps(pieces[120], step, seams=one.seams)
    most = {count: peak(lambda c=count: run_steps(pieces[c], step, seams=one.seams)) for count in pieces}
    assert most[120] < 40
    assert most[480] < 80


def test_points_change_nothing_in_what_an_armhole_becomes():
    """Of 400 points or of two cubics: the same armhole, lowered alike, but for where it begins."""
    one = garment(0)
    runs = [
        run_steps(pieces, "armhole-adjust lower='1/2 in'", seams=one.seams)
        for pieces in (one.pieces, (one.sleeve, *bodices(400)))
    ]
    for name in ("Front", "Back"):
        lengths = [value(run, "armhole length", name) for run in runs]
        assert lengths[0] == pytest.approx(lengths[1], abs=0.4)


def test_looking_for_a_crossing_takes_no_square_of_memory():
    turns = np.linspace(0, 2 * np.pi, 901)
    ring = Curve.polyline((100 * np.exp(1j * turns)).tolist())
    assert self_crossing(ring) is None
    assert peak(lambda: self_crossing(ring)) < 60
    shifted = turns + 0.5
    eight = Curve.polyline((100 * (np.sin(shifted) + 0.5j * np.sin(2 * shifted)))[:-3].tolist())
    assert self_crossing(eight) == pytest.approx(0, abs=0.5)


def test_warnings_of_bends_take_no_square_of_memory():
    front = bodices(1000)[0]
    edge = front.edge("armhole")
    moved = Curve(edge.curve.segments * 1.01)
    after = replace(
        front, edges=tuple(replace(one, curve=moved) if one.name == "armhole" else one for one in front.edges)
    )
    warned: list[tuple[str, ...]] = []
    assert peak(lambda: warned.append(sewing_warnings([front], [after], {}, WalkLimits(), Units()))) < 60
    assert warned == [()]
