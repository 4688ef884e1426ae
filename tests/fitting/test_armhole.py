"""Which armhole a cap is sewn into: asked in one place, from every side of the seam map."""

from __future__ import annotations

from msgspec.structs import replace

from svgfit.fitting.armhole import armhole_edges, armhole_row, cap_and_armhole, pieces_at_cap
from svgfit.model.piece import Piece
from svgfit.model.plan import Seam

from .garments import SEAMS, straight_bodice, straight_sleeve, yoke

CAP = (("Sleeve", "cap"),)
ARMHOLE = (("Front", "armhole"), ("Back", "armhole"))
WITH_YOKE = (("Front", "armhole"), ("Yoke", "armhole"), ("Back", "armhole"))


def garment() -> tuple[Piece, ...]:
    return straight_sleeve(220.0, 230.0), straight_bodice("front", 214.0), straight_bodice("back", 222.0)


def test_the_cap_may_stand_on_either_side_of_a_seam() -> None:
    for seam in (Seam(CAP, ARMHOLE), Seam(ARMHOLE, CAP)):
        assert cap_and_armhole(seam) == (CAP, ARMHOLE)
        assert armhole_edges("Sleeve", (*SEAMS[:3], seam)) == ARMHOLE
        assert pieces_at_cap("Sleeve", (*SEAMS[:3], seam)) == {"Sleeve", "Front", "Back"}


def test_other_seams_are_no_cap_in_its_armhole() -> None:
    assert [cap_and_armhole(seam) for seam in SEAMS[:3]] == [None] * 3
    assert armhole_edges("Sleeve", SEAMS[:3]) == ()
    assert pieces_at_cap("Sleeve", SEAMS[:3]) == frozenset()
    assert armhole_edges("Lining sleeve", SEAMS) == ()


def test_of_two_seams_the_one_whose_pieces_are_here_counts() -> None:
    seams = Seam(CAP, WITH_YOKE), Seam(CAP, ARMHOLE)
    assert armhole_edges("Sleeve", seams) == WITH_YOKE
    assert armhole_edges("Sleeve", seams, garment()) == ARMHOLE
    assert armhole_edges("Sleeve", seams, (*garment(), yoke(30.0))) == WITH_YOKE
    assert armhole_edges("Sleeve", seams, garment()[:1]) == WITH_YOKE, "none is whole: the first, for the message"


def test_a_row_is_laid_of_the_sleeves_own_size_only() -> None:
    small, large = (tuple(replace(piece, size=size) for piece in garment()) for size in ("8", "16"))
    row = armhole_row(large[0], (*small, *large), SEAMS)
    assert row is not None
    assert [part.piece.size for part in row.parts] == ["16", "16"]
    assert armhole_row(large[0], (*small, *large[:2]), SEAMS) is None, "the large back is missing"
    assert armhole_row(large[1], (*small, *large), SEAMS) is None, "a front is sewn into no armhole"
