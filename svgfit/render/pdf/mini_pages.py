"""Minis on pages: side by side where they fit, on the paper turned where that helps, else tiled like the true size.

The pages of a tiled mini are cut, named, marked and joined by the code that does it for the true-size pages; on each
of them stands the mini's own scale bar beneath.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Complex
from svgfit.geometry.curve import Curve
from svgfit.model.length import Units
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.frames import MARK, MARKS_AT, Frame, frame
from svgfit.render.pdf.inking import Drawn as Inking
from svgfit.render.pdf.inking import ink_of
from svgfit.render.pdf.joining import Sheet, join
from svgfit.render.pdf.legend import Sample, legend
from svgfit.render.pdf.lesson import Lesson, shown_run
from svgfit.render.pdf.mini import Mini, MiniPiece, mini_picture, mini_size, minis_of, scale_bar
from svgfit.render.pdf.overview import PageMap, page_map, spoken
from svgfit.render.pdf.papers import Paper
from svgfit.render.pdf.picture import Drawn, Image, Picture
from svgfit.render.pdf.tiling import Layout, Tiling, layouts, tile
from svgfit.render.pdf.typesetting import FullSize, typeset
from svgfit.rules.paper import MARGIN, OVERLAP

_HEAD, _FOOT = 19.0, 14.0
"""Heights of the heading and of the scale bar, mm."""
_AIRS = ((26.0, 12.0), (14.0, 8.0), (5.0, 5.0))
"""Round a piece for its words, across and down, mm: the most that the paper has room for."""
_TITLE = 14.0
"""Height of a piece's name and of what is told under it, mm."""
_BETWEEN = 3.0
"""Between two minis abreast, mm, as in the template."""
_UNDER = 4.6
"""From a tile down to its scale bar, mm: between them stands where to trim."""
_MAP_LINE = 0.9
"""Weight of a line on it, as for a map of 180 mm."""
_TRIES = 3
"""So often words are placed anew until pages end where they are expected to."""


class Laid(Struct, frozen=True):
    """How the pages are laid out."""

    orientation: str | None = None
    """``portrait`` or ``landscape``; None: as given, and turned where a mini fits only so."""
    margin: float = MARGIN
    overlap: float = OVERLAP
    most: int | None = None
    """More pages for tiled minis than this are refused."""


class _Tiled(Struct, frozen=True):
    """A mini on pages of its own."""

    title: str
    told: str
    drawn: Drawn
    tiling: Tiling
    outline: Curve
    """On paper."""


def mini_pages(lesson: Lesson, paper: tuple[float, float], mini: Mini, laid: Laid | None = None) -> bytes:
    """Make the minis as a PDF on paper of (width, height) mm: the pieces that changed, or all where none did.

    Raises Refusal where the paper has no room within its margins, or a mini takes more pages than are wanted.
    """
    how = laid or Laid()
    used: list[str] = []
    turned = (paper[1], paper[0])
    papers = [paper] if how.orientation or paper == turned else [paper, turned]
    cells: dict[tuple[float, float], list[Cell]] = {size: [] for size in papers}
    tiled: list[_Tiled] = []
    for one in minis_of(lesson, shown_run(lesson)):
        fit = _fitting(one, papers, mini)
        if fit is None:
            picture, made = _tile(one, lesson.units, mini, paper, how)
            tiled.append(made)
        else:
            size, air = fit
            picture = mini_picture(one, lesson.units, mini, air)
            cells[size].append(Cell(one.title, one.told, picture.drawn().shown()))
        used += picture.used
    count = sum(len(one.tiling.tiles) for one in tiled)
    if how.most is not None and count > how.most:
        todo = "take a smaller --mini, choose with --pieces, take a larger --paper, or give --many"
        raise Refusal(lesson.title, f"the minis {mini.text} would take {count} pages", todo)
    sizes = [size for size in papers if cells[size]] or [paper]
    groups = [_group(size, cells[size], mini, lesson.units) for size in sizes]
    pages = MiniPages(
        mini.text,
        lesson.title,
        MARGIN,
        _HEAD,
        _UNDER,
        tuple(groups),
        tuple(map(_map, tiled)),
        legend(used),
        tuple(one for each in tiled for one in _frames(each, mini, lesson.units)),
    )
    made = typeset("minis", pages)
    return join(made, [_sheet(one) for one in tiled]) if tiled else made


