"""Writes the parts of the documentation that the program itself knows best.

``docs/operations.md``, a page in ``docs/operations/`` for each, and ``docs/complaints.md``, whole; and between the
lines ``<!-- made: NAME -->`` and ``<!-- /made -->`` of other pages: the hooks and the example plug-ins
(docs/plugins.md), what an author may import (docs/reference.md), the report's keys (docs/report.md), the keys of a walk
(docs/walk.md), the built-in convention (docs/convention.md), the programs whose layers are known (docs/drawings.md),
body measures (docs/body.md), ease by style (docs/ease.md), forms of notches (docs/notches.md), the rules of the trade
(docs/rules.md), what a spread gains (README.md).

Run from the project's root: ``python docs/make_docs.py``; with ``--check`` it writes nothing and ends with status 1
where a page is not as it would be written (tests/test_docs.py holds the same).
"""

from __future__ import annotations

import ast
import importlib
import inspect
import itertools
import json
import math
import re
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from types import ModuleType
from typing import Any, NamedTuple, get_type_hints

ROOT = Path(__file__).resolve().parent.parent
MADE = re.compile(r"(<!-- made: (?P<name>[a-z -]+) -->\n).*?(<!-- /made -->)", re.DOTALL)
PAGES = (
    "README.md",
    "docs/plugins.md",
    "docs/reference.md",
    "docs/report.md",
    "docs/convention.md",
    "docs/drawings.md",
    "docs/walk.md",
    "docs/body.md",
    "docs/ease.md",
    "docs/notches.md",
    "docs/rules.md",
)
HEAD = "<!-- Written by docs/make_docs.py from the operations themselves; edit those. -->"


def operations_page() -> str:
    """docs/operations.md, from the records of the stock operations."""
    registry = stock_registry()
    rows = ["| operation | what it does | works on |", "| --- | --- | --- |"]
    for name in registry.operation_names():
        operation = registry.operation(name)
        works_on = ", ".join(operation.kinds) or "the pieces whose edges it names"
        rows.append(f"| [{name}](operations/{name}.md) | {operation.summary} | {works_on} |")
    parts = [
        HEAD,
        "# Operations",
        "What a step of a [plan](plan.md), or of `--do`, can ask for: each on a page of its own, with its parameters "
        "and a picture of before and after. `svgfit operations NAME` says the same. A length is written with its unit: "
        "`3/8 in`, `1 1/8 in`, `12.5 mm`, `2.5cm`. `piece` may be left out where only one piece fits the operation.",
        "\n".join(rows),
        "What is seen at a fitting, and which of them answer it: [by complaint](complaints.md). What none of them "
        "does, [an operation of your own](plugins.md) can.",
    ]
    return "\n\n".join(parts) + "\n"


def complaints_page() -> str:
    """docs/complaints.md, from the table of complaints and from what operations say that they answer."""
    from svgfit.app.complaints import with_operations
    from svgfit.rules.complaints import COMPLAINTS

    registry = stock_registry()
    known = [registry.operation(name) for name in registry.operation_names()]
    parts = [
        "<!-- Written by docs/make_docs.py from svgfit/rules/complaints.py and the operations; edit those. -->",
        "# By complaint",
        "What is seen at a fitting, what may be behind it in the order in which to look, what to measure, and the "
        "[operations](operations.md) that answer it. Common practice, from memory, no source: a fitting decides. "
        '`svgfit operations --for "shoulder seam pulls back"` says the same, whatever the wording.',
    ]
    for complaint in COMPLAINTS:
        rows = ["| look for | measure | operations |", "| --- | --- | --- |"]
        for cause, names in with_operations(complaint, known).causes:
            links = ", ".join(f"[{name}](operations/{name}.md)" for name in names)
            rows.append(f"| {cause.cause} | {cause.measure} | {links or 'none of its own'} |")
        parts += [f"## {complaint.complaint[0].upper()}{complaint.complaint[1:]}", "\n".join(rows)]
    return "\n\n".join(parts) + "\n"


def operation_pages() -> dict[str, str]:
    """A page for each stock operation, by its path."""
    from svgfit.plugin.sources import stock_folder

    assert Path(stock_folder()) == ROOT / "plugins", "run this in the project, not on an installed svgfit"
    registry = stock_registry()
    return {
        f"docs/operations/{name}.md": "\n\n".join(operation_parts(registry.operation(name))) + "\n"
        for name in registry.operation_names()
    }


def stock_registry() -> Any:
    """The plug-ins of the stock folder, and no others that may be installed here."""
    from svgfit.plugin.registry import Registry
    from svgfit.plugin.sources import folder_sources, stock_folder

    return Registry(folder_sources(stock_folder(), "stock"))


