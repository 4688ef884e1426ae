"""The overview's contents: which page shows what of the drawing, and which pages a piece needs.

Where it stands is said in ``templates/overview.typ``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct

from svgfit.geometry.box import Box, boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.render.pdf.choosing import Chosen
from svgfit.render.pdf.tiling import Tile, Tiling, row_name
from svgfit.svg.markup import line_data

JOINING = (
    "To join them: trim the right edge and the lower edge of every page that has a neighbour there, along the line. "
    "Lay it on the neighbour up to the dashed line, so that the halves of the edge marks make whole diamonds. Tape "
    "each row first, then row to row."
)


class PageMap(Struct, frozen=True):
    """The pages' frames over a small picture of the drawing; lengths in mm of the drawing."""

    picture: str
    """The outlines, as ``map_picture`` drew them."""
    extent: tuple[float, float]
    columns: tuple[float, ...]
    """Where one column ends and the next begins: halfway through their overlap."""
    rows: tuple[float, ...]
    names: tuple[str, ...]
    """Of the rows."""
    blank: tuple[tuple[int, int], ...]
    """Row and column of the pages that are left out."""


class SizeSample(Struct, frozen=True):
    """How a size's line is drawn; lengths in mm."""

    size: str
    width: float
    dashes: tuple[float, ...]


class Overview(Struct, frozen=True):
    """The page; lengths in mm."""

    paper: tuple[float, float]
    margin: float
    title: str
    map: PageMap
    warned: str
    """Said first and bold, such as that a check failed."""
    told: tuple[str, ...]
    pieces: tuple[tuple[str, str], ...]
    """Titles, and the pages that show them."""
    key: tuple[SizeSample, ...]


def overview(tiling: Tiling, chosen: Chosen, title: str, units: Units, warned: str = "") -> Overview:
    """Collect what the page shows; ``warned`` is said first."""
    layout = tiling.layout
    pages = [(name, spoken([tile for tile in tiling.tiles if _meets(tile, box)])) for name, box in chosen.pieces]
    return Overview(
        (layout.paper.width, layout.paper.height),
        layout.margin,
        title,
        page_map(tiling, chosen.outlines),
        warned,
        tuple(_describe(tiling, units)),
        tuple(pages),
        tuple(SizeSample(line.size, line.dash.width, line.dash.lengths) for line in chosen.key),
    )


def page_map(tiling: Tiling, outlines: Sequence[Curve], weight: float = 0.35) -> PageMap:
    """Lay the pages' frames over a picture of the outlines; ``weight`` as in ``map_picture``."""
    printed = {(tile.row, tile.column) for tile in tiling.tiles}
    every = [(row, column) for row in range(tiling.rows) for column in range(tiling.columns)]
    return PageMap(
        map_picture(tiling, outlines, weight),
        extent(tiling),
        _cuts(tiling.columns, tiling.layout.width, tiling.layout.overlap),
        _cuts(tiling.rows, tiling.layout.height, tiling.layout.overlap),
        tuple(map(row_name, range(tiling.rows))),
        tuple(place for place in every if place not in printed),
    )


def extent(tiling: Tiling) -> tuple[float, float]:
    """Width and height of all that the pages show, mm."""
    layout = tiling.layout
    across = layout.width + (tiling.columns - 1) * (layout.width - layout.overlap)
    return across, layout.height + (tiling.rows - 1) * (layout.height - layout.overlap)


def map_picture(tiling: Tiling, outlines: Sequence[Curve], weight: float = 0.35) -> str:
    """Draw the outlines small, as an SVG of the size of ``extent``; ``weight`` in mm on a map of 180 mm."""
    across, down = extent(tiling)
    near = max(across, down) / 1000
    data = line_data(*(points for curve in outlines if len(points := _thinned(curve, near)) > 1)).text
    stroke = weight * max(across / 180, down / 250)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{tiling.left:.3f} {tiling.top:.3f} {across:.3f} {down:.3f}">'
        f'<path d="{data}" fill="none" stroke="#000" stroke-width="{stroke:.3f}" stroke-linejoin="round"/></svg>'
    )


def _thinned(curve: Curve, near: float) -> list[complex]:
    """Sample points along a curve, leaving out those nearer to the last than ``near``."""
    steps = 32 if len(curve) < 100 else 4
    points = curve.points(np.linspace(0, len(curve), steps * len(curve) + 1)).tolist()
    found: list[complex] = points[:1]
    for at in points[1:-1]:
        if abs(at - found[-1]) > near:
            found.append(at)
    return [*found, points[-1]]


def _cuts(count: int, shown: float, overlap: float) -> tuple[float, ...]:
    between = [number * (shown - overlap) + overlap / 2 for number in range(1, count)]
    return (0.0, *between, shown + (count - 1) * (shown - overlap))


def _describe(tiling: Tiling, units: Units) -> Iterable[str]:
    layout = tiling.layout
    count = len(tiling.tiles)
    blank = f" {tiling.blank} with nothing on them are left out and crossed out here." if tiling.blank > 1 else ""
    blank = " One with nothing on it is left out and crossed out here." if tiling.blank == 1 else blank
    yield f"{count} pages, named by row and column: B3 is the third of the second row.{blank}"
    wide, high, shared = map(units.plain, (layout.width, layout.height, layout.overlap))
    yield f"Each shows {wide} x {high}, of which {shared} are on its neighbour too. {JOINING}"


def _meets(tile: Tile, box: Box) -> bool:
    return boxes_overlap((tile.left, tile.top, tile.left + tile.width, tile.top + tile.height), box)


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
