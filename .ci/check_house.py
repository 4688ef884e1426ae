"""Rules of the house that hold for every file and that no linter knows.

    python .ci/check_house.py [--counts] [--only RULE ...]

imports     Floors and plug-ins by every way to import, ``import_module("…")`` too: no arrow runs upwards, a plug-in
            imports of ours only ``svgfit.plugin`` and, where it is a folder, its own files; a library is imported only
            where LIBRARIES says.
operations  No stock operation is named outside ``plugins/``, docs and tests, but for examples of the command line.
docstrings  A function's docstring says in its first word what is done: ruff's D401 lets "What …" and "How …" pass.
attributes  No attribute of an element is deleted by name: where a DOCTYPE declares a default, lxml then frees what
            is no attribute: a new tree is built instead.
words       No word of ``svgfit.model.vocabulary`` as a bare text where it is compared, looked up or handed to a record.

Prints each place, or with ``--counts`` how many there are by folder; exit status 1 where there is any.
"""

from __future__ import annotations

import argparse
import ast
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from svgfit.model import vocabulary  # noqa: E402

FLOORS = (
    "geometry",
    "model",
    "rules",
    "svg",
    "pattern",
    "formats",
    "fitting",
    "plugin",
    "render",
    "app",
    "cli",
    "testing",
)
"""From the ground up."""
BESIDE = {"svg", "pattern", "formats"}
"""Floors that stand side by side and don't import each other."""
AUTHORS = "svgfit.plugin"
"""The one module of ours that a plug-in may import."""
LIBRARIES: dict[str, tuple[str, ...]] = {
    "lxml": ("svgfit/svg/",),
    "tinycss2": ("svgfit/svg/",),
    "cssselect2": ("svgfit/svg/",),
    "typst": ("svgfit/render/pdf/",),
    "pikepdf": ("svgfit/render/pdf/", "svgfit/formats/pdf/"),
    "resvg_py": ("svgfit/render/",),
    "click": ("svgfit/cli/",),
    "watchfiles": ("svgfit/cli/",),
}
"""Which folders alone may import a library."""

TAKES_A_WORD = {
    "edge", "edges", "has_edge", "find_edge", "landmark", "find_landmark", "has_landmark", "notches", "marks", "mark",
    "Edge", "Landmark", "Mark", "Check", "Annotation", "Piece", "RawPiece", "Row", "Measurement",
}  # fmt: skip
"""Methods and records whose arguments are words of the vocabulary, whatever their place."""
LOOKS_UP = {"get", "pop", "setdefault", "index", "count"}
WORD_ARGUMENTS = {"kind", "kinds", "status", "unit", "side", "edge", "landmark", "mark", "figure", "drawn"}
"""Keyword arguments, parameters and fields whose value is a word of the vocabulary."""


class Allowed(NamedTuple):
    where: str
    """A file or folder."""
    words: frozenset[str]
    why: str


ALLOWED = (
    Allowed("svgfit/model/vocabulary.py", frozenset(), "the vocabulary itself"),
    Allowed("svgfit/app/body_sheet.py", frozenset({"choose"}), "a key of the sheet"),
    Allowed("svgfit/cli/inspect.py", frozenset({"edge", "edges", "file", "length", "pieces"}), "keys of the JSON"),
    Allowed("svgfit/fitting/sewn.py", frozenset({"shoulder"}), "part of a name that a person gave"),
    Allowed("svgfit/model/adjusted_attributes.py", frozenset({"edges"}), "an attribute"),
    Allowed("svgfit/model/length.py", frozenset({"number"}), "a group of the pattern"),
    Allowed("svgfit/model/plan.py", frozenset({"do"}), "a key of a plan's [[step]]"),
    Allowed("svgfit/model/plan_file.py", frozenset({"do"}), "a key of a plan's [[step]]"),
    Allowed("svgfit/app/plan_check.py", frozenset({"do"}), "a key of a plan's [[step]]"),
    Allowed("svgfit/pattern/adjusted_layer.py", frozenset({"edge"}), "an attribute"),
    Allowed("svgfit/rules/__init__.py", frozenset({"count"}), "a unit of rules"),
    Allowed("svgfit/plugin/values.py", frozenset({"number"}), "a group of the pattern"),
    Allowed("svgfit/render/annotate/block.py", frozenset({"arrow"}), "a sample of the legend"),
    Allowed("svgfit/render/pdf/picture.py", frozenset({"text"}), "an element of SVG"),
    Allowed("svgfit/render/text/advice.py", frozenset({"do", "sleeve"}), "keys of the JSON"),
    Allowed(
        "svgfit/svg/", frozenset({"text", "in", "mm", "cm", "deg", "back", "front"}), "elements of SVG, units of CSS"
    ),
    Allowed("svgfit/pattern/convention.py", frozenset({"front", "edges", "pieces"}), "keys of the convention"),
    Allowed("svgfit/pattern/ease_tables.py", frozenset({"cap"}), "a key of the convention's [ease.NAME]"),
)
"""Where a word is another language's. Without words: all."""


