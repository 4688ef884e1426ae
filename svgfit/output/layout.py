"""Where tables and legend stand: in free space of the page, in as few groups as can be; else beside the page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations, pairwise

from svgfit.output.blocks import Block, draw
from svgfit.output.field import Box, Field
from svgfit.output.labels import Ink
from svgfit.output.scene import Scene

Group = tuple[Block, ...]
_GAP, _MARGIN = 2.2, 2.0
"""Between blocks, and from the page's edge, in font sizes."""


def place_blocks(scene: Scene, field: Field, every: Sequence[Block], scale: float) -> tuple[list[Ink], tuple[str, ...]]:
    """The blocks drawn, and a warning that names the side where some stand outside the page.

    Blocks keep their order; each group is one column. One column is tried first, then two and more side by side, then
    groups each wherever there is room for it, and last every block on its own.
    """
    gap, margin = every[0].size * _GAP, every[0].size * _MARGIN
    for groups in sorted(_splits(tuple(every)), key=lambda groups: (len(groups), _band(groups, gap)[1])):
        width, height = _band(groups, gap)
        corner = field.find_room(width + gap, height + gap, margin)
        if corner is not None:
            return _drawn(groups, _side_by_side(groups, corner + complex(gap, gap) / 2, gap), gap, scale), ()
    for groups in _splits(tuple(every)):
        corners = _all_corners(field, groups, gap, margin)
        if corners is not None:
            return _drawn(groups, corners, gap, scale), ()
    inside: list[tuple[Group, complex]] = []
    outside: list[Block] = []
    for block in every:
        corner = _corner(field, (block,), gap, margin)
        if corner is None:
            outside.append(block)
        else:
            inside.append(((block,), corner))
            field = field.with_box(_box((block,), corner, gap)).settled()
    groups = [group for group, _ in inside]
    if not outside:
        return _drawn(groups, [corner for _, corner in inside], gap, scale), ()
    column = tuple(outside)
    origin, side = _beside(column, scene, field, gap)
    ink = _drawn([*groups, column], [*(corner for _, corner in inside), origin], gap, scale)
    what = "the tables and the legend" if len(column) == len(every) else f"{len(column)} of {len(every)} tables"
    return ink, (f"{scene.canvas.file}: the page has no free space for {what}: they stand {side}",)


def _splits(every: Group) -> Iterable[tuple[Group, ...]]:
    """Every way to cut the row of blocks into groups, few groups first."""
    for parts in range(1, min(len(every), 4) + 1):
        for cuts in combinations(range(1, len(every)), parts - 1):
            ends = (0, *cuts, len(every))
            yield tuple(every[a:b] for a, b in pairwise(ends))


def _band(groups: Sequence[Group], gap: float) -> tuple[float, float]:
    """Width and height of columns side by side."""
    sizes = [_size(group, gap) for group in groups]
    return sum(width for width, _ in sizes) + 2 * gap * (len(sizes) - 1), max(height for _, height in sizes)


def _side_by_side(groups: Sequence[Group], corner: complex, gap: float) -> list[complex]:
    corners: list[complex] = []
    for group in groups:
        corners.append(corner)
        corner += _size(group, gap)[0] + 2 * gap
    return corners


def _size(group: Group, gap: float) -> tuple[float, float]:
    return max(block.width for block in group), sum(block.height + gap for block in group) - gap


def _corner(field: Field, group: Group, gap: float, margin: float) -> complex | None:
    """Where the group's first block begins."""
    width, height = _size(group, gap)
    corner = field.find_room(width + gap, height + gap, margin)
    return None if corner is None else corner + complex(gap, gap) / 2


def _box(group: Group, corner: complex, gap: float) -> Box:
    width, height = _size(group, gap)
    return corner.real, corner.imag, corner.real + width, corner.imag + height


def _all_corners(field: Field, groups: Sequence[Group], gap: float, margin: float) -> list[complex] | None:
    found: list[complex] = []
    for group in groups:
        corner = _corner(field, group, gap, margin)
        if corner is None:
            return None
        found.append(corner)
        if len(found) < len(groups):
            field = field.with_box(_box(group, corner, gap)).settled()
    return found


def _drawn(groups: Sequence[Group], corners: Sequence[complex], gap: float, scale: float) -> list[Ink]:
    ink: list[Ink] = []
    for group, corner in zip(groups, corners, strict=True):
        y = 0.0
        for block in group:
            ink.extend(draw(block, corner + 1j * y, _size(group, gap)[0], scale))
            y += block.height + gap
    return ink


def _beside(column: Group, scene: Scene, field: Field, gap: float) -> tuple[complex, str]:
    """A place to the right of the page; below it where something is drawn on the right already."""
    width, height = _size(column, gap)
    left, top, right, bottom = field.page
    drawn = [curve.bounds() for curve in scene.occupied]
    near, far = right, right + width + 3 * gap
    if any(box[2] > near and box[0] < far and box[1] < top + height + gap and box[3] > top for box in drawn):
        lowest = max([bottom, *(box[3] for box in drawn)])
        return complex(left + gap, lowest + 2 * gap), "below the page"
    return complex(right + 2 * gap, top + gap), "to the right of the page"
