"""Bodice fronts and backs of many shapes, drawn in many ways, are known for what they are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.measure import measure_piece
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.piece import Edge, Mark, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.cut_line import cut_line
from tests.plugins.stock import stock

from .bodices import CORNERS, Bodice, bodice, bodices
from .drawings import Manner, draw, manners, motions

BODICE = stock("recognisers/bodice")
recognise_bodice, suits_bodice, named_kind = BODICE.recognise, BODICE.suits, BODICE.named_kind

SEAM, HEM = 15.875, 38.1
many = settings(max_examples=60, deadline=None)


def values(piece: Piece) -> dict[str, float]:
    return {one.name: one.value for one in measure_piece(piece)}


def found_is(found: Piece, piece: Piece, motion: Affine, within: float = 1e-6) -> None:
    """The same measurements, and each corner where it was drawn."""
    wanted = values(piece)
    assert [edge.name for edge in found.edges] == [edge.name for edge in piece.edges]
    assert found.kind == piece.kind
    measured = values(found)
    assert measured.keys() == wanted.keys()
    for name, value in wanted.items():
        assert measured[name] == pytest.approx(value, abs=within), name
    for name in CORNERS:
        there = found.placement.apply(found.landmark(name))
        assert abs(there - motion.apply(piece.landmark(name))) < within, name
        assert abs(found.landmark(name) - piece.landmark(name)) < within, name


@pytest.mark.slow
@given(bodices, motions, manners, st.booleans())
@many
def test_found_again_wherever_and_however_it_is_drawn(
    shape: Bodice, motion: Affine, manner: Manner, only_grain: bool
) -> None:
    """With its fold or centre line, or with nothing but the grain line; its name says front or back."""
    piece = bodice(replace(shape, fold=shape.fold and not only_grain))
    drawn = draw(piece, motion, manner, notches=False)
    if only_grain:
        drawn = replace(drawn, centre=(), fold=())
    found = recognise_bodice(drawn)
    found_is(found, piece, motion)
    assert found.edge("fold" if piece.has_edge("fold") else "centre").fold == piece.has_edge("fold")
    assert found.placement.mirrors == motion.mirrors


@given(bodices, motions)
@many
def test_fold_or_centre_line_alone_tell_the_grain(shape: Bodice, motion: Affine) -> None:
    piece = bodice(shape)
    found = recognise_bodice(draw(piece, motion, grain=False))
    found_is(found, piece, motion)
    assert any(note.startswith("grain: ") for note in found.guessed)


@given(bodices, motions, manners)
@many
def test_notches_tell_front_from_back_where_the_name_does_not(shape: Bodice, motion: Affine, manner: Manner) -> None:
    piece = bodice(shape)
    found = recognise_bodice(draw(piece, motion, manner, name="Part 2"))
    found_is(found, piece, motion)
    assert len(found.notches("armhole")) == (1 if shape.kind == "front" else 2)
    assert suits_bodice(draw(piece, motion, manner, name="Part 2")) == 0.5


@pytest.mark.slow
@given(bodices, motions, manners)
@many
def test_landmarks_are_believed(shape: Bodice, motion: Affine, manner: Manner) -> None:
    piece = bodice(shape)
    found = recognise_bodice(draw(piece, motion, manner, landmarks=CORNERS))
    found_is(found, piece, motion)
    assert not any(mark.guessed for mark in found.landmarks)


@pytest.mark.slow
@given(bodices, motions, manners)
@settings(max_examples=30, deadline=None)
def test_both_lines_drawn(shape: Bodice, motion: Affine, manner: Manner) -> None:
    piece = with_allowances(bodice(shape))
    assume(tightest(piece) > 1.4 * SEAM)
    cut = cut_line(piece)
    found = recognise_bodice(draw(piece, motion, manner, cut=cut))
    found_is(found, piece, motion)
    assert [edge.allowance for edge in found.edges] == [edge.allowance for edge in piece.edges]


@pytest.mark.slow
@given(bodices, motions, manners, st.booleans())
@settings(max_examples=60, deadline=None)
def test_only_the_cut_line_drawn(shape: Bodice, motion: Affine, manner: Manner, only_grain: bool) -> None:
    """Two parallels, each fitted within 0.05 mm; ends that the mirrored allowances hid are guessed on.

    The more tightly a curve ends, the less is known of its hidden end.
    """
    piece = with_allowances(bodice(replace(shape, fold=shape.fold and not only_grain)))
    radius = tightest(piece)
    assume(radius > 1.4 * SEAM)
    cut = cut_line(piece)
    drawn = draw(piece, motion, manner, stitch=False, cut=cut, allowances={"all": SEAM, "hem": HEM})
    if only_grain:
        drawn = replace(drawn, centre=())
    found = recognise_bodice(drawn)
    found_is(found, piece, motion, within=0.3 if radius > 3 * SEAM else 1.5)
    unturned = recognise_bodice(draw(piece, manner=manner, stitch=False, cut=cut, allowances={"all": SEAM, "hem": HEM}))
    for name, value in values(unturned).items():
        assert values(found)[name] == pytest.approx(value, abs=1e-6)


def with_allowances(piece: Piece) -> Piece:
    return piece.with_edges(
        tuple(replace(e, allowance=0.0 if e.fold else HEM if e.name == "hem" else SEAM) for e in piece.edges)
    )


def tightest(piece: Piece) -> float:
    """The least radius of armhole and neckline, mm."""
    curves = [piece.edge(name).curve for name in ("armhole", "neckline")]
    return 1 / max(abs(curve.curvature(k / 50)) for curve in curves for k in range(50 * len(curve) + 1))


# -- below a yoke ----------------------------------------------------------------------------------------------------


def below_yoke(shape: Bodice, share: float) -> Piece:
    """The bodice cut off straight across, at a share of its armhole's length, so without neckline and shoulder."""
    whole = bodice(shape)
    armhole = whole.edge("armhole").curve
    t = armhole.at_length(share * armhole.length())
    tip, centre = armhole.point(t), whole.landmark("hem centre").real
    top = complex(centre, tip.imag + 5)
    fold = next(edge for edge in whole.edges if edge.name in ("fold", "centre"))
    edges = (
        replace(whole.edges[0], curve=armhole.subcurve(0.0, t)),
        Edge(BODICE.YOKE_SEAM, Curve.polyline([tip, top])),
        replace(fold, curve=Curve.polyline([top, fold.curve.end])),
        *whole.edges[4:],
    )
    line = Curve.polyline([top + 10j, fold.curve.end - 10j])
    grain = Curve.polyline([tip + 40j, tip + 140j])
    marks = (Mark("fold line" if shape.fold else "centre line", (line,)), Mark("grain line", (grain,)))
    points = {"shoulder tip": tip, "neck centre": top}
    landmarks = tuple(
        replace(mark, at=points.get(mark.name, mark.at)) for mark in whole.landmarks if mark.name != "neck point"
    )
    return replace(whole, edges=edges, marks=marks, landmarks=landmarks)


