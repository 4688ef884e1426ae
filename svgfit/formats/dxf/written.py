"""Entities as R12 group codes: lines, polylines, points, texts, blocks, inserts, and the sections around them.

R12 (AC1009) is what every program reads, and what the interchange standard asks for; from memory of the DXF Reference.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

Pair = tuple[int, str]


class Ink(Struct, frozen=True):
    """How lengths are written: page mm (y down) → the file's unit (y up), with so many decimals."""

    mm: float
    decimals: int

    def place(self, point: complex, code: int = 10) -> list[Pair]:
        """Write a point at a group code and the one ten above it."""
        return [(code, self.spell(point.real)), (code + 10, self.spell(-point.imag))]

    def spell(self, mm: float) -> str:
        """Write a length, never "-0"."""
        return f"{round(mm / self.mm, self.decimals) + 0.0:.{self.decimals}f}"


def line(ink: Ink, layer: str, start: complex, end: complex) -> list[Pair]:
    """Write a straight line."""
    return [(0, "LINE"), (8, layer), *ink.place(start), *ink.place(end, 11)]


def point(ink: Ink, layer: str, at: complex) -> list[Pair]:
    """Write a point."""
    return [(0, "POINT"), (8, layer), *ink.place(at)]


def polyline(ink: Ink, layer: str, points: Sequence[complex], closed: bool) -> list[Pair]:
    """Write a polyline; of a closed one the first point is not to be repeated."""
    head: list[Pair] = [(0, "POLYLINE"), (8, layer), (66, "1"), (70, str(int(closed))), *ink.place(0j)]
    corners = [pair for each in points for pair in ((0, "VERTEX"), (8, layer), *ink.place(each))]
    return [*head, *corners, (0, "SEQEND"), (8, layer)]


def text(ink: Ink, layer: str, content: str, at: complex, height: float, degrees: float = 0.0) -> list[Pair]:
    """Write a line of text; its height is that of capitals, in mm, its angle anticlockwise."""
    turned: list[Pair] = [(50, f"{degrees:.4f}")] if degrees else []
    return [(0, "TEXT"), (8, layer), *ink.place(at), (40, ink.spell(height)), (1, letters(content)), *turned]


def letters(content: str) -> str:
    r"""Write letters beyond Western European ones as ``\U+XXXX``; a text has no line breaks.

    >>> letters("Ärmel 袖")
    'Ärmel \\U+8896'
    """
    return "".join(_letter(each) for each in " ".join(content.split()))


def _letter(each: str) -> str:
    try:
        each.encode("cp1252")
    except UnicodeEncodeError:
        number = ord(each)
        return f"\\U+{number:04X}" if number <= 0xFFFF else "?"
    return each


def block(name: str, entities: Iterable[Pair]) -> list[Pair]:
    """Write a block."""
    head: list[Pair] = [(0, "BLOCK"), (8, "0"), (2, name), (70, "0"), (10, "0.0"), (20, "0.0"), (3, name)]
    return [*head, *entities, (0, "ENDBLK"), (8, "0")]


def insert(layer: str, name: str) -> list[Pair]:
    """Place a block where it was drawn."""
    return [(0, "INSERT"), (8, layer), (2, name), (10, "0.0"), (20, "0.0")]


def file_bytes(inches: bool, layers: Sequence[str], blocks: Iterable[Pair], entities: Iterable[Pair]) -> bytes:
    """Put the sections together and write the pairs, lines ended as DXF's are."""
    pairs = [*_header(inches), *_tables(layers), *_section("BLOCKS", blocks), *_section("ENTITIES", entities)]
    return "".join(f"{code:>3}\r\n{value}\r\n" for code, value in [*pairs, (0, "EOF")]).encode("cp1252", "replace")


def _section(name: str, inside: Iterable[Pair]) -> Iterator[Pair]:
    yield from ((0, "SECTION"), (2, name))
    yield from inside
    yield (0, "ENDSEC")


def _header(inches: bool) -> Iterator[Pair]:
    variables: list[Pair] = [(9, "$ACADVER"), (1, "AC1009"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252")]
    variables += [(9, "$INSUNITS"), (70, "1" if inches else "4"), (9, "$MEASUREMENT"), (70, "0" if inches else "1")]
    return _section("HEADER", variables)


def _tables(layers: Sequence[str]) -> Iterator[Pair]:
    solid: list[Pair] = [(0, "LTYPE"), (2, "CONTINUOUS"), (70, "0"), (3, "Solid line"), (72, "65"), (73, "0")]
    kinds: list[Pair] = [(0, "TABLE"), (2, "LTYPE"), (70, "1"), *solid, (40, "0.0"), (0, "ENDTAB")]
    rows = [pair for name in layers for pair in ((0, "LAYER"), (2, name), (70, "0"), (62, "7"), (6, "CONTINUOUS"))]
    return _section("TABLES", [*kinds, (0, "TABLE"), (2, "LAYER"), (70, str(len(layers))), *rows, (0, "ENDTAB")])
