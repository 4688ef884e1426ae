"""Sleeves of many shapes, drawn in many ways, are known for what they are."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.app.session import open_drawings
from svgfit.fitting.measure import measure_piece
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.drawing import Shape as Drawn
from svgfit.model.piece import Edge, Piece
from svgfit.model.raw_piece import DrawnPiece
from svgfit.model.refusal import Refusal
from svgfit.pattern.cut_line import cut_line
from svgfit.pattern.recognise.choose import recognise
from tests.fitting.sleeves import Shape, shapes, sleeve
from tests.plugins.stock import stock

from .drawings import Manner, draw, manners, motions

SLEEVE = stock("recognisers/sleeve")
recognise_sleeve, suits_sleeve = SLEEVE.recognise, SLEEVE.suits

many = settings(max_examples=60, deadline=None)
DEMOS = Path(__file__).parents[2] / "demo_svgs"
SEAM, HEM = 15.875, 25.4
CORNERS = ("underarm front", "underarm back", "hem front", "hem back")


def values(piece: Piece) -> dict[str, float]:
    return {one.name: one.value for one in measure_piece(piece)}


def same(found: Piece, wanted: Mapping[str, float], within: float = 1e-6) -> None:
    measured = values(found)
    assert measured.keys() == wanted.keys()
    for name, value in wanted.items():
        assert measured[name] == pytest.approx(value, abs=within), name


def with_allowances(piece: Piece) -> Piece:
    return piece.with_edges(tuple(replace(e, allowance=HEM if e.name == "hem" else SEAM) for e in piece.edges))


def tightest(piece: Piece) -> float:
    """The least radius of the cap, mm."""
    cap = piece.edge("cap").curve
    return 1 / max(abs(cap.curvature(k / 50)) for k in range(50 * len(cap) + 1))


@pytest.mark.slow
@given(shapes, motions, manners, st.sampled_from(["grain", "bicep", "both", "neither"]))
@many
def test_found_again_wherever_and_however_it_is_drawn(shape: Shape, motion: Affine, manner: Manner, lines: str) -> None:
    piece = sleeve(shape)
    found = recognise_sleeve(
        draw(piece, motion, manner, grain=lines in ("grain", "both"), bicep=lines in ("bicep", "both"))
    )
    assert [edge.name for edge in found.edges] == ["cap", "underarm back", "hem", "underarm front"]
    same(found, values(piece))
    assert found.placement.mirrors == motion.mirrors
    for name in CORNERS[:2]:
        assert abs(found.placement.apply(found.landmark(name)) - motion.apply(piece.landmark(name))) < 1e-6
    assert {m.kind: m.edge for m in found.marks if m.at is not None}.get("notch") == "cap"
    assert len(found.notches("cap")) == 3
    assert (found.find_landmark("shoulder notch") is not None) == shape.shoulder


@given(shapes, motions, st.booleans())
@many
def test_without_notches_the_convention_says_where_the_front_is(shape: Shape, motion: Affine, told: bool) -> None:
    """What is drawn on the right lies on the left after mirroring."""
    assume(abs(shape.front - shape.back) > 1)
    piece = sleeve(replace(shape, shoulder=False))
    side = "left" if motion.mirrors else "right"
    texts = () if told else [("Front", 0.7 * shape.front + 50j), ("Sleeve back", -0.7 * shape.back + 50j)]
    more = {"front": side} if told else {}
    found = recognise_sleeve(draw(piece, motion, notches=False, texts=texts, **more))
    same(found, values(sleeve(replace(shape, shoulder=False))))
    other = recognise_sleeve(draw(piece, motion, notches=False, front="left" if side == "right" else "right"))
    assert values(other)["cap length front"] == pytest.approx(values(found)["cap length back"], abs=1e-6)


@pytest.mark.slow
@given(shapes, motions, manners)
@many
def test_landmarks_are_believed(shape: Shape, motion: Affine, manner: Manner) -> None:
    piece = sleeve(shape)
    corners = {"hem back": piece.edge("hem").curve.start, "hem front": piece.edge("hem").curve.end}
    named = [(n, motion.apply(piece.landmark(n))) for n in ("underarm front", "underarm back", "cap top")]
    named += [(name, motion.apply(at)) for name, at in corners.items()]
    drawn = replace(draw(piece, motion, manner, notches=False), landmarks=tuple(named))
    found = recognise_sleeve(drawn)
    assert not [mark.name for mark in found.landmarks if mark.guessed]
    wanted = values(sleeve(replace(shape, shoulder=False)))
    same(found, wanted)


@given(shapes, motions, st.integers(2, 4), st.booleans())
@many
def test_lines_as_polylines_and_the_outline_in_parts(shape: Shape, motion: Affine, parts: int, backwards: bool) -> None:
    """A cap of 80 short straight lines is still one edge; parts are joined end to end."""
    piece = sleeve(shape)
    cap = piece.edge("cap").curve
    fine = Curve.polyline([cap.point(t) for t in [len(cap) * k / 80 for k in range(81)]])
    chopped = piece.with_edges(
        tuple(Edge(e.name, fine, backwards=e.backwards) if e.name == "cap" else e for e in piece.edges)
    )
    found = recognise_sleeve(draw(chopped, motion, Manner(backwards=backwards, parts=parts)))
    same(found, values(chopped))
    assert found.gaps == ()


@pytest.mark.slow
@given(shapes, motions, manners)
@settings(max_examples=40, deadline=None)
def test_both_lines_drawn(shape: Shape, motion: Affine, manner: Manner) -> None:
    piece = with_allowances(sleeve(shape))
    cut = cut_line(piece)
    assert cut is not None
    found = recognise_sleeve(draw(piece, motion, manner, cut=cut))
    same(found, values(piece))
    assert [edge.allowance for edge in found.edges] == [SEAM, SEAM, HEM, SEAM]
    assert found.drawn == ("stitch", "cut")


@pytest.mark.slow
@given(shapes, motions, manners, st.booleans())
@settings(max_examples=60, deadline=None)
def test_only_the_cut_line_drawn(shape: Shape, motion: Affine, manner: Manner, grain: bool) -> None:
    """The stitch line is the inner parallel: two fits, each within 0.05 mm; the cap's hidden ends are guessed on."""
    piece = with_allowances(sleeve(shape))
    assume(tightest(piece) > 1.4 * SEAM)
    cut = cut_line(piece)
    drawn = draw(piece, motion, manner, stitch=False, cut=cut, grain=grain, allowances={"all": SEAM, "hem": HEM})
    found = recognise_sleeve(drawn)
    angle = values(found).pop("underarm corner")
    assert angle == pytest.approx(values(piece)["underarm corner"], abs=2.0)
    wanted = {name: value for name, value in values(piece).items() if name != "underarm corner"}
    for name, value in wanted.items():
        assert values(found)[name] == pytest.approx(value, abs=0.3), name
    assert [edge.allowance for edge in found.edges] == [SEAM, SEAM, HEM, SEAM]
    unturned = recognise_sleeve(
        draw(piece, manner=manner, stitch=False, cut=cut, grain=grain, allowances={"all": SEAM, "hem": HEM})
    )
    same(found, values(unturned))


