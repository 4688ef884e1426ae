"""Packages as their authors make them: operations in files of their own, one of them broken, or installed too."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import open_registry
from svgfit.plugin.source_text import only_operation

HEAD = "from svgfit.plugin import Operation, Outcome, Parameter, hookimpl\n"
RUN = "def run(job):\n    return Outcome(pieces=job.pieces)\n"
HOOK = "@hookimpl\ndef svgfit_operations():\n"
DROP = f"{HEAD}{RUN}{HOOK}    return [Operation('hem-drop', 'Drops it.', (), run)]\n"
BACK = f"{HEAD}{RUN}OPERATION = Operation('hem-back', 'Drops it.', (), run)\n"
BOTH = DROP.replace(HOOK, f"from .back import OPERATION as HEM_BACK\n{HOOK}").replace("[Op", "[HEM_BACK, Op")


def put(folder: Path, **files: str) -> Path:
    """Write the package's files into a folder; give the folder."""
    (folder / "svgfit_hem_drop").mkdir(parents=True, exist_ok=True)
    for stem, text in files.items():
        (folder / "svgfit_hem_drop" / f"{stem}.py").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def site(tmp_path: Path, monkeypatch):
    """A folder that Python looks into, where the package svgfit-hem-drop is said to be."""
    made = tmp_path / "site"
    info = made / "svgfit_hem_drop-0.1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: svgfit-hem-drop\nVersion: 0.1.0\n")
    (info / "entry_points.txt").write_text("[svgfit]\nhem-drop = svgfit_hem_drop\n")
    monkeypatch.syspath_prepend(str(made))
    yield made
    for name in [name for name in sys.modules if name.startswith("svgfit_hem_drop")]:
        del sys.modules[name]


def test_an_installed_package_gives_what_its_hook_gives_not_what_its_text_shows(site, empty_stock):
    put(site, __init__=BOTH, back=BACK)
    registry = open_registry([], stock=empty_stock)
    assert registry.operation_names() == ("hem-back", "hem-drop")
    assert registry.operation("hem-back").name == "hem-back"
    assert [plugin.supplies for plugin in registry.all()] == ["operations hem-back, hem-drop"]


@pytest.mark.parametrize(
    ("text", "only"),
    [
        (DROP, "hem-drop"),
        (DROP.replace("return [", "return (").replace(")]", "),)"), "hem-drop"),
        (DROP.replace("return [", "return ").replace(")]", ")"), "hem-drop"),
        (DROP.replace("    return", '    """Say."""\n    return'), "hem-drop"),
        (f"{BACK}{HOOK}    return [OPERATION]\n", "hem-back"),
        (f"{BACK}{HOOK}    return OPERATION\n", "hem-back"),
        (BOTH, None),
        (f"{BACK}from .more import OPERATION\n{HOOK}    return [OPERATION]\n", None),
        (f"{BACK}for OPERATION in others: pass\n{HOOK}    return [OPERATION]\n", None),
        (f"{BACK}{HOOK}    return [OPERATION, *others]\n", None),
        (f"{BACK}{HOOK}    return [replace(OPERATION, name='x')]\n", None),
        (f"{BACK}{HOOK}    found = [OPERATION]\n    found += others\n    return found\n", None),
        (f"{BACK}{HOOK}    yield OPERATION\n    yield other\n", None),
        (f"{DROP}from .more import svgfit_operations\n", None),
        (f"{DROP}if True:\n    def svgfit_operations(): return others\n", None),
        ("class Hooks:\n    @hookimpl\n    def svgfit_operations():\n        return Operation('a', '', ())\n", None),
        ("Operation('x'", None),
    ],
)  # fmt: skip
def test_one_operation_is_known_only_where_the_text_says_that_there_is_no_other(text, only):
    assert only_operation(text) == only


def test_the_copy_in_a_named_folder_is_used_instead_of_the_installed_one_and_that_is_said_once(
    site, tmp_path, empty_stock
):
    put(site, __init__=DROP)
    mine = put(tmp_path / "svgfit-hem-drop", __init__=BOTH, back=BACK)
    for folders in ([str(mine)], [str(mine), str(mine)]):
        registry = open_registry(folders, stock=empty_stock)
        assert registry.operation_names() == ("hem-back", "hem-drop")
        assert [plugin.status for plugin in registry.all()] == ["ok"]
        (said,) = registry.warnings
        assert said == (
            f"{mine / 'svgfit_hem_drop' / '__init__.py'} is used in place of the same plug-in in "
            "package svgfit-hem-drop (svgfit_hem_drop)"
        )


