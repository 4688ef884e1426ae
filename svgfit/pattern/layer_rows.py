"""A layer and what it was taken for: what the steps from layers to pieces hand on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.model.drawing import Layer
from svgfit.pattern.convention import Role
from svgfit.pattern.layer_patterns import name_key

OUTLINES = (Role.STITCH_LINE, Role.CUT_LINE)
"""Roles of the lines that make a piece."""
LONGEST = 80
"""No name in a message is longer."""


class LayerRow(Struct, frozen=True):
    """A layer and what it was taken for; all None where it plays no part."""

    layer: Layer
    role: str | None = None
    piece: str | None = None
    size: str | None = None


class Remarks:
    """What is told of drawings while their layers are sorted, in order; of that, the guesses on which figures rest."""

    def __init__(self) -> None:
        """Begin with nothing told."""
        self.told: list[str] = []
        self.guesses: list[str] = []

    def warn(self, *texts: str) -> None:
        """Tell of what there is to mind."""
        self.told += texts

    def guess(self, text: str) -> None:
        """Tell a guess on which figures rest."""
        self.told.append(text)
        self.guesses.append(text)


def merge_rows(rows: Sequence[LayerRow], assigned: Sequence[LayerRow]) -> list[LayerRow]:
    """Merge the settled rows into one per layer, as ``rows`` has them, with every piece and size found on it."""
    parts: dict[tuple[tuple[str, ...], int | None], list[LayerRow]] = {}
    for part in assigned:
        parts.setdefault((part.layer.path, part.layer.line), []).append(part)
    found: list[LayerRow] = []
    for row in rows:
        own = parts.get((row.layer.path, row.layer.line), [])
        pieces = ", ".join(dict.fromkeys(part.piece for part in own if part.piece)) or None
        sizes = ", ".join(dict.fromkeys(part.size for part in own if part.size)) or row.size
        roles = ", ".join(dict.fromkeys(part.role for part in own if part.role)) or row.role
        found.append(replace(row, role=roles, piece=pieces, size=sizes))
    return found


def spellings(names: Iterable[str]) -> dict[str, str]:
    """Map names that count as one to the first way in which they are spelt."""
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name_key(name), name)
    return found


def list_names(names: Iterable[str], most: int = 20) -> str:
    """List names for a message, not too many of them."""
    every = [name if len(name) <= LONGEST else f"{name[:LONGEST]}…" for name in names]
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return ", ".join(every[:most]) + more
