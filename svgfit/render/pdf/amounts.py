"""The amounts of a step written into its pictures, and the cut lines of one that changed an allowance."""

from __future__ import annotations

import numpy as np

from svgfit.render.pdf.before_after import outwards
from svgfit.render.pdf.parts import Part, Slit
from svgfit.render.pdf.picture import Picture
from svgfit.render.pdf.step_geometry import SEEN, Change, arrows_of
from svgfit.render.pdf.step_sentences import length


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
