"""Plug-ins are written as anyone would write one: of our modules they import ``svgfit.plugin`` and nothing else.

The import checker of the other floors works on packages; the stock folder is none, so the rule is held here.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STOCK = sorted((ROOT / "plugins").rglob("*.py"))
FOLDERS = {path.parent for path in STOCK if path.name == "__init__.py"}
"""Stock plug-ins that are a folder, whose files may import one another."""
PLUGINS = [*STOCK, *sorted((ROOT / "docs" / "examples" / "plugins").rglob("*.py"))]


def imported(text: str) -> set[str]:
    """Every module that a source imports, relative ones with their dots."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = "." * node.level + (node.module or "")
            found.add(module)
            if module == "svgfit":
                found.update(f"svgfit.{alias.name}" for alias in node.names)
    return found


def ours(modules: set[str]) -> set[str]:
    stems = {path.stem for path in PLUGINS} | {folder.name for folder in FOLDERS}
    return {name for name in modules if name.split(".")[0] in {"svgfit", "plugins", "", *stems}}


@pytest.mark.parametrize("path", PLUGINS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_a_plugin_imports_nothing_of_ours_but_the_authors_module(path):
    beside = {f".{one.stem}" for one in path.parent.glob("*.py")} if path.parent in FOLDERS else set()
    assert ours(imported(path.read_text(encoding="utf-8"))) <= {"svgfit.plugin"} | beside


@pytest.mark.parametrize(
    "line",
    [
        "import svgfit",
        "from svgfit import geometry",
        "import svgfit.model.piece",
        "from svgfit.plugin.guard import guarded",
        "from . import cap_raise",
        "import cap_raise",
        "def run(job):\n    from svgfit.fitting.spread import spread",
    ],
)
def test_the_rule_sees_every_way_round_it(line):
    assert not ours(imported(line)) <= {"svgfit.plugin"}


def test_there_are_plugins_to_look_at_and_each_lies_in_its_folder():
    places = {(path.parent.parent if path.parent in FOLDERS else path.parent).name for path in STOCK}
    assert places == {"operations", "dialects", "readers", "recognisers", "writers"}
    assert len(STOCK) >= 24
