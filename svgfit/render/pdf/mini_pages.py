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
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.render.pdf import marks
from svgfit.render.pdf.frames import MARK, MARKS_AT, frame
from svgfit.render.pdf.inking import Drawn as Inking
from svgfit.render.pdf.inking import ink_of
from svgfit.render.pdf.joining import Sheet, join
from svgfit.render.pdf.legend import legend_grid
from svgfit.render.pdf.lesson import Lesson, shown_run
from svgfit.render.pdf.mini import Mini, MiniPiece, mini_picture, mini_size, minis_of, scale_bar
from svgfit.render.pdf.overview import JOINING, map_picture, page_map, spoken
from svgfit.render.pdf.papers import Paper
from svgfit.render.pdf.picture import Drawn, Picture
from svgfit.render.pdf.tiling import Layout, Tiling, layouts, tile
from svgfit.render.pdf.typesetting import millimetres, quoted, typeset
from svgfit.rules.paper import MARGIN, OVERLAP

_MARGIN = 12.7
_HEAD, _FOOT = 19.0, 14.0
"""Heights of the heading and of the scale bar, mm."""
_AIRS = ((26.0, 12.0), (14.0, 8.0), (5.0, 5.0))
"""Round a piece for its words, across and down, mm: the most that the paper has room for."""
_TITLE = 14.0
"""Height of a piece's name and of what is told under it, mm."""
_BETWEEN = 3.0
"""Between two minis abreast, mm."""
_UNDER = 4.6
"""From a tile down to its scale bar, mm: between them stands where to trim."""
_MAP = (56.0, 76.0)
"""The largest map of a tiled mini's pages, mm."""
_MAP_WORDS = 22.0
"""Room for what is said under a map, mm."""
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


class _Whole(Struct, frozen=True):
    """A mini on a page with others."""

    title: str
    told: str
    drawn: Drawn


class _Tiled(Struct, frozen=True):
    """A mini on pages of its own."""

    title: str
    told: str
    drawn: Drawn
    tiling: Tiling
    outline: Curve
    """On paper."""


def mini_pages(lesson: Lesson, paper: tuple[float, float], mini: Mini, laid: Laid | None = None) -> bytes:
    """The minis as a PDF on paper of (width, height) mm: the pieces that changed, or all where none did.

    Raises Refusal where the paper has no room within its margins, or a mini takes more pages than are wanted.
    """
    how = laid or Laid()
    run = shown_run(lesson)
    used: list[str] = []
    turned = (paper[1], paper[0])
    papers = [paper] if how.orientation or paper == turned else [paper, turned]
    groups: dict[tuple[float, float], list[_Whole]] = {size: [] for size in papers}
    tiled: list[_Tiled] = []
    for one in minis_of(lesson, run):
        fit = _fitting(one, papers, mini)
        if fit is None:
            picture, made = _tile(one, lesson.unit, mini, paper, how)
            tiled.append(made)
        else:
            size, air = fit
            picture = mini_picture(one, lesson.unit, mini, air)
            groups[size].append(_Whole(one.title, one.told, picture.drawn()))
        used += picture.used
    pages = sum(len(one.tiling.tiles) for one in tiled)
    if how.most is not None and pages > how.most:
        todo = "take a smaller --mini, choose with --pieces, take a larger --paper, or give --many"
        raise Refusal(lesson.title, f"the minis {mini.text} would take {pages} pages", todo)
    return _put_together(lesson, mini, groups, tiled, used)


