"""Seams that plug-ins find: taken where nothing else is known, told with both sides where they contradict."""

from __future__ import annotations

from pathlib import Path

import pytest

from svgfit.app.own_seams import with_own_seams
from svgfit.model.checker import SeamFinder
from svgfit.model.plan import Seam
from svgfit.pattern.seam_map import SeamMap
from svgfit.plugin.registry import Registry, open_registry
from svgfit.testing import garment

CENTRES = Seam((("Front", "centre"),), (("Back", "centre"),))
HEMS = Seam((("Sleeve", "hem"),), (("Front", "hem"),))
OTHER = Seam((("Sleeve", "hem"),), (("Back", "hem"),))
TEXT = """
from svgfit.plugin import Seam, SeamFinder, hookimpl

@hookimpl
def svgfit_seams():
    return [SeamFinder(name={name!r}, find=lambda pieces: {found})]
"""


def finder(name: str, *seams: Seam) -> SeamFinder:
    return SeamFinder(name=name, find=lambda pieces: seams)


def swapped(seam: Seam) -> Seam:
    return Seam(seam.b, seam.a)


def test_a_seam_of_which_nothing_is_known_is_taken() -> None:
    whole = garment()
    found = with_own_seams(SeamMap(whole.seams), whole.pieces, [finder("one", HEMS)])
    assert found.seams == (*whole.seams, HEMS)
    assert not found.warnings


@pytest.mark.parametrize(("guessed", "by"), [(True, "by svgfit, which"), (False, "by svgfit.toml, which")])
def test_what_is_known_holds_and_both_sides_are_named(guessed: bool, by: str) -> None:
    known = Seam(HEMS.a, HEMS.b, guessed=guessed)
    found = with_own_seams(SeamMap((known,), ("before",)), garment().pieces, [finder("plug-in one", OTHER)])
    assert found.seams == (known,)
    (first, told) = found.warnings
    assert first == "before"
    assert told.startswith("Sleeve/hem is sewn to Back/hem by plug-in one, but Sleeve/hem is sewn to Front/hem ")
    assert by in told


def test_the_same_seam_once_more_is_no_contradiction() -> None:
    found = with_own_seams(SeamMap((HEMS,)), garment().pieces, [finder("one", swapped(HEMS), CENTRES, CENTRES)])
    assert found == SeamMap((HEMS, CENTRES))


def test_two_plug_ins_that_contradict_each_other_are_both_left_out() -> None:
    found = with_own_seams(SeamMap(()), garment().pieces, [finder("one", HEMS, CENTRES), finder("two", OTHER)])
    assert found.seams == (CENTRES,)
    (told,) = found.warnings
    assert "by two, but Sleeve/hem is sewn to Front/hem by one: neither is taken" in told


def registry_with(folder: Path, found: str) -> Registry:
    (folder / "seams_mine.py").write_text(TEXT.format(name="mine", found=found), encoding="utf-8")
    return open_registry([str(folder)])


@pytest.mark.parametrize(
    ("found", "why"),
    [
        ("1 / 0", "ZeroDivisionError"),
        ("None", "find gives back nothing"),
        ("Seam((), ())", "find gives back a Seam, not a list"),
        ("['x']", "the seams that find gives back"),
        ("[Seam((('Hood', 'x'),), (('Front', 'hem'),))]", "a seam is for a piece 'Hood'"),
        ("[Seam((('Back', 'x'),), (('Front', 'hem'),))]", "at the edge 'x' of Back"),
        ("[Seam((), (('Front', 'hem'),))]", "two rows of edges"),
        ("[Seam((('Front', 'hem'),), (('Front', 'hem'),))]", "each edge once"),
    ],
)
def test_one_that_breaks_is_named_and_finds_nothing(found: str, why: str, tmp_path: Path) -> None:
    registry = registry_with(tmp_path, found)
    whole = garment()
    assert with_own_seams(SeamMap(whole.seams), whole.pieces, registry.seam_finders()).seams == whole.seams
    (told,) = registry.warnings
    assert why in told
    assert "plug-in seams-mine (" in told
    assert "seams_mine.py" in told


def test_what_it_finds_is_marked_as_inferred_and_named_with_its_plug_in(tmp_path: Path) -> None:
    registry = registry_with(tmp_path, "[Seam((('Front', 'centre'),), (('Back', 'centre'),))]")
    (found,) = registry.seam_finders()
    assert "plug-in seams-mine (" in found.name
    assert found.find(garment().pieces) == (Seam(CENTRES.a, CENTRES.b, guessed=True),)
