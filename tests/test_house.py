"""The checker of the house's rules (``.ci/check_house.py``) sees what it is there to see."""

from __future__ import annotations

import ast
import importlib.util
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def house():
    spec = importlib.util.spec_from_file_location("check_house", ROOT / ".ci" / "check_house.py")
    module = importlib.util.module_from_spec(spec)
    before = list(sys.path)
    spec.loader.exec_module(module)
    sys.path[:] = before
    return module


def places(house, rule, file, text):
    return [place.what for place in house.RULES[rule](house.Module(file, ast.parse(text)))]


def test_it_looks_at_the_package_and_at_every_plug_in(house):
    files = set(house.sources())
    assert {"svgfit/__init__.py", "plugins/operations/cap_raise.py", "docs/examples/plugins/longer.py"} <= files
    assert len([file for file in files if file.startswith("plugins/")]) >= 24


@pytest.mark.parametrize(
    "line",
    [
        "import svgfit",
        "from svgfit import geometry",
        "import svgfit.model.piece",
        "import svgfit.plugins",
        "from svgfit.fitting.spread import spread",
        "from . import cap_raise",
        "from .cap_raise import run",
        "import lxml.etree",
        "def run(job):\n    from svgfit.fitting.spread import spread",
        "from importlib import import_module\nimport_module('svgfit.fitting')",
        "import importlib\nimportlib.import_module(f'svgfit.{job}')",
        "__import__('svgfit.svg')",
    ],
)
def test_a_plug_in_imports_of_ours_only_the_authors_module(house, line):
    assert places(house, "imports", "plugins/operations/mine.py", line)
    for mine in ("from svgfit.plugin import Job", "import svgfit.plugin", "import numpy", "import math"):
        assert not places(house, "imports", "plugins/operations/mine.py", mine)


def test_only_a_plug_in_that_is_a_folder_imports_its_own_files(house):
    line = "from .redraw import prepare_cap"
    assert not places(house, "imports", "plugins/operations/cap_redraw/__init__.py", line)
    assert places(house, "imports", "plugins/operations/cap_raise.py", line)
    for up in ("from ..armhole_adjust import run", "from svgfit.fitting.ride_along import with_edge"):
        assert places(house, "imports", "plugins/operations/cap_redraw/__init__.py", up)


@pytest.mark.parametrize(
    ("file", "line", "why"),
    [
        ("svgfit/geometry/curve.py", "from svgfit.model.length import spell_length", "upwards"),
        ("svgfit/render/page.py", "import svgfit.app.session", "upwards"),
        ("svgfit/render/page.py", "from svgfit import app", "upwards"),
        ("svgfit/cli/adjust.py", "from svgfit.testing import smock", "upwards"),
        ("svgfit/render/page.py", "import_module('svgfit.app.session')", "upwards"),
        ("svgfit/render/page.py", "import_module(f'svgfit.cli.{name}')", "upwards"),
        ("svgfit/svg/reader.py", "def f():\n    from svgfit.pattern import corners", "side by side"),
        ("svgfit/formats/layered_svg.py", "from svgfit.svg import splice", "side by side"),
        ("svgfit/app/session.py", "from lxml import etree", "lxml is for svgfit/svg/ alone"),
        ("svgfit/render/png.py", "import pikepdf", "pikepdf is for svgfit/render/pdf/ and svgfit/formats/pdf/ alone"),
        ("svgfit/app/session.py", "import_module('typst')", "typst is for svgfit/render/pdf/ alone"),
    ],
)
def test_arrows_that_run_upwards_and_libraries_out_of_place(house, file, line, why):
    (what,) = places(house, "imports", file, line)
    assert why in what


@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("svgfit/model/length.py", "from svgfit.geometry.curve import Curve"),
        ("svgfit/svg/tree.py", "from lxml import etree"),
        ("svgfit/cli/app.py", "import_module(name)"),
        ("svgfit/cli/app.py", "import_module(f'svgfit.cli.{name}')"),
        ("svgfit/__init__.py", "from svgfit.app.session import Session"),
    ],
)
def test_what_may_be_imported(house, file, line):
    assert places(house, "imports", file, line) == []


