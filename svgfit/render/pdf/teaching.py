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
from svgfit.model.vocabulary import Status
from svgfit.model.wording import listed
from svgfit.render.annotate.block import block_document
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import gathered
from svgfit.render.annotate.tables import PRINTED_CAUTIONS
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.format_values import (
    UNCHANGED,
    WAS,
    before_after,
    has_changed,
    notable_rows,
    size_rows,
    value_text,
    verdict_text,
    without_contradicted,
    worst_first,
)
from svgfit.render.pdf.before_after import overlaid, side_by_side
from svgfit.render.pdf.lesson import Lesson, Taught, allowances, changed_pieces, same_step, shown_run, taught_steps
from svgfit.render.pdf.notch_moves import HEAD as MOVES_HEAD
from svgfit.render.pdf.pen import Pen, pens_of
from svgfit.render.pdf.picture import Image, Picture
from svgfit.render.pdf.piece_lines import moved_marks
from svgfit.render.pdf.step_sentences import asked_text, plain, title_of, todo_of
from svgfit.render.pdf.steps import StepShown, show_step
from svgfit.render.pdf.typesetting import typeset
from svgfit.rules.lettering import PICTURE_ON_PAPER

_NARROWEST, _WIDEST = 78.0, 130.0
"""A column of pictures, mm."""
_LOWER = 0.64
"""Where several pieces changed their pictures are lower by this, so that two fit on a page."""
_SMALLER = 0.56
"""So wide are the walks drawn, of the page's width, where that saves a page."""


class Layout(Struct, frozen=True):
    """How the paper is parted, for the sake of which pictures are drawn so wide; lengths in mm."""

    paper: tuple[float, float]
    columns: int
    """Of pictures."""
    column: float
    """Width of one."""
    margin: float = 15.0
    gutter: float = 6.0
    """Between columns."""
    foot: float = 5.0
    """Height of the line at the foot."""

    @property
    def inner(self) -> float:
        """Width of the paper without its margins."""
        return self.paper[0] - 2 * self.margin

    @property
    def high(self) -> float:
        """Height of the paper without its margins and the foot."""
        return self.paper[1] - 2 * self.margin - self.foot


class Row(Struct, frozen=True):
    """One row of a table of figures."""

    cells: tuple[str, ...]
    look: str = ""
    """``strong``: its figures are bold; ``inset``: its name is set in; else plain."""


class Figure(Struct, frozen=True):
    """A picture with its number and what is said under it."""

    picture: Image
    number: str
    words: str


class Part(Struct, frozen=True):
    """What stands under one heading: words, pictures side by side, a table, or some of these."""

    heading: str
    words: str = ""
    figures: tuple[Figure, ...] = ()
    rows: tuple[Row, ...] = ()
    """Its head first."""


class StepBlock(Struct, frozen=True):
    """One step: what was asked, the pictures, what came of it."""

    name: str
    asked: str
    asked_by_size: str
    """What was asked; where sizes were asked differently, each with its size."""
    got: str
    parts: tuple[Part, ...]
    """For each piece its pictures, and how far its notches move; without a heading where it is the only piece."""
    notes: tuple[str, ...]
    changes: tuple[Row, ...]


class Walks(Struct, frozen=True):
    """Cap and armhole as strips, notch to notch."""

    pictures: tuple[Image, ...]
    small: tuple[Image, ...]
    """The same with room for the legend beside them; none where there is only one column."""
    verdicts: tuple[tuple[str, str], ...]


