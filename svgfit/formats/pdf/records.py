"""What a page or form draws. Frame: the one that the record's holder says, y as there; lengths likewise."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.layered_svg import LineStyle, SubPath
from svgfit.formats.pdf.optional_content import Key
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, box_of_points

TELLS_WAY = 0.05
"""What is nearer to a line's end than this, mm, doesn't say which way it runs: numbers in a file are rounded."""
EVERYWHERE: Box = (-math.inf, -math.inf, math.inf, math.inf)


class Line(Struct, frozen=True):
    """A path that is stroked or filled."""

    subpaths: tuple[SubPath, ...]
    style: LineStyle
    layer: Key | None = None
    clip: Box = EVERYWHERE
    """Nothing beyond this is seen."""


class Writing(Struct, frozen=True):
    """A shown string."""

    content: str
    at: complex
    end: complex
    """Where the pen is afterwards."""
    up: complex
    """From the baseline to the top of its font's square: its length is the font's size."""
    fill: str
    layer: Key | None = None
    clip: Box = EVERYWHERE


class Placed(Struct, frozen=True):
    """A form drawn somewhere."""

    content: Content
    motion: Affine
    """From the content's frame to the holder's."""
    layer: Key | None
    clip: Box


class Content(Struct, frozen=True):
    """What a page or a form draws, in order."""

    marks: tuple[Line | Writing | Placed, ...] = ()
    pictures: int = 0
    """How many pictures of pixels it shows."""
    points: int = 0
    """How many points its lines have, all forms in it counted each time."""
    strange: int = 0
    """How many of its operators are none."""


def points_of(path: SubPath) -> list[complex]:
    """List all points of a stretch in order, control points too."""
    return [path.start, *(point for segment in path.segments for point in segment)]


def ends_of(path: SubPath) -> tuple[tuple[complex, complex], tuple[complex, complex]]:
    """Return the first and last point of a stretch, each with the unit vector along which it goes out there.

    In mm; the vector is 0 where the stretch has no length.
    """
    points = points_of(path)
    return _way_out(points), _way_out(points[::-1])


def _way_out(points: Sequence[complex]) -> tuple[complex, complex]:
    at = points[0]
    far = next((point for point in points[1:] if abs(point - at) > TELLS_WAY), points[-1])
    return at, (at - far) / (abs(at - far) or 1.0)


def moved_subpath(path: SubPath, by: Affine) -> SubPath:
    """Move a stretch of line."""
    apply = by.apply
    segments = tuple(tuple(apply(point) for point in segment) for segment in path.segments)
    return SubPath(apply(path.start), segments, path.closed)


def moved_mark(mark: Line | Writing, by: Affine, layer: Key | None, clip: Box) -> Line | Writing:
    """Move a line or writing into its holder's frame; ``layer`` where it has none, and cut off by ``clip`` too."""
    both = meet(moved_box(mark.clip, by), clip)
    layer = mark.layer if mark.layer is not None else layer
    if isinstance(mark, Writing):
        up = by.apply_vector(mark.up)
        return replace(mark, at=by.apply(mark.at), end=by.apply(mark.end), up=up, layer=layer, clip=both)
    size = by.size
    style = mark.style
    if size != 1.0:
        dash = tuple(part * size for part in style.dash)
        style = replace(style, width=style.width * size, dash=dash, offset=style.offset * size)
    return Line(tuple(moved_subpath(path, by) for path in mark.subpaths), style, layer, both)


def flattened(content: Content, by: Affine, layer: Key | None = None, clip: Box = EVERYWHERE) -> list[Line | Writing]:
    """List all lines and writings of a content and of the forms in it, moved into its holder's frame."""
    found: list[Line | Writing] = []
    for mark in content.marks:
        if isinstance(mark, Placed):
            inner = mark.layer if mark.layer is not None else layer
            own = meet(moved_box(mark.clip, by), clip)
            found += flattened(mark.content, mark.motion.then(by), inner, own)
        else:
            found.append(moved_mark(mark, by, layer, clip))
    return found


def moved_box(box: Box, by: Affine) -> Box:
    """Return the upright box around a box that is moved."""
    if box == EVERYWHERE:
        return box
    left, top, right, bottom = box
    return box_of_points(by.apply(complex(x, y)) for x in (left, right) for y in (top, bottom))


def meet(one: Box, other: Box) -> Box:
    """Return what two boxes share; its right is not above its left where they share nothing."""
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def overlap(one: Box, other: Box, slack: float = 0.0) -> bool:
    """Say whether two boxes share a point."""
    both = meet(one, other)
    return both[0] <= both[2] + slack and both[1] <= both[3] + slack


def extent(mark: Line | Writing) -> Box:
    """Return the box around all points of a line (control points too), or of a writing."""
    if isinstance(mark, Writing):
        return box_of_points((mark.at, mark.end, mark.at + mark.up, mark.end + mark.up))
    return box_of_points(point for path in mark.subpaths for point in points_of(path))
