"""The reference of what an author of plug-ins may import, read off the code: signatures, fields, methods, errors.

``undocumented`` lists what lacks a word of documentation; a test holds that nothing does.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import textwrap
from collections.abc import Callable, Iterator
from contextlib import suppress
from enum import StrEnum
from functools import cache
from typing import Any, NamedTuple

SAYS = {
    "API_VERSION": "The version of what this page says. A plug-in may state `SVGFIT_API`, the one it was written for.",
    "Element": "An lxml element. Dialects only read it.",
    "REDRAW": "The parameter `redraw` that operations which true an edge share: how far the redrawn stretch reaches.",
    "hookimpl": "Marks a function as one of the [hooks](plugins.md#the-hooks): `@hookimpl`.",
    "replace": "Return a record like the one given, with the fields named changed: `replace(edge, allowance=12.7)`.",
}
"""Names that have no documentation of their own to quote."""
FIELDS = {}
"""Fields that have none."""
GROUPS = (
    ("Records", "svgfit.model"),
    ("Curves and motions", "svgfit.geometry"),
    ("The engine: cut, move, redraw", "svgfit.fitting"),
)
"""Groups of the names of ``svgfit.plugin`` itself, by where they are defined; what remains is lengths and the like."""
ELSE = "Lengths in words, versions, other libraries"
LENGTHS = "svgfit.model.length"
NAMED = "Types that signatures name"
ABOUT_NAMED = """\
What the names above are given, hand out or hold. Nobody need import one of these: a function above returns it, or a
field of a record holds it. Their fields keep name and meaning as those above do.
"""


class Field(NamedTuple):
    """A field of a record as its source has it."""

    name: str
    type: str
    default: str
    doc: str


@cache
def reference() -> str:
    """Write the whole reference."""
    import svgfit.plugin as author

    named: dict[str, list[str]] = {title: [] for title, _ in GROUPS} | {ELSE: []}
    for home, names in author.HOMES.items():
        group = next((title for title, floor in GROUPS if home.startswith(floor) and home != LENGTHS), ELSE)
        named[group] += names.split()
    parts: list[str] = []
    for title, names in named.items():
        parts += [f"## {title}"]
        for name in sorted(names, key=str.casefold):
            parts += entry(name, getattr(author, name))
    for part in author.PARTS:
        module = importlib.import_module(f"svgfit.plugin.{part}")
        parts += [
            f"## `{part}`",
            (module.__doc__ or "").split("\n")[0],
            f"```python\nfrom svgfit.plugin import {part}\n```",
        ]
        for name in sorted(module.__all__, key=str.casefold):
            alias = alias_at(module, name)
            parts += type_entry(alias, f"{part}.") if alias else entry(f"{part}.{name}", getattr(module, name))
    parts += [f"## {NAMED}", ABOUT_NAMED.strip()]
    for place in sorted(named_types(), key=lambda place: (place.name.casefold(), place.module)):
        parts += type_entry(place)
    return "\n\n".join(parts)


class Place(NamedTuple):
    """Where a class or an alias of a type is defined."""

    module: str
    name: str

    @property
    def value(self) -> Any:
        """What stands there."""
        return getattr(importlib.import_module(self.module), self.name)


@cache
def body_of(module: str) -> tuple[ast.stmt, ...]:
    """Parse a module; the statements of ``if TYPE_CHECKING:`` are taken as its own."""
    body = ast.parse(inspect.getsource(importlib.import_module(module))).body
    inside = [part for node in body if isinstance(node, ast.If) for part in node.body]
    return (*body, *inside)


@cache
def origins(module: str) -> dict[str, Place | None]:
    """List the names that a module defines, or takes from elsewhere: then where from; None for what is not svgfit's."""
    found: dict[str, Place | None] = {}
    for node in body_of(module):
        if isinstance(node, ast.ImportFrom):
            ours = node.module is not None and node.module.startswith("svgfit.")
            for alias in node.names:
                found[alias.asname or alias.name] = Place(str(node.module), alias.name) if ours else None
        elif isinstance(node, ast.ClassDef):
            found[node.name] = Place(module, node.name)
        elif isinstance(node, ast.Assign):
            found |= {target.id: Place(module, target.id) for target in node.targets if isinstance(target, ast.Name)}
    return found


def home_of(module: str, name: str) -> Place | None:
    """Find where a name that a module uses is defined; None where that is no module of svgfit."""
    place = origins(module).get(name)
    return place if place is None or place.module == module else home_of(*place)


def names_in(annotation: ast.expr | None) -> Iterator[str]:
    """Yield the names that an annotation is made of, those in quotes too."""
    for node in ast.walk(annotation) if annotation is not None else ():
        if isinstance(node, ast.Name):
            yield node.id
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            with suppress(SyntaxError):  # a text that is no annotation
                yield from names_in(ast.parse(node.value, mode="eval").body)


