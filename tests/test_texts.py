"""Every text that svgfit can print, draw or refuse with: plain words, one unit, no sentence without end."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def listing():
    """The script that lists them."""
    spec = importlib.util.spec_from_file_location("list_texts", ROOT / ".ci" / "list_texts.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["list_texts"] = module  # named tuples look their module up
    spec.loader.exec_module(module)
    return module


def test_no_text_has_a_word_that_has_a_plainer_one(listing) -> None:
    texts = listing.all_texts()
    assert len(texts) > 2000
    assert [f"{one.file}:{one.line}: {one.text}: {todo}" for one, todo in listing.said_badly(texts)] == []


@pytest.mark.parametrize(
    "said",
    [
        "the cut line is drawn anew",
        "its ease is another now",
        "the sleeve's pitch is off",
        "one user unit is 1 mm",
        "it moves 3.0 mm (1/8 in) outwards",
        "it is 1 1/8 in (1.125) high",
    ],
)
def test_a_word_that_nobody_should_read_is_found(listing, tmp_path, said) -> None:
    (tmp_path / "module.py").write_text(f'"""Nobody reads {said}."""\nTEXT = f"{{1}}: {said}"\n', "utf-8")
    texts = list(listing.texts_of(tmp_path / "module.py", tmp_path))
    assert [one.text for one in texts] == [f"…: {said}"]
    assert listing.said_badly(texts)
