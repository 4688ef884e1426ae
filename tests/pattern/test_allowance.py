"""Cut lines and the stitch lines within them. The rules of allowances are common practice, no source."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.app.session import open_drawings
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.length import both_ways_text
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.allowance import allowance_of, measured_allowances, round_width, stitch_edges
from svgfit.pattern.corners import points_along
from svgfit.pattern.cut_corners import rank
from svgfit.pattern.cut_line import cut_line
from tests.fitting.sleeves import Shape, shapes, sleeve

from .bodices import Bodice, bodice, bodices

many = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
widths = st.tuples(st.floats(5, 20), st.floats(5, 20), st.floats(8, 45))
TIGHT = Bodice(
    across=59.366703795258914,
    shoulder=106.56919516491007,
    drop=50.63379273850833,
    neck=79.1733557950951,
    neck_depth=47.30476563431635,
    armhole=218.4803648243637,
    scoop=0.7,
    length=150.0,
    flare=23.676685421124702,
    fold=False,
    hem_dip=12.656140593679234,
)
"""Its armhole ends so tightly that its cut line, mirrored, runs along the side seam's and meets it far off."""
MIDDLE = np.linspace(0.1, 0.9, 33).tolist()


def with_widths(piece: Piece, wide: tuple[float, float, float]) -> Piece:
    """Allowances by rank: armhole and neck edges, seams pressed open, hem."""
    return piece.with_edges(tuple(replace(e, allowance=0.0 if e.fold else wide[rank(e.name) - 1]) for e in piece.edges))


def roomy(piece: Piece, times: float = 1.3) -> bool:
    """Whether no hollow of the stitch line is tighter than its allowance has room for."""
    for edge in piece.edges:
        tightest = max(abs(edge.curve.curvature(k / 40)) for k in range(40 * len(edge.curve) + 1))
        if tightest * times * (edge.allowance or 0.0) >= 1:
            return False
    return True


def outward(piece: Piece, edge: Edge) -> np.ndarray:
    """Points beside an edge's middle four fifths, at its allowance; none where a neighbour's is folded over it."""
    points = points_along(edge.curve, MIDDLE)
    widest = max(one.allowance or 0.0 for one in piece.edges)
    ends = np.minimum(np.abs(points - edge.curve.start), np.abs(points - edge.curve.end))
    points = points[ends > 2 * widest] if edge.name != "hem" else points
    ways = np.array([edge.curve.tangent(edge.curve.nearest(complex(point))[0]) for point in points])
    return points + (edge.allowance or 0.0) * ways * (-1j if piece.outline().area() > 0 else 1j)


def off(cut: Curve, points: np.ndarray) -> float:
    return max((cut.nearest(complex(point))[1] for point in points), default=0.0)


def whole(piece: Piece) -> Curve:
    cut = cut_line(piece)
    assert cut is not None
    return cut


