"""What truing says of a stretch that it could not draw well: each of its messages, with the figures behind it."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.blend_choice import TruedEdge
from svgfit.fitting.flaws import find_flaws, true_flaw
from svgfit.fitting.slash import Slash
from svgfit.fitting.spread import spread
from svgfit.fitting.truing import true
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Opening

from .garments import sleeve_of
from .sleeves import Shape, sleeve

TIGHT = "three times as tight"


def opened(shape: Shape, at: float, amount: float, reach: float | None) -> tuple[Piece, tuple[Opening, ...]]:
    piece = sleeve(shape, notches=False)
    slash = Slash((1000 - 1j * at, -1000 - 1j * at), moves=piece.landmark("cap top"))
    return piece, true(spread(piece, slash, Affine.shift(-1j * amount)), reach)[1]


def sharpest(curve: Curve) -> float:
    """The largest curvature by three points on a circle: not by way of the code under test."""
    found = 0.0
    for k in range(len(curve)):
        p = curve.points(np.linspace(k, k + 1 - 1e-9, 201))
        a, b, c = np.abs(p[1:-1] - p[:-2]), np.abs(p[2:] - p[1:-1]), np.abs(p[2:] - p[:-2])
        area = np.abs(np.imag(np.conj(p[1:-1] - p[:-2]) * (p[2:] - p[:-2])))
        found = max(found, float((2 * area / (a * b * c)).max()))
    return found


def told(opening: Opening, words: str) -> bool:
    return any(words in text for text in opening.unkept)


def test_a_bend_too_tight_is_told() -> None:
    for reach, tight in ((4.0, True), (40.0, False)):
        piece, openings = opened(Shape(), 60.0, 4.0, reach)
        own = sharpest(piece.edge("cap").curve)
        for opening in openings:
            limit = max(3 * own, 1 / (2 * abs(opening.width) + 10))
            assert (sharpest(opening.trued) > limit) == tight
            assert told(opening, TIGHT) == tight


def test_the_second_opening_is_held_to_the_edge_as_drawn_not_to_what_truing_made_of_the_first() -> None:
    """Front and back are mirror images, so what is said of one is said of the other."""
    _, (one, other) = opened(Shape(front=170, back=170), 60.0, 8.0, 3.0)
    assert sharpest(one.trued) == pytest.approx(sharpest(other.trued), rel=0.05)
    assert told(one, TIGHT)
    assert told(other, TIGHT)


def jogged_edge(steps: int) -> tuple[Piece, Edge]:
    """A gently bent edge (radius 300 mm) that steps aside by 4 mm in several places."""
    way = np.exp(1j * np.linspace(0, 0.6, 4 * (steps + 1) + 1))
    parts: list[Curve] = []
    for k in range(steps + 1):
        stops = way[4 * k : 4 * k + 5] * (300 + 4 * (k % 2))
        cubics = [
            (p, p + 1j * p * 0.05 * 2 / 3 / (steps + 1) * 1.5, q - 1j * q * 0.05 * 2 / 3 / (steps + 1) * 1.5, q)
            for p, q in itertools.pairwise(stops.tolist())
        ]
        if parts:
            parts.append(Curve.polyline([parts[-1].end, stops[0]]))
        parts.append(Curve(np.array(cubics)))
    edge = Edge("hem", Curve.chain(parts))
    return replace(sleeve(Shape()), edges=(edge,), marks=(), landmarks=()), edge


def test_flaws_trued_one_after_another_are_held_to_the_edge_as_drawn() -> None:
    piece, edge = jogged_edge(2)
    drawn, said = edge.curve, []
    for _ in range(2):
        flaws = find_flaws(edge.curve, 0.0, float(len(edge.curve)))
        edge, opening = true_flaw(piece, edge, flaws[0], 6.0, 0.0, float(len(edge.curve)), drawn=drawn)
        assert sharpest(opening.trued) > 1 / 18
        said.append(told(opening, TIGHT))
    assert said == [True, True]


def test_a_stretch_that_swings_or_wavers_says_by_how_much() -> None:
    """Squeezed into a reach of 3 mm."""
    swings = Shape(front=134.8, back=213.2, height=156.4, scoop=0.43, crown=0.57), 80.5, 10.8
    wavers = Shape(front=130.3, back=123.1, height=163.6, scoop=0.48, crown=0.64), 33.0, -0.5
    for made, words in (
        (swings, r"swings to and fro, by \d+° more"),
        (wavers, r"it changes the side it bends to \d+ times more"),
    ):
        _, openings = opened(*made, 3.0)
        assert any(re.search(words, text) for one in openings for text in one.unkept)


def test_a_trued_edge_that_would_cross_another_is_refused() -> None:
    """The hem turned up to just under the cap top, which then comes down on it."""
    piece = sleeve(Shape(), notches=False)
    hem = piece.edge("hem").curve
    pole = Curve.polyline([hem.start, -10 + 40j, -2 - 125j, 2 - 125j, 10 + 40j, hem.end])
    edges = tuple(Edge("hem", pole) if edge.name == "hem" else edge for edge in piece.edges)
    piece = replace(piece, edges=edges)
    slash = Slash((1000 - 132j, -1000 - 132j), moves=piece.landmark("cap top"))
    refused = spread(piece, slash, Affine.shift(16j))
    with pytest.raises(Refusal, match="the trued edge would cross another edge"):
        true(refused)


def test_a_gap_at_the_very_end_of_an_edge_is_refused() -> None:
    piece, edge = jogged_edge(2)
    (flaw, *_) = find_flaws(edge.curve, 0.0, float(len(edge.curve)))
    with pytest.raises(Refusal, match="the gap lies at the end of the edge"):
        true_flaw(piece, edge, replace(flaw, start=0.0), 5.0, 0.0, float(len(edge.curve)))


def test_records_whose_fields_are_alike_take_them_by_name_only() -> None:
    curve = Curve.polyline([0j, 10 + 0j])
    with pytest.raises(TypeError):
        TruedEdge(curve, curve, 1.0, 0, False, 0.0, True)  # type: ignore[misc]  # pyright: ignore
    made = TruedEdge(whole=curve, curve=curve, removed=1.0, extra=0, was_straight=False, sway=math.nan, tight=True)
    assert made.tight


@pytest.mark.parametrize("amount", [12.7, -6.35])
def test_a_straight_edge_that_leads_over_in_an_s_is_called_so(amount: float) -> None:
    """A cap that runs straight where it is cut, and bends a little below: it can't be smooth there without an S."""
    cap = Curve.polyline([170 + 0j, 130 - 27.5j, -120j, -130 - 27.5j, -170 + 0j])
    before = sleeve_of(cap, top=-120j)
    slash = Slash((1000 - 70j, -1000 - 70j), moves=-120j)
    _, openings = true(spread(before, slash, Affine.shift(-1j * amount)))
    assert len(openings) == 2
    for opening in openings:
        (said,) = opening.unkept
        assert said.startswith("the edge was straight where it was cut")
        assert "wavers" not in said


@pytest.mark.parametrize("amount", [12.7, -6.35])
def test_an_edge_that_is_straight_from_corner_to_corner_is_one_straight_line_again(amount: float) -> None:
    """A cap of two straight lines, cut level through both: hypotenuses (common practice, no source)."""
    cap = Curve.polyline([170 + 0j, -120j, -170 + 0j])
    before = sleeve_of(cap, top=-120j)
    slash = Slash((1000 - 70j, -1000 - 70j), moves=-120j)
    after, openings = true(spread(before, slash, Affine.shift(-1j * amount)))
    assert [opening.unkept for opening in openings] == [(), ()]
    line = after.edge("cap").curve
    assert line.length() == pytest.approx(2 * math.hypot(170, 120 + amount), abs=1e-9)
    assert len(line) == 2
    assert sum(opening.gain for opening in openings) == pytest.approx(line.length() - cap.length(), abs=1e-9)
