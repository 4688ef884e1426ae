"""The teaching sheet: before and after, every step as a person does it with paper, figures, walks, legend, cautions.

Black and white, letters of at least 8 pt, all of it true to the run: no picture is a stock picture. What is said and
shown is collected here; where it stands is said in ``templates/teaching.typ``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.model.length import Units
from svgfit.model.report import Check, MeasurementRow
from svgfit.model.run import SizeRun, piece_rows
from svgfit.model.vocabulary import MeasureUnit, Status
from svgfit.model.wording import listed
from svgfit.render.annotate.block import block_document
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import gathered
from svgfit.render.annotate.tables import PRINTED_CAUTIONS
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.format_values import (
    cell_text,
    has_changed,
    notable_rows,
    row_change,
    value_text,
    verdict_text,
    without_contradicted,
    worst_first,
)
from svgfit.render.pdf.before_after import marks_moved, overlaid, side_by_side
from svgfit.render.pdf.legend import Sample, legend
from svgfit.render.pdf.lesson import (
    AfterSteps,
    Lesson,
    Taught,
    after_the_steps,
    before_the_steps,
    changed_pieces,
    shown_run,
    taught_steps,
)
from svgfit.render.pdf.notch_moves import HEAD as MOVES_HEAD
from svgfit.render.pdf.picture import Image, Picture
from svgfit.render.pdf.step_sentences import asked_text, plain, title_of, todo_of
from svgfit.render.pdf.steps import StepShown, show_step
from svgfit.render.pdf.typesetting import typeset
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


class Row(Struct, frozen=True):
    """One row of a table of figures."""

    cells: tuple[str, ...]
    look: str = ""
    """``strong``: its figures are bold; ``inset``: its name is set in; else plain."""


Rows = tuple[Row, ...]
"""A table, its head first."""


class Figure(Struct, frozen=True):
    """A picture with its number and what is said under it."""

    picture: Image
    number: str
    words: str


class Headed(Struct, frozen=True):
    """Words under a heading, or a table instead."""

    heading: str
    words: str = ""
    rows: Rows = ()


class PieceBlock(Struct, frozen=True):
    """A piece before and after; the first also says in short what is done."""

    heading: str
    figures: tuple[Figure, ...]
    in_short: tuple[Headed, ...] = ()


class FigureGroup(Struct, frozen=True):
    """The pictures of a step on one piece."""

    name: str
    """"" where it is the only piece."""
    figures: tuple[Figure, ...]
    moves: Rows = ()


class StepBlock(Struct, frozen=True):
    """One step: what was asked, the pictures, what came of it."""

    heading: str
    apart: bool
    """Whether it begins on a page of its own."""
    asked: str
    got: str
    groups: tuple[FigureGroup, ...]
    notes: tuple[str, ...]
    changes: Rows


class Walks(Struct, frozen=True):
    """Cap and armhole as strips, notch to notch."""

    pictures: tuple[Image, ...]
    small: tuple[Image, ...]
    """The same with room for the legend beside them; none where there is only one column."""
    small_width: float
    verdicts: tuple[tuple[str, str], ...]


class TeachingSheet(Struct, frozen=True):
    """All that the sheet says and shows; lengths in mm."""

    title: str
    paper: tuple[float, float]
    margin: float
    foot: float
    gutter: float
    column: float
    columns: int
    legend_columns: int
    intro: tuple[str, ...]
    pieces: tuple[PieceBlock, ...]
    tables: tuple[Headed, ...]
    unchanged: str
    steps: tuple[StepBlock, ...]
    after: AfterSteps | None
    checks: tuple[tuple[str, str], ...]
    """Verdicts and what is said of them."""
    walks: Walks | None
    legend: tuple[Sample, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


class _Columns(Struct, frozen=True):
    """How the paper is parted; lengths in mm."""

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
    """Make the teaching sheet as a PDF on paper of (width, height) mm. Raises Refusal where it can't be typeset."""
    return typeset("teaching", teaching_sheet(lesson, paper))


