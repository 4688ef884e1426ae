"""Minis on pages: side by side where they fit, on the paper turned where that helps, else tiled like the true size.

The pages of a tiled mini are cut, named, marked and joined by the code that does it for the true-size pages; on each
of them stands the mini's own scale bar beneath.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from svgfit.geometry.bezier import Complex
from svgfit.geometry.box import Box
from svgfit.geometry.curve import Curve
from svgfit.model.length import MM_PER_INCH, Units
from svgfit.model.refusal import Refusal
from svgfit.render.pdf.frames import MARK, MARKS_AT, Frame, frame
from svgfit.render.pdf.inking import Inking, ink_of
from svgfit.render.pdf.joining import FullDrawing, join
from svgfit.render.pdf.lesson import Lesson, shown_run
from svgfit.render.pdf.mini import Mini, MiniPiece, ScaleBar, mini_picture, mini_size, minis_of, scale_bar
from svgfit.render.pdf.overview import PageMap, page_map, spoken
from svgfit.render.pdf.papers import Paper
from svgfit.render.pdf.pen import Pen, pens_of
from svgfit.render.pdf.picture import Drawn, Image, Picture
from svgfit.render.pdf.tiling import PrintArea, Tiling, print_areas, tile
from svgfit.render.pdf.typesetting import FullSize, typeset
from svgfit.render.text_metrics import text_width
from svgfit.rules.lettering import HANDOUT_PLAIN, PICTURE_ON_PAPER
from svgfit.rules.paper import MARGIN, OVERLAP

Size = tuple[float, float]
"""Width and height, mm."""
_AIRS: tuple[Size, ...] = ((26.0, 12.0), (14.0, 8.0), (5.0, 5.0))
"""Round a piece for its words, across and down, mm: the most that the paper has room for."""
_TITLE = 14.0
"""Height of a piece's name and of what is told under it, mm."""
_LINE = 4.0
"""From line to line of the heading, and of words under the bar, mm."""
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


class Room(Struct, frozen=True):
    """What a page of minis keeps free, mm."""

    margin: float = MARGIN
    between: float = 3.0
    """Between two minis abreast."""
    under: float = 4.6
    """From a tile down to its scale bar: between them stands where to trim."""


_ROOM = Room()


class Cell(Struct, frozen=True):
    """A mini on a page with others, or a small map of the pages that show a larger one."""

    title: str
    words: str
    picture: Image | None = None
    map: PageMap | None = None


class Group(Struct, frozen=True):
    """The minis of one size of paper; lengths in mm."""

    paper: Size
    head: float
    """Room for the heading."""
    foot: float
    """Room for the bar."""
    cells: tuple[Cell, ...]


class MiniPages(Struct, frozen=True):
    """All that ``templates/minis.typ`` sets; lengths in mm."""

    scale: str
    title: str
    """The drawings' names."""
    heading: str
    """What is said over the minis of every page."""
    bar: ScaleBar
    groups: tuple[Group, ...]
    maps: tuple[Cell, ...]
    pens: tuple[Pen, ...]
    frames: tuple[Frame, ...]
    room: Room = _ROOM


class _Tiled(Struct, frozen=True):
    """A mini on pages of its own."""

    one: MiniPiece
    picture: Picture
    drawn: Drawn
    tiling: Tiling


def mini_pages(lesson: Lesson, paper: Size, mini: Mini, laid: Laid | None = None) -> bytes:
    """Make the minis as a PDF on paper of (width, height) mm: the pieces that changed, or all where none did.

    Raises Refusal where the paper has no room within its margins, or a mini takes more pages than are wanted.
    """
    how, units, bar = laid or Laid(), lesson.units, scale_bar(mini, lesson.units)
    papers = [paper] if how.orientation or paper[0] == paper[1] else [paper, (paper[1], paper[0])]
    cells: dict[Size, list[Cell]] = {size: [] for size in papers}
    tiled: list[_Tiled] = []
    used: set[str | Pen] = set()
    for one in minis_of(lesson, shown_run(lesson)):
        fit = _fitting(one, papers, mini, bar)
        if fit is None:
            tiled.append(_tile(one, units, mini, paper, how))
            used.update(tiled[-1].picture.used)
        else:
            image = mini_picture(one, units, mini, fit[1]).shown()
            cells[fit[0]].append(Cell(one.title, one.purpose, image))
            used.update(image.used)
    count = sum(len(each.tiling.tiles) for each in tiled)
    if how.most is not None and count > how.most:
        todo = "take a smaller --mini, choose with --pieces, take a larger --paper, or give --many"
        raise Refusal(lesson.title, f"the minis {mini.text} would take {count} pages", todo)
    sizes = [size for size in papers if cells[size]] or [paper]
    pages = MiniPages(
        mini.text,
        lesson.title,
        _heading(mini),
        bar,
        tuple(Group(size, _head(mini, size), _foot(bar, size), tuple(cells[size])) for size in sizes),
        tuple(map(_map, tiled)),
        pens_of(used),
        tuple(
            frame(each.tiling, page, f"{each.one.title} at {mini.text}", units)
            for each in tiled
            for page in each.tiling.tiles
        ),
    )
    made = typeset("minis", pages)
    return join(made, [_full_drawing(each) for each in tiled]) if tiled else made


def _heading(mini: Mini) -> str:
    return (
        f"Drawn at {mini.text}, to practise on and not to cut cloth by. Every figure is that of the full size; check "
        "the bar at the foot. After a piece to do a step on comes the piece as it is then, to compare with."
    )


