"""The overview's contents: which page shows what of the drawing, and which pages a piece needs.

Where it stands, and how pages are joined, is said in ``templates/overview.typ``.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.box import boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.render.pdf.choosing import Chosen, SizeLine
from svgfit.render.pdf.tiling import Tile, Tiling, row_name
from svgfit.svg.markup import line_data


class PageMap(Struct, frozen=True):
    """Which pages lie where over a small picture of the drawing; lengths in mm of the drawing."""

    picture: str
    """The outlines, as an SVG of all that the pages show."""
    page: tuple[float, float]
    """Width and height of what a page shows."""
    overlap: float
    rows: tuple[str, ...]
    """Their names."""
    columns: int
    printed: tuple[tuple[int, int], ...]
    """Row and column of the pages that are not left out."""


class Overview(Struct, frozen=True):
    """The page; lengths in mm."""

    paper: tuple[float, float]
    margin: float
    title: str
    map: PageMap
    lengths: tuple[str, str, str]
    """What a page shows, across and down, and what of it its neighbour shows too, as people read them."""
    warned: str
    """Said first and bold, such as that a check failed."""
    pieces: tuple[tuple[str, str], ...]
    """Titles, and the pages that show them."""
    key: tuple[SizeLine, ...]


def overview(tiling: Tiling, chosen: Chosen, title: str, units: Units, warned: str = "") -> Overview:
    """Collect what the page shows; ``warned`` is said first."""
    area = tiling.area
    pages = [
        (name, spoken([tile for tile in tiling.tiles if boxes_overlap(tile.box, box)])) for name, box in chosen.pieces
    ]
    return Overview(
        area.paper.size,
        area.margin,
        title,
        page_map(tiling, chosen.outlines),
        (units.plain(area.width), units.plain(area.height), units.plain(area.overlap)),
        warned,
        tuple(pages),
        chosen.key,
    )


def page_map(tiling: Tiling, outlines: Sequence[Curve], weight: float = 0.35) -> PageMap:
    """Lay the pages' frames over a picture of the outlines; ``weight``: of its lines, mm on a map of 180 mm."""
    area = tiling.area
    across = area.width + (tiling.columns - 1) * (area.width - area.overlap)
    down = area.height + (tiling.rows - 1) * (area.height - area.overlap)
    near = max(across, down) / 1000
    data = line_data(*(points for curve in outlines if len(points := _thinned(curve, near)) > 1)).text
    stroke = weight * max(across / 180, down / 250)
    picture = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{tiling.left:.3f} {tiling.top:.3f} {across:.3f} {down:.3f}">'
        f'<path d="{data}" fill="none" stroke="#000" stroke-width="{stroke:.3f}" stroke-linejoin="round"/></svg>'
    )
    rows = tuple(map(row_name, range(tiling.rows)))
    printed = tuple((tile.row, tile.column) for tile in tiling.tiles)
    return PageMap(picture, (area.width, area.height), area.overlap, rows, tiling.columns, printed)


def _thinned(curve: Curve, near: float) -> list[complex]:
    """Sample points along a curve, leaving out those nearer to the last than ``near``."""
    steps = 32 if len(curve) < 100 else 4
    points = curve.points(np.linspace(0, len(curve), steps * len(curve) + 1)).tolist()
    found: list[complex] = points[:1]
    for at in points[1:-1]:
        if abs(at - found[-1]) > near:
            found.append(at)
    return [*found, points[-1]]


def spoken(pages: Sequence[Tile]) -> str:
    """Spell pages by rows: ``A1 to A3, B1, B2``."""
    parts: list[str] = []
    for row in dict.fromkeys(page.row for page in pages):
        columns = [page.column for page in pages if page.row == row]
        name = row_name(row)
        if len(columns) > 2 and columns[-1] - columns[0] == len(columns) - 1:
            parts.append(f"{name}{columns[0] + 1} to {name}{columns[-1] + 1}")
        else:
            parts += [f"{name}{column + 1}" for column in columns]
    return ", ".join(parts)