def test_another_file_of_an_installed_name_still_collides(site, tmp_path, empty_stock):
    put(site, __init__=DROP)
    other = tmp_path / "other"
    other.mkdir()
    (other / "hem_drop.py").write_text(DROP)
    with pytest.raises(Refusal, match="hem-drop is there 2 times"):
        open_registry([str(other)], stock=empty_stock).operation("hem-drop")


def test_the_inside_of_a_package_is_refused_with_the_folder_to_give(tmp_path, empty_stock, monkeypatch):
    mine = put(tmp_path / "svgfit-hem-drop", __init__=BOTH, back=BACK)
    with pytest.raises(Refusal, match="is itself a plug-in, a package of files; give the folder above it: ") as refused:
        open_registry([str(mine / "svgfit_hem_drop")], stock=empty_stock)
    assert refused.value.todo.endswith(f": {mine}")
    monkeypatch.chdir(mine / "svgfit_hem_drop")
    with pytest.raises(Refusal, match=r"above it: \.\.$"):
        open_registry(["."], stock=empty_stock)


BAD = {
    "one_of=('amount',)": "one_of holds 'amount', not a group of names: write one_of=((\"amount\",),), with both",
    "one_of='amount'": "its one_of are a str, not a tuple of groups of names",
    "one_of=(('amont',),)": "one_of names 'amont', which is not a parameter: did you mean amount?",
    "kinds='sleeve'": "kinds is a str, not a tuple of names",
    "reaches=3": "its reaches are a int, not a tuple of Reach records",
    "run=None": "the operation's run is not a function",
}
"""What an author writes by mistake behind an operation's parameters, and what is said of it."""
PARAMETERS = {
    "Parameter('amount', 'length', 'x')": "its parameters are a Parameter, not a tuple of Parameter records",
    "(Parameter('amount', 'length', 'x', default=5),)": "amount is 5, not a text: write it as a person would, such as",
    "(Parameter('open', 'yes/no', 'x', default=True),)": 'open is True, not a text: write it as a person would, s',
    "(Parameter('by', 'text', 'x', 'up', choices=('on', 'off')),)": "the default 'up' is none of its choices: on, off",
    "(Parameter('by', 'text', 'x', choices=3),)": "TypeError",
}  # fmt: skip


@pytest.mark.parametrize(
    ("parameters", "more", "why"),
    [
        *(("(Parameter('amount', 'length', 'x'),)", more, why) for more, why in BAD.items()),
        *((parameters, "", why) for parameters, why in PARAMETERS.items()),
    ],
)
def test_one_that_can_not_be_used_is_named_with_its_file_and_the_others_stay(
    tmp_path, empty_stock, parameters, more, why
):
    run = "" if more.startswith("run") else "run, "
    bad = f"{HEAD}{RUN}OPERATION = Operation('hem-back', 'x', {parameters}, {run}{more})\n"
    mine = put(tmp_path / "mine", __init__=BOTH, back=bad)
    registry = open_registry([str(mine)], stock=empty_stock)
    assert registry.operation_names() == ("hem-drop",)
    assert registry.operation("hem-drop").name == "hem-drop"
    good, failed = registry.all()
    assert (good.status, good.supplies) == ("ok", "operation hem-drop")
    assert failed.status.startswith("failed: operation hem-back (line 4 of back.py): ")
    assert why in failed.status
    with pytest.raises(Refusal, match=r"operation hem-back \(line 4 of back\.py\)") as refused:
        registry.operation("hem-back")
    assert why in str(refused.value)
    with pytest.raises(Refusal, match=r"The operations are hem-drop$"):
        registry.operation("hem-drap")
    registry.operations()
    assert any("hem-back" in text for text in registry.warnings)


def test_a_plug_in_that_failed_is_no_operation_that_could_be_meant(folder, operation_text, empty_stock):
    made = folder(cap_tuck=operation_text("cap-tuck"), hem_tuck=operation_text("hem-tuck") + "1 / 0\n", costume="1 / 0")
    registry = open_registry([made], stock=empty_stock)
    with pytest.raises(Refusal, match="no operation 'hem-tuk'") as refused:
        registry.operation("hem-tuk")
    assert refused.value.todo.endswith("he operations are cap-tuck")
    with pytest.raises(Refusal, match=r"hem_tuck\.py.*ZeroDivisionError"):
        registry.operation("hem-tuck")


def test_an_operation_that_no_hook_gives_back_is_found_where_it_is_asked_for(tmp_path, empty_stock):
    mine = put(tmp_path / "mine", __init__=DROP, back=BACK)
    registry = open_registry([str(mine)], stock=empty_stock)
    with pytest.raises(
        Refusal, match=r"one is made at line 4 of back\.py, but svgfit_operations does not give it back"
    ):
        registry.operation("hem-back")
