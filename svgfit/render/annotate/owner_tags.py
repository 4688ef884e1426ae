"""What each mark belongs to, written on it: so that one piece, or one size of a nest, can be shown by itself.

``data-svgfit-for`` names the piece, ``data-svgfit-for-size`` its size. What carries ``data-svgfit-piece`` says so
already and stays as it is. Tables, lists and the legend speak of the whole drawing and carry nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.render.annotate.labels import Ink
from svgfit.svg.markup import Node

SIZE_NAME = "size-name"
"""Role of the name of a size on its line: it is no figure."""


def owned(ink: Iterable[Ink], piece: Piece, role: str | None = None) -> tuple[Ink, ...]:
    """The marks, each of their elements saying that it belongs to the piece, and what it is where ``role`` is given."""
    said = [("data-svgfit-for", piece.name)]
    if piece.size is not None:
        said.append(("data-svgfit-for-size", piece.size))
    if role is not None:
        said.append(("data-svgfit-role", role))
    return tuple(replace(mark, nodes=tuple(_marked(node, said) for node in mark.nodes)) for mark in ink)


def _marked(node: Node, said: Sequence[tuple[str, str]]) -> Node:
    within = tuple(child if isinstance(child, str) else _marked(child, said) for child in node.children)
    more = () if node.get("data-svgfit-piece") is not None else said
    return Node(node.tag, (*node.attributes, *more), within)
