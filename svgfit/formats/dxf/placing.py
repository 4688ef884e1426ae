"""What a DXF draws, with its blocks put where they are inserted. Lengths in the file's unit, y up."""

from __future__ import annotations

import cmath
import math
from collections import Counter
from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.dxf.document import Block, Document, Entity
from svgfit.formats.dxf.entities import Drawn, Line, drawn, moved, own_frame
from svgfit.formats.dxf.looks import Looks
from svgfit.formats.dxf.tags import damaged
from svgfit.geometry.affine import Affine
from svgfit.model.refusal import Refusal

_DEEPEST = 12
"""Blocks within blocks; deeper than this nobody nests pieces."""
_MOST_NODES = 2_000_000
"""Nodes of all lines together that are drawn; a nest of 30 pieces has some ten thousand."""
_LIKE_NODES = 4
"""A line, point or text takes as much memory besides as so many nodes."""
_MOST_COPIES = 10_000
"""Columns times rows of one insert."""


class Group(Struct, frozen=True):
    """What one insert draws; ``name`` is its block's, "" for what stands in no block."""

    name: str
    things: tuple[Drawn, ...]


class Placed(Struct, frozen=True):
    """All groups in the file's order, and what else there was."""

    groups: tuple[Group, ...]
    unread: Mapping[str, int]
    """Kinds of entity that svgfit does not read, and how many of each."""
    uninserted: tuple[str, ...]
    """Blocks with something in them that nothing inserts: their groups stand last, where they were drawn."""


def place(where: str, document: Document) -> Placed:
    """Draw everything. Raises Refusal for what is damaged, for a block that holds itself, and for far too much."""
    drawing = _Drawing(where, document.blocks, Looks(document.tables, document.header))
    groups: list[Group] = []
    loose: list[Drawn] = []
    for entity in document.entities:
        if entity.kind == "INSERT":
            groups.append(Group(drawing.block_of(entity).name, tuple(drawing.inserted(entity, 1))))
        else:
            loose.extend(drawing.one(entity, 1))
    if loose:
        groups.insert(0, Group("", tuple(loose)))
    uninserted: list[str] = []
    for key, block in document.blocks.items():
        if key in drawing.contents or key.startswith(("*", "$MODEL_SPACE", "$PAPER_SPACE")):
            continue
        things = drawing.content(block, 1)
        if any(isinstance(thing, Line) for thing in things):
            groups.append(Group(block.name, things))
            uninserted.append(block.name)
    return Placed(tuple(groups), dict(drawing.unread), tuple(uninserted))


class _Drawing:
    """Blocks being drawn, each once; counts what is not read and stops at far too much."""

    def __init__(self, where: str, blocks: Mapping[str, Block], looks: Looks) -> None:
        self.where, self.blocks, self.looks = where, blocks, looks
        self.unread: Counter[str] = Counter()
        self.contents: dict[str, tuple[Drawn, ...]] = {}
        self.nodes = 0

    def block_of(self, entity: Entity) -> Block:
        """Look up the block that is inserted. Raises Refusal where there is none."""
        name = entity.text(2)
        block = self.blocks.get(name.upper())
        if block is None:
            raise damaged(self.where, entity.line, f"the block {name!r} is inserted, and there is none")
        return block

    def content(self, block: Block, deep: int) -> tuple[Drawn, ...]:
        """Draw what a block holds, in its own frame, with blocks in it put where they are inserted."""
        if deep > _DEEPEST:
            raise damaged(self.where, block.line, f"blocks lie in blocks {_DEEPEST} deep, {block.name!r} too")
        key = block.name.upper()
        if key not in self.contents:
            self.contents[key] = tuple(thing for each in block.entities for thing in self.one(each, deep))
        return self.contents[key]

    def one(self, entity: Entity, deep: int) -> Iterator[Drawn]:
        """Draw an entity."""
        if entity.kind == "INSERT":
            yield from self.inserted(entity, deep)
            return
        things = drawn(entity, entity.layer)
        if things is None:
            self.unread[entity.kind] += 1
            return
        for thing in things:
            self._count(thing)
            yield replace(thing, look=self.looks.of(entity)) if isinstance(thing, Line) else thing

    def inserted(self, entity: Entity, deep: int) -> Iterator[Drawn]:
        """Draw an insert, its columns, rows and attributes; what is on layer 0 of a block is on the insert's."""
        block = self.block_of(entity)
        things = self.content(block, deep + 1)
        for frame in _frames(entity, block):
            motion = frame.then(own_frame(entity))
            for thing in things:
                self._count(thing)
                there = moved(thing, motion)
                yield replace(there, layer=entity.layer) if there.layer == "0" else there
        for part in entity.parts:
            yield from self.one(part, deep)

    def _count(self, thing: Drawn) -> None:
        self.nodes += _LIKE_NODES + (len(thing.cubics) if isinstance(thing, Line) else 1)
        if self.nodes > _MOST_NODES:
            what = f"draws more than {_MOST_NODES} nodes; no pattern has so many"
            raise Refusal(self.where, what, "export the pattern's pieces alone")


def _frames(entity: Entity, block: Block) -> Iterator[Affine]:
    """Iterate over the motions of an insert: base point, scales, turn, place, and steps of columns and rows."""
    wide = entity.number(41, 1.0), entity.number(42, 1.0)
    if 0.0 in wide:
        raise damaged(entity.where, entity.line, f"the block {block.name!r} is inserted with a scale of 0")
    turn = math.radians(entity.number(50, 0.0))
    at = complex(entity.number(10, 0.0), entity.number(20, 0.0))
    columns, rows = max(1, entity.whole(70, 1)), max(1, entity.whole(71, 1))
    if columns * rows > _MOST_COPIES:
        raise damaged(entity.where, entity.line, f"the block {block.name!r} is inserted {columns * rows} times at once")
    across, up = entity.number(44, 0.0), entity.number(45, 0.0)
    sized = Affine.shift(-block.base).then(Affine.scale(*wide)).then(Affine.turn(turn))
    for row in range(rows):
        for column in range(columns):
            step = complex(column * across, row * up) * cmath.rect(1, turn)
            yield sized.then(Affine.shift(at + step))