def test_the_demo_drawn_as_a_cut_line_only_measures_as_the_smocks_sleeve() -> None:
    """The same sleeve drawn twice; the mirrored end of the underarm allowance is not the cap's own cut line."""
    sleeves: list[dict[str, float]] = []
    for name in ("smock.svg", "smock-sleeve-cut-line.svg"):
        sleeves.append(values(next(piece for piece in open_drawings(DEMOS / name).pieces if piece.kind == "sleeve")))
    whole, alone = sleeves
    assert alone.pop("underarm corner") == pytest.approx(whole.pop("underarm corner"), abs=0.5)
    assert alone == pytest.approx(whole, abs=0.1)


@pytest.mark.parametrize("motion", [Affine(), Affine.turn(1.0), Affine.scale(-1, 1)])
def test_a_grain_line_with_nodes_and_heads(motion: Affine) -> None:
    """Ten short parts of a line are still longer than an arrowhead."""
    piece = sleeve(Shape())
    line = Curve.polyline([-90j + 40j * k for k in range(10)])
    head = Curve.polyline([-60 - 40j, -90j, 60 - 40j])
    drawn = replace(draw(piece, motion), grain=(line.transform(motion), head.transform(motion)))
    same(recognise_sleeve(drawn), values(piece))


# -- refusals --------------------------------------------------------------------------------------------------------


