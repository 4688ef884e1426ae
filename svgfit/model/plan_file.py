"""Plans as TOML: ``[[step]]`` and ``[[ends]]`` tables, ``[values]`` that they use, other plans taken in, notes.

Reads nothing but the plan's own files. A value stays text until an operation's parameters are known.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from os import PathLike
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.length import parse_angle, read_number
from svgfit.model.plan import ENDS, INCLUDE, NOTE, PIECE, WHEN, Condition, FromMeasure, Plan, Step
from svgfit.model.plan_values import (
    MEASURED,
    VALUE,
    VALUES,
    Values,
    hint_of,
    is_table,
    measures,
    refuse_slip,
    resolved,
    values_of,
)
from svgfit.model.refusal import Refusal
from svgfit.model.toml_file import LARGEST, Key, TomlFile, parse_toml, read_toml
from svgfit.model.vocabulary import Figure, MeasureUnit
from svgfit.model.wording import name_key

Answer = TypeVar("Answer")

STEP = "step"
MOST_FILES = 50
"""A plan takes in no more than so many, counting those that they take in, each as often as it is named."""
_TOP = (NOTE, INCLUDE, VALUES, STEP, ENDS)
_CONDITION = ("of", "measure", "over", "under")
_WHEN_EXAMPLE = 'write for example { of = "Sleeve", measure = "cap ease", over = "1 1/2 in" }'


class Entry(Struct, frozen=True):
    """One ``[[step]]`` or ``[[ends]]`` table, and where it stands."""

    file: TomlFile
    key: Key
    table: dict[str, Any]


class PlanText(Struct, frozen=True):
    """A plan's files, read but not yet understood."""

    file: TomlFile
    included: tuple[TomlFile, ...]
    """Each once."""
    steps: tuple[Entry, ...]
    ends: tuple[Entry, ...]
    values: Values


def read_plan(path: str | PathLike[str]) -> Plan:
    """Read a plan from a TOML file, with the plans that it takes in.

    Raises Refusal with file, line and key for what can't be read.
    """
    return plan_of(gather(read_toml(path)))


def plan_of_text(text: str, where: str) -> Plan:
    """Read a plan from a TOML text; it can't take in others, having no folder."""
    return plan_of(gather(parse_toml(text, where), has_folder=False))


def gather(file: TomlFile, *, has_folder: bool = True, faults: list[Refusal] | None = None) -> PlanText:
    """Read the files that a plan takes in, and list its tables in the order in which they are done.

    Raises Refusal for what can't be read; where a list is given for ``faults``, it is put there instead, what it is
    about is left out, and the rest is read.
    """
    gathering = _Gathering(has_folder=has_folder, faults=faults)
    steps, ends = gathering.take_in(file, ())
    files = (file, *gathering.files.values())
    values = gathering.tried(lambda: values_of(files), {})
    return PlanText(file, tuple(gathering.files.values()), tuple(steps), tuple(ends), values)


def plan_of(found: PlanText) -> Plan:
    """Understand a plan's tables. Raises Refusal for the first that can't be."""
    if not found.steps and not found.ends:
        todo = 'a plan is made of [[step]] tables, each with do = "operation", and of [[ends]]'
        raise Refusal(found.file.where, "has no steps", todo)
    return Plan(
        tuple(step for entry in found.steps for step in read_step(entry, found.values)),
        found.file.where,
        tuple(step for entry in found.ends for step in read_end(entry, found.values)),
        found.file.text,
        read_note(found.file, (), found.file.table),
        tuple((file.where, file.text) for file in found.included),
    )


def files_of(path: str) -> tuple[str, ...]:
    """List a plan's file and those that it takes in, as far as they can be read, also ones that are not there yet."""
    gathering = _Gathering(has_folder=True)
    with suppress(Refusal):  # whoever runs the plan is told; here only what has come to light by then counts
        gathering.take_in(read_toml(path), ())
    return tuple(dict.fromkeys((path, *gathering.named)))


# -- the files ---------------------------------------------------------------------------------------------------------


