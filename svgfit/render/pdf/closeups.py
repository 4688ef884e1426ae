"""Close-ups of a step where its edge was trued or changed most, at full size; amounts written into its pictures."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from svgfit.geometry.box import box_of_points
from svgfit.model.piece import Piece
from svgfit.model.report import Annotation, Opening
from svgfit.model.vocabulary import LandmarkName, PieceKind
from svgfit.render.pdf.parts import Part, Slit
from svgfit.render.pdf.pen import own_pen
from svgfit.render.pdf.picture import Picture, looking_at, view_of
from svgfit.render.pdf.piece_lines import SEEN, mark_lines, notch, outwards, with_cut
from svgfit.render.pdf.step_geometry import APART, CLOSE_UPS, Change, aside, asides_of, spots_of
from svgfit.render.pdf.step_sentences import length
from svgfit.render.sleeve_points import sleeve_points

_AT_NOTCH = 8.0
"""A close-up round a place so near (mm) to the shoulder notch is told as that."""


class Shown(Struct, frozen=True):
    """A picture with what is said under it."""

    picture: Picture
    caption: str


def close_ups(change: Change, width: float, most: float) -> list[Shown]:
    """Draw where the edge was trued, or changed most, at full size."""
    if change.cut_now:
        return [_allowance(change, name, width, most) for name in change.wider[:CLOSE_UPS]]
    shown: list[Shown] = []
    for at, opening in _from_the_left(change)[:CLOSE_UPS]:
        picture = view_of(change.before, box_of_points([at]), 1.0, (width, most * 0.8))
        picture = edge_now(picture, change)
        for slit in change.slits:
            for part in change.parts:
                if borders(part, slit):
                    way = part.motion
                    picture = picture.line("detail", *(slit.points if way is None else map(way.apply, slit.points)))
        if not change.parts:
            picture = with_amounts(picture.arrows(change.ways), change)
        side = _side(change.before, at)
        text = f"{side}, full size." if side else "Full size."
        if opening is not None:
            if abs(opening.gain) >= APART:
                word = "gained" if opening.gain > 0 else "lost"
                text += f" Here the edge {word} {length(opening.gain, change.units)}."
        elif not change.parts and not change.arrows:
            foot, off, lies = aside(change.before, at)
            if off > SEEN:
                farthest = change.instructions.tells_farthest and off > max(asides_of(change)) - APART
                figure = (*(("farthest",) if farthest else ()), length(off, change.units))
                picture = picture.dimension(foot, at, figure, at - foot)
                text += f" Here the new edge lies {length(off, change.units)} {lies} the old."
        shown.append(Shown(picture.framed(), text))
    return shown


def _from_the_left(change: Change) -> list[tuple[complex, Opening | None]]:
    """Find the middles of the close-ups, each with its opening, in the order in which the pictures show them across."""
    spots = spots_of(change)[: max(CLOSE_UPS, len(change.openings))]
    openings = [*change.openings, *[None] * len(spots)][: len(spots)]
    sign = -1 if change.before.placement.mirrors else 1
    return sorted(zip(spots, openings, strict=True), key=lambda one: one[0].real * sign)


def _allowance(change: Change, name: str, width: float, most: float) -> Shown:
    """Draw the new allowance of an edge, measured square to it."""
    wide = change.after.edge(name).allowance or 0.0
    foot, way = outwards(change.after, name, 0.7)
    tip = foot + way * wide
    box = box_of_points([foot - 25 - 8j, foot + 25 + 8j, tip - 25 - 8j, tip + 25 + 8j])
    picture = looking_at([box], change.before, width, most).curve("paper", change.after.outline())
    picture = with_cut(picture, change.cut_was).curve("new", *change.cut_now)
    picture = picture.dimension(foot, tip, ("now", length(wide, change.units)), 1 + 0j)
    text = f"{name.capitalize()}: {length(wide, change.units)} from the stitch line, square to it"
    was = change.allowance_before(name)
    if was is not None and was > SEEN:
        beside = 1j * way * 14.0
        ends = foot + beside, foot + beside + way * was
        picture = picture.dimension(*ends, ("was", length(was, change.units)), -1 + 0j)
        text += f"; before {length(was, change.units)}"
    return Shown(picture.framed(), f"{text}, full size." if picture.factor > 0.999 else f"{text}.")


def _side(piece: Piece, at: complex) -> str:
    notch_at, points = piece.find_landmark(LandmarkName.SHOULDER_NOTCH), sleeve_points(piece)
    if piece.kind == PieceKind.SLEEVE and notch_at is not None and abs(at - notch_at) < _AT_NOTCH:
        return "At the shoulder notch"
    if points is None or abs(at.real - points.top.real) < 2.0:
        return ""
    return "Front" if at.real > points.top.real else "Back"


# -- what is the same at any size --------------------------------------------------------------------------------------


def edge_now(picture: Picture, change: Change) -> Picture:
    """Draw the edge as it is now, heavy, over the paper as it lies, dotted; what moved shaded."""
    for part in change.moving:
        picture = picture.shape("shade", part.now)
    picture = picture.curve("paper", change.after.outline()).curve("old", *change.left_over)
    picture = with_cut(picture.curve("new", *change.drawn_new), change.cut_was).curve("new", *change.cut_now)
    for name in change.wider if change.cut_now else ():
        wide, was = change.after.edge(name).allowance or 0.0, change.allowance_before(name)
        foot, way = outwards(change.after, name, 0.4)
        words = (f"now {length(wide, change.units)}",)
        words = words if was is None else (f"was {length(was, change.units)}", *words)
        picture = picture.dimension(foot, foot + way * wide, words, way)
    for mark in change.notches:
        picture = notch(picture, change.before, mark, "detail")
    for note in change.own_lines:
        picture = _own_line(picture, change, note)
    return mark_lines(picture, change.after, details=False)


def _own_line(picture: Picture, change: Change, note: Annotation) -> Picture:
    """Draw what a plug-in drew with a kind of line of its own, with its label."""
    if note.curve is not None and note.line is not None:
        picture = picture.curve(own_pen(note.line), note.curve)
    at = note.point if note.curve is None else note.curve.point(len(note.curve) / 2)
    if at is None or not note.label:
        return picture
    return picture.label((change.units.speak(note.label),), at, away_from_middle(change, at))


def with_amounts(picture: Picture, change: Change) -> Picture:
    """Write how far each cut has opened, straight across; where nothing opened, how far points went."""
    amounts: list[tuple[str, complex]] = []
    for opening in change.openings:
        word = "overlap" if opening.width < 0 else "open" if change.parts else "step"
        text = f"{word} {length(opening.width, change.units)}" if abs(opening.width) > SEEN else "here"
        amounts.append((text, (opening.first + opening.second) / 2))
    for arrow in () if amounts else change.arrows:
        if arrow.length is not None and arrow.curve is not None:
            amounts.append((length(arrow.length, change.units), (arrow.curve.start + arrow.curve.end) / 2))
    for text, middle in amounts:
        picture = picture.label((text,), middle, away_from_middle(change, middle) - 0.4j)
    return picture


def away_from_middle(change: Change, at: complex) -> complex:
    """Give a direction away from the piece's middle."""
    left, top, right, bottom = change.before.outline().bounds()
    way = at - complex((left + right) / 2, (top + bottom) / 2)
    return complex(way.real, abs(way.imag) * 0.3) if way else 1 + 0j


def borders(part: Part, slit: Slit) -> bool:
    """Tell whether a slash is among a part's edges."""
    points = part.around.points(np.arange(len(part.around), dtype=np.float64))
    return all(float(np.abs(points - end).min()) < 1.0 for end in (slit.points[0], slit.points[-1]))