def operation_parts(operation: Any) -> list[str]:
    """One operation: what it does, a picture, its parameters as a table, examples."""
    examples: Any = beside("operation_examples")
    parts = [HEAD, f"# {operation.name}", operation.summary]
    drawn = examples.DRAWN.get(operation.name)
    if drawn is not None:
        step = " ".join((f"`{drawn.step}`.", drawn.remark)).strip()
        parts.append(
            f"![Before and after {drawn.step}](../pictures/operations/{operation.name}.png)\n\n"
            "Before (thin lines, the stitch line in brown dashes) and after (thick lines, the stitch line in blue "
            f"dashes) of {step}"
        )
    works_on = "any piece" if operation.kinds == ("any",) else ", ".join(operation.kinds)
    parts.append(f"Works on: {works_on}." if works_on else "Takes no piece of its own: its edges name pieces.")
    choices = [" or ".join(f"`{name}`" for name in group) for group in operation.one_of if len(group) > 1]
    needed = [f"`{group[0]}`" for group in operation.one_of if len(group) == 1]
    if choices:
        parts.append(f"Give one of {'; one of '.join(choices)}.")
    if needed:
        parts.append(f"Must be given: {', '.join(needed)}.")
    rows = ["| parameter | what to write | what it means | if left out |", "| --- | --- | --- | --- |"]
    rows += [parameter_row(operation, parameter) for parameter in operation.parameters]
    parts.append("\n".join(rows))
    steps = examples.STEPS[operation.name]
    if steps:
        parts.append("On the demo's smock:\n\n```sh\nsvgfit demo demo-out\n```")
    parts += [f'```sh\nsvgfit adjust demo-out/smock.svg --do "{step}" --dry-run\n```' for step in steps]
    parts.append("All [operations](../operations.md); how steps are written in a [plan](../plan.md).")
    return parts


def parameter_row(operation: Any, parameter: Any) -> str:
    """One parameter as a table's row."""
    from svgfit.model.length import both_ways_text

    kinds = {"length": "a length", "number": "a number", "edges": "`Piece/edge`, several joined with `+`"}
    words = " or ".join(f"`{each}`" for each in parameter.choices) or parameter.kind
    kind, unit = kinds.get(parameter.kind, words), " mm" if parameter.kind == "length" else ""
    if parameter.minimum is not None and parameter.maximum is not None:
        kind += f", {parameter.minimum:g} to {parameter.maximum:g}{unit}"
    elif parameter.minimum is not None:
        kind += f", {parameter.minimum:g}{unit} or more"
    asked = any(parameter.name in group for group in operation.one_of)
    left_out = parameter.default or both_ways_text(parameter.default_text) or ("" if asked else "not asked for")
    return f"| `{parameter.name}` | {kind} | {parameter.meaning} | {left_out} |"


def hooks() -> str:
    """Every hook with its documentation, as it stands in svgfit/plugin/hookspecs.py."""
    from svgfit.plugin import hookspecs

    parts: list[str] = []
    for name, hook in vars(hookspecs).items():
        if name.startswith("svgfit_"):
            text = inspect.cleandoc(hook.__doc__ or "").replace("``", "`")
            parts += [f"### {name}", re.sub(r"(?m)::$", ":", text)]
    return "\n\n".join(parts)


def example(file: str) -> Callable[[], str]:
    """An example plug-in's text."""
    return lambda: f"```python\n{(ROOT / 'docs' / 'examples' / 'plugins' / file).read_text(encoding='utf-8')}```"


def keys(of: str) -> Callable[[], str]:
    """The keys of the "report", of a "walk" or of "compare" from its JSON Schema."""

    def table() -> str:
        schema = json.loads((ROOT / "svgfit" / "render" / "text" / f"{of}-schema.json").read_text(encoding="utf-8"))
        rows = ["| key | holds | |", "| --- | --- | --- |", *schema_rows("", schema, schema["$defs"])]
        return "\n".join(rows)

    return table


def schema_rows(path: str, node: dict[str, Any], known: dict[str, Any]) -> list[str]:
    """The rows of an object's properties, and of what they hold."""
    rows: list[str] = []
    for name, value in node.get("properties", {}).items():
        inner = value.get("items", value)
        inner = known[inner["$ref"].rpartition("/")[2]] if "$ref" in inner else inner
        here = f"{path}{name}{'[]' if value.get('type') == 'array' else ''}"
        rows.append(f"| `{here}` | {schema_type(value, inner)} | {value.get('description', '')} |")
        rows += schema_rows(f"{here}.", inner, known)
    return rows


