"""The teaching sheet: before and after, every step as a person does it with paper, figures, walks, legend, cautions.

Black and white, letters of at least 8 pt, all of it true to the run: no picture is a stock picture.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.length import Units
from svgfit.model.report import Check, MeasurementRow
from svgfit.model.run import SizeRun, piece_rows
from svgfit.model.vocabulary import Unit
from svgfit.model.wording import listed
from svgfit.render.annotate.block import block_document
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import gathered
from svgfit.render.annotate.tables import PRINTED_CAUTIONS
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.format_values import (
    cell_text,
    has_changed,
    row_change,
    told_rows,
    told_verdict,
    value_text,
    without_contradicted,
    worst_first,
)
from svgfit.render.pdf.before_after import marks_moved, overlaid, side_by_side
from svgfit.render.pdf.legend import legend_grid
from svgfit.render.pdf.lesson import Lesson, Taught, changed_pieces, shown_run, taught_steps
from svgfit.render.pdf.notch_moves import HEAD as MOVES_HEAD
from svgfit.render.pdf.notch_moves import Moved
from svgfit.render.pdf.picture import Picture
from svgfit.render.pdf.step_sentences import asked_text, plain
from svgfit.render.pdf.steps import StepShown, show_step
from svgfit.render.pdf.to_do import todo_of
from svgfit.render.pdf.tracing import after_the_steps, before_the_steps
from svgfit.render.pdf.typesetting import millimetres, quoted, typeset
from svgfit.render.pdf.wording import title_of
from svgfit.rules.lettering import PICTURE_ON_PAPER

_MARGIN, _GUTTER, _FOOT = 15.0, 6.0, 5.0
_NARROWEST, _WIDEST = 78.0, 130.0
"""A column of pictures, mm."""
_LOWER = 0.64
"""Where several pieces changed their pictures are lower by this, so that two fit on a page."""
_SAMPLE = 58.0
"""A column of the legend is not narrower than this, mm."""
_SMALLER = 0.56
"""So wide are the walks drawn, of the page's width, where that saves a page."""
_LOW = 330.0
"""On paper lower than this (mm) every step of more than a row of pictures begins on a page of its own."""
_SHORT = 2
_ONLY_NOTCHES = "Its edge stays as it was; only notches move, as the step shows."
_AS_IT_WAS = "It is as it was: no line of it moves."

_STYLE = """
#set text(size: 9.5pt)
#set par(leading: 0.55em, spacing: 0.8em)
#set table(stroke: none, inset: (x: 1.6mm, y: 0.9mm))
#show heading.where(level: 1): it => block(above: 0mm, below: 3.5mm, text(size: 17pt, it.body))
#show heading.where(level: 2): it => block(above: 6mm, below: 2.5mm, sticky: true, text(size: 13pt, it.body))
#show heading.where(level: 3): it => block(above: 4mm, below: 2mm, sticky: true, text(size: 10.5pt, it.body))
#let shown(number, file, wide, words) = block(breakable: false, width: 100%, below: 2.5mm, {
  image(file, width: wide)
  v(-1.5mm)
  if number == "" { words } else {
    grid(columns: (auto, 1fr), column-gutter: 2mm, text(weight: "bold", size: 12pt, number), words)
  }
})
#let verdict(word, words) = block(below: 1.6mm, grid(columns: (14mm, 1fr), text(weight: "bold", word), words))
"""


class Sheet(Struct, frozen=True):
    """Typst markup and the pictures that it shows."""

    source: str
    files: dict[str, bytes]


class _Layout(Struct, frozen=True):
    """How the paper is parted."""

    columns: int
    width: float
    """Of a column of pictures."""
    inner: float
    """Of the paper without its margins."""
    most: float
    """Height of a step's picture."""
    tall: float
    """Height of an overview's picture."""
    apart: bool
    """Whether each step has a page of its own."""


def teaching_pages(lesson: Lesson, paper: tuple[float, float]) -> bytes:
    """The teaching sheet as a PDF on paper of (width, height) mm.

    Raises Refusal where it can't be typeset.
    """
    made = [typeset(sheet.source, sheet.files) for sheet in teaching_sheets(lesson, paper)]
    return min(made, key=_page_count)


def _page_count(made: bytes) -> int:
    from io import BytesIO

    import pikepdf

    with pikepdf.open(BytesIO(made)) as pdf:
        return len(pdf.pages)