def teaching_sheet(lesson: Lesson, paper: tuple[float, float]) -> TeachingSheet:
    """Collect all that the sheet says and shows on paper of (width, height) mm."""
    layout = _layout(paper)
    run = shown_run(lesson)
    used: list[str] = []
    taught = taught_steps(lesson, run)
    shown = [_shown(lesson, step, layout) for step in taught]
    intro = [words for words in (_which_size(lesson, run), lesson.note) if words]
    if not changed_pieces(run):
        intro.append("No step changed a piece, so there is no before and after to show.")
    tables, unchanged = _tables(lesson, run)
    pieces = tuple(_pieces(lesson, run, _in_short(lesson, taught, shown), layout, used))
    steps = tuple(
        _step(step, pictures, len(taught), lesson, layout, used) for step, pictures in zip(taught, shown, strict=True)
    )
    return TeachingSheet(
        f"Teaching sheet: {lesson.title}",
        paper,
        _MARGIN,
        _FOOT,
        _GUTTER,
        layout.width,
        layout.columns,
        max(layout.columns, int(layout.inner / _SAMPLE)),
        tuple(intro),
        pieces,
        tables,
        unchanged,
        steps,
        after_the_steps(lesson, run, taught),
        _checks(lesson, run),
        _walks(lesson, run, layout),
        legend(used),
        PRINTED_CAUTIONS,
        lesson.warnings,
    )


def _layout(paper: tuple[float, float]) -> _Columns:
    inner, high = paper[0] - 2 * _MARGIN, paper[1] - 2 * _MARGIN - _FOOT
    columns = max(1, min(4, int((inner + _GUTTER) / (_NARROWEST + _GUTTER))))
    width = min((inner - (columns - 1) * _GUTTER) / columns, _WIDEST)
    return _Columns(columns, width, inner, min(0.6 * width, high / 3.6), min(width, high * 0.28), paper[1] < _LOW)


def _shown(lesson: Lesson, step: Taught, layout: _Columns) -> Sequence[StepShown]:
    """Draw a step on each piece that it changed."""
    return [
        show_step(
            change,
            lesson.summary(step.stage.row.do),
            layout.width,
            layout.most,
            closely=len(step.changes) == 1,
            figures=[row.name for _, row in step.figures],
        )
        for change in step.changes
    ]


def _figure(picture: Picture, layout: _Columns, number: str, words: str, used: list[str]) -> Figure:
    """Place a picture's words and note the pens that it ``used``."""
    used += picture.used
    return Figure(picture.drawn().shown(layout.width), number, words)


# -- before and after ------------------------------------------------------------------------------------------------


def _pieces(
    lesson: Lesson, run: SizeRun, in_short: tuple[Headed, ...], layout: _Columns, used: list[str]
) -> Iterable[PieceBlock]:
    """Show each piece before and after, and one on the other."""
    changed = changed_pieces(run)
    tall = layout.tall if len(changed) < 2 else _LOWER * layout.tall
    for number, (old, new) in enumerate(changed):
        figures = run.measured_before.get(old.title, ()), run.measured_after.get(new.title, ())
        before, after = side_by_side(old, new, figures, lesson.units, layout.width, tall)
        laid = overlaid(old, new, layout.width, tall)
        named = [(before, "Before."), (after, "After.")]
        if {"old", "new"} & set(laid.used):
            named.append((laid, "One on the other: heavy as it is now, dotted as it was."))
        else:  # two pictures that are alike teach nothing
            named = [(after, _ONLY_NOTCHES if marks_moved(old, new) else _AS_IT_WAS)]
        shown = tuple(_figure(picture, layout, "", words, used) for picture, words in named)
        yield PieceBlock(f"{new.title}: before and after", shown, in_short if number == 0 else ())


