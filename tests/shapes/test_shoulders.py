"""The shoulder's operations over garments of many constructions: what is promised of each, by a measure of our own."""

from __future__ import annotations

import pytest

from svgfit.model.piece import Piece
from tests.plugins.running import run_steps, value
from tests.plugins.shoulders import assert_still, kink, length
from tests.shapes.garments import garment

NUMBERS = range(0, 80, 2)
BENT = 0.1
"""No more than this (degrees) may an edge bend at a node where it did not before."""


def done(number: int, step: str):
    one = garment(number)
    run = run_steps(one.pieces, step, seams=one.seams)
    return run, [(old, next(new for new in run.after if new.name == old.name)) for old in one.pieces]


def check(pairs: list[tuple[Piece, Piece]], *changed: str) -> None:
    for old, new in pairs:
        assert_still(old, new, *changed)
        for edge, was in zip(new.edges, old.edges, strict=True):
            assert kink(edge.curve) <= max(kink(was.curve), BENT) + 1e-6, edge.name


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", NUMBERS)
def test_the_seam_moves_forward(number):
    run, pairs = done(number, "shoulder-forward amount='8 mm'")
    sleeve, (front, front_after), (back, back_after) = pairs[0], *pairs[1:]
    assert length(front_after.edge("armhole")) == pytest.approx(length(front.edge("armhole")) - 8, abs=0.01)
    trued = sum(one.gain for one in run.openings)
    assert length(back_after.edge("armhole")) == pytest.approx(length(back.edge("armhole")) + 8 + trued, abs=0.01)
    assert_still(*sleeve, "cap")
    assert abs(trued) < 1.0


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", NUMBERS)
def test_the_slope_changes(number):
    _, pairs = done(number, "shoulder-slope amount='-8 mm'")
    for old, new in pairs[1:]:
        assert length(new.edge("armhole")) == pytest.approx(length(old.edge("armhole")), abs=1e-6)
    check(pairs, "armhole", "shoulder", "side seam")


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", NUMBERS)
def test_the_width_changes(number):
    _, pairs = done(number, "shoulder-width amount='8 mm'")
    for old, new in pairs[1:]:
        assert length(new.edge("shoulder")) == pytest.approx(length(old.edge("shoulder")) + 8, abs=0.01)
        assert length(new.edge("armhole")) == pytest.approx(length(old.edge("armhole")), abs=0.25)
    check(pairs, "armhole", "shoulder")


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", NUMBERS)
def test_a_pad_finds_room(number):
    run, pairs = done(number, "shoulder-pad amount='8 mm'")
    assert value(run, "cap height") == pytest.approx(value(run, "cap height", before=True) + 8, abs=0.01)
    check(pairs, "armhole", "shoulder", "cap")


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("number", NUMBERS)
def test_the_sleeve_turns(number):
    run, pairs = done(number, "sleeve-pitch amount='4 mm'")
    assert all(old.edges == new.edges for old, new in pairs)
    assert value(run, "cap ease front") == pytest.approx(value(run, "cap ease front", before=True), abs=0.01)
