"""Darts turned elsewhere: the angle at the pivot and every sewn length stay (common practice, no source)."""

from __future__ import annotations

import math

import pytest

from svgfit.fitting.darts import angle, legs, mouth_width, swing_dart, without_mouth
from svgfit.fitting.sewn import sewn_length
from svgfit.fitting.truing import true
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Dart, Edge, Piece
from svgfit.model.refusal import Refusal

PIVOT = 150 + 120j


def front(*, drawn_inside: bool = False) -> Piece:
    """A block 240 mm wide and 400 long, its centre at the right; a dart of 30 mm in the side seam points at PIVOT."""
    start, end, apex = 0 + 105j, 0 + 135j, 120 + 120j
    side = [0j, start, end, 400j] if drawn_inside else [0j, start, apex, end, 400j]
    edges = (
        Edge("side seam", Curve.polyline(side)),
        Edge("hem", Curve.polyline([400j, 240 + 400j])),
        Edge("centre", Curve.polyline([240 + 400j, 240 - 60j]), fold=True),
        Edge("neckline", Curve.polyline([240 - 60j, 160 - 120j])),
        Edge("shoulder", Curve.polyline([160 - 120j, 60 - 100j])),
        Edge("armhole", Curve.polyline([60 - 100j, 0j])),
    )
    return Piece("front.svg", "Front", "front", edges, Affine(), darts=(Dart("side seam", start, apex, end),))


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize(("edge", "share"), [("hem", 1.0), ("shoulder", 1.0), ("armhole", 0.5), ("neckline", 0.4)])
def test_a_dart_keeps_its_angle_wherever_it_is_turned(edge: str, share: float, inside: bool) -> None:
    piece = front(drawn_inside=inside)
    (dart,) = piece.darts
    bare = without_mouth(piece, dart)
    curve = bare.edge(edge).curve
    to = bare.outline().nearest(curve.point(0.5))[0]
    found = swing_dart(piece, dart, to, pivot=PIVOT, stays=240 + 200j, share=share, tip=20.0)
    after, openings = true(found.parted)
    assert openings == ()
    whole = angle(dart, PIVOT)
    assert angle(found.opened, PIVOT) == pytest.approx(share * whole, abs=1e-12)
    assert legs(found.opened)[0] == pytest.approx(legs(found.opened)[1], abs=1e-9)
    assert abs(found.opened.apex - PIVOT) == pytest.approx(20.0, abs=1e-9)
    # What is measured on the piece: the mouth by the chord of its angle.
    radius = abs(bare.outline().point(to) - PIVOT)
    assert mouth_width(found.opened) == pytest.approx(2 * radius * math.sin(share * whole / 2), abs=1e-9)
    for name in ("side seam", "hem", "centre", "neckline", "shoulder", "armhole"):
        assert sewn_length(after, name) == pytest.approx(sewn_length(piece, name), abs=1e-6), name
    left = [one for one in after.darts if one.edge == "side seam"]
    assert len(left) == (0 if share == 1.0 else 1)
    if left:
        assert angle(left[0], PIVOT) == pytest.approx((1 - share) * whole, abs=1e-9)
    assert after.edge("centre").curve.start == piece.edge("centre").curve.start
    assert after.outline().is_closed()


def test_turned_there_and_back_it_is_what_it_was() -> None:
    piece = front()
    (dart,) = piece.darts
    to = without_mouth(piece, dart).outline().nearest(120 + 400j)[0]
    there, _ = true(swing_dart(piece, dart, to, pivot=PIVOT, stays=240 + 200j, tip=20.0).parted)
    (now,) = there.darts
    place = without_mouth(there, now).outline()
    seam = there.edge("side seam").curve
    back_to = place.nearest(seam.point(seam.at_length(105.0)))[0]
    back, _ = true(swing_dart(there, now, back_to, pivot=PIVOT, stays=240 + 200j, tip=30.0).parted)
    for old, new in zip(piece.edges, back.edges, strict=True):
        for point in old.curve.points(old.curve.level_places(1j)):
            assert new.curve.nearest(complex(point))[1] < 1e-6, old.name


def test_a_place_that_no_straight_cut_reaches_is_refused() -> None:
    piece = front()
    (dart,) = piece.darts
    to = without_mouth(piece, dart).outline().nearest(0 + 105j)[0]
    with pytest.raises(Refusal, match="the cut "):
        swing_dart(piece, dart, to, pivot=-50 + 120j, stays=240 + 200j)
