"""What is written on the page beside the pieces: tables before/after, steps, checks, legend, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from svgfit.model.length import Units
from svgfit.model.line_kind import KINDS, LineKind
from svgfit.model.piece import Piece
from svgfit.model.report import Check, PieceRow, StepRow
from svgfit.model.walk import Walk
from svgfit.render.annotate.block import (
    ROW,
    SWATCH,
    Block,
    Swatch,
    Written,
    column_widths,
    list_rules,
    table_block,
    wrap,
)
from svgfit.render.annotate.line_kinds import PageStyle
from svgfit.render.annotate.nest import gathered, heading, in_nest, nest_tables, shared_steps, speaking
from svgfit.render.annotate.scene import Scene
from svgfit.render.annotate.walk_strips import walk_blocks
from svgfit.render.format_values import before_after, has_changed, notable_rows, value_text, verdict_text
from svgfit.render.text_metrics import ASCENT, text_width

CAUTIONS = (
    "Sew a test garment before you cut good cloth.",
    "After printing, measure a line of known length, such as the test square.",
    "All figures are measured on the drawing, on the stitch line, not on a body.",
)
PRINTED_CAUTIONS = (
    CAUTIONS[0],
    "After printing, measure the squares on the handout’s first page.",
    CAUTIONS[2],
)
"""In a handout, where a drawing's test square need not be among what is printed."""


def all_blocks(scene: Scene, used: Sequence[str], style: PageStyle, *, narrow: bool = False) -> tuple[Block, ...]:
    """Write all there is to say about a drawing, tables of what changed first; ``narrow``: as narrow as may be."""
    size = style.size
    rows = [row for row in scene.rows if row.measurements]
    changed = [row for row in rows if _has_changed(row, scene)]
    titles = tuple(row.title for row in changed)
    least = 0.0 if narrow else max([_table(row, style, 0.0).width for row in changed] + [size * 27])
    width = size * 19 if narrow else least
    blocks = list(nest_tables(changed, style))
    single = [row for row in changed if not any(block.title == row.name for block in blocks)]
    blocks += [_table(row, style, least, narrow=narrow) for row in single]
    unchanged = gathered([(row.name, row.size) for row in rows if row not in changed])
    same = [("", f"{', '.join(unchanged)}: unchanged")] if unchanged else []
    blocks += walk_blocks(scene.walks, style, max(width, size * 40))
    notes = [("", line) for line in scene.warnings]
    spoken = [piece for piece in speaking(scene.after) if piece.size and any(one.title == piece.name for one in blocks)]
    notes += [("", f"{piece.name}: figures and working lines are those of size {piece.size}.") for piece in spoken]
    if spoken:
        notes.append(("", "On each line stands its size; on stitch lines beside cut lines in brackets."))
    several = [walk for walk in scene.walks if any(in_nest(one, scene.after) for one in _walked(walk, scene.after))]
    notes += [
        ("", f"{walk.sleeve}: the strips are those of size {walk.size}; --size draws another.") for walk in several
    ]
    also = [("", f"{text[0].upper()}{text[1:]}.") for text in scene.also]
    if scene.note:
        blocks.append(_paragraphs("The plan", [("", scene.note)], width, size))
    if scene.steps or scene.also:
        blocks.append(
            _paragraphs(
                "Steps",
                [*_step_lines(shared_steps(scene.steps, scene.rows), style.units), *also, *same],
                width,
                size,
            )
        )
    else:
        notes += same
    if scene.checks:
        blocks.append(_paragraphs("Checks", _check_lines(scene.checks), width, size))
    if notes:
        blocks.append(_paragraphs("Notes", notes, width, size))
    own = dict.fromkeys(note.line for note in scene.annotations if note.line is not None)
    blocks.append(replace(_legend(used, tuple(own), _beneath(scene), style), inside=titles))
    blocks.append(_paragraphs("Before you cut", [("", line) for line in CAUTIONS], width, size))
    return tuple(blocks)


def _walked(walk: Walk, pieces: Sequence[Piece]) -> list[Piece]:
    return [piece for piece in pieces if (piece.name, piece.size) == (walk.sleeve, walk.size)]


def _has_changed(row: PieceRow, scene: Scene) -> bool:
    """Tell whether a figure of the piece changed, or its lines did."""
    for figure in row.measurements:
        if has_changed(figure):
            return True
    pairs = zip(scene.before, scene.after, strict=True)
    return any(_is_of(row, new) and new.edges != old.edges for old, new in pairs if new is not old)


