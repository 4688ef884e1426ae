"""seam-allowance: what it must show."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.geometry.intersect import self_crossing
from svgfit.model.piece import Mark, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.cut_line import cut_line
from tests.fitting.sleeves import Shape, shapes, sleeve
from tests.pattern.bodices import Bodice
from tests.pattern.bodices import bodice as shaped

from .running import INCH, bodice, run_steps


def cut(piece: Piece) -> Curve:
    line = cut_line(piece)
    assert line is not None
    return line


def away(line: Curve, piece: Piece, edge: str, share: float = 0.5) -> float:
    curve = piece.edge(edge).curve
    return line.nearest(curve.point(curve.at_length(share * curve.length())))[1]


def test_cut_edges_lie_half_an_inch_apart_when_stitch_lines_with_7_8_and_3_8_meet() -> None:
    """The one seam laid on the other, right sides together: arithmetic, worked by hand."""
    pieces = (bodice("front", 225), bodice("back", 225))
    run = run_steps(
        pieces,
        "seam-allowance piece=Front width='3/8 in'",
        "seam-allowance piece=Back width='3/8 in'",
        "seam-allowance piece=Front edge='side seam' width='7/8 in'",
    )
    front, back = run.after
    # The back mirrored on the front's side seam.
    here, there = (piece.edge("side seam").from_front() for piece in (front, back))
    assert here.length() == pytest.approx(there.length(), abs=1e-9)
    mirror = Affine.mirror(0j, 1j)
    turn = Affine.turn(np.angle((here.end - here.start) / mirror.apply_vector(there.end - there.start)))
    laid = Affine.shift(-there.start).then(mirror).then(turn).then(Affine.shift(here.start))
    assert abs(laid.apply(there.end) - here.end) < 1e-9
    middle = here.point(len(here) / 2)
    square = 1j * here.tangent(0.5)
    places = []
    for line in (cut(front), cut(back).transform(laid)):
        met = [line.point(t) for t in line.crossings(middle - 60 * square, middle + 60 * square)]
        places.append(min(met, key=lambda point: abs(point - middle)))
    assert abs(places[0] - places[1]) == pytest.approx(0.5 * INCH, abs=0.01)


@pytest.mark.slow
@given(shapes, st.floats(3, 20), st.floats(3, 45))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_each_edge_has_its_own_width_and_the_stitch_line_stays(shape: Shape, wide: float, hem: float) -> None:
    assume(hem < 0.4 * shape.length)
    before = sleeve(shape)
    run = run_steps((before,), f"seam-allowance width='{wide:.9f} mm'", f"seam-allowance edge=hem width='{hem:.9f} mm'")
    (after,) = run.after
    for old, new in zip(before.edges, after.edges, strict=True):
        assert np.array_equal(old.curve.segments, new.curve.segments)
    assert after.marks == before.marks
    line = cut(after)
    for edge in ("underarm front", "underarm back", "cap"):
        for share in (0.3, 0.5, 0.7):
            assert away(line, after, edge, share) == pytest.approx(wide, abs=0.06)
    assert away(line, after, "hem") == pytest.approx(hem, abs=0.06)
    assert run.steps[1].got["hem seam allowance"] == pytest.approx(hem, abs=0.06)
    assert line.is_closed()
    assert self_crossing(line) is None
    # All of the stitch line lies inside the cut line, and at the corners no nearer than the narrower allowance.
    assert abs(line.area()) > abs(after.outline().area())
    outline = after.outline()
    for point in line.points(np.linspace(0, len(line), 100)):
        assert outline.nearest(complex(point))[1] > min(wide, hem) - 0.06


def test_a_hem_turned_up_lies_flush_on_the_sleeve() -> None:
    """The cut line beyond the hem, mirrored about the hem, runs along the cut line above it: common practice."""
    run = run_steps((sleeve(Shape()),), "seam-allowance width='3/8 in'", "seam-allowance edge=hem width='1 in'")
    (piece,) = run.after
    line, hem = cut(piece), piece.edge("hem").curve
    beyond = [p for p in line.points(np.linspace(0, len(line), 4000)) if p.imag > hem.start.imag + 0.5]
    inner = [p for p in beyond if p.imag < hem.start.imag + INCH - 0.5]
    assert len(inner) > 10
    for point in inner:
        assert line.nearest(Affine.mirror(hem.start, hem.end).apply(complex(point)))[1] < 0.1


def test_a_fold_keeps_none_and_all_the_rest_get_it() -> None:
    before = shaped(Bodice())
    run = run_steps((before,), "seam-allowance width='10 mm'")
    (after,) = run.after
    assert [edge.allowance for edge in after.edges if edge.fold] == [None]
    assert all(edge.allowance == 10 for edge in after.edges if not edge.fold)
    line = cut(after)
    fold = after.edge("fold").curve
    assert line.nearest(fold.point(0.5))[1] < 1e-6
    # The neighbours' cut lines end on the fold's line.
    assert line.bounds()[2] == pytest.approx(fold.start.real, abs=1e-6)


def test_a_wider_name_means_every_edge_of_it() -> None:
    (after,) = run_steps((sleeve(Shape()),), "seam-allowance edge=Underarm width='1 in'").after
    assert [edge.allowance for edge in after.edges] == [None, INCH, None, INCH]


def test_what_is_not_known_yet_is_said_and_no_cut_line_drawn() -> None:
    run = run_steps((sleeve(Shape()),), "seam-allowance edge=hem width='1 in'")
    assert any("cap, underarm back, underarm front is not known" in warning for warning in run.warnings)
    assert cut_line(run.after[0]) is None
    assert run.steps[0].got == {}


def test_none_at_all() -> None:
    run = run_steps((sleeve(Shape()),), "seam-allowance width='0 in'")
    assert cut_line(run.after[0]) is None
    assert set(run.steps[0].got.values()) == {0.0}


@given(st.floats(-math.pi, math.pi), st.booleans())
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_however_the_piece_lies_on_the_page(angle: float, mirrored: bool) -> None:
    motion = Affine.turn(angle).then(Affine.shift(400 + 900j))
    if mirrored:
        motion = Affine.scale(-1, 1).then(motion)
    step = "seam-allowance width='5/8 in'"
    (plain,) = run_steps((sleeve(Shape()),), step).after
    (placed,) = run_steps((replace(sleeve(Shape()), placement=motion),), step).after
    assert np.allclose(cut(plain).segments, cut(placed).segments, atol=1e-6, rtol=0)


@pytest.mark.parametrize(
    ("step", "what"),
    [
        ("seam-allowance edge=collar width='1 in'", "its edges are cap, underarm back, hem, underarm front"),
        ("seam-allowance piece=Front edge=fold width='1 in'", "is a fold"),
        ("seam-allowance width='-1 in'", "too little"),
        ("seam-allowance piece=Front width='6 in'", "seam allowance"),
        ("seam-allowance edge=hem", "width must be given"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(step: str, what: str) -> None:
    pieces = (shaped(Bodice()),) if "piece=Front" in step else (sleeve(Shape()),)
    with pytest.raises(Refusal) as refused:
        run_steps(pieces, step)
    line = refused.value.line()
    assert what in line
    assert "\n" not in line
    assert ";" in line


@pytest.mark.slow_after(4)
@pytest.mark.parametrize("width", [0.25, 0.625, 1.0, 2.0, 2.5, 3.0, 4.0, 6.0, 8.0])
def test_a_cut_line_lies_at_the_width_asked_or_is_refused(width: float) -> None:
    """Counted by another way than the tool's: the nearest place of the cut line, from a third to two thirds."""
    steps = ("seam-allowance width='5/8 in'", f"seam-allowance edge=cap width='{width} in'")
    if width > 2.6:
        with pytest.raises(Refusal, match=r"make that allowance smaller|make the seam allowance there smaller"):
            run_steps((sleeve(Shape()),), *steps)
        return
    (piece,) = run_steps((sleeve(Shape()),), *steps).after
    for share in np.linspace(0.33, 0.67, 15).tolist():
        assert away(cut(piece), piece, "cap", share) == pytest.approx(width * INCH, abs=0.1)


