"""Close-ups of a step where its edge was trued or changed most, at full size; amounts written into its pictures."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from svgfit.geometry.box import box_of_points
from svgfit.model.piece import Piece
from svgfit.model.report import Opening
from svgfit.model.vocabulary import LandmarkName, PieceKind
from svgfit.render.pdf.before_after import outwards
from svgfit.render.pdf.parts import Part, Slit
from svgfit.render.pdf.picture import Picture, full_size, looking_at
from svgfit.render.pdf.piece_lines import notch, piece_lines
from svgfit.render.pdf.step_geometry import (
    APART,
    CLOSE_UPS,
    SEEN,
    Change,
    arrows_of,
    aside,
    asides_of,
    moved_marks,
    spots_of,
)
from svgfit.render.pdf.step_sentences import length

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
        picture = full_size(at, width, most * 0.8, mirror=change.mirror)
        for part in change.parts:
            if part.motion is not None:
                picture = picture.shape("shade", part.now)
        for slit in change.slits:
            for part in change.parts:
                if borders(part, slit):
                    way = part.motion
                    picture = picture.line("detail", *(slit.points if way is None else map(way.apply, slit.points)))
        picture = piece_lines(picture, change.after, edge="", details=False)
        for mark in moved_marks(change):
            picture = notch(picture, change.before, mark, "detail")
        picture = picture.curve("paper", change.after.outline()).curve("old", *change.left_over)
        picture = picture.curve("new", *change.drawn_new)
        picture = with_cut_lines(picture, change)
        if not change.parts:
            for note in arrows_of(change):
                if note.curve is not None:
                    picture = picture.arrow(note.curve.start, note.curve.end)
            picture = with_amounts(picture, change)
        side = _side(change.before, at)
        text = f"{side}, full size." if side else "Full size."
        if opening is not None:
            gain = opening.gain
            if abs(gain) >= APART:
                word = "gained" if gain > 0 else "lost"
                text += f" Here the edge {word} {length(gain, change.units)}."
        elif not change.parts and not arrows_of(change):
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
    return sorted(zip(spots, openings, strict=True), key=lambda one: one[0].real * (-1 if change.mirror else 1))


def _allowance(change: Change, name: str, width: float, most: float) -> Shown:
    """Draw the new allowance of an edge, measured square to it."""
    edge = change.after.edge(name)
    curve, wide = edge.from_front(), edge.allowance or 0.0
    at = curve.at_length(curve.length() * 0.7)
    foot, way = curve.point(at), outwards(change.after, curve, at)
    tip = foot + way * wide
    box = box_of_points([foot - 25 - 8j, foot + 25 + 8j, tip - 25 - 8j, tip + 25 + 8j])
    picture = looking_at([box], width, mirror=change.mirror, most=most)
    picture = picture.curve("paper", change.after.outline())
    picture = with_cut_lines(picture, change, plain=True).dimension(
        foot, tip, ("now", length(wide, change.units)), 1 + 0j
    )
    text = f"{name.capitalize()}: {length(wide, change.units)} from the stitch line, square to it"
    was = change.before.edge(name).allowance if change.before.has_edge(name) else None
    if was is not None and was > SEEN:
        beside = 1j * way * 14.0
        ends = foot + beside, foot + beside + way * was
        picture = picture.dimension(*ends, ("was", length(was, change.units)), -1 + 0j)
        text += f"; before {length(was, change.units)}"
    return Shown(picture.framed(), f"{text}, full size." if picture.factor > 0.999 else f"{text}.")


def _side(piece: Piece, at: complex) -> str:
    notch_at = piece.find_landmark(LandmarkName.SHOULDER_NOTCH)
    if piece.kind == PieceKind.SLEEVE and notch_at is not None and abs(at - notch_at) < _AT_NOTCH:
        return "At the shoulder notch"
    top = piece.find_landmark(LandmarkName.CAP_TOP)
    if piece.kind != PieceKind.SLEEVE or top is None or abs(at.real - top.real) < 2.0:
        return ""
    return "Front" if at.real > top.real else "Back"


# -- amounts and cut lines ---------------------------------------------------------------------------------------------


def with_amounts(picture: Picture, change: Change) -> Picture:
    """Write how far each cut has opened, straight across."""
    said: set[complex] = set()
    for opening in change.openings:
        middle = (opening.first + opening.second) / 2
        word = "overlap" if opening.width < 0 else "open" if change.parts else "step"
        text = f"{word} {length(opening.width, change.units)}" if abs(opening.width) > SEEN else "here"
        picture = picture.label((text,), middle, away_from_middle(change, middle) - 0.4j)
        said.add(middle)
    if not said:
        for note in arrows_of(change):
            if note.curve is not None and note.length is not None:
                middle = (note.curve.start + note.curve.end) / 2
                picture = picture.label(
                    (length(note.length, change.units),), middle, away_from_middle(change, middle) - 0.4j
                )
    return picture


def with_cut_lines(picture: Picture, change: Change, *, plain: bool = False) -> Picture:
    """Draw the cut line now and as it was, where the step changed the allowance."""
    picture = picture if change.cut_was is None else picture.curve("cut line", change.cut_was)
    picture = picture.curve("new", *change.cut_now)
    for name in change.wider if change.cut_now and not plain else ():
        edge = change.after.edge(name)
        was = change.before.edge(name).allowance if change.before.has_edge(name) else None
        curve = edge.from_front()
        at = curve.at_length(curve.length() * 0.4)
        way = outwards(change.after, curve, at)
        words = (
            *(() if was is None else (f"was {length(was, change.units)}",)),
            f"now {length(edge.allowance or 0.0, change.units)}",
        )
        picture = picture.dimension(curve.point(at), curve.point(at) + way * (edge.allowance or 0.0), words, way)
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