def refusal(drawn: DrawnPiece) -> str:
    with pytest.raises(Refusal) as caught:
        recognise_sleeve(drawn)
    line = caught.value.line()
    assert "\n" not in line
    assert line.startswith("page.svg: ")
    assert caught.value.todo
    return line


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("Raglan sleeve", "no cap of its own"),
        ("Kimono_Sleeve", "no cap of its own"),
        ("upper sleeve", "shared with the under sleeve"),
        ("Under-sleeve", "shared with the upper sleeve"),
        ("Cut-on sleeve", "no cap of its own"),
    ],
)
def test_sleeves_of_other_kinds_are_refused_by_name(name: str, why: str) -> None:
    line = refusal(draw(sleeve(Shape()), name=name))
    assert why in line
    assert "ignore" in line


def test_a_sleeve_without_an_underarm_seam_is_refused() -> None:
    """Cap and hem meet: nothing between them."""
    piece = sleeve(Shape())
    cap = piece.edge("cap").curve
    moon = piece.with_edges((piece.edge("cap"), Edge("hem", Curve.polyline([cap.end, cap.start]))))
    line = refusal(draw(moon, front="right"))
    assert "no underarm seam of its own" in line
    assert "landmarks layer" in line


def test_a_rectangle_called_sleeve_is_refused() -> None:
    box = Curve.polyline([0j, 300 + 0j, 300 + 500j, 500j, 0j])
    line = refusal(DrawnPiece("page.svg", "Sleeve", stitch=(Drawn((box,), (True,)),), front="right"))
    assert "no cap was found" in line
    assert '"underarm front"' in line


def test_a_grain_line_across_is_refused() -> None:
    piece = sleeve(Shape())
    drawn = draw(piece, grain=False)
    line = refusal(
        replace(drawn, grain=(Curve.polyline([0j, 200 + 200j]),), bicep=(Curve.polyline([178 + 0j, -170 + 0j]),))
    )
    assert "grain line" in line


@given(shapes, motions)
@settings(max_examples=20, deadline=None)
def test_without_notches_text_or_convention_front_and_back_are_asked_for(shape: Shape, motion: Affine) -> None:
    line = refusal(draw(sleeve(shape), motion, notches=False))
    assert "front and back of the sleeve can't be told apart" in line
    assert "one notch on the front" in line
    assert "pieces.Sleeve" in line


@given(shapes, motions, st.booleans())
@settings(max_examples=20, deadline=None)
def test_notches_on_one_side_only_say_which_side_that_is(shape: Shape, motion: Affine, single: bool) -> None:
    """The only notch of the cap is the front's, an only pair the back's (common practice, no source)."""
    piece = sleeve(replace(shape, shoulder=False))
    kept = tuple(
        mark for mark in piece.marks if mark.kind != "notch" or (mark.at is not None and (mark.at.real > 0) == single)
    )
    found = recognise_sleeve(draw(replace(piece, marks=kept), motion))
    same(found, values(piece))
    word = "the only notch on the cap is taken for the front's" if single else "the only pair of notches"
    assert any(word in note for note in found.guessed)


