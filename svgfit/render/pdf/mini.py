"""Minis: pieces drawn small, with the figures of the full size and letters and lines of a size that is read.

For practising a change with paper and scissors on a desk: the piece before each step with the lines of that step, and
the piece after to compare with. Only the pattern is made smaller; a scale bar stands by.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.fitting.sewn import sewn_length
from svgfit.geometry.affine import Affine
from svgfit.geometry.box import Box, box_around
from svgfit.model.length import MM_PER_INCH, Units
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import EdgeName, Figure, Unit
from svgfit.render.format_values import is_same
from svgfit.render.pdf.before_after import edge_words, outwards, sleeve_dimensions
from svgfit.render.pdf.lesson import Lesson, Taught, changed_pieces, taught_steps
from svgfit.render.pdf.parts import parted_from
from svgfit.render.pdf.picture import Picture
from svgfit.render.pdf.piece_lines import cut_of, piece_lines, sided
from svgfit.render.pdf.step_geometry import Change, arrows_of, facts_of, is_seen
from svgfit.render.pdf.step_sentences import length, words_of
from svgfit.render.text_metrics import text_width
from svgfit.rules.lettering import PICTURE_ON_PAPER

_APART = 0.08
_LEAST = 1 / 20


class Mini(Struct, frozen=True):
    """How small."""

    factor: float
    """1/2, 1/4 …"""
    text: str
    """As written."""


def read_mini(text: str) -> Mini:
    """Read the scale of a mini from ``1/2``, ``1/4``, ``0.2`` or ``1:4``. Raises Refusal for what is none."""
    found = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,6})?)\s*(?:[/:]\s*(\d{1,4}(?:\.\d{1,6})?)\s*)?", text)
    below = float(found[2]) if found and found[2] else 1.0
    factor = float(found[1]) / below if found and below else 0.0
    if not _LEAST <= factor < 1:
        what = f"{text} is no scale of a mini" if found is None or not factor else f"{text} is no use as a mini's scale"
        raise Refusal("--mini", what, "write for example 1/2 or 1/4; from 1/20 to less than 1")
    return Mini(factor, text.strip())


# -- a piece ---------------------------------------------------------------------------------------------------------


class MiniPiece(Struct, frozen=True):
    """One mini: a piece to do a step on, or the piece as it is at the end, to compare with."""

    title: str
    purpose: str
    """What it is for, under its title."""
    old: Piece
    """As it was before the plan: dotted where ``change`` is None."""
    new: Piece
    """As it is drawn."""
    around: Box
    """What all minis of this piece take, so that they can be compared."""
    was: tuple[Measurement, ...]
    now: tuple[Measurement, ...]
    """Its figures before the plan, and as it is drawn."""
    change: Change | None = None
    """The step to do on it, with its lines."""


def minis_of(lesson: Lesson, run: SizeRun) -> tuple[MiniPiece, ...]:
    """Make the minis of every piece that changed: before each step that shows on paper, and after all.

    Of a plan that changed nothing, every piece as it is.
    """
    pairs = changed_pieces(run)
    if not pairs:
        figures = run.measured_before
        return tuple(
            MiniPiece(one.title, "", one, one, _around([one]), own, own)
            for one in run.before
            for own in [tuple(figures.get(one.title, ()))]
        )
    taught = taught_steps(lesson, run)
    return tuple(mini for old, new in pairs for mini in _in_turn(run, taught, old, new))


def _in_turn(run: SizeRun, taught: Sequence[Taught], old: Piece, new: Piece) -> Iterable[MiniPiece]:
    """Make the minis of one piece in the order of its steps."""
    was, now = (tuple(found.get(old.title, ())) for found in (run.measured_before, run.measured_after))
    steps = [(one, each) for one in taught for each in one.changes if each.before.title == old.title and is_seen(each)]
    around = _around([old, new, *(each.before for _, each in steps)])
    several = len(run.stages) > 1
    for one, change in steps:
        name = words_of(facts_of(change, ""), change.instructions).title.lower()
        step = f"step {one.number}" if several else "the step"
        figures = tuple(one.before.get(old.title, ()))
        purpose = f"Do {step} on it: {name}. Cut it out along its edge, the stitch line."
        yield MiniPiece(f"{old.title}, before {step}", purpose, old, change.before, around, was, figures, change)
    title = f"{new.title}, after all steps" if len(steps) > 1 else f"{new.title}, after {step_name(steps, several)}"
    yield MiniPiece(title, "To compare with: nothing is cut here.", old, new, around, was, now)


def step_name(steps: Sequence[tuple[Taught, Change]], several: bool) -> str:
    """Name the only step of a piece."""
    return f"step {steps[0][0].number}" if several and steps else "the step"


def mini_picture(one: MiniPiece, units: Units, mini: Mini, air: tuple[float, float]) -> Picture:
    """Draw one piece, small, with its figures and ``air`` mm round it, across and down.

    To do a step on: with the lines of that step. After it: what it was dotted, no lines to cut along.
    """
    picture = _view(one.around, one.new, mini, air)
    if one.change is None:
        cut = cut_of(one.new)
        picture = picture if cut is None else picture.curve("cut line", cut)
        picture = picture.curve("old", *parted_from([one.old.outline()], [one.new.outline()], _APART))
        picture = piece_lines(picture, one.new, edge="new")
    else:
        picture = piece_lines(picture, one.new)
        picture = _working(picture, one.change, units)
    return sided(_dimensions(picture, one, units), one.new)


def mini_size(one: MiniPiece, mini: Mini) -> tuple[float, float]:
    """Measure a mini on paper without its words: width and height, mm."""
    left, top, right, bottom = one.around
    return (right - left) * mini.factor, (bottom - top) * mini.factor


def _around(pieces: Sequence[Piece]) -> Box:
    cuts = [cut.bounds() for piece in pieces if (cut := cut_of(piece)) is not None]
    return box_around([*(piece.outline().bounds() for piece in pieces), *cuts])


def _view(box: Box, piece: Piece, mini: Mini, air: tuple[float, float]) -> Picture:
    width = (box[2] - box[0]) * mini.factor + 2 * air[0]
    height = (box[3] - box[1]) * mini.factor + 2 * air[1]
    sign = -1.0 if piece.placement.mirrors else 1.0
    middle = complex((box[0] + box[2]) / 2 * sign, (box[1] + box[3]) / 2)
    view = Affine.scale(sign * mini.factor, mini.factor)
    return Picture(view.then(Affine.shift(complex(width, height) / 2 - middle * mini.factor)), width, height)


def _working(picture: Picture, change: Change, units: Units) -> Picture:
    """Draw slashes and hinges with how far they open, and where points go; nothing that the step does not do."""
    for slit in change.slits:
        picture = picture.line("slash", *slit.points)
    for note in arrows_of(change):
        if note.curve is not None:
            picture = picture.arrow(note.curve.start, note.curve.end)
    for slit in change.slits:
        picture = picture if slit.hinge is None else picture.ring(slit.hinge)
    if change.cut_was is not None:
        picture = picture.curve("cut line", change.cut_was)
    ends = [end for slit in change.slits for end in (slit.points[0], slit.points[-1]) if end != slit.hinge]
    for opening in change.openings if ends else ():
        word = "overlap" if opening.width < 0 else "open"
        middle = (opening.first + opening.second) / 2
        at = min(ends, key=lambda end: abs(end - middle))
        way = complex(at.real, -abs(at.imag) * 0.4)
        picture = picture.label((f"{word} {length(opening.width, units)}",), at, way or 1 + 0j)
    return picture


def _dimensions(picture: Picture, one: MiniPiece, units: Units) -> Picture:
    """Write cap height and bicep width of a sleeve, and every edge's length; what it was where it changed.

    Before a step, only those of edges that the step makes longer or shorter: room for its lines.
    """
    was, now = ({item.name: item.value for item in found} for found in (one.was, one.now))

    def words(name: str, key: str) -> tuple[str, ...]:
        texts = (*name.split(), length(now[key], units))
        changed = key in was and not is_same(was[key] - now[key]) and length(was[key], units) != length(now[key], units)
        return (*texts, f"was {length(was[key], units)}") if changed and one.change is None else texts

    labels = ((Figure.CAP_HEIGHT, "cap height"), (Figure.BICEP_WIDTH, "bicep"))
    picture = sleeve_dimensions(picture, one.new, {key: words(label, key) for key, label in labels if key in now})
    for edge in one.new.edges:
        curve = edge.from_front()
        if one.change is not None and _keeps(one.change, one.new, edge.name):
            continue
        at = curve.at_length(curve.length() * (0.3 if edge.name == EdgeName.CAP else 0.5))
        picture = picture.label(edge_words(one.new, edge.name, units), curve.point(at), outwards(one.new, curve, at))
    return picture


def _keeps(change: Change, piece: Piece, edge: str) -> bool:
    """Tell whether a step leaves an edge as long as it was."""
    after = change.after
    return after.has_edge(edge) and is_same(sewn_length(after, edge) - sewn_length(piece, edge))


# -- the bar ---------------------------------------------------------------------------------------------------------


def scale_bar(mini: Mini, units: Units, room: float) -> Picture:
    """Draw a bar with marks of the full size, as small as the pieces, and how long it must measure on paper.

    Where ``room`` (mm) is less than bar and words need side by side, the words stand beneath it.
    """
    step, name = (MM_PER_INCH, "in") if units.unit == Unit.IN else (10.0, "cm")
    count = max(1, round(50.8 / mini.factor / step))
    count = count if count < 10 else round(count / 5) * 5
    every = 1 if count <= 10 else 5
    long = count * step * mini.factor
    left, level = 3.0, 4.0
    words = (f"{count} {name} at full size;", f"on this paper the bar is {length(long, units)} long")
    beside = left + long + 4.0 + text_width(" ".join(words), PICTURE_ON_PAPER) + 1.0
    narrow = beside > room
    beneath = max(left + long, left + max(text_width(text, PICTURE_ON_PAPER) for text in words)) + 1.0
    picture = Picture(Affine(), beneath if narrow else beside, 16.0 if narrow else 10.0)
    picture = picture.line("cut", complex(left, level), complex(left + long, level))
    for n in range(0, count + 1, every):
        x = left + n * step * mini.factor
        picture = picture.line("notch", complex(x, level - 1.6), complex(x, level + 0.3))
    if not narrow:
        return picture.written(" ".join(words), complex(left + long + 4.0, level + 1.0), anchor="start")
    for number, text in enumerate(words):
        picture = picture.written(text, complex(left, level + 4.6 + 4.4 * number), anchor="start")
    return picture