class TeachingSheet(Struct, frozen=True):
    """All that the sheet says and shows."""

    title: str
    layout: Layout
    intro: tuple[str, ...]
    pieces: tuple[Part, ...]
    """Before and after."""
    allowances: tuple[tuple[str, str], ...]
    """Of each changed piece its title and its allowances, which the steps are done without; () where they are not."""
    tables: tuple[Part, ...]
    unchanged: str
    steps: tuple[StepBlock, ...]
    checks: tuple[tuple[str, str], ...]
    """Verdicts and what is said of them."""
    walks: Walks | None
    pens: tuple[Pen, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


def teaching_pages(lesson: Lesson, paper: tuple[float, float]) -> bytes:
    """Make the teaching sheet as a PDF on paper of (width, height) mm. Raises Refusal where it can't be typeset."""
    return typeset("teaching", teaching_sheet(lesson, paper))


def teaching_sheet(lesson: Lesson, paper: tuple[float, float]) -> TeachingSheet:
    """Collect all that the sheet says and shows on paper of (width, height) mm."""
    layout = _layout(paper)
    run = shown_run(lesson)
    taught = taught_steps(lesson, run)
    tables, unchanged = _tables(lesson, run)
    pieces = tuple(_pieces(lesson, run, layout))
    steps = tuple(_step(step, lesson, layout) for step in taught)
    every = (*pieces, *(part for step in steps for part in step.parts))
    return TeachingSheet(
        f"Teaching sheet: {lesson.title}",
        layout,
        tuple(filter(None, (*lesson.says, _which_size(lesson, run), lesson.note))),
        pieces,
        allowances(lesson, run, taught),
        tables,
        unchanged,
        steps,
        _checks(lesson, run),
        _walks(lesson, run, layout),
        pens_of({pen for part in every for figure in part.figures for pen in figure.picture.used}),
        PRINTED_CAUTIONS,
        lesson.warnings,
    )


def _layout(paper: tuple[float, float]) -> Layout:
    one = Layout(paper, 1, 0.0)
    columns = max(1, min(4, int((one.inner + one.gutter) / (_NARROWEST + one.gutter))))
    return Layout(paper, columns, min((one.inner - (columns - 1) * one.gutter) / columns, _WIDEST))


def _figure(picture: Picture, layout: Layout, words: str, number: str = "") -> Figure:
    return Figure(picture.shown(layout.column), number, words)


# -- before and after ------------------------------------------------------------------------------------------------


def _pieces(lesson: Lesson, run: SizeRun, layout: Layout) -> Iterable[Part]:
    """Show each piece before and after, and one on the other."""
    changed = changed_pieces(run)
    tall = min(layout.column, layout.high * 0.28) * (1.0 if len(changed) < 2 else _LOWER)
    for old, new in changed:
        figures = run.measured_before.get(old.title, ()), run.measured_after.get(new.title, ())
        before, after = side_by_side((old, new), figures, lesson.units, layout.column, tall)
        laid = overlaid(old, new, layout.column, tall)
        named = [(before, "Before."), (after, "After.")]
        if {"old", "new"} & set(laid.used):
            named.append((laid, "One on the other: heavy as it is now, dotted as it was."))
        elif moved_marks(old, new):  # two pictures that are alike teach nothing
            named = [(after, "Its edge stays as it was; only notches move, as the step shows.")]
        else:
            named = [(after, "It is as it was: no line of it moves.")]
        figures = tuple(_figure(picture, layout, words) for picture, words in named)
        yield Part(f"{new.title}: before and after", figures=figures)


def _which_size(lesson: Lesson, run: SizeRun) -> str:
    """Say which size of a nest the pictures show, why, and how another is had; "" where there is only one."""
    if run.size is None:
        return ""
    others = [one.size for one in lesson.runs if one.size and one.size != run.size]
    if not others:
        return f"The pictures, the steps and the figures are those of size {run.size}."
    return (
        f"The pictures and the steps show size {run.size}, the middle one by its area. The same is done for "
        f"{listed(others)}, as the table tells; --size {others[0]} makes the sheet of that size."
    )


# -- tables ----------------------------------------------------------------------------------------------------------


def _tables(lesson: Lesson, run: SizeRun) -> tuple[tuple[Part, ...], str]:
    """Table every figure of each piece that changed, of a nest a column a size; and say which pieces did not."""
    titles = {new.name for _, new in changed_pieces(run)}
    rows = [row for each in lesson.runs for row in piece_rows(each)]
    tables: list[Part] = []
    for name in dict.fromkeys(row.name for row in rows if row.name in titles):
        own = [row for row in rows if row.name == name]
        heading, figures = f"{name}: the figures", notable_rows(own[0].measurements)
        if len(own) > 1:
            table = [("size", *(row.size or "" for row in own))]
            table += size_rows([row.measurements for row in own], lesson.units)
            tables.append(Part(heading, rows=tuple(Row(row, "inset" if row[0] == WAS else "") for row in table)))
        elif any(map(has_changed, figures)):
            tables.append(Part(heading, rows=_table([("", row) for row in figures], lesson.units, heavy=True)))
        else:
            tables.append(Part(heading, "Every figure is as it was."))
    same = gathered([(row.name, row.size) for row in rows if row.name not in titles])
    return tuple(tables), f"Unchanged: {listed(same)}." if same else ""


def _table(rows: Sequence[tuple[str, MeasurementRow]], units: Units, *, heavy: bool = False) -> tuple[Row, ...]:
    """Table figures before and after, each with a piece's title before its name; ``heavy``: bold where they changed."""
    table = [Row(("", "before", "after", "change"))]
    for title, row in rows:
        cells = before_after(row, units)
        name = f"{title}: {row.name}" if title else row.name
        table.append(Row((name, *cells), "strong" if heavy and cells[-1] not in ("", UNCHANGED) else ""))
    return tuple(table)


# -- the steps -------------------------------------------------------------------------------------------------------


def _step(step: Taught, lesson: Lesson, layout: Layout) -> StepBlock:
    """Collect what is said and shown of one step."""
    row, units = step.stage.row, lesson.units
    got = [f"{name} {value_text(value, row.unit_of(name), units)}" for name, value in row.got.items()]
    shown = _pictures(step, lesson, layout)
    parts: list[Part] = []
    first = 1
    for one in shown:
        figures = [_figure(each.picture, layout, each.caption, str(n)) for n, each in enumerate(one.shown, first)]
        first += len(figures)
        moves = (Row(MOVES_HEAD), *(Row(each.cells(units)) for each in one.moves)) if one.moves else ()
        parts.append(Part(one.piece if len(shown) > 1 else "", figures=tuple(figures), rows=moves))
    several = len({title for title, _ in step.figures}) > 1
    changes = [(title if several else "", item) for title, item in step.figures]
    name = shown[0].words.title if shown else title_of(row.do, step.instructions)
    pieces = listed([one.piece for one in shown]) or row.piece or ""
    return StepBlock(
        f"{name} ({pieces})" if pieces else name,
        f"{asked_text(row, step.instructions)}.",
        f"{_asked_by_size(lesson, step)}.",
        f"{'; '.join(got)}." if got else "",
        tuple(parts),
        (
            *([f"Note: {row.note}"] if row.note else []),
            *dict.fromkeys(one.words.note for one in shown if one.words.note),
        ),
        _table(changes, units) if changes and shown else (),
    )


def _pictures(step: Taught, lesson: Lesson, layout: Layout) -> list[StepShown]:
    """Draw a step on each piece that it changed."""
    summary, figures = lesson.summary(step.stage.row.do), [row.name for _, row in step.figures]
    most, closely = min(0.6 * layout.column, layout.high / 3.6), len(step.changes) == 1
    return [
        show_step(change, summary, layout.column, most, closely=closely, figures=figures) for change in step.changes
    ]


def _asked_by_size(lesson: Lesson, step: Taught) -> str:
    """Say what was asked; where sizes were asked differently, each with its size."""
    rows = [(run.size, stage.row) for run in lesson.runs if (stage := same_step(run, step)) is not None]
    texts = {size: asked_text(row, step.instructions) for size, row in rows if size}
    if len(set(texts.values())) < 2:
        return asked_text(step.stage.row, step.instructions)
    return "; ".join(f"size {size}: {text}" for size, text in texts.items())


# -- what follows ----------------------------------------------------------------------------------------------------


def _checks(lesson: Lesson, run: SizeRun) -> tuple[tuple[str, str], ...]:
    """Tell what the plan checked: of the size shown all, of the others what is not well."""
    others = [check for one in lesson.runs if one is not run for check in one.checks if check.status != Status.PASS]
    return tuple(dict.fromkeys(_verdict(check, run) for check in worst_first((*run.checks, *others))))


def _verdict(check: Check, run: SizeRun) -> tuple[str, str]:
    """Give a verdict and say it in plain words, with what to do about it."""
    names = [f"{piece.name}/{edge.name}" for piece in run.after for edge in piece.edges]
    words, todo = plain(f"{check.title}: {check.message}", names), todo_of(check)
    return verdict_text(check), f"{words.rstrip('.')}. {todo}" if todo else words


def _walks(lesson: Lesson, run: SizeRun, layout: Layout) -> Walks | None:
    """Draw cap and armhole as strips, notch to notch, and tell what the walk says; None where nothing is walked."""
    walks = [walk for walk in lesson.walks if walk.size in (None, run.size)] or list(lesson.walks)
    if not walks:
        return None

    def drawn(width: float) -> Iterable[Image]:
        for block in walk_blocks(walks, PageStyle(PICTURE_ON_PAPER, units=lesson.units), min(width - 2.0, 260.0)):
            picture, across, _ = block_document(block, 1 + 2j, 1.0)
            yield Image(picture, across)

    plan = [check for one in lesson.runs for check in one.checks]
    verdicts = [check for walk in walks for check in without_contradicted(walk.verdicts, walk.sleeve, plan)]
    return Walks(
        tuple(drawn(layout.inner)),
        tuple(drawn(layout.inner * _SMALLER)) if layout.columns > 1 else (),
        tuple(_verdict(check, run) for check in verdicts),
    )