def teaching_sheets(lesson: Lesson, paper: tuple[float, float]) -> tuple[Sheet, ...]:
    """The markup and the pictures of the teaching sheet: with legend and cautions at the end, or on the first pages.

    Which of them leaves no page near empty is only known when they are typeset.
    """
    layout = _layout(paper)
    run = shown_run(lesson)
    files: dict[str, bytes] = {}
    used: list[str] = []
    taught = taught_steps(lesson, run)
    shown = [
        [
            show_step(
                change,
                lesson.summaries.get(step.stage.row.do, ""),
                layout.width,
                layout.most,
                closely=len(step.changes) == 1,
                figures=[row.name for _, row in step.figures],
            )
            for change in step.changes
        ]
        for step in taught
    ]
    start = [_page(lesson, paper), *_opening(lesson, run, taught, shown, layout, files, used)]
    middle = [
        *(
            text
            for step, pictures in zip(taught, shown, strict=True)
            for text in _step(step, pictures, len(taught), lesson, layout, files, used)
        ),
        *after_the_steps(lesson, run, taught),
        *_checks(lesson, run),
    ]
    walks = [*_walks(lesson, layout.inner, files)]
    legend, cautions = [*_legend(used, layout, files)], [*_cautions(lesson)]
    orders = [
        (start, middle, walks, legend, cautions),
        (start, cautions, middle, walks, legend),
        (start, legend, cautions, middle, walks),
    ]
    if walks and legend and layout.columns > 1:
        beside = [*_walks(lesson, layout.inner * _SMALLER, files, legend_grid(used, 1, files))]
        orders += [(start, middle, beside, cautions), (start, cautions, middle, beside)]
    return tuple(Sheet("\n".join(line for part in order for line in part), files) for order in orders)


def _layout(paper: tuple[float, float]) -> _Layout:
    inner, high = paper[0] - 2 * _MARGIN, paper[1] - 2 * _MARGIN - _FOOT
    columns = max(1, min(4, int((inner + _GUTTER) / (_NARROWEST + _GUTTER))))
    width = min((inner - (columns - 1) * _GUTTER) / columns, _WIDEST)
    return _Layout(columns, width, inner, min(0.6 * width, high / 3.6), min(width, high * 0.28), paper[1] < _LOW)


def _page(lesson: Lesson, paper: tuple[float, float]) -> str:
    title = quoted(f"Teaching sheet: {lesson.title}")
    foot = f"#text(size: 8pt)[#{title} #h(1fr) page #counter(page).display() of #counter(page).final().first()]"
    return (
        f"#set document(title: {title})\n"
        f"#set page(width: {millimetres(paper[0])}, height: {millimetres(paper[1])}, "
        f"margin: (rest: {millimetres(_MARGIN)}, bottom: {millimetres(_MARGIN + _FOOT)}), footer-descent: 3mm, "
        f"footer: context [{foot}])\n{_STYLE}"
    )


def _image(name: str, picture: bytes, files: dict[str, bytes]) -> str:
    files[name] = picture
    return quoted(name)


def _figure(
    name: str, picture: Picture, width: float, number: str, words: str, files: dict[str, bytes], used: list[str]
) -> str:
    """A picture in a column ``width`` mm wide, with its number and words."""
    used += picture.used
    drawn = picture.drawn()
    file = _image(name, drawn.svg, files)
    return f"shown({quoted(number)}, {file}, {millimetres(min(drawn.width, width))}, {quoted(words)})"


def _grid(cells: Sequence[str], columns: int, width: float) -> str:
    tracks = ", ".join([millimetres(width)] * columns)
    return f"#grid(columns: ({tracks},), column-gutter: {millimetres(_GUTTER)}, row-gutter: 2mm, {', '.join(cells)})"


# -- before and after ------------------------------------------------------------------------------------------------


