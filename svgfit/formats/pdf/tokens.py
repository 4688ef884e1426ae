"""The words of a content stream, one after another (ISO 32000-1, 7.2 and 7.8.2)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

Operand: TypeAlias = "float | bytes | str | list[Operand] | None"
"""A number, a string, a name (a str beginning with "/"), an array; None for a dictionary."""

_WORD = re.compile(
    rb"\(|<<|>>|<[^<>]*>|\[|\]|[{}]|/[^\x00\t\n\x0c\r ()<>\[\]{}/%]*|%[^\r\n]*|[^\x00\t\n\x0c\r ()<>\[\]{}/%]+"
)
_PAREN = re.compile(rb"\\[\s\S]|\(|\)")
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|\r\n|[\s\S])")
_IMAGE_END = re.compile(rb"[\x00\t\n\x0c\r ]EI(?=[\x00\t\n\x0c\r /\]>]|$)")
_NAME_HEX = re.compile(rb"#([0-9A-Fa-f]{2})")
_ESCAPED = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f", b"\n": b"", b"\r": b"", b"\r\n": b""}
_MOST_OPERANDS = 512


class Instruction(NamedTuple):
    """An operator and what stands before it."""

    operator: bytes
    operands: list[Operand]


def instructions(data: bytes) -> Iterator[Instruction]:
    """Yield the instructions of a content stream; what is no PDF in it is passed over.

    >>> [each.operator for each in instructions(b"0 0 m 10 5.5 l S")]
    [b'm', b'l', b'S']
    """
    stack = _empty()
    dictionaries = 0
    at = 0
    while (found := _WORD.search(data, at)) is not None:
        word, at = found[0], found.end()
        first = word[:1]
        value: Operand
        if first == b"%":
            continue
        if first == b"(":
            value, at = _string(data, at)
        elif word == b"<<":
            dictionaries += 1
            stack.append([])
            continue
        elif word == b">>":
            if dictionaries and len(stack) > 1:
                dictionaries -= 1
                stack.pop()
            value = None
        elif first == b"<":
            value = _hex(word)
        elif word == b"[":
            stack.append([])
            continue
        elif word == b"]":
            if len(stack) == 1:
                continue
            value = list(stack.pop())
        elif first == b"/":
            value = _name(word)
        else:
            number = _number(word)
            if number is None:
                if len(stack) == 1 or word not in (b"true", b"false", b"null"):
                    yield Instruction(word, stack[0] if len(stack) == 1 else [])
                    stack, dictionaries = _empty(), 0
                    if word == b"ID":
                        end = _IMAGE_END.search(data, at)
                        at = len(data) if end is None else end.end()
                    continue
                value = None
            else:
                value = number
        if len(stack) > 32 or len(stack[-1]) >= (_MOST_OPERANDS if len(stack) == 1 else 1 << 16):
            stack, dictionaries = _empty(), 0
        stack[-1].append(value)


def _empty() -> list[list[Operand]]:
    return [[]]


def _number(word: bytes) -> float | None:
    """Take a word for a finite number; None for what is none."""
    if word[0] not in b"+-.0123456789":
        return None
    try:
        found = float(word)
    except ValueError:
        try:
            found = float(word.lstrip(b"+-").partition(b"-")[0]) * (-1 if word.startswith(b"-") else 1)
        except ValueError:
            return None
    return found if math.isfinite(found) else None


def _string(data: bytes, at: int) -> tuple[bytes, int]:
    """Read a string whose opening bracket is before ``at``; give it back with where it ends."""
    depth, start = 1, at
    while (found := _PAREN.search(data, at)) is not None:
        at = found.end()
        if found[0] == b"(":
            depth += 1
        elif found[0] == b")":
            depth -= 1
            if not depth:
                return _unescaped(data[start : at - 1]), at
    return _unescaped(data[start:]), len(data)


def _unescaped(text: bytes) -> bytes:
    if b"\\" not in text:
        return text

    def plain(found: re.Match[bytes]) -> bytes:
        code = found[1]
        if code[:1].isdigit() and code[:1] < b"8":
            return bytes((int(code, 8) & 255,))
        return _ESCAPED.get(code, code)

    return _ESCAPE.sub(plain, text)


def _hex(word: bytes) -> bytes:
    digits = bytes(letter for letter in word if letter in b"0123456789abcdefABCDEF")
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii"))


def _name(word: bytes) -> str:
    """Read a name as pikepdf spells the same one: UTF-8, bytes that are none as surrogates."""
    plain = _NAME_HEX.sub(lambda found: bytes((int(found[1], 16),)), word) if b"#" in word else word
    return plain.decode("utf-8", errors="surrogateescape")


def number(value: Operand, other: float = 0.0) -> float:
    """Take an operand for a number; ``other`` for what is none."""
    return value if isinstance(value, float) else other


def numbers(operands: list[Operand], count: int) -> tuple[float, ...] | None:
    """Take the last ``count`` operands as finite numbers; None where there are fewer, or others."""
    found = tuple(value for value in operands[-count:] if isinstance(value, float) and abs(value) < 1e12)
    return found if len(found) == count else None