def _which_size(lesson: Lesson, run: SizeRun) -> str:
    """Say which size of a nest the pictures show, why, and how another is had; "" where there is only one."""
    size = _size_of(run)
    if size is None:
        return ""
    others = [other for one in lesson.runs if (other := _size_of(one)) and other != size]
    if not others:
        return f"The pictures, the steps and the figures are those of size {size}."
    return (
        f"The pictures and the steps show size {size}, the middle one by its area. The same is done for "
        f"{listed(others)}, as the table tells; --size {others[0]} makes the sheet of that size."
    )


def _size_of(run: SizeRun) -> str | None:
    return next((piece.size for piece in run.before if piece.size), None)


def _in_short(lesson: Lesson, taught: Sequence[Taught], shown: Sequence[Sequence[StepShown]]) -> tuple[Headed, ...]:
    """List the steps, and what comes before them."""
    before = before_the_steps(taught)
    first = [Headed("Before the first step", before)] if before else []
    return (
        *first,
        *(
            Headed(f"{step.number}. {_heading(step, pictures)}", f"Asked: {_asked(lesson, step)}.")
            for step, pictures in zip(taught, shown, strict=True)
        ),
    )


def _asked(lesson: Lesson, step: Taught) -> str:
    """Say what was asked; where sizes were asked differently, each with its size."""
    rows = [(_size_of(run), run.stages[step.number - 1].row) for run in lesson.runs if len(run.stages) >= step.number]
    texts = {size: asked_text(row, step.instructions) for size, row in rows if size and row.do == step.stage.row.do}
    if len(set(texts.values())) < 2:
        return asked_text(step.stage.row, step.instructions)
    return "; ".join(f"size {size}: {text}" for size, text in texts.items())


def _heading(step: Taught, pictures: Sequence[StepShown]) -> str:
    name = pictures[0].words.title if pictures else title_of(step.stage.row.do, step.instructions)
    pieces = listed([one.piece for one in pictures]) or step.stage.row.piece or ""
    return f"{name} ({pieces})" if pieces else name


# -- tables ----------------------------------------------------------------------------------------------------------


def _tables(lesson: Lesson, run: SizeRun) -> tuple[tuple[Headed, ...], str]:
    """Table every figure of each piece that changed, of a nest a column a size; and say which pieces did not."""
    titles = {new.name for _, new in changed_pieces(run)}
    rows = [row for each in lesson.runs for row in piece_rows(each)]
    tables: list[Headed] = []
    for name in dict.fromkeys(row.name for row in rows if row.name in titles):
        own = [row for row in rows if row.name == name]
        heading = f"{name}: the figures"
        if len(own) > 1:
            sizes = [row.size or "" for row in own]
            tables.append(Headed(heading, rows=_by_size(sizes, [row.measurements for row in own], lesson.units)))
            continue
        figures = notable_rows(own[0].measurements)
        if any(has_changed(row) for row in figures):
            tables.append(Headed(heading, rows=_before_after([("", row) for row in figures], lesson.units, heavy=True)))
        else:
            tables.append(Headed(heading, "Every figure is as it was."))
    same = gathered([(row.name, row.size) for row in rows if row.name not in titles])
    return tuple(tables), f"Unchanged: {listed(same)}." if same else ""


def _before_after(rows: Sequence[tuple[str, MeasurementRow]], units: Units, *, heavy: bool = False) -> Rows:
    """Table figures before and after, each with a piece's title before its name; ``heavy``: bold where they changed."""
    table = [Row(("", "before", "after", "change"))]
    for title, row in rows:
        change = row_change(row, units)
        texts = (cell_text(row.before, row.unit, units), cell_text(row.after, row.unit, units), change)
        name = f"{title}: {row.name}" if title else row.name
        table.append(Row((name, *texts), "strong" if heavy and change not in ("", "same") else ""))
    return tuple(table)