def _is_of(row: PieceRow, piece: Piece) -> bool:
    return (row.file, row.name, row.size) == (piece.file, piece.name, piece.size)


def _beneath(scene: Scene) -> str:
    """Say what of the drawing shows beneath ours, where a piece changed; "" where nothing does."""
    if not scene.occupied:
        return ""
    pairs = zip(scene.before, scene.after, strict=True)
    drawn = {line for old, new in pairs if new is not old for line in old.drawn}
    lines = " and ".join(f"{line} line" for line in ("stitch", "cut") if line in drawn)
    return f"{lines} as drawn" if lines else ""


def _table(row: PieceRow, style: PageStyle, least: float, *, narrow: bool = False) -> Block:
    """Tabulate one piece before and after, at least ``least`` mm wide; ``narrow``: names on lines of their own."""
    size, title = style.size, row.title
    cells = [(heading(row, title), "before", "after", "change")]
    cells += [(figure.name, *before_after(figure, style.units)) for figure in notable_rows(row.measurements)]
    widths = column_widths(cells, size)
    between = size * (1.1 if narrow else 1.6)
    if narrow:
        head = text_width(f"{cells[0][0]}  before", size, bold=True)
        widths[0] = max(widths[0] - sum(widths[1:]) - 3 * between, head - widths[1], 0.0)
    widths[0] = max(widths[0], least - sum(widths[1:]) - 3 * between)
    first = 0.0 if narrow and not widths[0] else between
    rights = [widths[0] + first - between + sum(width + between for width in widths[1 : k + 1]) for k in range(4)]
    return table_block(title, cells, rights, size, narrow=narrow, inside=(title,) if row.file else ())


def _step_lines(steps: Sequence[StepRow], units: Units) -> Iterable[tuple[str, str]]:
    for n, step in enumerate(steps, 1):
        asked = ", ".join(f"{name} {value}" for name, value in step.asked.items()) or "nothing more"
        more = f" It {step.came_and_went}." if step.came_and_went else ""
        yield f"{n}.", f"{step.do}{f', {step.piece}' if step.piece else ''}. Asked: {asked}.{more}"
        amounts = (f"{name} {value_text(value, step.unit_of(name), units)}" for name, value in step.got.items())
        got = "; ".join(amounts)
        if got:
            yield "", f"Got: {got}."
        if step.note:
            yield "", f"Note: {step.note}"


def _check_lines(checks: Sequence[Check]) -> Iterable[tuple[str, str]]:
    for check in checks:
        yield verdict_text(check), f"{check.title}: {check.message}"


def _paragraphs(title: str, lines: Iterable[tuple[str, str]], width: float, size: float) -> Block:
    """Set a heading and wrapped lines, each with a word or number in bold before it."""
    lines = list(lines)
    indent = max(text_width(first, size, bold=True) for first, _ in lines)
    indent += size * 0.8 if indent else 0.0
    writing = [Written(title, 1j * size * ASCENT, bold=True)]
    y = size * (ASCENT + ROW + 0.5)
    for first, text in lines:
        if first:
            writing.append(Written(first, 1j * y, bold=True))
        for part in wrap(text, width - indent, size):
            writing.append(Written(part, complex(indent, y)))
            y += size * 1.35
        y += size * 0.2
    height = y - size * 0.95
    return Block(width, height, size, tuple(writing), list_rules(size), title=title)


def _legend(used: Sequence[str], own: Sequence[LineKind], beneath: str, style: PageStyle) -> Block:
    kinds = [kind for kind in (*KINDS, *own) if kind.name in used]
    size = style.size
    left = SWATCH * style.scale + size
    writing = [Written("Lines", 1j * size * ASCENT, bold=True)]
    swatches: list[Swatch] = []
    for n, kind in enumerate(kinds, 1):
        y = size * (ASCENT + n * ROW + 0.5)
        writing.append(Written(kind.legend, complex(left, y)))
        swatches.append(Swatch(kind, 1j * (y - size * 0.33)))
    if beneath:
        y = size * (ASCENT + (len(kinds) + 1) * ROW + 0.5)
        writing += [Written("beneath", 1j * y), Written(beneath, complex(left, y))]
    width = max(left + text_width(line.text, size) for line in writing[1:] or writing)
    height = size * ((len(kinds) + bool(beneath)) * ROW + 2.0)
    return Block(width, height, size, tuple(writing), list_rules(size), tuple(swatches), title="Lines")
