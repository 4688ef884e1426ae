"""How an entity's line looks: its colour, dashes and width, its own or those of its layer.

Groups and the meaning of their values: "DXF Reference", chapters "Common group codes", "LAYER", "LTYPE"; the colours of
numbers 10 to 249 are about those that programs show; all from memory.
"""

from __future__ import annotations

import colorsys
import math
from collections.abc import Mapping, Sequence

from msgspec import Struct

from svgfit.formats.dxf.document import Entity

_NAMED = {
    1: "#ff0000",
    2: "#ffff00",
    3: "#00ff00",
    4: "#00ffff",
    5: "#0000ff",
    6: "#ff00ff",
    7: "#000000",
    8: "#808080",
    9: "#c0c0c0",
}
"""Seven is white on black screens and black on paper."""
_OF_BLOCK, _OF_LAYER = 0, 256
_VALUES = (1.0, 0.65, 0.5, 0.3, 0.15)
_GREYS = (51, 91, 132, 173, 214, 255)
_DOT = 0.2
"""Length of a dot, which a line's pattern states as 0, in the file's unit times its scale."""


class Look(Struct, frozen=True):
    """What a line looks like."""

    colour: str = "#000000"
    """#rrggbb."""
    dash: tuple[float, ...] = ()
    """Dashes and gaps in turn, in the unit of its points; () for a solid line."""
    width: float | None = None
    """mm on paper; None: not said."""


class Looks:
    """What layers and line types say of looks, to ask of entities."""

    def __init__(self, tables: Sequence[Entity], header: Mapping[str, str]) -> None:
        self._layers = {entity.text(2).upper(): entity for entity in tables if entity.kind == "LAYER"}
        self._patterns = {entity.text(2).upper(): _pattern(entity) for entity in tables if entity.kind == "LTYPE"}
        try:
            scale = float(header.get("$LTSCALE", "1"))
        except ValueError:
            scale = 1.0
        self._scale = scale if math.isfinite(scale) else 1.0

    def of(self, entity: Entity) -> Look:
        """Find an entity's look. Raises Refusal where a value of it is no number."""
        layer = self._layers.get(entity.layer.upper())
        name = entity.text(6, "BYLAYER").upper()
        if name in ("BYLAYER", "BYBLOCK"):
            name = layer.text(6, "CONTINUOUS").upper() if layer else "CONTINUOUS"
        scale = abs(self._scale * entity.number(48, 1.0))
        pattern = self._patterns.get(name, ())
        weight = entity.whole(370, -1)
        if weight < 0 and layer:
            weight = layer.whole(370, -1)
        return Look(
            _colour(entity, layer),
            tuple((part or _DOT) * scale for part in pattern) if scale else (),
            weight / 100 if weight > 0 else None,
        )


def _pattern(entity: Entity) -> tuple[float, ...]:
    """Read dashes (positive), gaps (negative) and dots (0) as lengths of dashes and gaps in turn."""
    parts = entity.numbers(49)
    turns = len(parts) % 2 == 0 and all((part < 0) == bool(at % 2) for at, part in enumerate(parts))
    return tuple(map(abs, parts)) if turns else ()


def _colour(entity: Entity, layer: Entity | None) -> str:
    for each in (entity, layer):
        if each is None:
            continue
        true = each.whole(420, -1)
        if 0 <= true <= 0xFFFFFF:
            return f"#{true:06x}"
        number = abs(each.whole(62, _OF_LAYER))
        if number not in (_OF_BLOCK, _OF_LAYER):
            return _numbered(number)
    return _NAMED[7]


def _numbered(number: int) -> str:
    """Return the colour of a number: hues by tens in steps of 15°, in them by twos ever darker, odd ones paler."""
    if number in _NAMED:
        return _NAMED[number]
    if number >= 250:
        grey = _GREYS[min(number - 250, 5)]
        return f"#{grey:02x}{grey:02x}{grey:02x}"
    hue, shade = (number - 10) // 10 / 24, number % 10
    parts = colorsys.hsv_to_rgb(hue % 1, 0.5 if shade % 2 else 1.0, _VALUES[shade // 2])
    return "#" + "".join(f"{round(part * 255):02x}" for part in parts)
