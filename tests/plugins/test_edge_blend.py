"""edge-blend: trues what is already in the drawing."""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.geometry.curve import Curve
from svgfit.model.operation import replace
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from tests.fitting.sleeves import Shape, cap_curve, sleeve
from tests.pattern.bodices import Bodice, bodice
from tests.pattern.test_darts import cut_in

from .running import run_steps


def with_cap(cap: Curve) -> Piece:
    piece = sleeve(Shape())
    return replace(piece, edges=(Edge("cap", cap), *piece.edges[1:]))


def jogged(step: complex) -> Curve:
    """The cap with its back half shifted, joined by a straight jog a third of the way up the back."""
    cap = cap_curve(Shape())
    t = cap.at_length(cap.length() * 0.68)
    left, right = cap.split(t)
    segments = right.segments + step
    # The shift dies away towards the underarm: only the jog's neighbourhood matters here.
    segments[-1, 2:] = right.segments[-1, 2:]
    return Curve.chain([left, Curve.polyline([left.end, complex(segments[0, 0])]), Curve(segments)])


def turns(curve: Curve) -> np.ndarray:
    nodes = np.arange(1, len(curve), dtype=float)
    return np.degrees(np.abs(np.angle(curve.tangents(nodes) / curve.tangents(nodes, before=True))))


def test_a_jog_is_trued_through_its_middle() -> None:
    cap = jogged(3 + 4j)
    assert turns(cap).max() > 20
    run = run_steps((with_cap(cap),), "edge-blend edge=cap reach='30 mm'")
    new = run.after[0].edge("cap").curve
    assert turns(new).max() < 0.1
    (opening,) = run.openings
    assert abs(opening.width) == pytest.approx(5, abs=1e-9)
    assert new.nearest((opening.first + opening.second) / 2)[1] < 0.05


def test_only_between_from_and_to() -> None:
    with pytest.raises(Refusal, match="no step, gap, jog or kink"):
        run_steps((with_cap(jogged(3 + 4j)),), "edge-blend edge=cap from='10 mm' to='100 mm'")


def test_a_smooth_edge_needs_nothing() -> None:
    with pytest.raises(Refusal, match="no step, gap, jog or kink"):
        run_steps((sleeve(Shape()),), "edge-blend edge=hem")


def test_an_unknown_edge_is_refused_with_the_names() -> None:
    with pytest.raises(Refusal, match="cap, underarm back, hem, underarm front"):
        run_steps((sleeve(Shape()),), "edge-blend edge=colar")


def test_a_gap_is_closed_and_other_operations_wait_for_it() -> None:
    cap = cap_curve(Shape())
    a, b = cap.at_length(120.0), cap.at_length(124.0)
    start, end = cap.point(a), cap.point(b)
    bridged = Curve.chain([cap.subcurve(0, a), Curve.polyline([start, end]), cap.subcurve(b, len(cap))])
    piece = replace(with_cap(bridged), gaps=((start, end),))
    with pytest.raises(Refusal, match="open"):
        run_steps((piece,), "cap-raise amount='1/4 in'")
    run = run_steps((piece,), "edge-blend edge=cap", "cap-raise amount='1/4 in'")
    assert run.after[0].gaps == ()


def test_a_dart_is_no_flaw() -> None:
    """A V cut into the armhole stays; a jog beside it is trued."""
    piece = cut_in(bodice(Bodice("front")), "armhole", 0.6, 12.7, 60.0)
    with pytest.raises(Refusal, match="there is no step"):
        run_steps((piece,), "edge-blend edge=armhole")
    curve = piece.edge("armhole").curve
    first, second = curve.split(curve.at_length(70.0))
    segments = first.segments + (1.5 - 1.5j)
    segments[0, :2] = first.segments[0, :2]
    jog = Curve.polyline([complex(segments[-1, 3]), second.start])
    edge = replace(piece.edge("armhole"), curve=Curve.chain([Curve(segments), jog, second]))
    run = run_steps((replace(piece, edges=(edge, *piece.edges[1:])),), "edge-blend edge=armhole")
    trued = run.after[0].edge("armhole").curve
    for dart in piece.darts:
        for at in (dart.start, dart.apex, dart.end):
            assert trued.nearest(at)[1] < 1e-6
    assert len(run.openings) == 1
