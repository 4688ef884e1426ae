"""Minis: pieces drawn small, with the figures of the full size and letters and lines of a size that is read.

For practising a change with paper and scissors on a desk: the piece before each step with the lines of that step, and
the piece after to compare with. Only the pattern is made smaller; a scale bar stands by.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from svgfit.geometry.box import Box, box_around
from svgfit.model.length import MM_PER_INCH, Units
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Measurement
from svgfit.model.run import SizeRun
from svgfit.model.vocabulary import EdgeName, Unit
from svgfit.render.format_values import is_same
from svgfit.render.pdf.before_after import keeps_length
from svgfit.render.pdf.lesson import Lesson, Taught, changed_pieces, taught_steps
from svgfit.render.pdf.parts import parted_from
from svgfit.render.pdf.picture import Picture, view_of
from svgfit.render.pdf.piece_lines import (
    SLEEVE_FIGURES,
    cut_of,
    edge_length,
    piece_lines,
    sided,
    sleeve_dimensions,
    with_cut,
)
from svgfit.render.pdf.step_geometry import Change, facts_of, is_seen
from svgfit.render.pdf.step_sentences import length, words_of
from svgfit.render.pdf.steps import slashed

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

    Of a plan that changed nothing, every piece that is there as it is.
    """
    pairs = changed_pieces(run)
    if not pairs:
        figures = run.measured_after
        return tuple(
            MiniPiece(one.title, "", one, one, _around([one]), own, own)
            for one in run.after
            for own in [tuple(figures.get(one.title, ()))]
        )
    taught = taught_steps(lesson, run)
    return tuple(mini for old, new in pairs for mini in _in_turn(run, taught, old, new))


def _in_turn(run: SizeRun, taught: Sequence[Taught], old: Piece, new: Piece) -> Iterable[MiniPiece]:
    """Make the minis of one piece in the order of its steps."""
    was, now = (tuple(found.get(old.title, ())) for found in (run.measured_before, run.measured_after))
    steps = [(one, each) for one in taught for each in one.changes if each.before.title == old.title and is_seen(each)]
    around = _around([old, new, *(each.before for _, each in steps)])
    step = "the step"
    for one, change in steps:
        name = words_of(facts_of(change, ""), change.instructions).title.lower()
        step = f"step {one.number}" if len(run.stages) > 1 else "the step"
        figures = tuple(one.before.get(old.title, ()))
        purpose = f"Do {step} on it: {name}. Cut it out along its edge, the stitch line."
        yield MiniPiece(f"{old.title}, before {step}", purpose, old, change.before, around, was, figures, change)
    title = f"{new.title}, after {'all steps' if len(steps) > 1 else step}"
    yield MiniPiece(title, "To compare with: nothing is cut here.", old, new, around, was, now)


def mini_picture(one: MiniPiece, units: Units, mini: Mini, air: tuple[float, float]) -> Picture:
    """Draw one piece, small, with its figures and ``air`` mm round it, across and down.

    To do a step on: with the lines of that step. After it: what it was dotted, no lines to cut along.
    """
    across, down = mini_size(one, mini)
    picture = view_of(one.new, one.around, mini.factor, (across + 2 * air[0], down + 2 * air[1]))
    if one.change is None:
        picture = with_cut(picture, cut_of(one.new))
        picture = picture.curve("old", *parted_from([one.old.outline()], [one.new.outline()], _APART))
        picture = piece_lines(picture, one.new, edge="new")
    else:
        picture = _working(piece_lines(picture, one.new), one.change, units)
    return sided(_dimensions(picture, one, units), one.new)


def mini_size(one: MiniPiece, mini: Mini) -> tuple[float, float]:
    """Measure a mini on paper without its words: width and height, mm."""
    left, top, right, bottom = one.around
    return (right - left) * mini.factor, (bottom - top) * mini.factor


def _around(pieces: Sequence[Piece]) -> Box:
    curves = [curve for piece in pieces for curve in (piece.outline(), cut_of(piece)) if curve is not None]
    return box_around(curve.bounds() for curve in curves)


def _working(picture: Picture, change: Change, units: Units) -> Picture:
    """Draw slashes and hinges with how far they open, and where points go; nothing that the step does not do."""
    picture = with_cut(slashed(picture, change.slits, "slash").arrows(change.ways), change.cut_was)
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
    was = {item.name: item.value for item in one.was if one.change is None}
    words: dict[str, tuple[str, ...]] = {}
    for item in (item for item in one.now if item.name in SLEEVE_FIGURES):
        now, before = length(item.value, units), was.get(item.name, item.value)
        texts = (*item.name.removesuffix(" width").split(), now)
        changed = not is_same(before - item.value) and length(before, units) != now
        words[item.name] = (*texts, f"was {length(before, units)}") if changed else texts
    picture = sleeve_dimensions(picture, one.new, words)
    for edge in one.new.edges:
        if one.change is None or not keeps_length(one.new, one.change.after, edge.name):
            picture = edge_length(picture, one.new, edge.name, units, 0.3 if edge.name == EdgeName.CAP else 0.5)
    return picture


class ScaleBar(Struct, frozen=True):
    """A bar with marks of the full size, as small as the pieces."""

    step: float
    """From mark to mark, mm on paper."""
    steps: int
    words: str
    """How long it is, and must measure on paper."""


def scale_bar(mini: Mini, units: Units) -> ScaleBar:
    """Choose a bar of about two inches on paper, in whole inches or centimetres of the full size."""
    unit, name = (MM_PER_INCH, "in") if units.unit == Unit.IN else (10.0, "cm")
    count = max(1, round(50.8 / mini.factor / unit))
    count = count if count < 10 else round(count / 5) * 5
    every = 1 if count <= 10 else 5
    long = length(count * unit * mini.factor, units)
    words = f"{count} {name} at full size; on this paper the bar is {long} long"
    return ScaleBar(every * unit * mini.factor, count // every, words)
