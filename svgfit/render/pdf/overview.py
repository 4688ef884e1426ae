"""The overview: which page shows what of the drawing, how the pages are joined, and which of them a piece needs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from svgfit.geometry.box import Box, boxes_overlap
from svgfit.geometry.curve import Curve
from svgfit.model.length import format_length
from svgfit.render.pdf import marks
from svgfit.render.pdf.choosing import Chosen, SizeLine
from svgfit.render.pdf.tiling import Tile, Tiling, row_name
from svgfit.render.pdf.typesetting import millimetres, quoted
from svgfit.svg.export.ink_extent import Dash
from svgfit.svg.markup import line_data

_SAMPLE = 24.0
"""Length of a sample of a size's line, mm."""
_LEAST, _MOST = 0.2, 0.8
"""A sample's weight is within these, mm."""
_HEADER = 6.0
"""Room for the names of rows and columns beside the map, mm."""
_WORDS = 62.0
"""Room for the words beneath the map, mm."""
_LARGEST = 260.0
"""The map is no larger than this, mm, however large the paper."""

JOINING = (
    "To join them: trim the right edge and the lower edge of every page that has a neighbour there, along the line. "
    "Lay it on the neighbour up to the dashed line, so that the halves of the edge marks make whole diamonds. Tape "
    "each row first, then row to row."
)


def overview(tiling: Tiling, chosen: Chosen, title: str, unit: str, picture: str, warned: str = "") -> str:
    """The markup of the page; ``picture`` is the name of the file that ``map_picture`` made.

    ``warned`` is told first and bold, such as that a check failed.
    """
    layout = tiling.layout
    wide, high = layout.paper.width - 2 * layout.margin, layout.paper.height - 2 * layout.margin
    room = min(wide, _LARGEST), min(max(high - _WORDS, high / 3), _LARGEST) + _HEADER
    name = marks.shortened(f"{title}: the pages", wide, 13, bold=True)
    parts = [
        marks.page(layout.paper.width, layout.paper.height, layout.margin),
        f'#text(size: 13pt, weight: "bold", {quoted(name)})\n\n',
        page_map(tiling, room, picture),
        f"#set text(size: {marks.PLAIN:g}pt)\n",
        f"*#{quoted(f'{warned}: see the first page.')}*\n\n" if warned else "",
        *(f"#{quoted(line)}\n\n" for line in _told(tiling, unit)),
        _pages_of(tiling, chosen),
        f"\n\n{key_markup(chosen.key)}" if chosen.key else "",
    ]
    return "".join(parts)


def page_map(tiling: Tiling, room: tuple[float, float], picture: str) -> str:
    """A block of markup: the pages' frames over ``picture`` (of ``map_picture``), as large as room (mm) for it is."""
    across, down = extent(tiling)
    scale = min((room[0] - _HEADER) / across, (room[1] - _HEADER) / down)
    return (
        f"#block(width: {millimetres(_HEADER + across * scale)}, height: {millimetres(_HEADER + down * scale)})[\n"
        + marks.at(_HEADER, _HEADER, f"image({quoted(picture)}, width: {millimetres(across * scale)})")
        + "".join(_grid(tiling, scale))
        + "]\n"
    )


def extent(tiling: Tiling) -> tuple[float, float]:
    """Width and height of all that the pages show, mm."""
    layout = tiling.layout
    across = layout.width + (tiling.columns - 1) * (layout.width - layout.overlap)
    return across, layout.height + (tiling.rows - 1) * (layout.height - layout.overlap)


def map_picture(tiling: Tiling, outlines: Sequence[Curve], weight: float = 0.35) -> bytes:
    """The outlines small, as an SVG of the size of ``extent``; ``weight`` in mm on a map of 180 mm."""
    across, down = extent(tiling)
    near = max(across, down) / 1000
    data = line_data(*(points for curve in outlines if len(points := _thinned(curve, near)) > 1)).text
    stroke = weight * max(across / 180, down / 250)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{tiling.left:.3f} {tiling.top:.3f} {across:.3f} {down:.3f}">'
        f'<path d="{data}" fill="none" stroke="#000" stroke-width="{stroke:.3f}" stroke-linejoin="round"/></svg>'
    ).encode()


def _thinned(curve: Curve, near: float) -> list[complex]:
    """Points along a curve, those nearer to the last than ``near`` left out."""
    steps = 32 if len(curve) < 100 else 4
    points = curve.points(np.linspace(0, len(curve), steps * len(curve) + 1)).tolist()
    found: list[complex] = points[:1]
    for at in points[1:-1]:
        if abs(at - found[-1]) > near:
            found.append(at)
    return [*found, points[-1]]