def _opening(
    lesson: Lesson,
    run: SizeRun,
    taught: Sequence[Taught],
    shown: Sequence[Sequence[StepShown]],
    layout: _Layout,
    files: dict[str, bytes],
    used: list[str],
) -> Iterable[str]:
    """The first page: the piece before and after, what was done in short, and every figure."""
    yield f"= #{quoted(f'Teaching sheet: {lesson.title}')}"
    yield from (f"#{quoted(words)}\n" for words in (_which_size(lesson, run), lesson.told) if words)
    changed = changed_pieces(run)
    if not changed:
        yield f"#{quoted('No step changed a piece, so there is no before and after to show.')}\n"
    tall = layout.tall if len(changed) < 2 else _LOWER * layout.tall
    for number, (old, new) in enumerate(changed):
        figures = run.measured_before.get(old.title, ()), run.measured_after.get(new.title, ())
        pictures = side_by_side(old, new, figures, lesson.unit, layout.width, tall)
        heading = f"== #{quoted(f'{new.title}: before and after')}"
        laid = overlaid(old, new, layout.width, tall)
        named = [("before", pictures[0], "Before."), ("after", pictures[1], "After.")]
        if {"old", "new"} & set(laid.used):
            named.append(("overlaid", laid, "One on the other: heavy as it is now, dotted as it was."))
        else:  # two pictures that are alike teach nothing
            named = [("after", pictures[1], _ONLY_NOTCHES if marks_moved(old, new) else _AS_IT_WAS)]
        cells = [
            _figure(f"{name}-{number}.svg", picture, layout.width, "", words, files, used)
            for name, picture, words in named
        ]
        if number == 0 and taught:
            cells.append(f"[{_in_short(lesson, taught, shown)}]")
        grid = _grid(cells, layout.columns, layout.width)
        breaks = "true" if layout.columns == 1 else "false"  # one below another may be more than a page
        yield f"#block(breakable: {breaks}, above: 5mm)[\n{heading}\n{grid}\n]"
    yield from _tables(lesson, run)


def _which_size(lesson: Lesson, run: SizeRun) -> str:
    """Which size of a nest the pictures show, why, and how another is had; "" where there is only one."""
    size = _size_told(run)
    if size is None:
        return ""
    others = [other for one in lesson.runs if (other := _size_told(one)) and other != size]
    if not others:
        return f"The pictures, the steps and the figures are those of size {size}."
    return (
        f"The pictures and the steps show size {size}, the middle one by its area. The same is done for "
        f"{listed(others)}, as the table tells; --size {others[0]} makes the sheet of that size."
    )


def _size_told(run: SizeRun) -> str | None:
    return next((piece.size for piece in run.before if piece.size), None)


def _in_short(lesson: Lesson, taught: Sequence[Taught], shown: Sequence[Sequence[StepShown]]) -> str:
    """The steps as a list."""
    rows = [
        f'#block(below: 3.4mm, [#text(weight: "bold")[#{quoted(f"{step.number}. {_heading(step, pictures)}")}]\\\n'
        f"#{quoted(f'Asked: {_asked(lesson, step)}.')}])"
        for step, pictures in zip(taught, shown, strict=True)
    ]
    return f"=== #{quoted('What is done')}\n" + "\n".join([*before_the_steps(taught), *rows])


def _asked(lesson: Lesson, step: Taught) -> str:
    """What was asked; where sizes were asked differently, each with its size."""
    rows = [(_size_told(run), run.stages[step.number - 1].row) for run in lesson.runs if len(run.stages) >= step.number]
    texts = {size: asked_text(row) for size, row in rows if size and row.do == step.stage.row.do}
    if len(set(texts.values())) < 2:
        return asked_text(step.stage.row)
    return "; ".join(f"size {size}: {text}" for size, text in texts.items())


def _heading(step: Taught, pictures: Sequence[StepShown]) -> str:
    name = pictures[0].words.title if pictures else title_of(step.stage.row.do)
    pieces = listed([one.piece for one in pictures]) or step.stage.row.piece or ""
    return f"{name} ({pieces})" if pieces else name


def _tables(lesson: Lesson, run: SizeRun) -> Iterable[str]:
    """Every figure of each piece that changed, before and after; of a nest, a column a size."""
    titles = {new.name for _, new in changed_pieces(run)}
    rows = [row for each in lesson.runs for row in piece_rows(each) if row.name in titles]
    for name in dict.fromkeys(row.name for row in rows):
        own = [row for row in rows if row.name == name]
        yield f"== #{quoted(f'{name}: the figures')}"
        if len(own) > 1:
            yield _by_size([row.size or "" for row in own], [row.measurements for row in own], lesson.unit)
        else:
            figures = told_rows(own[0].measurements)
            changed = any(has_changed(row) for row in figures)
            yield _before_after(figures, lesson.unit) if changed else f"#{quoted('Every figure is as it was.')}\n"
    same = gathered(
        [(row.name, row.size) for each in lesson.runs for row in piece_rows(each) if row.name not in titles]
    )
    if same:
        yield f"#{quoted(f'Unchanged: {listed(same)}.')}\n"


