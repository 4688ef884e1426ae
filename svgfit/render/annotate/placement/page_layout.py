"""Where tables and legend stand: in blank parts of the page, in as few groups as can be, smaller where room is short.

Where the page has no room for all, inside the piece that they speak of; last beside the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations, pairwise

from msgspec import Struct

from svgfit.geometry.box import Box
from svgfit.render.annotate.block import Block, draw
from svgfit.render.annotate.ink import Ink
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.placement.free_space import blank_page, inside_of
from svgfit.render.annotate.placement.occupancy import Field
from svgfit.render.annotate.scene import Scene
from svgfit.render.annotate.tables import all_blocks
from svgfit.rules.lettering import SMALLEST_IN_DRAWING, TABLE_SHRINKS

Group = tuple[Block, ...]
Size = tuple[float, float]
Known = dict[tuple[int, ...], tuple[complex | None, Field]]
"""Where a split's groups so far end up, by their counts of blocks, and what is free then."""
Full = dict[tuple[int, ...], list[Size]]
"""For which sizes there was no room behind so many groups, () for none: there is none for larger ones then, nor behind
further groups."""
_GAP, _MARGIN = 2.2, 2.0
"""Between blocks, and from the page's edge, in font sizes."""


class Arrangement(Struct, frozen=True):
    """Groups and the corners where they begin; blocks for which there is no room."""

    groups: tuple[Group, ...] = ()
    corners: tuple[complex, ...] = ()
    outside: Group = ()

    def with_block(self, block: Block, corner: complex) -> Arrangement:
        """Add one more block on its own."""
        return Arrangement((*self.groups, (block,)), (*self.corners, corner), self.outside)


class Room(Struct, frozen=True):
    """What is free: on the page, and inside pieces by their titles."""

    page: Field
    insides: Mapping[str, Field]


def place_blocks(
    scene: Scene, field: Field, used: Sequence[str], style: PageStyle
) -> tuple[list[Ink], tuple[str, ...]]:
    """Draw the blocks; give a warning that names those outside the page and on which side they stand."""
    coarse = field.coarse()
    page = blank_page(scene, coarse, style.size)
    styles = [style.with_size(size) for size in _sizes(style.size)]
    wide: list[Group] = []
    for each in styles:
        wide.append(all_blocks(scene, used, each))
        found = _in_columns(page, wide[-1])
        if found is not None:
            return _drawn(found, style.scale), ()
    narrow = [all_blocks(scene, used, each, narrow=True) for each in styles]
    found = _scattered(scene, coarse, page, wide, narrow)
    if not found.outside:
        return _drawn(found, style.scale), ()
    gap = found.outside[0].size * _GAP
    origin, side = _next_to_page(found.outside, scene, page, gap)
    ink = _drawn(Arrangement((*found.groups, found.outside), (*found.corners, origin)), style.scale)
    return ink, (f"{scene.canvas.file}: the page has no free space for {_named(found, len(wide[0]))} {side}",)


def _named(found: Arrangement, count: int) -> str:
    if len(found.outside) == count:
        return "the tables and the legend: they stand"
    names = ", ".join(f'"{block.title}"' for block in found.outside)
    return f"{names}: {'it stands' if len(found.outside) == 1 else 'they stand'}"


def _sizes(size: float) -> list[float]:
    least = SMALLEST_IN_DRAWING if size > SMALLEST_IN_DRAWING else 0.0
    return list(dict.fromkeys(round(max(size * factor, least), 3) for factor in TABLE_SHRINKS))


def _in_columns(page: Field, every: Group) -> Arrangement | None:
    """Set columns side by side, few first; else a few groups wherever there is room. Blocks keep their order."""
    gap, margin = every[0].size * _GAP, every[0].size * _MARGIN
    if any(_corner(page, (block,), gap, margin) is None for block in every):
        return None
    bands = [(groups, *_band(groups, gap)) for groups in _splits(every)]
    full: Full = {}
    for groups, width, height in sorted(bands, key=lambda band: (len(band[0]), band[2])):
        if _fits_nowhere((width, height), (), full):
            continue
        corner = page.find_room(width + gap, height + gap, margin)
        if corner is not None:
            return Arrangement(groups, tuple(_side_by_side(groups, corner + complex(gap, gap) / 2, gap)))
        full.setdefault((), []).append((width, height))
    known: Known = {}
    for groups, _, _ in bands:
        corners = _all_corners(page, groups, gap, margin, known, full)
        if corners is not None:
            return Arrangement(groups, tuple(corners))
    return None


def _scattered(scene: Scene, coarse: Field, page: Field, wide: Sequence[Group], narrow: Sequence[Group]) -> Arrangement:
    """Place each block on its own, narrower if it must be: on the page, else inside its piece, else nowhere.

    What may stand inside a piece and what may not take their turn in both orders; the larger writing is preferred.
    """
    tried: list[Arrangement] = []
    changed = [new for new, old in zip(scene.after, scene.before, strict=True) if new is not old]
    insides: dict[str, Field] = {}
    for inside in (False, True):
        if inside:
            insides = {piece.title: inside_of(piece, coarse) for piece in changed}
        for blocks, narrower in zip(wide, narrow, strict=True):
            pairs = list(zip(blocks, narrower, strict=True))
            for order in (pairs, sorted(pairs, key=lambda pair: bool(pair[0].inside))):
                tried.append(_one_by_one(Room(page, insides), order, whole=bool(changed) and not inside))
                if not tried[-1].outside:
                    return tried[-1]
    return min(tried, key=lambda arranged: sum(10 if block.inside else 1 for block in arranged.outside))