def _lines_high(words: str, size: float, across: float) -> float:
    """Reckon the height of words of a size on lines so wide, mm."""
    return _LINE * math.ceil(text_width(words, size) / across)


def _head(mini: Mini, paper: Size) -> float:
    return 11.0 + _lines_high(_heading(mini), HANDOUT_PLAIN * MM_PER_INCH / 72, paper[0] - 2 * MARGIN)


def _bar_height(bar: ScaleBar, across: float) -> float:
    """Reckon the height of the scale bar with its words beneath."""
    return 6.0 + _lines_high(bar.words, PICTURE_ON_PAPER, across)


def _foot(bar: ScaleBar, paper: Size) -> float:
    return _bar_height(bar, paper[0] - 2 * MARGIN) + 4.0


def _fitting(one: MiniPiece, papers: Sequence[Size], mini: Mini, bar: ScaleBar) -> tuple[Size, Size] | None:
    """Find the first paper on which the mini fits, and the most air round it that has room for two abreast."""
    across, down = mini_size(one, mini)
    for size in papers:
        wide, high = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - _head(mini, size) - _foot(bar, size) - _TITLE
        airs = [air for air in _AIRS if across + 2 * air[0] <= wide and down + 2 * air[1] <= high]
        abreast = [air for air in airs[:-1] if 2 * (across + 2 * air[0]) + _ROOM.between <= wide]
        if airs:
            return size, (abreast or airs)[0]
    return None


def _map(each: _Tiled) -> Cell:
    outline = Curve(each.one.new.outline().transform(each.picture.view).segments + each.drawn.shift)
    count = len(each.tiling.tiles)
    words = f"{each.one.purpose} {count} page{'s' * (count != 1)}: {spoken(each.tiling.tiles)}".strip()
    return Cell(each.one.title, words, map=page_map(each.tiling, [outline], _MAP_LINE))


def _full_drawing(each: _Tiled) -> FullDrawing:
    drawn = each.drawn
    full = typeset("drawing", FullSize(drawn.width, drawn.height), {"page.svg": drawn.svg.encode()})
    return FullDrawing(full, 0.0, 0.0, each.tiling.area, each.tiling.tiles)


# -- on several pages ------------------------------------------------------------------------------------------------


def _tile(one: MiniPiece, units: Units, mini: Mini, paper: Size, how: Laid) -> _Tiled:
    """Tile the mini with the most air that takes no page more than with the least."""
    bar = _bar_height(scale_bar(mini, units), min(paper) - 2 * how.margin)
    foot = max(0.0, _ROOM.under + bar - how.margin + 4.0)
    ways = print_areas(Paper("", *paper), how.orientation, how.margin, how.overlap, foot)
    tried = [_with_air(one, mini_picture(one, units, mini, air), ways) for air in _AIRS]
    return min(tried, key=lambda found: len(found.tiling.tiles))


def _with_air(one: MiniPiece, picture: Picture, ways: tuple[PrintArea, ...]) -> _Tiled:
    """Tile the mini, its words where no page ends: they are placed anew once it is known where that is."""
    drawn = picture.drawn()
    tiling = _tiling(one, picture, drawn, ways)
    for _ in range(_TRIES):
        drawn = replace(picture, lines=(*picture.lines, *_seams(tiling, drawn.shift))).drawn()
        before, tiling = tiling, _tiling(one, picture, drawn, ways)
        if _corner(tiling, drawn.shift) == _corner(before, drawn.shift):
            break
    return _Tiled(one, picture, drawn, tiling)


def _tiling(one: MiniPiece, picture: Picture, drawn: Drawn, ways: tuple[PrintArea, ...]) -> Tiling:
    lines = [line + drawn.shift for line in picture.lines if bool((line != line[0]).any())]
    curves = tuple(Curve.polyline(line.tolist()) for line in lines)
    boxes = [_shifted(box, drawn.shift) for box in drawn.words]
    ink = ink_of([Inking(curves, 0.5, stroked=True, filled=False)], boxes)
    if ink is None:
        raise Refusal(one.new.where, "there is nothing to draw of it as a mini", "choose others by --pieces")
    return tile(ink, ways)


def _corner(tiling: Tiling, shift: complex) -> tuple[int, int, float, float]:
    at = complex(tiling.left, tiling.top) - shift
    return tiling.rows, tiling.columns, round(at.real), round(at.imag)


def _seams(tiling: Tiling, shift: complex) -> Iterable[Complex]:
    """Find where pages end, and the edge marks there, for words to keep off: before the picture was shifted."""
    area = tiling.area
    for one in tiling.tiles:
        corner = complex(one.left, one.top) - shift
        if tiling.at(one.row, one.column + 1) is not None:
            yield from _seam(corner + one.width, 1j * one.height, area.overlap)
        if tiling.at(one.row + 1, one.column) is not None:
            yield from _seam(corner + 1j * one.height, complex(one.width), area.overlap)


def _seam(start: complex, way: complex, overlap: float) -> Iterable[Complex]:
    back = overlap * (-1.0 if way.imag else -1j)
    yield np.array([start, start + way], np.complex128)
    yield np.array([start + back, start + back + way], np.complex128)
    diamond = MARK * np.array([1, -1j, -1, 1j, 1], np.complex128)
    yield from (start + part * way + diamond for part in MARKS_AT)


def _shifted(box: Box, by: complex) -> Box:
    return box[0] + by.real, box[1] + by.imag, box[2] + by.real, box[3] + by.imag
