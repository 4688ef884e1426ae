"""What each mark belongs to, written on it: so that one piece, or one size of a nest, can be shown by itself.

``data-svgfit-for`` names the piece, ``data-svgfit-for-size`` its size. What carries ``data-svgfit-piece`` says so
already and stays as it is. Tables, lists and the legend speak of the whole drawing and carry nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from msgspec.structs import replace

from svgfit.model.piece import Piece
from svgfit.render.annotate.labels import Ink
from svgfit.render.markup import escape

SIZE_NAME = "size-name"
"""Role of the name of a size on its line: it is no figure."""
_START = re.compile(r"<[a-z][^<>]*?(?=/?>)", re.IGNORECASE)
"""A start tag up to its end; a ``>`` in an attribute is always escaped."""


def owned(ink: Iterable[Ink], piece: Piece, role: str | None = None) -> tuple[Ink, ...]:
    """The marks, each of their elements saying that it belongs to the piece, and what it is where ``role`` is given."""
    said = f' data-svgfit-for="{escape(piece.name)}"'
    if piece.size is not None:
        said += f' data-svgfit-for-size="{escape(piece.size)}"'
    if role is not None:
        said += f' data-svgfit-role="{role}"'

    def marked(found: re.Match[str]) -> str:
        return found[0] if " data-svgfit-piece=" in found[0] else found[0] + said

    return tuple(replace(mark, xml=_START.sub(marked, mark.xml)) for mark in ink)
