"""Several pieces on one layer: which outline, mark and text belongs to which. Page millimetres.

An outline is named by its own name or id, else by a text that stands in it, else it is numbered. What else lies on
layers that say no piece goes by where it lies: in an outline, or else to the nearest.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.box import widen_box
from svgfit.geometry.curve import Curve
from svgfit.geometry.polygon import distances, enclosed, encloses_each
from svgfit.model.drawing import DrawnText, Shape
from svgfit.model.length import both_ways, on_page
from svgfit.pattern.join_paths import bridge_gaps, find_chains, find_loops, near_ends
from svgfit.pattern.languages import split_size
from svgfit.pattern.layer_patterns import name_key, single_spaced
from svgfit.pattern.outline import ENDS_MEET, same_curve
from svgfit.rules.drawing_habits import MOST_OPEN, SHORTEST_OUTLINE, WIDEST_GAP

_AUTOMATIC = (
    r"(?i)(path|rect(angle)?|circle|ellipse|line|poly(gon|line)|compound path|g|group|use|svg|shape|vector|layer|"
    r"object|curve|xmlid|image|text|tspan|id|element|clip path|\d)?([ _\-#.(]*\d+\)?)*_?"
)
_SIZE = r"(?i)\bsize[ :]+(\S+)"
MOST_LINES = 5000
"""More separate open lines than this on one layer are not joined to count its pieces."""
Part = tuple[int, int]
"""A curve of a shape: the shape's identity and the curve's number in it."""


class DrawnLoop(Struct, frozen=True):
    """A closed line, the curves that it is drawn with, and its own name."""

    loop: Curve
    parts: frozenset[Part]
    name: str | None = None


class Place(Struct, frozen=True):
    """An outline on the page, its piece's name, and its size where its layer, name or text tells one."""

    name: str
    loop: Curve
    size: str | None = None
    parts: frozenset[Part] = frozenset()
    """The curves that it is drawn with; none where its layer says whose it is."""


def is_automatic(name: str | None) -> bool:
    """Say whether a shape's name is only what programs number shapes with.

    >>> [is_automatic(name) for name in (None, "path1042", "Vector_2", "XMLID_12_", "Front", "Back 2")]
    [True, True, True, True, False, False]
    """
    return not name or re.fullmatch(_AUTOMATIC, name.strip()) is not None


def outlines(shapes: Sequence[Shape], join: float = ENDS_MEET) -> list[DrawnLoop]:
    """Find the closed lines that lie in no other and are no double of one before, in the order they are drawn.

    Open lines whose ends meet within ``join`` mm make one closed line, whatever their order and direction.
    """
    drawn = [((id(shape), k), shape, curve) for shape in shapes for k, curve in enumerate(shape.curves)]
    closed = {part for part, shape, curve in drawn if shape.closed[part[1]] or curve.is_closed()}
    found = [DrawnLoop(curve, frozenset({part}), shape.name) for part, shape, curve in drawn if part in closed]
    lines = [(part, shape, curve) for part, shape, curve in drawn if part not in closed]
    if 1 < len(lines) <= MOST_LINES:
        found += _joined(lines, join)
    found = [one for one in found if abs(one.loop.area()) > 1.0]
    found.sort(key=lambda one: -abs(one.loop.area()))
    boxes = np.array([one.loop.bounds() for one in found]).reshape(-1, 4)
    is_outer = np.zeros(len(found), np.bool_)
    for k, one in enumerate(found):
        left, top, right, bottom = widen_box(one.loop.bounds(), join)
        meet = (boxes[:, 0] <= right) & (boxes[:, 2] >= left) & (boxes[:, 1] <= bottom) & (boxes[:, 3] >= top)
        others = [found[m] for m in np.flatnonzero(is_outer & meet).tolist()]
        is_outer[k] = not any(
            same_curve(one.loop, other.loop) or lies_in(one.loop, other.loop, join) for other in others
        )
    outer = [one for one, own in zip(found, is_outer.tolist(), strict=True) if own]
    order = {part: k for k, (part, _, _) in enumerate(drawn)}
    return sorted(outer, key=lambda one: min(order[part] for part in one.parts))


def _joined(lines: Sequence[tuple[Part, Shape, Curve]], join: float) -> list[DrawnLoop]:
    """Join open lines to closed ones; those left over whose ends are near one another make one with gaps."""
    curves = [curve for _, _, curve in lines]
    found = [(one.curve, one.lines) for one in find_loops(curves, join)]
    used = {k for _, members in found for k in members}
    rest = [k for k in range(len(curves)) if k not in used]
    found += _with_gaps([(k, curves[k]) for k in rest], join)
    return [
        DrawnLoop(
            loop, frozenset(lines[k][0] for k in members), next((n for k in members if (n := lines[k][1].name)), None)
        )
        for loop, members in found
    ]