def _before_after(rows: Sequence[MeasurementRow], unit: str) -> str:
    cells = ["[]", *(f"strong({quoted(word)})" for word in ("before", "after", "change"))]
    for row in rows:
        change = row_change(row, _units(unit))
        heavy = change not in ("", "same")
        texts = (
            row.name,
            cell_text(row.before, row.unit, _units(unit)),
            cell_text(row.after, row.unit, _units(unit)),
            change,
        )
        cells += [f"strong({quoted(text)})" if heavy and n else quoted(text) for n, text in enumerate(texts)]
    return _table(cells, 4)


def _by_size(sizes: Sequence[str], every: Sequence[Sequence[MeasurementRow]], unit: str) -> str:
    figures = [{row.name: row for row in rows} for rows in every]
    names = [row.name for row in told_rows(every[0]) if all(row.name in one for one in figures)]
    cells = [f"strong({quoted('size')})", *(f"strong({quoted(size)})" for size in sizes)]
    for name in names:
        line = [one[name] for one in figures]
        cells += [quoted(name), *(quoted(cell_text(row.after, row.unit, _units(unit), decimal=False)) for row in line)]
        if any(has_changed(row) for row in line):
            was = [quoted(cell_text(row.before, row.unit, _units(unit), decimal=False)) for row in line]
            cells += [f"pad(left: 3mm, {quoted('was')})", *was]
    return _table(cells, len(sizes) + 1)


def _table(cells: Sequence[str], columns: int) -> str:
    aligned = "(column, row) => if column == 0 { left } else { right }"
    breaks = "true" if len(cells) > 25 * columns else "false"
    head = f"table.header({', '.join(cells[:columns])}, table.hline(stroke: 0.5pt))"
    rest = ", ".join(cells[columns:])
    line = "table.hline(stroke: 0.9pt)"
    table = f"table(columns: {columns}, align: {aligned}, {line}, {head}, {rest}, {line})"
    return f"#block(breakable: {breaks}, {table})"


# -- the steps -------------------------------------------------------------------------------------------------------


def _step(
    step: Taught,
    pictures: Sequence[StepShown],
    count: int,
    lesson: Lesson,
    layout: _Layout,
    files: dict[str, bytes],
    used: list[str],
) -> Iterable[str]:
    """One step: what was asked, the pictures, what came of it."""
    row = step.stage.row
    if layout.apart and sum(len(one.shown) for one in pictures) > _SHORT:
        yield "#pagebreak(weak: true)"
    yield f"== #{quoted(f'Step {step.number} of {count}: {_heading(step, pictures)}')}"
    got = "; ".join(
        f"{name} {value_text(value, _unit_of(name, step), _units(lesson.unit))}" for name, value in row.got.items()
    )
    yield (
        f"#block(below: 3mm, sticky: {str(bool(pictures)).lower()})[*Asked:* #{quoted(f'{asked_text(row)}.')}"
        + (f" *Got:* #{quoted(got + '.')}]" if got else "]")
    )
    first = 1
    for number, one in enumerate(pictures):
        if len(pictures) > 1:
            yield f"=== #{quoted(one.piece)}"
        cells = [
            _figure(
                f"step-{step.number}-{number}-{n}.svg", each.picture, layout.width, str(n), each.caption, files, used
            )
            for n, each in enumerate(one.shown, first)
        ]
        first += len(cells)
        yield _grid(cells, layout.columns, layout.width)
        if one.moves:
            yield f"=== #{quoted('How far each notch moves')}"
            yield _moves(one.moves, lesson.unit)
    notes = dict.fromkeys(one.words.note for one in pictures if one.words.note)
    yield from (f"#block(above: 3mm)[#{quoted(note)}]" for note in notes)
    if step.figures and pictures:
        yield f"=== #{quoted('What this step changed')}"
        yield _changes(step, lesson.unit)


