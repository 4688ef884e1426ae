"""Edges shifted: lengths by plain trigonometry, what does not move stays to the last digit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_distance, sewn_length
from svgfit.fitting.shift import Knot, Movements, shift_edges
from svgfit.testing.assertions import assert_on_edge, assert_smooth
from svgfit.testing.garments import bodices, sleeve


def test_an_end_moved_evenly_keeps_a_straight_edge_straight() -> None:
    piece = sleeve()
    underarm, hem = (sewn_length(piece, name) for name in ("underarm front", "hem"))
    corner, top = piece.landmark("hem front"), piece.landmark("underarm front")
    seam = piece.edge("hem").from_front()
    at = (0.0, 0j), (hem, 10 + 0j)
    if abs(seam.start - corner) < 1e-6:
        at = (0.0, 10 + 0j), (hem, 0j)
    wider = shift_edges(
        piece,
        {
            "underarm front": Movements((Knot(0.0, 0j), Knot(underarm, 10 + 0j)), even=True),
            "hem": Movements(tuple(Knot(*one) for one in at), even=True),
        },
    )
    assert wider.edge("underarm front").curve.is_straight(1e-9)
    assert sewn_length(wider, "underarm front") == pytest.approx(abs(corner + 10 - top), abs=1e-9)
    assert sewn_length(wider, "hem") == pytest.approx(hem + 10, abs=1e-9)
    assert wider.landmark("hem front") == corner + 10
    assert (wider.edge("cap").curve.segments == piece.edge("cap").curve.segments).all()


def test_a_middle_moved_runs_out_smoothly_and_no_further_than_asked() -> None:
    piece = sleeve()
    length = sewn_length(piece, "underarm front")
    knots = Knot(0.2 * length, 0j), Knot(0.5 * length, 12 + 0j), Knot(0.9 * length, 0j)
    after = shift_edges(piece, {"underarm front": Movements(knots)})
    old, new = (one.edge("underarm front").from_front() for one in (piece, after))
    assert_smooth(after, "underarm front")
    middle = old.point(old.at_length(0.5 * length)) + 12
    assert new.nearest(middle)[1] < 1e-6
    distances = [old.nearest(complex(point))[1] for point in new.points(np.linspace(0, len(new), 400))]
    across = 12 * abs((old.tangent(0.0) / 1j).real)
    assert max(distances) == pytest.approx(across, abs=1e-3)
    for point in new.points(np.linspace(0, 0.99, 9)):
        assert old.nearest(complex(point))[1] < 1e-9


def test_a_notch_rides_and_stays_on_the_edge() -> None:
    piece = sleeve()
    length = sewn_length(piece, "cap")
    knots = Knot(0.0, 0j), Knot(0.3 * length, 4j), Knot(0.5 * length, 0j, level=True)
    after = shift_edges(piece, {"cap": Movements(knots)})
    for old, new in zip(piece.notches("cap"), after.notches("cap"), strict=True):
        assert_on_edge(after, new, "cap", within=1e-6)
        along = sewn_distance(piece, "cap", old.at or 0j)
        assert (old == new) == (along > 0.5 * length)


def test_edges_that_part_at_their_corner_are_no_shift() -> None:
    front, _ = bodices()
    with pytest.raises(ValueError, match="part at their corner"):
        shift_edges(front, {"side seam": Movements((Knot(0.0, 5 + 0j),))})


def test_between_knots_the_movement_never_goes_beyond_them() -> None:
    """Fritsch and Carlson's condition: monotone data, monotone curve."""
    moves = Movements((Knot(0, 0j), Knot(30, 1 + 0j), Knot(100, 9 + 2j), Knot(120, 9 + 2j), Knot(200, 0j)))
    found = moves.by(np.linspace(-10, 210, 2201))
    assert found.real.max() == pytest.approx(9.0)
    assert found.real.min() == 0.0
    steps = np.diff(found.real[:1100])
    assert steps.min() >= -1e-12
    assert math.isclose(found.real[400], 1.0, abs_tol=1e-9)
