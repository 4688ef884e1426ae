"""What is drawn into our layers, tagged with what it belongs to, so that one piece or one size can be shown by itself.

``data-svgfit-for`` names the piece, ``data-svgfit-for-size`` its size. What carries ``data-svgfit-piece`` says so
already and stays as it is. Tables, lists and the legend speak of the whole drawing and carry nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.svg.markup import Node

SIZE_NAME = "size-name"
"""Role of the name of a size on its line: it is no figure."""


class Ink(Struct, frozen=True):
    """Markup for one layer, and the line kind that the legend must explain (None: none)."""

    layer: str
    nodes: tuple[Node, ...]
    kind: str | None = None


def owned(ink: Iterable[Ink], piece: Piece, role: str | None = None) -> tuple[Ink, ...]:
    """Tag each element of the marks with the piece that it belongs to, and with what it is where ``role`` is given."""
    owner = [("data-svgfit-for", piece.name)]
    if piece.size is not None:
        owner.append(("data-svgfit-for-size", piece.size))
    if role is not None:
        owner.append(("data-svgfit-role", role))
    return tuple(replace(mark, nodes=tuple(_marked(node, owner) for node in mark.nodes)) for mark in ink)


def _marked(node: Node, owner: Sequence[tuple[str, str]]) -> Node:
    within = tuple(child if isinstance(child, str) else _marked(child, owner) for child in node.children)
    more = () if node.get("data-svgfit-piece") is not None else owner
    return Node(node.tag, (*node.attributes, *more), within)
