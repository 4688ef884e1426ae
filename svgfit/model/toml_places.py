"""Find the place of each key in a TOML text, for messages that name a line.

The library that reads TOML gives values without their places. This walks over a text that it has read, so one that is
known to be TOML (1.0), and looks only for what ends a key or a value: nothing here judges or converts a value.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Generator, Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from svgfit.model.toml_file import Key

_SPACE = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
"""White space, line ends and comments."""
_KEY = re.compile(
    r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
    r"""(?:[ \t]*\.[ \t]*(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'))*"""
)
"""Names, bare or quoted, with dots between."""
_PLAIN = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}(?!")'  # up to two quotes of the text itself may stand before the last three
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
    r"|[^\[{,\]}#\n]+",  # a number, a time, true or false, with the space behind it
    re.DOTALL,
)
"""A value that holds no other."""


def line_of(text: str, key: Key) -> int | None:
    """Find the line (from 1) of a key of a TOML text, or of the longest beginning of the key that is there."""
    best, found = 0, None
    for place, at in places(text):
        if best < len(place) <= len(key) and key[: len(place)] == place:
            best, found = len(place), at
    return None if found is None else text.count("\n", 0, found) + 1


def lines_of(text: str, keys: Collection[Key]) -> dict[Key, int]:
    """Find the lines (from 1) of several keys in one go; those that are not there are left out."""
    found: dict[Key, int] = {}
    line, counted = 1, 0
    for place, at in places(text):
        line, counted = line + text.count("\n", counted, at), at
        if place in keys:
            found.setdefault(place, line)
    return found


def places(text: str) -> Iterator[tuple[Key, int]]:
    """Yield every table, key and element of an array with the offset at which it begins, in the order of the text."""
    base: Key = ()
    counts: dict[Key, int] = {}
    at = _after(_GAP, text, 0)
    while at < len(text):
        if text[at] == "[":
            several = text.startswith("[[", at)
            names, behind = _names(text, _after(_SPACE, text, at + 1 + several))
            base = _table(names, counts, several=several)
            yield base, at
            at = _after(_SPACE, text, behind) + 1 + several
        else:
            at = yield from _pair(text, at, base)
        at = _after(_GAP, text, at)


def _table(names: tuple[str, ...], counts: dict[Key, int], *, several: bool) -> Key:
    """Place a table by its header; ``counts``, the last index of each array of tables, is brought up to date."""
    place: Key = ()
    for depth, name in enumerate(names, 1):
        place = (*place, name)
        if several and depth == len(names):
            counts[place] = counts.get(place, -1) + 1
        if place in counts:
            place = (*place, counts[place])
    return place


def _pair(text: str, at: int, base: Key) -> Generator[tuple[Key, int], None, int]:
    """Yield the key at an offset and what its value holds; return the offset behind the value."""
    names, behind = _names(text, at)
    yield (*base, *names), at
    equals = _after(_SPACE, text, behind)
    return (yield from _value(text, _after(_SPACE, text, equals + 1), (*base, *names)))


def _value(text: str, at: int, place: Key) -> Generator[tuple[Key, int], None, int]:
    """Yield what the value at an offset holds; return the offset behind it."""
    if text[at] not in "[{":
        return _after(_PLAIN, text, at)
    array, index = text[at] == "[", 0
    at = _after(_GAP, text, at + 1)
    while text[at] not in "]}":
        if array:
            yield (*place, index), at
            at = yield from _value(text, at, (*place, index))
        else:
            at = yield from _pair(text, at, place)
        index += 1
        at = _after(_GAP, text, at)
        if text[at] == ",":
            at = _after(_GAP, text, at + 1)
    return at + 1


def _names(text: str, at: int) -> tuple[tuple[str, ...], int]:
    """Read the key at an offset: its parts, unquoted by TOML's own rules, and the offset behind it."""
    behind = _after(_KEY, text, at)
    table: Any = tomllib.loads(f"{text[at:behind]} = 0")
    names: list[str] = []
    while isinstance(table, dict):
        name, table = next(iter(table.items()))  # pyright: ignore[reportUnknownVariableType, reportUnknownArgumentType]
        names.append(str(name))  # pyright: ignore[reportUnknownArgumentType]
    return tuple(names), behind


def _after(pattern: re.Pattern[str], text: str, at: int) -> int:
    """Match a pattern at an offset and return the offset behind it."""
    found = pattern.match(text, at)
    if found is None:
        raise ValueError(f"offset {at}: this is not TOML")
    return found.end()
