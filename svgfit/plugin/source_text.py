"""What a plug-in's text shows of it without importing it: the hooks it mentions, the operations it makes and where."""

from __future__ import annotations

import ast
import os
import re
from collections.abc import Iterable

from msgspec import Struct

OPERATION_HOOK = "svgfit_operations"
HOOK_NAMES = "svgfit_"
"""What the name of every hook begins with, and no other function's."""
_DEFINED = re.compile(r"^([^\n]*)\n[ \t]*(?:async[ \t]+)?def[ \t]+(svgfit_\w+)", re.MULTILINE)
_MENTIONED = re.compile(r"\bsvgfit_[a-z_]+\b")
_OPERATION = re.compile(r"""\bOperation\((?:\s*(?:name\s*=\s*)?["']([^"']*)["'])?""")
_RELATIVE = re.compile(r"^\s*from\s+\.", re.MULTILINE)


class Made(Struct, frozen=True):
    """An operation that a file's text makes."""

    name: str
    """As it stands there; "" where it is no plain text."""
    file: str
    line: int
    """From 1."""


def read_text(path: str) -> str | None:
    """Read a plug-in's text; None where that can't be done."""
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            return file.read()
    except OSError:
        return None


def mentioned_hooks(text: str, hooks: Iterable[str]) -> tuple[str, ...]:
    """List those of ``hooks`` that a text mentions, in its order."""
    known = set(hooks)
    return tuple(hook for hook in dict.fromkeys(_MENTIONED.findall(text)) if hook in known)


def may_slip(text: str, hooks: Iterable[str]) -> bool:
    """Tell whether a text defines a function that seems a hook and is perhaps none: unknown, or with no mark above."""
    known = set(hooks)
    found = _DEFINED.findall(f"\n{text}")
    return any(name not in known or not above.lstrip().startswith("@") for above, name in found)


def is_inside_package(text: str) -> bool:
    """Tell whether a text imports relative to its folder: it can't be imported by itself."""
    return _RELATIVE.search(text) is not None


def operations_made(files: Iterable[str]) -> tuple[Made, ...]:
    """Find where files make operations, whether or not a hook gives them back."""
    found: list[Made] = []
    for path in files:
        text = read_text(path) or ""
        found += [Made(hit[1] or "", path, text.count("\n", 0, hit.start()) + 1) for hit in _OPERATION.finditer(text)]
    return tuple(found)


def only_operation(text: str) -> str | None:
    """Return the name of the one operation that a text gives back; None where it gives several, or it can't be told.

    It can be told where the hook does nothing but give back one ``Operation("name", …)``, written there or bound once
    to a name of the file's own. What is imported, made in a loop or put together is not known before it is imported.
    """
    if len(_OPERATION.findall(text)) != 1:
        return None
    try:
        tree = ast.parse(text)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return None
    hooks = [node for node in ast.walk(tree) if _binds(node, OPERATION_HOOK)]
    if len(hooks) != 1 or hooks[0] not in tree.body or not isinstance(hooks[0], ast.FunctionDef):
        return None
    body = [each for each in hooks[0].body if not (isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant))]
    given = body[0].value if len(body) == 1 and isinstance(body[0], ast.Return) else None
    if isinstance(given, (ast.List, ast.Tuple)):
        given = given.elts[0] if len(given.elts) == 1 else None
    if isinstance(given, ast.Name):
        bound = [node for node in ast.walk(tree) if _binds(node, given.id)]
        given = bound[0].value if len(bound) == 1 and isinstance(bound[0], (ast.Assign, ast.AnnAssign)) else None
    return _name_of(given)


def _name_of(node: ast.expr | None) -> str | None:
    """Return the name in ``Operation("name", …)``; None for anything else."""
    if not isinstance(node, ast.Call):
        return None
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    named = node.args[0] if node.args else next((each.value for each in node.keywords if each.arg == "name"), None)
    if called != "Operation" or not isinstance(named, ast.Constant) or not isinstance(named.value, str):
        return None
    return named.value


def _binds(node: ast.AST, name: str) -> bool:
    """Tell whether a statement gives something that name, in whatever way."""
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
        return node.name == name
    if isinstance(node, (ast.Import, ast.ImportFrom)):
        return any((each.asname or each.name.partition(".")[0]) == name for each in node.names)
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    names = (each for target in targets if target for each in ast.walk(target) if isinstance(each, ast.Name))
    return any(each.id == name for each in names)


def shown(path: str, folder: str | None) -> str:
    """Write a file of a plug-in for people: as seen from the plug-in's folder, or its name alone."""
    return os.path.relpath(path, folder) if folder else os.path.basename(path)


def line_of(line: int, path: str, folder: str | None) -> str:
    """Say at which line of which file something is."""
    return f"line {line} of {shown(path, folder)}"
