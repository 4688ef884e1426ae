"""Slips in a step that was typed: the step that was most likely meant, from words that say it in another order."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from svgfit.model.length import parse_length
from svgfit.model.vocabulary import ParameterKind
from svgfit.model.wording import closest_name
from svgfit.plugin.registry import Registry

_OPPOSITES = {"lower": "raise", "drop": "raise", "flatten": "raise", "narrow": "widen", "overlap": "spread"}
"""What a person may say for a step that svgfit has only the other way round, with a negative amount."""
_AMOUNT = re.compile(r"[+\-−]?\s*(?:\d+[ -])?\d+(?:[./]\d+)?\s*(?:mm|cm|inches|inch|in|\"|″)(?=\s|$)", re.IGNORECASE)


def step_meant(text: str, registry: Registry) -> str | None:
    """Write the step that ``text`` most likely means: an operation by its words in any order, and a length.

    None where no operation comes near, or several do.
    """
    found = _AMOUNT.search(text)
    words: list[str] = re.findall(r"[a-z]+", _AMOUNT.sub(" ", text).partition("=")[0].casefold())
    names = registry.operation_names()
    opposites = [_OPPOSITES.get(word, word) for word in words]
    name = _operation(words, names) or _operation(opposites, names)
    if name is None:
        return None
    if found is None:
        return name
    length = found[0].strip()
    parts = set(name.split("-"))
    if length[0].isdigit() and parts & (set(opposites) - set(words)):
        length = f"-{length}"
    try:
        parse_length(length)
    except ValueError:
        return name
    parameters = registry.operation(name).parameters
    keys = [item.name for item in parameters if item.kind == ParameterKind.LENGTH]
    key = next((item for item in keys if item in words), keys[0] if keys else None)
    return name if key is None else f"{name} {key}='{length}'"


def _operation(words: Sequence[str], names: Iterable[str]) -> str | None:
    said = set(words)
    every = list(names)
    shared = {name: len(said & set(name.split("-"))) for name in every}
    most = max(shared.values(), default=0)
    best = [name for name in every if shared[name] == most]
    if most and len(best) == 1:
        return best[0]
    return None if most else closest_name("-".join(words), every, 0.8)