def test_a_sleeve_by_its_name_only_is_still_read_and_the_reason_kept() -> None:
    from svgfit.model.raw_piece import Recogniser

    recogniser = Recogniser("sleeve", ("sleeve",), suits_sleeve, recognise_sleeve)
    drawn = draw(sleeve(Shape()), notches=False)
    found = recognise(drawn, [recogniser])
    assert found.kind == "other"
    assert found.doubt is not None
    assert found.doubt.kinds == ("sleeve",)
    assert found.guessed[0].startswith(
        "kind: other; it looks like a sleeve, but front and back of the sleeve can't be told apart; draw one notch"
    )
    assert not any("neither its name nor its shape" in note for note in found.guessed)
    with pytest.raises(Refusal, match="can't be told apart"):
        recognise(replace(drawn, kind="sleeve"), [recogniser])


def test_a_cut_line_without_an_allowance_asks_for_it() -> None:
    piece = with_allowances(sleeve(Shape()))
    line = refusal(draw(piece, stitch=False, cut=cut_line(piece)))
    assert "seam allowance is not known" in line
    assert "seam allowance" in line.partition(";")[2]


def test_an_unnamed_piece_is_known_by_its_shape() -> None:
    from svgfit.model.raw_piece import Recogniser

    piece = sleeve(Shape())
    drawn = draw(piece, name="Part 3")
    assert suits_sleeve(drawn) == pytest.approx(0.6)
    recogniser = Recogniser("sleeve", ("sleeve",), suits_sleeve, recognise_sleeve)
    found = recognise(drawn, [recogniser])
    assert found.kind == "sleeve"
    assert found.guessed[0] == "kind: sleeve, by its shape"
    box = Curve.polyline([0j, 300 + 0j, 300 + 500j, 500j, 0j])
    other = recognise(DrawnPiece("page.svg", "Pocket", stitch=(Drawn((box,), (True,)),)), [recogniser])
    assert other.kind == "other"
    assert [edge.name for edge in other.edges] == ["edge 1", "edge 2", "edge 3", "edge 4"]


def test_underarm_points_in_one_place_are_no_fault() -> None:
    drawn = draw(sleeve(Shape()), landmarks=("underarm front",))
    at = dict(drawn.landmarks)["underarm front"]
    with pytest.raises(Refusal, match="both its underarm points lie at one corner"):
        recognise_sleeve(replace(drawn, landmarks=(("underarm front", at), ("underarm back", at))))
    bicep = Curve.polyline([at, at + 1])
    assert recognise_sleeve(replace(drawn, landmarks=(), bicep=(bicep,))).kind == "sleeve"


def test_a_straight_cap_without_a_grain_line_does_not_say_which_way_is_up() -> None:
    box = Curve.polyline([0j, 200 + 0j, 200 + 300j, 300j, 0j])
    corners = zip(CORNERS, (200 + 0j, 0j, 200 + 300j, 300j), strict=True)
    drawn = DrawnPiece(file="a.svg", name="Sleeve", stitch=(Drawn((box,), (True,)),), landmarks=tuple(corners))
    with pytest.raises(Refusal, match="its cap is straight and no grain line is drawn"):
        recognise_sleeve(drawn)


def test_a_side_that_begins_where_it_ends_is_no_fault() -> None:
    """As where handles were pulled too far: the line goes back to where it came from."""
    drop = Curve(np.array([[50 - 150j, 33 - 100j, 17 - 50j, 50 - 150j]]))
    before = Curve.polyline([-100 + 100j, 100j, 200j, -100 + 200j, -100 + 100j, 50 - 150j])
    after = Curve.polyline([50 - 150j, -100 + 50j, -150 + 0j, -100 + 100j])
    outline = Drawn((Curve.chain([before, drop, after]),), (True,))
    assert suits_sleeve(DrawnPiece(file="a.svg", name="Panel", stitch=(outline,))) < 1.0