def _with_gaps(lines: Sequence[tuple[int, Curve]], join: float) -> list[tuple[Curve, frozenset[int]]]:
    """Make loops of lines that end near one another and enclose much, with their numbers.

    What they lack is closed straight: a gap, or an edge such as a hem that is drawn for another size only.
    """
    group_of = [{k} for k in range(len(lines))]
    for _, a, b in near_ends([line for _, line in lines], WIDEST_GAP):
        small, large = sorted((group_of[a // 2], group_of[b // 2]), key=len)
        if small is not large:
            large |= small
            for k in small:
                group_of[k] = large
    found: list[tuple[Curve, frozenset[int]]] = []
    for group in {id(group): group for group in group_of}.values():
        own = [lines[k] for k in sorted(group)]
        if sum(line.length(1e-2) for _, line in own) < SHORTEST_OUTLINE:
            continue
        loop, _ = bridge_gaps(find_chains([line for _, line in own], join), join)
        bridged = sum(abs(b - a) for a, b in loop.gaps)
        around = loop.curve.length(1e-2)
        if bridged < MOST_OPEN * around and abs(loop.curve.area()) > (around / 12) ** 2:
            found.append((loop.curve, frozenset(k for k, _ in own)))
    return found


def lies_in(inner: Curve, outer: Curve, join: float = ENDS_MEET) -> bool:
    """Say whether most of a closed curve lies in another one or, within ``join`` mm, on it."""
    a, b = inner.bounds(), outer.bounds()
    if b[0] - join > a[2] or a[0] > b[2] + join or b[1] - join > a[3] or a[1] > b[3] + join:
        return False
    points = inner.points(np.linspace(0, len(inner), 65)[:-1])
    ring = outer.points(np.linspace(0, len(outer), 16 * len(outer) + 1))
    inside = enclosed(points, ring)
    inside[~inside] = distances(points[~inside], ring) <= join if not inside.all() else True
    return float(inside.mean()) >= 0.5


def name_places(
    found: Sequence[DrawnLoop], size: str | None, texts: Sequence[DrawnText], known: Sequence[Place]
) -> list[Place]:
    """Name each outline of one size: by its own name, else its writing, else as the place of another size there.

    What nothing names gets the name "" here.
    """
    places: list[Place] = []
    for one in found:
        words = single_spaced((one.name if not is_automatic(one.name) else _written_in(one.loop, texts)) or "")
        named = re.search(_SIZE, words)
        name, told = (single_spaced(re.sub(_SIZE, "", words)), named[1]) if named else split_size(words)
        if not name:
            name = next((place.name for place in known if place.name and stacked(one.loop, place.loop)), "")
        places.append(Place(name, one.loop, size or told, one.parts))
    return places


def numbered_places(places: Sequence[Place]) -> tuple[list[Place], list[str]]:
    """Give numbers to what has no name, or that of another of its size; and list what was numbered, for a message.

    Outlines of several sizes that lie one over another are one piece and get one number.
    """
    numbered: list[str] = []
    taken: dict[str | None, set[str]] = {}
    given: list[Place] = []
    for place in places:
        own = taken.setdefault(place.size and name_key(place.size), set())
        name = place.name
        if not name or name_key(name) in own:
            stem = name or "piece"
            over = [one.name for one in given if one.size != place.size and stacked(one.loop, place.loop)]
            again = [one for one in over if name_key(one).startswith(name_key(stem)) and name_key(one) not in own]
            free = (each for k in itertools.count(1) if name_key(each := f"{stem} {k}") not in own)
            name = again[0] if again else next(free)
            if not again:
                numbered.append(f"{name} ({on_page(place.loop.point(0.0))})")
        own.add(name_key(name))
        given.append(replace(place, name=name))
    return given, numbered


def stacked(one: Curve, other: Curve) -> bool:
    """Say whether two outlines lie one over another, as the sizes of one piece do in a nest."""
    (a, b, c, d), (e, f, g, h) = one.bounds(), other.bounds()
    wide, high = min(c, g) - max(a, e), min(d, h) - max(b, f)
    areas = sorted(((c - a) * (d - b), (g - e) * (h - f)))
    return wide > 0 and high > 0 and wide * high > 0.6 * areas[0] and areas[0] > 0.25 * areas[1]


def _written_in(loop: Curve, texts: Sequence[DrawnText]) -> str | None:
    """Find the largest writing in the outline; of several equally large the first."""
    held = encloses_each(loop, np.array([drawn.text.at for drawn in texts], dtype=np.complex128))
    inside = [drawn.text for drawn, here in zip(texts, held, strict=True) if here and single_spaced(drawn.text.content)]
    return max(inside, key=lambda text: text.size).content if inside else None


def held_by_each(points: Sequence[complex], places: Sequence[Place]) -> list[int | None]:
    """Find the smallest outline that holds each of several points; None where none does."""
    at = np.array(points, dtype=np.complex128)
    found, sizes = np.full(len(at), -1), np.full(len(at), np.inf)
    if not len(at) or not places:
        return [None] * len(at)
    left, top, right, bottom = np.array([place.loop.bounds() for place in places]).T
    x, y = at.real[:, None], at.imag[:, None]
    in_box = (x >= left) & (x <= right) & (y >= top) & (y <= bottom)
    for k, place in enumerate(places):
        inside = in_box[:, k]
        if not inside.any():
            continue
        inside[inside] = encloses_each(place.loop, at[inside])
        size = abs(place.loop.area())
        inside &= size < sizes
        found[inside], sizes[inside] = k, size
    return [None if k < 0 else int(k) for k in found]


def nearest_to(at: complex, places: Sequence[Place]) -> int:
    """Find the outline that is nearest to a point."""
    return min(range(len(places)), key=lambda k: abs(places[k].loop.point(places[k].loop.nearest(at)[0]) - at))


def extent(curve: Curve) -> str:
    """Write width and height of an outline for a message."""
    left, top, right, bottom = curve.bounds()
    return f"{both_ways(right - left)} wide, {both_ways(bottom - top)} high"
