"""Several pieces on one layer: which outline, mark and text belongs to which. Page millimetres.

An outline is named by its own name or id, else by a text that stands in it, else it is numbered. What else lies on
layers that say no piece goes by where it lies: in an outline, or else to the nearest.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.box import box_around, box_centre
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import encloses
from svgfit.model.drawing import DrawnText, Layer, Shape
from svgfit.model.length import on_page
from svgfit.pattern.languages import split_size
from svgfit.pattern.layer_patterns import name_key, single_spaced
from svgfit.pattern.outline import same_curve

_AUTOMATIC = (
    r"(?i)(path|rect(angle)?|circle|ellipse|line|poly(gon|line)|compound path|g|group|use|svg|shape|vector|layer|"
    r"object|curve|xmlid|image|text|tspan|id|element|clip path|\d)?([ _\-#.(]*\d+\)?)*_?"
)
_SIZE = r"(?i)\bsize[ :]+(\S+)"


class Place(Struct, frozen=True):
    """An outline on the page, its piece's name, and its size where its name or text tells one."""

    name: str
    loop: Curve
    size: str | None = None


def is_automatic(name: str | None) -> bool:
    """Say whether a shape's name is only what programs number shapes with.

    >>> [is_automatic(name) for name in (None, "path1042", "Vector_2", "XMLID_12_", "Front", "Back 2")]
    [True, True, True, True, False, False]
    """
    return not name or re.fullmatch(_AUTOMATIC, name.strip()) is not None


def outlines(shapes: Sequence[Shape]) -> list[tuple[Shape, Curve]]:
    """Find the closed lines that lie in no other and are no double of one before, each with its shape."""
    closed = [
        (shape, curve)
        for shape in shapes
        for curve, shut in zip(shape.curves, shape.closed, strict=True)
        if shut and abs(curve.area()) > 1.0
    ]
    closed.sort(key=lambda pair: -abs(pair[1].area()))
    found: list[tuple[Shape, Curve]] = []
    for shape, curve in closed:
        if not any(same_curve(curve, other) or encloses(other, curve.point(0.0)) for _, other in found):
            found.append((shape, curve))
    order = {id(shape): k for k, shape in enumerate(shapes)}
    return sorted(found, key=lambda pair: order[id(pair[0])])


def name_places(found: Sequence[tuple[Shape, Curve]], layers: Sequence[Layer]) -> tuple[list[Place], list[str]]:
    """Name each outline, and return which names had to be numbered."""
    texts = [text for layer in layers if not layer.ours and not layer.hidden for text in layer.texts]
    places: list[Place] = []
    numbered: list[str] = []
    taken: set[str] = set()
    for shape, loop in found:
        words = single_spaced((shape.name if not is_automatic(shape.name) else _written_in(loop, texts)) or "")
        named = re.search(_SIZE, words)
        name, size = (single_spaced(re.sub(_SIZE, "", words)), named[1]) if named else split_size(words)
        if not name or name_key(name) in taken:
            stem = name or "piece"
            name = next(each for k in itertools.count(1) if name_key(each := f"{stem} {k}") not in taken)
            at = loop.point(0.0)
            numbered.append(f"{name} ({on_page(at)})")
        taken.add(name_key(name))
        places.append(Place(name, loop, size))
    return places, numbered


def _written_in(loop: Curve, texts: Sequence[DrawnText]) -> str | None:
    """Find the largest writing in the outline; of several equally large the first."""
    inside = [drawn.text for drawn in texts if single_spaced(drawn.text.content) and encloses(loop, drawn.text.at)]
    return max(inside, key=lambda text: text.size).content if inside else None


def held_by(at: complex, places: Sequence[Place]) -> int | None:
    """Find the smallest outline that holds a point; None where none does."""
    holding = [k for k, place in enumerate(places) if encloses(place.loop, at)]
    return min(holding, key=lambda k: abs(places[k].loop.area())) if holding else None


def home_of(at: complex, places: Sequence[Place]) -> int:
    """Find which outline a point belongs to: the smallest that holds it, else the nearest."""
    held = held_by(at, places)
    if held is not None:
        return held
    return min(range(len(places)), key=lambda k: abs(places[k].loop.point(places[k].loop.nearest(at)[0]) - at))


def centre(shape: Shape) -> complex:
    """Find the middle of a shape's box."""
    return box_centre(box_around(curve.bounds() for curve in shape.curves))