class _Gathering:
    """Plans taken in one after another: each file read once, how many there were, and how much text."""

    def __init__(self, *, has_folder: bool, faults: list[Refusal] | None = None) -> None:
        self.files: dict[str, TomlFile] = {}
        """Plans taken in, by their real paths."""
        self.named: dict[str, None] = {}
        """Paths that were named, also of files that can't be read."""
        self._has_folder, self._faults = has_folder, faults
        self._count = 0

    def tried(self, attempt: Callable[[], Answer], otherwise: Answer) -> Answer:
        """Return what an attempt gives, or ``otherwise`` where it is refused and faults are collected."""
        try:
            return attempt()
        except Refusal as refusal:
            if self._faults is None:
                raise
            self._faults.append(refusal)
            return otherwise

    def take_in(self, file: TomlFile, above: tuple[TomlFile, ...]) -> tuple[list[Entry], list[Entry]]:
        """List the steps and ends of a file, those of the plans that it takes in at their places.

        ``above``: the files that led to it, the plan itself first.
        """
        for name in file.table:
            self.tried(lambda name=name: file.check_keys((), (name,), _TOP), None)
        chain = (*above, file)
        steps: list[Entry] = []
        ends: list[Entry] = []

        def include(key: Key, name: str) -> None:
            for own, more in zip((steps, ends), self._include(key, name, chain), strict=True):
                own += more

        for key, name in self.tried(lambda: _includes(file), []):
            self.tried(lambda key=key, name=name: include(key, name), None)
        for index, table in enumerate(self.tried(lambda: _tables(file, STEP), [])):
            entry = self.tried(lambda index=index, table=table: _entry(file, (STEP, index), table), None)
            if entry is None:
                continue
            name = self.tried(lambda entry=entry: _include_of(entry), "")
            if name is None:
                steps.append(entry)
            elif name:
                self.tried(lambda entry=entry, name=name: include((*entry.key, INCLUDE), name), None)
        for index, table in enumerate(self.tried(lambda: _tables(file, ENDS), [])):
            entry = self.tried(lambda index=index, table=table: _entry(file, (ENDS, index), table), None)
            ends += [entry] if entry is not None else []
        return steps, ends

    def _include(self, key: Key, name: str, chain: tuple[TomlFile, ...]) -> tuple[list[Entry], list[Entry]]:
        file = chain[-1]
        if not self._has_folder:
            what = f"takes in {name!r}, and a text that is no file has no folder to look in"
            raise file.refusal(key, what, "save the plan as a file")
        if not name.strip() or "\0" in name:
            raise _no_file(file, key, name)
        path = os.path.join(os.path.dirname(file.where), name)
        self.named[path] = None
        self._refuse_loop(key, path, chain)
        self._count += 1
        if self._count > MOST_FILES:
            raise file.refusal(
                key, f"is the plan's include number {self._count}, more than {MOST_FILES}", "take one out"
            )
        real = os.path.realpath(path)
        if real not in self.files:
            if not os.path.isfile(path):
                what = f"{path} is a folder" if os.path.isdir(path) else f"there is no file {path}"
                raise file.refusal(key, what, "write its name as seen from the folder of the plan that includes it")
            try:
                self.files[real] = read_toml(path)
            except Refusal as refusal:
                where, what, todo = refusal.parts
                line = file.line(key)
                place = f"{file.where} line {line}" if line else file.where
                raise Refusal(where, f"{what} (included in {place})", todo) from refusal
            if sum(len(one.text) for one in (chain[0], *self.files.values())) > LARGEST:
                raise file.refusal(key, f"makes the plan larger than {LARGEST >> 20} MB in all", "take one out")
        return self.take_in(self.files[real], chain)

    def _refuse_loop(self, key: Key, path: str, chain: tuple[TomlFile, ...]) -> None:
        real = os.path.realpath(path)
        paths = [os.path.realpath(one.where) for one in chain]
        if real not in paths:
            return
        names = [one.where for one in chain[paths.index(real) :]]
        if len(names) == 1:
            what = f"{names[0]} includes itself"
        else:
            what = f"{names[0]} includes {', which includes '.join(names[1:])}, which includes {names[0]} again"
        raise chain[-1].refusal(key, f"the plans go round in a loop: {what}", "take one of these includes out")


def _entry(file: TomlFile, key: Key, table: Any) -> Entry:
    return Entry(file, key, file.value(key, table, dict[str, Any]))


def _include_of(entry: Entry) -> str | None:
    """Name the file that a ``[[step]]`` takes in; None for a step of its own."""
    file, key, table = entry.file, entry.key, entry.table
    if INCLUDE not in table or "do" in table:
        return None
    if len(table) > 1:
        other = next(name for name in table if name != INCLUDE)
        todo = "write the include as a [[step]] of its own"
        raise file.refusal((*key, other), "stands in one step with an include", todo)
    name = file.value((*key, INCLUDE), table[INCLUDE], str)
    if not name.strip() or "\0" in name:
        raise _no_file(file, (*key, INCLUDE), name)
    return name


