"""The authors' module: what it offers is a contract, and what type checkers see of it is what runs."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import svgfit.plugin as author
from tests.plugins.stock import stock

PARTS = ("alterations", "edgework", "formats", "geometry", "naming", "recognising", "sewing", "sleeves")
OFFERED = """
    API_VERSION Affine AllowanceRule Annotation CapTurn Check Checker Curve Dart Dialect DrawnPiece EaseRule Edge
    GarmentMeasurer Instructions Job Landmark LayerFacts LineKind Mark MatchingRule Measurement Measurer Movement
    NotchRule Opening Operation Outcome Parameter Piece REDRAW Reach Recogniser Refusal Seam SeamEaseRule SeamFinder
    SearchResult Slash SpreadPiece StepFacts Subject Words alterations at_least at_most beside both_ways edgework
    format_length formats from_svgpathtools geometry hookimpl naming parse_length parts_moved recognising
    refuse_crossing replace rules sewing slash_words sleeves smallest_movement spread swap to_svgpathtools true
    unkept_promises
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


IN_PARTS = {
    "edgework": """
        Deformation Flaw ON_EDGE SeamJoint bend_to_end close_outline cut_line find_flaws for_one_point
        motion_to_end move_dart move_piece pull_to_corner refuse_broken reshape_curve ride_along_edge
        round_bend seam_joints tangent_corner true_flaw true_joint wider_than_usual with_allowance with_edge
    """,
    "formats": """
        Canvas Converted Convertible Layer LineStyle Needs PathItem Reader SubPath SvgLayer TextItem Wishes
        Writer is_dxf layered_pdf layered_svg measurement_table read_dxf read_pdf write_dxf
    """,
    "geometry": """
        Complex Real clamp derivative distances dot extend_straight feet_on fit_cubic_at fit_cubic_with_error
        position self_crossing
    """,
    "naming": """
        Element given_name is_group spaced title_of unescaped
    """,
    "recognising": """
        Doubt DrawnSides Grain Jog MirrorAxis Shape Text Tick across allowance_of along drawn_marks drawn_sides
        facing find_grain find_mirror_axis finished_edges finished_piece highest hollowness in_english jog_notes
        join_sides midpoint off_square parted_again placed_piece placement refuse_flaw right_of runs_between
        sagitta share_flaw spell steepness ticks whole_edges
    """,
    "sewing": """
        Comparison ExpectedEase NotchPlace SewnPart SewnRow armhole_notches armhole_row cap_notches
        expected_ease place_along seam_length sewn_distance sewn_edge sewn_length sewn_row shoulder_at
        slide_notch spell_edges why_unsewn with_shoulder_notch
    """,
    "sleeves": """
        Displacement HemSlash Hollow bicep_level bicep_width cap_apex cap_halves cap_height displacement
        hem_slash move_underarms_out new_hollows overhang raise_needed shoulder_distance shoulder_point
        stretch_cap times_tighter
        widening_needed width_lost
    """,
}


@pytest.mark.parametrize("part", IN_PARTS)
def test_what_its_parts_offer_is_a_contract(part):
    assert import_module(f"svgfit.plugin.{part}").__all__ == sorted(IN_PARTS[part].split())


@pytest.mark.parametrize("name", ["sleeve", "bodice", "yoke"])
def test_a_stock_recogniser_is_all_its_own_and_public_names(name):
    """What is known of a kind of piece stands in its plug-in, not behind a public name."""
    plugin = stock(f"recognisers/{name}")
    (recogniser,) = plugin.svgfit_recognisers()
    assert {recogniser.suits.__module__, recogniser.recognise.__module__} == {plugin.__name__}
    kit = import_module("svgfit.plugin.recognising")
    assert not [one for one in kit.__all__ if any(kind in one for kind in (*recogniser.kinds, name))]


@pytest.mark.parametrize("name", ["cap_redraw", "armhole_adjust"])
def test_what_serves_one_operation_lives_with_it(name):
    """Its own files hold it: no public name, no module of svgfit has what only this operation does."""
    inside = {"cap_redraw": ("redraw", "redraw_cap"), "armhole_adjust": ("reshape", "scoop_armhole")}[name]
    helper = getattr(stock(f"operations/{name}", inside[0]), inside[1])
    assert helper.__module__.startswith("svgfit_plugin:")
    assert not [part for part in PARTS if inside[1] in import_module(f"svgfit.plugin.{part}").__all__]


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
