"""Minis: pieces drawn small, with the figures of the full size and letters and lines of a size that is read.

For practising a change with paper and scissors on a desk. Only the pattern is made smaller; a scale bar stands by.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from svgfit.geometry.affine import Affine
from svgfit.geometry.curve import Curve
from svgfit.model.length import MM_PER_INCH
from svgfit.model.piece import Piece
from svgfit.model.refusal import Refusal
from svgfit.model.report import Annotation, Measurement, Opening
from svgfit.output.field import Box, joined_boxes
from svgfit.output.figures import is_same
from svgfit.output.handout.besides import outwards, sleeve_dimensions
from svgfit.output.handout.cutlines import cut_of
from svgfit.output.handout.facts import length
from svgfit.output.handout.parts import parted_from
from svgfit.output.handout.picture import WORDS, Picture
from svgfit.output.handout.piecelines import piece_lines
from svgfit.output.lettering import text_width
from svgfit.planning.running import Run

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


# -- a piece ---------------------------------------------------------------------------------------------------------


def mini_picture(run: Run, old: Piece, new: Piece, unit: str, mini: Mini, air: tuple[float, float]) -> Picture:
    """One piece, small: what it was dotted, its working lines, its figures; ``air`` mm round it, across and down."""
    figures = run.measured_before.get(old.title, ()), run.measured_after.get(new.title, ())
    cut = cut_of(new)
    picture = _view(_around(old, new, cut), new, mini, air)
    if cut is not None:
        picture = picture.curve("cut line", cut)
    picture = picture.curve("old", *parted_from([old.outline()], [new.outline()], _APART))
    picture = piece_lines(picture, new, edge="new")
    notes = [note for note in run.annotations if note.piece in (new.title, new.name)]
    openings = [opening for opening in run.openings if opening.piece in (new.title, new.name)]
    picture = _working(picture, notes)
    picture = _dimensions(picture, new, figures, unit)
    return _openings(picture, openings, unit)


def mini_size(old: Piece, new: Piece, mini: Mini) -> tuple[float, float]:
    """Width and height on paper of a mini without its words, mm."""
    left, top, right, bottom = _around(old, new, cut_of(new))
    return (right - left) * mini.factor, (bottom - top) * mini.factor


def _around(old: Piece, new: Piece, cut: Curve | None) -> Box:
    return joined_boxes([new.outline().bounds(), old.outline().bounds(), *([cut.bounds()] if cut is not None else [])])


def _view(box: Box, piece: Piece, mini: Mini, air: tuple[float, float]) -> Picture:
    width = (box[2] - box[0]) * mini.factor + 2 * air[0]
    height = (box[3] - box[1]) * mini.factor + 2 * air[1]
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


# -- the bar ---------------------------------------------------------------------------------------------------------


def scale_bar(mini: Mini, unit: str, room: float) -> Picture:
    """A bar with marks of the full size, shortened like the pieces, and how long it must measure on paper.

    Where ``room`` (mm) is less than bar and words need side by side, the words stand beneath it.
    """
    step, name = (MM_PER_INCH, "in") if unit == "in" else (10.0, "cm")
    count = max(1, round(50.8 / mini.factor / step))
    count = count if count < 10 else round(count / 5) * 5
    every = 1 if count <= 10 else 5
    long = count * step * mini.factor
    left, level = 3.0, 4.0
    words = (f"{count} {name} at full size;", f"on this paper the bar is {length(long, unit)} long")
    beside = left + long + 4.0 + text_width(" ".join(words), WORDS) + 1.0
    narrow = beside > room
    beneath = max(left + long, left + max(text_width(text, WORDS) for text in words)) + 1.0
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