def _no_file(file: TomlFile, key: Key, name: str) -> Refusal:
    return file.refusal(key, f"{name!r} is no file's name", 'write for example include = "hem.plan.toml"')


def _includes(file: TomlFile) -> list[tuple[Key, str]]:
    """List what a file takes in before its own steps."""
    given = file.table.get(INCLUDE, [])
    if isinstance(given, str):
        return [((INCLUDE,), given)]
    if not isinstance(given, list):
        raise file.refusal((INCLUDE,), "is no file's name", 'write for example include = "hem.plan.toml", or a list')
    return [((INCLUDE, index), name) for index, name in enumerate(file.value((INCLUDE,), given, list[str]))]


def _tables(file: TomlFile, kind: str) -> list[Any]:
    tables = file.table.get(kind, [])
    if isinstance(tables, dict):
        raise file.refusal(
            (kind,), f"is not a list of {kind.removesuffix('s')}s", f"write [[{kind}]] with two brackets on each side"
        )
    return file.value((kind,), tables, list[Any])


def used_values(found: PlanText) -> frozenset[str]:
    """List the names of values that any table uses."""
    used: set[str] = set()

    def look(raw: Any) -> None:
        if is_table(raw):
            name = raw.get(VALUE)
            if isinstance(name, str):
                used.add(name)
            for inner in raw.values():
                look(inner)

    for entry in (*found.steps, *found.ends):
        look(entry.table)
    return frozenset(used)


# -- steps -------------------------------------------------------------------------------------------------------------


def read_step(entry: Entry, values: Values) -> tuple[Step, ...]:
    """Read a ``[[step]]`` table: one step for each piece that it names. Raises Refusal with file, line and key."""
    file, key, table = entry.file, entry.key, entry.table
    if "do" not in table:
        raise file.refusal(key, "has no operation", 'add for example do = "cap-raise"')
    return _read(entry, values, file.value((*key, "do"), table["do"], str))


def read_end(entry: Entry, values: Values) -> tuple[Step, ...]:
    """Read an ``[[ends]]`` table: once for each piece that it names. Raises Refusal with file, line and key."""
    for name, raw in entry.table.items():
        key = (*entry.key, name)
        if name == WHEN and isinstance(raw, dict):
            raise entry.file.refusal(key, "an [[ends]] table has no condition", "put it at a [[step]]")
        if is_table(raw) and measures(raw):
            what = "is to be reached, and a measurement is only taken at a step"
            raise entry.file.refusal(key, what, 'write for example "5 3/4 in"')
    return _read(entry, values, ENDS)


def _read(entry: Entry, values: Values, do: str) -> tuple[Step, ...]:
    file, key, table = entry.file, entry.key, entry.table
    asked: list[tuple[str, str]] = []
    by_size: list[tuple[str, tuple[tuple[str, str], ...]]] = []
    measured: list[tuple[str, FromMeasure]] = []
    hints: dict[str, str] = {}
    for name, given in table.items():
        if name in ("do", PIECE, NOTE) or (name == WHEN and isinstance(given, dict)):
            continue
        if name == WHEN and isinstance(given, list):
            raise file.refusal((*key, name), "is a list, and a step has one condition", _WHEN_EXAMPLE)
        value = resolved(file, (*key, name), given, values)
        hints[name] = hint_of(value, (*key, name), values)
        if not is_table(value.raw):
            asked.append((name, _text(value.file, value.key, value.raw)))
        elif measures(value.raw):
            measured.append((name, _from_measure(value.file, value.key, value.raw, values)))
        else:
            refuse_slip(value.file, value.key, value.raw, values)
            by_size.append((name, _by_size(value.file, value.key, value.raw, values)))
    step = Step(
        do,
        None,
        tuple(asked),
        _label(file.where, key),
        tuple(by_size),
        tuple(measured),
        _condition(file, (*key, WHEN), table[WHEN], values) if isinstance(table.get(WHEN), dict) else None,
        read_note(file, key, table),
        file.where,
        key,
        hints=tuple((name, hint) for name, hint in hints.items() if hint),
    )
    return tuple(replace(step, piece=piece) for piece in _pieces(file, (*key, PIECE), table, values))


