"""Facts of the trade: common practice, no source, unless one is named; and plane geometry that anyone can check."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.measure import cap_height, measure_all, measure_piece
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import SpreadPiece, spread
from svgfit.fitting.truing import true
from svgfit.geometry.affine import Affine
from svgfit.model.operation import Job
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.plugin.registry import open_registry
from tests.fitting.sleeves import Shape, shapes, sleeve, straight_cap

INCH = 25.4


def length_of(piece: Piece, name: str) -> float:
    return next(one.value for one in measure_piece(piece) if one.name == name)


def raised_unturned(piece: Piece, at: float, by: float) -> SpreadPiece:
    slash = Slash((1000 - 1j * at, -1000 - 1j * at), moves=piece.landmark("cap top"))
    return spread(piece, slash, Affine.shift(-1j * by))


def open_length(parted: SpreadPiece) -> float:
    """The cap before truing: its parts and the steps between them, straight across."""
    parts = [fragment.curve for fragment in parted.fragments[0]]
    steps = sum(abs(b.start - a.end) for a, b in itertools.pairwise(parts))
    return sum(part.length() for part in parts) + steps


@pytest.mark.slow
@given(st.floats(0.25, 0.75), st.floats(2, 30))
@settings(max_examples=40, deadline=None)
def test_a_straight_cap_slashed_level_and_raised(at: float, by: float) -> None:
    """Half width 7 in, height 6 in: plane geometry.

    Before truing each side has a step of h more, so the cap is exactly 2h longer; what was straight is drawn straight
    from corner to corner again, so each side is then a hypotenuse.
    """
    half, height = 7 * INCH, 6 * INCH
    piece = sleeve(Shape(front=half, back=half, height=height), straight_cap(half, height), notches=False)
    before = piece.edge("cap").curve.length()
    assert before == pytest.approx(2 * math.hypot(half, height), abs=1e-9)
    parted = raised_unturned(piece, at * height, by)
    assert open_length(parted) == pytest.approx(before + 2 * by, abs=1e-9)
    after, _ = true(parted)
    assert cap_height(after) == pytest.approx(height + by, abs=1e-9)
    assert after.edge("cap").curve.length() == pytest.approx(2 * math.hypot(half, height + by), abs=1e-9)
    assert after.edge("cap").curve.length() < before + 2 * by


@given(shapes)
@settings(max_examples=25, deadline=None)
def test_every_cap_is_longer_than_its_triangle_and_shorter_than_its_box(shape: Shape) -> None:
    """From underarm over the top: no shorter than straight lines, no longer than up and across."""
    found = length_of(sleeve(shape), "cap length")
    lines = math.hypot(shape.front, shape.height) + math.hypot(shape.back, shape.height)
    assert lines < found < shape.front + shape.back + 2 * shape.height


def operation(name: str, piece: Piece, **values: float) -> Piece:
    registry = open_registry(())
    found = registry.operation(name)
    job = Job(name, "", (piece,), piece, values, (), lambda pieces, seams: measure_all(pieces, seams))
    return found.run(job).pieces[0]


def test_a_cap_too_short_by_body_less_pattern() -> None:
    """The body measures 6 in from shoulder to bicep line, the pattern 5 in: the cap is 6 − 5 = 1 in too short."""
    body, pattern = 6 * INCH, 5 * INCH
    piece = sleeve(Shape(height=pattern))
    assert cap_height(piece) == pytest.approx(pattern, abs=1e-9)
    by_amount = operation("cap-raise", piece, amount=body - pattern)
    by_height = operation("cap-raise", piece, height=body)
    assert body - pattern == pytest.approx(INCH)
    for raised in (by_amount, by_height):
        assert cap_height(raised) == pytest.approx(body, abs=1e-6)
        for name in ("underarm front", "underarm back"):
            assert abs(raised.landmark(name) - piece.landmark(name)) < 1e-6


def test_half_the_ease_on_each_side() -> None:
    """Half an inch of ease: a quarter of an inch on each side. So far moves the paper; the gain is another number."""
    piece = sleeve(Shape())
    registry = open_registry(())
    values = {"amount": 0.5 * INCH, "at": 0.8, "hinge-down": 0.0, "share-back": 0.5}
    job = Job("ease-spread", "", (piece,), piece, values, (), lambda pieces, seams: measure_all(pieces, seams))
    outcome = registry.operation("ease-spread").run(job)
    assert [opening.width for opening in outcome.openings] == pytest.approx([0.25 * INCH] * 2, abs=1e-6)
    new = outcome.pieces[0]
    assert cap_height(new) == pytest.approx(cap_height(piece), abs=1e-9)
    assert length_of(new, "bicep width") == pytest.approx(length_of(piece, "bicep width"), abs=1e-9)
    gained = length_of(new, "cap length") - length_of(piece, "cap length")
    assert abs(gained - 0.5 * INCH) > 1


def test_an_allowance_and_a_notch_are_not_part_of_any_length() -> None:
    """Every length is measured on the stitch line, never on the cut line."""
    piece = sleeve(Shape())
    wide = replace(
        piece,
        edges=tuple(Edge(e.name, e.curve, 15.875, backwards=e.backwards) for e in piece.edges),
        marks=(*piece.marks, Mark("notch", (piece.edge("hem").curve,), "hem", piece.edge("hem").curve.start)),
    )
    before, after = measure_piece(piece), measure_piece(wide)
    assert [one.value for one in before] == [one.value for one in after]
    assert np.isfinite([one.value for one in after]).all()