@pytest.mark.parametrize("width", [2, 3, 4, 6, 8])
def test_a_hollow_too_tight_for_the_width_is_refused_however_wide(width: int) -> None:
    with pytest.raises(Refusal):
        run_steps(
            (shaped(Bodice("back")),),
            "seam-allowance width='5/8 in'",
            f"seam-allowance edge=armhole width='{width + 2} in'",
        )


@pytest.mark.parametrize(("width", "told"), [("2 in", False), ("2 1/4 in", True), ("5 cm", False)])
def test_more_than_two_inches_is_told_of(width: str, told: bool) -> None:
    run = run_steps((sleeve(Shape()),), "seam-allowance width='5/8 in'", f"seam-allowance edge=hem width='{width}'")
    assert any("more than usual" in warning for warning in run.warnings) == told


@pytest.mark.slow_after(10)
@pytest.mark.parametrize("drawn", [(0.0, 15.875), (0.0, 18.875), (-2.0, 15.875), (9.525, 15.875), (12.0, 18.0)])
@pytest.mark.parametrize("width", ["0 in", "1/8 in", "3/8 in", "1 1/4 in"])
def test_notches_end_at_the_new_cut_line_as_far_over_it_as_before(drawn: tuple[float, float], width: str) -> None:
    (before,) = run_steps((sleeve(Shape()),), "seam-allowance width='5/8 in'").after
    before = replace(before, marks=tuple(upright(before, mark, drawn) for mark in before.marks))
    (after,) = run_steps((before,), f"seam-allowance edge=cap width='{width}'").after
    line, wide = cut(after), after.edge("cap").allowance
    marks = [mark for mark in after.marks if mark.edge == "cap"]
    assert len(marks) == 4
    for mark in marks:
        heights = [height(after, mark, point) for point in (mark.curves[0].start, mark.curves[0].end)]
        assert max(heights) - wide == pytest.approx(drawn[1] - 0.625 * INCH, abs=1e-6)
        assert max(heights) - min(heights) >= 3 - 1e-6
        assert min(heights) <= wide
        if drawn[1] == 15.875:
            end = max((mark.curves[0].start, mark.curves[0].end), key=lambda point: height(after, mark, point))
            assert line.nearest(end)[1] < 0.06


