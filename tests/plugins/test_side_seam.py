"""side-seam: every level by what was asked, measured on points of the outline; nothing else moved."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from svgfit.fitting.sewn import sewn_distance, sewn_length
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Mark, Piece
from svgfit.testing.assertions import assert_on_edge, assert_smooth, assert_unchanged
from tests.fitting.garments import SEAMS
from tests.shapes.garments import Garment, garments

from .running import INCH, refused_line, run_steps

Pieces = tuple[Piece, ...]
GARMENTS = garments(12)


def done(pieces: Pieces, step: str) -> dict[str, Piece]:
    return {piece.name: piece for piece in run_steps(pieces, step, seams=SEAMS).after}


def across(piece: Piece, level: float) -> float:
    """The width at a level from many points of the outline, straight between them: no name of svgfit's own measures."""
    outline = piece.outline()
    points = outline.points(np.linspace(0, len(outline), 397 * len(outline) + 1))
    one, two = points[:-1], points[1:]
    met = (one.imag <= level) != (two.imag <= level)
    one, two = one[met], two[met]
    x = one.real + (two.real - one.real) * (level - one.imag) / (two.imag - one.imag)
    return float(x.max() - x.min())


def level_of(piece: Piece, along: float) -> float:
    seam = piece.edge("side seam").from_front()
    return seam.point(seam.at_length(along)).imag


@pytest.mark.parametrize("one", GARMENTS, ids=lambda one: str(one.number))
@pytest.mark.parametrize("amount", [1.0, -1.0])
def test_a_quarter_at_every_seam_side(one: Garment, amount: float) -> None:
    """amount/4 a seam side at every level (common practice, no source); what is beyond the notches stays."""
    after = done(one.pieces, f"side-seam amount='{amount} in'")
    for name in ("Front", "Back"):
        old = next(piece for piece in one.pieces if piece.name == name)
        new = after[name]
        assert_unchanged(old, new, "shoulder", "neckline", "fold")
        assert sewn_length(new, "side seam") == pytest.approx(sewn_length(old, "side seam"), abs=1e-9)
        assert sewn_length(new, "hem") == pytest.approx(sewn_length(old, "hem") + amount * INCH / 4, abs=1e-6)
        for share in (0.1, 0.5, 0.9):
            level = level_of(old, share * sewn_length(old, "side seam"))
            assert across(new, level) == pytest.approx(across(old, level) + amount * INCH / 4, abs=0.01)
        notch = min(old.notches("armhole"), key=lambda mark: sewn_distance(old, "armhole", mark.at or 0j))
        assert min(abs((mark.at or 0j) - (notch.at or 0j)) for mark in new.notches("armhole")) < 1e-6
        curve = old.edge("armhole").from_front()
        for t in np.linspace(curve.nearest(notch.at or 0j)[0], len(curve), 7):
            assert new.edge("armhole").curve.nearest(curve.point(float(t)))[1] < 1e-6
    assert after["Sleeve"] == one.sleeve


@pytest.mark.parametrize("one", GARMENTS[:6], ids=lambda one: str(one.number))
def test_levels_are_reached_exactly_and_smoothly_between(one: Garment) -> None:
    step = "side-seam bust='1 in' waist='-2 in' hip='1 in' hem='2 in' bust-at='2 in' waist-at='5 in' hip-at='8 in'"
    after = done(one.pieces, step)
    for name in ("Front", "Back"):
        old = next(piece for piece in one.pieces if piece.name == name)
        new = after[name]
        for at, by in ((2, 1.0), (5, -2.0), (8, 1.0)):
            level = level_of(old, at * INCH)
            assert across(new, level) - across(old, level) == pytest.approx(by * INCH / 4, abs=0.01)
        assert_smooth(new, "side seam", turn=0.1)
        assert_unchanged(old, new, "armhole", "shoulder", "neckline", "fold")


@pytest.mark.parametrize("one", GARMENTS[:6], ids=lambda one: str(one.number))
def test_the_sleeve_with_it_keeps_its_corner_and_upper_cap(one: Garment) -> None:
    """The bicep grows by half of the girth (common practice, no source), the corner at the underarm stays."""
    sleeve = one.sleeve
    run = run_steps(one.pieces, "side-seam amount='1 in' with-sleeve=yes", seams=SEAMS)
    new = next(piece for piece in run.after if piece.name == "Sleeve")
    wide = [piece.landmark("underarm front").real - piece.landmark("underarm back").real for piece in (sleeve, new)]
    assert wide[1] - wide[0] == pytest.approx(INCH / 2, abs=1e-9)
    angles = [
        {each.name: each.value for each in found["Sleeve"]}["underarm corner"]
        for found in (run.measured_before, run.measured_after)
    ]
    assert angles[1] == pytest.approx(angles[0], abs=0.01)
    cap = sleeve.edge("cap").from_front()
    places = sorted(cap.nearest(mark.at or 0j)[0] for mark in sleeve.notches("cap"))
    for t in np.linspace(places[0], places[-1], 9):
        assert new.edge("cap").curve.nearest(cap.point(float(t)))[1] < 1e-6
    assert_unchanged(sleeve, new, "hem")
    for mark in new.notches("cap"):
        assert_on_edge(new, mark, "cap", within=1e-6)


def test_by_share_each_and_girth() -> None:
    pieces = GARMENTS[0].pieces
    old = {piece.name: piece for piece in pieces}
    shared = done(pieces, "side-seam amount='2 in' share-front=0.25")
    got = {name: sewn_length(shared[name], "hem") - sewn_length(old[name], "hem") for name in ("Front", "Back")}
    assert got == {"Front": pytest.approx(INCH / 4), "Back": pytest.approx(0.75 * INCH)}
    each = done(pieces, "side-seam amount='1/4 in' each=yes")
    whole = done(pieces, "side-seam amount='1 in'")
    assert (each["Front"].outline().segments == whole["Front"].outline().segments).all()
    wanted = 2 * sum(across(old[name], 50.0) for name in ("Front", "Back")) + 20
    wide = done(pieces, f"side-seam girth='{wanted} mm' at=bust bust-at='50 mm'")
    assert 2 * sum(across(wide[name], 50.0) for name in ("Front", "Back")) == pytest.approx(wanted, abs=0.01)


def test_a_drawn_level_is_found_on_either_piece() -> None:
    sleeve, front, back = GARMENTS[0].pieces
    line = Mark("detail", (Curve.polyline([20 + 120j, 200 + 120j]),), name="waist line")
    pieces = (sleeve, replace(front, marks=(*front.marks, line)), back)
    after = done(pieces, "side-seam waist='-1 in'")
    for old in (front, back):
        assert across(old, 120.0) - across(after[old.name], 120.0) == pytest.approx(INCH / 4, abs=0.01)


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("side-seam", "nothing is asked"),
        ("side-seam amount='1 in' hem='1 in'", "amount= and values a level"),
        ("side-seam waist='1 in'", "where the waist lies is not drawn"),
        ("side-seam waist='1 in' waist-at='50 in'", "down the side seam"),
        ("side-seam waist='1 in' waist-at='5 in' hip='1 in' hip-at='5 in'", "name only one"),
        ("side-seam amount='20 in'", "can move by"),
        ("side-seam girth='5 in' at=hem", "ask for"),
    ],
)
def test_what_can_not_be_done_is_refused(step: str, words: str) -> None:
    assert words in refused_line(GARMENTS[0].pieces, step)
