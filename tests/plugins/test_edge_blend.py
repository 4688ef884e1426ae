"""edge-blend: trues what is already in the drawing."""

from __future__ import annotations

import numpy as np
import pytest

from svgfit.fitting.sewn import sewn_distance
from svgfit.geometry.curve import Curve
from svgfit.model.operation import replace
from svgfit.model.piece import Edge, Landmark, Mark, Piece
from svgfit.model.refusal import Refusal
from tests.fitting.slashed import level_slash, upright_slash
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
    run = run_steps((with_cap(cap),), "edge-blend edge=cap redraw='30 mm'")
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


# -- peaks and jogs --------------------------------------------------------------------------------------------------


def peaked(front: float, back: float) -> Piece:
    """A cap that comes to a point at its top: ``front`` and ``back`` degrees below level there. Its top is a guess."""
    slopes = [np.exp(1j * np.radians(turn)) for turn in (front, 180 - back)]
    top, ends = -130j, (170 + 0j, -165 + 0j)
    f = Curve(np.array([[ends[0], ends[0] - 90, top + 70 * slopes[0], top]]))
    b = Curve(np.array([[top, top + 70 * slopes[1], ends[1] + 90, ends[1]]]))
    piece = sleeve(Shape(), Curve.chain([f, b]), notches=False)
    return replace(
        piece, landmarks=tuple(replace(one, guessed=True) if one.name == "cap top" else one for one in piece.landmarks)
    )


@pytest.mark.parametrize("front", [2.0, 8.0, 15.0, 22.0])
@pytest.mark.parametrize("back", [2.0, 8.0, 15.0, 22.0])
def test_a_peak_at_a_top_that_nobody_named_is_trued_and_its_height_told(front: float, back: float) -> None:
    before = peaked(front, back)
    assert turns(before.edge("cap").curve).max() == pytest.approx(front + back, abs=1e-6)
    run = run_steps((before,), "edge-blend edge=cap")
    (after,) = run.after
    cap = after.edge("cap").curve
    assert turns(cap).max() < 0.1
    assert cap.inflections() == before.edge("cap").curve.inflections()
    got = run.steps[0].got
    assert got["cap height"] == pytest.approx(-cap.bounds()[1], abs=1e-6)
    assert abs(got["cap height"] - 130.0) < 1.5, "the top stays about where it was"
    assert got["cap length gained"] == pytest.approx(cap.length() - before.edge("cap").curve.length(), abs=1e-6)
    assert abs(got["cap length gained"]) < 1.5
    top = after.landmark("cap top")
    assert top.imag == pytest.approx(cap.bounds()[1], abs=1e-6)
    assert not run.warnings


def test_a_notch_at_the_peak_is_put_on_the_new_line_with_its_mark() -> None:
    before = peaked(20.0, 5.0)
    mark = Mark("shoulder notch", (Curve.polyline([-130j, -124j]),), "cap", -130j)
    landmarks = (*before.landmarks, Landmark("shoulder notch", -130j))
    before = replace(before, marks=(*before.marks, mark), landmarks=landmarks)
    (after,) = run_steps((before,), "edge-blend edge=cap").after
    notch = after.marks[-1]
    assert notch.at is not None
    assert after.edge("cap").curve.nearest(notch.at)[1] < 1e-6
    assert abs(notch.curves[0].start - notch.at) < 1e-6
    assert abs(after.landmark("shoulder notch") - notch.at) < 1e-9


WAYS = {
    "level": lambda cap, high, by: level_slash(cap, 0.45 * high, by),
    "low": lambda cap, high, by: level_slash(cap, 0.12 * high, by),
    "upright": lambda cap, high, by: upright_slash(cap, 0.5, by),
    "two uprights": lambda cap, high, by: upright_slash(upright_slash(cap, 0.3, by), 0.7, by),
}