@pytest.mark.parametrize(
    "line",
    [
        "piece.kind == 'sleeve'",
        "'sleeve' != piece.kind",
        "piece.kind in ('front', 'back')",
        "kind not in {'yoke'}",
        "found['cap ease']",
        "found.get('cap ease')",
        "{'front': 1}",
        "piece.edge('underarm front')",
        "piece.edge('cap' if high else 'armhole')",
        "piece.find_landmark(name or 'cap top')",
        "Mark('notch', at)",
        "Check(name, 'pass')",
        "Row(status='warn')",
        "inches(unit='in')",
        "def f(unit: str = 'mm'): ...",
        "def f(*, unit: str = 'mm'): ...",
        "class A:\n    unit: str = 'in'",
        "match kind:\n    case 'yoke':\n        pass",
    ],
)
def test_bare_words_of_the_vocabulary(house, line):
    assert places(house, "words", "svgfit/app/session.py", line)
    assert places(house, "words", "plugins/operations/mine.py", line) == []


@pytest.mark.parametrize(
    "line",
    [
        "piece.kind == PieceKind.SLEEVE",
        "title = 'front'",
        "'the cap is higher' == text",
        "print('sleeve')",
        "f'{piece} sleeve'",
        "Annotation(AnnotationKind.SLASH, label='notch')",
    ],
)
def test_words_that_are_no_name_are_left_alone(house, line):
    assert places(house, "words", "svgfit/app/session.py", line) == []


def test_a_stock_operation_is_named_nowhere_in_the_package_but_in_examples(house):
    for line in ("x = 'cap-raise'", 'def f():\n    """As ``seam-check`` does."""', "x = f'try {a} (edge-blend)'"):
        assert places(house, "operations", "svgfit/app/targets.py", line)
        assert not places(house, "operations", "plugins/operations/mine.py", line)
    assert not places(house, "operations", "svgfit/cli/adjust.py", "x = 'cap-raise'")
    assert not places(house, "operations", "svgfit/app/targets.py", "x = 'the cap-raised sleeve, edge_blend'")


def test_an_edges_length_is_taken_as_sewn(house):
    for line in ("piece.edge(name).curve.length()", "one.under.piece.edge('cap').from_front().length(1e-3)"):
        for file in ("svgfit/app/session.py", "plugins/operations/mine.py"):
            assert places(house, "lengths", file, line)
    for line in ("sewn_length(piece, name)", "curve.length()", "piece.edge(name).curve.at_length(3)"):
        assert not places(house, "lengths", "plugins/operations/mine.py", line)


@pytest.mark.parametrize(
    ("line", "place"),
    [
        ('def f():\n    """What people are told."""', True),
        ('def f():\n    """Whether it holds."""', True),
        ('def f():\n    """``a``: the row."""', True),
        ('async def f():\n    """the row."""', True),
        ('class A:\n    def f(self):\n        """Every row there is."""', True),
        ('def f():\n    """Return what people are told."""', False),
        ('class A:\n    @property\n    def f(self):\n        """Whether it holds."""', False),
        ("def f():\n    pass", False),
    ],
)
def test_a_docstring_begins_with_what_the_function_does(house, line, place):
    for file in ("svgfit/app/session.py", "plugins/operations/mine.py"):
        assert bool(places(house, "docstrings", file, line)) is place


@pytest.mark.parametrize(
    "line",
    [
        "del each.attrib[name]",
        "root.attrib.pop(name, None)",
        "root.attrib.clear()",
        "etree.strip_attributes(root, 'x')",
    ],
)
def test_no_attribute_of_an_element_is_deleted_by_name(house, line):
    assert places(house, "attributes", "svgfit/svg/export/print_svg.py", line)
    for harmless in ("del table[name]", "names.pop()", "new.set(name, value)", "seen.clear()"):
        assert not places(house, "attributes", "svgfit/svg/export/print_svg.py", harmless)
