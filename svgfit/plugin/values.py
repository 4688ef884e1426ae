"""The kinds of value that a parameter can have, and how each is read from text."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from svgfit.model.length import parse_angle, parse_length, read_number
from svgfit.model.vocabulary import ParameterKind

Value = float | str | tuple[str, ...] | tuple[str, str] | tuple[tuple[str, str], ...]


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


def read_angle(text: str) -> float:
    """Read an angle to radians: ``12 deg``, ``12°``. Raises ValueError, with what is wrong.

    >>> round(read_angle("180°"), 4)
    3.1416
    """
    return math.radians(parse_angle(text))


def read_count(text: str) -> int:
    """Read a whole number, none or more. Raises ValueError, with what is wrong.

    >>> read_count(" 6 ")
    6
    """
    if not re.fullmatch(r"[0-9]{1,9}", text.strip()):
        raise ValueError(f"{text!r} is not a whole number: write for example 6")
    return int(text)


def read_yes_no(text: str) -> bool:
    """Read yes or no (true and false are the same). Raises ValueError, with what is wrong.

    >>> read_yes_no("Yes"), read_yes_no("false")
    (True, False)
    """
    word = text.strip().casefold()
    if word not in ("yes", "no", "true", "false"):
        raise ValueError(f"{text!r} is neither yes nor no: write yes or no")
    return word in ("yes", "true")


def read_own(text: str) -> tuple[str, str]:
    """Read ``Piece/name``, or the name alone of something on the step's own piece; raises ValueError likewise.

    >>> read_own("Front/armhole"), read_own("hem")
    (('Front', 'armhole'), ('', 'hem'))
    """
    piece, slash, name = (word.strip() for word in text.rpartition("/"))
    if not name or (slash and not piece):
        raise ValueError(f"{text.strip()!r} has no name: write for example hem, or Sleeve/hem")
    if "+" in text:
        raise ValueError(f"{text.strip()!r} names more than one: write one, for example Sleeve/hem")
    return piece, name


def read_pieces(text: str) -> tuple[str, ...]:
    """Read the names of pieces, joined with ``+``. Raises ValueError, with what is wrong.

    >>> read_pieces("Front + Back")
    ('Front', 'Back')
    """
    names = tuple(name.strip() for name in text.split("+"))
    if not all(names):
        raise ValueError(f"{text.strip()!r} lacks a piece's name: write for example Front+Back")
    return names


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
    ParameterKind.ANGLE: read_angle,
    ParameterKind.COUNT: read_count,
    ParameterKind.YES_NO: read_yes_no,
    ParameterKind.EDGE: read_own,
    ParameterKind.LANDMARK: read_own,
    ParameterKind.PLACE: read_text,
    ParameterKind.PLACES: read_text,
    ParameterKind.PIECES: read_pieces,
    ParameterKind.FILE: read_text,
}
"""Readers by kind; each raises ValueError with what is wrong."""