def _one_by_one(room: Room, order: Sequence[tuple[Block, Block]], *, whole: bool) -> Arrangement:
    """Find a place for each block; with ``whole``, give up (all outside) as soon as one has none."""
    arranged = Arrangement()
    page, insides = room.page, dict(room.insides)
    for pair in order:
        gap, margin = pair[0].size * _GAP, pair[0].size * _MARGIN
        fields = {"": page, **{title: insides[title] for title in pair[0].inside if title in insides}}
        tries = (
            (title, block, _corner(field, (block,), gap, margin)) for title, field in fields.items() for block in pair
        )
        place = next(((title, block, corner) for title, block, corner in tries if corner is not None), None)
        if place is None and whole:
            return Arrangement(outside=tuple(block for block, _ in order))
        if place is None:
            arranged = Arrangement(arranged.groups, arranged.corners, (*arranged.outside, pair[0]))
            continue
        title, block, corner = place
        arranged = arranged.with_block(block, corner)
        after = fields[title].filled(_box((block,), corner, gap))
        if title:
            insides[title] = after
        else:
            page = after
    return arranged


def _splits(every: Group) -> Iterable[tuple[Group, ...]]:
    """Cut the row of blocks into groups in every way, few groups first."""
    for parts in range(1, min(len(every), 4) + 1):
        for cuts in combinations(range(1, len(every)), parts - 1):
            ends = (0, *cuts, len(every))
            yield tuple(every[a:b] for a, b in pairwise(ends))


def _fits_nowhere(size: Size, before: tuple[int, ...], full: Full) -> bool:
    """Return whether something no larger found no room, behind these groups or fewer of them."""
    sizes = (tried for n in range(len(before) + 1) for tried in full.get(before[:n], ()))
    return any(size[0] >= width and size[1] >= height for width, height in sizes)


def _band(groups: Sequence[Group], gap: float) -> Size:
    """Measure width and height of columns side by side."""
    sizes = [_size(group, gap) for group in groups]
    return sum(width for width, _ in sizes) + 2 * gap * (len(sizes) - 1), max(height for _, height in sizes)


def _side_by_side(groups: Sequence[Group], corner: complex, gap: float) -> list[complex]:
    corners: list[complex] = []
    for group in groups:
        corners.append(corner)
        corner += _size(group, gap)[0] + 2 * gap
    return corners


def _size(group: Group, gap: float) -> Size:
    return max(block.width for block in group), sum(block.height + gap for block in group) - gap


def _corner(field: Field, group: Group, gap: float, margin: float) -> complex | None:
    """Find where the group's first block begins."""
    width, height = _size(group, gap)
    corner = field.find_room(width + gap, height + gap, margin)
    return None if corner is None else corner + complex(gap, gap) / 2


def _box(group: Group, corner: complex, gap: float) -> Box:
    width, height = _size(group, gap)
    return corner.real, corner.imag, corner.real + width, corner.imag + height


def _all_corners(
    page: Field, groups: Sequence[Group], gap: float, margin: float, known: Known, full: Full
) -> list[complex] | None:
    """Find a corner for each group in turn; ``known`` and ``full`` hold what was found for other splits."""
    if any(_fits_nowhere(_size(group, gap), (), full) for group in groups):
        return None
    found: list[complex] = []
    field = page
    counts = tuple(map(len, groups))
    for n, group in enumerate(groups):
        key, size = counts[: n + 1], _size(group, gap)
        if key not in known:
            corner = None if _fits_nowhere(size, counts[:n], full) else _corner(field, group, gap, margin)
            if corner is None:
                full.setdefault(counts[:n], []).append(size)
            known[key] = (corner, field if corner is None else field.filled(_box(group, corner, gap)))
        corner, field = known[key]
        if corner is None:
            return None
        found.append(corner)
    return found


def _drawn(arranged: Arrangement, scale: float) -> list[Ink]:
    ink: list[Ink] = []
    for group, corner in zip(arranged.groups, arranged.corners, strict=True):
        gap, y = group[0].size * _GAP, 0.0
        for block in group:
            ink.extend(draw(block, corner + 1j * y, _size(group, gap)[0], scale))
            y += block.height + gap
    return ink


def _next_to_page(column: Group, scene: Scene, field: Field, gap: float) -> tuple[complex, str]:
    """Find a place to the right of the page; below it where something is drawn on the right already."""
    width, height = _size(column, gap)
    left, top, right, bottom = field.page
    drawn = [curve.bounds() for curve in scene.occupied]
    near, far = right, right + width + 3 * gap
    if any(box[2] > near and box[0] < far and box[1] < top + height + gap and box[3] > top for box in drawn):
        lowest = max([bottom, *(box[3] for box in drawn)])
        return complex(left + gap, lowest + 2 * gap), "below the page"
    return complex(right + 2 * gap, top + gap), "to the right of the page"