class Place(NamedTuple):
    file: str
    line: int
    what: str


class Module(NamedTuple):
    """A parsed source."""

    file: str
    """Seen from the project's root, with slashes."""
    tree: ast.Module

    @property
    def floor(self) -> str:
        """The folder below ``svgfit/``; empty for what stands in none and for plug-ins."""
        parts = self.file.split("/")
        return parts[1] if parts[0] == "svgfit" and len(parts) > 2 else ""

    @property
    def is_plugin(self) -> bool:
        return not self.file.startswith("svgfit/")


def sources() -> list[str]:
    """The package and every plug-in, as seen from the project's root."""
    folders = ("svgfit", "plugins", "docs/examples/plugins")
    return [path.relative_to(ROOT).as_posix() for folder in folders for path in sorted((ROOT / folder).rglob("*.py"))]


def modules() -> list[Module]:
    return [Module(file, ast.parse((ROOT / file).read_text(encoding="utf-8"))) for file in sources()]


# -- imports ---------------------------------------------------------------------------------------------------------


def imported(module: Module) -> Iterator[tuple[int, str]]:
    """Line and dotted name of all that a module imports, by statement or by name."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = "." * node.level + (node.module or "")
            yield from ((node.lineno, f"{base}.{alias.name}" if base else alias.name) for alias in node.names)
        elif isinstance(node, ast.Call) and _called(node) in ("import_module", "__import__") and node.args:
            yield node.lineno, _text_start(node.args[0])


def _text_start(node: ast.expr) -> str:
    """A text constant, or how an f-string begins; empty for what is not known before it runs."""
    if isinstance(node, ast.JoinedStr) and node.values:
        node = node.values[0]  # pyright: ignore[reportAssignmentType]
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def check_imports(module: Module) -> Iterator[Place]:
    for line, name in imported(module):
        if fault := _fault(module, name):
            yield Place(module.file, line, f"imports {name}: {fault}")


def _fault(module: Module, name: str) -> str:
    package, _, rest = name.partition(".")
    if package in LIBRARIES and not module.is_plugin and not module.file.startswith(LIBRARIES[package]):
        return f"{package} is for {' and '.join(LIBRARIES[package])} alone"
    if module.is_plugin and re.match(r"\.\w", name) and (ROOT / module.file).with_name("__init__.py").exists():
        return ""
    if name.startswith(".") or (module.is_plugin and package == "svgfit" and not f"{name}.".startswith(f"{AUTHORS}.")):
        return f"a plug-in imports of ours only {AUTHORS}" if module.is_plugin else "relative imports are not used"
    if module.is_plugin and package in LIBRARIES:
        return "a plug-in gets what it needs from the authors' module"
    floor = rest.partition(".")[0]
    if package != "svgfit" or floor not in FLOORS or module.floor not in FLOORS or floor == module.floor:
        return ""
    if {module.floor, floor} <= BESIDE:
        return "these floors stand side by side"
    return "the arrow runs upwards" if FLOORS.index(floor) > FLOORS.index(module.floor) else ""


# -- words -----------------------------------------------------------------------------------------------------------


def _words() -> dict[str, str]:
    """Each word, and how it is written."""
    found: dict[str, str] = {}
    for name, kind in vars(vocabulary).items():
        if isinstance(kind, type) and issubclass(kind, StrEnum) and kind is not StrEnum:
            for member in kind:
                found[member.value] = (
                    f"{found[member.value]} or {name}.{member.name}"
                    if member.value in found
                    else (f"{name}.{member.name}")
                )
    return found


WORDS = _words()


def check_words(module: Module) -> Iterator[Place]:
    if module.is_plugin:
        return
    for node, how in _uses(module.tree):
        for constant in _texts(node):
            if constant.value in WORDS and not _allowed(module.file, str(constant.value)):
                yield Place(module.file, constant.lineno, f"{how} {constant.value!r}: {WORDS[str(constant.value)]}")


def _uses(tree: ast.Module) -> Iterator[tuple[ast.expr, str]]:
    """Every expression that is compared, looked up, or handed over as a word; and how."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            yield from ((part, "compares with") for part in (node.left, *node.comparators))
        elif isinstance(node, ast.Subscript):
            yield node.slice, "looks up"
        elif isinstance(node, ast.Dict):
            yield from ((key, "has the key") for key in node.keys if key is not None)
        elif isinstance(node, ast.MatchValue):
            yield node.value, "matches"
        elif isinstance(node, ast.Call):
            yield from _handed(node)
        elif isinstance(node, ast.arguments):
            yield from _defaults(node)
        elif isinstance(node, ast.AnnAssign) and _named(node.target) in WORD_ARGUMENTS and node.value is not None:
            yield node.value, "is by default"


