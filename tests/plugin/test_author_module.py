from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import svgfit.plugin as author


def test_every_promised_name_is_there():
    for name in author.__all__:
        assert getattr(author, name) is not None


def test_what_type_checkers_see_is_what_runs():
    tree = ast.parse(Path(author.__file__).read_text(encoding="utf-8"))
    seen = {
        alias.asname or alias.name: node.module
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If)
        for node in branch.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert seen == author._HOME
    assert sorted(seen) == sorted(author.__all__)


def test_importing_it_brings_nothing_heavy_along():
    code = (
        "import sys, svgfit.plugin; print([m for m in ('numpy', 'lxml', 'pluggy', 'svgpathtools') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_an_unknown_name_says_what_there_is():
    with pytest.raises(AttributeError, match="Operation"):
        author.Opperation
