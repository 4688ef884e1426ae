"""From pages to one sheet: a page alone, tiles that belong together, or sheets that lie side by side."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from svgfit.formats.layered_svg import SubPath
from svgfit.formats.pdf import seams, shared_shapes
from svgfit.formats.pdf.furniture import count_furniture, without_furniture
from svgfit.formats.pdf.layout import Layout, best_layouts
from svgfit.formats.pdf.limits import Unreadable
from svgfit.formats.pdf.page_grid import page_grid
from svgfit.formats.pdf.pages import Page
from svgfit.formats.pdf.records import EVERYWHERE, Line, Writing, extent, meet, moved_mark
from svgfit.formats.pdf.shared_shapes import Placing
from svgfit.formats.pdf.stitching import Stretch, cut_off, stitch, stretches_of
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, box_around, box_centre, box_holds
from svgfit.model.file_format import Wishes
from svgfit.model.length import both_ways
from svgfit.model.wording import listed

Marks = list[Line | Writing]
_MARGIN = 10.0
"""Free space around a sheet that was put together, mm."""
_SAME = 0.15
"""What several pages show in places nearer than this, mm, is one thing."""
_GIVE = "give how many pages lie across and down, as in --pages 4x8 (and --page-overlap '10 mm' where they overlap)"


class Tile(Struct, frozen=True):
    """A page that is part of a sheet."""

    number: int
    shift: complex
    """By how much its own mm lie off the sheet's."""
    window: Box | None = None
    """Within which it shows what is drawn, in its own mm; None: all over."""


class Sheet(Struct, frozen=True):
    """A sheet as it was drawn, before it was spread over pages; mm from its top left corner, y down."""

    width: float
    height: float
    marks: tuple[Line | Writing, ...]
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    tiles: tuple[Tile, ...] = ()


def put_together(pages: Sequence[Page], wishes: Wishes) -> Sheet:
    """Put the pages together to one sheet.

    Raises Unreadable where how they belong together can't be proved, with what to give.
    """
    lined = [page for page in pages if page.content.points]
    if len(lined) == 1:
        return _alone(lined[0])
    placed = [each for each in shared_shapes.by_forms(lined) if len(each[0].shifts) > 1]
    if placed:
        return _by_forms(lined, placed)
    first, last = pages.index(lined[0]), pages.index(lined[-1])
    used, others = _of_one_size(pages[first : last + 1])
    numbers = [page.number for page in pages if _size(page) == _size(used[0])]
    sheet = _alone(used[0]) if len(used) == 1 else _by_lines(used, numbers, wishes)
    return replace(sheet, warnings=(*sheet.warnings, *_other_sizes(others)))


def _alone(page: Page) -> Sheet:
    hidden = page.hidden_lines()
    word, verb = ("lines", "are") if hidden > 1 else ("line", "is")
    notes = (f"{hidden} {word} beyond the page's edge or a clip, of which nothing is seen, {verb} left out",)
    return Sheet(
        page.width, page.height, tuple(drawn_on(page)), notes if hidden else (), tiles=(Tile(page.number, 0j),)
    )


def _by_lines(pages: Sequence[Page], numbers: Sequence[int], wishes: Wishes) -> Sheet:
    """Put pages of one size together by the shapes that several show, else by the lines that go on over their edges.

    ``numbers``: of all pages of that size, also of those before and behind them.
    """
    whole = [drawn_on(page) for page in pages]
    drawn = without_furniture(whole)
    if not any(isinstance(mark, Line) for marks in drawn for mark in marks):
        what = f"shows the same lines on {len(pages)} pages"
        raise Unreadable(what, "save the page that is the pattern as a PDF by itself")
    groups = [group for group in shared_shapes.by_shapes(_reaching_out(pages, drawn)) if len(group.shifts) > 1]
    sheet = _by_shapes(pages, drawn, groups, numbers) if groups else _by_seams(pages, drawn, wishes)
    furniture = count_furniture(whole, drawn)
    if sheet is None:
        sheet = _side_by_side(pages, drawn)
        return replace(
            sheet, warnings=(f"{furniture}; look whether they are none of the drawing",) if furniture else ()
        )
    return replace(sheet, notes=(*sheet.notes, furniture) if furniture else sheet.notes)


