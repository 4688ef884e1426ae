"""Parallel map that keeps warnings and the first Refusal in input order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TypeVar

from msgspec import Struct

from svgfit.app.process_pool import side_by_side
from svgfit.model.refusal import Refusal
from svgfit.plugin.registry import Registry

Item = TypeVar("Item")
Result = TypeVar("Result")


class Refused(Struct, frozen=True):
    """Stands for what an action gave where it refused."""


def for_each(
    action: Callable[[Item], Result], items: Sequence[Item], registry: Registry, *, workers: int | None = None
) -> list[tuple[Result, tuple[str, ...]]]:
    """Map an action over items in parallel, keeping the warnings of plug-ins for each; all in the items' order.

    The registry then holds the warnings of all, in that order. Raises the Refusal of the first item that has one; the
    registry holds the warnings up to it. ``workers`` as for ``side_by_side``.
    """
    found = side_by_side([partial(_listening, action, item, registry) for item in items], workers=workers)
    done: list[tuple[Result, tuple[str, ...]]] = []
    for item, (result, texts) in zip(items, found, strict=True):
        for text in texts:
            registry.warn(text)
        # A refusal is met again here, in this process, so that it carries its cause along.
        done.append((action(item) if isinstance(result, Refused) else result, texts))
    return done


def _listening(
    action: Callable[[Item], Result], item: Item, registry: Registry
) -> tuple[Result | Refused, tuple[str, ...]]:
    with registry.collecting_warnings() as texts:
        try:
            result: Result | Refused = action(item)
        except Refusal:
            result = Refused()
    return result, tuple(texts)
