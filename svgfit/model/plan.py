"""Plans: the steps to do, as people write them: TOML of ``[[step]]`` tables, or one text for each step.

Values stay text until an operation's parameters are known.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from os import PathLike
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from svgfit.model.refusal import Refusal

if TYPE_CHECKING:
    from svgfit.model.toml_file import Key, TomlFile

_WORD = re.compile(r"(?P<key>[^\s=]+)=(?:'(?P<single>[^']*)'|\"(?P<double>[^\"]*)\"|(?P<bare>(?![\x22'])\S*))(?=\s|$)")
ENDS = "ends"
_EXAMPLE = "write for example cap-raise piece=Sleeve amount='1 1/8 in'"


class Step(Struct, frozen=True):
    """One step: an operation, the piece (None where left out) and the parameters as written."""

    do: str
    piece: str | None = None
    asked: tuple[tuple[str, str], ...] = ()
    where: str = ""
    """For messages: "plan.toml line 4", "--do 2"."""
    by_size: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    """Parameters given as a table: name, then (size, text) pairs; the size "other" stands for all that aren't named."""


class Plan(Struct, frozen=True):
    """Steps in order."""

    steps: tuple[Step, ...]
    where: str = "plan"
    ends: tuple[Step, ...] = ()
    """What is to hold when the steps are done, the amounts left to the tool: ``do`` is "ends", ``asked`` the ends."""
    source: str = ""
    """The TOML text that the plan was read from, so that a refusal can name the line; "" where there is none."""

    @classmethod
    def from_steps(cls, *steps: str, ends: str | Iterable[str] = ()) -> Plan:
        """Read a plan from one text for each step, and one for each group of ends.

        Raises Refusal for a text that can't be read.

        >>> Plan.from_steps("cap-raise piece=Sleeve amount='1/2 in'").steps[0].asked
        (('amount', '1/2 in'),)
        """
        if not all(isinstance(step, str) for step in steps):  # pyright: ignore[reportUnnecessaryIsInstance]
            raise TypeError("from_steps takes texts, one after another, such as \"cap-raise amount='1/4 in'\"")
        return cls(
            tuple(parse_do(text, number) for number, text in enumerate(steps, 1)),
            "--do",
            tuple(
                parse_ends(text, number) for number, text in enumerate((ends,) if isinstance(ends, str) else ends, 1)
            ),
        )

    @property
    def files(self) -> tuple[str, ...]:
        """The file that it was read from, which no output replaces; () where it was read from none."""
        return (self.where,) if self.source else ()

    @classmethod
    def from_toml(cls, text: str, where: str = "plan") -> Plan:
        """Read a plan from a TOML text; ``where`` is what messages call it.

        Raises Refusal with line and key for what can't be read.
        """
        from svgfit.model.toml_file import parse_toml

        if not isinstance(text, str):  # pyright: ignore[reportUnnecessaryIsInstance]  what a script may hand over
            raise TypeError(f"from_toml takes a text, not {type(text).__name__}; Plan.read reads a file")
        return _plan_of(parse_toml(text, where))

    @classmethod
    def read(cls, path: str | PathLike[str]) -> Plan:
        """Read a plan from a TOML file. Raises Refusal with file, line and key for what can't be read."""
        from svgfit.model.toml_file import read_toml

        return _plan_of(read_toml(path))


class SeamEase(Struct, frozen=True):
    """How much longer one row of a seam is meant to be than the other: what is eased in."""

    eased: tuple[tuple[str, str], ...]
    """The longer row: the seam's ``a`` or its ``b``."""
    amounts: tuple[float, float]
    """By how much at least and at most, mm."""


class Seam(Struct, frozen=True):
    """Two rows of edges that are sewn together, each ("Sleeve", "cap") and in sewing order."""

    a: tuple[tuple[str, str], ...]
    """The one row: (piece, edge) of each edge."""
    b: tuple[tuple[str, str], ...]
    """The other row."""
    guessed: bool = False
    """Whether svgfit inferred it; False where a person stated it."""
    ease: SeamEase | None = None
    """As a person stated it; None where the two are to be equally long, or nobody said."""


def spell_edges(edges: Sequence[tuple[str, str]]) -> str:
    """Write edges as people do: ``Front/armhole+Back/armhole``."""
    return "+".join(f"{piece}/{edge}" for piece, edge in edges)


def _plan_of(file: TomlFile) -> Plan:
    file.check_keys((), file.table, ("step", ENDS))
    steps, ends = (_tables(file, kind) for kind in ("step", ENDS))
    if not steps and not ends:
        todo = 'a plan is made of [[step]] tables, each with do = "operation", and of [[ends]]'
        raise Refusal(file.where, "has no steps", todo)
    return Plan(
        tuple(_step(file, index, table) for index, table in enumerate(steps)),
        file.where,
        tuple(_read(file, (ENDS, index), table, ENDS) for index, table in enumerate(ends)),
        file.text,
    )


def _tables(file: TomlFile, kind: str) -> list[Any]:
    tables = file.table.get(kind, [])
    if isinstance(tables, dict):
        raise file.refusal(
            (kind,), f"is not a list of {kind.removesuffix('s')}s", f"write [[{kind}]] with two brackets on each side"
        )
    return file.value((kind,), tables, list[Any])


def _step(file: TomlFile, index: int, table: Any) -> Step:
    key: Key = ("step", index)
    values = file.value(key, table, dict[str, Any])
    if "do" not in values:
        raise file.refusal(key, "has no operation", 'add for example do = "cap-raise"')
    return _read(file, key, values, file.value((*key, "do"), values["do"], str))