def drawn_on(page: Page) -> Marks:
    """List what is drawn on a page, without the ground that it is drawn on."""
    return [mark for mark in page.marks() if isinstance(mark, Writing) or not _is_paper(mark, page.box)]


def _is_paper(mark: Line, page: Box) -> bool:
    """Say whether a shape is none of the drawing: white without a line, or a ground under the whole page."""
    if mark.style.stroke is not None:
        return False
    if mark.style.fill == "#ffffff":
        return True
    box = extent(mark)
    return box[0] <= page[0] + 1 and box[1] <= page[1] + 1 and box[2] >= page[2] - 1 and box[3] >= page[3] - 1


def _of_one_size(pages: Sequence[Page]) -> tuple[list[Page], list[Page]]:
    """Part the pages of the commonest size from the others; tiles are alike."""
    sizes = [_size(page) for page in pages]
    usual = max(sizes, key=sizes.count)
    kept = [page for page, size in zip(pages, sizes, strict=True) if size == usual]
    return kept, [page for page, size in zip(pages, sizes, strict=True) if size != usual]


def _size(page: Page) -> tuple[int, int]:
    return round(page.width), round(page.height)


def _other_sizes(pages: Sequence[Page]) -> list[str]:
    """Warn of pages with lines that are none of the tiles for their size."""
    numbers = [str(page.number) for page in pages if any(isinstance(mark, Line) for mark in drawn_on(page))]
    if not numbers:
        return []
    word, verb, have = ("pages", "are", "have") if len(numbers) > 1 else ("page", "is", "has")
    todo = "what belongs to the pattern there is to be saved as a PDF by itself"
    return [f"{word} {listed(numbers)} {verb} left out, which {have} another size than the others; {todo}"]


def _sheet(marks: Marks, tiles: Sequence[Tile], notes: Sequence[str], warnings: Sequence[str]) -> Sheet:
    """Lay the marks on a sheet with a margin around them."""
    left, top, right, bottom = box_around(map(extent, marks))
    margin = complex(_MARGIN - left, _MARGIN - top)
    moved = tuple(moved_mark(mark, Affine.shift(margin), None, EVERYWHERE) for mark in marks)
    there = tuple(replace(tile, shift=tile.shift + margin) for tile in tiles)
    return Sheet(right - left + 2 * _MARGIN, bottom - top + 2 * _MARGIN, moved, tuple(notes), tuple(warnings), there)


def _tiles(pages: Sequence[Page], shifts: Mapping[int, complex]) -> list[Tile]:
    """Note where pages lie; each shows what is drawn within the clip that most of it has."""
    found: list[Tile] = []
    for at, shift in sorted(shifts.items()):
        clips = Counter(meet(mark.clip, pages[at].box) for mark in pages[at].marks())
        found.append(Tile(pages[at].number, shift, clips.most_common(1)[0][0] if clips else None))
    return found


# -- what pages share ------------------------------------------------------------------------------------------------


def _by_forms(pages: Sequence[Page], groups: Sequence[tuple[Placing, Marks]]) -> Sheet:
    """Put together what pages show of forms; groups of pages that share none with others lie side by side."""
    shared = shared_shapes.shared_contents(pages)
    outside = [shared_shapes.outside_forms(page, shared) for page in pages]
    own = without_furniture(outside)
    furniture = count_furniture(outside, own)
    sheets: list[tuple[Marks, Mapping[int, complex]]] = []
    for placing, forms in groups:
        _refuse_contradiction(placing)
        marks = [mark for mark in forms if isinstance(mark, Writing) or not _is_paper(mark, EVERYWHERE)]
        others = _moved(own, placing.shifts)
        marks += [mark for mark in others if isinstance(mark, Writing) or mark.style.fill != "#ffffff"]
        sheets.append((marks, placing.shifts))
    all_marks, shifts = _beside(sheets)
    proof = sum(placing.proof for placing, _ in groups)
    note = f"{len(shifts)} pages, put together by {proof} shapes that several of them show" + _groups_note(len(groups))
    if len(shifts) < len(pages):  # what such pages show of the forms is lost too
        own = without_furniture([drawn_on(page) for page in pages])
    notes = [note, furniture] if furniture else [note]
    return _sheet(all_marks, _tiles(pages, shifts), notes, _left_out(pages, own, shifts))