@given(bodices, motions, manners, st.floats(0.55, 0.8), st.booleans())
@many
def test_below_a_yoke_it_has_five_corners(
    shape: Bodice, motion: Affine, manner: Manner, share: float, marked: bool
) -> None:
    piece = below_yoke(replace(shape, length=max(shape.length, 250.0)), share)
    names = [mark.name for mark in piece.landmarks]
    found = recognise_bodice(draw(piece, motion, manner, landmarks=names if marked else ()))
    assert [edge.name for edge in found.edges] == [edge.name for edge in piece.edges]
    for edge in piece.edges:
        assert found.edge(edge.name).curve.length() == pytest.approx(edge.curve.length(), abs=1e-6)
    for name in names:
        assert abs(found.placement.apply(found.landmark(name)) - motion.apply(piece.landmark(name))) < 1e-6
    assert marked or any("below a yoke" in note for note in found.guessed)


def test_a_neck_point_too_blunt_to_see_is_no_yoke_seam() -> None:
    """Five corners because shoulder and neckline run into one another: asked for, not taken for a yoke's seam."""
    whole = bodice(Bodice())
    tip, neck_point, centre = (whole.landmark(name) for name in ("shoulder tip", "neck point", "neck centre"))
    blunt = Curve(np.array([[tip, neck_point, neck_point + 30j, centre]]))
    edges = (whole.edges[0], Edge("shoulder", blunt), *whole.edges[3:])
    line = refusal(draw(replace(whole, edges=edges)))
    assert "5 corners where a bodice has six" in line