def _pieces(file: TomlFile, key: Key, table: Mapping[str, Any], values: Values) -> tuple[str | None, ...]:
    """List the pieces that a table names; (None,) where it names none."""
    if PIECE not in table:
        return (None,)
    value = resolved(file, key, table[PIECE], values)
    is_list: bool = isinstance(value.raw, list)
    if not is_list:
        return (value.file.value(value.key, value.raw, str),)
    names = value.file.value(value.key, value.raw, list[str])
    if not names:
        raise value.file.refusal(value.key, "names no piece", 'write for example piece = ["Front", "Back"]')
    keys = [name_key(name) for name in names]
    twice = next((name for number, name in enumerate(names) if name_key(name) in keys[:number]), None)
    if twice is not None:
        raise value.file.refusal(value.key, f"names {twice} twice", "leave one out")
    return tuple(names)


def read_note(file: TomlFile, key: Key, table: Mapping[str, Any]) -> str:
    """Read the note of a table, "" where there is none; its white space becomes single spaces."""
    if NOTE not in table:
        return ""
    return " ".join(file.value((*key, NOTE), table[NOTE], str).split())


def _from_measure(file: TomlFile, key: Key, raw: Any, values: Values) -> FromMeasure:
    table = file.value(key, raw, dict[str, Any])
    file.check_keys(key, table, MEASURED)
    measure, of = _what_is_measured(file, key, table)
    times = resolved(file, (*key, "times"), table.get("times", 1.0), values)
    number = times.file.value(times.key, times.raw, float)
    if not math.isfinite(number):
        raise times.file.refusal(times.key, f"{number} is no number to multiply by", "write for example 0.5")
    return FromMeasure(measure, of, number)


def _what_is_measured(file: TomlFile, key: Key, table: Mapping[str, Any]) -> tuple[str, str | None]:
    if "measure" not in table:
        raise file.refusal(key, "names no measurement", 'add for example measure = "cap ease"')
    measure = file.value((*key, "measure"), table["measure"], str)
    return measure, file.value((*key, "of"), table["of"], str) if "of" in table else None


def _condition(file: TomlFile, key: Key, raw: Any, values: Values) -> Condition:
    table = file.value(key, raw, dict[str, Any])
    file.check_keys(key, table, _CONDITION)
    measure, of = _what_is_measured(file, key, table)
    if "over" not in table and "under" not in table:
        raise file.refusal(key, "compares the measurement with nothing", _WHEN_EXAMPLE)
    svgfits_own = name_key(measure) in map(name_key, Figure)  # none of which is a plain number
    limits = {
        name: _limit(file, (*key, name), table[name], values, may_be_number=not svgfits_own)
        for name in ("over", "under")
        if name in table
    }
    if len(limits) == 2:
        (over, least, unit), (under, most, other) = limits["over"], limits["under"]
        if unit != other:
            what = f"nothing is held against both {over} and {under}: they are not of one kind"
            raise file.refusal(key, what, "write both in one unit, or leave one out")
        if least >= most:
            what = f"nothing is both over {over} and under {under}"
            raise file.refusal(key, what, "leave one out, or change them about")
    return Condition(measure, of, *(limits[name][0] if name in limits else None for name in ("over", "under")))


def _limit(
    file: TomlFile, key: Key, raw: Any, values: Values, *, may_be_number: bool
) -> tuple[str, float, MeasureUnit]:
    """Read a limit of a condition: its text, its value in mm, in degrees or as a plain number, and which it is."""
    value = resolved(file, key, raw, values)
    text = str(value.raw) if isinstance(value.raw, (int, float)) else value.raw
    if isinstance(text, str) and not isinstance(value.raw, bool):
        with suppress(ValueError):
            return text, parse_angle(text), MeasureUnit.DEG
        if may_be_number:
            with suppress(ValueError):
                return text, read_number(text), MeasureUnit.NUMBER
    return str(value.raw), value.file.length(value.key, value.raw), MeasureUnit.MM


def _by_size(file: TomlFile, key: Key, value: Any, values: Values) -> tuple[tuple[str, str], ...]:
    """Read a parameter's values by size."""
    table = file.value(key, value, dict[str, Any])
    if not table:
        raise file.refusal(key, "is a table without a size", 'write for example { 10 = "1/4 in", 12 = "3/8 in" }')
    found = ((size, resolved(file, (*key, size), raw, values)) for size, raw in table.items())
    return tuple((size, _text(one.file, one.key, one.raw)) for size, one in found)


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
