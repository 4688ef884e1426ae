"""The reference of what an author may import says everything that there is, as it is."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

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