@pytest.mark.slow_after(1)
@pytest.mark.parametrize("way", WAYS)
def test_a_cap_slashed_by_hand_becomes_one_smooth_line_through_its_jogs(way: str) -> None:
    for shape in (Shape(), Shape(height=100.0, scoop=0.45), Shape(front=140.0, back=150.0, height=150.0, crown=0.5)):
        for by in (1.0, 2.0, 4.0, 6.0, -1.0, -2.0, -4.0, -6.0):
            cap = WAYS[way](cap_curve(shape), shape.height, by)
            run = run_steps((sleeve(shape, cap, notches=False),), "edge-blend edge=cap")
            new = run.after[0].edge("cap").curve
            assert turns(new).max() < 0.1
            assert new.inflections() == 2, "hollow below on both sides, round above: as it was"
            assert not [text for text in run.warnings if "wavers" in text or "tight" in text]
            for opening in run.openings:
                assert new.nearest((opening.first + opening.second) / 2)[1] < 0.2
            told = run.steps[0].got["cap length gained"]
            assert told == pytest.approx(new.length() - cap.length(), abs=1e-6)
            assert told == pytest.approx(sum(one.gain for one in run.openings), abs=1e-6)
            # Away from the jogs the line is the drawn one.
            assert new.nearest(cap.start)[1] < 1e-9
            assert abs(new.tangent(0.0) / cap.tangent(0.0) - 1) < 1e-9


def test_two_jogs_are_trued_each_for_itself() -> None:
    """30 mm apart: neither is redrawn across the other."""
    cap = cap_curve(Shape())
    once = level_slash(level_slash(cap, 60.0, 3.0), 90.0, 3.0)
    run = run_steps((sleeve(Shape(), once, notches=False),), "edge-blend edge=cap")
    assert len(run.openings) == 4
    assert turns(run.after[0].edge("cap").curve).max() < 0.1


def test_from_and_to_are_measured_with_the_darts_closed() -> None:
    piece = cut_in(bodice(Bodice("front")), "armhole", 0.3, 25.0, 60.0)
    curve = piece.edge("armhole").curve
    place = curve.length() - 40.0
    first, second = curve.split(curve.at_length(place))
    segments = second.segments + (1.5 - 1.5j)
    segments[-1, 2:] = second.segments[-1, 2:]
    jog = Curve.polyline([first.end, complex(segments[0, 0])])
    edge = replace(piece.edge("armhole"), curve=Curve.chain([first, jog, Curve(segments)]))
    drawn = replace(piece, edges=(edge, *piece.edges[1:]))
    sewn = sewn_distance(drawn, "armhole", first.end)
    assert sewn < place - 24
    run = run_steps((drawn,), f"edge-blend edge=armhole from='{sewn - 5:.3f} mm' to='{sewn + 5:.3f} mm'")
    assert len(run.openings) == 1


def chords(curve: Curve, count: int = 200) -> Curve:
    """The curve as so many straight lines of one length, as a digitiser traces it."""
    places = curve.at_lengths(np.linspace(0, curve.length(), count + 1))
    return Curve.polyline([curve.point(t) for t in places])


def test_a_cap_of_chords_is_a_curve_and_needs_nothing() -> None:
    cap = chords(cap_curve(Shape()), 120)
    assert turns(cap).max() > 1.5
    with pytest.raises(Refusal, match="no step, gap, jog or kink"):
        run_steps((sleeve(Shape(), cap, notches=False),), "edge-blend edge=cap")


@pytest.mark.parametrize("by", [3.0, -4.0])
def test_only_the_jogs_of_a_cap_of_chords_are_trued(by: float) -> None:
    plain = chords(cap_curve(Shape()), 120)
    cap = level_slash(plain, 60.0, by)
    run = run_steps((sleeve(Shape(), cap, notches=False),), "edge-blend edge=cap")
    assert len(run.openings) == 2
    new = run.after[0].edge("cap").curve
    assert turns(new).max() < turns(plain).max() + 0.1
    # Away from the jogs the points are the drawn ones.
    ends = [opening.first for opening in run.openings]
    for point in cap.segments[:, 0].tolist():
        if min(abs(point - end) for end in ends) > 65.0:
            assert new.nearest(point)[1] < 1e-9
    assert not [text for text in run.warnings if "tight" in text]
