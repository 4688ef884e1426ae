"""The words "front" and "back" in a sleeve's pictures, where the piece itself has its two sides."""

from __future__ import annotations

from svgfit.model.piece import Piece
from svgfit.render.pdf.picture import Picture

_IN, _DOWN = 0.2, 0.05
"""A word stands so much of the half bicep in from its underarm point and, if that is in view, so much of it below."""
_UP = 0.14
"""Where the hem is in view it stands over that, by so much of the way to the underarm: there are fewest lines."""
_NARROW = 26.0
"""In a half bicep narrower than this, mm on paper, there is no room: the words stand outside, beside the seams."""
_SIDES = ("front", "back")


def sided(picture: Picture, piece: Piece) -> Picture:
    """``front`` and ``back`` inside a sleeve, each on its own side; nothing on other pieces.

    The sides are those of its underarm points, which the drawing's notches or its convention settled: the same that
    every figure is read by.
    """
    points = [piece.find_landmark(f"underarm {side}") for side in _SIDES]
    front, back = points
    if piece.kind != "sleeve" or front is None or back is None or not picture.holds(front) or not picture.holds(back):
        return picture
    middle = (front + back) / 2
    for side, at in zip(_SIDES, (front, back), strict=True):
        way = middle - at
        hem = piece.find_landmark(f"hem {side}")
        if hem is not None and picture.holds(hem) and abs(way) * picture.factor < _NARROW:
            picture = picture.label((side,), at + (hem - at) * 0.6, -way, leader=False)
            continue
        spots = [at + way * _IN + 1j * abs(way) * down for down in (0.2, 0.12, _DOWN, 0.0)]
        if hem is not None:
            spots.insert(0, hem + (middle.real - hem.real) * 1.6 * _IN - 1j * _UP * (hem - at).imag)
        spot = next((one for one in spots if picture.holds(one + 1j * abs(way) * 2 * _DOWN)), spots[-1])
        picture = picture.label((side,), spot, way, leader=False)
    return picture


def across(picture: Picture, at: complex) -> float:
    """How far to the right a point of the piece's frame stands in the picture: pictures side by side go by it."""
    return picture.view.apply(at).real