def annotations(offered: ast.AST) -> Iterator[ast.expr | None]:
    """Yield every annotation of a function's signature, or of a class's public fields and methods."""
    if isinstance(offered, ast.FunctionDef):
        given = offered.args
        every = (*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg)
        yield from (one.annotation for one in every if one is not None)
        yield offered.returns
    elif isinstance(offered, ast.ClassDef):
        for node in offered.body:
            if isinstance(node, ast.AnnAssign) and not ast.unparse(node.target).startswith("_"):
                yield node.annotation
            elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield from annotations(node)
    elif isinstance(offered, (ast.Assign, ast.AnnAssign)):
        yield offered.value


@cache
def definition(place: Place) -> ast.AST | None:
    """Find the statement that defines a name; None where there is none."""
    for node in body_of(place.module):
        if isinstance(node, (ast.ClassDef, ast.FunctionDef)) and node.name == place.name:
            return node
        if isinstance(node, ast.Assign) and any(place.name == getattr(one, "id", None) for one in node.targets):
            return node
    return None


def modules() -> list[Any]:
    """List the authors' module and its parts."""
    import svgfit.plugin as author

    return [author, *(importlib.import_module(f"svgfit.plugin.{part}") for part in author.PARTS)]


def named_types() -> set[Place]:
    """Find every class and alias of svgfit that what is offered names, and what these name; but for what is offered."""
    offered: set[Place] = set()
    for module in modules():
        for name in module.__all__:
            value = getattr(module, name)
            if inspect.isclass(value) or inspect.isfunction(value):
                offered.add(Place(value.__module__, value.__name__))
            elif not inspect.ismodule(value) and (place := home_of(module.__name__, name)) is not None:
                offered.add(place)
    found: set[Place] = set()
    todo = [place for place in offered if place.module.startswith("svgfit.")]
    while todo:
        place = todo.pop()
        node = definition(place)
        bases = node.bases if isinstance(node, ast.ClassDef) else []
        for annotation in (*(annotations(node) if node is not None else ()), *bases):
            for name in names_in(annotation):
                named = home_of(place.module, name)
                if named is not None and named not in offered and named not in found:
                    found.add(named)
                    todo.append(named)
    return found


def alias_at(module: Any, name: str) -> Place | None:
    """Find where an offered alias of a type, or a constant, is defined; None for all else."""
    offered = getattr(module, name)
    if name in SAYS or inspect.isclass(offered) or inspect.isfunction(offered) or inspect.ismodule(offered):
        return None
    place = home_of(module.__name__, name)
    return place if place is not None and isinstance(definition(place), ast.Assign) else None


def type_entry(place: Place, part: str = "") -> list[str]:
    """Write a type that signatures name: a class as a record, an alias with what it stands for."""
    node = definition(place)
    if isinstance(node, ast.ClassDef):
        return [f"### {place.name}", *described(place.value)]
    stands_for = ast.unparse(node.value) if isinstance(node, ast.Assign) else ""
    return [f"### {part}{place.name}", code(f"{place.name} = {stands_for}"), *prose(alias_doc(place))]


def alias_doc(place: Place) -> str:
    """Read what stands below an alias; "" for nothing."""
    body = body_of(place.module)
    for node, after in zip(body, [*body[1:], None], strict=True):
        if node is definition(place):
            said = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            return inspect.cleandoc(str(ast.literal_eval(after.value))) if said else ""  # pyright: ignore
    return ""


def entry(name: str, offered: Any) -> list[str]:
    """Write one name: its signature, its documentation, its fields and methods."""
    said = SAYS.get(name.rpartition(".")[2])
    if said is not None:
        return [f"### {name}", said]
    if inspect.isclass(offered):
        return [f"### {name}", *described(offered)]
    return [f"### {name}", code(f"{name}{signature(offered)}"), *prose(inspect.getdoc(offered) or "")]


def described(record: type) -> list[str]:
    """Write a record: its documentation, a table of its fields, its methods."""
    parts = prose(inspect.getdoc(record) or "")
    if found := list(fields(record)):
        enum = issubclass(record, StrEnum)
        rows = [
            "| value | |" if enum else "| field | type | if left out | |",
            f"| --- | --- |{' --- | --- |' * (not enum)}",
        ]
        for field in found:
            cells = (
                (f"`{field.default}`",)
                if enum
                else (f"`{field.name}`", f"`{field.type}`", field.default and f"`{field.default}`")
            )
            rows.append("| " + " | ".join(cell.replace("|", "\\|") for cell in (*cells, plain(field.doc))) + " |")
        parts += [only_by_name(record), "\n".join(rows)]
    rows = [f"- `{shown}`: {plain(doc)}" for shown, doc in methods(record)]
    return [part for part in (*parts, "\n".join(rows)) if part]


