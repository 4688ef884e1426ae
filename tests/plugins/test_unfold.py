"""unfold and copy-piece: both sides mirror images, named, sewn; the fold gone without a kink; laid beside."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.geometry.curve import Curve
from svgfit.model.piece import Piece
from tests.plugins.altered import (
    BACK,
    FRONT,
    GARMENT,
    PLACEMENTS,
    SLEEVE,
    also,
    altered,
    kink,
    long,
    of,
    panel,
    unmatched,
    with_dart,
)
from tests.plugins.running import refused_line, value

UNFOLD = "unfold piece=Front"


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("unfold piece=Sleeve", "no one straight fold"),
        ("unfold piece=Front name=Back", "a piece Back already"),
        ("copy-piece piece=Front name=Sleeve", "a piece Sleeve already"),
        ("unfold piece=Skirt", "Skirt"),
    ],
)
def test_what_can_not_be_is_refused(step: str, says: str) -> None:
    assert says in refused_line(GARMENT, step)


def whole_of(piece: Piece) -> Piece:
    others = tuple(one for one in GARMENT if one.name != piece.name)
    return of(altered((*others, piece), f"unfold piece={piece.name}"), f"{piece.name} whole")


@pytest.mark.parametrize("piece", [FRONT, BACK], ids=["front", "back"])
def test_every_edge_is_there_twice_or_runs_over_the_fold_twice_as_long(piece: Piece) -> None:
    whole = whole_of(piece)
    names = {edge.name for edge in whole.edges}
    assert names == {
        *("neckline", "hem"),
        *(f"{name} {side}" for name in ("armhole", "shoulder", "side seam") for side in ("left", "right")),
    }
    for name in ("neckline", "hem"):
        assert long(whole, name) == pytest.approx(2 * long(piece, name), abs=1e-6)
    for name in ("armhole", "shoulder", "side seam"):
        for side in ("left", "right"):
            assert long(whole, f"{name} {side}") == pytest.approx(long(piece, name), abs=1e-6)
    assert whole.outline().is_closed()
    assert whole.outline().area() == pytest.approx(2 * piece.outline().area(), abs=1e-3)
    assert kink(whole, piece) < 0.1


@pytest.mark.parametrize("piece", [FRONT, BACK], ids=["front", "back"])
@pytest.mark.parametrize("lies", sorted(PLACEMENTS))
def test_right_is_the_wearer_s_right_however_the_half_lies(piece: Piece, lies: str) -> None:
    """Seen from outside, as the cloth lies up: a front's left side is at the right hand, a back's at the left hand."""
    whole = whole_of(replace(piece, placement=PLACEMENTS[lies]))
    centre = whole.landmark("neck centre")
    side = whole.landmark("underarm left") - centre
    seen_right = side.real > 0 if not whole.placement.mirrors else side.real < 0
    assert seen_right == (piece.kind == "front")
    mirrored = whole.landmark("underarm right") - centre
    assert mirrored == pytest.approx(complex(-side.real, side.imag), abs=1e-6)


def test_notches_darts_and_landmarks_are_mirrored_and_grain_and_texts_are_not() -> None:
    piece = with_dart(FRONT, "side seam", 80.0, 20.0, 120 + 70j)
    whole = of(altered([SLEEVE, piece, BACK], UNFOLD), "Front whole")
    assert len(whole.notches("armhole left")) == len(whole.notches("armhole right")) == 1
    for side in ("left", "right"):
        (mark,) = whole.notches(f"armhole {side}")
        assert mark.at is not None
        assert whole.edge(f"armhole {side}").curve.nearest(mark.at)[1] < 1e-6
    assert sorted(dart.edge for dart in whole.darts) == ["side seam left", "side seam right"]
    one, two = whole.darts
    axis = whole.landmark("neck centre").real
    assert one.apex.real - axis == pytest.approx(axis - two.apex.real, abs=1e-6)
    assert one.start == pytest.approx(complex(2 * axis - two.end.real, two.end.imag), abs=1e-6)
    kinds = [mark.kind for mark in whole.marks]
    assert kinds.count("grain line") == 1
    assert kinds.count("fold line") == 0
    assert kinds.count("centre line") == 1


def test_the_drawn_half_lies_where_it_lay_moved_beside_the_others() -> None:
    run = altered(GARMENT, UNFOLD)
    whole = of(run, "Front whole")
    assert [piece.name for piece in run.after] == ["Sleeve", "Back", "Front whole"]
    left = whole.outline().transform(whole.placement).bounds()[0]
    assert left >= max(piece.outline().transform(piece.placement).bounds()[2] for piece in GARMENT) + 20 - 1e-6


def test_both_sides_are_sewn_as_the_half_was_and_still_match() -> None:
    run = altered(GARMENT, UNFOLD)
    assert unmatched(run) == []
    rows = {(seam.a, seam.b) for seam in run.seams}
    assert ((("Front whole", "side seam left"),), (("Back", "side seam"),)) in rows
    assert ((("Front whole", "shoulder right"),), (("Back", "shoulder"),)) in rows
    both = altered(GARMENT, UNFOLD, "unfold piece=Back")
    rows = {(seam.a, seam.b) for seam in both.seams}
    assert ((("Front whole", "side seam left"),), (("Back whole", "side seam left"),)) in rows
    assert ((("Front whole", "side seam left"),), (("Back whole", "side seam right"),)) not in rows


def test_one_side_alone_can_be_changed_then_and_is_told() -> None:
    step = "shift piece='Front whole' edge='shoulder left' amount='1/2 in' way=up"
    run = altered(GARMENT, UNFOLD, step)
    whole, plain = of(run, "Front whole"), of(altered(GARMENT, UNFOLD), "Front whole")
    assert long(whole, "armhole right") == pytest.approx(long(plain, "armhole right"), abs=1e-9)
    assert long(whole, "armhole left") != pytest.approx(long(plain, "armhole left"), abs=1)
    assert any("Sleeve" in text for text in also(run))
    assert unmatched(run) == also(run), "told also when all is done, though the drawing had no such piece"


def test_a_v_neck_keeps_its_point_and_what_is_nearly_square_is_squared_and_told() -> None:
    at = FRONT.landmark("neck centre")
    straight = tuple(
        replace(edge, curve=Curve.polyline([edge.curve.start, at])) if edge.name == "neckline" else edge
        for edge in FRONT.edges
    )
    whole = whole_of(replace(FRONT, edges=straight))
    assert kink(whole, FRONT) > 20
    hem = FRONT.landmark("hem centre")
    slanted = tuple(
        replace(edge, curve=Curve.polyline([hem, edge.curve.end + 10j])) if edge.name == "hem" else edge
        for edge in FRONT.edges
    )
    slanted = tuple(
        replace(edge, curve=Curve.polyline([slanted[4].curve.end, edge.curve.end]))
        if edge.name == "side seam"
        else edge
        for edge in slanted
    )
    run = altered([SLEEVE, BACK, replace(FRONT, edges=slanted)], UNFOLD)
    assert any("its hem met the fold 2.2° off square: squared" in text for text in run.warnings)
    assert kink(of(run, "Front whole")) < 0.1


def test_a_copy_is_the_same_piece_beside() -> None:
    run = altered([panel()], "copy-piece piece=Panel name=Facing")
    one, two = run.after
    assert (one.name, two.name) == ("Panel", "Facing")
    for a, b in zip(one.edges, two.edges, strict=True):
        assert np.array_equal(a.curve.segments, b.curve.segments)
    assert two.placement.apply(two.outline().start).real > one.outline().bounds()[2]
    turned = altered([panel()], "copy-piece piece=Panel mirrored=yes").after[1]
    assert turned.placement.mirrors
    assert any("sewn to nothing yet" in text for text in run.warnings)


def test_the_cap_s_ease_is_measured_as_before() -> None:
    """A whole front stands before the back in its armhole, as its half did."""
    halves, whole, both = (altered(GARMENT, *steps) for steps in ((), (UNFOLD,), (UNFOLD, "unfold piece=Back")))
    for name in ("cap ease", "cap ease front", "cap ease back"):
        was = value(halves, name)
        assert value(whole, name) == pytest.approx(was, abs=1e-6)
        assert value(both, name) == pytest.approx(was, abs=1e-6)
