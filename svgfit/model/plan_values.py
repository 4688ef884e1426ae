"""``[values]`` of plans: set once, used by name at steps. Values stay as TOML has them until a step uses them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeGuard

from msgspec import Struct

from svgfit.model.toml_file import Key, TomlFile
from svgfit.model.wording import closest_name, suggestion

VALUES = "values"
VALUE = "value"
MEASURED = ("of", "measure", "times")
"""The keys of a table that takes a value from a measurement."""
_SHORTEST_SLIP = 5
"""Letters of a key that may be a slip of one of those; shorter ones are sizes."""


class NamedValue(Struct, frozen=True):
    """What ``[values]`` says of one name, and where."""

    file: TomlFile
    key: Key
    raw: Any

    @property
    def place(self) -> str:
        """Name it for messages: file and line."""
        line = self.file.line(self.key)
        return f"{self.file.where} line {line}" if line else self.file.where


Values = Mapping[str, NamedValue]


def is_table(raw: object) -> TypeGuard[dict[str, Any]]:
    """Tell whether what stands in a plan is a table."""
    return isinstance(raw, dict)


def measures(table: Mapping[str, Any]) -> bool:
    """Tell a table that speaks of a measurement from one of values by size."""
    return "measure" in table or "of" in table


def refuse_slip(file: TomlFile, key: Key, table: Mapping[str, Any], values: Values) -> None:
    """Refuse a table whose key was nearly one that takes a value, and which would be taken for values by size."""
    for name, raw in table.items():
        near = closest_name(name, (VALUE, *MEASURED), 0.65) if len(name) >= _SHORTEST_SLIP else None
        if near == VALUE and isinstance(raw, str) and raw in values:
            example = f'{{ {VALUE} = "{raw}" }}'
        elif name in MEASURED or near in MEASURED:
            example = '{ of = "Sleeve", measure = "cap ease", times = 0.5 }'
        else:
            continue
        raise file.refusal((*key, name), f"there is no size {name!r}", f"for a value from elsewhere write {example}")


def hint_of(value: NamedValue, key: Key, values: Values) -> str:
    """Say what a refusal of a value tells beside: where it is set, or that ``[values]`` has one of its name; or ""."""
    if value.key != key:
        return f"the value is set as {value.key[-1]} in {value.place}"
    if isinstance(value.raw, str) and value.raw in values:
        return f'for what [values] sets under that name write {{ {VALUE} = "{value.raw}" }}'
    return ""


def values_of(files: Sequence[TomlFile]) -> Values:
    """Collect what all files set; a name that is set twice, and not alike, is refused."""
    found: dict[str, NamedValue] = {}
    for file in files:
        for name, raw in file.value((VALUES,), file.table.get(VALUES, {}), dict[str, Any]).items():
            value = NamedValue(file, (VALUES, name), raw)
            if is_table(raw) and (measures(raw) or VALUE in raw):
                todo = f'write that table at the step itself; here stands for example {name} = "1/4 in"'
                raise file.refusal(value.key, "is set once, and a measurement or another value is no text", todo)
            first = found.setdefault(name, value)
            if first.raw != raw:
                what = f"{name} is set to something else already in {first.place}"
                raise file.refusal(value.key, what, "give one of the two another name, or leave it out")
    return found


def resolved(file: TomlFile, key: Key, raw: Any, values: Values) -> NamedValue:
    """Put in place of ``{ value = "up" }`` what ``[values]`` says; what stands there itself stays."""
    if not isinstance(raw, dict) or VALUE not in raw:
        return NamedValue(file, key, raw)
    table = file.value(key, raw, dict[str, Any])
    file.check_keys(key, table, (VALUE,))
    name = file.value((*key, VALUE), table[VALUE], str)
    if name not in values:
        near = closest_name(name, values)
        there = f"the values are {', '.join(values)}" if values else f'write at the top [values] and {name} = "1/4 in"'
        raise file.refusal((*key, VALUE), f"there is no value {name!r} in [values]", suggestion(near, there))
    return values[name]
