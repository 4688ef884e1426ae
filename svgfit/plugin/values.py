"""The kinds of value that a parameter can have, and how each is read from text."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from svgfit.model.length import parse_length
from svgfit.model.vocabulary import ParameterKind

Value = float | str | tuple[tuple[str, str], ...]

_NUMBER = re.compile(r"(?P<number>[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)\s*(?P<percent>%?)", re.IGNORECASE)
_FRACTION = re.compile(r"(?P<sign>[+-]?)(?P<over>\d+)\s*/\s*(?P<under>\d+)")


def read_number(text: str) -> float:
    """Read a plain number: ``0.8``, ``80 %``, ``4/5``. Raise ValueError, with what is wrong, for anything else.

    >>> read_number("0.8"), read_number("80 %"), read_number("4/5")
    (0.8, 0.8, 0.8)
    """
    plain = text.strip().replace("−", "-")
    if (found := _FRACTION.fullmatch(plain)) and int(found["under"]):
        value = int(found["over"]) / int(found["under"])
        return -value if found["sign"] == "-" else value
    found = _NUMBER.fullmatch(plain)
    value = float(found["number"].replace(",", ".")) if found else math.nan
    if not found or not math.isfinite(value):
        raise ValueError(f"{text!r} is not a number: write for example 0.8 or 80 %")
    return value / 100 if found["percent"] else value


def read_edges(text: str) -> tuple[tuple[str, str], ...]:
    """Read edges in sewing order: ``Piece/edge``, joined with ``+``. Raises ValueError, with what is wrong.

    >>> read_edges("Front/armhole + Back/armhole")
    (('Front', 'armhole'), ('Back', 'armhole'))
    """
    edges: list[tuple[str, str]] = []
    for part in text.split("+"):
        piece, slash, edge = (word.strip() for word in part.rpartition("/"))
        if not slash or not piece or not edge:
            raise ValueError(
                f"{part.strip()!r} is not an edge: write for example Sleeve/cap, or Front/armhole+Back/armhole"
            )
        edges.append((piece, edge))
    return tuple(edges)


def read_text(text: str) -> str:
    """Strip the blanks around a text; raises ValueError where nothing is left."""
    if not text.strip():
        raise ValueError("nothing is given")
    return text.strip()


READERS: Mapping[str, Callable[[str], Value]] = {
    ParameterKind.LENGTH: parse_length,
    ParameterKind.NUMBER: read_number,
    ParameterKind.TEXT: read_text,
    ParameterKind.EDGES: read_edges,
}
"""Readers by kind; each raises ValueError with what is wrong."""
