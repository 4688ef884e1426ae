"""Lists every text that svgfit can print, draw or refuse with, one a line, and finds words that nobody should read.

    python .ci/list_texts.py [--words] [FOLDER ...]

Texts are the string literals of the code, f-strings with … where a figure or name is put in, that hold at least two
words and are neither docstrings, regular expressions nor what only programs read; and the sentences of the templates of
handouts. ``--words`` lists only those that say what ``FORBIDDEN`` has a plainer word for; exit status 1 where there are
some. ``tests/test_texts.py`` holds that there are none.
"""

from __future__ import annotations

import argparse
import ast
import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
FOLDERS = ("svgfit", "plugins")
LONGEST = 480
"""A text of more letters than this is no sentence that anybody reads at a terminal."""
FORBIDDEN = {
    r"\bpitch\b": "ease front to back (pitch is how a sleeve is turned in its armhole)",
    r"\bparted\b": "divided, split",
    r"\banew\b": "again, or redrawn",
    r"warned of like": "say what is wrong",
    r"is another now\b": "has changed",
    r"\buser units?\b": "unit of the drawing",
    r"(?<!^)\bdrawn details?\b": "detail",
    r"\bverdicts?\b": "result, check",
    r"\bthe convention\b": "svgfit.toml",
    r"\bstated ends?\b": "figure to reach",
    r"\bends? (to reach|that was stated)\b": "figure to reach",
    r"decimals? beside": "only with --decimals",
    r"\d mm \(|\d in \(\d": "one unit: both_ways, or Units.length",
}
"""Words and forms that no text holds, each with what to write instead."""
_NO_SENTENCE = re.compile(r"^[\s\W\d]*$|^[<{#%.\\]|^\w+[:=]|\\[bdsw(]|\(\?|http|--?[a-z-]+=|^\s*[a-z-]+:\s*[\w#.]+;")
_PROGRAMS = ("model/toml_places.py", "svg/export/sanitise.py", "svg/units.py", "svg/stylesheet.py")


class Text(NamedTuple):
    """A text and where it stands."""

    file: str
    line: int
    text: str


def texts_of(path: Path, root: Path = ROOT) -> Iterator[Text]:
    """List the texts of one module, in order."""
    tree = ast.parse(path.read_text("utf-8"))
    name = path.relative_to(root).as_posix()
    skipped = {id(node) for node in _silent(tree)}
    if name.startswith("svgfit/cli/"):  # a command's docstring is its help
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef) and any("command" in ast.unparse(one) for one in node.decorator_list):
                yield Text(name, node.lineno, " ".join((ast.get_docstring(node) or "").split()))
    inside: set[int] = set()
    for node in ast.walk(tree):
        if id(node) in skipped or id(node) in inside:
            continue
        if isinstance(node, ast.JoinedStr):
            inside.update(id(part) for part in node.values)
            text = "".join(str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if _is_sentence(text):
            yield Text(name, node.lineno, " ".join(text.split()))


def _silent(tree: ast.AST) -> Iterator[ast.AST]:
    """Give the strings that nobody reads: statements by themselves (docstrings), and annotations of types."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value
        elif isinstance(node, ast.AnnAssign):
            yield from ast.walk(node.annotation)
        elif isinstance(node, ast.Call) and ast.unparse(node.func).startswith("re."):
            yield from (part for one in node.args[:1] for part in ast.walk(one))


def _is_sentence(text: str) -> bool:
    words = re.findall(r"[^\W\d_]{2,}", text.replace("…", " "))
    return len(words) > 1 and " " in text.strip() and not _NO_SENTENCE.search(text)


def all_texts(folders: Iterable[str] = FOLDERS) -> list[Text]:
    """List the texts of all modules and templates."""
    found: list[Text] = []
    for folder in folders:
        for path in sorted((ROOT / folder).rglob("*.py")):
            if not path.as_posix().endswith(_PROGRAMS) and "svgfit/rules/" not in path.as_posix():
                found += texts_of(path)
        for path in sorted((ROOT / folder).rglob("*.typ")):
            for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
                code = line.partition("//")[0]
                words = (text for text in re.findall(r'"([^"]*)"|\[([^\[\]#]*)\]', code) for text in text if text)
                found += [Text(path.relative_to(ROOT).as_posix(), number, text) for text in words if _is_sentence(text)]
    return found


def said_badly(texts: Iterable[Text]) -> list[tuple[Text, str]]:
    """Find the texts that say what ``FORBIDDEN`` has a plainer word for, or are far too long; each with what to do."""
    found: list[tuple[Text, str]] = []
    for one in texts:
        found += [(one, todo) for pattern, todo in FORBIDDEN.items() if re.search(pattern, one.text, re.IGNORECASE)]
        if len(one.text) > LONGEST:
            found.append((one, f"{len(one.text)} letters, more than {LONGEST}"))
    return found


def main() -> int:
    """List all texts, or those that are said badly."""
    reading = argparse.ArgumentParser(description=str(__doc__).partition("\n")[0])
    reading.add_argument("--words", action="store_true")
    reading.add_argument("folders", nargs="*", default=FOLDERS)
    given = reading.parse_args()
    texts = all_texts(given.folders)
    if not given.words:
        for one in texts:
            print(f"{one.file}:{one.line}: {one.text}")
        print(f"{len(texts)} texts", file=sys.stderr)
        return 0
    bad = said_badly(texts)
    for one, todo in bad:
        print(f"{one.file}:{one.line}: {one.text}\n    better: {todo}")
    return int(bool(bad))


if __name__ == "__main__":
    sys.exit(main())
