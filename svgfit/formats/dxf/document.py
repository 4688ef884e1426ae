"""A DXF as records: header variables, blocks, entities. Lengths in the file's unit, y up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from svgfit.formats.dxf.tags import Tag, cut_short, damaged, number, shown, tags, whole
from svgfit.model.refusal import Refusal

MOST_ENTITIES = 400_000
"""More than so many a pattern does not have; all that is held of them lies in memory."""
_WITH_MORE = {"POLYLINE": "VERTEX", "INSERT": "ATTRIB"}
"""Entities that others follow until a ``SEQEND``."""


class Entity(Struct, frozen=True):
    """A drawn thing: its kind, its pairs, and for a polyline or an insert the entities that belong to it."""

    kind: str
    line: int
    where: str
    """The file's name, for messages."""
    tags: tuple[Tag, ...]
    parts: tuple[Entity, ...] = ()

    def text(self, code: int, otherwise: str = "") -> str:
        """Return the first value of a group code."""
        return next((tag.value for tag in self.tags if tag.code == code), otherwise)

    def number(self, code: int, otherwise: float | None = None) -> float:
        """Return the first value of a group code as a number.

        Raises Refusal where it is none, or where it is not there and ``otherwise`` is None.
        """
        tag = next((tag for tag in self.tags if tag.code == code), None)
        if tag:
            return number(self.where, tag)
        if otherwise is None:
            raise damaged(self.where, self.line, f"a {self.kind} has no group {code}")
        return otherwise

    def whole(self, code: int, otherwise: int = 0) -> int:
        """Return the first value of a group code as a whole number. Raises Refusal where it is none."""
        tag = next((tag for tag in self.tags if tag.code == code), None)
        return whole(self.where, tag) if tag else otherwise

    def point(self, code: int = 10) -> complex:
        """Return the point at a group code and the one ten above it. Raises Refusal where it is not there."""
        return complex(self.number(code), self.number(code + 10))

    def numbers(self, code: int) -> list[float]:
        """Return all values of a group code, in order. Raises Refusal where one is no number."""
        return [number(self.where, tag) for tag in self.tags if tag.code == code]

    def points(self, code: int = 10) -> list[complex]:
        """Return all points at a group code and the one ten above it. Raises Refusal where one is only half there."""
        xs, ys = self.numbers(code), self.numbers(code + 10)
        if len(xs) != len(ys):
            raise damaged(self.where, self.line, f"a {self.kind} has {len(xs)} x and {len(ys)} y")
        return [complex(x, y) for x, y in zip(xs, ys, strict=True)]

    @property
    def layer(self) -> str:
        """The name of its layer."""
        return self.text(8, "0")


class Block(Struct, frozen=True):
    """A named group of entities, which inserts place."""

    name: str
    line: int
    base: complex
    entities: tuple[Entity, ...]


class Document(Struct, frozen=True):
    """A DXF, whole."""

    header: Mapping[str, str]
    blocks: Mapping[str, Block]
    """By name in capitals, as programs compare them."""
    entities: tuple[Entity, ...]
    off: frozenset[str]
    """Names of layers that are switched off or frozen, in capitals."""
    tables: tuple[Entity, ...] = ()
    """Layers and line types."""


def parse(where: str, text: str) -> Document:
    """Read a DXF's text.

    Raises Refusal with the line for what is no DXF, is damaged, cut short, or holds too much.
    """
    header: dict[str, str] = {}
    blocks: dict[str, Block] = {}
    found: list[Entity] = []
    off: set[str] = set()
    tables: list[Entity] = []
    entities: list[Entity] | None = None
    for section, each in _sections(where, text):
        if section == "HEADER":
            header.update(_header(each))
        elif section == "TABLES":
            off.update(_switched_off(each))
            tables += [entity for entity in each if entity.kind in ("LAYER", "LTYPE")]
        elif section == "BLOCKS":
            blocks.update(_blocks(where, each))
        elif section == "ENTITIES":
            entities = found
            found.extend(_assembled(where, each))
    if entities is None and not any(block.entities for block in blocks.values()):
        raise Refusal(where, "is a DXF without entities", "export the pattern's pieces")
    return Document(header, blocks, tuple(found), frozenset(off), tuple(tables))


