"""The seam map: stated, inferred, or left to a person."""

import pytest

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import builtin_convention, parse_convention
from svgfit.pattern.seams import seam_map

EDGES = {
    "sleeve": ("cap", "underarm front", "hem", "underarm back"),
    "front": ("armhole", "side seam", "hem", "centre", "neckline", "shoulder"),
    "back": ("armhole", "side seam", "hem", "centre", "neckline", "shoulder"),
    "other": ("outline",),
}


def piece(name, kind, edges=None):
    line = Curve.polyline([0j, 1 + 0j])
    return Piece("a.svg", name, kind, tuple(Edge(edge, line) for edge in edges or EDGES[kind]), Affine())


SMOCK = (piece("Arm", "sleeve"), piece("Front", "front"), piece("Back", "back"), piece("Cuff", "other"))


def test_sleeve_front_and_back_are_sewn_as_everyone_does():
    found = seam_map(SMOCK, builtin_convention())
    pairs = [(seam.a, seam.b) for seam in found.seams]
    assert ((("Arm", "cap"),), (("Front", "armhole"), ("Back", "armhole"))) in pairs
    assert ((("Arm", "underarm front"),), (("Arm", "underarm back"),)) in pairs
    assert ((("Front", "side seam"),), (("Back", "side seam"),)) in pairs
    assert ((("Front", "shoulder"),), (("Back", "shoulder"),)) in pairs
    assert len(pairs) == 4
    assert all(seam.guessed for seam in found.seams)
    assert not found.warnings


def test_a_sleeve_alone_has_its_underarm_seam():
    found = seam_map(SMOCK[:1], builtin_convention())
    assert [seam.a for seam in found.seams] == [(("Arm", "underarm front"),)]


@pytest.mark.parametrize(
    "more", [piece("Arm 2", "sleeve"), piece("Side front", "front"), piece("Yoke", "other", ("armhole", "hem"))]
)
def test_a_choice_is_not_guessed(more):
    found = seam_map((*SMOCK, more), builtin_convention())
    assert not [seam for seam in found.seams if seam.a == (("Arm", "cap"),)]
    assert "[[seams]]" in found.warnings[0]
    assert more.name in found.warnings[0]


def test_sizes_of_a_nest_are_one_candidate():
    assert not seam_map((*SMOCK, piece("Front", "front")), builtin_convention()).warnings


STATED = '[[seams]]\na = ["arm/Cap"]\nb = ["Front/armhole", "Back/armhole"]\n'


def test_stated_seams_hold_alone():
    found = seam_map(SMOCK, parse_convention(STATED))
    (seam,) = found.seams
    assert seam.a == (("Arm", "cap"),)
    assert seam.b == (("Front", "armhole"), ("Back", "armhole"))
    assert not seam.guessed


def test_a_stated_seam_with_unknown_edge_or_misspelt_piece_is_refused():
    with pytest.raises(Refusal) as caught:
        seam_map(SMOCK, parse_convention(STATED.replace("Back/armhole", "Back/armhol")))
    said = caught.value.line()
    assert "line 3" in said
    assert "'armhol'" in said
    assert "side seam" in said
    with pytest.raises(Refusal, match="Front") as caught:
        seam_map(SMOCK, parse_convention(STATED.replace("Front/", "Frond/")))
    assert "'Frond'" in caught.value.line()


def test_a_stated_seam_with_a_piece_that_was_not_read_is_left_out():
    found = seam_map(SMOCK[:2], parse_convention(STATED))
    assert not found.seams
    assert "Back" in found.warnings[0]