def _fitting(
    one: MiniPiece, papers: Sequence[tuple[float, float]], mini: Mini
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The first paper on which the mini fits, and the air round it there: the most that has room for two abreast."""
    across, down = mini_size(one, mini)
    for size in papers:
        room = size[0] - 2 * _MARGIN, size[1] - 2 * _MARGIN - _HEAD - _FOOT
        airs = [a for a in _AIRS if across + 2 * a[0] <= room[0] and down + 2 * a[1] + _TITLE <= room[1]]
        abreast = [air for air in airs[:-1] if 2 * (across + 2 * air[0]) + _BETWEEN <= room[0]]
        if airs:
            return size, (abreast or airs)[0]
    return None


# -- on several pages ------------------------------------------------------------------------------------------------


def _tile(one: MiniPiece, unit: str, mini: Mini, paper: tuple[float, float], how: Laid) -> tuple[Picture, _Tiled]:
    """The mini with the most air that takes no page more than with the least."""
    sheet = Paper("", *paper)
    width = min(sheet.width, sheet.height) - 2 * how.margin
    foot = max(0.0, _UNDER + scale_bar(mini, unit, width).height - how.margin + 4.0)
    ways = layouts(sheet, how.orientation, how.margin, how.overlap, foot)
    tried = [_with_air(one, unit, mini, ways, air) for air in _AIRS]
    return min(tried, key=lambda found: len(found[1].tiling.tiles))


def _with_air(
    one: MiniPiece, unit: str, mini: Mini, ways: tuple[Layout, ...], air: tuple[float, float]
) -> tuple[Picture, _Tiled]:
    """The mini tiled, its words where no page ends: they are placed anew once it is known where that is."""
    picture = mini_picture(one, unit, mini, air)
    drawn = picture.drawn()
    tiling = _tiling(picture, drawn, ways, one.new)
    for _ in range(_TRIES):
        drawn = replace(picture, lines=(*picture.lines, *_seams(tiling, drawn.shift))).drawn()
        again = _tiling(picture, drawn, ways, one.new)
        settled = _corner(again, drawn.shift) == _corner(tiling, drawn.shift)
        tiling = again
        if settled:
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
    """Where pages end, and the edge marks there, for words to keep off: on the picture before it was shifted."""
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


def _frames(one: _Tiled, mini: Mini, unit: str) -> Iterable[str]:
    """What stands round each page of a tiled mini, with the scale bar beneath."""
    layout = one.tiling.layout
    y = layout.top + layout.height + _UNDER
    bar = scale_bar(mini, unit, layout.width)
    caution = f"Drawn at {mini.text}: not to cut cloth by."
    for each in one.tiling.tiles:
        yield frame(one.tiling, each, f"{one.title} at {mini.text}", unit)
        yield marks.at(layout.margin, y, f"image({quoted(_bar_file(layout))}, width: {millimetres(bar.width)})")
        if bar.width + marks.width_of(caution) + 3 <= layout.width:
            yield marks.words(layout.margin + layout.width, y + 3.0, caution, anchor="end")


def _bar_file(layout: Layout) -> str:
    return f"bar-{layout.width:.0f}.svg"


def _sheet(one: _Tiled) -> Sheet:
    drawn = one.drawn
    page = marks.page(drawn.width, drawn.height)
    image = f'#place(top + left, image("mini.svg", width: {millimetres(drawn.width)}))'
    return Sheet(typeset(page + image, {"mini.svg": drawn.svg}), 0.0, 0.0, one.tiling.layout, one.tiling.tiles)


# -- put together ----------------------------------------------------------------------------------------------------


def _put_together(
    lesson: Lesson,
    mini: Mini,
    groups: dict[tuple[float, float], list[_Whole]],
    tiled: Sequence[_Tiled],
    used: Sequence[str],
) -> bytes:
    """Pages of whole minis with the legend, then the pages of tiled ones."""
    files: dict[str, bytes] = {}
    sizes = [size for size, cells in groups.items() if cells] or [next(iter(groups))]
    parts = [f"#set document(title: {quoted(f'Minis {mini.text}: {lesson.title}')})\n#set par(leading: 3mm)\n"]
    for size in sizes:
        parts.append(_page(lesson, size, mini, files))
        cells = [_cell(one, files) for one in groups[size]]
        parts.append(f" #h({_BETWEEN:g}mm) ".join(cells))
        if size == sizes[0] and tiled:
            parts.append(_maps(tiled, size, files))
    parts += _legend(used, files)
    if not tiled:
        return typeset("\n".join(parts), files)
    for one in tiled:
        layout = one.tiling.layout
        files[_bar_file(layout)] = scale_bar(mini, lesson.unit, layout.width).drawn().svg
    parts.append(f"\n#set page(header: none, footer: none)\n{marks.START}")
    parts += [text for one in tiled for text in _frames(one, mini, lesson.unit)]
    return join(typeset("\n".join(parts), files), [_sheet(one) for one in tiled])


def _page(lesson: Lesson, paper: tuple[float, float], mini: Mini, files: dict[str, bytes]) -> str:
    title = quoted(f"Minis {mini.text}: {lesson.title}")
    told = f"par(leading: 0.55em, text(size: 9pt, {quoted(_told(mini))}))"
    head = f'text(size: 12pt, weight: "bold", {title}) + linebreak() + {told}'
    bar = scale_bar(mini, lesson.unit, paper[0] - 2 * _MARGIN)
    name = f"bar-{paper[0]:.0f}-whole.svg"
    files[name] = bar.drawn().svg
    return (
        f"#set page(width: {millimetres(paper[0])}, height: {millimetres(paper[1])}, "
        f"margin: (x: {millimetres(_MARGIN)}, top: {millimetres(_MARGIN + _HEAD)}, "
        f"bottom: {millimetres(_MARGIN + max(_FOOT, bar.height + 2))}), header-ascent: 3mm, "
        f"footer-descent: 2mm, header: {head}, footer: image({quoted(name)}, width: {millimetres(bar.width)}))\n"
        "#set text(size: 9pt)\n"
    )


def _told(mini: Mini) -> str:
    return (
        f"Drawn at {mini.text}, to practise on and not to cut cloth by. Every figure is that of the full size; check "
        "the bar at the foot. After a piece to do a step on comes the piece as it is then, to compare with."
    )


def _cell(one: _Whole, files: dict[str, bytes]) -> str:
    name = f"mini-{len(files)}.svg"
    files[name] = one.drawn.svg
    image = f"image({quoted(name)}, width: {millimetres(one.drawn.width)})"
    told = _told_under(one.told, one.drawn.width)
    return f"#box(baseline: 100%, stack(dir: ttb, spacing: 2mm, strong({quoted(one.title)}), {told}{image}))"


def _told_under(words: str, width: float) -> str:
    """What stands under a mini's name: of one height for all, so that minis abreast stand level."""
    size = f"width: {millimetres(width)}, height: {millimetres(_TITLE - 6)}"
    return f"block({size}, {{ set par(leading: 0.55em); {quoted(words)} }}), " if words else ""


def _maps(tiled: Sequence[_Tiled], paper: tuple[float, float], files: dict[str, bytes]) -> str:
    """Which pages the tiled minis are on, small, and how they are joined."""
    cells: list[str] = []
    for one in tiled:
        name = f"map-{len(files)}.svg"
        files[name] = map_picture(one.tiling, [one.outline], _MAP_LINE)
        count = len(one.tiling.tiles)
        words = f"{one.told} {count} page{'s' * (count != 1)}: {spoken(one.tiling.tiles)}".strip()
        shown = f"[{marks.START}{page_map(one.tiling, (min(_MAP[0], paper[0] - 2 * _MARGIN), _MAP[1]), name)}]"
        size = f"width: {millimetres(_MAP[0])}, height: {millimetres(_MAP_WORDS)}"
        under = f"block({size}, {{ set par(leading: 0.55em); {quoted(words)} }})"
        cells.append(
            f"#box(baseline: 100%, stack(dir: ttb, spacing: 2mm, strong({quoted(one.title)}), {shown}, {under}))"
        )
    told = "Larger than a page, so on several, which follow; here they are small."
    if any(len(one.tiling.tiles) > 1 for one in tiled):
        told += f" {JOINING}"
    return f"#block(above: 6mm)[#{quoted(told)}]\n#block[{' #h(3mm) '.join(cells)}]"


def _legend(used: Iterable[str], files: dict[str, bytes]) -> Iterable[str]:
    grid = legend_grid(used, 2, files)
    if grid:
        yield f"#block(breakable: false, above: 5mm, {grid})"