def _read(file: TomlFile, key: Key, table: Any, do: str) -> Step:
    values = file.value(key, table, dict[str, Any])
    piece = file.value((*key, "piece"), values["piece"], str) if "piece" in values else None
    given = {name: value for name, value in values.items() if name not in ("do", "piece")}
    asked = tuple(
        (name, _text(file, (*key, name), value)) for name, value in given.items() if not isinstance(value, dict)
    )
    tables = tuple(
        (name, _by_size(file, (*key, name), value)) for name, value in given.items() if isinstance(value, dict)
    )
    return Step(do, piece, asked, _label(file.where, key), tables)


def _by_size(file: TomlFile, key: Key, value: Any) -> tuple[tuple[str, str], ...]:
    """Read a parameter's values by size."""
    table = file.value(key, value, dict[str, Any])
    if not table:
        raise file.refusal(key, "is a table without a size", 'write for example { 10 = "1/4 in", 12 = "3/8 in" }')
    return tuple((size, _text(file, (*key, size), text)) for size, text in table.items())


def _text(file: TomlFile, key: Key, value: Any) -> str:
    """Write a value as a person would after ``--do``; a list of edges is joined with ``+``."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (str, int, float)):
        return str(value)
    if isinstance(value, list):
        return "+".join(file.value(key, value, list[str]))
    raise file.refusal(key, "is not a text, a number or a list of edges", 'write for example "1 1/8 in" or 0.8')


def _label(where: str, key: Key) -> str:
    kind, index = key[0], key[1]
    assert isinstance(index, int)
    return f"{where} {kind} {index + 1}"


def parse_do(text: str, number: int = 1) -> Step:
    r"""Parse one step: an operation, then ``key=value`` words, split at blanks.

    A quote opens only directly after ``=``, so an inch mark in ``amount=3/8"`` is part of the value.

    >>> parse_do("cap-raise piece='Left sleeve' amount=3/8\"")
    Step(do='cap-raise', piece='Left sleeve', asked=(('amount', '3/8"'),), where='--do 1', by_size=())
    """
    where = f"--do {number}"
    do, _, rest = text.strip().partition(" ")
    if do.startswith(("[", "{")) or (do == "do" and rest.lstrip().startswith("=")) or do.startswith("do="):
        raise Refusal(
            where,
            f"{do!r} is how a step is written in a plan",
            f"put it into a plan, which --plan runs; here {_EXAMPLE}",
        )
    if not do or "=" in do:
        raise Refusal(where, f"begins with {do!r}, not with an operation" if do else "is empty", _EXAMPLE)
    asked = _words(f"{where}: {do}", rest)
    piece = next((value for name, value in asked if name == "piece"), None)
    return Step(do, piece, tuple(pair for pair in asked if pair[0] != "piece"), where)


def _words(where: str, text: str) -> list[tuple[str, str]]:
    """Parse the ``key=value`` words of a text."""
    asked: list[tuple[str, str]] = []
    rest = text.strip()
    while rest:
        if table := re.match(r"([^\s=]+)=['\"]?\{", rest):
            todo = (
                f'put it into a plan: [[step]], do = "…" and {table[1]} = {{ 10 = "1/4 in", other = "3/8 in" }}; --plan'
            )
            raise Refusal(
                where, f"{table[1]} is a table of values by size, which only a plan can hold", f"{todo} runs it"
            )
        found = _WORD.match(rest)
        if not found:
            raise Refusal(where, *_misread(rest))
        value = next(part for part in (found["single"], found["double"], found["bare"]) if part is not None)
        if any(found["key"] == name for name, _ in asked):
            raise Refusal(where, f"{found['key']} is given twice", "leave one out")
        asked.append((found["key"], value))
        rest = rest[found.end() :].strip()
    return asked


def _misread(rest: str) -> tuple[str, str]:
    """Say what is wrong with a text that does not begin with ``key=value``, and what to do."""
    word = rest.split()[0]
    key, equals, value = word.partition("=")
    if equals and key and value[:1] in ("'", '"'):
        return f"the quote after {key}= is not closed before the next blank", f"end the value with {value[0]}"
    if equals:
        return f"{word!r} has no name before =", _EXAMPLE
    if parted := re.match(r"\w+(?:\s+\w+)+(?=\s*=)", rest):
        name = "-".join(parted[0].split())
        return f"{parted[0]!r} is not one word", f"join its parts with hyphens, no blank at =: {name}='1 1/8 in'"
    todo = "after the operation come words such as amount=3mm: no blank at =, a value with blanks in quotes, as in "
    return f"{word!r} is not key=value", f"{todo}amount='1 1/8 in'"


def parse_ends(text: str, number: int = 1) -> Step:
    """Parse ends in one text: ``key=value`` words as in ``--do``, hyphens for spaces.

    >>> parse_ends("cap-height='6 in' cap-ease=1in").asked
    (('cap-height', '6 in'), ('cap-ease', '1in'))
    """
    where = f"--ends {number}"
    asked = _words(where, text)
    piece = next((value for name, value in asked if name == "piece"), None)
    return Step(ENDS, piece, tuple(pair for pair in asked if pair[0] != "piece"), where)


def with_line(refusal: Refusal, plan: Plan, step: Step, key: str | None = None) -> Refusal:
    """Return the refusal with the line of the plan's file put in, where the step comes from a TOML text."""
    kind = ENDS if step.do == ENDS else "step"
    places = [index for index, own in enumerate(plan.ends if kind == ENDS else plan.steps) if own.where == step.where]
    if not plan.source or not places or not refusal.where.startswith(step.where):
        return refusal
    from svgfit.model.toml_file import parse_toml

    file = parse_toml(plan.source, plan.where)
    index = places[0]
    line = file.line((kind, index, key) if key else (kind, index))
    place = f"{plan.where} line {line}" if line else step.where
    own, what, todo = refusal.parts
    return Refusal(place + own.removeprefix(step.where), what, todo)
