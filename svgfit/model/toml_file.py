"""TOML files that people write by hand: read, checked, and refused with the line and key that is wrong."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Collection, Iterable
from os import PathLike
from typing import Any, TypeVar

import msgspec
from msgspec import Struct

from svgfit.model.length import parse_length
from svgfit.model.refusal import Refusal
from svgfit.model.wording import closest

Key = tuple[str | int, ...]
"""A place in the file: table names, and numbers (from 0) within arrays."""
T = TypeVar("T")
LARGEST = 1 << 22
"""No file that people write by hand is larger than this many bytes."""


class TomlFile(Struct, frozen=True):
    """A file that was read; its methods raise Refusal with file, line and key."""

    where: str
    text: str
    table: dict[str, Any]
    top_keys: tuple[str, ...] = ()
    """Keys that are known at the top of the file, where its reader says so."""

    def refusal(self, key: Key, what: str, todo: str = "") -> Refusal:
        """Build a refusal that names the line of ``key`` and the key itself, as a person would write it."""
        line = self.line(key)
        place = f"{self.where} line {line}" if line else self.where
        return Refusal(f"{place}: {spell(key)}" if key else place, what, todo)

    def line(self, key: Key) -> int | None:
        """Return the line where a key stands, counted from 1; None where it can't be told."""
        from svgfit.model.toml_places import line_of  # only when something is wrong

        return line_of(self.text, key)

    def lines(self, keys: Collection[Key]) -> dict[Key, int]:
        """Return the lines where several keys stand, counted from 1; those that can't be told are left out."""
        from svgfit.model.toml_places import lines_of

        return lines_of(self.text, keys)

    def check_keys(self, key: Key, table: Iterable[str], known: Iterable[str]) -> None:
        """Refuse the first key of the table at ``key`` that is not among the known, naming the nearest that is."""
        names = list(known)
        for name in table:
            if name not in names:
                todo = (
                    "write that line at the very top of the file, above the first [ ]" if name in self.top_keys else ""
                )
                raise self.refusal((*key, name), f"there is no key {name!r} here", todo or _nearest(name, names))

    def value(self, key: Key, value: Any, kind: type[T]) -> T:
        """Check that a value is a ``kind`` (``str``, ``list[str]``, ``dict[str, Any]`` …); refuse others."""
        try:
            return msgspec.convert(value, kind)
        except msgspec.ValidationError as error:
            raise self.refusal(key, _plain(str(error))) from None

    def length(self, key: Key, value: Any) -> float:
        """Parse a length to mm; refuses what is not a length with a unit."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            raise self.refusal(key, f"{value} has no unit", f'write for example "{value} mm" or "{value} in"')
        try:
            return parse_length(self.value(key, value, str))
        except ValueError as error:
            raise self.refusal(key, str(error)) from None


def read_toml(path: str | PathLike[str], name: str | None = None) -> TomlFile:
    """Read a file's text and table; ``name`` is what messages call it (the path if not given)."""
    where = name or os.fspath(path)
    return parse_toml(read_handwritten(path, where), where)


def read_handwritten(path: str | PathLike[str], where: str) -> str:
    """Read the text of a file that people write by hand; ``where`` is what messages call it.

    Raises Refusal for what can't be read, is no UTF-8, or is larger than anybody writes.
    """
    try:
        with open(path, "rb") as stream:
            data = stream.read(LARGEST + 1)
        if len(data) <= LARGEST:
            return data.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        if isinstance(error, UnicodeDecodeError):
            raise Refusal(where, "is not UTF-8 text", "save it as UTF-8") from None
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise Refusal(where, f"can't be read ({reason})", "check the path") from None
    raise Refusal(where, f"is larger than {LARGEST >> 20} MB", "check that it is the right file")


def parse_toml(text: str, where: str) -> TomlFile:
    """Parse a TOML text to its table; refuses what is not TOML, with the line, and what no person writes."""
    try:
        return TomlFile(where, text, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        found = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", message)
        line = (found[1] or str(text.count("\n") + 1)) if found else None
        what, todo = _not_toml(message.replace(found[0], "") if found else message, text)
        raise Refusal(f"{where} line {line}" if line else where, f"is not TOML{what}", todo) from None
    except RecursionError:
        raise Refusal(where, "holds lists in lists, or tables in tables, without end", "simplify it") from None
    except ValueError:  # what Python itself takes for no number
        raise Refusal(where, "holds a number of thousands of digits", "correct it") from None


def _not_toml(said: str, text: str) -> tuple[str, str]:
    """Put what Python says of a text that is no TOML into words, and what to do."""
    if text.lstrip().startswith("<"):
        return ", but looks like a drawing", "give the text file that is meant"
    if said == "Cannot overwrite a value":
        return ": what this line sets is set above already", "leave one of the two out"
    if said.startswith("Cannot declare"):
        return ": what this line begins stands above already", "put both together under the one above"
    todo = 'text values need quotes, as in hem = "1 in"' if "value" in said.casefold() else "correct that line"
    return f": {said}", todo


def spell(key: Key) -> str:
    """Write a key as people do.

    >>> spell(("pieces", "Left sleeve", "seam allowance", "hem")), spell(("step", 1, "do"))
    ('pieces."Left sleeve"."seam allowance".hem', 'step[2].do')
    """
    text = ""
    for part in key:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            plain = re.fullmatch(r"[A-Za-z0-9_-]+", part)
            text += f"{'.' if text else ''}{part if plain else f'{chr(34)}{part}{chr(34)}'}"
    return text


def _nearest(name: str, known: list[str]) -> str:
    near = closest(name.casefold(), known)
    return f"did you mean {near!r}?" if near else f"known here: {', '.join(known)}"


def _plain(message: str) -> str:
    """Put a message of msgspec into words of TOML, without its own path."""
    said = re.sub(r" - at `.*`$", "", message)
    for theirs, ours in (
        ("`str`", "a text in quotes"),
        ("`array`", "a list"),
        ("`object`", "a table"),
        ("`bool`", "true or false"),
        ("got `int`", "got a number"),
        ("got `float`", "got a number"),
        ("`float`", "a number"),
        ("`int`", "a whole number"),
    ):
        said = said.replace(theirs, ours)
    return said.replace("Expected", "should be").replace(", got", ", not").replace("`", "")
