"""Minis: pieces drawn small, with the figures of the full size and letters and lines of a size that is read.

For practising a change with paper and scissors on a desk. Only the pattern is made smaller; a scale bar stands by.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import MM_PER_INCH
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Measurement, Opening
from svgfit.output.field import joined_boxes
from svgfit.output.figures import is_same
from svgfit.output.handout.besides import outwards, sleeve_dimensions
from svgfit.output.handout.legend import legend_grid
from svgfit.output.handout.lesson import Lesson, changed_pieces, shown_run
from svgfit.output.handout.parts import parted_from
from svgfit.output.handout.picture import Picture
from svgfit.output.handout.piecelines import piece_lines
from svgfit.output.handout.typesetting import millimetres, quoted, typeset
from svgfit.output.handout.wording import length
from svgfit.pattern.allowance import cut_line
from svgfit.planning.running import Run

_MARGIN = 12.7
_HEAD, _FOOT = 19.0, 14.0
"""Heights of the heading and of the scale bar, mm."""
_AIRS = ((26.0, 12.0), (14.0, 8.0), (5.0, 5.0))
"""Round a piece for its words, across and down, mm: the most that the paper has room for."""
_APART = 0.08
_LEAST = 1 / 20


class Mini(Struct, frozen=True):
    """How small."""

    factor: float
    """1/2, 1/4 …"""
    text: str
    """As written."""


def read_mini(text: str) -> Mini:
    """The scale of a mini from ``1/2``, ``1/4``, ``0.2`` or ``1:4``. Raises Refusal for what is none."""
    found = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,6})?)\s*(?:[/:]\s*(\d{1,4}(?:\.\d{1,6})?)\s*)?", text)
    below = float(found[2]) if found and found[2] else 1.0
    factor = float(found[1]) / below if found and below else 0.0
    if not _LEAST <= factor < 1:
        what = f"{text} is no scale of a mini" if found is None or not factor else f"{text} is no use as a mini's scale"
        raise Refusal("--mini", what, "write for example 1/2 or 1/4; from 1/20 to less than 1")
    return Mini(factor, text.strip())


def mini_pages(lesson: Lesson, paper: tuple[float, float], mini: Mini) -> bytes:
    """The minis as a PDF on paper of (width, height) mm: the pieces that changed, or all where none did.

    Raises Refusal where a piece is too large for the paper, with the paper that it needs.
    """
    run = shown_run(lesson)
    pairs = changed_pieces(run) or tuple(zip(run.before, run.after, strict=True))
    files: dict[str, bytes] = {}
    used: list[str] = []
    room = paper[0] - 2 * _MARGIN, paper[1] - 2 * _MARGIN - _HEAD - _FOOT
    cells: list[str] = []
    for number, (old, new) in enumerate(pairs):
        figures = run.measured_before.get(old.title, ()), run.measured_after.get(new.title, ())
        picture = _picture(run, old, new, figures, lesson.unit, mini, room)
        used += picture.used
        name = f"mini-{number}.svg"
        drawn = picture.drawn()
        files[name] = drawn.svg
        image = f"image({quoted(name)}, width: {millimetres(drawn.width)})"
        cells.append(f"#box(stack(dir: ttb, spacing: 1mm, strong({quoted(new.title)}), {image}))")
    files["bar.svg"] = scale_bar(mini, lesson.unit).drawn().svg
    return typeset("\n".join([_page(lesson, paper, mini), " #h(3mm) ".join(cells), *_legend(used, files)]), files)


def _page(lesson: Lesson, paper: tuple[float, float], mini: Mini) -> str:
    title = quoted(f"Minis {mini.text}: {lesson.title}")
    head = f'text(size: 12pt, weight: "bold", {title}) + linebreak() + text(size: 9pt, {quoted(_told(mini))})'
    width = scale_bar(mini, lesson.unit).width
    foot = f'image("bar.svg", width: {millimetres(width)})'
    return (
        f"#set document(title: {title})\n"
        f"#set page(width: {millimetres(paper[0])}, height: {millimetres(paper[1])}, "
        f"margin: (x: {millimetres(_MARGIN)}, top: {millimetres(_MARGIN + _HEAD)}, "
        f"bottom: {millimetres(_MARGIN + _FOOT)}), header-ascent: 3mm, "
        f"footer-descent: 2mm, header: {head}, footer: {foot})\n"
        "#set text(size: 9pt)\n#set par(leading: 3mm)\n"
    )


def _told(mini: Mini) -> str:
    return (
        f"Drawn at {mini.text} of the size, for practising: not to cut cloth by. Every figure is that of the full "
        "size. Check the bar at the foot."
    )


def _legend(used: Iterable[str], files: dict[str, bytes]) -> Iterable[str]:
    grid = legend_grid(used, 2, files)
    if grid:
        yield f"#block(breakable: false, above: 5mm, {grid})"


# -- a piece ---------------------------------------------------------------------------------------------------------


def _picture(
    run: Run,
    old: Piece,
    new: Piece,
    figures: tuple[Sequence[Measurement], Sequence[Measurement]],
    unit: str,
    mini: Mini,
    room: tuple[float, float],
) -> Picture:
    """One piece, small: what it was dotted, its working lines, its figures."""
    cut = _cut_of(new)
    boxes = [new.outline().bounds(), old.outline().bounds(), *([cut.bounds()] if cut is not None else [])]
    picture = _view(joined_boxes(boxes), new, mini, room)
    if cut is not None:
        picture = picture.curve("cut line", cut)
    picture = picture.curve("old", *parted_from([old.outline()], [new.outline()], _APART))
    picture = piece_lines(picture, new, edge="new")
    notes = [note for note in run.annotations if note.piece in (new.title, new.name)]
    openings = [opening for opening in run.openings if opening.piece in (new.title, new.name)]
    picture = _working(picture, notes)
    picture = _dimensions(picture, new, figures, unit)
    return _openings(picture, openings, unit)


def _view(box: tuple[float, float, float, float], piece: Piece, mini: Mini, room: tuple[float, float]) -> Picture:
    across, down = (box[2] - box[0]) * mini.factor, (box[3] - box[1]) * mini.factor
    fits = [air for air in _AIRS if across + 2 * air[0] <= room[0] and down + 2 * air[1] + 5 <= room[1]]
    if not fits:
        air = _AIRS[-1]
        need = (across + 2 * (air[0] + _MARGIN), down + 2 * (air[1] + _MARGIN) + _HEAD + _FOOT + 5)
        what = f"at {mini.text} it needs paper of {math.ceil(need[0])} x {math.ceil(need[1])} mm"
        raise Refusal(piece.where, what, "give a larger --paper, or a smaller --mini such as 1/4")
    width, height = across + 2 * fits[0][0], down + 2 * fits[0][1]
    sign = -1.0 if piece.placement.mirrors else 1.0
    middle = complex((box[0] + box[2]) / 2 * sign, (box[1] + box[3]) / 2)
    view = Affine.scale(sign * mini.factor, mini.factor)
    return Picture(view.then(Affine.shift(complex(width, height) / 2 - middle * mini.factor)), width, height)


def _working(picture: Picture, notes: Sequence[Annotation]) -> Picture:
    """Slashes, hinges, arrows; an alternative that was not taken ("or else") is left out."""
    for note in notes:
        if note.kind == "slash" and note.curve is not None and not note.label.startswith("or else"):
            picture = picture.curve("slash", note.curve)
        elif note.kind == "arrow" and note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    hinges = {note.point for note in notes if note.kind == "hinge" and note.point is not None}
    for point in sorted(hinges, key=lambda at: (at.real, at.imag)):
        picture = picture.ring(point)
    return picture


def _dimensions(
    picture: Picture, piece: Piece, figures: tuple[Sequence[Measurement], Sequence[Measurement]], unit: str
) -> Picture:
    """Cap height and bicep width of a sleeve, and every edge's length; what it was where it changed."""
    was, now = ({item.name: item.value for item in found} for found in figures)

    def words(name: str, key: str) -> tuple[str, ...]:
        texts = (*name.split(), length(now[key], unit))
        changed = key in was and not is_same(was[key] - now[key]) and length(was[key], unit) != length(now[key], unit)
        return (*texts, f"was {length(was[key], unit)}") if changed else texts

    told = (("cap height", "cap height"), ("bicep width", "bicep"))
    picture = sleeve_dimensions(picture, piece, {key: words(label, key) for key, label in told if key in now})
    for edge in piece.edges:
        curve = edge.from_front()
        at = curve.at_length(curve.length() * (0.3 if edge.name == "cap" else 0.5))
        picture = picture.label(
            (*edge.name.split(), length(curve.length(), unit)), curve.point(at), outwards(piece, curve, at)
        )
    return picture