def schema_type(value: dict[str, Any], inner: dict[str, Any]) -> str:
    """A key's type in words."""
    if value.get("type") == "array":
        return "list of texts" if inner.get("type") == "string" else "list of objects"
    if "enum" in value:
        return " or ".join(f"`{'null' if choice is None else choice}`" for choice in value["enum"])
    words = {"string": "text", "null": "nothing (`null`)", "boolean": "`true` or `false`", "integer": "whole number"}
    if value.get("type") == "object" and "additionalProperties" in value:
        held = value["additionalProperties"]["type"]
        return f"object of {words.get(held, held)}s by name"
    kinds: list[str] = value["type"] if isinstance(value["type"], list) else [value["type"]]
    return " or ".join(words.get(kind, kind) for kind in kinds)


def builtin_layers() -> str:
    """The built-in layer patterns as TOML."""
    from svgfit.pattern.convention import builtin_convention

    lines = ["```toml", "[layers]"]
    for role, patterns in builtin_convention().layers:
        key = f'"{role}"' if " " in role else role
        lines.append(f"{key} = [{', '.join(json.dumps(text) for text in patterns)}]")
    return "\n".join([*lines, "```"])


def words_of_languages() -> str:
    """What lines and pieces are called, a row for each meaning and a column for each language."""
    from svgfit.rules.trade_words import LANGUAGES, OTHER_PIECES

    meanings = dict.fromkeys(english for language in LANGUAGES for english in language.words)
    named = {OTHER_PIECES: "another piece", "ignore": "left out (*old*)", "seam allowance": "neither line"}
    rows = [
        f"| is | {' | '.join(language.name for language in LANGUAGES)} |",
        f"| --- |{' --- |' * len(LANGUAGES)}",
    ]
    for english in meanings:
        cells = (named.get(english, english), *(language.words.get(english, "") for language in LANGUAGES))
        rows.append(f"| {' | '.join(cells)} |")
    return "\n".join(rows)


def programs() -> str:
    """Every dialect in the order in which they are asked, as its plug-in declares itself."""
    rows = [
        "| drawn with | what is taken for a layer's name | hidden, besides not displayed | locked | what is left out |",
        "| --- | --- | --- | --- | --- |",
    ]
    for each in sorted(stock_registry().dialects(), key=lambda each: (each.order, each.name)):
        cells = (each.program, each.named_by, each.hidden_by or "-", each.locked_by or "not written", each.left_out)
        rows.append(f"| {' | '.join(cell.replace('|', '&#124;') for cell in cells)} |")
    return "\n".join(rows)


def body_measures() -> str:
    """Every body measure as a table's row."""
    from svgfit.rules.body_measures import MEASURES

    rows = ["| measure, also called | how to take it | used | in ISO 8559-1:2017 |", "| --- | --- | --- | --- |"]
    for measure in MEASURES:
        also = f" ({', '.join(measure.also)})" if measure.also else ""
        number = measure.number or "number not checked"
        standard = f"{measure.standard}: {number}" if measure.standard else "not that we know"
        rows.append(f"| **{measure.name}**{also} | {measure.taken} | {measure.used} | {standard} |")
    return "\n".join(rows)


def styles() -> str:
    """Ease by style as a table, from svgfit/rules/ease.py."""
    from svgfit.model.length import sixteenths
    from svgfit.rules.ease import STYLES

    def inches(found: tuple[float, float] | None) -> str:
        if found is None:
            return "–"
        low, high = (sixteenths(mm).replace("-", "−") for mm in found)
        return f"{low} in" if low == high else f"{low} to {high} in"

    rows = [
        "| style | cap ease | no warning from, to | cap ease as part of the armhole | bicep: wearing ease "
        "| armhole deeper than the body's | cap higher than to the arm's bicep line | seam beyond the shoulder tip "
        "| across back: ease | chest: ease |",
        f"|{' --- |' * 10}",
    ]
    for style in STYLES:
        share = "–" if style.share is None else f"{100 * style.share[0]:.0f} to {100 * style.share[1]:.0f} %"
        still = inches(style.still) if style.still else "the same"
        more = (style.bicep, style.depth, style.height, style.sits, style.back, style.bust)
        cells = (style.name, inches(style.cap), still, share, *map(inches, more))
        rows.append(f"| {' | '.join(cells)} |")
    return "\n".join(rows)


def rules() -> str:
    """Every rule of the trade, a table for each file of svgfit/rules/."""
    import svgfit.rules

    parts: list[str] = []
    for subject in svgfit.rules.SUBJECTS:
        module = importlib.import_module(f"svgfit.rules.{subject}")
        title, _, more = inspect.cleandoc(module.__doc__ or "").partition("\n\n")
        parts += [
            f"## {subject.replace('_', ' ').capitalize()}",
            f"`svgfit/rules/{subject}.py`: {' '.join(title.split())}",
        ]
        parts += [more.replace("``", "`")] if more else []
        rows = [rule_row(rule) for rule in rule_records(module)]
        head = ["| rule | value | what it decides | source |", "| --- | --- | --- | --- |"]
        parts += ["\n".join([*head, *rows])] if rows else []
    return "\n\n".join(parts)