def _sections(where: str, text: str) -> Iterator[tuple[str, list[Entity]]]:
    """Split a file into its sections, each with its name and its entities, not yet put together."""
    section: str | None = None
    each: list[Entity] = []
    kind, line, held, total = "", 0, list[Tag](), 0
    for tag in (*tags(where, text), None):
        if tag is not None and tag.code != 0:
            if kind not in _SKIPPED.get(section or "", ()):
                held.append(tag)
            continue
        made = Entity(kind, line, where, tuple(held)) if kind else None
        if made and made.kind == "SECTION":
            if section is not None:
                raise damaged(where, made.line, "a section begins before the one before it ends")
            section, each = made.text(2).upper(), [made]
        elif made and made.kind == "ENDSEC":
            if section is None:
                raise damaged(where, made.line, "a section ends that did not begin")
            yield section, each
            section = None
        elif made and made.kind == "EOF":
            break
        elif made and section is None:
            raise damaged(where, made.line, f"{shown(made.kind)} stands outside a section")
        elif made and section in _READ:
            each.append(made)
            total += 1
            if total > MOST_ENTITIES:
                what = f"has more than {MOST_ENTITIES} entities; no pattern has so many"
                raise Refusal(where, what, "export the pattern's pieces alone")
        if tag is not None:
            kind, line, held = tag.value.upper(), tag.line, []
    if section is not None:
        raise cut_short(where)


_READ = ("HEADER", "TABLES", "BLOCKS", "ENTITIES")
_SKIPPED: dict[str, tuple[str, ...]] = {"OBJECTS": ("DICTIONARY", "XRECORD")}


def _header(each: list[Entity]) -> Iterator[tuple[str, str]]:
    name = ""
    for tag in each[0].tags:
        if tag.code == 9:
            name = tag.value.upper()
        elif name:
            yield name, tag.value
            name = ""


def _switched_off(each: list[Entity]) -> Iterator[str]:
    """Iterate over layers whose colour is negative (off) or whose flag says frozen."""
    for entity in each:
        if entity.kind == "LAYER" and (entity.whole(62, 7) < 0 or entity.whole(70) & 1):
            yield entity.text(2).upper()


def _blocks(where: str, each: list[Entity]) -> Iterator[tuple[str, Block]]:
    head: Entity | None = None
    inside: list[Entity] = []
    for entity in each[1:]:
        if entity.kind == "BLOCK":
            if head is not None:
                raise damaged(where, entity.line, "a block begins before the one before it ends")
            head, inside = entity, []
        elif entity.kind == "ENDBLK":
            if head is None:
                raise damaged(where, entity.line, "a block ends that did not begin")
            base = complex(head.number(10, 0.0), head.number(20, 0.0))
            yield head.text(2).upper(), Block(head.text(2), head.line, base, tuple(_assembled(where, [head, *inside])))
            head = None
        elif head is not None:
            inside.append(entity)
    if head is not None:
        raise cut_short(where)


def _assembled(where: str, each: list[Entity]) -> Iterator[Entity]:
    """Put vertices into their polylines and attributes into their inserts; the first entity heads them all."""
    owner: Entity | None = None
    parts: list[Entity] = []
    for entity in each[1:]:
        if owner is not None:
            if entity.kind == _WITH_MORE[owner.kind]:
                parts.append(entity)
                continue
            if entity.kind != "SEQEND":
                raise damaged(where, entity.line, f"a {owner.kind} has no end before {shown(entity.kind)}")
            yield Entity(owner.kind, owner.line, where, owner.tags, tuple(parts))
            owner = None
        elif entity.kind == "POLYLINE" or (entity.kind == "INSERT" and entity.whole(66) == 1):
            owner, parts = entity, []
        elif entity.kind != "SEQEND":
            yield entity
    if owner is not None:
        raise cut_short(where)