def _handed(call: ast.Call) -> Iterator[tuple[ast.expr, str]]:
    name = _called(call)
    if name in TAKES_A_WORD or name in LOOKS_UP:
        yield from ((part, f"hands {name}()") for part in call.args)
    for keyword in call.keywords:
        if keyword.arg in WORD_ARGUMENTS or (keyword.arg == "name" and name in TAKES_A_WORD):
            yield keyword.value, f"hands {keyword.arg}="


def _defaults(arguments: ast.arguments) -> Iterator[tuple[ast.expr, str]]:
    placed = [*arguments.posonlyargs, *arguments.args]
    pairs = [*zip(placed[len(placed) - len(arguments.defaults) :], arguments.defaults, strict=True)]
    pairs += [(name, value) for name, value in zip(arguments.kwonlyargs, arguments.kw_defaults, strict=True) if value]
    yield from ((value, "is by default") for name, value in pairs if name.arg in WORD_ARGUMENTS)


def _texts(node: ast.expr) -> Iterator[ast.Constant]:
    """Text constants that an expression is, or is made of where it is a choice or a list of such."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str):
            yield node
    elif isinstance(node, (ast.Tuple, ast.List, ast.Set)):
        for part in node.elts:
            yield from _texts(part)
    elif isinstance(node, ast.IfExp):
        yield from _texts(node.body)
        yield from _texts(node.orelse)
    elif isinstance(node, ast.BoolOp):
        for part in node.values:
            yield from _texts(part)


def _named(node: ast.expr) -> str:
    """The last name of ``a`` or ``b.a``."""
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _called(call: ast.Call) -> str:
    return _named(call.func)


def _allowed(file: str, word: str) -> bool:
    return any(file.startswith(rule.where) and (not rule.words or word in rule.words) for rule in ALLOWED)


# -- names of operations ---------------------------------------------------------------------------------------------

EXAMPLES = ("svgfit/cli/", "svgfit/model/plan.py", "svgfit/model/plan_file.py", "svgfit/__init__.py")
"""Where a stock operation may be named: in examples that are printed or read before any plug-in is loaded."""


def check_operations(module: Module) -> Iterator[Place]:
    """No text of the package, docstrings among them, names a stock operation: svgfit asks for what one can do.

    Names of one word ("slash", "lengthen") are words of the trade too, and can't be told from these.
    """
    if module.is_plugin or module.file.startswith(EXAMPLES):
        return
    found = sorted((ROOT / "plugins" / "operations").iterdir())
    stock = [one.stem.replace("_", "-") for one in found if one.suffix == ".py" or (one / "__init__.py").exists()]
    stock = [name for name in stock if "-" in name]
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            for name in stock:
                if re.search(rf"(?<![\w-]){name}(?![\w-])", node.value):
                    yield Place(module.file, node.lineno, f"names the operation {name}")


# -- docstrings ------------------------------------------------------------------------------------------------------

NO_VERB = {
    "a", "all", "an", "as", "at", "before", "below", "beyond", "both", "by", "each", "every", "everything", "few",
    "for", "from", "half", "her", "his", "how", "if", "in", "its", "least", "many", "more", "most", "no", "none",
    "not", "nothing", "of", "on", "one", "only", "other", "our", "some", "such", "that", "the", "their", "these",
    "this", "those", "to", "two", "what", "when", "where", "whether", "which", "who", "whose", "why", "with",
    "without",
}  # fmt: skip
"""First words of a phrase that names something, where a sentence should say what is done."""
PROPERTIES = {"property", "cached_property"}
"""Decorators of what is read like a field: its docstring names a thing."""


def check_docstrings(module: Module) -> Iterator[Place]:
    for node in ast.walk(module.tree):
        if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            continue
        text = ast.get_docstring(node)
        if text is None or any(_named(decorator) in PROPERTIES for decorator in node.decorator_list):
            continue
        first = text.split(maxsplit=1)[0] if text.split() else ""
        if not first[:1].isupper() or first.strip(".,:;").lower() in NO_VERB:
            yield Place(
                module.file, node.lineno, f"the docstring of {node.name} begins with {first!r}, not with a verb"
            )


# -- attributes of elements ------------------------------------------------------------------------------------------

DELETES = {"pop", "clear"}


def check_attributes(module: Module) -> Iterator[Place]:
    for node in ast.walk(module.tree):
        held: list[ast.expr] = []
        if isinstance(node, ast.Delete):
            held = [target.value for target in node.targets if isinstance(target, ast.Subscript)]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in DELETES:
            held = [node.func.value]
        elif isinstance(node, ast.Call) and _called(node) == "strip_attributes":
            held = [ast.Name("attrib")]
        if any(_named(each) == "attrib" for each in held):
            yield Place(module.file, node.lineno, "deletes an element's attribute by name")


# -- lengths of edges ------------------------------------------------------------------------------------------------


def check_lengths(module: Module) -> Iterator[Place]:
    """Find an edge's drawn length taken where its length as sewn (``sewn_length``) is meant: darts would count."""
    if module.file.startswith("svgfit/fitting/sewn.py"):
        return
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Call) and re.search(
            r"\.edge\(.*\)\.(curve|from_front\(\))\.length$", ast.unparse(node.func)
        ):
            yield Place(module.file, node.lineno, "takes an edge's length as drawn: sewn_length measures it")