def _grid(tiling: Tiling, scale: float) -> Iterable[str]:
    """Frames of the pages, halfway through their overlaps, crossed out where none is printed; rows, columns named."""
    columns, rows = _cuts(tiling.columns, tiling.layout.width, tiling), _cuts(tiling.rows, tiling.layout.height, tiling)
    x = [_HEADER + at * scale for at in columns]
    y = [_HEADER + at * scale for at in rows]
    printed = {(tile.row, tile.column) for tile in tiling.tiles}
    for row in range(tiling.rows):
        for column in range(tiling.columns):
            if (row, column) not in printed:
                for start, end in (((0, 0), (1, 1)), ((0, 1), (1, 0))):
                    ends = [(x[column + at[0]], y[row + at[1]]) for at in (start, end)]
                    yield marks.line(ends[0], ends[1], marks.THIN, colour=marks.GREY)
    for at in x:
        yield marks.line((at, y[0]), (at, y[-1]), marks.MEDIUM, colour=marks.GREY)
    for at in y:
        yield marks.line((x[0], at), (x[-1], at), marks.MEDIUM, colour=marks.GREY)
    height = marks.PLAIN * marks.CAPITALS * marks.POINT
    for column in _named(tiling.columns, x, marks.width_of(str(tiling.columns), marks.PLAIN, bold=True) + 1.5):
        middle = (x[column] + x[column + 1]) / 2
        yield marks.words(middle, _HEADER - 1.5 - height, str(column + 1), marks.PLAIN, bold=True, anchor="middle")
    for row in _named(tiling.rows, y, height + 1.5):
        middle = (y[row] + y[row + 1]) / 2
        yield marks.words(_HEADER - 1.5, middle - height / 2, row_name(row), marks.PLAIN, bold=True, anchor="end")


def _cuts(count: int, shown: float, tiling: Tiling) -> list[float]:
    overlap = tiling.layout.overlap
    between = [number * (shown - overlap) + overlap / 2 for number in range(1, count)]
    return [0.0, *between, shown + (count - 1) * (shown - overlap)]


def _named(count: int, cuts: Sequence[float], room: float) -> range:
    """Which rows or columns are named: all, or every so many where they are narrow."""
    narrow = min(after - before for before, after in pairwise(cuts))
    return range(0, count, max(1, int(-(-room // narrow))))


def _told(tiling: Tiling, unit: str) -> Iterable[str]:
    layout = tiling.layout
    count = len(tiling.tiles)
    blank = f" {tiling.blank} with nothing on them are left out and crossed out here." if tiling.blank > 1 else ""
    blank = " One with nothing on it is left out and crossed out here." if tiling.blank == 1 else blank
    yield f"{count} pages, named by row and column: B3 is the third of the second row.{blank}"
    size = f"{_short(layout.width, unit)} x {_short(layout.height, unit)}"
    yield f"Each shows {size}, of which {_short(layout.overlap, unit)} are on its neighbour too. {JOINING}"


def _short(mm: float, unit: str) -> str:
    return format_length(mm, unit, decimal=False)


def _pages_of(tiling: Tiling, chosen: Chosen) -> str:
    """Which pages each piece is on: for one who needs that piece alone."""
    if not chosen.pieces:
        return ""
    lines: list[str] = []
    for name, box in chosen.pieces:
        pages = [tile for tile in tiling.tiles if _meets(tile, box)]
        lines.append(f"*#{quoted(name)}*: #{quoted(spoken(pages))}")
    return " \\\n".join(lines) + "\n"


def _meets(tile: Tile, box: Box) -> bool:
    return boxes_overlap((tile.left, tile.top, tile.left + tile.width, tile.top + tile.height), box)


def spoken(pages: Sequence[Tile]) -> str:
    """Pages by rows: ``A1 to A3, B1, B2``."""
    parts: list[str] = []
    for row in dict.fromkeys(page.row for page in pages):
        columns = [page.column for page in pages if page.row == row]
        name = row_name(row)
        if len(columns) > 2 and columns[-1] - columns[0] == len(columns) - 1:
            parts.append(f"{name}{columns[0] + 1} to {name}{columns[-1] + 1}")
        else:
            parts += [f"{name}{column + 1}" for column in columns]
    return ", ".join(parts)


def key_markup(key: Sequence[SizeLine]) -> str:
    """A line of samples, each with its size; "" for none."""
    return "".join(f"{_sample(line.dash)} #{quoted(f'size {line.size}')} #h(5mm, weak: true)\n" for line in key)


def _sample(told: Dash) -> str:
    weight = millimetres(min(max(told.width, _LEAST), _MOST))
    dashes = ", ".join(millimetres(part) for part in told.lengths)
    pattern = f', dash: ({dashes},), cap: "butt"' if dashes else ""
    drawn = f"line(length: {millimetres(_SAMPLE)}, stroke: (paint: black, thickness: {weight}{pattern}))"
    return f"#box(width: {millimetres(_SAMPLE)}, height: 0.73em, align(horizon, {drawn}))"