def _beside(groups: Sequence[tuple[Marks, Mapping[int, complex]]]) -> tuple[Marks, dict[int, complex]]:
    """Lay sheets side by side, each with the places of its pages on it: all marks, and where all pages lie."""
    marks: Marks = []
    shifts: dict[int, complex] = {}
    right = 0.0
    for own, its in groups:
        if not own:
            continue
        box = box_around(map(extent, own))
        by = complex(right - box[0], -box[1])
        marks += [moved_mark(mark, Affine.shift(by), None, EVERYWHERE) for mark in own]
        shifts |= {at: shift + by for at, shift in its.items()}
        right += box[2] - box[0] + _MARGIN
    return marks, shifts


def _groups_note(count: int) -> str:
    return f"; {count} groups of pages that share none lie side by side" if count > 1 else ""


def _reaching_out(pages: Sequence[Page], drawn: Sequence[Marks]) -> list[Marks]:
    """Keep the shapes that reach out of what is seen of them on their page: such as go on on other pages."""
    found: list[Marks] = []
    for page, marks in zip(pages, drawn, strict=True):
        own: Marks = []
        for mark in marks:
            seen, box = meet(mark.clip, page.box), extent(mark)
            if box[0] < seen[0] - 1 or box[1] < seen[1] - 1 or box[2] > seen[2] + 1 or box[3] > seen[3] + 1:
                own.append(mark)
        found.append(own)
    return found


def _moved(drawn: Sequence[Marks], shifts: Mapping[int, complex]) -> Marks:
    return [
        moved_mark(mark, Affine.shift(shifts[at]), None, EVERYWHERE)
        for at, marks in enumerate(drawn)
        if at in shifts
        for mark in marks
    ]


def _by_shapes(
    pages: Sequence[Page], drawn: Sequence[Marks], groups: Sequence[Placing], numbers: Sequence[int]
) -> Sheet:
    """Put together what hangs together; groups of pages, and pages between them, lie side by side.

    Raises Unreadable where shapes contradict each other.
    """
    for group in groups:
        _refuse_contradiction(group)
    by_number = _by_numbers(pages, drawn, groups[0].shifts, numbers) if len(groups) == 1 else {}
    whole = [{**groups[0].shifts, **by_number}] if by_number else [group.shifts for group in groups]
    placed = set[int]().union(*whole)
    alone = [{at: 0j} for at in range(min(placed), max(placed)) if at not in placed and drawn[at]]
    marks, shifts = _beside([(_each_once(_moved(drawn, its)), its) for its in (*whole, *alone)])
    proof = sum(group.proof for group in groups)
    note = f"{len(shifts)} pages, put together by {proof} shapes that two of them show" + _groups_note(len(groups))
    if by_number:
        word, verb = ("pages", "lie") if len(by_number) > 1 else ("page", "lies")
        note += f"; {len(by_number)} {word} out of which nothing reaches {verb} where the count of pages says"
    return _sheet(marks, _tiles(pages, shifts), [note], _left_out(pages, drawn, shifts))


