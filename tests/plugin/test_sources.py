from __future__ import annotations

import importlib.metadata
import os
import sys
from pathlib import Path

import pytest

from svgfit.model.refusal import Refusal
from svgfit.plugin.sources import find_sources, folder_sources, package_sources, stock_folder


def dist(tmp_path, name, entries, at="site"):
    info = tmp_path / at / f"{name}-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(entries)
    return str(tmp_path / at)


def test_the_stock_folder_holds_the_four_first_operations():
    names = {source.name for source in folder_sources(stock_folder(), "stock")}
    assert {"cap-raise", "ease-spread", "edge-blend", "seam-check"} <= names


def test_a_folder_gives_one_plug_in_a_file_and_leaves_out_helpers_and_tests(folder):
    made = folder(cap_tuck="", _shared="", test_cap_tuck="", conftest="", Measure_Wrist="")
    found = folder_sources(made, "folder x")
    assert [source.name for source in found] == ["measure-wrist", "cap-tuck"]
    assert [source.hook for source in found] == ["svgfit_measurers", "svgfit_operations"]


def test_a_folder_may_have_subfolders_that_say_what_a_file_supplies(folder, tmp_path):
    made = Path(folder("mine", cap_tuck=""))
    for path in ("operations/measure_off.py", "dialects/pen.py", "dialects/dialect_ink.py", "recognisers/collar.py"):
        (made / path).parent.mkdir(exist_ok=True)
        (made / path).write_text("")
    (made / "measurers").mkdir()
    (made / "measurers" / "wrist.py").write_text("")
    (made / "shared").mkdir()
    (made / "shared" / "cap_lurk.py").write_text("")
    found = {source.name: source.hook for source in folder_sources(str(made), "folder x")}
    assert found == {
        "cap-tuck": "svgfit_operations",
        "measure-off": "svgfit_operations",
        "dialect-pen": "svgfit_dialects",
        "dialect-ink": "svgfit_dialects",
        "recognise-collar": "svgfit_recognisers",
        "measure-wrist": "svgfit_measurers",
    }


def test_stock_names_are_those_of_a_flat_folder():
    names = {source.name for source in folder_sources(stock_folder(), "stock")}
    assert {"dialect-inkscape", "dialect-ids", "recognise-sleeve", "recognise-bodice", "recognise-yoke"} <= names


@pytest.mark.parametrize(
    ("name", "hook"),
    [
        ("dialect_x", "svgfit_dialects"),
        ("recognise-collar", "svgfit_recognisers"),
        ("measurements", "svgfit_measurers"),
        ("cap_raise", "svgfit_operations"),
    ],
)
def test_the_name_says_which_hook(folder, name, hook):
    (source,) = folder_sources(folder(**{name: ""}), "folder x")
    assert source.hook == hook


def test_a_missing_folder_and_a_file_are_refused(tmp_path):
    with pytest.raises(Refusal, match="can't be read as a folder of plug-ins"):
        find_sources([str(tmp_path / "nowhere")])
    (tmp_path / "x.py").write_text("")
    with pytest.raises(Refusal, match="is a file, not a folder"):
        find_sources([str(tmp_path / "x.py")])


def test_entry_points_are_read_as_importlib_metadata_reads_them(tmp_path):
    # The outside measure is importlib.metadata's own reading of the same files.
    entries = (
        "[console_scripts]\nx = a:b\n\n[svgfit]\n# a remark\ncap-tuck = tuck.ops\n"
        "Dialect_Foo=tuck.dialect:hooks\nmeasure-wrist = tuck:a.b [extra]\n[other]\ny = c\n"
    )
    site = dist(tmp_path, "tuck_er", entries)
    (theirs,) = importlib.metadata.distributions(path=[site])
    expected = sorted(
        (entry.name.lower().replace("_", "-"), entry.module, entry.attr or None)
        for entry in theirs.entry_points
        if entry.group == "svgfit"
    )
    ours = package_sources([site])
    assert sorted((source.name, source.module, source.attribute) for source in ours) == expected
    assert len(expected) == 3
    assert {source.origin for source in ours} == {"package tuck-er"}


def test_the_first_of_a_package_on_the_path_counts(tmp_path):
    first = dist(tmp_path, "tuck", "[svgfit]\none = tuck\n", at="first")
    second = dist(tmp_path, "tuck", "[svgfit]\ntwo = tuck\n", at="second")
    assert [source.name for source in package_sources([first, second])] == ["one"]


def test_nothing_comes_from_the_current_folder(tmp_path, monkeypatch):
    site = dist(tmp_path, "lurking", "[svgfit]\nlurking = lurking\n")
    (tmp_path / "site" / "cap_lurk.py").write_text("raise SystemExit('loaded!')")
    assert package_sources([site])
    monkeypatch.chdir(site)
    assert package_sources(["", site, "."]) == ()
    assert not [source for source in find_sources() if "lurk" in source.name]


def test_this_environment_is_read_as_importlib_metadata_reads_it():
    expected = {entry.name for entry in importlib.metadata.entry_points(group="svgfit")}
    assert {source.name for source in package_sources(sys.path)} == expected


def test_one_file_counts_once_even_when_its_folder_is_named_again(folder):
    stock = folder("stock2", cap_tuck="")
    found = find_sources([stock, os.path.join(stock, ".")], stock=stock)
    assert [source.origin for source in found if source.name == "cap-tuck"] == ["stock"]