def _fitting(
    one: MiniPiece, papers: Sequence[tuple[float, float]], mini: Mini
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Find the first paper on which the mini fits, and the most air round it that has room for two abreast."""
    across, down = mini_size(one, mini)
    for size in papers:
        room = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - _HEAD - _FOOT
        airs = [a for a in _AIRS if across + 2 * a[0] <= room[0] and down + 2 * a[1] + _TITLE <= room[1]]
        abreast = [air for air in airs[:-1] if 2 * (across + 2 * air[0]) + _BETWEEN <= room[0]]
        if airs:
            return size, (abreast or airs)[0]
    return None


# -- on several pages ------------------------------------------------------------------------------------------------


def _tile(one: MiniPiece, units: Units, mini: Mini, paper: tuple[float, float], how: Laid) -> tuple[Picture, _Tiled]:
    """Tile the mini with the most air that takes no page more than with the least."""
    sheet = Paper("", *paper)
    width = min(sheet.width, sheet.height) - 2 * how.margin
    foot = max(0.0, _UNDER + scale_bar(mini, units, width).height - how.margin + 4.0)
    ways = layouts(sheet, how.orientation, how.margin, how.overlap, foot)
    tried = [_with_air(one, units, mini, ways, air) for air in _AIRS]
    return min(tried, key=lambda found: len(found[1].tiling.tiles))


def _with_air(
    one: MiniPiece, units: Units, mini: Mini, ways: tuple[Layout, ...], air: tuple[float, float]
) -> tuple[Picture, _Tiled]:
    """Tile the mini, its words where no page ends: they are placed anew once it is known where that is."""
    picture = mini_picture(one, units, mini, air)
    drawn = picture.drawn()
    tiling = _tiling(picture, drawn, ways, one.new)
    for _ in range(_TRIES):
        drawn = replace(picture, lines=(*picture.lines, *_seams(tiling, drawn.shift))).drawn()
        before, tiling = tiling, _tiling(picture, drawn, ways, one.new)
        if _corner(tiling, drawn.shift) == _corner(before, drawn.shift):
            break
    outline = Curve(one.new.outline().transform(picture.view).segments + drawn.shift)
    return picture, _Tiled(one.title, one.told, drawn, tiling, outline)


def _tiling(picture: Picture, drawn: Drawn, ways: tuple[Layout, ...], piece: Piece) -> Tiling:
    curves = tuple(Curve.polyline((line + drawn.shift).tolist()) for line in picture.lines if _has_length(line))
    boxes = [_shifted(box, drawn.shift) for box in drawn.words]
    ink = ink_of([Inking(curves, 0.5, stroked=True, filled=False)], boxes)
    if ink is None:
        raise Refusal(piece.where, "there is nothing to draw of it as a mini", "choose others by --pieces")
    return tile(ink, ways)


def _corner(tiling: Tiling, shift: complex) -> tuple[int, int, float, float]:
    at = complex(tiling.left, tiling.top) - shift
    return tiling.rows, tiling.columns, round(at.real), round(at.imag)


def _seams(tiling: Tiling, shift: complex) -> Iterable[Complex]:
    """Find where pages end, and the edge marks there, for words to keep off: before the picture was shifted."""
    layout = tiling.layout
    for one in tiling.tiles:
        corner = complex(one.left, one.top) - shift
        if tiling.at(one.row, one.column + 1) is not None:
            yield from _seam(corner + one.width, 1j * one.height, layout.overlap)
        if tiling.at(one.row + 1, one.column) is not None:
            yield from _seam(corner + 1j * one.height, complex(one.width), layout.overlap)


def _seam(start: complex, way: complex, overlap: float) -> Iterable[Complex]:
    back = overlap * (-1.0 if way.imag else -1j)
    yield np.array([start, start + way], np.complex128)
    yield np.array([start + back, start + back + way], np.complex128)
    for part in MARKS_AT:
        across = MARK * way / abs(way)
        at = start + part * way
        yield np.array([at - across, at - 1j * across, at + across, at + 1j * across, at - across], np.complex128)


def _has_length(line: Complex) -> bool:
    return bool((line != line[0]).any())


def _shifted(box: tuple[float, float, float, float], by: complex) -> tuple[float, float, float, float]:
    return box[0] + by.real, box[1] + by.imag, box[2] + by.real, box[3] + by.imag


def _sheet(one: _Tiled) -> Sheet:
    drawn = one.drawn
    full = typeset("drawing", FullSize(drawn.width, drawn.height), {"page.svg": drawn.svg.encode()})
    return Sheet(full, 0.0, 0.0, one.tiling.layout, one.tiling.tiles)


# -- put together ----------------------------------------------------------------------------------------------------


class Cell(Struct, frozen=True):
    """A mini on a page with others, or a small map of the pages that show a larger one."""

    title: str
    told: str
    picture: Image | None = None
    map: PageMap | None = None


class Group(Struct, frozen=True):
    """The minis of one size of paper; lengths in mm."""

    paper: tuple[float, float]
    foot: float
    """Room for the bar."""
    bar: Image
    cells: tuple[Cell, ...]


class MiniFrame(Struct, frozen=True):
    """A page of a tiled mini, with the scale bar beneath."""

    frame: Frame
    bar: Image


class MiniPages(Struct, frozen=True):
    """All that ``templates/minis.typ`` sets; lengths in mm."""

    scale: str
    title: str
    """The drawings' names."""
    margin: float
    head: float
    under: float
    groups: tuple[Group, ...]
    maps: tuple[Cell, ...]
    legend: tuple[Sample, ...]
    frames: tuple[MiniFrame, ...]


def _group(paper: tuple[float, float], cells: Sequence[Cell], mini: Mini, units: Units) -> Group:
    bar = scale_bar(mini, units, paper[0] - 2 * MARGIN)
    return Group(paper, max(_FOOT, bar.height + 2), Image(bar.drawn().svg, bar.width), tuple(cells))


def _map(one: _Tiled) -> Cell:
    count = len(one.tiling.tiles)
    words = f"{one.told} {count} page{'s' * (count != 1)}: {spoken(one.tiling.tiles)}".strip()
    return Cell(one.title, words, map=page_map(one.tiling, [one.outline], _MAP_LINE))


def _frames(one: _Tiled, mini: Mini, units: Units) -> Iterable[MiniFrame]:
    """Frame each page of a tiled mini."""
    bar = scale_bar(mini, units, one.tiling.layout.width)
    image = Image(bar.drawn().svg, bar.width)
    for tile_ in one.tiling.tiles:
        yield MiniFrame(frame(one.tiling, tile_, f"{one.title} at {mini.text}", units), image)