def _by_numbers(
    pages: Sequence[Page], drawn: Sequence[Marks], shifts: Mapping[int, complex], numbers: Sequence[int]
) -> dict[int, complex]:
    """Place the tiles out of which nothing reaches in the grid of the others; ``numbers``: of all pages of their size.

    A page before or behind them that shows one of their outlines made smaller, as an overview does, is none of them.
    """
    order = {number: place for place, number in enumerate(numbers)}
    place = page_grid(len(numbers), {order[pages[at].number]: shift for at, shift in shifts.items()})
    if place is None:
        return {}
    outlines = set[tuple[object, ...]]().union(*(_proportions(drawn[at]) for at in shifts))
    within = range(min(shifts), max(shifts))
    others = [at for at in range(len(pages)) if at not in shifts and drawn[at]]
    tiles = [at for at in others if at in within or outlines.isdisjoint(_proportions(drawn[at]))]
    return {at: place(order[pages[at].number]) for at in tiles}


def _proportions(marks: Marks) -> set[tuple[object, ...]]:
    """Give what closed lines have in common with the same made smaller."""
    found: set[tuple[object, ...]] = set()
    for mark in marks:
        if isinstance(mark, Line) and any(path.closed for path in mark.subpaths):
            left, top, right, bottom = extent(mark)
            aspect = round(20 * math.log((right - left + 0.01) / (bottom - top + 0.01)))
            found.add((aspect, *(len(path.segments) for path in mark.subpaths)))
    return found


def _each_once(marks: Marks) -> Marks:
    """Leave out what several pages show of one thing, in one place."""
    found: Marks = []
    near: dict[tuple[object, ...], list[Box]] = {}
    for mark in marks:
        box = extent(mark)
        middle = box_centre(box)
        column, row = round(middle.real), round(middle.imag)
        looks = _looks(mark)
        around = (near.get((looks, column + x, row + y), ()) for x in (-1, 0, 1) for y in (-1, 0, 1))
        if any(max(abs(a - b) for a, b in zip(box, other, strict=True)) < _SAME for each in around for other in each):
            continue
        near.setdefault((looks, column, row), []).append(box)
        found.append(mark)
    return found


def _looks(mark: Line | Writing) -> tuple[object, ...]:
    if isinstance(mark, Writing):
        return mark.layer, mark.content
    return (*seams.look_of(mark), mark.style.fill, tuple(len(path.segments) for path in mark.subpaths))


def _refuse_contradiction(placing: Placing) -> None:
    if placing.contradictions:
        what = f"its pages share shapes that lie otherwise on each ({placing.contradictions} places): they are no tiles"
        raise Unreadable(what, "give the file that has all on one sheet, or save each page by itself")


def _left_out(pages: Sequence[Page], drawn: Sequence[Marks], shifts: Mapping[int, complex]) -> list[str]:
    """Warn of pages with lines that are no part of the sheet."""
    numbers = [
        str(page.number)
        for at, page in enumerate(pages)
        if at not in shifts and any(isinstance(mark, Line) for mark in drawn[at])
    ]
    if not numbers:
        return []
    word, verb = ("pages", "are") if len(numbers) > 1 else ("page", "is")
    return [f"{word} {listed(numbers)} {verb} left out: nothing there goes on on another page"]


# -- lines that go on ------------------------------------------------------------------------------------------------


def _by_seams(pages: Sequence[Page], drawn: list[Marks], wishes: Wishes) -> Sheet | None:
    """Put tiles together by the lines that go on; None where no line runs over an edge, and no layout is asked for."""
    window = seams.window_of(drawn)
    across, down = (seams.tiles_along(drawn, window, axis) for axis in (0, 1))
    ends = sum(len(side.before) + len(side.behind) for tiles in (across, down) for side in tiles.sides)
    if not ends and wishes.pages is None:
        return None
    if wishes.overlap is not None:
        overs = [(wishes.overlap, wishes.overlap)]
    else:
        overs = [(one, other) for one in seams.overlaps(across)[:2] for other in seams.overlaps(down)[:2]]
    layouts = best_layouts((across, down), overs, wishes.pages)
    best = layouts[0]
    _refuse_unproved(pages, layouts)
    columns, rows = (1 + max(cell[axis] for cell in best.cells) for axis in (0, 1))
    over = f", overlapping by {both_ways(max(best.over))}" if max(best.over) > 0.5 else ""
    note = f"{len(pages)} pages, {columns} across and {rows} down{over}: {best.on} lines go on from page to page, "
    note += f"{best.lost} {'do not' if best.lost != 1 else 'does not'}"
    steps = _steps(window, best)
    tiles = [
        Tile(page.number, complex(column * steps[0], row * steps[1]), window)
        for page, (column, row) in zip(pages, best.cells, strict=True)
    ]
    return _sheet(_stitched(drawn, window, best), tiles, [note], [])