# -- all of it -------------------------------------------------------------------------------------------------------

RULES: dict[str, Callable[[Module], Iterator[Place]]] = {
    "imports": check_imports,
    "attributes": check_attributes,
    "docstrings": check_docstrings,
    "words": check_words,
    "operations": check_operations,
    "lengths": check_lengths,
}


def main() -> int:
    options = argparse.ArgumentParser(description="Check the rules of the house.")
    options.add_argument("--only", nargs="+", choices=RULES, default=tuple(RULES), help="check these rules alone")
    options.add_argument("--counts", action="store_true", help="how many places by rule and folder instead of each")
    chosen = options.parse_args()
    read = modules()
    found = {rule: [place for module in read for place in RULES[rule](module)] for rule in chosen.only}
    for rule, places in found.items():
        if chosen.counts:
            folders = Counter("/".join(place.file.split("/")[:2]) for place in places)
            print(f"{rule}: " + (", ".join(f"{folder} {count}" for folder, count in sorted(folders.items())) or "none"))
        else:
            for place in places:
                print(f"{place.file}:{place.line}: {rule}: {place.what}")
    total = sum(map(len, found.values()))
    print(f"house: {len(read)} files, {total} places against the rules {', '.join(chosen.only)}")
    return int(total > 0)


if __name__ == "__main__":
    sys.exit(main())
