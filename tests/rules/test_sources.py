"""Every rule of the trade stands in svgfit/rules, once, with its unit, its source and what it decides; and is used."""

from __future__ import annotations

import ast
import importlib
import io
import itertools
import re
import tokenize
from fractions import Fraction
from pathlib import Path
from typing import get_type_hints

import pytest

from svgfit.model.length import format_length
from svgfit.rules import SUBJECTS, Source
from svgfit.rules.ease import SHARE_BACK, SHARE_BACK_IN_WORDS
from svgfit.rules.matching import CAREFUL, WORKABLE

ROOT = Path(__file__).resolve().parents[2]
RULES = ROOT / "svgfit" / "rules"
FILES = sorted([*(ROOT / "svgfit").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")])
WITHOUT_UNIT = {"STYLES", "MEASURES", "COMPLAINTS", "HOW_MANY"}
"""Tables of records, each with a page of its own, and words for numbers."""
A_RULE = re.compile(r"common\s+practice", re.IGNORECASE)
SOURCE_OF_A_VALUE = re.compile(r"common\s+practice|from\s+memory|no\s+source|judgement", re.IGNORECASE)


def has_number(node: ast.AST) -> bool:
    return any(isinstance(part, ast.Constant) and type(part.value) in (int, float) for part in ast.walk(node))


def remarks(source: str) -> list[str]:
    """What a file outside svgfit/rules says that belongs there.

    "Common practice" in any docstring or comment; beside a constant of a module that is a number, any word on where it
    comes from. (Formulas that are "from memory" stay where they are used.)
    """
    tree = ast.parse(source)
    texts = [node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)]
    said = [node.value for node in texts if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    found = [text for text in said if A_RULE.search(text)]
    beside: set[int] = set()
    for line, after in itertools.pairwise([*tree.body, ast.Pass()]):
        if isinstance(line, (ast.Assign, ast.AnnAssign)) and has_number(line):
            beside |= set(range(line.lineno - 1, (line.end_lineno or line.lineno) + 1))
            if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
                found += SOURCE_OF_A_VALUE.findall(str(after.value.value))
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            found += (SOURCE_OF_A_VALUE if token.start[0] in beside else A_RULE).findall(token.string)
    return found


@pytest.mark.parametrize(
    "source",
    [
        'WIDE = 50.8\n"""A seam allowance wider than this is more than usual; judgement, no source."""\n',
        'WIDE: float = 2 * INCH\n"""Wider than usual (from\nmemory)."""\n',
        "WIDE = 50.8  # common practice\n",
        "# judgement, no source\nWIDE = 50.8\n",
        "def notches():\n    # one on the front, two on the back: common practice, no source\n    return 1, 2\n",
        'def notches():\n    """Count them (common practice: one on the front)."""\n',
        'class Notch:\n    deep = 3.0\n    """How deep; common\n    practice."""\n',
        '"""Notches: common practice, no source."""\n',
    ],
)
def test_a_rule_with_its_source_outside_of_the_rules_is_seen(source):
    assert remarks(source)


@pytest.mark.parametrize(
    "source",
    [
        'def bent(d):\n    """Handles of 4/3·tan(angle/4) radii (from memory)."""\n    return 4 / 3\n',
        "def bent(d):\n    # c / (3 cos²(φ/4)) (from memory)\n    c = 1 / 3\n    return c\n",
        'FOLDERS = ("a", "b")\n"""Where installers put it (from memory)."""\n',
        'print("Ease is common practice, never law.")\n',
        'WIDE = 50.8\n"""Wider than this."""\n',
    ],
)
def test_formulas_and_what_people_read_are_left_alone(source):
    assert remarks(source) == []


@pytest.mark.parametrize("path", [path for path in FILES if path.parent != RULES], ids=lambda path: path.stem)
def test_no_rule_stands_outside_of_the_rules(path):
    assert remarks(path.read_text(encoding="utf-8")) == []


def test_every_file_of_rules_is_a_subject():
    assert sorted(path.stem for path in RULES.glob("*.py")) == sorted([*SUBJECTS, "__init__"])


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_rule_says_its_unit_its_source_and_what_it_decides(subject):
    module = importlib.import_module(f"svgfit.rules.{subject}")
    tree = ast.parse((RULES / f"{subject}.py").read_text(encoding="utf-8"))
    hints = get_type_hints(module, include_extras=True)
    for line, after in itertools.pairwise([*tree.body, ast.Pass()]):
        if not isinstance(line, (ast.Assign, ast.AnnAssign)):
            continue
        name = ast.unparse(line.targets[0] if isinstance(line, ast.Assign) else line.target)
        unit, source = getattr(hints.get(name), "__metadata__", ("", None))[-2:]
        if isinstance(source, Source):
            assert isinstance(unit, str), name
            assert unit, name
            assert source.words, name
            assert isinstance(after, ast.Expr), f"{name}: what does it decide?"
        else:
            assert name in WITHOUT_UNIT or not has_number(line), f"{name} has no unit or no source"


@pytest.mark.slow
def test_every_rule_is_used():
    text = "\n".join(path.read_text(encoding="utf-8") for path in FILES if path.parent != RULES)
    for subject in SUBJECTS:
        module = importlib.import_module(f"svgfit.rules.{subject}")
        own = (RULES / f"{subject}.py").read_text(encoding="utf-8")
        for name, hint in get_type_hints(module, include_extras=True).items():
            if isinstance(getattr(hint, "__metadata__", ("",))[-1], Source):
                assert re.search(rf"\b{name}\b", text) or len(re.findall(rf"\b{name}\b", own)) > 1, f"{subject}: {name}"


@pytest.mark.parametrize("command", ["check", "walk"])
def test_what_help_says_of_matching_is_the_rule(command):
    """Help is written before any rule is read, so it says the figures itself."""
    said = " ".join((ROOT / "svgfit" / "cli" / f"{command}.py").read_text(encoding="utf-8").split())
    for limit in (CAREFUL, WORKABLE):
        assert f"within {format_length(limit, 'in', decimal=False)}" in said


def test_the_share_is_told_in_words_as_it_is_in_figures():
    assert tuple(float(Fraction({"half": "1/2"}.get(word, word))) for word in SHARE_BACK_IN_WORDS) == SHARE_BACK
