"""gusset: four sides as long as what stays open of each seam, and nothing else of the garment changed."""

from __future__ import annotations

import math

import pytest

from svgfit.fitting.sewn import sewn_distance
from svgfit.model.refusal import Refusal
from svgfit.testing.assertions import assert_at_allowance, assert_unchanged
from svgfit.testing.garments import smock
from tests.shapes.garments import Garment, garments

from .running import INCH, refused_line, run_steps

GARMENTS = garments(40)
SEAMS = {"Sleeve": ("underarm front", "underarm back"), "Front": ("side seam",), "Back": ("side seam",)}


@pytest.mark.parametrize("one", GARMENTS, ids=lambda one: str(one.number))
def test_sides_are_as_long_as_the_open_stretches(one: Garment) -> None:
    """Sides and slits equal: common practice, no source; the diagonals by Pythagoras."""
    run = run_steps(one.pieces, "gusset amount='3 in' width='2 in'", seams=one.seams)
    after = {piece.name: piece for piece in run.after}
    gusset = after["Gusset"]
    assert [edge.curve.length() for edge in gusset.edges] == [pytest.approx(3 * INCH, abs=1e-9)] * 4
    left, top, right, bottom = gusset.outline().bounds()
    assert right - left == pytest.approx(2 * INCH, abs=1e-9)
    assert bottom - top == pytest.approx(2 * math.sqrt(3**2 - 1) * INCH, abs=1e-9)
    for old in one.pieces:
        new = after[old.name]
        assert_unchanged(old, new, *(edge.name for edge in old.edges))
        assert new.marks[: len(old.marks)] == old.marks
        added = new.marks[len(old.marks) :]
        assert sorted(mark.edge or "" for mark in added) == sorted(SEAMS[old.name])
        for mark in added:
            assert sewn_distance(new, mark.edge or "", mark.at or 0j) == pytest.approx(3 * INCH, abs=1e-6)
            (line,) = mark.curves
            inside = new.edge(mark.edge or "").curve.nearest(line.end)[1]
            assert inside == pytest.approx(line.length(), abs=1e-6)
    boxes = {piece.name: piece.outline().transform(piece.placement).bounds() for piece in run.after}
    assert boxes["Gusset"][0] > max(box[2] for name, box in boxes.items() if name != "Gusset")


def test_its_cut_line_lies_at_the_sleeve_s_allowance() -> None:
    run = run_steps(smock().pieces, "gusset amount='3 in'", seams=smock().seams)
    (gusset,) = (piece for piece in run.after if piece.name == "Gusset")
    assert {edge.allowance for edge in gusset.edges} == {15.875}
    assert_at_allowance(gusset)


@pytest.mark.parametrize(
    ("step", "words"),
    [("gusset amount='30 in'", "at most"), ("gusset amount='2 in' width='4 in'", "less than")],
)
def test_what_can_not_be_done_is_refused(step: str, words: str) -> None:
    with pytest.raises(Refusal) as refused:
        run_steps(smock().pieces, step, seams=smock().seams)
    assert words in refused.value.line()


def test_without_its_armhole_and_twice_it_is_refused() -> None:
    assert "armhole" in refused_line((GARMENTS[0].sleeve,), "gusset amount='3 in'")
    with pytest.raises(Refusal, match="already"):
        run_steps(smock().pieces, "gusset amount='3 in'", "gusset amount='2 in'", seams=smock().seams)