def _moves(moves: Sequence[Moved], unit: str) -> str:
    cells = [f"strong({quoted(word)})" for word in MOVES_HEAD]
    cells += [quoted(text) for one in moves for text in one.cells(unit)]
    return _table(cells, len(MOVES_HEAD))


def _unit_of(name: str, step: Taught) -> str:
    return next((row.unit for _, row in step.figures if row.name == name), "mm")


def _changes(step: Taught, unit: str) -> str:
    several = len({title for title, _ in step.figures}) > 1
    cells = ["[]", *(f"strong({quoted(word)})" for word in ("before", "after", "change"))]
    for title, row in step.figures:
        change = row_change(row, _units(unit))
        name = f"{title}: {row.name}" if several else row.name
        texts = (
            name,
            cell_text(row.before, row.unit, _units(unit)),
            cell_text(row.after, row.unit, _units(unit)),
            change,
        )
        cells += [quoted(text) for text in texts]
    return _table(cells, 4)


# -- what follows ----------------------------------------------------------------------------------------------------


def _checks(lesson: Lesson, run: SizeRun) -> Iterable[str]:
    """What the plan checked: of the size shown all, of the others what is not well."""
    others = [check for one in lesson.runs if one is not run for check in one.checks if check.status != "pass"]
    every = worst_first((*run.checks, *others))
    checks = dict.fromkeys((told_verdict(check), _told(check, run)) for check in every)
    if checks:
        yield f"== #{quoted('Checks')}"
    for word, message in checks:
        yield f"#verdict({quoted(word)}, {quoted(message)})"


def _told(check: Check, run: SizeRun) -> str:
    """A verdict in plain words, with what to do about it."""
    names = [f"{piece.name}/{edge.name}" for piece in run.after for edge in piece.edges]
    told, todo = plain(f"{check.name}: {check.message}", names), todo_of(check)
    return f"{told.rstrip('.')}. {todo}" if todo else told


def _walks(lesson: Lesson, width: float, files: dict[str, bytes], beside: str = "") -> Iterable[str]:
    """Cap and armhole as strips, notch to notch, ``beside`` them the legend where it is given; what the walk says."""
    run = shown_run(lesson)
    size = _size_told(run)
    walks = [walk for walk in lesson.walks if walk.size in (None, size)] or list(lesson.walks)
    if not walks:
        return
    yield f"== #{quoted('Walk the seams: the sleeve along its armhole')}"
    pictures: list[str] = []
    for number, block in enumerate(
        walk_blocks(walks, PageStyle(PICTURE_ON_PAPER, units=_units(lesson.unit)), min(width - 2.0, 260.0))
    ):
        picture, across, _ = block_document(block, 1 + 2j, 1.0)
        file = _image(f"walk-{width:.0f}-{number}.svg", picture.encode("ascii"), files)
        pictures.append(f"#block(breakable: false, below: 4mm, image({file}, width: {millimetres(across)}))")
    if beside:
        tracks = f"columns: ({millimetres(width)}, 1fr), column-gutter: 4mm"
        shown = "\n".join(pictures)
        yield f"#grid({tracks}, [{shown}], [=== #{quoted('The lines')}\n#{beside}])"
    else:
        yield from pictures
    plan = [check for one in lesson.runs for check in one.checks]
    for check in (one for walk in walks for one in without_contradicted(walk.verdicts, walk.sleeve, plan)):
        yield f"#verdict({quoted(told_verdict(check))}, {quoted(_told(check, run))})"


def _legend(used: Iterable[str], layout: _Layout, files: dict[str, bytes]) -> Iterable[str]:
    grid = legend_grid(used, max(layout.columns, int(layout.inner / _SAMPLE)), files)
    if grid:
        yield f"#block(breakable: false, above: 7mm)[\n== #{quoted('The lines')}\n#{grid}\n]"


def _cautions(lesson: Lesson) -> Iterable[str]:
    yield f"#block(breakable: false, above: 7mm)[\n== #{quoted('Before you cut')}"
    yield from (f"- #{quoted(text)}" for text in PRINTED_CAUTIONS)
    yield "]"
    if lesson.warnings:
        yield f"=== #{quoted('Notes')}"
        yield from (f"- #{quoted(text)}" for text in lesson.warnings)


def _units(unit: str) -> Units:
    return Units(Unit(unit))
