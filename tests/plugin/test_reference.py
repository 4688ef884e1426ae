"""The reference of what an author may import says everything that there is, as it is."""

from __future__ import annotations

import importlib.util
import inspect
import sys
from pathlib import Path
from typing import get_args, get_type_hints

import pytest

import svgfit.plugin as author

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def made():
    spec = importlib.util.spec_from_file_location("author_reference", ROOT / "docs" / "author_reference.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules[spec.name]


def test_no_name_field_or_method_is_without_a_word(made):
    assert made.undocumented() == []


def test_the_page_is_as_the_code_says(made):
    page = (ROOT / "docs" / "reference.md").read_text(encoding="utf-8")
    assert made.reference() in page, "run python docs/make_docs.py"


def test_every_name_has_its_heading_once(made):
    headings = [line for line in made.reference().splitlines() if line.startswith("### ")]
    assert len(headings) == len(set(headings))
    modules = {*author.PARTS, "rules"}
    assert {f"### {name}" for name in author.__all__ if name not in modules} <= set(headings)


def test_a_records_fields_come_with_type_default_and_documentation(made):
    fields = {field.name: field for field in made.fields(author.Edge)}
    assert fields["allowance"].type == "float | None"
    assert fields["allowance"].default == "None"
    assert fields["allowance"].doc.startswith("Seam allowance in mm")


def test_a_field_without_documentation_is_seen(made, monkeypatch, tmp_path):
    text = (
        'from msgspec import Struct\n\n\nclass A(Struct):\n    """A."""\n\n    b: int\n    c: int = 0\n    """C."""\n'
    )
    (tmp_path / "undocumented_record.py").write_text(text, encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    record = importlib.import_module("undocumented_record").A
    monkeypatch.setattr(record, "__module__", "svgfit.undocumented_record")
    monkeypatch.setitem(sys.modules, "svgfit.undocumented_record", sys.modules["undocumented_record"])
    assert [(field.name, field.doc) for field in made.fields(record)] == [("b", ""), ("c", "C.")]


def test_every_type_that_a_signature_names_is_documented(made):
    """Fragment, Corner, Cut and NotchPlaces are had from what is offered, though they are not offered by name."""
    headings = {line for line in made.reference().splitlines() if line.startswith("### ")}
    named = made.named_types()
    assert {"Corner", "Fragment", "NotchPlaces", "Outline", "Units"} <= {place.name for place in named}
    assert {f"### {place.name}" for place in named} <= headings


def test_what_types_a_page_lacks_is_found_independently(made):
    """What Python itself resolves the annotations to, class by class, is offered or has its heading."""
    offered = {getattr(module, name) for module in made.modules() for name in module.__all__ if name not in made.SAYS}
    headings = {line[4:] for line in made.reference().splitlines() if line.startswith("### ")}
    for value in [one for one in offered if inspect.isclass(one) and one.__module__.startswith("svgfit.model")]:
        if value is author.Refusal:  # its hints need a name that only type checkers import
            continue
        for name, hint in get_type_hints(value).items():
            for one in [hint, *get_args(hint), *(inner for arg in get_args(hint) for inner in get_args(arg))]:
                if inspect.isclass(one) and one.__module__.startswith("svgfit.") and not name.startswith("_"):
                    assert one in offered or one.__name__ in headings, f"{value.__name__}.{name}: {one.__name__}"


def test_a_type_without_documentation_is_seen(made, monkeypatch, tmp_path):
    text = (
        "from msgspec import Struct\n\nPairs = tuple[int, int]\n\n\nclass Inner(Struct):\n    b: int\n\n\n"
        'def offered(one: "Inner | None", two: Pairs) -> int:\n    """Count."""\n    return 1\n'
    )
    (tmp_path / "named_by_signature.py").write_text(text, encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    module = importlib.import_module("named_by_signature")
    for value in (module.offered, module.Inner):
        monkeypatch.setattr(value, "__module__", "svgfit.named_by_signature")
    monkeypatch.setitem(sys.modules, "svgfit.named_by_signature", module)
    module.__all__ = ["offered"]
    monkeypatch.setattr(made, "modules", lambda: [module])
    assert {place.name for place in made.named_types()} == {"Inner", "Pairs"}
    assert made.undocumented() == ["Inner", "Inner.b", "Pairs"]