def _by_size(sizes: Sequence[str], every: Sequence[Sequence[MeasurementRow]], units: Units) -> Rows:
    """Table the figures of a nest, a column a size; what changed with what it was beneath."""
    figures = [{row.name: row for row in rows} for rows in every]
    names = [row.name for row in notable_rows(every[0]) if all(row.name in one for one in figures)]
    table = [Row(("size", *sizes))]
    for name in names:
        line = [one[name] for one in figures]
        table.append(Row((name, *(cell_text(row.after, row.unit, units, decimal=False) for row in line))))
        if any(has_changed(row) for row in line):
            was = (cell_text(row.before, row.unit, units, decimal=False) for row in line)
            table.append(Row(("was", *was), "inset"))
    return tuple(table)


# -- the steps -------------------------------------------------------------------------------------------------------


def _step(
    step: Taught, pictures: Sequence[StepShown], count: int, lesson: Lesson, layout: _Columns, used: list[str]
) -> StepBlock:
    """Collect what is said and shown of one step."""
    row, units = step.stage.row, lesson.units
    kinds = {item.name: item.unit for _, item in reversed(step.figures)}
    got = "; ".join(
        f"{name} {value_text(value, kinds.get(name, MeasureUnit.MM), units)}" for name, value in row.got.items()
    )
    groups: list[FigureGroup] = []
    first = 1
    for one in pictures:
        figures = tuple(
            _figure(each.picture, layout, str(n), each.caption, used) for n, each in enumerate(one.shown, first)
        )
        first += len(figures)
        moves = (Row(MOVES_HEAD), *(Row(each.cells(units)) for each in one.moves)) if one.moves else ()
        groups.append(FigureGroup(one.piece if len(pictures) > 1 else "", figures, moves))
    several = len({title for title, _ in step.figures}) > 1
    changes = [(title if several else "", item) for title, item in step.figures]
    return StepBlock(
        f"Step {step.number} of {count}: {_heading(step, pictures)}",
        layout.apart and sum(len(one.shown) for one in pictures) > _SHORT,
        f"{asked_text(row, step.instructions)}.",
        f"{got}." if got else "",
        tuple(groups),
        tuple(dict.fromkeys(one.words.note for one in pictures if one.words.note)),
        _before_after(changes, units) if changes and pictures else (),
    )


# -- what follows ----------------------------------------------------------------------------------------------------


def _checks(lesson: Lesson, run: SizeRun) -> tuple[tuple[str, str], ...]:
    """Tell what the plan checked: of the size shown all, of the others what is not well."""
    others = [check for one in lesson.runs if one is not run for check in one.checks if check.status != Status.PASS]
    every = worst_first((*run.checks, *others))
    return tuple(dict.fromkeys((verdict_text(check), _verdict_sentence(check, run)) for check in every))


def _verdict_sentence(check: Check, run: SizeRun) -> str:
    """Say a verdict in plain words, with what to do about it."""
    names = [f"{piece.name}/{edge.name}" for piece in run.after for edge in piece.edges]
    words, todo = plain(f"{check.name}: {check.message}", names), todo_of(check)
    return f"{words.rstrip('.')}. {todo}" if todo else words


def _walks(lesson: Lesson, run: SizeRun, layout: _Columns) -> Walks | None:
    """Draw cap and armhole as strips, notch to notch, and tell what the walk says; None where nothing is walked."""
    walks = [walk for walk in lesson.walks if walk.size in (None, _size_of(run))] or list(lesson.walks)
    if not walks:
        return None

    def drawn(width: float) -> Iterable[Image]:
        for block in walk_blocks(walks, PageStyle(PICTURE_ON_PAPER, units=lesson.units), min(width - 2.0, 260.0)):
            picture, across, _ = block_document(block, 1 + 2j, 1.0)
            yield Image(picture, across)

    plan = [check for one in lesson.runs for check in one.checks]
    verdicts = [check for walk in walks for check in without_contradicted(walk.verdicts, walk.sleeve, plan)]
    small = layout.inner * _SMALLER
    return Walks(
        tuple(drawn(layout.inner)),
        tuple(drawn(small)) if layout.columns > 1 else (),
        small,
        tuple((verdict_text(check), _verdict_sentence(check, run)) for check in verdicts),
    )
