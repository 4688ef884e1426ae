"""The authors' module: what it offers is a contract, and what type checkers see of it is what runs."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import svgfit.plugin as author

PARTS = ("armholes", "edgework", "formats", "naming", "recognising", "sewing", "sleeves")
OFFERED = """
    API_VERSION Affine AllowanceRule Annotation Check Checker Curve Dart Dialect DrawnPiece EaseRule Edge
    GarmentMeasurer Instructions Job Landmark LayerFacts LineKind Mark MatchingRule Measurement Measurer Movement
    NotchRule Opening Operation Outcome Parameter Piece REDRAW Reach Recogniser Refusal Seam SeamEaseRule SeamFinder
    SearchResult Slash SpreadPiece StepFacts Subject
    Words armholes at_least at_most beside both_ways edgework format_length formats from_svgpathtools hookimpl
    naming parse_length parts_moved recognising refuse_crossing replace rules sewing slash_words sleeves
    smallest_movement spread swap to_svgpathtools true unkept_promises
"""


def modules():
    return [author, *(import_module(f"svgfit.plugin.{part}") for part in PARTS)]


def test_what_it_offers_is_a_contract():
    assert author.__all__ == sorted(OFFERED.split())


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.__name__)
def test_every_promised_name_is_there(module):
    for name in module.__all__:
        assert getattr(module, name) is not None


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.__name__)
def test_what_type_checkers_see_is_what_runs(module):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    seen = {
        alias.asname: f"{node.module}.{alias.name}"
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If)
        for node in branch.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert sorted(seen) == module.__all__
    for name, path in seen.items():
        home, _, attribute = path.rpartition(".")
        assert getattr(module, name) is getattr(import_module(home), attribute)


FOR_ANYONE = {
    "sewing": """
        Comparison ExpectedEase NotchPlace SewnPart SewnRow armhole_notches armhole_row cap_notches expected_ease
        place_along seam_length sewn_distance sewn_edge sewn_length sewn_row shoulder_at slide_notch spell_edges
        why_unsewn with_shoulder_notch
    """,
    "recognising": """
        DrawnSides Shape Text drawn_sides finished_piece hollowness in_english midpoint recognise_bodice
        recognise_sleeve runs_between suits_bodice suits_sleeve
    """,
}


@pytest.mark.parametrize("part", FOR_ANYONE)
def test_what_its_parts_for_anyone_offer_is_a_contract(part):
    assert import_module(f"svgfit.plugin.{part}").__all__ == sorted(FOR_ANYONE[part].split())


def test_importing_it_brings_nothing_heavy_along():
    code = (
        "import sys, svgfit.plugin, svgfit.plugin.sleeves; "
        "print([m for m in ('numpy', 'lxml', 'pluggy', 'svgpathtools') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_name_of_a_part_can_also_be_had_directly():
    from svgfit.fitting.measure import bicep_level

    with pytest.warns(DeprecationWarning, match=r"write svgfit.plugin.sleeves.bicep_level") as warned:
        assert author.bicep_level is bicep_level
    assert warned[0].filename == __file__
    assert "bicep_level" not in author.__all__


@pytest.mark.parametrize("name", ["Reader", "Converted", "Comparison", "spell_edges", "Shape", "Element", "Canvas"])
def test_a_name_that_was_moved_is_still_found_where_it_was(name):
    with pytest.warns(DeprecationWarning, match=rf"write svgfit\.plugin\.\w+\.{name}"):
        assert getattr(author, name).__name__.endswith(name.removesuffix("Element"))


def test_an_unknown_name_says_what_there_is():
    with pytest.raises(AttributeError, match="Operation"):
        author.Opperation
