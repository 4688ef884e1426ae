"""Objects whose own name says what they are, apart from the layer they lie in, as if each lay in a sublayer.

Programs that know no layers, and people who draw a nest on one layer, name the lines themselves: a group ``Sleeve``
holding paths ``stitch line`` and ``notches``, or a layer ``Sleeve stitch line`` holding ``size 10`` and ``size 12``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from svgfit.model.drawing import Layer, Shape
from svgfit.pattern.convention import Convention, Role


def with_object_layers(layers: Sequence[Layer], convention: Convention) -> tuple[Layer, ...]:
    """Add to each layer a sublayer for every name of its shapes that says more than the layer does."""
    return tuple(each for layer in layers for each in _parts(layer, convention))


def _parts(layer: Layer, convention: Convention) -> Iterable[Layer]:
    if layer.ours or not any(shape.name for shape in layer.shapes):
        return (layer,)
    layer_role = convention.role_of(layer.path)
    if layer_role is not None and layer_role.role in (Role.IGNORE, Role.LANDMARKS):
        return (layer,)
    stay: list[Shape] = []
    by_name: dict[str, list[Shape]] = {}
    for shape in layer.shapes:
        found = convention.role_of((*layer.path, shape.name)) if shape.name and shape.name != layer.name else None
        if found is None or found == layer_role or (layer_role is not None and _adds_nothing(found, layer_role)):
            stay.append(shape)
        else:
            by_name.setdefault(shape.name or "", []).append(shape)
    if not by_name:
        return (layer,)
    parts = [
        replace(layer, name=name, path=(*layer.path, name), id=shapes[0].id, shapes=tuple(shapes), texts=())
        for name, shapes in by_name.items()
    ]
    return (replace(layer, shapes=tuple(stay)), *parts)


def _adds_nothing(found: object, layer_role: object) -> bool:
    """Say whether role, piece and size are the layer's own."""
    return all(getattr(found, key) == getattr(layer_role, key) for key in ("role", "piece", "size"))