def _steps(window: Box, layout: Layout) -> tuple[float, float]:
    """Measure how far one tile lies from the next, across and down, mm."""
    left, top, right, bottom = window
    return right - left - layout.over[0], bottom - top - layout.over[1]


def _refuse_unproved(pages: Sequence[Page], layouts: Sequence[Layout]) -> None:
    best = layouts[0]
    found = f"{best.on} lines go on from page to page, {best.lost} don't"
    if not best.is_proved:
        what = f"has {len(pages)} pages, and how they belong together is not certain: at best {found}"
        raise Unreadable(what, _GIVE)
    other = next((layout for layout in layouts[1:] if layout.rank[:3] == best.rank[:3]), None)
    if other is not None:
        what = f"has {len(pages)} pages that fit together in more than one way: {found} each time"
        raise Unreadable(what, _GIVE)


def _side_by_side(pages: Sequence[Page], drawn: Sequence[Marks]) -> Sheet:
    """Lay sheets that are whole each beside each other."""
    shifts: dict[int, complex] = {}
    right = 0.0
    for at, page in enumerate(pages):
        shifts[at] = complex(right, 0)
        right += page.width
    note = f"{len(pages)} pages, each a sheet of its own: no line runs over an edge"
    tiles = tuple(Tile(pages[at].number, shift) for at, shift in shifts.items())
    return Sheet(right, max(page.height for page in pages), tuple(_moved(drawn, shifts)), (note,), tiles=tiles)


def _stitched(drawn: Sequence[Marks], window: Box, layout: Layout) -> Marks:
    """Cut the tiles in the middle of what two of them show, lay them down and join the lines."""
    left, top, right, bottom = window
    steps = _steps(window, layout)
    taken = set(layout.cells)
    stretches: list[Stretch] = []
    found: Marks = []
    for page, (marks, (column, row)) in enumerate(zip(drawn, layout.cells, strict=True)):
        cell = (
            left + layout.over[0] / 2 if (column - 1, row) in taken else left - 1,
            top + layout.over[1] / 2 if (column, row - 1) in taken else top - 1,
            right - layout.over[0] / 2 if (column + 1, row) in taken else right + 1,
            bottom - layout.over[1] / 2 if (column, row + 1) in taken else bottom + 1,
        )
        by = Affine.shift(complex(column * steps[0], row * steps[1]))
        for mark in marks:
            if isinstance(mark, Line) and mark.style.stroke is not None:
                moved = moved_mark(mark, by, None, EVERYWHERE)
                assert isinstance(moved, Line)
                there = tuple(side + (by.e if at % 2 == 0 else by.f) for at, side in enumerate(cell))
                kept = [part for path in moved.subpaths for part in _within(path, there, layout.over)]
                stretches += [stretches_of(moved, path, page) for path in kept]
            elif box_holds(cell, mark.at if isinstance(mark, Writing) else box_centre(extent(mark))):
                found.append(moved_mark(mark, by, None, EVERYWHERE))
    return [*stitch(stretches), *found]


def _within(path: SubPath, cell: Sequence[float], over: tuple[float, float]) -> list[SubPath]:
    """Cut a stretch off at the edges of a cell, along the axes on which tiles overlap."""
    parts = [path]
    for axis in (0, 1):
        if over[axis] > 0.01:
            parts = [part for each in parts for part in cut_off(each, axis, cell[axis], above=True)]
            parts = [part for each in parts for part in cut_off(each, axis, cell[axis + 2], above=False)]
    return parts
