"""The seam map: stated, inferred, or left to a person."""

import pytest

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.piece import Edge, Piece
from svgfit.model.refusal import Refusal
from svgfit.pattern.convention import builtin_convention, parse_convention
from svgfit.pattern.seam_map import seam_map

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


# -- yokes, panels, linings, edges named after what they are sewn to ------------------------------------------------

YOKE = piece("Yoke", "yoke", ("neckline", "front seam", "armhole", "back seam", "fold"))
OVER_YOKE = (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))


def rows(found):
    return [(seam.a, seam.b) for seam in found.seams]


def test_a_yoke_lies_between_front_and_back():
    found = seam_map((*SMOCK, YOKE), builtin_convention())
    assert ((("Arm", "cap"),), OVER_YOKE) in rows(found)
    assert ((("Front", "shoulder"),), (("Yoke", "front seam"),)) in rows(found)
    assert ((("Back", "shoulder"),), (("Yoke", "back seam"),)) in rows(found)
    assert not [seam for seam in found.seams if seam.b == (("Back", "shoulder"),)]
    assert not found.warnings


def test_a_yoke_whose_edges_a_person_named_does_as_well():
    named = piece("Yoke", "other", ("front seam", "armhole", "back seam", "edge 4"))
    assert ((("Arm", "cap"),), OVER_YOKE) in rows(seam_map((*SMOCK, named), builtin_convention()))


def test_a_back_below_the_yoke_is_sewn_to_it_by_its_upper_edge():
    below = piece("Back", "back", ("armhole", "yoke seam", "centre", "hem", "side seam"))
    found = seam_map((SMOCK[0], SMOCK[1], below, YOKE), builtin_convention())
    assert ((("Back", "yoke seam"),), (("Yoke", "back seam"),)) in rows(found)
    assert ((("Front", "shoulder"),), (("Yoke", "front seam"),)) in rows(found)
    assert ((("Arm", "cap"),), OVER_YOKE) in rows(found)


def test_one_side_panel_under_the_arm():
    panel = piece("Side panel", "other", ("armhole front", "armhole back", "back seam", "hem", "front seam"))
    found = seam_map((*SMOCK, YOKE, panel), builtin_convention())
    row = (("Side panel", "armhole front"), *OVER_YOKE, ("Side panel", "armhole back"))
    assert ((("Arm", "cap"),), row) in rows(found)
    assert ((("Front", "side seam"),), (("Side panel", "front seam"),)) in rows(found)
    assert ((("Side panel", "back seam"),), (("Back", "side seam"),)) in rows(found)
    assert not [seam for seam in found.seams if seam.b == (("Back", "side seam"),) and seam.a[0][0] == "Front"]


@pytest.mark.parametrize("both", [True, False])
def test_half_side_panels(both):
    ahead = piece("Side front", "other", ("armhole", "side seam", "hem", "front seam"))
    behind = piece("Side back", "other", ("armhole", "side seam", "hem", "back seam"))
    found = seam_map((*SMOCK, ahead, *([behind] if both else [])), builtin_convention())
    row = (("Side front", "armhole"), ("Front", "armhole"), ("Back", "armhole"), *([("Side back", "armhole")] * both))
    assert ((("Arm", "cap"),), row) in rows(found)
    side = ("Side back", "side seam") if both else ("Back", "side seam")
    assert ((("Side front", "side seam"),), (side,)) in rows(found)


@pytest.mark.parametrize(
    "more",
    [
        (piece("Side panel", "other", ("armhole", "front seam", "back seam", "hem")),),
        (piece("Arm 2", "sleeve"),),
        (piece("Front 2", "front"),),
        (YOKE, piece("Yoke 2", "yoke", ("front seam", "armhole", "back seam"))),
    ],
)
def test_what_is_not_plain_is_asked_for_with_lines_that_the_convention_takes(more):
    """The lines in the warning, put into a convention, give a seam map with the cap in its armhole."""
    pieces = (*SMOCK, *more)
    warning = seam_map(pieces, builtin_convention()).warnings[0]
    lines = warning[warning.index("seams = [") :]
    lines = lines[: lines.rindex("]") + 1] if "(or" not in lines else lines[: lines.index(" (or")]
    lines = lines.split(" (a side panel's")[0]
    found = seam_map(pieces, parse_convention(lines))
    assert not found.warnings
    assert [seam for seam in found.seams if seam.a == (("Arm", "cap"),)]
    assert len(found.seams) >= 4


def test_linings_are_sewn_among_themselves_and_facings_are_not_in_the_way():
    lining = (
        piece("Arm lining", "sleeve"),
        piece("Front lining", "front"),
        piece("Lining for back", "back"),
        piece("Front facing", "other", ("armhole", "shoulder", "edge 3")),
        piece("Yoke lining", "yoke", ("front seam", "armhole", "back seam", "fold")),
    )
    found = seam_map((*SMOCK, *lining, YOKE), builtin_convention())
    assert not found.warnings
    assert ((("Arm", "cap"),), OVER_YOKE) in rows(found)
    inner = (("Front lining", "armhole"), ("Yoke lining", "armhole"), ("Lining for back", "armhole"))
    assert ((("Arm lining", "cap"),), inner) in rows(found)
    assert not [seam for seam in found.seams if "Front facing" in {name for name, _ in (*seam.a, *seam.b)}]


def test_an_edge_named_after_what_it_is_sewn_to():
    cuff = piece("Wristband", "other", ("edge 1", "sleeve hem", "edge 3", "edge 4"))
    collar = piece("Collar", "other", ("front neckline", "back neckline", "edge 3"))
    found = seam_map((*SMOCK, cuff, collar), builtin_convention())
    assert ((("Arm", "hem"),), (("Wristband", "sleeve hem"),)) in rows(found)
    assert ((("Front", "neckline"),), (("Collar", "front neckline"),)) in rows(found)
    by_name = seam_map((*SMOCK, piece("Cuff 2", "other", ("arm hem",))), builtin_convention())
    assert ((("Arm", "hem"),), (("Cuff 2", "arm hem"),)) in rows(by_name)


def test_stated_seams_may_run_over_numbered_edges_of_other_pieces():
    gusset = piece("Gusset", "other", ("edge 1", "edge 2"))
    said = '[[seams]]\na = ["Arm/cap"]\nb = ["Gusset/Edge 2", "Front/armhole", "Back/armhole", "gusset/edge 1"]\n'
    (seam,) = seam_map((*SMOCK, gusset), parse_convention(said)).seams
    assert seam.b[0] == ("Gusset", "edge 2")
    assert seam.b[-1] == ("Gusset", "edge 1")