def only_by_name(record: type) -> str:
    """Say so where a record's fields can't be given by their place."""
    config = getattr(record, "__struct_config__", None)
    signed = inspect.signature(record).parameters.values() if config is not None else ()
    places = [one for one in signed if one.kind is not one.KEYWORD_ONLY]
    if config is None or len(places) == len(list(signed)):
        return ""
    if not places:
        return "All fields are given by name."
    return (
        f"All fields but the first {len(places)} are given by name."
        if len(places) > 1
        else "All but the first by name."
    )


def fields(record: type) -> Iterator[Field]:
    """Read a record's public fields off its source (of an enumeration its values), those of its bases first."""
    for base in reversed(record.__mro__):
        if base.__module__.startswith("svgfit."):
            body = source(base).body
            for node, after in zip(body, [*body[1:], None], strict=True):
                found = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
                doc = inspect.cleandoc(str(ast.literal_eval(after.value))) if found else ""  # pyright: ignore
                if isinstance(node, ast.AnnAssign) and not doc:
                    doc = FIELDS.get(f"{base.__name__}.{ast.unparse(node.target)}", "")
                if isinstance(node, ast.AnnAssign) and not ast.unparse(node.target).startswith("_"):
                    default = ast.unparse(node.value) if node.value is not None else ""
                    default = re.sub(r"field\(default_factory=(\w+).*\)", r"\1()", default)
                    yield Field(ast.unparse(node.target), ast.unparse(node.annotation), default, doc)
                elif isinstance(node, ast.Assign) and issubclass(record, StrEnum):
                    yield Field(ast.unparse(node.targets[0]), "", ast.literal_eval(node.value), doc)


def methods(record: type) -> Iterator[tuple[str, str]]:
    """List a record's public methods and properties, each as it is written and with its documentation."""
    if not record.__module__.startswith("svgfit."):
        return
    for node in source(record).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            kinds = {ast.unparse(decorator) for decorator in node.decorator_list}
            returns = f" -> {ast.unparse(node.returns)}" if node.returns is not None else ""
            given = ast.unparse(node.args)
            given = re.sub(r"^(self|cls)(, )?", "", given)
            owner = f"{record.__name__}." if kinds & {"classmethod", "staticmethod"} else "."
            shown = node.name if "property" in kinds else f"{node.name}({given})"
            yield f"{owner}{shown}{returns}", (ast.get_docstring(node) or "").split("\n>>>")[0]


def source(record: type) -> ast.ClassDef:
    """Parse a class as it is written."""
    (found,) = ast.parse(textwrap.dedent(inspect.getsource(record))).body
    assert isinstance(found, ast.ClassDef)
    return found


def signature(function: Callable[..., Any]) -> str:
    """Write a function's signature as its source has it."""
    text = str(inspect.signature(function))  # annotations stand in quotes there
    return re.sub(r"(: |-> )'([^']*)'", r"\1\2", text)


def code(text: str) -> str:
    """Write a signature as a block, an argument a line where it is long."""
    if len(text) > 110:
        head, _, rest = text.partition("(")
        inside, _, returns = rest.rpartition(")")
        args = re.split(r", (?=\w+:|\*)", inside)
        text = f"{head}(\n" + "".join(f"    {arg},\n" for arg in args) + f"){returns}"
    return f"```text\n{text}\n```"


def prose(text: str) -> list[str]:
    """Turn a docstring into Markdown: paragraphs, examples as they are typed."""
    parts: list[str] = []
    for paragraph in text.split("\n\n"):
        typed = paragraph.lstrip().startswith(">>>")
        parts.append(f"```text\n{textwrap.dedent(paragraph)}\n```" if typed else plain(paragraph))
    return parts


def plain(text: str) -> str:
    """One line of Markdown."""
    return " ".join(text.replace("``", "`").split())


def undocumented() -> list[str]:
    """List every offered name, type that one names, field and method that has no documentation."""
    missing: list[str] = []
    for module in modules():
        for name in module.__all__:
            offered = getattr(module, name)
            if alias := alias_at(module, name):
                missing += [] if alias_doc(alias) else [name]
            elif not inspect.ismodule(offered) and name not in SAYS:
                missing += lacking(name, offered)
    for place in named_types():
        is_class = isinstance(definition(place), ast.ClassDef)
        missing += lacking(place.name, place.value) if is_class else [] if alias_doc(place) else [place.name]
    return sorted(missing)


def lacking(name: str, offered: Any) -> list[str]:
    """List what of a name has no documentation: itself, its fields, its methods."""
    said = vars(offered).get("__doc__") if inspect.isclass(offered) else inspect.getdoc(offered)  # no base's
    missing = [] if said else [name]
    if inspect.isclass(offered):
        missing += [f"{name}.{field.name}" for field in fields(offered) if not field.doc]
        missing += [f"{name}{shown}" for shown, doc in methods(offered) if not doc]
    return missing