def _openings(picture: Picture, openings: Sequence[Opening], unit: str) -> Picture:
    for opening in openings:
        word = "overlap" if opening.width < 0 else "open"
        middle = (opening.first + opening.second) / 2
        way = complex(middle.real, -abs(middle.imag) * 0.4)
        picture = picture.label((f"{word} {length(opening.width, unit)}",), middle, way or 1 + 0j)
    return picture


def _cut_of(piece: Piece) -> Curve | None:
    try:
        return cut_line(piece)
    except Refusal:
        return None


# -- the bar ---------------------------------------------------------------------------------------------------------


def scale_bar(mini: Mini, unit: str) -> Picture:
    """A bar with marks of the full size, shortened like the pieces, and how long it must measure on paper."""
    step, name = (MM_PER_INCH, "in") if unit == "in" else (10.0, "cm")
    count = max(1, round(50.8 / mini.factor / step))
    count = count if count < 10 else round(count / 5) * 5
    every = 1 if count <= 10 else 5
    long = count * step * mini.factor
    left, level = 3.0, 4.0
    picture = Picture(Affine(), left + long + 90.0, 10.0)
    picture = picture.line("cut", complex(left, level), complex(left + long, level))
    for n in range(0, count + 1, every):
        x = left + n * step * mini.factor
        picture = picture.line("notch", complex(x, level - 1.6), complex(x, level + 0.3))
    words = f"{count} {name} at full size; on this paper the bar is {length(long, unit)} long"
    return picture.written(words, complex(left + long + 4.0, level + 1.0), anchor="start")