def test_there_and_back_a_notch_is_as_it_was() -> None:
    (before,) = run_steps((sleeve(Shape()),), "seam-allowance width='5/8 in'").after
    before = replace(before, marks=tuple(upright(before, mark, (0.0, 18.0)) for mark in before.marks))
    (after,) = run_steps((before,), "seam-allowance width='1 in'", "seam-allowance width='5/8 in'").after
    for one, other in zip(before.marks, after.marks, strict=True):
        assert np.allclose(one.curves[0].segments, other.curves[0].segments, atol=1e-9)


def test_a_mark_on_the_stitch_line_alone_stays() -> None:
    (before,) = run_steps((sleeve(Shape()),), "seam-allowance width='5/8 in'").after
    before = replace(before, marks=tuple(upright(before, mark, (-4.0, 2.0)) for mark in before.marks))
    assert run_steps((before,), "seam-allowance edge=cap width='1 1/4 in'").after[0].marks == before.marks


def upright(piece: Piece, mark: Mark, heights: tuple[float, float]) -> Mark:
    """The notch drawn square to the cap from one height over the stitch line to another."""
    if mark.edge != "cap" or mark.at is None:
        return mark
    curve = piece.edge("cap").curve
    out = 1j * curve.tangent(curve.nearest(mark.at)[0])
    out = out if out.imag < 0 else -out
    return replace(mark, curves=(Curve.polyline([mark.at + high * out for high in heights]),))


def height(piece: Piece, mark: Mark, point: complex) -> float:
    curve = piece.edge("cap").curve
    assert mark.at is not None
    out = 1j * curve.tangent(curve.nearest(mark.at)[0])
    out = out if out.imag < 0 else -out
    return float((out.conjugate() * (point - mark.at)).real)