# -- refusals --------------------------------------------------------------------------------------------------------


def refusal(drawn: DrawnPiece) -> str:
    with pytest.raises(Refusal) as caught:
        recognise_bodice(drawn)
    line = caught.value.line()
    assert "\n" not in line
    assert line.startswith("page.svg: ")
    assert caught.value.todo
    return line


def test_a_box_has_too_few_corners() -> None:
    box = Curve.polyline([0j, 300 + 0j, 300 + 500j, 500j, 0j])
    grain = (Curve.polyline([100 + 50j, 100 + 400j]),)
    line = refusal(DrawnPiece("page.svg", "Front", stitch=(Drawn((box,), (True,)),), grain=grain))
    assert "4 corners where a bodice has six" in line
    assert '"shoulder tip"' in line


def test_without_grain_fold_or_centre_up_is_not_known() -> None:
    drawn = draw(bodice(Bodice()), grain=False)
    line = refusal(replace(drawn, fold=()))
    assert "so up is not known" in line
    assert "grain line" in line


def test_front_or_back_is_asked_for() -> None:
    line = refusal(draw(bodice(Bodice()), notches=False, name="Part 2"))
    assert "front and back can't be told apart" in line
    assert 'pieces."Part 2"' in line


def test_names() -> None:
    assert named_kind("Smock_front (cut 2)") == "front"
    assert named_kind("back") == "back"
    assert named_kind("Front facing") is None
    assert named_kind("Backing") is None


@pytest.mark.parametrize("moved", [("neck point", "hem side"), ("hem side", "neck point"), ("underarm", "neck centre")])
def test_landmarks_at_one_corner_or_out_of_order_are_refused(moved: tuple[str, str]) -> None:
    drawn = draw(bodice(Bodice()), landmarks=CORNERS)
    at = dict(drawn.landmarks)
    for changed in ({moved[0]: at[moved[1]]}, {moved[0]: at[moved[1]], moved[1]: at[moved[0]]}):
        with pytest.raises(Refusal, match="do not lie each at a corner of its own, in this order") as caught:
            recognise_bodice(replace(drawn, landmarks=tuple({**at, **changed}.items())))
        assert '"hem centre", "neck centre", "neck point"' in str(caught.value)


def test_an_edge_that_begins_where_it_ends_is_no_fault() -> None:
    """A handle pulled too far: at a corner the line goes once round a drop."""
    parts = [
        Curve(np.array([[0j, 40 + 0j, 41 - 105j, 45 - 210j]])),
        Curve(np.array([[45 - 210j, 45 - 210j, 255 - 180j, 255 - 180j]])),
        Curve(np.array([[255 - 180j, 183 - 215j, 211 - 180j, 255 - 180j]])),
        Curve.polyline([255 - 180j, 255 + 400j, -10 + 400j, 0j]),
    ]
    grain = Curve.polyline([153 - 50j, 153 + 320j])
    outline = Drawn((Curve.chain(parts),), (True,))
    with pytest.raises(Refusal):
        recognise_bodice(DrawnPiece(file="a.svg", name="Front", stitch=(outline,), grain=(grain,)))
