"""What a convention says of ease by style: ``[ease.NAME]`` tables, other figures or a workshop's own styles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from svgfit.model.toml_file import Key, TomlFile
from svgfit.model.vocabulary import Figure
from svgfit.pattern.layer_patterns import name_key, single_spaced
from svgfit.rules.ease import EaseRule, Range

_RANGES = {
    "cap": "cap",
    "no warning": "still",
    "bicep": "bicep",
    "armhole depth": "depth",
    Figure.CAP_HEIGHT: "height",
    "seam sits": "sits",
    "across back": "back",
    "chest": "bust",
}
_KEYS = (*_RANGES, "share of armhole")
_EXAMPLE = 'write for example "1 in", or ["3/4 in", "1 in"] for least and most'


def ease_rules(file: TomlFile) -> tuple[EaseRule, ...]:
    """Read a convention's ``[ease.NAME]`` tables. Raises Refusal with the line for what can't be read."""
    rules: list[EaseRule] = []
    for name, table in file.value(("ease",), file.table.get("ease", {}), dict[str, Any]).items():
        key: Key = ("ease", name)
        values = file.value(key, table, dict[str, Any])
        file.check_keys(key, values, _KEYS)
        if not single_spaced(name):
            raise file.refusal(key, "a style needs a name", "write for example [ease.smock]")
        if any(name_key(rule.name) == name_key(name) for rule in rules):
            raise file.refusal(key, f"style {name!r} is there twice", "leave one out")
        rules.append(_rule(file, key, single_spaced(name), values))
    return tuple(rules)


def _rule(file: TomlFile, key: Key, name: str, values: Mapping[str, Any]) -> EaseRule:
    found = {_RANGES[word]: length_range(file, (*key, word), values[word]) for word in _RANGES if word in values}
    share = _share(file, (*key, "share of armhole"), values.get("share of armhole"))
    return EaseRule(name, share=share, **found)


def length_range(file: TomlFile, key: Key, value: Any) -> Range:
    """Read least and most in mm from one length or a list of two. Raises Refusal for anything else."""
    if not isinstance(value, (str, list)):
        raise file.refusal(key, f"{value} has no unit", _EXAMPLE)
    texts = file.value(key, [value] if isinstance(value, str) else value, list[str])
    if len(texts) not in (1, 2):
        raise file.refusal(key, "is not one length or a list of two", _EXAMPLE)
    lengths = [file.length(key, text) for text in texts]
    if lengths[0] > lengths[-1]:
        raise file.refusal(key, "begins with the larger length", "write the least first, then the most")
    return lengths[0], lengths[-1]


def seam_ease(file: TomlFile, key: Key, value: Any) -> Range:
    """Read by how much, in mm, one edge of a seam is meant to be the longer. Raises Refusal for less than nothing."""
    least, most = length_range(file, key, value)
    if least < 0:
        raise file.refusal(key, "is less than nothing", "name the longer edge with eased, and write by how much it is")
    return least, most


def _share(file: TomlFile, key: Key, value: Any) -> Range | None:
    if value is None:
        return None
    numbers = file.value(key, value, list[float])
    if len(numbers) != 2 or not -1 < numbers[0] <= numbers[1] < 1:
        raise file.refusal(key, "is not least and most as parts of the armhole", "write for example [0.03, 0.05]")
    return numbers[0], numbers[1]
