"""The plan: the steps to do, as a person wrote them. Values stay text until an operation's parameters are known."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct


class Step(Struct, frozen=True):
    """One step: an operation, the piece (None where left out) and the parameters as written."""

    do: str
    piece: str | None = None
    asked: tuple[tuple[str, str], ...] = ()
    where: str = ""
    """For messages: "plan.toml line 4", "--do 2"."""
    by_size: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    """Parameters given as a table: name, then (size, text) pairs; the size "other" stands for all that aren't named."""


class Plan(Struct, frozen=True):
    """Steps in order."""

    steps: tuple[Step, ...]
    where: str = "plan"
    ends: tuple[Step, ...] = ()
    """What is to hold when the steps are done, the amounts left to the tool: ``do`` is "ends", ``asked`` the ends."""


class Seam(Struct, frozen=True):
    """Two rows of edges that are sewn together, each ("Sleeve", "cap") and in sewing order."""

    a: tuple[tuple[str, str], ...]
    b: tuple[tuple[str, str], ...]
    guessed: bool = False


def spell_edges(edges: Sequence[tuple[str, str]]) -> str:
    """Write edges as people do: ``Front/armhole+Back/armhole``."""
    return "+".join(f"{piece}/{edge}" for piece, edge in edges)
