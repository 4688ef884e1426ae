"""Several operations and hooks in one file, folders as packages, the version that a plug-in was written for."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from svgfit.model.refusal import Refusal
from svgfit.plugin import hookspecs
from svgfit.plugin.loading import OwnPlugins
from svgfit.plugin.registry import open_registry
from svgfit.plugin.sources import HOOKS, folder_sources, version_text
from svgfit.version import API_VERSION

HEAD = "from svgfit.plugin import Measurement, Measurer, Operation, Outcome, hookimpl\n"
RUN = "def run(job):\n    return Outcome(pieces=job.pieces)\n"
SOME = "@hookimpl\ndef svgfit_operations():\n    return [Operation(name, 'x', (), run) for name in {!r}]\n"
MEASURE = (
    "@hookimpl\ndef svgfit_measurers():\n"
    "    return [Measurer('wrist', ('sleeve',), lambda piece: [Measurement('wrist', 1.0)])]\n"
)


def some(*names: str) -> str:
    return HEAD + RUN + SOME.format(names)


def statuses(registry):
    return {plugin.source.name: plugin.status for plugin in registry.all()}


@pytest.fixture
def package(tmp_path: Path):
    """Makes a package in a folder of plug-ins; gives that folder."""

    def make(name: str, **files: str) -> str:
        inside = tmp_path / "mine" / name
        inside.mkdir(parents=True, exist_ok=True)
        for stem, text in files.items():
            (inside / f"{stem}.py").write_text(text, encoding="utf-8")
        return str(tmp_path / "mine")

    return make


def test_the_hooks_that_a_text_is_searched_for_are_all_there_are():
    assert set(HOOKS) == {name for name in vars(hookspecs) if name.startswith("svgfit_")}


def test_a_file_may_hold_several_operations_each_by_its_own_name(folder, empty_stock):
    registry = open_registry([folder(costume=some("hem-drop", "cuff-turn"))], stock=empty_stock)
    assert registry.operation_names() == ("cuff-turn", "hem-drop")
    assert registry.operation("Hem_Drop").name == "hem-drop"
    (plugin,) = registry.all()
    assert plugin.status == "ok"
    assert plugin.supplies == "operations hem-drop, cuff-turn"
    assert [one.name for one in registry.operations()] == ["cuff-turn", "hem-drop"]
    with pytest.raises(Refusal, match="no operation 'costume'"):
        registry.operation("costume")


def test_a_file_may_implement_several_hooks(folder, empty_stock, make_piece):
    registry = open_registry([folder(costume=some("hem-drop") + MEASURE)], stock=empty_stock)
    assert registry.operation("hem-drop").name == "hem-drop"
    (measurer,) = registry.measurers()
    assert [one.value for one in measurer.measure(make_piece())] == [1.0]
    assert registry.all()[0].supplies == "operation hem-drop; measurements wrist"
    assert registry.recognisers() == ()


def test_what_surely_holds_other_things_is_not_imported(folder, operation_text, empty_stock):
    files = {
        "cap_tuck": operation_text("cap-tuck"),
        "other": "raise RuntimeError('imported without need')\n" + operation_text("other"),
        "measure_x": "raise RuntimeError('imported without need')\n" + HEAD + MEASURE,
    }
    registry = open_registry([folder(**files)], stock=empty_stock)
    assert registry.operation_names() == ("cap-tuck", "other")
    assert registry.operation("cap-tuck").name == "cap-tuck"
    assert registry.warnings == ()


def test_a_name_in_two_files_names_both_wherever_it_stands(folder, operation_text, empty_stock):
    files = {"costume": some("hem-drop", "cap-tuck"), "cap_tuck": operation_text("cap-tuck")}
    made = folder(**files, other=some("a", "hem-drop"))
    registry = open_registry([made], stock=empty_stock)
    for name, other in (("cap-tuck", "cap_tuck.py"), ("hem-drop", "other.py")):
        with pytest.raises(Refusal, match=f"operation {name} is there 2 times") as refused:
            registry.operation(name)
        assert "costume.py" in refused.value.line()
        assert other in refused.value.line()
    assert registry.operation("a").name == "a"
    found = statuses(registry)
    assert all("is there 2 times" in status for status in found.values()), found


def test_a_stock_name_is_not_taken_over(folder):
    registry = open_registry([folder(costume=some("hem-drop", "cap-raise"))])
    with pytest.raises(Refusal, match=r"operation cap-raise is there 2 times: .*cap_raise.py"):
        registry.operation("cap-raise")


def test_one_of_several_operations_is_switched_off_and_so_is_the_whole_file(folder, empty_stock):
    made = folder(costume=some("hem-drop", "cuff-turn"))
    registry = open_registry([made], stock=empty_stock, without=["hem-drop"])
    assert registry.operation_names() == ("cuff-turn",)
    assert registry.switched_off() == ("hem-drop",)
    assert registry.all()[0].supplies == "operation cuff-turn"
    with pytest.raises(Refusal, match="hem-drop is switched off"):
        registry.operation("hem-drop")
    registry = open_registry([made], stock=empty_stock, without=["costume"])
    assert registry.operation_names() == ()
    assert registry.switched_off() == ("cuff-turn", "hem-drop")
    with pytest.raises(Refusal, match="there is no plug-in 'hem'"):
        open_registry([made], stock=empty_stock, without=["hem"])


def test_two_of_one_name_in_one_file_are_a_fault(folder, empty_stock):
    registry = open_registry([folder(costume=some("hem-drop", "hem-drop"))], stock=empty_stock)
    assert statuses(registry)["costume"] == "failed: operation hem-drop is there twice"


def test_a_broken_file_of_several_fails_under_its_own_name(folder, operation_text, empty_stock):
    made = folder(costume=some("hem-drop", "x") + "1 / 0\n", cap_tuck=operation_text("cap-tuck"))
    registry = open_registry([made], stock=empty_stock)
    assert registry.operation("cap-tuck").name == "cap-tuck"
    with pytest.raises(Refusal, match=r"costume.py.*ZeroDivisionError"):
        registry.operation("costume")
    with pytest.raises(Refusal, match=r"costume.py.*ZeroDivisionError.*; operation 'hem-drop' may be in it; mend"):
        registry.operation("hem-drop")


# -- packages --------------------------------------------------------------------------------------------------------


def test_a_folder_with_an_init_is_one_plug_in_whose_files_share_code(package, empty_stock):
    made = package(
        "costume",
        __init__="from svgfit.plugin import hookimpl\nfrom .cuffs import turn\nfrom .hems import drop\n\n"
        "@hookimpl\ndef svgfit_operations():\n    return [drop, turn]\n",
        shared=HEAD + RUN,
        cuffs="from .shared import Operation, run\nturn = Operation('cuff-turn', 'x', (), run)\n",
        hems="from . import shared\ndrop = shared.Operation('hem-drop', 'x', (), shared.run)\n",
    )
    registry = open_registry([made], stock=empty_stock)
    assert registry.operation_names() == ("cuff-turn", "hem-drop")
    assert statuses(registry) == {"costume": "ok"}
    assert {Path(file).name for file in registry.files} == {"__init__.py", "shared.py", "cuffs.py", "hems.py"}


def test_hooks_that_come_from_a_packages_other_file_are_found(package, empty_stock):
    made = package("costume", __init__="from .hooks import *\n", hooks=some("hem-drop", "b") + MEASURE)
    registry = open_registry([made], stock=empty_stock)
    assert registry.operation_names() == ("b", "hem-drop")
    assert [one.name for one in registry.measurers()] == ["wrist"]


def test_a_fault_in_a_packages_other_file_is_told_with_its_place(package, empty_stock, monkeypatch):
    made = package("costume", __init__="from .hems import x\n", hems="\n1 / 0\n")
    (plugin,) = open_registry([made], stock=empty_stock).all()
    assert plugin.status == "failed: ZeroDivisionError: division by zero (line 2 of hems.py)"
    monkeypatch.chdir(Path(made).parent)
    (plugin,) = open_registry([Path(made).name], stock=empty_stock).all()
    assert plugin.status == "failed: ZeroDivisionError: division by zero (line 2 of hems.py)"


def test_each_registry_reads_a_packages_files_anew(package, empty_stock):
    init = "from svgfit.plugin import hookimpl\nfrom .hems import *\n"
    for names in (("a", "b"), ("c", "d", "e")):
        made = package("costume", __init__=init, hems=some(*names))
        assert open_registry([made], stock=empty_stock).operation_names() == names


def test_a_packages_version_changes_with_any_of_its_files(package):
    found = []
    for text in (some("a", "b"), some("a", "c")):
        (source,) = folder_sources(package("costume", __init__="from .hems import *\n", hems=text), "folder x")
        found.append(version_text(source))
    assert all(text.startswith("costume sha256 ") for text in found)
    assert found[0] != found[1]


def test_folders_that_are_none(package):
    for name in ("tests", "_private", ".hidden", "test_it"):
        package(name, __init__="")
    made = Path(package("costume", __init__=""))
    (made / "no_package").mkdir()
    assert [source.name for source in folder_sources(str(made), "folder x")] == ["costume"]


def test_an_entry_point_may_be_a_package_and_is_imported_anew_when_asked(tmp_path, monkeypatch):
    site = tmp_path / "site"
    (site / "costumes-2.0.dist-info").mkdir(parents=True)
    (site / "costumes-2.0.dist-info" / "entry_points.txt").write_text("[svgfit]\ncostumes = costumes_plugin\n")
    (site / "costumes_plugin").mkdir()
    (site / "costumes_plugin" / "__init__.py").write_text("from .hems import *\n")
    (site / "costumes_plugin" / "hems.py").write_text(some("hem-drop", "cuff-turn") + MEASURE)
    monkeypatch.syspath_prepend(str(site))
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    registry = open_registry()
    assert registry.operation("hem-drop").name == "hem-drop"
    assert registry.source("hem-drop").where == "package costumes (costumes_plugin)"
    assert [one.name for one in registry.measurers()] == ["wrist"]
    own = OwnPlugins(registry.sources)
    assert {Path(file).name for file in own.files} == {"__init__.py", "hems.py"}
    (site / "costumes_plugin" / "hems.py").write_text(some("hem-lift", "cuff-turn"))
    own.forget()
    assert "hem-lift" in open_registry().operation_names()
    own.forget()


# -- the version -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (API_VERSION + 1, f"svgfit's plug-in API, and this svgfit knows up to {API_VERSION}"),
        ("'1.0'", "SVGFIT_API is '1.0'"),
        (0, "SVGFIT_API is 0"),
        (True, "SVGFIT_API is True"),
    ],
)
def test_a_version_that_is_not_known_is_refused_by_name(folder, operation_text, empty_stock, said, why):
    made = folder(cap_tuck=f"SVGFIT_API = {said}\n" + operation_text("cap-tuck"))
    registry = open_registry([made], stock=empty_stock)
    assert why in statuses(registry)["cap-tuck"]
    with pytest.raises(Refusal, match="plug-in cap-tuck"):
        registry.operation("cap-tuck")


def test_a_version_that_is_known_is_fine(folder, operation_text, empty_stock):
    made = folder(cap_tuck=f"SVGFIT_API = {API_VERSION}\n" + operation_text("cap-tuck"))
    assert statuses(open_registry([made], stock=empty_stock)) == {"cap-tuck": "ok"}


def test_a_package_that_is_installed_and_named_as_a_folder_counts_once(tmp_path, monkeypatch):
    site = tmp_path / "site"
    (site / "hems-1.0.dist-info").mkdir(parents=True)
    (site / "hems-1.0.dist-info" / "entry_points.txt").write_text("[svgfit]\nhem-drop = hems_plugin\n")
    (site / "hems_plugin").mkdir()
    (site / "hems_plugin" / "__init__.py").write_text(some("hem-drop", "hem-lift"))
    monkeypatch.syspath_prepend(str(site))
    registry = open_registry([str(site)])
    assert registry.source("hem-drop").origin == "package hems"
    sys.modules.pop("hems_plugin", None)