class Rule(NamedTuple):
    """A rule as its file has it."""

    name: str
    value: Any
    unit: str
    source: str
    meaning: str


def rule_records(module: ModuleType) -> list[Rule]:
    """The constants of a file of rules that carry a unit and a source, in their order."""
    tree = ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))
    said = {
        ast.unparse(line.target): ast.literal_eval(after.value)
        for line, after in itertools.pairwise(tree.body)
        if isinstance(line, ast.AnnAssign) and isinstance(after, ast.Expr)
    }
    found: list[Rule] = []
    for name, hint in get_type_hints(module, include_extras=True).items():
        unit, source = getattr(hint, "__metadata__", ("", None))[-2:]
        if source is not None:
            found.append(Rule(name, getattr(module, name), unit, source.words, said[name]))
    return found


def rule_row(rule: Rule) -> str:
    """One rule as a table's row."""
    meaning = " ".join(rule.meaning.replace("``", "`").split())
    cells = (f"`{rule.name}`", rule_value(rule.value, rule.unit), meaning, rule.source)
    return f"| {' | '.join(cell.replace('|', '&#124;') for cell in cells)} |"


def rule_value(value: Any, unit: str) -> str:
    """A rule's value for reading: a length in mm and, where it is one, as a fraction of an inch.

    >>> rule_value(1.5875, "mm"), rule_value((0.5, 0.6), "share"), rule_value(0.035, "rad")
    ('1.5875 mm (1/16 in)', '50 %; 60 %', '0.035 rad (2°)')
    """
    from svgfit.model.length import MM_PER_INCH, sixteenths

    if isinstance(value, tuple):
        return "; ".join(rule_value(one, unit) for one in value)
    if isinstance(value, str):
        return value
    text = f"{value:.6g}"
    if unit == "share":
        return f"{100 * value:.6g} %"
    if unit == "mm":
        fraction = value / MM_PER_INCH * 64
        exact = abs(fraction - round(fraction)) < 1e-6
        inches = sixteenths(value) if round(fraction) % 4 == 0 else f"{Fraction(round(fraction), 64)}"
        return f"{text} mm ({inches} in)" if exact else f"{text} mm"
    if unit == "rad":
        return f"{value:.4g} rad ({math.degrees(value):.0f}°)"
    return text if unit == "count" else f"{text} {unit}"


def script(name: str, of: str) -> Callable[[], str]:
    """What a script of this folder writes now."""
    return lambda: getattr(beside(name), of)()


def beside(script: str) -> ModuleType:
    """Another script of this folder."""
    sys.path.insert(0, str(ROOT / "docs"))
    try:
        return importlib.import_module(script)
    finally:
        sys.path.remove(str(ROOT / "docs"))


PARTS: dict[str, Callable[[], str]] = {
    "hooks": hooks,
    "reference": script("author_reference", "reference"),
    "example longer": example("longer.py"),
    "example measure wrist": example("measure_wrist.py"),
    "example cuffs": example("cuffs.py"),
    "report keys": keys("report"),
    "walk keys": keys("walk"),
    "compare keys": keys("compare"),
    "builtin layers": builtin_layers,
    "words of languages": words_of_languages,
    "programs": programs,
    "body measures": body_measures,
    "ease by style": styles,
    "rules": rules,
    "what a spread gains": script("spreads", "tables"),
    "notch forms": script("notch_forms", "table"),
}


def made(page: str) -> str:
    """A page with its made parts written anew."""
    text = (ROOT / page).read_text(encoding="utf-8")
    return MADE.sub(lambda found: f"{found[1]}{PARTS[found['name']]()}\n{found[3]}", text)


def pages() -> dict[str, str]:
    """Every page that this script writes, by its path, as it should be."""
    whole = {"docs/operations.md": operations_page(), "docs/complaints.md": complaints_page(), **operation_pages()}
    return {**whole, **{page: made(page) for page in PAGES}}


def main(arguments: list[str]) -> int:
    """Writes the pages, or with ``--check`` names those that differ."""
    status = 0
    for page, text in pages().items():
        path = ROOT / page
        if path.is_file() and path.read_text(encoding="utf-8") == text:
            continue
        if "--check" in arguments:
            print(f"{page} is not as docs/make_docs.py writes it")
            status = 1
        else:
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
            print(f"{page} written")
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
