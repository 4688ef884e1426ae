"""The garments themselves: what is recognised from their drawings has the lengths of the curves they are drawn from."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest

from svgfit import open_drawings
from tests.plugins.running import value
from tests.shapes.garments import CONSTRUCTIONS, COUNT, SHARES, garment, garments

NEAR = 1e-4
"""mm: the drawings have nine digits, the worst unit is 10 mm; arcs are read to 0.001 mm."""


@pytest.mark.slow_after(9)
@pytest.mark.parametrize("number", range(COUNT))
def test_what_is_recognised_has_the_lengths_of_the_generating_curves(number, tmp_path):
    one = garment(number)
    (tmp_path / "sheet.svg").write_text(one.drawing())
    session = open_drawings(tmp_path / "sheet.svg")
    run = session.unchanged.sizes[0]
    pieces = {piece.name: piece for piece in session.pieces}
    near = 0.002 if one.construction == "arcs" else NEAR
    sleeve = pieces["Sleeve"]
    assert sleeve.edge("cap").curve.length() == pytest.approx(one.lengths["cap"], abs=near)
    for name in ("Front", "Back"):
        length = pieces[name].edge("armhole").curve.length()
        assert length == pytest.approx(one.lengths[f"{name.lower()} armhole"], abs=near)
    cap = sleeve.edge("cap").from_front()
    at_notch = cap.length_between(0.0, cap.nearest(sleeve.landmark("shoulder notch"))[0])
    assert at_notch == pytest.approx(one.lengths["cap front"], abs=near)
    assert value(run, "cap ease") == pytest.approx(one.ease, abs=2 * near)
    assert [len(pieces[name].notches(edge)) for name, edge in EDGES] == [3, 1, 2]
    assert [(seam.a, seam.b) for seam in session.seams] == [(seam.a, seam.b) for seam in one.seams]


EDGES = (("Sleeve", "cap"), ("Front", "armhole"), ("Back", "armhole"))


@pytest.mark.slow_after(4)
@pytest.mark.parametrize("number", range(0, COUNT, 5))
def test_pieces_and_drawing_are_the_same(number, tmp_path):
    one = garment(number)
    (tmp_path / "sheet.svg").write_text(one.drawing())
    read = {piece.name: piece for piece in open_drawings(tmp_path / "sheet.svg").pieces}
    for piece in one.pieces:
        found = read[piece.name]
        for edge in piece.edges:
            assert found.edge(edge.name).curve.length() == pytest.approx(edge.curve.length(), abs=0.002)
        places = [(mark.kind, mark.edge) for mark in piece.marks]
        assert Counter(places) == Counter((mark.kind, mark.edge) for mark in found.marks)


@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_the_ease_lies_where_it_was_asked_for(construction, share):
    one = garment(5, construction=construction, share_front=share, ease=24.0)
    assert one.lengths["cap front"] - one.lengths["front armhole"] == pytest.approx(24 * share, abs=1e-6)
    assert one.lengths["cap back"] - one.lengths["back armhole"] == pytest.approx(24 * (1 - share), abs=1e-6)


def test_the_garments_are_of_all_kinds_and_always_the_same():
    every = garments(54)
    assert len(every) == 54
    assert set(Counter(one.construction for one in every)) == set(CONSTRUCTIONS)
    assert set(Counter((one.construction, one.share_front) for one in every).values()) == {2}
    assert [one.drawing() for one in every[:9]] == [one.drawing() for one in garments(9)]
    heights = [-one.sleeve.landmark("cap top").imag for one in every]
    assert min(heights) < 105
    assert max(heights) > 155


@pytest.mark.slow_after(18)
@pytest.mark.parametrize("number", range(COUNT))
def test_caps_are_smooth_and_s_shaped_on_both_sides(number):
    """The corners of chords and of tracing stay small; each half bends inwards below and outwards above."""
    cap = garment(number).sleeve.edge("cap").curve
    turns = [
        abs(math.degrees(math.remainder(angle(cap.tangent(k)) - angle(cap.tangent(k, before=True)), 2 * math.pi)))
        for k in range(1, len(cap))
    ]
    assert max(turns) < 8
    quarters = [cap.at_length(cap.length() * share) for share in (0.12, 0.35, 0.65, 0.88)]
    ways = [cap.tangent(t) for t in (0.0, *quarters, float(len(cap)) - 1e-9)]
    bends = [math.remainder(angle(b) - angle(a), 2 * math.pi) for a, b in itertools.pairwise(ways)]
    assert bends[0] > 0
    assert bends[-1] > 0
    assert bends[2] < 0


def angle(way: complex) -> float:
    return math.atan2(way.imag, way.real)