@pytest.mark.slow
@given(shapes, widths)
@many
def test_a_sleeves_cut_line_is_parallel_closed_plain_and_has_few_nodes(
    shape: Shape, wide: tuple[float, float, float]
) -> None:
    piece = with_widths(sleeve(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    for edge in piece.edges:
        assert off(cut, outward(piece, edge)) < 0.05, edge.name
    assert cut.start == cut.end
    assert self_crossing(cut) is None
    assert len(cut) <= 3 * len(piece.outline()) + 12
    assert abs(cut.area()) > abs(piece.outline().area())


@pytest.mark.slow
@given(bodices, widths)
@many
def test_a_bodices_too(shape: Bodice, wide: tuple[float, float, float]) -> None:
    piece = with_widths(bodice(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    for edge in piece.edges:
        assert off(cut, outward(piece, edge)) < 0.05, edge.name
    assert cut.start == cut.end
    assert self_crossing(cut) is None
    assert len(cut) <= 3 * len(piece.outline()) + 12


def test_a_mirrored_end_does_not_run_on_beside_the_line_that_it_should_meet() -> None:
    piece = with_widths(bodice(TIGHT), (15.875, 15.875, 38.1))
    cut = whole(piece)
    places = cut.points(np.linspace(0, len(cut), 40 * len(cut) + 1))
    beside = places[(np.abs(places) < 120) & (places.imag < 0) & (places.real < 5)]
    assert np.abs(beside).max() < 3 * 15.875
    assert self_crossing(cut) is None


@pytest.mark.slow
@given(shapes, widths)
@many
def test_underarm_and_hem_allowances_lie_flush_when_folded_back(shape: Shape, wide: tuple[float, float, float]) -> None:
    """Out over a seam's end, the cut line on one side of the seam is the mirror image of that on the other."""
    piece = with_widths(sleeve(shape), wide)
    assume(roomy(piece))
    cut = whole(piece)
    places = cut.points(np.linspace(0, len(cut), 300 * len(cut) + 1))
    front, back, hem = (piece.edge(name).curve for name in ("underarm front", "underarm back", "hem"))
    for corner, seam, width in (
        (front.end, front.tangent(1.0, before=True), wide[1]),
        (back.start, -back.tangent(0.0), wide[1]),
        (hem.end, hem.tangent(1.0, before=True), wide[2]),
        (hem.start, -hem.tangent(0.0), wide[2]),
    ):
        local = (places - corner) / seam  # +x: on along the seam, out of the piece
        over = local[(local.real > 0.2) & (np.abs(local) < 3 * (width + wide[0])) & (np.abs(local.imag) < width - 0.2)]
        assert (over.imag > 0.5).any()
        assert (over.imag < -0.5).any()
        assert off(cut, (corner + seam * over.conj())[::5]) < 0.05


@pytest.mark.slow
@given(bodices, widths)
@many
def test_nothing_is_added_at_a_fold_and_the_neighbours_run_to_it(
    shape: Bodice, wide: tuple[float, float, float]
) -> None:
    piece = with_widths(bodice(replace(shape, fold=True)), wide)
    assume(roomy(piece))
    cut = whole(piece)
    fold = piece.edge("fold").curve
    assert off(cut, points_along(fold, MIDDLE)) < 1e-9
    left, _, right, _ = cut.bounds()
    assert (right if shape.kind == "front" else left) == pytest.approx(fold.start.real, abs=1e-9)
    at_fold = sorted(cut.point(t).imag for t in np.linspace(0, len(cut), 200 * len(cut) + 1) if _near(cut, t, fold))
    # A hem may slope, and then its allowance meets the fold so much lower.
    slope = piece.edge("hem").curve.tangent(0.0)
    assert at_fold[-1] == pytest.approx(fold.end.imag + wide[2] / abs(slope.real), abs=1e-6)
    assert at_fold[0] == pytest.approx(fold.start.imag - wide[0], abs=0.05)


def _near(cut: Curve, t: float, fold: Curve) -> bool:
    return abs(cut.point(t).real - fold.start.real) < 1e-7


def test_an_allowance_wider_than_a_hollow_is_refused() -> None:
    """A hollow of radius r has room for less than r."""
    k, r = 4 / 3 * np.tan(np.pi / 8), 12.0
    hollow = Curve(np.array([[1j * r, k * r + 1j * r, r + 1j * k * r, r + 0j]]))  # a quarter circle about 0
    edges = (
        Edge("cap", hollow),
        Edge("underarm back", Curve.polyline([r + 0j, 100 + 0j])),
        Edge("hem", Curve.polyline([100 + 0j, 100 + 100j])),
        Edge("underarm front", Curve.polyline([100 + 100j, 100j, 1j * r])),
    )
    piece = Piece("page.svg", "Sleeve", "sleeve", edges, Affine())
    narrow = piece.with_edges(tuple(replace(e, allowance=10.0) for e in edges))
    assert whole(narrow).is_closed()
    with pytest.raises(Refusal) as caught:
        cut_line(piece.with_edges(tuple(replace(e, allowance=13.0) for e in edges)))
    line = caught.value.line()
    assert "page.svg: Sleeve: cap" in line
    assert "13.0 mm (1/2 in) is wider than the edge's curve has room for (radius 1" in line
    assert "smaller" in line


def test_no_cut_line_where_an_allowance_is_not_known_or_none_has_any() -> None:
    piece = sleeve(Shape())
    assert cut_line(piece) is None
    assert cut_line(with_widths(piece, (0.0, 0.0, 0.0))) is None


@given(shapes, st.floats(-np.pi, np.pi), st.booleans())
@settings(max_examples=20, deadline=None)
def test_turned_or_mirrored_the_cut_line_is_the_same(shape: Shape, angle: float, mirrored: bool) -> None:
    piece = with_widths(sleeve(shape), (15.875, 15.875, 25.4))
    assume(roomy(piece))
    motion = (Affine.scale(-1, 1) if mirrored else Affine()).then(Affine.turn(angle)).then(Affine.shift(300 - 90j))
    moved = piece.with_edges(tuple(replace(e, curve=e.curve.transform(motion)) for e in piece.edges))
    first, second = whole(piece).transform(motion), whole(moved)
    assert len(first) == len(second)
    assert np.abs(first.segments - second.segments).max() < 1e-5


@pytest.mark.slow
@given(shapes)
@settings(max_examples=30, deadline=None)
def test_from_cut_line_to_stitch_line_is_the_way_back(shape: Shape) -> None:
    """Two fits of 0.05 mm each; corners that the mirrored allowances hid are guessed on."""
    calm = replace(shape, length=shape.length + 200, wrist=max(shape.wrist, 0.75))
    piece = with_widths(sleeve(calm), (15.875, 15.875, 25.4))
    assume(roomy(piece, 1.5))
    cut = whole(piece)
    corners = [cut.nearest(point)[0] for point in cut_corners(piece, cut)]
    sides = [stretch(cut, a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    drawn = [replace(e, curve=side) for e, side in zip(piece.edges, sides, strict=True)]
    found = stitch_edges("page.svg: Sleeve", drawn, -1.0 if cut.area() > 0 else 1.0)
    for old, new in zip(piece.edges, found, strict=True):
        assert off(new.curve, points_along(old.curve, MIDDLE)) < 0.1
        assert abs(new.curve.length() - old.curve.length()) < 0.3
        assert new.allowance == old.allowance


def cut_corners(piece: Piece, cut: Curve) -> list[complex]:
    """The sharp corners of a cut line that are nearest to the starts of the piece's edges."""
    nodes = np.arange(len(cut), dtype=float)
    into, out = np.roll(cut.tangents(nodes + 1, before=True), 1), cut.tangents(nodes)
    sharp = cut.segments[np.abs(np.angle(out / into)) > 0.7, 0]
    return [complex(sharp[np.argmin(np.abs(sharp - edge.curve.start))]) for edge in piece.edges]


def stretch(loop: Curve, start: float, end: float) -> Curve:
    if end - start > 1e-9:
        return loop.subcurve(start, end)
    parts = [loop.subcurve(a, b) for a, b in ((start, float(len(loop))), (0.0, end)) if b - a > 1e-9]
    return Curve.chain(parts)


# -- measuring and naming --------------------------------------------------------------------------------------------


def test_drawn_allowances_are_measured_and_tidied() -> None:
    piece = with_widths(sleeve(Shape()), (15.875, 12.7, 25.4))
    found, notes = measured_allowances(piece.edges, whole(piece))
    assert [edge.allowance for edge in found] == [15.875, 12.7, 25.4, 12.7]
    assert notes == ()
    slanted = Curve.polyline([-300 - 300j, 300 - 300j, 300 + 460j, -300 + 440j, -300 - 300j])
    _, notes = measured_allowances([e for e in piece.edges if e.name == "hem"], slanted)
    assert len(notes) == 1
    assert "varies, 18.6 mm (3/4 in) to 21.5 mm (7/8 in); 20.1 mm (13/16 in) is used" in both_ways_text(notes[0])


@pytest.mark.parametrize(
    ("width", "tidy"), [(15.874996, 15.875), (15.9, 15.875), (10.03, 10.0), (6.351, 6.35), (8.2537, 8.25), (0.0, 0.0)]
)
def test_tidy_widths(width: float, tidy: float) -> None:
    assert round_width(width) == tidy


def test_a_wider_name_gives_the_allowance() -> None:
    said = {"all": 10.0, "underarm": 20.0, "underarm back": 25.0, "hem": 30.0}
    assert [allowance_of(name, said) for name in ("cap", "underarm front", "underarm back", "hem")] == [10, 20, 25, 30]
    assert allowance_of("cap", {"hem": 30.0}) is None


DEMO = str(Path(__file__).parents[2] / "demo_svgs" / "smock.svg")


def test_an_acute_corner_gets_a_square_end_like_the_persons_own_and_no_thorn() -> None:
    """The demo's back neck, whose own cut line is squared there: the new one lies on it, all round."""
    session = open_drawings(DEMO)
    (back,) = [piece for piece in session.pieces if piece.kind == "back"]
    layers = [layer for drawing in session.drawings for layer in drawing.layers if layer.name == "Back cut line"]
    (own,) = [curve for layer in layers for shape in layer.shapes for curve in shape.curves]
    cut = whole(back).transform(back.placement)
    neck = back.placement.apply(back.landmark("neck point"))
    places = cut.points(np.linspace(0, len(cut), 60 * len(cut) + 1))
    near = places[np.abs(places - neck) < 60]
    assert len(near) > 20
    assert max(own.nearest(complex(point))[1] for point in near) < 0.3
    assert np.abs(places - neck).min() > 10
