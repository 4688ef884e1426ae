"""Shoulder yokes of many shapes, drawn in many ways, are known for what they are."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from svgfit.fitting.measure import measure_piece
from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.recognise.choose import recognise
from svgfit.plugin.registry import open_registry

from .drawings import Manner, as_shape, manners, motions
from .yokes import CORNERS, Yoke, corners, edges, half, whole, yokes

(YOKE,) = (one for one in open_registry().recognisers() if one.name == "yoke")
recognise_yoke, suits_yoke = YOKE.recognise, YOKE.suits
some = settings(max_examples=40, deadline=None)


def on_page(piece: Piece, name: str) -> Curve:
    return piece.edge(name).from_front().transform(piece.placement)


def lies_as(piece: Piece, name: str, start: complex, end: complex, motion: Affine) -> None:
    curve = on_page(piece, name)
    assert abs(curve.start - motion.apply(start)) < 1e-6, name
    assert abs(curve.end - motion.apply(end)) < 1e-6, name


@given(yokes, motions, manners, st.sampled_from(["fold", "centre"]))
@some
def test_half_a_yoke_wherever_and_however_it_is_drawn(shape: Yoke, motion: Affine, manner: Manner, line: str) -> None:
    found = recognise_yoke(half(shape, motion, manner, line))
    assert found.kind == "yoke"
    wanted = edges(shape)
    at = corners(shape)
    for name in ("neckline", "front seam", "armhole", "back seam"):
        assert found.edge(name).curve.length() == pytest.approx(wanted[name].length(), abs=1e-6)
    assert found.edge(line).fold == (line == "fold")
    lies_as(found, "armhole", at["armhole front"], at["armhole back"], motion)
    lies_as(found, "front seam", at["armhole front"], at["neck point"], motion)
    lies_as(found, "back seam", at["armhole back"], at["back centre"], motion)


@given(yokes, motions, manners)
@some
def test_a_whole_yoke_has_each_seam_twice(shape: Yoke, motion: Affine, manner: Manner) -> None:
    found = recognise_yoke(whole(shape, motion, manner))
    wanted = edges(shape)
    lengths = {name: wanted[name].length() for name in ("front seam", "armhole")}
    lengths["back seam"] = corners(shape)["armhole back"].real  # straight across here
    for name, length in lengths.items():
        for edge in (name, f"{name} other side"):
            assert found.edge(edge).curve.length() == pytest.approx(length, abs=1e-5)
    assert len(found.edges) == 7


@pytest.mark.slow
@given(yokes, motions, manners)
@some
def test_landmarks_are_believed(shape: Yoke, motion: Affine, manner: Manner) -> None:
    """Where the neckline is straight and a further corner stands in it."""
    at = corners(shape)
    bent = at["neck point"] * 0.5 + 12j
    loop = Curve.polyline([at["neck centre"], bent, *(at[name] for name in CORNERS[1:]), at["neck centre"]])
    drawn = replace(
        half(shape, motion),
        stitch=(as_shape([loop], motion),),
        landmarks=tuple((name, motion.apply(point)) for name, point in at.items()),
    )
    found = recognise_yoke(drawn)
    lies_as(found, "armhole", at["armhole front"], at["armhole back"], motion)
    assert found.edge("neckline").curve.length() == pytest.approx(abs(bent) + abs(at["neck point"] - bent), abs=1e-6)


def test_it_is_measured() -> None:
    measured = {one.name: one.value for one in measure_piece(recognise_yoke(half(Yoke())))}
    for edge, name in (("armhole", "armhole length"), ("front seam", "front seam"), ("back seam", "back seam")):
        assert measured[name] == pytest.approx(edges(Yoke())[edge].length(), abs=1e-6)


def test_names() -> None:
    drawn = half(Yoke())
    assert suits_yoke(drawn) == 1.0
    assert suits_yoke(replace(drawn, name="Back yoke (cut 2)")) == 1.0
    for name in ("Skirt yoke", "Collar", "Yokel"):
        assert suits_yoke(replace(drawn, name=name)) == 0.0


def test_what_can_not_be_told_is_asked_for() -> None:
    box = as_shape([Curve.polyline([0j, 100 + 0j, 100 + 50j, 50j, 0j])])
    with pytest.raises(Refusal, match="five corners, this one has 4") as caught:
        recognise_yoke(replace(half(Yoke()), stitch=(box,), fold=(Curve.polyline([0j, 50j]),)))
    assert '"armhole front"' in caught.value.todo
    with pytest.raises(Refusal, match="no fold or centre line"):
        recognise_yoke(replace(half(Yoke()), fold=()))
    straight = [0j, 80 + 60j, 200 + 60j, 200 - 60j, -90j]
    loop = as_shape([Curve.polyline([*straight, 0j])])
    with pytest.raises(Refusal, match="neither is hollow"):
        recognise_yoke(replace(half(Yoke()), stitch=(loop,), fold=(Curve.polyline([-90j, 0j]),)))


def test_the_stock_plug_in_knows_it() -> None:
    assert recognise(half(Yoke()), open_registry().recognisers()).kind == "yoke"
    skirt = recognise(replace(half(Yoke()), name="Skirt yoke"), open_registry().recognisers())
    assert skirt.kind == "other"


def test_landmarks_at_one_corner_are_refused() -> None:
    at = {**corners(Yoke()), "armhole front": corners(Yoke())["neck point"]}
    with pytest.raises(Refusal, match="do not lie each at a corner of its own"):
        recognise_yoke(replace(half(Yoke()), landmarks=tuple(at.items())))
